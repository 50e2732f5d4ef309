"""A switch has more VLANs than it can run spanning trees for.

What it finds
    A switch with one spanning tree for each VLAN and more VLANs than trees: it says so in its log, or its model is
    known and so is the limit of that model. Where the limit of a model is not known, nothing is found.

Why it matters
    The VLANs beyond the limit run without a tree. Nothing shows it until a cord closes a ring in one of them.

Example
    bridge sw1 exists=1,10-99 tree=per-vlan
    setting sw1 tree-limit=64
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10 pvid=10 untagged=10
    => V107 sw1

Instead
    bridge sw1 exists=1,10-19 tree=per-vlan
    setting sw1 tree-limit=64
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10 pvid=10 untagged=10
    => clean

When it is intended
    Never: take VLANs that nobody uses out of the table, or run one tree for many VLANs (MST).

Reference
    Catalyst 3560 software configuration guide, spanning-tree guidelines (128 instances). "Cisco Gotchas - Max VLANs
    and STP Instances", sabotage-networks.blogspot.com, 2010.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import Device, Told
from vlancheck.evidence import Origins
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.vids import WIRE
from vlancheck.wiring.tree import PER_VLAN

CODE = "V107"
NAME = "More VLANs than spanning trees"
_LIMIT = "tree-limit"


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each switch whose spanning trees run out."""
    for device in case.devices.values():
        logged = next((one for one in device.logged if one.told is Told.INSTANCES), None)
        count = _trees(device)
        limit = device.settings.get(_LIMIT)
        if logged is not None:
            yield _finding(device, f"{device.name} logged that it has more VLANs than spanning trees", logged.origins)
        elif limit is not None and str(limit.value).isdecimal() and count > int(str(limit.value)):
            told = f"{device.name} has {count} VLANs and can run {limit.value} spanning trees"
            yield _finding(device, told, limit.origins)


def _trees(device: Device) -> int:
    """Return how many VLANs surely have a tree of their own."""
    bridges = [bridge for bridge in device.bridges.values() if bridge.spanning_tree.value == PER_VLAN]
    return sum((bridge.exists.sure & bridge.active.sure & WIRE).bit_count() for bridge in bridges)


def _finding(device: Device, told: str, origins: Origins) -> Finding:
    tree = next(iter(device.bridges.values())).spanning_tree if device.bridges else None
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING,
        headline=told,
        why="the VLANs beyond the limit run without a tree, and a ring in one of them is not opened",
        where=(
            *evidence(device.name, origins, "the limit", True),
            *evidence(device.name, tree.origins if tree else (), "a tree for each VLAN"),
        ),
        at=frozenset({device.name}),
        cause=False,
    )
