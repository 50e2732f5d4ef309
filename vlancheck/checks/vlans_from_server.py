"""At some ports a server may say which VLAN a user is in, and no text here tells which.

What it finds
    A box with ports at which users or devices log in (IEEE Std 802.1X, or by their address): one note that asks what
    the server may answer. Where the box had VLANs in the earlier survey that it has no longer, they are named: a
    server that still answers with one of them locks its users out.

Why it matters
    A server answers with the number or the very name of a VLAN. A switch that has none of that number, or spells
    the name in another way, treats the login as failed: the user is in no VLAN or in the one for guests.

Example
    bridge sw1 exists=10,20
    port sw1:1 pvid=10 member=10 untagged=10
    set sw1:1 authentication=dot1x
    => P114 sw1:1

Instead
    bridge sw1 exists=10,20
    port sw1:1 pvid=10 member=10 untagged=10
    => clean

When it is intended
    Always, where users log in; the note goes away by nothing that is typed. Accept it once the question is answered.

Reference
    RFC 3580, 3.31 (a server answers with a VLAN's number or name). Dell Force10 C150 configuration guide, p. 119
    (users whose VLAN is not there are not let in).
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import Device
from vlancheck.dot1q.properties import Property
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.settings import is_on, lines, word
from vlancheck.places import split_place
from vlancheck.vids import WIRE, text

CODE = "P114"
NAME = "A server says which VLAN users are in"
_OPEN = frozenset({"force-authorized", "authorized-force"})  # nobody is asked to log in
_NAMED = 4  # ports that a headline names


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each box at whose ports users log in."""
    for device in case.devices.values():
        ports = [
            port.name
            for port in device.ports.values()
            if is_on(port, Property.AUTHENTICATION)
            and word(port, Property.AUTHENTICATION).casefold() not in _OPEN
            and port.up.value is not False
            and not _to_a_box(case, f"{device.name}:{port.name}")
        ]
        if ports and not device.owner:
            yield _finding(case, device, ports)


def _to_a_box(case: Case, place: str) -> bool:
    """Tell whether a bridge hangs on a port: nobody logs in there, and another check says what the login does."""
    far = case.network.peer.get(place)
    return far is not None and case.relays(far)


def _finding(case: Case, device: Device, ports: list[str]) -> Finding:
    then = _then(case, device, ports[0])
    gone = _has(then, sure=True) & ~_has(device, sure=False) & WIRE if then is not None else 0
    places = [f"{device.name}:{name}" for name in ports]
    named = ", ".join(places[:_NAMED]) + (f" and {len(places) - _NAMED} more" if len(places) > _NAMED else "")
    where: list[Where] = []
    for place in places[:_NAMED]:
        where += evidence(place, lines(case.port(place), Property.AUTHENTICATION), "users log in", not where)
    if then is not None and gone:
        for bridge in then.bridges.values():
            parts = (origins for bits, _, origins in bridge.exists.parts if bits & gone)
            where += (one for origins in parts for one in evidence(then.name, origins, f"had VLAN {text(gone)}"))
    lacks = f", and {device.name} has VLAN {text(gone)} no longer" if gone else ""
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.WARNING if gone else Severity.NOTE,
        headline=f"a server may say which VLAN is at {named}{lacks}",
        why="the VLAN of these lines is the one before, or without, a login; a VLAN that the box lacks, or that has "
        "another name, counts as a failed login",
        where=tuple(where),
        at=frozenset(places),
        settled_by=f"ask who runs the server: which numbers and names of VLANs does it return for {device.name}? each "
        "must exist there by that very name; and is this box among its clients?",
        cause=False,
    )


def _then(case: Case, device: Device, port: str) -> Device | None:
    """Return the box in the earlier survey, where there is one."""
    if case.earlier is None:
        return None
    return case.earlier.devices.get(split_place(case.was(f"{device.name}:{port}"))[0])


def _has(device: Device, *, sure: bool) -> int:
    """Return the VLANs that a box surely has, or those it may have."""
    found = 0
    for bridge in device.bridges.values():
        found |= bridge.exists.sure if sure else bridge.exists.possible
    return found
