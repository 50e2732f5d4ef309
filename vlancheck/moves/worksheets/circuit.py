"""A handoff in, the questions that only its carrier can answer out, as exact as the lines and the order make them."""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.properties import Property
from vlancheck.findings.case import Case
from vlancheck.findings.pace import pace
from vlancheck.findings.settings import is_on
from vlancheck.places import split_place
from vlancheck.site.handoffs import L2cp
from vlancheck.site.placed import PlacedHandoff, PlacedService
from vlancheck.vids import WIRE, text

_FULL = 1518  # octets of a full-size frame without tag (IEEE Std 802.3-2022, 3.2.7, from memory)
_TAG = 4  # octets of a tag (IEEE Std 802.1Q-2022, 9.3)
_Asked = tuple[str, str]  # question, why it is asked


def asked(case: Case, handoff: PlacedHandoff, services: list[PlacedService]) -> Iterator[_Asked]:
    """Yield each question about one handoff with the reason; nothing in it is a command for the carrier's box."""
    declared = handoff.declared
    if not declared.circuit:
        yield "What is the number of this circuit?", "site.yaml names no circuit"
    if not declared.phone:
        who = declared.owner or declared.carrier or "the carrier"
        yield f"What number reaches {who} at night, and what do they ask for first?", "site.yaml names no number"
    place = case.network.stands_for.get(handoff.spot.place, handoff.spot.place)
    yield from _tags(case, place, services)
    yield from _order(handoff)
    untagged = {"refused": "refused", "accepted": "accepted"}.get(declared.untagged, "")
    yield (
        "What becomes of untagged frames, and of frames with VID 0 (priority tags), at this port, both ways?",
        f"untagged ones are declared as {untagged}" if untagged else "site.yaml does not say",
    )
    yield from _size(handoff, services)
    yield from _pace(case, place)
    yield from _addresses(handoff)
    yield from _protocols(case, place, handoff)


def _tags(case: Case, place: str, services: list[PlacedService]) -> Iterator[_Asked]:
    sends = f"{_tpid(case, place):04x}"
    for service in services:
        tag, name = service.declared.tag.text, service.declared.name
        yield (
            f"Do frames of {name} come and go at our port with the tag {tag}, of TPID {sends}, as the outermost one?",
            f"{name} is declared with the tag {tag}; tagged one day and untagged the next is the usual complaint",
        )
        if service.declared.inner is not None:
            yield (
                f"Are tags inside {tag} ({service.declared.inner.text}) carried unchanged, both ways?",
                f"{name} is a tunnel for them",
            )


def _tpid(case: Case, place: str) -> int:
    """Return the TPID that our port puts on."""
    device, port = split_place(place)
    box = case.network.devices.get(device)
    found = [one.sends for one in box.bridge_ports.values() if one.port == port] if box else []
    return found[0] if len(set(found)) == 1 else 0x8100


def _order(handoff: PlacedHandoff) -> Iterator[_Asked]:
    declared = handoff.declared
    if declared.ce_vlans:
        several = "all of them" if declared.ce_vlans == WIRE else text(declared.ce_vlans)
        yield f"Which CE-VLAN IDs are built at this port: {several}, and no others?", "it is what the order lists"
    if declared.preserved is False and not declared.map:
        yield (
            "Which tag of the far end is which tag at our port?",
            "the order says that CE-VLAN IDs are not preserved, and site.yaml has no `map`",
        )
    for end in declared.ends:
        if end.ce_vlans != declared.ce_vlans:
            yield (
                f"Which CE-VLAN IDs does {declared.evc or 'the connection'} have at {end.name}?",
                f"the order lists {text(end.ce_vlans)} there, and {text(declared.ce_vlans) or 'none'} here",
            )


def _size(handoff: PlacedHandoff, services: list[PlacedService]) -> Iterator[_Asked]:
    size = handoff.declared.max_frame
    most = max((_depth(one) for one in services), default=0)
    needed = _FULL + _TAG * most
    yield (
        f"Is a frame of {needed} octets carried both ways, FCS and {most} tag{'' if most == 1 else 's'} included, and "
        "what is the longest that is?",
        f"{size} octets are declared" if size else "site.yaml does not say",
    )


def _depth(service: PlacedService) -> int:
    """Return how many tags a frame of a service wears at the handoff."""
    tag = service.declared.tag
    outer = max((len(stack) for stack in tag.stacks), default=1 if tag.vids else 0)
    return outer + (1 if service.declared.inner is not None else 0)


def _pace(case: Case, place: str) -> Iterator[_Asked]:
    port = case.port(place)
    ours = pace(port) if port is not None else None
    said = f"ours is set to {ours.told}" if ours is not None and (ours.speed or ours.duplex) else ""
    yield (
        "Are speed and duplex negotiated at this port, or set, and to what?"
        + (" On fibre: is negotiation on or off?" if ours is None or ours.no_negotiation or not said else ""),
        "; ".join(one for one in (said, "one side set and the other negotiating loses frames under load") if one),
    )


def _addresses(handoff: PlacedHandoff) -> Iterator[_Asked]:
    limit = handoff.declared.mac_limit
    yield (
        "Does anything there count or hold our addresses, so that a new box behind the port must be announced?"
        + (f" How many of {limit} are learned now, and what clears them?" if limit else ""),
        "a replaced box has another MAC address" + (f"; {limit} are ordered" if limit else ""),
    )


def _protocols(case: Case, place: str, handoff: PlacedHandoff) -> Iterator[_Asked]:
    said = handoff.declared.l2cp
    guarded = is_on(case.port(place), Property.BPDU_GUARD)
    why = "a bridge protocol that comes through joins our tree to another"
    if guarded:
        why = "our port shuts at the first BPDU that arrives"
    elif said is L2cp.SHUTS:
        why = "the order says that its port shuts at a BPDU of ours"
    yield (
        "Are frames of spanning tree (01-80-C2-00-00-00, and the tagged ones of some makers), LLDP and other protocols "
        "of a link carried, ended or refused there?",
        why,
    )
