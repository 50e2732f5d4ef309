"""What leaves a bridge by one exit, for all relay VIDs at once, as far as no frame wears more than one tag."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from vlancheck.dot1q.forward import OUTER, View
from vlancheck.dot1q.tags import Frame
from vlancheck.walk.flood import What
from vlancheck.walk.framesets import SINGLE, TAGS
from vlancheck.walk.layout import Exit, Group, Layout
from vlancheck.walk.symbolic import Among, Entered, depart

LAST = 4094  # the largest VID of a tag
_WIRE = TAGS & ~1  # VIDs a tag may carry
_Copy = tuple[What, Group | None, Frame, str, int]  # where (None: at the exit), frame, interface; relay VIDs
_Crossing = tuple[View, int, int]  # bridge port that takes it, relay VID there or OUTER; relay VIDs here


class Form(NamedTuple):
    """What leaves by an exit other than over regular links, told by relay VID."""

    vids: int  # relay VIDs of all of this
    copies: Sequence[_Copy] = ()  # what ends
    onward: Sequence[_Crossing] = ()  # what goes on
    deep: int = 0  # relay VIDs that get a tag on top of theirs, or a relay VID above 4094


def work_out(layout: Layout, way: Exit) -> Form:
    """Work out what leaves by a way, by the rules of forwarding."""
    copies: dict[tuple[What, Group | None, Frame, str], int] = {}
    onward: dict[tuple[str, int], tuple[View, int]] = {}
    deep = 0
    by = "" if way.kind >= 0 else _Anyone()  # of what leaves by a port without a link nothing ever comes back
    for item in depart(layout, way, Among.ALL, (OUTER, by), (), TAGS, SINGLE):
        if isinstance(item, Entered):
            (name, vid, _, below), view, value = item
            if below or vid > LAST:
                deep |= value
                continue
            itself = value & 1 << vid if vid >= 0 else 0
            for becomes, part in ((OUTER, itself), (vid, value & ~itself)):
                if part:
                    onward[name, becomes] = view, onward.get((name, becomes), (view, 0))[1] | part
            continue
        copy, value = item
        if copy.what is What.GROWING:
            deep |= value
            continue
        key = (copy.what, None if copy.group is way.group else copy.group, copy.frame, copy.interface)
        copies[key] = copies.get(key, 0) | value
    gone = [(*key, vids) for key, vids in copies.items()]
    return _made(gone, [(view, vid, vids) for (_, vid), (view, vids) in onward.items()], deep)


def plain(view: View, far: View) -> tuple[int, int, int] | None:
    """Say what crosses a link of two ports that have nothing but plain sets; None when one has more.

    That is: VIDs that cross as themselves, VIDs that become the PVID of the far port, and that PVID.
    """
    if (
        not (view.up and far.up)
        or view.opaque
        or far.opaque
        or view.exit
        or far.entry
        or far.pvid_opaque
        or view.sends not in far.tpids
    ):
        return None
    goes = view.member & view.forwarding & TAGS
    heard = far.alive & far.forwarding
    tagged = goes & view.tagged
    same = tagged & far.admit & heard & _WIRE
    bare = (goes & view.bare) | (tagged & 1)
    pvid = far.pvid
    if not bare or pvid is None or not heard >> pvid & 1:
        return same, 0, 0
    if pvid > LAST:
        return None
    own = bare & 1 << pvid
    return same | own, bare & ~own, pvid


def regular_vids(here: Form, there: Form) -> int:
    """Return the VIDs that cross as themselves and as nothing else both ways, and that no other becomes."""
    same, other = [0, 0], here.deep | there.deep
    for place, form in enumerate((here, there)):
        for *_, vids in form.copies:
            other |= vids
        for _, vid, vids in form.onward:
            if vid == OUTER:
                same[place] |= vids
            else:
                other |= vids | 1 << vid
    return same[0] & same[1] & ~other


def less(form: Form, regular: int) -> Form:
    """Return the form without the VIDs that a regular link carries as themselves."""
    onward = [(view, vid, vids & ~regular if vid == OUTER else vids) for view, vid, vids in form.onward]
    return _made(form.copies, onward, form.deep)


class _Anyone(str):
    """An owner of a tag that may be any port: to get another tag on top of it may be to grow."""

    __hash__ = str.__hash__

    def __eq__(self, other: object) -> bool:
        return True


def _made(copies: Sequence[_Copy], onward: Sequence[_Crossing], deep: int) -> Form:
    vids = deep
    for copy in copies:
        vids |= copy[-1]
    for crossing in onward:
        vids |= crossing[-1]
    return Form(vids, copies, onward, deep)
