"""A port was shut by its own box, and stays so until somebody opens it.

What it finds
    A port that a capture shows as shut by the device itself (err-disabled), with the cause that it gives and the line
    that set the rule. One that was not so in the earlier survey came with the work; one that was is told as a note,
    unless something declared hangs there.

Why it matters
    One jack is dead, and no other cord helps: the port stays shut when the cause is gone. While the cause is there,
    a port that is opened is shut again.

Example
    bridge sw1 exists=10
    port sw1:1 pvid=10 member=10 untagged=10 link=no
    port sw1:2 pvid=10 member=10 untagged=10
    set sw1:1 shut-by=bpduguard bpdu-guard=yes
    serves sw1:1 PC stores
    => P107 sw1:1

Instead
    bridge sw1 exists=10
    port sw1:1 pvid=10 member=10 untagged=10
    port sw1:2 pvid=10 member=10 untagged=10
    set sw1:1 bpdu-guard=yes
    serves sw1:1 PC stores
    => clean

When it is intended
    When nothing is to be plugged in there. Some boxes open such ports again after a while, where a line says so.

Reference
    Cisco Document 69980, "Recover Errdisable Port State on Cisco IOS Platforms" (the causes, and that the port stays
    shut until it is shut and opened by hand, or a recovery time is set).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from vlancheck.dot1q.model import Port
from vlancheck.dot1q.properties import Property
from vlancheck.findings.case import Case
from vlancheck.findings.declared import declared_at
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.findings.settings import lines, word

CODE = "P107"
NAME = "A port that its own box shut"


class _Cause(NamedTuple):
    """What a device may say, what it means, and the rule behind it."""

    like: re.Pattern[str]  # searched in the letters of what it says
    words: str  # what happened
    rules: tuple[Property, ...]  # what the port is set to that makes it do so


# Words of published lists of causes (Cisco Document 69980), as far as they stand in other families' texts alike.
_CAUSES = (
    _Cause(re.compile("bpdu"), "a spanning-tree frame came in, of a switch or over a loop", (Property.BPDU_GUARD,)),
    _Cause(
        re.compile("secur|violation"),
        "more or other addresses came in than it takes",
        (Property.MAC_LIMIT, Property.STICKY_MAC, Property.STATIC_MAC),
    ),
    _Cause(re.compile("flap"), "the link went up and down: a cord, a plug or a device that restarts", ()),
    _Cause(re.compile("loop"), "it heard its own frames: a cord leads back to the same switch", ()),
    _Cause(re.compile("storm"), "too many broadcast, multicast or unknown frames came in", (Property.STORM_LIMIT,)),
    _Cause(re.compile("inline|power|poe"), "the power over the cord had a fault", (Property.POWER,)),
    _Cause(re.compile("channel|lacp|pagp"), "the two ends of a bundle did not form one", ()),
    _Cause(re.compile("udld|unidirectional"), "frames pass one way only: a fibre is out or crossed", ()),
    _Cause(re.compile("gbic|sfp|xcvr|transceiver"), "the transceiver is not taken", ()),
    _Cause(re.compile("dotx|auth"), "somebody else than the one who logged in sent frames", (Property.AUTHENTICATION,)),
    _Cause(re.compile("arp"), "too many ARP frames came in, or false ones", (Property.ARP_TRUST,)),
    _Cause(re.compile("dhcp"), "too many DHCP frames came in", (Property.DHCP_TRUST,)),
)


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for each port that is shown as shut by its box."""
    for device in case.devices.values():
        for port in device.ports.values():
            if (said := word(port, Property.SHUT_BY)) and port.up.value is not False:
                yield _finding(case, f"{device.name}:{port.name}", port, said)


def _finding(case: Case, place: str, port: Port, said: str) -> Finding:
    then = case.earlier.port(case.was(place)) if case.earlier else None
    before = word(then, Property.SHUT_BY)
    cause = next((one for one in _CAUSES if one.like.search(re.sub("[^a-z]", "", said.casefold()))), None)
    rules = [which for which in cause.rules if which in port.properties] if cause else []
    told = "as before" if before else "as it was not before" if then is not None else ""
    return Finding(
        code=CODE,
        name=NAME,
        severity=_severity(case, place, then),
        headline=f"{place} was shut by its own box (`{said}`){f', {told}' if told else ''}",
        why=(f"{cause.words}; " if cause else "")
        + "no frame passes: clear the cause first, then shut the port and open it (`shutdown`, `no shutdown`)",
        where=(
            *evidence(place, lines(port, Property.SHUT_BY), f"shut by `{said}`", True),
            *(one for which in rules for one in evidence(place, lines(port, which), "the rule")),
            *(evidence(place, lines(then, Property.SHUT_BY), "before") if before else ()),
        ),
        at=frozenset({place}),
    )


def _severity(case: Case, place: str, then: Port | None) -> Severity:
    at = case.network.stands_for.get(place, place)
    if declared_at(case, at):
        return Severity.ERROR
    if then is not None:
        return Severity.NOTE if word(then, Property.SHUT_BY) else Severity.WARNING
    far = case.network.peer.get(at)
    across = (case.needed_across(link) for link in case.network.links if {link.one, link.other} == {at, far})
    return Severity.WARNING if case.needed_frames.get(at) or any(across) else Severity.NOTE
