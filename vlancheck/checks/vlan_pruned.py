"""VTP pruning is on toward a switch that does not ask for VLANs by VTP.

What it finds
    A link that VLANs must cross, at one end of which a switch prunes, and whose other end is a switch in VTP mode
    transparent or off, or of a family without VTP. VLANs that the table of its trunks showed to pass are left out, and
    so are those that are never pruned (1, and from 1002 on). Where lines say which may be pruned, it is a note.

Why it matters
    A VLAN stays on the link only as long as the far end asks for it, and that end never asks. The list of the trunk
    allows the VLAN, both switches have it, and nothing of it crosses.

Example
    bridge sw1 exists=1,10
    setting sw1 vtp-mode=server vtp-domain=quay vtp-pruning=yes
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=1,10 pvid=1 untagged=1
    bridge sw2 exists=1,10
    setting sw2 vtp-mode=transparent vtp-domain=quay
    port sw2:1 member=10 pvid=10 untagged=10
    port sw2:2 member=1,10 pvid=1 untagged=1
    link sw1:2 sw2:2
    vlan 10 -> sw1:1 untagged, sw2:1 untagged
    => V106 sw1:2

Instead
    bridge sw1 exists=1,10
    setting sw1 vtp-mode=server vtp-domain=quay
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=1,10 pvid=1 untagged=1
    bridge sw2 exists=1,10
    setting sw2 vtp-mode=transparent vtp-domain=quay
    port sw2:1 member=10 pvid=10 untagged=10
    port sw2:2 member=1,10 pvid=1 untagged=1
    link sw1:2 sw2:2
    vlan 10 -> sw1:1 untagged, sw2:1 untagged
    => clean

When it is intended
    Never for a VLAN that must cross: take it out of the list of what may be pruned at this port, or turn pruning off.

Reference
    Catalyst 3750-X and 3560-X software configuration guide, VTP pruning (manualsdump.com, manual 121000, p. 485).
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.evidence import Kind, State
from vlancheck.findings.advertised import Sharing, sharing
from vlancheck.findings.case import Case
from vlancheck.findings.ends import PlainEnd, plain_end
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.places import split_place
from vlancheck.vids import members, text
from vlancheck.wiring.network import Link

CODE = "V106"
NAME = "VLANs are pruned toward a switch that never asks for them"
_PRUNED = (1 << 1002) - (1 << 2)  # VLANs that may be pruned, 2 to 1001


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each end of a link at which VLANs are pruned that the far end needs and never asks for."""
    known = sharing(case)
    for link in case.links():
        for mine, far in ((link.one, link.other), (link.other, link.one)):
            one = known.get(split_place(mine)[0])
            if one is None or not one.shares or not _prunes(case, one.device) or not _silent(case, known, one, far):
                continue
            end = plain_end(case, mine)
            if end is not None and (vids := _at_risk(case, link, end)):
                yield _finding(case, one, end, far, vids)


def _prunes(case: Case, device: str) -> bool:
    said = case.devices[device].settings.get("vtp-pruning")
    return said is not None and said.value == "yes"


def _silent(case: Case, known: dict[str, Sharing], one: Sharing, far: str) -> bool:
    """Tell whether the switch at the far end surely asks for no VLAN."""
    box = case.devices[split_place(far)[0]]
    if (other := known.get(box.name)) is not None:
        return other.alone
    return bool(box.dialect) and box.dialect != case.devices[one.device].dialect


def _at_risk(case: Case, link: Link, end: PlainEnd) -> int:
    """Return the VIDs that must cross, leave here tagged, and were not shown to pass."""
    vids = case.needed_across(link) & end.tags & _PRUNED
    for vid in members(vids):
        state, by = end.port.forwarding.why(vid)
        if state is State.IN and any(origin.kind is Kind.SHOW and origin.file for origin in by):
            vids &= ~(1 << vid)
    return vids


def _finding(case: Case, one: Sharing, end: PlainEnd, far: str, vids: int) -> Finding:
    device = case.devices[one.device]
    listed = "vtp-pruning-lists" in device.settings
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.NOTE if listed else Severity.WARNING,
        headline=f"{one.device} prunes VLAN {text(vids)} at {end.place} unless the far end asks for "
        f"{'it' if vids.bit_count() == 1 else 'them'}, and {far} never does",
        why="what is pruned is not sent over the link, whatever its list allows"
        + ("; look at the list of what may be pruned at the port" if listed else ""),
        where=(
            *evidence(one.device, device.settings["vtp-pruning"].origins, "prunes", True),
            *evidence(end.place, end.why_member(next(members(vids))), f"carries VLAN {text(vids)}"),
            *evidence(far, case.named_at(far), "asks for none"),
        ),
        vids=vids,
        at=frozenset({end.place}),
        settled_by="show interfaces trunk" if not listed else "show interfaces switchport",
    )
