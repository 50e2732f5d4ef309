"""An audit or a verification in, one HTML page out that needs nothing but itself."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import assert_never
from xml.etree.ElementTree import Element

from vlancheck.changes.change import Cause, Comparison, Move
from vlancheck.dot1q.model import Device, Unread
from vlancheck.evidence import Kind, Origin, Origins
from vlancheck.findings.finding import Finding, Severity, Where
from vlancheck.mend.proposal import Mend, described
from vlancheck.mend.typing import Step
from vlancheck.outcome import CLEAN, FAULTY, Report
from vlancheck.picturing import Drawing
from vlancheck.report import moved, wording
from vlancheck.report.answers import Answer, answers, shown
from vlancheck.report.diagram import diagram
from vlancheck.report.markup import Child, document, element, table
from vlancheck.report.open_answers import open_answers
from vlancheck.report.pagestyle import STYLE
from vlancheck.report.strip import strip
from vlancheck.verdicts.verdict import Certainty, Direction, EndingVerdict, Leak, State, Verdict, Way

# The page loads nothing and runs nothing, whatever the text in it says.
_POLICY = "default-src 'none'; style-src 'unsafe-inline'"
_PLACES = 2  # places that one of the first answers names
_BARE = "nothing named settles it; see the reason"
_Rows = list[tuple[Element | str, ...]]


def page(report: Report, drawing: Drawing | None = None) -> str:
    """Return the whole report as one HTML page, without script and without anything from outside.

    With a `drawing` it has the closet in it, on which a VLAN or a service can be chosen.
    """
    closet = _section("closet", "The closet, and where a VLAN goes", *diagram(drawing)) if drawing else None
    sections = [section for section in (closet, *_sections(report)) if section is not None]
    links = (element("li", element("a", one[0].text, href=f"#{one.get('id')}")) for one in sections)
    body = element(
        "body",
        element(
            "header",
            element("h1", report.site),
            element("p", _mark(report.verdict), wording.sentence(report), class_=f"answer {_tone(report.verdict)}"),
            element("p", wording.counts(report), class_="soft"),
            element("div", *map(_answer, answers(report)), class_="answers"),
        ),
        element("nav", element("ul", *links), aria_label="parts of this page"),
        element("main", *sections),
    )
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", http_equiv="Content-Security-Policy", content=_POLICY),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("title", f"{report.site}, {report.survey}: {report.verdict}"),
        element("style", STYLE),
    )
    return document(element("html", head, body, lang="en"))


def _sections(report: Report) -> Iterator[Element | None]:
    yield _section("findings", "Findings", *(_finding(one, n) for n, one in enumerate(report.counted, 1)))
    after = enumerate(report.accepted, len(report.counted) + 1)
    yield _section("accepted", "Accepted, and not counted", *(_finding(one, n) for n, one in after))
    yield _section("mends", "To mend it", *map(_mend, report.mends))
    yield _section("services", "Services", *map(_verdict, report.services))
    yield _section("vlans", "VLANs", *map(_verdict, report.vlans))
    if (comparison := report.comparison) is not None:
        yield _section("changes", f"Changes since {report.before}", *_changes(comparison))
        yield _section("sign", "Moved cords that somebody must sign for", *_to_sign(comparison.moves))
        yield _section("moved", "Other moved cords", *_moved(comparison.moves))
    if report.moves is not None:
        yield _section("proof", "What was seen, against the sheet", *moved.page_parts(report.moves))
    yield _section("unproven", "Unproven, and what would settle it", *_unproven(report))
    yield _section("unread", "Lines that were not read", *_unread(report.devices.values()))
    yield _section("not-yet", "Not yet done", _not_yet(report))
    yield _section("seen", "No link when captured: test by hand", _listed(report.not_seen))
    yield _section("notes", "Notes on the captures", _listed(report.notes))
    yield _section("counts", "In numbers", _numbers(report))
    yield _section("words", "What the words mean", _words())


def _answer(one: Answer) -> Element:
    told = [element("li", place) for place in shown(one.places, _PLACES)]
    return element(
        "article",
        element("h2", one.question),
        element("p", _mark(one.word, one.tone), element("span", one.words)),
        element("ul", *told) if told else None,
        # a phone shows the first place alone
        element("span", f"and {len(one.places) - 1} more", class_="rest") if len(one.places) > 1 else None,
        element("p", element("a", "all of it", href=f"#{one.part}"), class_="soft") if len(told) > _PLACES else None,
        class_=one.tone,
    )


def _mend(mend: Mend) -> Element:
    """Return a proposal: what it makes right, what to do, and what takes it back."""
    return element(
        "article",
        element("h3", _mark(mend.sureness, "mild"), "; ".join(described(mend.amendment))),
        element("ul", *(element("li", one) for one in mend.rights)),
        *(part for step in mend.steps for part in _step(step)),
        *(element("p", f"or: {'; '.join(other)}") for other in mend.instead),
        class_="mild",
    )


def _step(step: Step) -> Iterator[Element]:
    if step.cord is not None:
        if step.cord.ask:
            yield element("p", step.cord.ask)
        return
    if step.restarts:
        yield element("p", "The rollback of these lines restarts the box, which is an outage.")
    for heading, lines in (("before all else", step.first), ("type", step.lines), ("then", step.force)):
        if lines:
            yield element("p", f"{step.device}, {heading}:")
            yield element("pre", "\n".join(lines))
    if step.keep:
        yield element("p", f"to keep it, when all is well: {'; '.join(step.keep)}")
    if step.undo:
        yield element("p", "to take it back:")
        yield element("pre", "\n".join(step.undo))


def _section(name: str, heading: str, *parts: Child) -> Element | None:
    """Return a part of the page; None when there is nothing in it."""
    if not any(part is not None for part in parts):
        return None
    return element("section", element("h2", heading), *parts, id=name)


def _numbers(report: Report) -> Element:
    devices = report.devices.values()
    lines, passed = sum(one.lines for one in devices), sum(one.passed_over for one in devices)
    unread = [one for device in devices for one in device.unread]
    found = Counter(one.severity for one in report.counted)
    kinds = [f"{found[one]} {one}" + "s" * (found[one] > 1) for one in Severity if found[one]]
    kinds += [f"{len(report.accepted)} accepted"] if report.accepted else []
    rows: _Rows = [
        ("Services", str(len(report.services)), wording.states(report.services)),
        ("VLANs", str(len(report.vlans)), wording.states(report.vlans)),
        (
            "Findings",
            str(len(report.findings)),
            ", ".join(kinds),
        ),
        (
            "Lines captured",
            str(lines),
            f"{lines - passed - len(unread)} read, {passed} passed over by name, {len(unread)} unread, "
            f"of these {sum(one.matters for one in unread)} that could touch VLANs",
        ),
    ]
    return table(("What", "How many", "Of these"), rows, class_="short")


# ---- findings ----------------------------------------------------------------------------------------------------


def _finding(finding: Finding, number: int) -> Element:
    return element(
        "article",
        element("h3", _mark(finding.severity), f"{number}. {finding.code} {finding.name}"),
        element("p", finding.headline),
        element("dl", *_evidence(finding.where)),
        element("p", finding.why) if finding.why else None,
        *_effects(finding.effects),
        element("p", f"Settled by: {finding.settled_by}") if finding.settled_by else None,
        element("p", "It rests on something assumed.", class_="soft") if finding.assumed else None,
        element("p", *_acceptance(finding)) if finding.accepted else None,
        element("p", "fingerprint ", element("code", finding.fingerprint), class_="soft"),
        class_=_tone(finding.severity),
        id=f"finding-{number}",
    )


def _acceptance(finding: Finding) -> Iterator[Child]:
    """Yield who answers for a finding, or why nobody does any longer, and the line that says so."""
    if finding.accepted is not None:
        yield wording.acceptance(finding)
        yield " "
        yield element("code", finding.accepted.origin.place, class_="soft")


def _evidence(where: Iterable[Where]) -> Iterator[Element]:
    """Yield every place with its lines, the one to look at first before the others."""
    primary = [one.place for one in where if one.primary]
    ordered = sorted(where, key=lambda one: one.place not in primary)
    for (place, label), several in groupby(ordered, key=lambda one: (one.place, one.label)):
        yield element("dt", place, f", {label}" if label else None)
        for origin in dict.fromkeys(one.origin for one in several):
            yield element("dd", *_line(origin))


def _effects(effects: Sequence[str]) -> Iterator[Element]:
    if effects:
        yield element("h4", "What it does")
        yield element("ul", *(element("li", one) for one in effects), class_="effects")


def _line(origin: Origin) -> Iterator[Child]:
    """Yield a piece of evidence: file, line and text, or the sentence of a default or an assumption."""
    if not origin.file:
        word = "default" if origin.kind is Kind.DEFAULT else "assumed"
        yield f"{word}: {origin.text}" + (f" ({origin.source})" if origin.source else "")
        return
    tab = f", tab {origin.sheet}" if origin.sheet else ""
    yield element("code", f"{origin.file}:{origin.line}", class_="soft")
    yield f"{tab} "
    yield element("code", *(f"{above.text.strip()} / " for above in origin.header), origin.text.strip())


def _lines(heading: str, origins: Origins) -> Element | None:
    """Return evidence under a word, captured lines before silence."""
    if not origins:
        return None
    ordered = sorted(dict.fromkeys(origins), key=lambda origin: not origin.file)
    return element("dl", element("dt", heading), *(element("dd", *_line(origin)) for origin in ordered))


# ---- services and VLANs ------------------------------------------------------------------------------------------


def _verdict(verdict: Verdict) -> Element:
    enters = [_whole(f"{stop.place or stop.name} ") for stop in verdict.order.enters]
    rows = [_ending(one) for one in verdict.endings]
    return element(
        "article",
        element("h3", _mark(verdict.state), wording.title(verdict)),
        element("p", verdict.headline),
        element("p", "enters at ", *enters, class_="soft") if enters else None,
        table(("Ending", "Frame", "State", "In", "Back", "Way and reason"), rows, class_="endings") if rows else None,
        *_leaks(verdict),
        class_=_tone(verdict.state),
    )


def _ending(ending: EndingVerdict) -> tuple[Element | str, ...]:
    elsewhere = ending.at not in ("", ending.stop.name)
    reason = ending.reason
    return (
        element(
            "div",
            _whole(ending.stop.name),
            element("div", _whole(ending.at), class_="soft") if elsewhere else None,
        ),
        element("code", ending.frame),
        _mark(ending.state),
        _way(ending.inward),
        _way(ending.back),
        element(
            "div",
            strip(ending.path, _ends(ending)) if ending.path else None,
            element("p", reason.words) if reason else None,
            _lines("because of", reason.evidence) if reason else None,
            element("p", f"Settled by: {reason.settled_by}") if reason and reason.settled_by else None,
        ),
    )


def _ends(ending: EndingVerdict) -> str:
    """Return what becomes of a frame that is not delivered as it should be; "" for one that is."""
    match ending.state:
        case State.DROPPED:
            return "lost here"
        case State.MISMATCHED:
            return "arrives in other tags"
        case _:
            return ""


def _leaks(verdict: Verdict) -> Iterator[Element]:
    if verdict.leaks:
        yield element("h4", "Where it leaks")
        yield element("ul", *(element("li", *_leak(leak)) for leak in verdict.leaks))
    if verdict.notes:
        yield element("h4", "Where it would leak, if something were plugged in")
        yield element("ul", *(element("li", *_leak(leak)) for leak in verdict.notes))
    if verdict.translations:
        told = [f"{one.device}: the carrier's {one.theirs} becomes {one.ours}" for one in verdict.translations]
        said = [f", by {one.said}" if one.said else "" for one in verdict.translations]
        yield element("ul", *(element("li", words + by) for words, by in zip(told, said, strict=True)))
    if verdict.questions:
        yield element("h4", "What nobody here can tell")
        yield element("ul", *(element("li", f"{q.words}. Settled by: {q.settled_by}") for q in verdict.questions))


def _leak(leak: Leak) -> Iterator[Child]:
    sure = "perhaps " if leak.certainty is Certainty.POSSIBLE else ""
    yield f"{sure}{leak.frame} {leak.crosses} at "
    yield _whole(leak.at)
    yield f" ({leak.what})" if leak.what else None
    if leak.reason is not None:
        yield f": {leak.reason.words}. Settled by: {leak.reason.settled_by}"


def _way(direction: Direction | None) -> str:
    if direction is None:
        return "unknown"
    match direction.way:
        case Way.PROVED:
            return "proved"
        case Way.OTHERWISE:
            return f"arrives as {direction.arrives}" if direction.arrives else "arrives in other tags"
        case Way.REFUTED:
            return "lost"
        case Way.UNKNOWN:
            return "unknown"
        case _:
            assert_never(direction.way)


# ---- changes -----------------------------------------------------------------------------------------------------


def _changes(comparison: Comparison) -> Iterator[Element]:
    if not comparison.causes:
        yield element("p", "Every frame that was carried is carried to the same places.")
    yield from map(_cause, comparison.causes)
    if comparison.missing:
        yield element("h3", "Meant, and did not happen")
        for place, what, origins in comparison.missing:
            yield element("p", f"{place}: {what}")
            if (said := _lines("said in", origins)) is not None:
                yield said
    if comparison.open:
        yield element("h3", "Cannot be compared")
        yield element("ul", *(element("li", f"{anchor.name}: {why}") for anchor, why in comparison.open))


def _cause(cause: Cause) -> Element:
    word, tone = (
        ("meant", "good") if cause.expected else ("needed", "bad") if cause.needed else ("other frames", "mild")
    )
    rows: _Rows = [
        (
            row.kind.value,
            _whole(row.anchor.name),
            element("code", row.frame),
            row.before,
            row.after,
            "yes" if row.expected else "no",
        )
        for row in cause.changes
    ]
    return element(
        "article",
        element("h3", _mark(word, tone), " and ".join(cause.place.ports) or "the cords"),
        element("p", cause.place.words),
        _lines("before", cause.place.before),
        _lines("after", cause.place.after),
        table(("Change", "Told at", "Frames", "Before", "After", "Meant"), rows),
        class_=tone,
    )


def _to_sign(moves: Iterable[Move]) -> Iterator[Element]:
    rows: _Rows = [(*_move(move), move.sign, "", "") for move in moves if move.sign]
    if rows:
        yield table(("What", "Was in", "Is in", "Carries", "Why", "Signed by", "On"), rows, class_="sign")


def _moved(moves: Iterable[Move]) -> Iterator[Element]:
    rows: _Rows = [_move(move) for move in moves if not move.sign]
    if rows:
        yield table(("What", "Was in", "Is in", "Carries"), rows)


def _move(move: Move) -> tuple[Element | str, ...]:
    codes = map(_whole, (move.anchor.name, move.before, move.after))
    return (*codes, "the same" if move.alike else "not the same")


# ---- what is open ------------------------------------------------------------------------------------------------


def _unproven(report: Report) -> Iterator[Element]:
    """Yield what would settle something, each with everything it settles."""
    found: dict[str, list[str]] = {}
    for one in open_answers(report):
        found.setdefault(one.settled_by or _BARE, []).append(one.what)
    for settled_by in sorted(found, key=lambda one: one == _BARE):
        several = dict.fromkeys(found[settled_by])
        heading = element("h3", _mark("unproven", "doubt"), settled_by)
        yield element("article", heading, element("ul", *(element("li", one) for one in several)), class_="doubt")


def _unread(devices: Iterable[Device]) -> Iterator[Element]:
    found = sorted((one for device in devices for one in device.unread), key=lambda one: not one.matters)
    for matters, several in groupby(found, key=lambda one: one.matters):
        yield element("h3", "They could touch VLANs" if matters else "They name nothing that is known to touch VLANs")
        yield table(("Box or port", "Line", "Why"), [_unread_row(one) for one in several])


def _unread_row(one: Unread) -> tuple[Element | str, ...]:
    line = [part for origin in one.origin[:1] for part in _line(origin)]
    where = f"{one.device}:{one.port}" if one.port else one.device
    return _whole(where), element("div", *line), one.why or "no pattern takes it"


def _not_yet(report: Report) -> Element | None:
    rows: _Rows = [(_whole(one.name), _whole(one.place), one.why) for one in report.not_yet]
    return table(("What", "At", "Why"), rows) if rows else None


def _listed(words: Sequence[str]) -> Element | None:
    return element("ul", *(element("li", one) for one in words)) if words else None


# ---- words -------------------------------------------------------------------------------------------------------


def _words() -> Element:
    return element(
        "dl", *(part for state in State for part in (element("dt", state.value), element("dd", _meaning(state))))
    )


def _meaning(state: State) -> str:
    match state:
        case State.CARRIED:
            return "it arrives as declared, in both directions, whatever the unread parts do"
        case State.DROPPED:
            return "in one direction at least it is lost, whatever the unread parts do"
        case State.MISMATCHED:
            return "it arrives, in another stack of tags than declared"
        case State.LEAKED:
            return "it comes out, or can be put in, where it should not"
        case State.NOT_YET:
            return "its row is not ticked yet, or it was not asked for: nothing is said of it"
        case State.UNPROVEN:
            return "nothing that was read decides it: neither a fault nor a pass"
        case _:
            assert_never(state)


def _mark(word: str, tone: str = "") -> Element:
    """Return a word that stands out; its tone only repeats what the word says."""
    return element("span", word, class_=f"mark {tone or _tone(word)}")


def _whole(place: str) -> Element:
    """Return the name of a place, broken over two lines only where it is longer than one."""
    return element("code", place, class_="whole")


def _tone(word: str) -> str:
    if word in (FAULTY, State.DROPPED, State.MISMATCHED, State.LEAKED, Severity.ERROR):
        return "bad"
    if word in (CLEAN, State.CARRIED):
        return "good"
    return "mild" if word == Severity.NOTE else "doubt"
