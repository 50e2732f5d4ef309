"""What is proposed to make a survey right, as text for people, as a document, and as files of lines to be typed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from vlancheck.mend.amendment import CordChange
from vlancheck.mend.proposal import Mend, Mended, Sureness, described
from vlancheck.mend.typing import Step
from vlancheck.report.textpage import Page

SCHEMA = "vlancheck/mend/1"
_SAID = {
    Sureness.CERTAIN: "certain: tried just so, and nothing else that was tried does it",
    Sureness.CHOICE: "a choice: tried, and so was what stands below as `or`; somebody decides",
    Sureness.WORDS: "in words: tried, but how it is typed at this family of boxes is not known here",
    Sureness.ASK: "ask first: tried, and somebody must agree before it is done",
}
_CAUTION = "logging in to a box depends on this port: have a console cord in it before you type"
_RESTART = "if nobody says that it stays, the box RESTARTS, which is an outage for all that hangs on it"
_CORD = "move one end only, call it out, and let a second person see it"


def text(found: Mended, site: str, survey: str, before: str, width: int = 80) -> str:
    """Return the proposals for people: what each makes right, what to type, and what takes it back."""
    page = Page(width)
    against = f" against {before}" if before else ""
    page.prose(f"{site}, {survey}{against}: {_summary(found)}.")
    if found.mends:
        page.prose("Nothing is typed for you. Each change was tried on what was captured, with those above it done.")
        page.put()
        put(page, found.mends)
    if found.unmended:
        page.put()
        page.put("Not mended")
        for left in found.unmended:
            page.prose(f"- {left.words}", 2, 4)
            page.prose(left.why, 4)
            if left.ask:
                page.prose(f"settled by: {left.ask}", 4)
    if found.questions:
        page.put()
        page.put("To ask the carrier")
        for words, settled in found.questions:
            page.prose(f"- {words}; {settled}", 2, 4)
    if found.mends:
        page.put()
        page.prose("Do one change, look, then the next. When all is well, save; until then a restart may take it back.")
        saves = {step.device: step.save for mend in found.mends for step in mend.steps if step.save}
        for device, lines in saves.items():
            page.prose(f"at {device}: {'; '.join(lines)}", 3, 5)
    return page.text


def put(page: Page, mends: Sequence[Mend]) -> None:
    """Add proposals, numbered, an empty line between two."""
    for number, mend in enumerate(mends, 1):
        if number > 1:
            page.put()
        _mend(page, number, mend)


def _summary(found: Mended) -> str:
    if not found.mends and not found.unmended:
        return "nothing is wrong that a line or a cord would mend"
    changes = f"{len(found.mends)} change{'s' if len(found.mends) != 1 else ''}"
    rights = sum(len(mend.rights) for mend in found.mends)
    left = f", {len(found.unmended)} left" if found.unmended else ""
    return f"{changes} for {rights} thing{'s' if rights != 1 else ''} that are wrong{left}"


def _mend(page: Page, number: int, mend: Mend) -> None:
    for place, words in enumerate(mend.rights):
        page.prose(f"{number}. {words}" if not place else words, 0 if not place else 3, 3)
    page.prose(_SAID[mend.sureness], 3)
    for step in mend.steps:
        _step(page, step)
    for other in mend.instead:
        page.prose(f"or  {'; '.join(other)}", 3, 7)
    for why in mend.refused:
        page.prose(f"not {why}", 3, 7)
    if mend.between:
        page.prose(f"out of service between the first step and the last: {', '.join(mend.between)}", 3)


def _step(page: Page, step: Step) -> None:
    if step.cord is not None:
        _cord(page, step.cord)
        return
    if step.management:
        page.prose(_CAUTION, 3)
    if not step.lines:
        page.prose(f"at {step.device}: {'; '.join(step.words)}", 3, 5)
        return
    if step.first:
        _lines(page, f"at {step.device}, before all else", step.first)
        if step.restarts:
            page.prose(_RESTART, 5)
    _lines(page, f"at {step.device}", step.lines)
    if step.force:
        _lines(page, "then", step.force)
        if step.restarts and not step.first:
            page.prose(_RESTART, 5)
    if step.keep:
        _lines(page, "when you can still log in, and all is well", step.keep)
    exact = "" if step.exact else " (not all of it can be given back exactly: look at it afterwards)"
    _lines(page, f"to take it back{exact}", step.undo)


def _cord(page: Page, cord: CordChange) -> None:
    label = f"cord {cord.label}" if cord.label else "the cord"
    page.prose(f"move {label} ({cord.name}) from {cord.before} to {cord.after}", 3, 5)
    if cord.ask:
        page.prose(cord.ask, 5)
    page.prose(_CORD, 5)


def _lines(page: Page, heading: str, lines: Iterable[str]) -> None:
    page.prose(f"{heading}:", 3, 5)
    for line in lines:
        page.put(f"       {line}")


def document(found: Mended, site: str, survey: str, before: str) -> dict[str, Any]:
    """Return everything as JSON fields; the schema only grows."""
    return {
        "schema": SCHEMA,
        "site": site,
        "survey": survey,
        **({"before": before} if before else {}),
        "mends": [_document(mend) for mend in found.mends],
        "not_mended": [{"words": one.words, "why": one.why, "settled_by": one.ask} for one in found.unmended],
        "questions": [{"words": words, "settled_by": settled} for words, settled in found.questions],
    }


def _document(mend: Mend) -> dict[str, Any]:
    return {
        "fingerprints": list(mend.fingerprints),
        "rights": list(mend.rights),
        "sureness": mend.sureness.value,
        "change": list(described(mend.amendment)),
        "steps": [_document_step(step) for step in mend.steps],
        "instead": [list(other) for other in mend.instead],
        "refused": list(mend.refused),
        "between": list(mend.between),
    }


def _document_step(step: Step) -> dict[str, Any]:
    return {
        "device": step.device,
        "words": list(step.words),
        "lines": list(step.lines),
        "undo": list(step.undo),
        "exact": step.exact,
        "management": step.management,
        "first": list(step.first),
        "force": list(step.force),
        "keep": list(step.keep),
        "restarts": step.restarts,
        "save": list(step.save),
        "cord": _document_cord(step.cord) if step.cord is not None else None,
    }


def _document_cord(cord: CordChange) -> dict[str, Any]:
    return {"label": cord.label, "at": cord.name, "from": cord.before, "to": cord.after, "ask": cord.ask}


def files(found: Mended) -> dict[str, bytes]:
    """Return the lines of every box as a file to be pasted, `DEVICE.txt`, and what takes them back, `undo-DEVICE.txt`.

    The order of a box's lines is that of the work; boxes whose lines are not known have no file.
    """
    typed: dict[str, list[str]] = {}
    undone: dict[str, list[str]] = {}
    for mend in found.mends:
        for step in mend.steps:
            if step.lines:
                typed.setdefault(step.device, []).extend(step.lines)
                undone.setdefault(step.device, [])[:0] = step.undo
    made = {f"{name}.txt": lines for name, lines in typed.items()}
    made |= {f"undo-{name}.txt": lines for name, lines in undone.items()}
    return {name: "".join(f"{line}\n" for line in lines).encode() for name, lines in made.items()}
