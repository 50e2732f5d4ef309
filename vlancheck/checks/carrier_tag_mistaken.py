"""A handoff has another tag than the carrier's, one that looks much like it; or a service is declared with a wrong one.

What it finds
    A port toward a carrier that lacks a declared or ordered tag and has instead one that a tired hand makes of it: two
    digits swapped, one too many or too few, off by one, or the tag on the carrier's side of its box. Also a service
    whose tag is not among the CE-VLAN IDs of the order, and an ordered CE-VLAN ID that the port does not carry.

Why it matters
    One service is dead and all others on the cord work, so that the fault is looked for behind the wrong box.

Example
    bridge sw1 exists=1,705,750
    port sw1:1 member=705
    port sw1:2 member=750 pvid=750 untagged=750
    handoff sw1:1
    service voice 750 at sw1:1 -> sw1:2 untagged
    => E103 sw1:1

Instead
    bridge sw1 exists=1,705,750
    port sw1:1 member=750
    port sw1:2 member=750 pvid=750 untagged=750
    handoff sw1:1
    service voice 750 at sw1:1 -> sw1:2 untagged
    => clean

When it is intended
    Never for a service that is in use. A CE-VLAN ID that is ordered and not used yet is a note.

Reference
    Access service order form, field CE-VLAN (four digits, ranges as 0750-0759). IEEE Std 802.1Q-2022, 8.6.2 and 8.6.4,
    from memory. That digits are swapped is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.findings.carrier import (
    Mistaken,
    declared_tags,
    mistagged,
    mistaken,
    ordered_tags,
    services_at,
    slip,
    toward,
    why_tag,
)
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.site.handoffs import Handoff, Mode
from vlancheck.vids import WIRE, first, members, of, text

CODE = "E103"
NAME = "The tag at a handoff is not the carrier's"


def find(case: Case) -> Iterator[Finding]:
    """Yield the findings of every handoff: tags of the port, tags of what is declared, tags nobody carries."""
    for place in sorted({*case.network.handoffs, *case.ordered}):
        wrong = mistaken(case, place)
        if wrong:
            yield _port(case, place, wrong)
        declared = list(_declared(case, place))
        yield from declared
        if not declared and mistagged(case, place) is None:
            yield from _idle(case, place, of(one.meant for one in wrong))


def _port(case: Case, place: str, wrong: tuple[Mistaken, ...]) -> Finding:
    told = ", ".join(f"{one.found} where {one.meant} is meant ({one.why})" for one in wrong)
    where: list[Where] = []
    for one in wrong:
        where += evidence(place, why_tag(case, place, one.found), f"has {one.found}", not where)
    meant = of(one.meant for one in wrong)
    for order in services_at(case, place):
        if declared_tags(order) & meant:
            where += evidence(
                place, order.origins, f"{order.name} is declared with {text(declared_tags(order) & meant)}"
            )
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=f"{place} has VLAN {told}",
        why=f"frames with the tag {text(meant)} are lost at {place}",
        where=tuple(where),
        vids=meant | of(one.found for one in wrong),
        at=frozenset({place}),
    )


def _declared(case: Case, place: str) -> Iterator[Finding]:
    """Yield a finding for each service whose tag was not ordered at its handoff."""
    orders = [one for one in case.ordered.get(place, ()) if one.ce_vlans]
    if len(orders) < len(case.ordered.get(place, ())) or any(one.mode is Mode.UNTAGGED for one in orders):
        return
    ordered = ordered_tags(case, place)
    vids = 0
    words: list[str] = []
    where: list[Where] = []
    for service in services_at(case, place):
        others = declared_tags(service) & WIRE & ~ordered
        if not others or not orders or len(service.batches[0].shape) > 1:
            continue
        listed = members(ordered) if ordered.bit_count() <= _LISTED else ()
        near = next((f" ({one} is: {why})" for one in listed if (why := slip(one, first(others)))), "")
        words.append(f"{service.name} is declared with the tag {text(others)}, which is not ordered{near}")
        where += evidence(place, service.origins, f"declared with {text(others)}", not where)
        vids |= others
    if vids:
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.WARNING,
            headline=f"{place}: {'; '.join(words)}",
            why="the carrier drops it, or what is declared was never ordered",
            where=(*where, *(one for order in orders for one in _line(place, order))),
            vids=vids,
            at=frozenset({place}),
            settled_by=f"ask the carrier for the CE-VLAN IDs of {orders[0].called} as they are built",
        )


def _idle(case: Case, place: str, told: int) -> Iterator[Finding]:
    """Yield a note for CE-VLAN IDs that were ordered one by one, that no service names, and that the port lacks."""
    port = toward(case, place)
    named = told
    for service in services_at(case, place):
        named |= declared_tags(service)
    for order in case.ordered.get(place, ()):
        idle = order.ce_vlans & WIRE & ~named
        if port is None or order.all_to_one or order.mode is not Mode.TAGGED or not (idle := idle & ~port.may):
            continue
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.NOTE,
            headline=f"CE-VLAN ID {text(idle)} is ordered at {place} ({order.called}), and the port does not carry it",
            why="what was ordered stops here; nobody declared a service for it",
            where=(*evidence(place, why_tag(case, place, first(idle)), "does not list it", True), *_line(place, order)),
            vids=idle,
            at=frozenset({place}),
            cause=False,
        )


def _line(place: str, order: Handoff) -> tuple[Where, ...]:
    return evidence(place, order.said["ce-vlans"].origins, f"{order.called} is ordered with {text(order.ce_vlans)}")


_LISTED = 64  # CE-VLAN IDs up to which one that looks alike is worth a word
