"""An analog line leads to a port of the network.

What it finds
    A port of a switch, a router or a firewall with a cord of the kind analog (RJ11, POTS, FXS), or with something
    behind it that is called analog and has no adapter.

Why it matters
    No frame passes an analog line, so what hangs there does not work; its ringing voltage may spoil the port.

Example
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    serves sw1:1 "analogue fax"
    => W103 sw1:1

Instead
    bridge sw1 exists=10
    port sw1:1 member=10 pvid=10 untagged=10
    serves sw1:1 "analogue fax behind an adapter"
    => clean

When it is intended
    When an adapter stands between: name it in the row.

Reference
    Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import DeviceKind
from vlancheck.evidence import Origins
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.places import split_place
from vlancheck.site.cordkinds import says_analog
from vlancheck.site.endpoints import caution

CODE = "W103"
NAME = "Analog line at a data port"
_NETWORK = (DeviceKind.BRIDGE, DeviceKind.ROUTER, DeviceKind.FIREWALL, DeviceKind.UNMANAGED)


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every port of the network that an analog line leads to."""
    lines: dict[str, Origins] = dict(case.analog)
    for place, endpoint in case.endpoints.items():
        if says_analog(endpoint.text):
            lines.setdefault(place, endpoint.origins)
    for place, rows in lines.items():
        device = case.devices.get(split_place(place)[0])
        if device is None or device.kind not in _NETWORK:
            continue
        hangs = case.endpoints.get(place)
        asked = caution(hangs.kinds) if hangs else ""
        yield Finding(
            code=CODE,
            name=NAME,
            severity=Severity.ERROR,
            headline=f"an analog line leads to {place}" + (f" ({hangs.text})" if hangs else ""),
            why="no frame passes it, and ringing voltage may spoil the port" + (f"; {asked}" if asked else ""),
            where=evidence(place, rows, "this row", True) + evidence(place, case.named_at(place), "the port"),
            at=frozenset({place}),
            settled_by="trace the cord, and see whether the socket at its end is a telephone line",
        )
