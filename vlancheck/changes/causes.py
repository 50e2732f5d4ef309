"""Differences of carriage in, the places that caused them out, each with the rows that tell it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Any, NamedTuple

from vlancheck.changes.change import Cause, Change, Difference, Kind, Place, Sample
from vlancheck.changes.side import EVERY_FRAME, Side, same_port, told_first
from vlancheck.dot1q.tags import Frame, Tag, format_frame
from vlancheck.evidence import Origins, join
from vlancheck.places import split_place
from vlancheck.site.anchors import Anchor, AnchorKind
from vlancheck.verdicts.reasons import Hop
from vlancheck.vids import text
from vlancheck.walk.flood import What
from vlancheck.walk.framesets import TAGS, UNTAGGED
from vlancheck.walk.relation import filled

_NAMED = 3  # partners that a row names


class Spot(NamedTuple):
    """What tells one cause from another."""

    sort: str  # `port`, `link` or `nowhere`
    keys: frozenset[Any]  # the anchor; or both ends, and whether it is the earlier survey that loses frames there


class Causes:
    """Finds the causes of differences between two surveys."""

    def __init__(self, before: Side, after: Side) -> None:
        """Take both surveys."""
        self.before, self.after = before, after
        self._known: dict[tuple[Any, ...], tuple[Spot, Place]] = {}
        self._exchanged = dict(_exchanged(before, after))

    def grouped(self, found: Iterable[Difference]) -> tuple[Cause, ...]:
        """Return one cause for all that changed by it, those of needed frames first."""
        places: dict[Spot, Place] = {}
        under: dict[Spot, list[Difference]] = {}
        for one in found:
            spot, place = self._cause(one)
            places[spot] = _joined(places[spot], place) if spot in places else place
            under.setdefault(spot, []).append(one)
        made = [self._told(places[spot], several) for spot, several in under.items()]
        return tuple(sorted(made, key=lambda cause: (not cause.needed, cause.place.ports, cause.place.words)))

    # ---- where ---------------------------------------------------------------------------------------------------

    def _cause(self, one: Difference) -> tuple[Spot, Place]:
        here, there = (self.after, self.before) if one.after is None else (self.before, self.after)
        if one.kind is Kind.RETAGGED:
            sent = _lowest(one.tpids, one.value)
            vids = [side.ground.reasons.first_vid(side.place[one.sender], sent) for side in (self.before, self.after)]
            if vids[0] != vids[1] and not self._still_heard(one, sent):
                return self._edge(one.sender, _classified(sent, *vids))
            return self._edge(one.receiver, "the frames arrive in other tags")
        for anchor in (one.sender, one.receiver):
            for side in (self.before, self.after):
                if anchor not in side.place:
                    word = "new" if side is self.before else "gone"
                    return self._edge(anchor, f"it is {word}, {_patched(side is self.before)}")
        sent = _lowest(one.tpids, one.value)
        key = self._memo(one, sent)
        for known in ((*key, one.sender), key):
            if known in self._known:
                return self._known[known]
        found = self._looked_for(one, sent, here, there)
        own = (one.sender.kind, one.sender.key) in found[0].keys  # another sender beside it has a cause of its own
        self._known[(*key, one.sender) if own else key] = found
        return found

    def _memo(self, one: Difference, sent: Frame) -> tuple[Any, ...]:
        """Return what differences with one cause have in common: the senders' bridges and VLANs, and the receiver."""
        sides = []
        for side in (self.before, self.after):
            place = side.place[one.sender]
            vid = side.ground.reasons.first_vid(place, sent)
            sides.append((place.partition(":")[0], vid) if vid is not None else (place, vid))
        return one.kind, one.receiver, sent if sides[0][1] is None else (), *sides

    def _looked_for(self, one: Difference, sent: Frame, here: Side, there: Side) -> tuple[Spot, Place]:
        """Return the cause; `there` is the survey in which the frame arrives, `here` the one in which it does not."""
        sender, receiver = there.place[one.sender], there.place[one.receiver]
        path = there.ground.reasons.path(sender, sent, receiver)
        if (joint := _changes_vid(path)) is not None and not self._seen(here, one, sent, joint[1]):
            return self._link(joint[0].port, there, joint[0].vid, "the VLANs at its two ends differ")
        vids = [side.ground.reasons.first_vid(side.place[one.sender], sent) for side in (here, there)]
        if vids[0] != vids[1] and not self._still_heard(one, sent):
            old, new = vids if there is not self.before else (vids[1], vids[0])
            return self._edge(one.sender, _classified(sent, old, new))
        if path and path[-1].way == "out" and not _in_vlan(here, here.place[one.receiver], path[-1].vid):
            now = "no longer" if there is self.before else "now"
            return self._edge(one.receiver, f"it is {now} in VLAN {path[-1].vid}")
        reason = here.ground.reasons.lost(here.place[one.sender], sent, here.place[one.receiver])
        for anchor in (one.receiver, one.sender):
            if reason.place == here.place[anchor]:
                return self._edge(anchor, reason.words)
        if reason.place:
            return self._link(reason.place, here, reason.vid, reason.words, reason.evidence)
        return Spot("nowhere", frozenset()), Place((), reason.words)

    def _seen(self, side: Side, one: Difference, sent: Frame, hop: Hop) -> bool:
        """Tell whether the frame comes into the same VLAN in the other survey as well."""
        walked = side.ground.reasons.walk(side.place[one.sender], sent)
        return any(step.what is What.ENTERS and step.vid == hop.vid for step in walked.steps)

    def _still_heard(self, one: Difference, sent: Frame) -> bool:
        """Tell whether the frame reaches another anchor alike in both surveys: then the sender is not the cause."""
        heard = []
        for side in (self.before, self.after):
            walked = side.ground.reasons.walk(side.place[one.sender], sent)
            heard.append({(side.anchors[d.port], d.frame) for d in walked.deliveries if d.port in side.anchors})
        return any(anchor != one.sender for anchor, _ in heard[0] & heard[1])

    def _edge(self, anchor: Anchor, words: str) -> tuple[Spot, Place]:
        place = self.after.place.get(anchor, self.before.place.get(anchor, ""))
        before = self._lines(self.before, self.before.place.get(anchor, ""))
        after = self._lines(self.after, self.after.place.get(anchor, ""))
        if (other := self._exchanged.get(anchor)) is not None:
            both = sorted((anchor, other), key=lambda one: one.key)
            words = f"the cords of {both[0].name} and {both[1].name} are exchanged"
            spot = Spot("port", frozenset((one.kind, one.key) for one in both))
            return spot, Place(tuple(self.after.place[one] for one in both), words, 0, before, after, True)
        spot = Spot("port", frozenset({(anchor.kind, anchor.key)}))
        was = self.before.place.get(anchor, "")
        if was and not same_port(self.before.was(was), self.after.was(place)):
            words = f"its cord was moved to {place} from {was}, and {words}"
            return spot, Place((place,), f"{anchor.name}: {words}", 0, before, after, True)
        named = words if anchor.name == place else f"{anchor.name}: {words}"
        return spot, Place((place,), named, 0, before, after)

    def _link(self, port: str, side: Side, vid: int | None, words: str, why: Origins = ()) -> tuple[Spot, Place]:
        far = side.ground.network.peer.get(port, "")
        ports = (port, far) if far else (port,)
        told = why or self._lines(side, port)
        before, after = (told, ()) if side is self.before else ((), told)
        was = frozenset((side is self.before, *(side.was(one) for one in ports)))
        return Spot("link", was), Place(ports, words, 0 if vid is None else 1 << vid, before, after)

    def _lines(self, side: Side, port: str) -> Origins:
        return side.named_at(port) if port else ()

    # ---- rows ----------------------------------------------------------------------------------------------------

    def _told(self, place: Place, several: list[Difference]) -> Cause:
        """Return the cause with as few rows as tell all of it: the anchors with the most partners first."""
        several = _plain(several)
        needed = {id(one) for one in several if self._is_needed(one)}
        resent = _resent(several)
        rows = list(self._retagged(several, resent, needed))
        for kind in (Kind.LOST, Kind.GAINED):
            left = [one for one in several if one.kind is kind and id(one) not in resent]
            rows += list(self._rows(left, kind, needed))
        rows.sort(key=lambda row: (not row.needed, -row.others, row.anchor.key))
        return Cause(place, tuple(rows), bool(needed))

    def _rows(self, several: list[Difference], kind: Kind, needed: set[int]) -> Iterator[Change]:
        left = list(several)
        while left:
            counted: dict[Anchor, set[Anchor]] = {}
            for one in left:
                counted.setdefault(one.sender, set()).add(one.receiver)
                counted.setdefault(one.receiver, set()).add(one.sender)
            anchor = min(counted, key=lambda a: (-len(counted[a]), a.kind is AnchorKind.PORT, a.key))
            mine = [one for one in left if anchor in (one.sender, one.receiver)]
            left = [one for one in left if anchor not in (one.sender, one.receiver)]
            yield self._row(anchor, mine, kind, any(id(one) in needed for one in mine))

    def _row(self, anchor: Anchor, mine: list[Difference], kind: Kind, needed: bool) -> Change:
        partners = dict.fromkeys(one.receiver if one.sender == anchor else one.sender for one in mine)
        frames = frames_at(anchor, mine, self._needs(anchor) if needed else 0)
        names = [partner.name for partner in partners]
        shown = _shown(names)
        sends = any(one.sender == anchor for one in mine)  # else it only hears the others
        if kind is Kind.LOST:
            was, now = f"{'reached' if sends else 'heard'} {shown}", "does not"
        else:
            was, now = "did not", f"{'reaches' if sends else 'hears'} {shown}"
        deep = all(len(one.tpids) > 1 for one in mine)
        sample = self._sample(anchor, mine)
        return Change(anchor, frames, kind, was, now, needed, others=len(names), deep=deep, sample=sample)

    def _sample(self, anchor: Anchor, several: list[Difference]) -> Sample:
        """Return a frame of differences that shows them: one that `anchor` sends and needs, to where frames end."""

        def needed(one: Difference) -> int:
            return int(one.value & self._needs(one.sender)) if len(one.tpids) == 1 else 0

        def rank(one: Difference) -> tuple[Any, ...]:
            partner = one.receiver if one.sender == anchor else one.sender
            first = told_first(partner, self.before, self.after)
            return len(one.tpids), one.sender != anchor, not needed(one), *first

        one = min(several, key=rank)
        return Sample(one.sender, one.receiver, _lowest(one.tpids, needed(one) or one.value))

    def _retagged(self, several: list[Difference], resent: set[int], needed: set[int]) -> Iterator[Change]:
        """Yield a row for every anchor at which frames arrive, or must be sent, in other tags than before."""
        told: dict[Anchor, tuple[set[str], set[str], dict[str, None], list[bool]]] = {}
        by: dict[Anchor, list[Difference]] = {}
        for one in (one for one in several if one.kind is Kind.RETAGGED or id(one) in resent):
            here, partner = (one.receiver, one.sender) if one.kind is Kind.RETAGGED else (one.sender, one.receiver)
            was, now, partners, needs = told.setdefault(here, (set(), set(), {}, []))
            by.setdefault(here, []).append(one)
            partners[partner.name] = None
            needs.append(id(one) in needed)
            if one.kind is Kind.RETAGGED:
                was.add(_text(one.before, one))
                now.add(_text(one.after, one))
            else:
                (was if one.after is None else now).add(format_frame(_lowest(one.tpids, one.value)))
        for anchor, (was, now, partners, needs) in told.items():
            names = list(partners)
            before, after = (", ".join(sorted(words)[:_NAMED]) for words in (was, now))
            words = f"{before} with {_shown(names)}", f"{after} now"
            made = Change(anchor, before, Kind.RETAGGED, *words, any(needs), others=len(names), becomes=after)
            yield replace(made, sample=self._sample(anchor, by[anchor]))

    def _is_needed(self, one: Difference) -> bool:
        """Tell whether frames in need are among those of a difference, at both ends.

        Toward a handoff or a hold every new frame counts.
        """
        guarded = [self._guarded(anchor) for anchor in (one.sender, one.receiver)]
        if one.kind is not Kind.LOST and any(guarded):
            return True
        if len(one.tpids) > 1:
            return all(self._needs(anchor) == EVERY_FRAME for anchor in (one.sender, one.receiver))
        if not one.value & self._needs(one.sender):
            return False
        arrives = one.before if one.after is None else one.after
        assert arrives is not None, "a difference is of a frame that arrives in one of the surveys"
        wanted = self._needs(one.receiver)
        return bool(_arriving(arrives, one.value & self._needs(one.sender)) & wanted)

    def _needs(self, anchor: Anchor) -> int:
        found = 0
        for side in (self.before, self.after):
            if (place := side.place.get(anchor)) is not None:
                found |= side.needed.get(place, 0)
        return found

    def _guarded(self, anchor: Anchor) -> bool:
        for side in (self.before, self.after):
            place = side.place.get(anchor, "")
            if place in side.ground.network.handoffs or place in side.ground.held:
                return True
        return False


def _classified(sent: Frame, old: int | None, new: int | None) -> str:
    """Return what a sender's port does with a frame now that it did not do before."""
    if old is None or new is None:
        return f"{_called(sent)} is {'not ' if new is None else ''}taken there now"
    return f"{_called(sent)} is in VLAN {new} there now, not in {old}"


def _in_vlan(side: Side, place: str, vid: int | None) -> bool:
    """Tell whether a port may send frames of a VLAN."""
    device, port = split_place(place)
    several = [one for one in side.ground.network.devices[device].bridge_ports.values() if one.port == port]
    return vid is None or any(one.member.possible >> vid & 1 for one in several)


def _shown(names: list[str]) -> str:
    return ", ".join(names[:_NAMED]) + (f" and {len(names) - _NAMED} more" if len(names) > _NAMED else "")


def _changes_vid(path: tuple[Hop, ...]) -> tuple[Hop, Hop] | None:
    """Return the first cord on a path whose two ends are in different VLANs."""
    for one, other in pairwise(path):
        if one.way == "out" and other.way == "in" and None not in (one.vid, other.vid) and one.vid != other.vid:
            return one, other
    return None


def _resent(several: list[Difference]) -> set[int]:
    """Return the differences in which a sender gets through as before, and must send in other tags for it."""
    made: dict[tuple[Anchor, Anchor, Frame], dict[Kind, list[int]]] = {}
    for one in several:
        arrives = one.before if one.after is None else one.after
        if one.kind is not Kind.RETAGGED and arrives is not None:
            kinds = made.setdefault((one.sender, one.receiver, arrives), {})
            kinds.setdefault(one.kind, []).append(id(one))
    pairs = [kinds for kinds in made.values() if len(kinds) == 2]
    return {number for kinds in pairs for numbers in kinds.values() for number in numbers}


def _plain(several: list[Difference]) -> list[Difference]:
    """Return the differences without those of two tags that frames of one tag tell already, between the same places."""
    told = {(one.sender, one.receiver, one.kind) for one in several if len(one.tpids) == 1}
    return [one for one in several if len(one.tpids) == 1 or (one.sender, one.receiver, one.kind) not in told]


def _joined(place: Place, other: Place) -> Place:
    """Return a place with the VIDs and lines of both."""
    vids = place.vids | other.vids if place.vids and other.vids else 0
    return replace(place, vids=vids, before=join(place.before, other.before), after=join(place.after, other.after))


def frames_at(anchor: Anchor, mine: list[Difference], needed: int) -> str:
    """Return the frames of differences as they cross at an anchor; of many, the needed ones."""
    bits, others = 0, set()
    for one in mine:
        if one.sender == anchor and len(one.tpids) == 1:
            bits |= one.value
        elif one.sender != anchor:
            arrives = one.before if one.after is None else one.after
            assert arrives is not None, "a difference is of a frame that arrives in one of the surveys"
            if len(arrives) <= 1 and len(one.tpids) == 1:
                bits |= _arriving(arrives, one.value)
            else:
                others.add(_text(arrives, one))
        else:
            others.add(format_frame(_lowest(one.tpids, one.value)))
    bits = bits & needed or bits
    parts = ["untagged"] if bits & UNTAGGED else []
    if tags := bits & TAGS:
        parts.append("any tag" if tags == TAGS else text(tags))
    return ", ".join(parts or sorted(others)[:_NAMED])


def _arriving(frame: Frame, value: int) -> int:
    """Return the frames, as a set, as which sent frames of one tag arrive."""
    if not frame:
        return UNTAGGED
    if len(frame) > 1:
        return 0
    return value & TAGS if frame[0].vid < 0 else 1 << frame[0].vid


def _text(frame: Frame | None, one: Difference) -> str:
    return "nothing" if frame is None else format_frame(filled(frame, _lowest(one.tpids, one.value)))


def _lowest(tpids: tuple[int, ...], value: Any) -> Frame:
    """Return the frame of a set with the lowest VIDs; the untagged one when it is among them."""
    if isinstance(value, int):
        if value & UNTAGGED:
            return ()
        return (Tag(tpids[0], (value & -value).bit_length() - 1),)
    sides = value[0]
    return tuple(Tag(tpid, (side & -side).bit_length() - 1) for tpid, side in zip(tpids, sides, strict=True))


def _called(frame: Frame) -> str:
    return "the untagged frame" if not frame else f"the tag {format_frame(frame)}"


def _patched(new: bool) -> str:
    return "nothing was patched there before" if new else "nothing is patched there any more"


def _exchanged(before: Side, after: Side) -> Iterator[tuple[Anchor, Anchor]]:
    """Yield the anchors of which each has its cord in the port that the other one had."""
    moved = {}
    for anchor, place in after.place.items():
        old = before.place.get(anchor)
        if old is not None and anchor.kind is not AnchorKind.PORT:
            was, now = before.was(old), after.was(place)
            if not same_port(was, now):
                moved[anchor] = was, now
    for one, (was, now) in moved.items():
        for other, (their_was, their_now) in moved.items():
            if one != other and same_port(was, their_now) and same_port(their_was, now):
                yield one, other
