"""A survey in, what its ports toward a carrier do out, held against what was ordered there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from vlancheck.dot1q.tags import UNTAGGED
from vlancheck.evidence import Origins, join
from vlancheck.findings.case import Case
from vlancheck.findings.ends import plain_end
from vlancheck.findings.routed import tagged, takes_untagged
from vlancheck.places import split_place
from vlancheck.site.handoffs import Handoff, Mode
from vlancheck.verdicts.orders import Order, OrderKind
from vlancheck.vids import WIRE, members


@dataclass(frozen=True, slots=True)
class Toward:
    """What a port toward a carrier surely does, and what it may do."""

    tags: int  # bitset of the VIDs that surely pass it with their tag, both ways
    lists: int  # those that it surely takes or sends with their tag
    may: int  # those that may pass with their tag
    untagged: bool | None  # takes untagged frames; None when nobody knows
    bare: bool | None  # sends some VLAN without tag; None when nobody knows


@dataclass(frozen=True, slots=True)
class Mistaken:
    """A tag at a handoff that stands where another one was meant."""

    meant: int  # VID that is declared or ordered
    found: int  # VID that the port has instead
    why: str  # how one becomes the other


def toward(case: Case, place: str) -> Toward | None:
    """Return what a port does with frames; None where tags are selected or changed, or nobody knows."""
    device, port = split_place(place)
    box = case.network.devices[device]
    if case.network.only_ends(place):
        ends = [end for end in box.ends.values() if end.port == port]
        up = [end for end in ends if end.up.value is not False]
        if any(not end.select for end in up) or box.ports[port].up.value is False:
            return None
        tags = 0
        for end in up:
            tags |= tagged(end)
        bare = any(takes_untagged(end) for end in up)
        return Toward(tags, tags, tags, bare, bare)
    end_ = plain_end(case, place)
    if end_ is None:
        return None
    admitted, sent = end_.port.admit, end_.port.member.sure & end_.port.untagged.sure & WIRE
    lists = (end_.tags | admitted.sure) & WIRE
    maybe = end_.port.member.possible & end_.port.untagged.possible & WIRE
    return Toward(
        end_.tags & admitted.sure & WIRE,
        lists & ~(1 << end_.pvid) if end_.access and end_.pvid is not None else lists,
        end_.may_tag & admitted.possible & WIRE,
        end_.takes_untagged,
        True if sent else None if maybe else False,
    )


def why_tag(case: Case, place: str, vid: int) -> Origins:
    """Return what makes a port have a tag, or not; where the port is named when nothing else says."""
    device, port = split_place(place)
    if case.network.only_ends(place):
        ends = [end for end in case.network.devices[device].ends.values() if end.port == port]
        return join(*(end.origins for end in ends if tagged(end) >> vid & 1)) or case.named_at(place)
    end = plain_end(case, place)
    return (end.why_member(vid) if end is not None else ()) or case.named_at(place)


def services_at(case: Case, place: str) -> Iterator[Order]:
    """Yield the services that enter at a handoff."""
    for order in case.orders:
        if order.kind is OrderKind.SERVICE and any(entered(case, stop.place) == place for stop in order.enters):
            yield order


def entered(case: Case, place: str) -> str:
    """Return the port that acts for the place where a service enters."""
    return case.network.stands_for.get(place, place)


def declared_tags(order: Order) -> int:
    """Return the outermost tags of a service, bit 4095 for untagged frames."""
    found = 0
    for batch in order.batches:
        found |= batch.shape[0].vids if batch.shape else UNTAGGED
    return found


def ordered_tags(case: Case, place: str) -> int:
    """Return the CE-VLAN IDs that were ordered at a handoff; 0 when none is said."""
    found = 0
    for one in case.ordered.get(place, ()):
        found |= one.ce_vlans
    return found


def mistagged(case: Case, place: str) -> tuple[Handoff, str, str] | None:
    """Return an order, what the port does otherwise, and what that does to frames; None when they agree."""
    port = toward(case, place)
    orders = [one for one in case.ordered.get(place, ()) if one.mode is not None]
    if port is None or not orders:
        return None
    modes = {one.mode for one in orders}
    if modes == {Mode.TAGGED} and not port.may and not port.lists and port.bare is not False:
        return (
            orders[0],
            "tags nothing there",
            "what leaves here has no tag for the carrier to know it by, and its tags mean nothing here",
        )
    if modes == {Mode.UNTAGGED} and port.untagged is False and port.bare is False:
        return orders[0], "takes and sends tagged frames only", "untagged frames of the carrier are dropped here"
    return None


def mistaken(case: Case, place: str) -> tuple[Mistaken, ...]:
    """Return the tags that a port has where it lacks one that is declared there and looks much like it."""
    port = toward(case, place)
    if port is None or mistagged(case, place) is not None:
        return ()
    declared = 0
    for order in services_at(case, place):
        declared |= declared_tags(order)
    wanted = (declared | ordered_tags(case, place)) & WIRE
    rows = {theirs: ours for one in case.ordered.get(place, ()) for theirs, ours in one.map.items()}
    if (box := case.ground.carriers.get(place)) is not None:
        rows |= dict(box.rows)
    found = []
    left = port.lists & ~wanted
    if left.bit_count() > _LISTED:
        return ()
    for meant in members(wanted & ~port.may) if (wanted & ~port.may).bit_count() <= _LISTED else ():
        for other in members(left):
            why = "the tag on the carrier's side of its box" if rows.get(other) == meant else slip(meant, other)
            if why:
                found.append(Mistaken(meant, other, why))
                left &= ~(1 << other)
                break
    return tuple(found)


_LISTED = 64  # VIDs up to which a list was typed by hand


def slip(meant: int, found: int) -> str:
    """Return how a hand that meant one number writes another; "" when it hardly does."""
    one, other = str(meant), str(found)
    if one == other:
        return ""
    if len(one) == len(other):
        differ = [at for at in range(len(one)) if one[at] != other[at]]
        if len(differ) == 2 and sorted(one) == sorted(other):
            return "two digits are swapped"
        if abs(meant - found) == 1:
            return "it is off by one"
        if len(differ) == 1 and len(one) > 2:
            return "one digit differs"
        return ""
    longer, shorter = (one, other) if len(one) > len(other) else (other, one)
    if len(longer) - len(shorter) == 1 and any(longer[:at] + longer[at + 1 :] == shorter for at in range(len(longer))):
        return "a digit is missing" if longer == one else "it has a digit too many"
    return "it is off by one" if abs(meant - found) == 1 else ""
