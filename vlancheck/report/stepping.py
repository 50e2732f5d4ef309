"""A walk as questions: at each hop what is asked, which answers are right, and what is told then."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from vlancheck.dot1q.model import Device, DeviceKind
from vlancheck.dot1q.tags import format_frame, parse_frame
from vlancheck.places import split_place
from vlancheck.report.explaining import after, before, hop
from vlancheck.report.textpage import Page
from vlancheck.walk import Step, Walk
from vlancheck.walk.flood import What

LOST, UNPROVEN = "lost", "unproven"
_UNASKED = {DeviceKind.THROUGH, DeviceKind.UNMANAGED, DeviceKind.CARRIER_BOX}  # inside of them is no VLAN to name


@dataclass(frozen=True, slots=True)
class Hop:
    """One thing that happens to a copy, or the same thing at several ports."""

    steps: tuple[Step, ...]  # of which the first is told whole
    asked: str  # the question; "" none is asked
    choices: str  # how it may be answered
    inside: bool  # the answer is a VID inside the box; else a frame on the cord
    right: frozenset[str]  # answers that are right


def hops(walk: Walk, devices: Mapping[str, Device]) -> list[Hop]:
    """Return the hops of a walk in order; copies that leave a box alike are one."""
    alike: dict[tuple[object, ...], list[Step]] = {}
    for step in walk.steps[1:]:
        departs = walk.steps[step.parent - 1].what is What.ENTERS
        place = "" if departs else step.port
        alike.setdefault((step.parent, step.what, step.rule, step.frame, step.certain, place), []).append(step)
    return [_hop(walk, tuple(steps), devices) for steps in alike.values()]


def read_answer(text: str, hop: Hop) -> str:
    """Return an answer as `Hop.right` holds it; "" when it is none."""
    said = text.strip().lower()
    if said in ("l", LOST, "is lost", "dropped"):
        return LOST
    if said in ("?", UNPROVEN, "unknown"):
        return UNPROVEN
    said = re.sub(r"^(?:tagged|tag|vlan|vid)\s+", "", said)
    if hop.inside:
        return str(int(said)) if re.fullmatch(r"[0-9]{1,9}", said) else ""
    try:
        return format_frame(parse_frame("untagged" if said == "u" else said))
    except ValueError:
        return ""


def told(page: Page, walk: Walk, hop_: Hop, devices: Mapping[str, Device]) -> None:
    """Add what happens at a hop, and at which other ports the same happens."""
    hop(page, walk, hop_.steps[0], devices)
    if others := [step.port for step in hop_.steps[1:]]:
        page.lines.pop()
        page.prose(f"{'also':10}the same at {', '.join(others)}", 5, 15)
        page.put()


def truth(hop_: Hop) -> str:
    """Return what happens at a hop in a few words."""
    return after(hop_.steps[0])


def _hop(walk: Walk, steps: tuple[Step, ...], devices: Mapping[str, Device]) -> Hop:
    step, cause = steps[0], walk.steps[steps[0].parent - 1]
    box = split_place(step.port)[0]
    kind = devices[box].kind
    ends = step.what in (What.DELIVERED, What.GROWING) or not devices[box].bridge_ports
    if ends or kind in _UNASKED:
        return Hop(steps, "", "", False, frozenset())
    if cause.what is not What.ENTERS:
        asked = f"{cause.frame} arrives at {step.port}. In which VLAN is it inside {box}?"
        return Hop(steps, asked, "a VID, or lost", True, frozenset(_right(step, str(step.vid))))
    ports = step.port if len(steps) == 1 else f"{step.port} (and {len(steps) - 1} more)"
    asked = f"{before(walk, step)}: how does it go out at {ports}?"
    return Hop(steps, asked, "untagged, a tag such as 310, or lost", False, frozenset(_right(step, step.frame)))


def _right(step: Step, goes_on: str) -> Iterator[str]:
    if step.what is not What.DOUBT:
        yield LOST if step.what is What.LOST else goes_on
    if step.what is What.DOUBT or not step.certain:
        yield UNPROVEN
