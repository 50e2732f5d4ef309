"""A box and a command that its family prints come in, the lines of that display go out."""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import BridgePort, Device, PortKind
from vlancheck.reader import Dialect
from vlancheck.vids import WIRE, first, ranges
from vlancheck.writer.plan import WriteError, plan_of


def display(dialect: Dialect, command: str, device: Device) -> tuple[str, ...]:
    """Return what the box prints; WriteError where the family prints no such display, or the box has no trunk."""
    if command not in dialect.prints:
        raise WriteError(f"{dialect.name} has no display {command!r}")
    ports = trunks(device)
    if not ports:
        raise WriteError(f"{device.name} has no trunk that could be printed")
    made: list[str] = []
    for line in dialect.prints[command]:
        if "{" in line:
            made += (line.format_map(_filled(dialect, device, port)) for port in ports)
        else:
            made.append(line)
    return tuple(made)


def trunks(device: Device) -> tuple[str, ...]:
    """Return the ports of a box that carry tags and are up, of which a display can tell all."""
    return tuple(_trunks(device))


def _trunks(device: Device) -> Iterator[str]:
    for name, port in device.ports.items():
        mine = [one for one in device.bridge_ports.values() if one.port == name]
        if len(mine) != 1 or port.kind is not PortKind.JACK or port.bundle or False in (port.up.value, port.link.value):
            continue
        try:
            plan = plan_of(device, name)
        except WriteError:
            continue
        if plan.tagged and not _unequal(mine[0]):
            yield name


def _unequal(one: BridgePort) -> int:
    """Return the VIDs that come in otherwise than they go out, or of which that is not known."""
    sets = (one.admit.sure, one.admit.possible, one.member.possible)
    return (sets[0] ^ one.member.sure | sets[1] ^ sets[0] | sets[2] ^ sets[0]) & WIRE


def _filled(dialect: Dialect, device: Device, port: str) -> dict[str, str]:
    one = next(one for one in device.bridge_ports.values() if one.port == port)
    bridge = device.bridges[one.bridge]
    allowed = one.member.sure & WIRE
    active = allowed & bridge.exists.sure & bridge.active.sure
    return {
        "short": _short(dialect, port),
        "native": str(_native(one)),
        "allowed": _listed(dialect, allowed),
        "active": _listed(dialect, active),
        "forwarding": _listed(dialect, active & one.forwarding.sure),
    }


def _native(one: BridgePort) -> int:
    """Return the VID of untagged frames; where none are taken, one that is not let through."""
    vid = one.pvid.value
    return vid if isinstance(vid, int) else first(~one.member.possible & WIRE)


def _listed(dialect: Dialect, bits: int) -> str:
    between, to = dialect.vids.sep[0], dialect.vids.to[0]
    runs = [str(low) if low == high else f"{low}{to}{high}" for low, high in ranges(bits)]
    return between.join(runs) or "none"


def _short(dialect: Dialect, port: str) -> str:
    """Return the name of a port with its letters shortened, as displays have it."""
    for short, long in dialect.long_names:
        if port.startswith(long) and port[len(long) :][:1].isdigit():
            return short.capitalize() + port[len(long) :]
    return port
