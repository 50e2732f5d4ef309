"""A moved device's address is refused in its new port, or still kept at another one.

What it finds
    A cord that was moved to a port which keeps other addresses and takes no more, and an address that another port of
    the same switch keeps as its own, written there or learned and held.

Why it matters
    The device comes up for a moment, and its port is shut or drops what it sends. The cord is right and the VLAN is
    right; the line that does it often stands under the port that the cord came from.

Before
    bridge ACC-1 exists=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    set ACC-1:2 sticky-mac=00:00:5e:00:53:02 mac-limit=1 on-violation=shutdown
    hears ACC-1:1 00:00:5e:00:53:01 vid=10
    serves ACC-1:1 PC stores
    empty ACC-1:2

Example
    bridge ACC-1 exists=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    set ACC-1:2 sticky-mac=00:00:5e:00:53:02 mac-limit=1 on-violation=shutdown
    serves ACC-1:2 PC stores
    empty ACC-1:1
    => P103 ACC-1:2

Instead
    bridge ACC-1 exists=10
    port ACC-1:1 pvid=10 member=10 untagged=10
    port ACC-1:2 pvid=10 member=10 untagged=10
    serves ACC-1:2 PC stores
    empty ACC-1:1
    => clean

When it is intended
    Never with a device that is to work. Take the kept addresses off both ports before the cord is moved.

Reference
    Catalyst 3550 Command Reference, p. 617, "switchport port-security": an address that is secure at one port and
    comes in at another secure port is a violation.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from vlancheck.dot1q.model import DeviceKind, Port
from vlancheck.dot1q.properties import Property
from vlancheck.evidence import Origins
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence
from vlancheck.findings.moved import MovedCord, moved_cords
from vlancheck.findings.settings import addresses, is_on, kept, limit, lines, word
from vlancheck.places import split_place

CODE = "P103"
NAME = "A port refuses the address that is moved to it"
_SET = (Property.STICKY_MAC, Property.STATIC_MAC, Property.MAC_LIMIT, Property.ON_VIOLATION)
_SHOWN = 3  # addresses that a headline names


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each moved cord whose device is refused where it is now."""
    for one in moved_cords(case):
        known = addresses(one.was)
        if refused := _refused(case, one, known):
            yield refused
        elif elsewhere := dict(_elsewhere(case, one, known)):
            yield _kept_elsewhere(one, elsewhere)


def _refused(case: Case, one: MovedCord, known: Mapping[str, Origins]) -> Finding | None:
    """Return why the new port does not take the addresses that were seen at the old one."""
    held, most = _held(case, one.after), limit(one.now)
    far = split_place(one.far)[0]
    if not _guards(one.now) or (far and case.devices[far].kind is DeviceKind.BRIDGE):
        return None  # of a switch another check tells
    strangers = [mac for mac in known if mac not in held]
    full = most is not None and len(held) >= most
    room = most - len(held) if most is not None else 0 if held and not is_on(one.now, Property.STICKY_MAC) else None
    if room is None or (known and len(strangers) <= room) or (not known and not full):
        return None
    takes = f"keeps {_named(held)}" if held else ""
    takes += f"{' and ' if held else ''}takes {most} at most" if most is not None else ""
    if strangers:
        told = f"{_named(strangers)} was seen at {one.before}"
    else:
        told = f"no capture shows which address was at {one.before}"
    does = word(one.now, Property.ON_VIOLATION)
    where = evidence(one.after, lines(one.now, *_SET), "keeps or limits addresses", True)
    where += tuple(each for mac in strangers for each in evidence(one.before, known[mac], "seen there"))
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.ERROR if strangers else Severity.WARNING,
        headline=f"{one.headline}: {one.after} {takes}, and {told}",
        why=f"for one address more the port does `{does}`" if does else "one address more is refused",
        where=(*where, *evidence(one.after, one.origins, "the cord")),
        at=frozenset({one.after}),
        settled_by="" if strangers else f"the addresses at {one.before}, captured while it is in use",
    )


def _elsewhere(case: Case, one: MovedCord, known: Mapping[str, Origins]) -> Iterator[tuple[str, Mapping[str, Origins]]]:
    """Yield the other ports of the switch that keep some of the addresses."""
    device = split_place(one.after)[0]
    for port in case.devices[device].ports.values():
        place = f"{device}:{port.name}"
        if place == one.after:
            continue
        if held := {mac: origins for mac, origins in _held(case, place).items() if mac in known}:
            yield place, held


def _held(case: Case, place: str) -> Mapping[str, Origins]:
    return kept(case.port(place), case.earlier.port(case.was(place)) if case.earlier else None)


def _kept_elsewhere(one: MovedCord, elsewhere: Mapping[str, Mapping[str, Origins]]) -> Finding:
    where: list[Where] = []
    for place, macs in elsewhere.items():
        for origins in macs.values():
            where += evidence(place, origins, "keeps the address", not where)
    told = "; ".join(f"{place} keeps {_named(macs)}" for place, macs in elsewhere.items())
    guarded = _guards(one.now)
    why = (
        "both ports guard addresses: the new one is shut or drops what comes in"
        if guarded
        else ("the switch holds the address at the other port, and sends there what is meant for it")
    )
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.ERROR if guarded else Severity.WARNING,
        headline=f"{one.headline}, and {told}",
        why=why,
        where=(*where, *evidence(one.after, one.origins, "the cord")),
        at=frozenset({one.after, *elsewhere}),
    )


def _guards(port: Port) -> bool:
    return any(is_on(port, which) for which in (Property.STICKY_MAC, Property.STATIC_MAC, Property.MAC_LIMIT))


def _named(macs: Mapping[str, Origins] | list[str]) -> str:
    shown = list(macs)
    return ", ".join(shown[:_SHOWN]) + (f" and {len(shown) - _SHOWN} more" if len(shown) > _SHOWN else "")
