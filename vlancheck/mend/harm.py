"""Two states of a survey in, the first thing that is needed and no longer carried out."""

from __future__ import annotations

from collections.abc import Collection

from vlancheck.changes.change import Kind
from vlancheck.changes.difference import differences
from vlancheck.changes.side import Side
from vlancheck.dot1q.tags import C_TAG, RESERVED_VID, Frame, Tag
from vlancheck.vids import first
from vlancheck.walk.walk import entry_vid


def harm(before: Side, after: Side, wanted: Collection[str]) -> str:
    """Return whom a change cuts off from whom, "" where it cuts nobody off.

    What is about the `wanted` places (DEVICE:PORT) is what the change is for.  Two that heard each other across two
    VLANs were joined by a fault, and to part them is no harm.
    """
    network = before.ground.network
    for one in differences(before, after):
        places = [before.place.get(anchor, "") for anchor in (one.sender, one.receiver)]
        if one.kind is Kind.GAINED or len(one.tpids) != 1 or not all(places) or set(places) & set(wanted):
            continue
        needed = one.value & before.needed.get(places[0], 0)
        if not needed or not before.needed.get(places[1], 0):
            continue
        number = first(needed)
        frame: Frame = () if number == RESERVED_VID else (Tag(C_TAG, number),)
        arrives = one.before if one.before is not None else ()
        plain = tuple(tag for tag in arrives if tag.vid <= RESERVED_VID)
        heard = frame if len(plain) != len(arrives) else plain
        if entry_vid(network, places[0], frame) == entry_vid(network, places[1], heard):
            return f"{one.receiver.name} would no longer hear {one.sender.name}"
    return ""
