"""An audit or a verification in, one HTML page out that needs nothing but itself."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import assert_never
from xml.etree.ElementTree import Element

from vlancheck.changes.change import Cause, Comparison, Move
from vlancheck.dot1q.model import Device, Unread
from vlancheck.findings.finding import Finding, Severity, Where
from vlancheck.following import Followed
from vlancheck.mend.proposal import Mend, described
from vlancheck.mend.typing import Step
from vlancheck.open_answers import open_answers
from vlancheck.outcome import Report
from vlancheck.picturing import Drawing
from vlancheck.report import moved, wording
from vlancheck.report.answers import Answer, answers, shown
from vlancheck.report.diagram import diagram
from vlancheck.report.footprints import footprints
from vlancheck.report.markup import Child, document, element, table
from vlancheck.report.page_evidence import evidence
from vlancheck.report.page_jacks import jacks
from vlancheck.report.page_parts import Cited, Rows, listed, mark, section, tone_of, whole
from vlancheck.report.page_verdicts import verdict
from vlancheck.report.page_ways import legend
from vlancheck.report.pagehead import head
from vlancheck.report.pagestyle import STYLE
from vlancheck.report.strip import stack
from vlancheck.report.stripstyle import STRIPS
from vlancheck.verdicts.verdict import State

_PLACES = 2  # places that one of the first answers names
_TAGS = (
    ("310", "C: a customer's tag (C-tag, TPID 8100), and its VID; 0 is a tag for priority alone"),
    ("s100", "S: a service provider's tag (S-tag, TPID 88a8)"),
    ("s100.310", "two tags, the outermost on top"),
    ("310@9100", "a tag of another TPID, which stands before the VID"),
    ("untagged", "no tag"),
)
_BARE = "nothing named settles it; see the reason"


def page(report: Report, drawing: Drawing | None = None, followed: Followed | None = None) -> str:
    """Return the whole report as one HTML page, without script and without anything from outside.

    With a `drawing` it has the closet in it, on which a VLAN or a service can be chosen; with walks `followed`, these.
    """
    closet = section("closet", "The closet, and where a VLAN goes", *diagram(drawing)) if drawing else None
    walks = section("follow", "Follow a frame", *footprints(followed)) if followed else None
    cite = Cited()
    # the list of what is cited is made when all else is, since that cites it
    sections = [one for one in (closet, *_sections(cite, report, walks)) if one is not None]
    links = (element("li", element("a", one[0].text, href=f"#{one.get('id')}")) for one in sections)
    body = element(
        "body",
        element(
            "header",
            element("h1", report.site),
            element("p", mark(report.verdict), wording.sentence(report), class_=f"answer {tone_of(report.verdict)}"),
            element("p", wording.counts(report), class_="soft"),
            element("div", *map(_answer, answers(report)), class_="answers"),
        ),
        element("nav", element("ul", *links), aria_label="parts of this page"),
        element("main", *sections),
    )
    title = f"{report.site}, {report.survey}: {report.verdict}"
    return document(element("html", head(title, STYLE + STRIPS), body, lang="en"))


def _sections(cite: Cited, report: Report, walks: Element | None) -> Iterator[Element | None]:
    yield section("findings", "Findings", *(_finding(cite, one, n) for n, one in enumerate(report.counted, 1)))
    after = enumerate(report.accepted, len(report.counted) + 1)
    yield section("accepted", "Accepted, and not counted", *(_finding(cite, one, n) for n, one in after))
    yield section("mends", "To mend it", *map(_mend, report.mends))
    for name, heading, verdicts in (("services", "Services", report.services), ("vlans", "VLANs", report.vlans)):
        told = legend(report.before, report.survey) if verdicts else None
        yield section(name, heading, told, *(verdict(cite, one) for one in verdicts))
    if (comparison := report.comparison) is not None:
        shown = "of the frames of a jack one is drawn, toward one of those that hear it"
        told = legend(report.before, report.survey, shown) if comparison.causes or comparison.moves else None
        yield section("jacks", "Changed jacks", told, *jacks(cite, comparison))
        yield section("changes", f"Changes since {report.before}", *_changes(cite, comparison))
        yield section("sign", "Moved cords that somebody must sign for", *_to_sign(comparison.moves))
        yield section("moved", "Other moved cords", *_moved(comparison.moves))
    if report.moves is not None:
        yield section("proof", "What was seen, against the sheet", *moved.page_parts(report.moves))
    yield section("unproven", "Unproven, and what would settle it", *_unproven(report))
    yield section("unread", "Lines that were not read", *_unread(cite, report.devices.values()))
    yield section("not-yet", "Not yet done", _not_yet(report))
    yield section("seen", "No link when captured: test by hand", listed(report.not_seen))
    yield section("notes", "Notes on the captures", listed(report.notes))
    yield walks
    yield section("counts", "In numbers", _numbers(report))
    yield section("words", "What the words mean", _words())
    yield section("evidence", "Evidence", *evidence(cite, report.files))


def _answer(one: Answer) -> Element:
    told = [element("li", place) for place in shown(one.places, _PLACES)]
    return element(
        "article",
        element("h2", one.question),
        element("p", mark(one.word, one.tone), element("span", one.words)),
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
        element("h3", mark(mend.sureness, "mild"), "; ".join(described(mend.amendment))),
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


def _numbers(report: Report) -> Element:
    devices = report.devices.values()
    lines, passed = sum(one.lines for one in devices), sum(one.passed_over for one in devices)
    unread = [one for device in devices for one in device.unread]
    found = Counter(one.severity for one in report.counted)
    kinds = [f"{found[one]} {one}" + "s" * (found[one] > 1) for one in Severity if found[one]]
    kinds += [f"{len(report.accepted)} accepted"] if report.accepted else []
    rows: Rows = [
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


def _finding(cite: Cited, finding: Finding, number: int) -> Element:
    return element(
        "article",
        element("h3", mark(finding.severity), f"{number}. {finding.code} {finding.name}"),
        element("p", finding.headline),
        element("dl", *_evidence(cite, finding.where)),
        element("p", finding.why) if finding.why else None,
        *_effects(finding.effects),
        element("p", f"Settled by: {finding.settled_by}") if finding.settled_by else None,
        element("p", "It rests on something assumed.", class_="soft") if finding.assumed else None,
        element("p", *_acceptance(finding)) if finding.accepted else None,
        element("p", "fingerprint ", element("code", finding.fingerprint), class_="soft"),
        class_=tone_of(finding.severity),
        id=f"finding-{number}",
    )


def _acceptance(finding: Finding) -> Iterator[Child]:
    """Yield who answers for a finding, or why nobody does any longer, and the line that says so."""
    if finding.accepted is not None:
        yield wording.acceptance(finding)
        yield " "
        yield element("code", finding.accepted.origin.place, class_="soft")


def _evidence(cite: Cited, where: Iterable[Where]) -> Iterator[Element]:
    """Yield every place with its lines, the one to look at first before the others."""
    primary = [one.place for one in where if one.primary]
    ordered = sorted(where, key=lambda one: one.place not in primary)
    for (place, label), several in groupby(ordered, key=lambda one: (one.place, one.label)):
        yield element("dt", place, f", {label}" if label else None)
        for origin in dict.fromkeys(one.origin for one in several):
            yield element("dd", *cite.line(origin))


def _effects(effects: Sequence[str]) -> Iterator[Element]:
    if effects:
        yield element("h4", "What it does")
        yield element("ul", *(element("li", one) for one in effects), class_="effects")


# ---- changes -----------------------------------------------------------------------------------------------------


def _changes(cite: Cited, comparison: Comparison) -> Iterator[Element]:
    if not comparison.causes:
        yield element("p", "Every frame that was carried is carried to the same places.")
    yield from (_cause(cite, cause) for cause in comparison.causes)
    if comparison.missing:
        yield element("h3", "Meant, and did not happen")
        for place, what, origins in comparison.missing:
            yield element("p", f"{place}: {what}")
            if (said := cite.several("said in", origins)) is not None:
                yield said
    if comparison.open:
        yield element("h3", "Cannot be compared")
        yield element("ul", *(element("li", f"{anchor.name}: {why}") for anchor, why in comparison.open))


def _cause(cite: Cited, cause: Cause) -> Element:
    word, tone = (
        ("meant", "good") if cause.expected else ("needed", "bad") if cause.needed else ("other frames", "mild")
    )
    rows: Rows = [
        (
            row.kind.value,
            whole(row.anchor.name),
            element("code", row.frame),
            row.before,
            row.after,
            "yes" if row.expected else "no",
        )
        for row in cause.changes
    ]
    return element(
        "article",
        element("h3", mark(word, tone), " and ".join(cause.place.ports) or "the cords"),
        element("p", cause.place.words),
        cite.several("before", cause.place.before),
        cite.several("after", cause.place.after),
        table(("Change", "Told at", "Frames", "Before", "After", "Meant"), rows),
        class_=tone,
    )


def _to_sign(moves: Iterable[Move]) -> Iterator[Element]:
    rows: Rows = [(*_move(move), move.sign, "", "") for move in moves if move.sign]
    if rows:
        yield table(("What", "Was in", "Is in", "Carries", "Why", "Signed by", "On"), rows, class_="sign")


def _moved(moves: Iterable[Move]) -> Iterator[Element]:
    rows: Rows = [_move(move) for move in moves if not move.sign]
    if rows:
        yield table(("What", "Was in", "Is in", "Carries"), rows)


def _move(move: Move) -> tuple[Element | str, ...]:
    codes = map(whole, (move.anchor.name, move.before, move.after))
    return (*codes, "the same" if move.alike else "not the same")


# ---- what is open ------------------------------------------------------------------------------------------------


def _unproven(report: Report) -> Iterator[Element]:
    """Yield what would settle something, each with everything it settles."""
    found: dict[str, list[str]] = {}
    for one in open_answers(report):
        found.setdefault(one.settled_by or _BARE, []).append(one.what)
    for settled_by in sorted(found, key=lambda one: one == _BARE):
        several = dict.fromkeys(found[settled_by])
        heading = element("h3", mark("unproven", "doubt"), settled_by)
        yield element("article", heading, element("ul", *(element("li", one) for one in several)), class_="doubt")


def _unread(cite: Cited, devices: Iterable[Device]) -> Iterator[Element]:
    found = sorted((one for device in devices for one in device.unread), key=lambda one: not one.matters)
    for matters, several in groupby(found, key=lambda one: one.matters):
        yield element("h3", "They could touch VLANs" if matters else "They name nothing that is known to touch VLANs")
        yield table(("Box or port", "Line", "Why"), [_unread_row(cite, one) for one in several])


def _unread_row(cite: Cited, one: Unread) -> tuple[Element | str, ...]:
    line = [part for origin in one.origin[:1] for part in cite.line(origin)]
    where = f"{one.device}:{one.port}" if one.port else one.device
    return whole(where), element("div", *line), one.why or "no pattern takes it"


def _not_yet(report: Report) -> Element | None:
    rows: Rows = [(whole(one.name), whole(one.place), one.why) for one in report.not_yet]
    return table(("What", "At", "Why"), rows) if rows else None


# ---- words -------------------------------------------------------------------------------------------------------


def _words() -> Element:
    return element(
        "dl",
        *(part for state in State for part in (element("dt", state.value), element("dd", _meaning(state)))),
        *(part for tags, words in _TAGS for part in (element("dt", stack(tags)), element("dd", words))),
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
