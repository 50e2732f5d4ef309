"""The log of a box tells of a fault.

What it finds
    Messages in a captured log, or between the lines of one, in which a box says itself that something is wrong: the
    far end has another untagged VLAN, spanning tree holds a port back, a BPDU shut a port, a member does not fit into
    its bundle, an address is learned at two ports in turn. All messages of one sort at one port are one finding. That
    two VTP domains do not negotiate is told only where a mode is left to negotiation: the same message comes at a
    trunk that is set by hand, and says nothing there.

Why it matters
    The box has seen what no configuration shows. The message may be old: what it tells of may be mended since.

Example
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10 pvid=10 untagged=10
    logged sw1:1 told=flapping text="address 0000.5e00.5301 flaps between ports 1 and 2"
    => U104 sw1:1

Instead
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=10 pvid=10 untagged=10
    => clean

When it is intended
    When the fault is mended: clear the log, wait, and capture it again.

Reference
    System message guides of the Catalyst families, from memory. "The %DTP-5-DOMAINMISMATCH error message is displayed
    in the logs", Cisco support community document 3132339 (the message at a trunk that works).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import assert_never

from vlancheck.dot1q.model import Device, Logged, Told
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence

CODE = "U104"
NAME = "The log tells of a fault"


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each sort of message at each port of a box."""
    for device in case.devices.values():
        for one in device.logged:
            if one.told is Told.INSTANCES:  # another check tells of these
                continue
            if one.told is not Told.DOMAIN or _negotiates(device, one.port):
                yield _finding(case, device, one)


def _negotiates(device: Device, port: str) -> bool:
    """Tell whether what the far end says decides the mode of a port."""
    said = device.ports[port].negotiation if port in device.ports else None
    return said is not None and len({said.alone, *said.outcomes.values()}) > 1


def _finding(case: Case, device: Device, one: Logged) -> Finding:
    place = f"{device.name}:{one.port}" if one.port else device.name
    often = f" {one.times} times" if one.times > 1 else ""
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if case.needed_on.get(device.name, 0) else Severity.NOTE,
        headline=f"{place} logged{often}: {_words(one.told)}",
        why="it was so when the line was logged; look whether it still is",
        where=evidence(place, one.origins, "logged", True),
        at=frozenset({place}),
        cause=False,
    )


def _words(told: Told) -> str:
    match told:
        case Told.NATIVE:
            return "the untagged VLAN of the far end is another one"
        case Told.MODE:
            return "one end of the link tags and the other does not"
        case Told.GUARDED:
            return "a BPDU came in where none may, and the port was shut"
        case Told.SHUT:
            return "the box shut the port itself"
        case Told.UNBUNDLED:
            return "the port is set otherwise than its bundle, and is left out of it"
        case Told.FLAPPING:
            return "an address is learned here and elsewhere in turn, as in a loop"
        case Told.DOMAIN:
            return "the mode is not negotiated, since the far end is in another VTP domain"
        case Told.INSTANCES:
            return "there are more VLANs than spanning trees, and some run without one"
        case _:
            assert_never(told)
