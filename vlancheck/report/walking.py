"""A walk as a lesson in text, and as a document."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from vlancheck.dot1q.rules import Rule
from vlancheck.report import origins
from vlancheck.walk import Loop, Step, Walk
from vlancheck.walk.flood import What

SCHEMA = "vlancheck/walk/1"
NOTHING = "nothing came of it: no copy left the first port"


def text(walk: Walk, survey: str) -> str:
    """Return the walk step by step, then what came of it."""
    out = [f"  1  {walk.port}  {called(walk.frame)} is sent here, survey {survey}", ""]
    for step in walk.steps[1:]:
        out += _step(step)
    return "\n".join([*out, *outcome(walk)])


def document(walk: Walk, survey: str) -> dict[str, Any]:
    """Return the walk as JSON fields; the schema only grows."""
    return {
        "schema": SCHEMA,
        "survey": survey,
        "from": walk.port,
        "frame": walk.frame,
        "complete": walk.complete,
        "deliveries": [{"port": d.port, "frame": d.frame, "interface": d.interface} for d in walk.deliveries],
        "losses": [
            {
                "port": loss.port,
                "frame": loss.frame,
                "rule": _rule(loss.rule),
                "evidence": origins.documents(loss.evidence),
            }
            for loss in walk.losses
        ],
        "unproven": [
            {
                "port": item.port,
                "frame": item.frame,
                "reason": item.reason,
                "settled_by": item.settled_by,
                "evidence": origins.documents(item.evidence),
            }
            for item in walk.unproven
        ],
        "loops": [
            {
                "ports": list(loop.ports),
                "vid": None if loop.growing else loop.vid,
                "growing": loop.growing,
                "certain": loop.certain,
            }
            for loop in walk.loops
        ],
        "steps": [
            {
                "number": step.number,
                "parent": step.parent,
                "what": step.what.value,
                "port": step.port,
                "name": step.name,
                "frame": step.frame,
                "vid": step.vid,
                "rule": _rule(step.rule),
                "certain": step.certain,
                "evidence": origins.documents(step.evidence),
            }
            for step in walk.steps
        ],
    }


def steps(several: Iterable[Step]) -> list[str]:
    """Return some steps of a walk as lines, each with its rule and what decided it."""
    return [line for step in several for line in _step(step)]


def _rule(rule: Rule) -> dict[str, str]:
    return {"name": rule.word, "clause": rule.clause, "says": rule.sentence}


def called(frame: str) -> str:
    """Return what a frame is called at the beginning of a sentence."""
    return "An untagged frame" if frame == "untagged" else f"A frame tagged {frame}"


def _step(step: Step) -> list[str]:
    maybe = "" if step.certain else "  (unproven)"
    after = f"  (after {step.parent})" if step.parent != step.number - 1 else ""
    head = f"{step.number:>3}  {step.port}  {happens(step)}{maybe}{after}"
    if step.what is What.SENT or (step.what is What.DELIVERED and not step.name):
        return [head, ""]
    body = [f"     {step.rule.sentence} ({step.rule.clause})"]
    body += [f"     {line}" for line in origins.lines(step.evidence)]
    return [head, *body, ""]


def happens(step: Step) -> str:
    """Return what happens in a step, in a few words."""
    frame = step.frame
    match step.what:
        case What.SENT:
            return f"{frame} is sent"
        case What.ENTERS:
            return f"{frame} in, VLAN {step.vid} inside"
        case What.LEAVES:
            return f"VLAN {step.vid} inside, {frame} out"
        case What.DELIVERED:
            return f"DELIVERED {frame}" + (f" to {step.name.partition(':')[2]}" if step.name else "")
        case What.LOST:
            return f"LOST {frame}"
        case What.DOUBT:
            return f"UNPROVEN {frame}"
        case What.GROWING:
            return f"GROWING {frame}"


def outcome(walk: Walk) -> list[str]:
    """Return what came of a walk, a line for each delivery, loss, doubt and loop."""
    out = []
    for delivery in walk.deliveries:
        to = f" (interface {delivery.interface})" if delivery.interface else ""
        out.append(f"delivered  {delivery.port}  {delivery.frame}{to}")
    out += [f"lost       {loss.port}  {loss.frame}: {loss.rule.sentence}" for loss in walk.losses]
    for item in walk.unproven:
        out += [f"unproven   {item.port}  {item.frame}: {item.reason}", f"           settled by: {item.settled_by}"]
    out += [round_again(loop) for loop in walk.loops]
    return out or [NOTHING]


def round_again(loop: Loop) -> str:
    """Return where a copy goes round."""
    sure = "" if loop.certain else " (unproven)"
    if loop.growing:
        return f"growing    the frame gets another tag each time it comes round to {loop.ports[0]}{sure}"
    return f"loop       VLAN {loop.vid} goes round by {', '.join(loop.ports)}{sure}"
