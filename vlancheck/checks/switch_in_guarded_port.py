"""A cord to a switch is in a port that is set up for an end device.

What it finds
    A port that shuts when it hears a spanning tree, takes few addresses only, lets nobody in who does not log in, or
    never becomes a root port, with a switch at the other end of its cord; and, as a note, an edge port without a
    guard. A port of which a capture shows that it is up with this very cord is no finding; a root guard and an edge
    port are told of a cord that was moved there from a port without.

Why it matters
    The port works for a moment after the cord is in, and then it is shut, or passes one device of all behind it.

Before
    bridge CORE-1 exists=10 tree=per-vlan
    port CORE-1:1 member=10
    port CORE-1:2 member=10
    set CORE-1:2 edge=yes bpdu-guard=yes
    bridge ACC-1 exists=10 tree=per-vlan
    port ACC-1:1 member=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    link CORE-1:1 ACC-1:1
    empty CORE-1:2

Example
    bridge CORE-1 exists=10 tree=per-vlan
    port CORE-1:1 member=10
    port CORE-1:2 member=10
    set CORE-1:2 edge=yes bpdu-guard=yes
    bridge ACC-1 exists=10 tree=per-vlan
    port ACC-1:1 member=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    link CORE-1:2 ACC-1:1
    empty CORE-1:1
    => P102 CORE-1:2

Instead
    bridge CORE-1 exists=10 tree=per-vlan
    port CORE-1:1 member=10
    port CORE-1:2 member=10
    set CORE-1:2 edge=yes bpdu-guard=yes
    bridge ACC-1 exists=10 tree=per-vlan
    port ACC-1:1 member=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    link CORE-1:1 ACC-1:1
    empty CORE-1:2
    => clean

When it is intended
    When the box at the other end is known to send no spanning-tree frame and to have few devices behind it.

Reference
    IEEE Std 802.1Q-2022, 13 (edge ports, restricted root), and IEEE Std 802.1X, from memory. A guard that shuts a
    port on a BPDU, and limits of addresses, are each family's own; that cords of a rebuild land on such ports is
    common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from vlancheck.dot1q.model import DeviceKind
from vlancheck.dot1q.properties import Property
from vlancheck.evidence import Kind
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.moved import MovedCord, as_before, moved_cords
from vlancheck.findings.settings import addresses, is_on, limit, lines, speaks_tree, with_bundle, word
from vlancheck.places import split_place
from vlancheck.site.endpoints import names_network

CODE = "P102"
NAME = "A switch in a port for end devices"


_WHY = {
    Property.ROOT_GUARD: "the port is set up for a switch that is further from the root than this one",
    Property.EDGE: "where this cord closes a ring, frames go round until the tree is settled",
}


class _Guard(NamedTuple):
    """One reason why a port is none for a switch."""

    which: Property  # that is set
    words: str  # what the port does
    severity: Severity  # how much is at stake when frames are needed there


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each guarded port that a cord to a switch is in."""
    moved = {one.after: one for one in moved_cords(case)}
    for cord in case.cords:
        for near, far in ((cord.one, cord.other), (cord.other, cord.one)):
            if not (_is_switch(case, near) and _is_switch(case, far)) or _works(case, near, as_before(case, cord)):
                continue
            guards = tuple(_guards(case, near, far, moved.get(near)))
            if guards:
                yield _finding(case, near, f"{far}, a switch", guards, far, _needed(case, near, far))
    for place, one in moved.items():
        endpoint = case.endpoints.get(place)
        if not one.far and endpoint is not None and names_network(endpoint.text):
            guards = tuple(_guards(case, place, "", one))
            if guards:
                yield _finding(case, place, f"`{endpoint.text}`", guards, "", needed=True)


def _is_switch(case: Case, place: str) -> bool:
    device, name = split_place(place)
    box, port = case.devices[device], case.port(place)
    on = {name, port.bundle if port else ""}
    return box.kind is DeviceKind.BRIDGE and any(one.port in on for one in box.bridge_ports.values())


def _works(case: Case, place: str, same: bool) -> bool:
    """Tell whether a capture shows the port up with this cord in it."""
    port = case.port(place)
    if port is None or port.link.value is not True or not any(one.kind is Kind.SHOW for one in port.link.origins):
        return False
    then = case.earlier.port(case.was(place)) if case.earlier else None
    return same or then is None or then.link.origins != port.link.origins


def _guards(case: Case, near: str, far: str, move: MovedCord | None) -> Iterator[_Guard]:
    def on(which: Property) -> bool:
        return is_on(with_bundle(case, near, which), which)

    hears = _speaks_tree(case, far) and speaks_tree(case, near) is True
    if on(Property.BPDU_GUARD) and hears:
        yield _Guard(Property.BPDU_GUARD, "shuts when a spanning-tree frame comes in", Severity.ERROR)
    if on(Property.AUTHENTICATION):
        said = word(with_bundle(case, near, Property.AUTHENTICATION), Property.AUTHENTICATION)
        yield _Guard(Property.AUTHENTICATION, f"lets in who authenticates only ({said})", Severity.ERROR)
    port = with_bundle(case, near, Property.MAC_LIMIT)
    if (most := limit(port)) is not None:
        behind = len(addresses(move.was)) if move else 0
        few = not behind or behind > most
        told = f", and {behind} were seen behind this cord" if behind else ""
        takes = f"takes {most} address{'es' if most != 1 else ''}{told}"
        yield _Guard(Property.MAC_LIMIT, takes, Severity.ERROR if few else Severity.WARNING)
    elif on(Property.STICKY_MAC):
        yield _Guard(Property.STICKY_MAC, "keeps the addresses it learned first", Severity.ERROR)
    if move is None or not hears:
        return
    if on(Property.ROOT_GUARD) and not is_on(move.was, Property.ROOT_GUARD):
        yield _Guard(Property.ROOT_GUARD, "blocks when the root of the tree is beyond it", Severity.WARNING)
    if on(Property.EDGE) and not on(Property.BPDU_GUARD) and not is_on(move.was, Property.EDGE):
        yield _Guard(Property.EDGE, "is an edge port, which forwards before the tree is settled", Severity.NOTE)


def _speaks_tree(case: Case, place: str) -> bool:
    """Tell whether spanning-tree frames may come from a port; from a box that nobody knows they may."""
    if not place:
        return True
    box = case.devices[split_place(place)[0]]
    if speaks_tree(case, place) is False:
        return False
    return any(bridge.spanning_tree.value != "off" for bridge in box.bridges.values())


def _needed(case: Case, near: str, far: str) -> bool:
    ends = {case.network.stands_for.get(place, place) for place in (near, far)}
    return any(case.needed_across(link) for link in case.network.links if {link.one, link.other} == ends)


def _finding(case: Case, near: str, told: str, guards: tuple[_Guard, ...], far: str, needed: bool) -> Finding:
    ranks = list(Severity)
    worst = min((one.severity for one in guards), key=ranks.index)
    where: list[Where] = []
    for one in guards:
        where += evidence(near, lines(with_bundle(case, near, one.which), one.which), one.which, not where)
    if far:
        where += evidence(far, case.named_at(case.network.stands_for.get(far, far)), "the far end")
    if (cord := case.cord_at.get(near)) is not None:
        where += evidence(near, cord.origins, "the cord")
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if worst is Severity.ERROR and not needed else worst,
        headline=f"{near} {', and '.join(one.words for one in guards)}; its cord leads to {told}",
        why=_WHY.get(
            guards[0].which, "the port is set up for an end device: move the cord, or take the guard off first"
        ),
        where=tuple(where),
        at=frozenset({near}),
        cause=worst is not Severity.NOTE,
    )
