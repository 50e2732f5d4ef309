"""A walk hop by hop in plain words: the standard's name for what decided, beside what the box's family calls it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import assert_never

from vlancheck.dot1q.model import Device
from vlancheck.dot1q.rules import Rule
from vlancheck.evidence import Origins
from vlancheck.places import split_place
from vlancheck.reader import load_dialect
from vlancheck.report import origins, walking
from vlancheck.report.textpage import Page
from vlancheck.walk import Step, Walk
from vlancheck.walk.flood import What

STANDARD = {  # fields of the model, as IEEE Std 802.1Q calls them
    "pvid": "PVID",
    "admit": "acceptable frame types, ingress filtering",
    "member": "member set",
    "untagged": "untagged set",
    "rows": "VID translation table",
    "exists": "VLANs of the bridge",
    "forwarding": "port state in spanning tree",
    "isolation": "isolation of ports (no word of the standard)",
    "up": "MAC_Operational",
    "end": "the tag that an interface takes",
}
_INDENT, _LABEL = 5, 10


def text(walk: Walk, devices: Mapping[str, Device], survey: str, width: int = 80) -> str:
    """Return every hop of a walk explained, then what came of it."""
    page = Page(width)
    page.prose(f"{walking.called(walk.frame)} is sent at {walk.port}, survey {survey}")
    page.put()
    for step in walk.steps[1:]:
        hop(page, walk, step, devices)
    for line in walking.outcome(walk):
        page.prose(line, 0, 11)
    return page.text


def hop(page: Page, walk: Walk, step: Step, devices: Mapping[str, Device]) -> None:
    """Add one hop: the frame before and after, why in plain words, the rule, both names of it, and the line."""
    maybe = "" if step.certain else "  (unproven)"
    page.put(f"{step.number:>3}  {step.port}  {title(step)}{maybe}")
    _put(page, "before", before(walk, step))
    _put(page, "after", after(step))
    _put(page, "plainly", plainly(step))
    if step.rewritten and step.what in (What.ENTERS, What.LEAVES):
        row = Rule.REWRITTEN_IN if step.what is What.ENTERS else Rule.REWRITTEN_OUT
        _put(page, "rule", f"{row.word} ({row.clause}): {row.sentence}; then")
    _put(page, "rule", f"{step.rule.word} ({step.rule.clause}): {step.rule.sentence}")
    device = devices[split_place(step.port)[0]]
    known = load_dialect(device.dialect).words if device.dialect else {}
    for field in fields(step):
        _put(page, "802.1Q", STANDARD[field])
        if said := nearest_first(known.get(field, ()), step.evidence):
            _put(page, "this box", f"{', '.join(said)}  ({device.dialect})")
    for number, line in enumerate(origins.lines(step.evidence)):
        page.put(f"{'':{_INDENT}}{'' if number else 'decided':{_LABEL}}{line}")
    page.put()


def before(walk: Walk, step: Step) -> str:
    """Return the frame as it was before a step."""
    cause = walk.steps[step.parent - 1]
    if cause.what is What.ENTERS:
        return f"VLAN {cause.vid} inside {split_place(cause.port)[0]}"
    return f"{cause.frame} on the cord"


def after(step: Step) -> str:
    """Return the frame as it is after a step."""
    match step.what:
        case What.ENTERS:
            return f"VLAN {step.vid} inside {split_place(step.port)[0]}"
        case What.SENT | What.LEAVES:
            return f"{step.frame} on the cord"
        case What.DELIVERED:
            return f"{step.frame}, delivered"
        case What.LOST:
            return "lost"
        case What.DOUBT:
            return "not known"
        case What.GROWING:
            return "another tag each time round"
        case _ as never:
            assert_never(never)


def plainly(step: Step) -> str:
    """Return what happened, and why, in a sentence for somebody who has never read the standard."""
    vid, frame = step.vid, step.frame
    if step.rewritten and step.what is What.ENTERS:
        return f"a row of this port's table makes VLAN {vid} of a frame that arrives as {frame}"
    if step.rewritten and step.what is What.LEAVES:
        return f"a row of this port's table makes {frame} of a frame of VLAN {vid}"
    match step.rule:
        case Rule.TAGGED_IN:
            return f"the tag says VLAN {vid}, and the port accepts that tag"
        case Rule.PVID_IN:
            return f"{_untagged_here(frame)}, so it is put in VLAN {vid}, the port's own"
        case Rule.TAGGED_OUT:
            return f"the port carries VLAN {vid} and leaves the tag on"
        case Rule.UNTAGGED_OUT:
            return f"the port carries VLAN {vid} and takes the tag off"
        case Rule.TAKEN if step.name:
            return "the frame has arrived: what is here takes it"
        case Rule.TAKEN:
            return "the frame goes out here to what is beyond this network"
        case Rule.PORT_DOWN | Rule.PORT_DOWN_OUT:
            return "the port is off or nothing answers on the cord, so nothing passes"
        case Rule.FOREIGN_TAG:
            return f"the tag of {frame} is of a sort that this port does not take"
        case Rule.NOT_TAKEN:
            return f"nothing behind this port takes a frame that arrives as {frame}"
        case Rule.NOT_ADMITTED:
            return f"the frame arrives as {frame}, and the port does not accept that tag"
        case Rule.NO_PVID:
            return f"{_untagged_here(frame)}, and the port has no VLAN of its own to put it in"
        case Rule.VLAN_ABSENT:
            return f"the box has no VLAN {vid}: nobody created it here"
        case Rule.VLAN_SUSPENDED:
            return f"the box has VLAN {vid}, but it is turned off"
        case Rule.BLOCKED_IN | Rule.BLOCKED_OUT:
            return f"spanning tree keeps this port shut for VLAN {vid}, so that nothing goes in circles"
        case Rule.NOT_MEMBER:
            return f"this port does not carry VLAN {vid}, so no copy goes out here"
        case Rule.PRIVATE_VLAN:
            return f"the private VLAN lets no frame of VLAN {vid} out here"
        case Rule.NOWHERE:
            return f"no other port of this box carries VLAN {vid}: the frame has nowhere to go"
        case (
            Rule.REWRITTEN_IN | Rule.REWRITTEN_OUT | Rule.ENTRY_ROW | Rule.EXIT_ROW | Rule.RESERVED_VID
            | Rule.ISOLATED | Rule.OFF_WIRE | Rule.GROWING | Rule.LOOP | Rule.IN_DOUBT
        ):  # fmt: skip
            return step.rule.sentence
        case _ as never:
            assert_never(never)


def fields(step: Step) -> tuple[str, ...]:
    """Return the fields of the model that a step's rule looks at, by the dialects' names of them."""
    match step.rule:
        case Rule.PVID_IN | Rule.NO_PVID:
            found: tuple[str, ...] = ("pvid",)
        case Rule.TAGGED_IN | Rule.NOT_ADMITTED:
            found = ("admit",)
        case Rule.TAGGED_OUT | Rule.UNTAGGED_OUT:
            found = ("member", "untagged")
        case Rule.NOT_MEMBER | Rule.NOWHERE | Rule.PRIVATE_VLAN:
            found = ("member",)
        case Rule.VLAN_ABSENT | Rule.VLAN_SUSPENDED:
            found = ("exists",)
        case Rule.BLOCKED_IN | Rule.BLOCKED_OUT:
            found = ("forwarding",)
        case Rule.PORT_DOWN | Rule.PORT_DOWN_OUT:
            found = ("up",)
        case Rule.ISOLATED:
            found = ("isolation",)
        case Rule.REWRITTEN_IN | Rule.REWRITTEN_OUT | Rule.ENTRY_ROW | Rule.EXIT_ROW:
            found = ("rows",)
        case Rule.NOT_TAKEN:
            found = ("end",)
        case Rule.TAKEN:
            found = ("end",) if step.name else ()
        case Rule.FOREIGN_TAG | Rule.RESERVED_VID | Rule.OFF_WIRE | Rule.GROWING | Rule.LOOP | Rule.IN_DOUBT:
            found = ()
        case _ as never:
            assert_never(never)
    return ("rows", *(one for one in found if one != "rows")) if step.rewritten else found


def nearest_first(words: tuple[str, ...], evidence: Origins) -> tuple[str, ...]:
    """Return a family's words, those that stand in a line of the evidence before the others."""
    lines = " ".join(origin.text for origin in evidence if origin.file)
    return tuple(sorted(words, key=lambda word: word.partition(" ... ")[0] not in lines))


def _untagged_here(frame: str) -> str:
    if frame == "untagged":
        return "the frame has no tag"
    if frame.partition(".")[0] == "0":
        return "the tag holds a priority and no VLAN"
    return f"this port does not read the tag of {frame}, which stays on the frame as data"


def title(step: Step) -> str:
    """Return what happens in a step, as the end of a sentence that begins with its port."""
    match step.what:
        case What.SENT:
            return "is where it is sent"
        case What.ENTERS:
            return "goes in"
        case What.LEAVES:
            return "goes out"
        case What.DELIVERED:
            return "DELIVERED" + (f" to {split_place(step.name)[1]}" if step.name else "")
        case What.LOST:
            return "LOST"
        case What.DOUBT:
            return "UNPROVEN"
        case What.GROWING:
            return "GROWING"
        case _ as never:
            assert_never(never)


def _put(page: Page, label: str, words: str) -> None:
    page.prose(f"{label:{_LABEL}}{words}", _INDENT, _INDENT + _LABEL)
