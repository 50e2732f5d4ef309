"""A port that tags many VLANs, as one toward a switch does, serves a PC, a printer or a phone.

What it finds
    A jack that by the sheet serves nothing but end devices with one network, or a phone, and whose port tags more
    VLANs than a phone needs. Where the port takes no untagged frame, or something is declared there, it is told by
    itself; the others of a box are one note.

Why it matters
    The PC is in the trunk's own untagged VLAN, which nobody chose for it, or in none. Broadcasts of every VLAN come
    out at the jack, and who plugs in a switch there has them all.

Example
    bridge sw1 exists=1,10,20,30,40
    port sw1:1 pvid=1 member=1,10,20,30,40 untagged=1
    port sw1:2 pvid=10 member=10 untagged=10
    serves sw1:1 PC stores
    => P112 sw1:1

Instead
    bridge sw1 exists=1,10,20,30,40
    port sw1:1 pvid=10 member=10 untagged=10
    port sw1:2 pvid=10 member=10 untagged=10
    serves sw1:1 PC stores
    => clean

When it is intended
    A PC on which virtual machines are in VLANs of their own: say `server` or `hypervisor` in the sheet.

Reference
    Common practice, no source: ports for end devices are in one VLAN, with a voice VLAN beside it at most.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from vlancheck.findings.case import Case
from vlancheck.findings.declared import declared_at
from vlancheck.findings.ends import PlainEnd, plain_end
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.places import split_place
from vlancheck.site.endpoints import EndpointKind
from vlancheck.vids import first, text

CODE = "P112"
NAME = "A trunk at a jack for an end device"
_ENDS = frozenset(
    {
        EndpointKind.PC,
        EndpointKind.PRINTER,
        EndpointKind.PHONE,
        EndpointKind.FAX,
        EndpointKind.PAYMENT,
        EndpointKind.CAMERA,
        EndpointKind.DISPLAY,
    }
)
_MANY = 3  # tagged VLANs from which a port is taken for a trunk; a phone may need two (common practice)
_NAMED = 4  # ports that a headline names


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each trunk at a jack with something declared, and one for the others of a box."""
    others: dict[str, list[str]] = {}
    ends: dict[str, PlainEnd] = {}
    for place, endpoint in case.endpoints.items():
        if not endpoint.kinds or not set(endpoint.kinds) <= _ENDS or place in case.network.handoffs:
            continue
        if case.ground.judged_at(place) != place or (end := plain_end(case, place)) is None or not _trunk(end):
            continue
        ends[place] = end
        if end.takes_untagged is False or declared_at(case, place):
            yield _finding(case, [place], end)
        else:
            others.setdefault(split_place(place)[0], []).append(place)
    for places in others.values():
        yield _finding(case, places, ends[places[0]])


def _trunk(end: PlainEnd) -> bool:
    return (end.tags & end.bridge.exists.possible).bit_count() >= _MANY


def _finding(case: Case, places: Sequence[str], end: PlainEnd) -> Finding:
    where: list[Where] = []
    for place in places[:_NAMED]:
        here = plain_end(case, place) or end
        where += evidence(place, here.why_member(first(here.tags)), f"tags {text(here.tags)}", not where)
        where += evidence(place, case.endpoints[place].origins, "what hangs there")
    named = ", ".join(f"{place} (`{case.endpoints[place].text}`)" for place in places[:_NAMED])
    named += f" and {len(places) - _NAMED} more" if len(places) > _NAMED else ""
    lost = end.takes_untagged is False
    if lost:
        why = "what hangs there sends untagged frames, and they are lost where they come in"
    elif end.pvid is None:
        why = "nobody knows in which VLAN what hangs there is"
    elif len(places) == 1:
        why = f"what hangs there is in VLAN {end.pvid}, the trunk's own, and hears broadcasts of the others"
    else:
        why = "what hangs there is in the trunk's own VLAN, and hears broadcasts of the others"
    if len(places) > 1:
        headline = f"{named} are trunks at jacks for end devices"
    else:
        headline = f"{named} is a trunk: it tags {text(end.tags)}" + (" and takes no untagged frame" if lost else "")
    own = 1 << end.pvid if end.pvid is not None else 0
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if lost else Severity.NOTE,
        headline=headline,
        why=why,
        where=tuple(where),
        vids=end.tags | own if len(places) == 1 and not lost else 0,
        at=frozenset(places),
    )
