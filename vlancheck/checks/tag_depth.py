"""A frame comes out with a tag too many or too few, and a port on its way selects tags without taking them off.

What it finds
    A declared ending where frames certainly come out with one tag more, or one less, than declared, or are dropped
    there because they have, and on the way a bridge port that is told which tags are its own and takes as many off as
    it should not: none where one is too many, or one where one is missing.

Why it matters
    The lists are right, the counters rise, and the device at the end does not know the frame.

Example
    port me:1
    bridge-port me:1.10 on=1 member=1 untagged=1 select=10
    entry me:1.10 push=1
    port me:2 member=1 untagged=1
    entry me:2 push=1
    handoff me:1
    service records 10 at me:1 -> me:2 untagged
    => Q102 me:1

Instead
    port me:1
    bridge-port me:1.10 on=1 member=1 untagged=1 select=10
    entry me:1.10 pop=1 push=1
    exit me:1.10 push=10
    port me:2 member=1 untagged=1
    entry me:2 push=1
    handoff me:1
    service records 10 at me:1 -> me:2 untagged
    => clean

When it is intended
    When the device at the end takes the tag itself: declare the frame that it gets.

Reference
    ME 3800X and 3600X software configuration guide, Ethernet virtual connections (encapsulation and `rewrite`: a frame
    whose tags do not match the encapsulation at the exit is dropped).
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import BridgePort
from vlancheck.dot1q.rules import Rule
from vlancheck.dot1q.tags import parse_frame
from vlancheck.evidence import join
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, evidence
from vlancheck.places import split_place
from vlancheck.verdicts.orders import Same
from vlancheck.verdicts.verdict import Direction, EndingVerdict, Way

CODE = "Q102"
NAME = "A tag is taken off or put on once too often"


def find(case: Case) -> Iterator[Finding]:
    """Yield one finding for every port that leaves a frame with a wrong number of tags."""
    told = set()
    for verdict in case.verdicts:
        for ending in verdict.endings:
            more = _more(case, ending)
            for hop in ending.path if more else ():
                one = _selecting(case, hop.port, more)
                if one is None or hop.port in told:
                    continue
                told.add(hop.port)
                does = "takes none off" if more > 0 else "takes one off"
                rows = join(*(row.origins for row in one.entry))
                yield Finding(
                    code=CODE,
                    name=NAME,
                    severity=Severity.WARNING,
                    headline=f"{split_place(hop.port)[0]}:{one.name} selects frames by a tag and {does}: at "
                    f"{ending.stop.name} they have {'one too many' if more > 0 else 'one too few'}",
                    why="what comes out is another frame than the one declared, or is dropped there",
                    where=(
                        *evidence(hop.port, rows or one.tpid_origins or case.named_at(hop.port), does, True),
                        *evidence(ending.stop.name, ending.stop.origins[:1], "the ending"),
                    ),
                    at=frozenset({hop.port}),
                )
                break


def _more(case: Case, ending: EndingVerdict) -> int:
    """Return how many tags too many come out, or would, at an ending; 0 where it is not just one more or less."""
    way = ending.inward
    if way is None or ending.stop.frame is Same.ANY:
        return 0
    comes = way.arrives if way.way is Way.OTHERWISE else _refused(case, ending, way)
    if not comes:
        return 0
    due = parse_frame(way.frame) if isinstance(ending.stop.frame, Same) else ending.stop.frame
    more = len(parse_frame(comes)) - len(due)
    return more if abs(more) == 1 else 0


def _refused(case: Case, ending: EndingVerdict, way: Direction) -> str:
    """Return the frame that an exit table drops at the ending and would have let out as it is, or ""."""
    reason = way.reason
    if way.way is not Way.REFUTED or reason is None or reason.rule is not Rule.EXIT_ROW or reason.place != ending.at:
        return ""
    device, port = split_place(ending.at)
    leaving = [one for one in case.network.devices[device].bridge_ports.values() if one.port == port]
    return "" if any(row.pop or row.push for one in leaving for row in one.exit) else reason.frame


def _selecting(case: Case, place: str, more: int) -> BridgePort | None:
    """Return a bridge port at `place` that is told its tags and takes too few, or too many, of them off."""
    device, port = split_place(place)
    for one in case.network.devices[device].bridge_ports.values():
        if one.port == port and one.select and one.select[0].vids.bit_count() == 1:
            # Of the tags that a row puts on, the first is the VLAN in which the bridge carries the frame.
            pops = max((row.pop - max(len(row.push) - 1, 0) for row in one.entry), default=0)
            if (more > 0 and pops <= 0) or (more < 0 and pops >= 1):
                return one
    return None
