"""Nothing that was captured says whether a switch has the VLANs that are needed in it.

What it finds
    A switch with VLANs that are needed at its ports, or across it, and of which no captured line says whether they
    exist: a configuration with port lines and no list of VLANs, as of a family that keeps the list in a file beside
    it. One finding a switch. A switch that was not there before, or is another model, has a list of its own: that
    is a warning. A list that the text does hold, and that lacks a VLAN, is another finding.

Why it matters
    A configuration that is copied onto a new box takes no VLANs with it where they are kept beside it. Every line is
    the same, every lamp is on, and nothing passes.

Example
    bridge sw1 exists=1,?10
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10 pvid=10 untagged=10
    vlan 10 -> sw1:1 untagged, sw1:2 untagged
    => V103 sw1

Instead
    bridge sw1 exists=1,10
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10 pvid=10 untagged=10
    vlan 10 -> sw1:1 untagged, sw1:2 untagged
    => clean

When it is intended
    Never: capture the table of VLANs of the old box before it is switched off, and type the VLANs on the new one.

Reference
    "Manage vlan.dat in Cisco Catalyst Switches", document 109304 (a switch whose VTP mode is server or client keeps
    its VLANs in a file and not in its configuration).
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import DeviceKind
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.findings.tables import not_captured
from vlancheck.vids import first, text

CODE = "V103"
NAME = "Which VLANs a switch has was not captured"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every bridge of which no text says whether it has what is needed in it."""
    for device, box in case.network.devices.items():
        if box.kind is DeviceKind.CARRIER_BOX:
            continue
        for name in box.bridges:
            if vids := not_captured(case, device, name):
                yield _finding(case, device, name, vids)


def _finding(case: Case, device: str, bridge: str, vids: int) -> Finding:
    origins = case.network.devices[device].bridges[bridge].exists.why(first(vids))[1]
    settled = next((one.settle for one in origins if one.settle), "the table of VLANs that the box prints")
    which = f"{device} ({bridge})" if bridge else device
    if new := _new(case, device):
        why = (
            f"{which} {new}: VLANs that its configuration does not make must be typed there, or nothing passes in them"
        )
    else:
        why = "a box that is put in its place by this text alone may have none of them; write them down before it goes"
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if new else Severity.NOTE,
        headline=f"nothing captured says whether {which} has VLAN {text(vids)}, which {_is(vids)} needed there",
        why=why,
        where=evidence(device, origins, f"VLAN {text(vids)} is not told", primary=True),
        vids=vids,
        at=frozenset({device}),
        settled_by=settled,
        cause=False,
    )


def _new(case: Case, device: str) -> str:
    """Return why a box is not the one that was there before; "" when it is, or nobody knows."""
    if case.earlier is None:
        return ""
    old = case.was(device)
    before = case.earlier.devices.get(old)
    if before is None:
        return "was not there before"
    if old != device:
        return f"takes the place of {old}"
    models = [box.settings["model"].value for box in (before, case.devices[device]) if "model" in box.settings]
    return "is another model than before" if len(set(models)) > 1 else ""


def _is(vids: int) -> str:
    return "is" if vids.bit_count() == 1 else "are"
