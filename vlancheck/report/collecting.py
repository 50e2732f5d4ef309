"""Dialects, and what a report leaves open, come in; the commands to capture, and how much each would settle, go out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from vlancheck.open_answers import Open
from vlancheck.places import split_place
from vlancheck.reader import Dialect

SCHEMA = "vlancheck/collect/1"
_NEW = "a capture of "  # how an answer asks for a box of which there is none


@dataclass(frozen=True, slots=True)
class Box:
    """A device of a survey, and what was captured of it."""

    name: str  # of the device
    dialect: Dialect  # by which it was read
    captured: frozenset[str]  # names of the sources of which there is a text


@dataclass(frozen=True, slots=True)
class Wanted:
    """A capture that is not there."""

    device: str  # of which
    command: str  # to be typed
    purpose: str  # what its output is for
    settles: int = 0  # open answers that wait for it


@dataclass(frozen=True, slots=True)
class Collection:
    """What is to be captured of a site."""

    answers: int  # open answers
    wanted: tuple[Wanted, ...]  # those that settle something, most first
    questions: tuple[tuple[str, int], ...]  # what no capture settles, and how many answers wait for it
    unexplained: int  # open answers of which nothing says what would settle them
    others: tuple[Wanted, ...]  # captures that nothing waits for


def collection(boxes: Sequence[Box], answers: Iterable[Open]) -> Collection:
    """Return the captures that are missing, ranked by how many open answers wait for each."""
    by_name = {box.name: box for box in boxes}
    counts: dict[tuple[str, str], int] = {}
    purposes: dict[tuple[str, str], str] = {}
    questions: dict[str, int] = {}
    total = unexplained = 0
    for answer in dict.fromkeys(answers):
        total += 1
        if not answer.settled_by:
            unexplained += 1
        elif (found := _capture(answer, by_name)) is not None:
            key, purposes[key] = found, _purpose(by_name.get(found[0]), found[1])
            counts[key] = counts.get(key, 0) + 1
        else:
            questions[answer.settled_by] = questions.get(answer.settled_by, 0) + 1
    wanted = [Wanted(*key, purposes[key], count) for key, count in counts.items()]
    wanted.sort(key=lambda one: (-one.settles, one.device, one.command))
    asked = sorted(questions.items(), key=lambda one: (-one[1], one[0]))
    return Collection(total, tuple(wanted), tuple(asked), unexplained, tuple(_others(boxes, counts)))


def _capture(answer: Open, boxes: Mapping[str, Box]) -> tuple[str, str] | None:
    """Return the device and the command that would settle an answer, or None where no capture does."""
    text = answer.settled_by
    device = split_place(answer.place)[0]
    if text.startswith(_NEW):
        name = text.removeprefix(_NEW).partition(" ")[0].rstrip(",")
        box = boxes.get(name)
        first = next((source.capture for source in box.dialect.sources if source.capture), "") if box else ""
        return name, first or "its configuration"
    if (box := boxes.get(device)) is not None and box.dialect.source_of(text) is not None:
        return device, text
    return None


def _purpose(box: Box | None, command: str) -> str:
    if box is None:
        return "everything about this box"
    source = box.dialect.source_of(command)
    return source.purpose if source else ""


def _others(boxes: Sequence[Box], counts: Mapping[tuple[str, str], int]) -> Iterable[Wanted]:
    for box in boxes:
        waited = {one.name for name, command in counts if name == box.name if (one := box.dialect.source_of(command))}
        for source in box.dialect.sources:
            if source.capture and source.name not in box.captured and source.name not in waited:
                yield Wanted(box.name, source.capture, source.purpose)


# ---- text and document -------------------------------------------------------------------------------------------


def families_text(dialects: Sequence[Dialect]) -> str:
    """Return the commands of families, each with what it is for."""
    out: list[str] = []
    for dialect in dialects:
        rows = [(source.capture, source.purpose) for source in dialect.sources if source.capture]
        if rows:
            width = max(len(command) for command, _ in rows)
            out += [f"{dialect.name}: {dialect.title}"]
            out += [f"  {command:<{width}}  {purpose}".rstrip() for command, purpose in rows]
            out.append("")
    return "\n".join([*out, "Capture with the prompt and the command in the log; whole outputs, without a pager."])


def site_text(site: str, survey: str, found: Collection) -> str:
    """Return what to capture of a site, the captures that settle most first."""
    settled = sum(one.settles for one in found.wanted)
    head = f"{site}, {survey}: "
    if not found.answers:
        head += "nothing is open"
    elif found.wanted:
        those = "this capture settles" if len(found.wanted) == 1 else f"these {len(found.wanted)} captures settle"
        head += f"{those} {settled} of {found.answers} open answers"
    else:
        open_ones = "the one open answer" if found.answers == 1 else f"any of {found.answers} open answers"
        head += f"no capture settles {open_ones}"
    out = [head, ""]
    if found.wanted:
        width = max(len(f"{one.device}: {one.command}") for one in found.wanted)
        for one in found.wanted:
            out.append(f"  {one.settles:>4}  {f'{one.device}: {one.command}':<{width}}  {one.purpose}".rstrip())
        out.append("")
    if found.questions:
        out.append("not by a capture, but by a look, a test or a question:")
        out += [f"  {count:>4}  {text}" for text, count in found.questions] + [""]
    if found.unexplained:
        those = "one open answer" if found.unexplained == 1 else f"{found.unexplained} open answers"
        out += [f"of {those} nothing says what would settle it: see `vlancheck audit --full`", ""]
    if found.others:
        out.append("not captured either, and no open answer waits for it:")
        out += _shared(found.others)
    return "\n".join(out).rstrip()


def _shared(others: Iterable[Wanted]) -> Iterable[str]:
    """Yield the devices of which the same is missing, and below them what."""
    by_device: dict[str, list[Wanted]] = {}
    for one in others:
        by_device.setdefault(one.device, []).append(one)
    alike: dict[tuple[tuple[str, str], ...], list[str]] = {}
    for device, wanted in by_device.items():
        alike.setdefault(tuple((one.command, one.purpose) for one in wanted), []).append(device)
    for rows, devices in alike.items():
        yield f"  {', '.join(devices)}"
        width = max(len(command) for command, _ in rows)
        yield from (f"    {command:<{width}}  {purpose}".rstrip() for command, purpose in rows)


def families_document(dialects: Sequence[Dialect]) -> dict[str, Any]:
    """Return the commands of families as JSON fields."""
    captures = [
        _capture_document(dialect.name, "", source.capture, source.purpose, 0)
        for dialect in dialects
        for source in dialect.sources
        if source.capture
    ]
    return _document("", "", captures, Collection(0, (), (), 0, ()))


def site_document(site: str, survey: str, boxes: Sequence[Box], found: Collection) -> dict[str, Any]:
    """Return what to capture of a site as JSON fields."""
    families = {box.name: box.dialect.name for box in boxes}
    captures = [
        _capture_document(families.get(one.device, ""), one.device, one.command, one.purpose, one.settles)
        for one in (*found.wanted, *found.others)
    ]
    return _document(site, survey, captures, found)


def _capture_document(dialect: str, device: str, command: str, purpose: str, settles: int) -> dict[str, Any]:
    return {"dialect": dialect, "device": device, "command": command, "for": purpose, "settles": settles}


def _document(site: str, survey: str, captures: Sequence[dict[str, Any]], found: Collection) -> dict[str, Any]:
    return {
        "schema": SCHEMA,
        "site": site,
        "survey": survey,
        "open": found.answers,
        "captures": list(captures),
        "questions": [{"text": text, "answers": count} for text, count in found.questions],
        "unexplained": found.unexplained,
    }
