"""A handoff guards against BPDUs that come, sends BPDUs that shut the carrier's port, or hides a second way.

What it finds
    By what an order says of `l2cp`: a port that shuts at a BPDU, toward a carrier that passes or sends them; a port
    that sends them toward a carrier whose port shuts (one that filters them, or takes no part in spanning tree, sends
    none); and a service with two handoffs neither of which lets BPDUs through, so that no spanning tree sees the ring.
    Where the order says nothing, a guard there is a question.

Why it matters
    After the swap of a switch the port is shut within seconds, at our side or at theirs, and it looks like a dead
    circuit; or two circuits of one service become a loop that nothing stops.

Example
    bridge sw1 exists=1,310 tree=one-tree
    port sw1:1 member=310
    port sw1:2 pvid=310 member=310 untagged=310
    set sw1:1 bpdu-guard=yes
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro l2cp=passed
    service records 310 at sw1:1 -> sw1:2 untagged
    => E108 sw1:1

Instead
    bridge sw1 exists=1,310 tree=one-tree
    port sw1:1 member=310
    port sw1:2 pvid=310 member=310 untagged=310
    set sw1:1 bpdu-guard=yes
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro l2cp=discarded
    service records 310 at sw1:1 -> sw1:2 untagged
    => clean

When it is intended
    A guard, when the port is to shut as soon as the far site bridges. Neither a guard nor a filter is taken away
    before the carrier has said what it does with BPDUs.

Reference
    MEF 45.1, 8.1 (which protocols are discarded, peered or passed). IEEE Std 802.1Q-2022, 8.6.3 and Table 8-1, from
    memory. That a guarded port shuts at the first BPDU is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.properties import Property
from vlancheck.evidence import UNKNOWN, Origins
from vlancheck.findings.carrier import entered, services_at
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.settings import is_on, lines, speaks_tree
from vlancheck.places import split_place
from vlancheck.site.handoffs import Handoff, L2cp
from vlancheck.verdicts.orders import OrderKind

CODE = "E108"
NAME = "BPDUs at a handoff"
_L2CP = "BPDUs (01-80-C2-00-00-00 of the L2CP set)"


def find(case: Case) -> Iterator[Finding]:
    """Yield the findings of each handoff, then those of services with two ways that no tree sees."""
    for place in sorted({*case.network.handoffs, *case.ordered}):
        orders = case.ordered.get(place, ())
        said = next((one for one in orders if one.l2cp is not None), None)
        if is_on(case.port(place), Property.BPDU_GUARD) and not is_on(case.port(place), Property.BPDU_FILTER):
            yield from _guarded(case, place, said)
        if said is not None and said.l2cp is L2cp.SHUTS:
            yield from _sends(case, place, said)
    yield from _rings(case)


def _guarded(case: Case, place: str, said: Handoff | None) -> Iterator[Finding]:
    origins = lines(case.port(place), Property.BPDU_GUARD)
    if said is not None and said.l2cp in (L2cp.PASSED, L2cp.PEERED):
        does = "passes them between the ends" if said.l2cp is L2cp.PASSED else "takes part in the protocol"
        words = f"{place} shuts when a BPDU arrives, and the carrier {does} ({said.called})"
        settle = f"ask the carrier to discard {_L2CP} at {place}; the guard stays"
        yield _finding(place, words, "one BPDU from beyond shuts the circuit", origins, said, settle, known=True)
    elif said is None and any(services_at(case, place)):
        words = f"{place} shuts when a BPDU arrives, and nothing says whether the carrier passes or sends any"
        settle = f"ask the carrier whether it passes, takes part in or discards {_L2CP} at {place}"
        yield _finding(place, words, "one BPDU from beyond shuts the circuit", origins, None, settle)


def _sends(case: Case, place: str, said: Handoff) -> Iterator[Finding]:
    here = speaks_tree(case, place)
    if here is False or case.network.only_ends(place):
        return
    device, port = split_place(place)
    box = case.network.devices[device]
    trees = [box.bridges[one.bridge].spanning_tree for one in box.bridge_ports.values() if one.port == port]
    if not trees or all(one.value == "off" for one in trees):
        return
    unknown = here is None or all(one.value in (UNKNOWN, "unknown", "off") for one in trees)
    origins = next((one.origins for one in trees if one.value != "off"), ())
    words = f"{place} {'may send' if unknown else 'sends'} BPDUs, and the carrier's port shuts at one ({said.called})"
    settle = f"whether {device} runs a spanning tree at {port}, as the device prints it" if unknown else ""
    yield _finding(place, words, "the carrier's port shuts, and only the carrier opens it", origins, said, settle)


def _rings(case: Case) -> Iterator[Finding]:
    """Yield a finding for each service that enters at two places through neither of which a BPDU gets."""
    told: dict[tuple[str, ...], list[str]] = {}
    for order in case.orders:
        if order.kind is OrderKind.SERVICE and len(order.enters) > 1:
            blind = {entered(case, stop.place) for stop in order.enters if stop.place}
            blind = {place for place in blind if _blind(case, place)}
            if len(blind) > 1 and not any(case.network.only_ends(place) for place in blind):
                told.setdefault(tuple(sorted(blind)), []).append(order.name)
    for places, names in told.items():
        where: list[Where] = []
        for place in places:
            where += evidence(place, _blind(case, place), "no BPDU gets through", not where)
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.WARNING,
            headline=f"{', '.join(names)} enters at {' and '.join(places)}, and no BPDU gets through either",
            why="if the carrier joins the two circuits, frames go round for ever and no spanning tree sees the ring",
            where=tuple(where),
            at=frozenset(places),
            settled_by="ask the carrier whether both circuits are ever forwarding at once, and what blocks one of them",
            cause=False,
        )


def _blind(case: Case, place: str) -> Origins:
    """Return what keeps BPDUs from getting through a handoff; () when nothing does."""
    for one in case.ordered.get(place, ()):
        if one.l2cp is L2cp.DISCARDED:
            return one.said["l2cp"].origins
    filtered = is_on(case.port(place), Property.BPDU_FILTER)
    return lines(case.port(place), Property.BPDU_FILTER) if filtered else ()


def _finding(
    place: str, words: str, why: str, origins: Origins, said: Handoff | None, settle: str = "", *, known: bool = False
) -> Finding:
    where = evidence(place, origins, "at our port", True)
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.NOTE if settle and not known else Severity.WARNING,
        headline=words,
        why=why,
        where=(*where, *(evidence(place, said.said["l2cp"].origins, "the order") if said else ())),
        at=frozenset({place}),
        settled_by=settle,
        cause=False,
    )
