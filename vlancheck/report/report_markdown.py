"""A report in, Markdown for a ticket out; what stood in a configuration stays text in it."""

from __future__ import annotations

import re
from collections.abc import Iterator

from vlancheck.evidence import Origin, Origins
from vlancheck.findings.finding import Finding
from vlancheck.open_answers import open_answers
from vlancheck.outcome import Report
from vlancheck.report import mends, wording
from vlancheck.report.markup import clean, one_line
from vlancheck.report.textpage import Page
from vlancheck.verdicts.verdict import Certainty, State, Verdict

_MOST = 12  # effects of a finding, rows of a cause
_MARKS = re.compile(r"([\\`*_{}\[\]<>#|~&!$])")  # what CommonMark and its common extensions give a meaning to
_LINKS = re.compile(r"(?i):(?=//)|(?<=www)\.")  # what some make a link of unasked
_FIRST = re.compile(r"^([-+=]|\d+(?=[.)]))")  # what begins an item of a list or underlines a heading


def markdown_report(report: Report) -> str:
    """Return the report: the answer, what was declared, findings with their lines, changes, what is open."""
    parts = [
        f"# {told(report.site)}",
        told(wording.sentence(report)),
        told(wording.counts(report)),
        *_section("Services and VLANs", _table(report)),
        *_section("Not as declared", _bad(report)),
    ]
    for heading, findings, first in (
        ("Findings", report.counted, 1),
        ("Accepted, and not counted", report.accepted, len(report.counted) + 1),
    ):
        if findings:
            parts.append(f"## {heading}")
            for number, finding in enumerate(findings, first):
                parts += _finding(finding, number)
    parts += _section(f"Changes since {told(report.before)}", _changes(report))
    parts += _section("Unproven, and what would settle it", _open(report))
    parts += _section("Not yet done", (f"- {told(one.name)}: {told(one.why)}" for one in report.not_yet))
    if report.mends:
        page = Page()
        mends.put(page, report.mends)
        parts += ["## To mend it", block(page.text)]
    parts += _section("Notes", (f"- {told(note)}" for note in report.notes))
    return "\n\n".join(parts) + "\n"


def told(text: str) -> str:
    """Return words as words: nothing in them is markup, and nothing is made a link."""
    plain = one_line(text)
    marked = _FIRST.sub(_as_entities, _MARKS.sub(r"\\\1", plain))
    return _LINKS.sub(_as_entities, marked)


def code(text: str) -> str:
    """Return a text as it stood in a file, in a fence of backticks that nothing in it ends."""
    plain = one_line(text) or " "
    fence = "`" * (max(map(len, re.findall("`+", plain)), default=0) + 1)
    pad = " " if plain.startswith("`") or plain.endswith("`") else ""
    return f"{fence}{pad}{plain}{pad}{fence}"


def block(text: str) -> str:
    """Return several lines as they are, in a fence that nothing in them ends."""
    plain = "\n".join(clean(line) for line in text.split("\n"))
    fence = "`" * max(3, max(map(len, re.findall("`+", plain)), default=0) + 1)
    return f"{fence}text\n{plain}\n{fence}"


def _as_entities(found: re.Match[str]) -> str:
    return "".join(f"&#{ord(letter)};" for letter in found[0])


def _section(heading: str, lines: Iterator[str]) -> list[str]:
    """Return a heading with its lines; nothing where there are none."""
    found = list(lines)
    return [f"## {heading}", "\n".join(found)] if found else []


def _table(report: Report) -> Iterator[str]:
    if report.verdicts:
        yield "| State | What | In short |"
        yield "|---|---|---|"
    for verdict in report.verdicts:
        yield f"| {verdict.state.value} | {told(wording.title(verdict))} | {told(verdict.headline)} |"


def _bad(report: Report) -> Iterator[str]:
    for verdict in report.verdicts:
        yield from _bad_of(verdict)


def _bad_of(verdict: Verdict) -> Iterator[str]:
    title = told(wording.title(verdict))
    for ending in verdict.endings:
        if ending.state in (State.DROPPED, State.MISMATCHED):
            why = f": {told(ending.reason.words)}" if ending.reason else ""
            place = f"{code(ending.stop.name)} {told(ending.frame)}"
            yield f"- **{ending.state.value}** {title} at {place}, {wording.ways(ending)}{why}"
            yield from _lines(ending.reason.evidence if ending.reason else ())
    for leak in verdict.leaks:
        if leak.certainty is Certainty.PROVED:
            what = f" ({told(leak.what)})" if leak.what else ""
            yield f"- **leaked** {title}: {told(leak.frame)} {leak.crosses} at {code(leak.at)}{what}"


def _finding(finding: Finding, number: int) -> list[str]:
    where = sorted(finding.where, key=lambda one: not one.primary)
    lines = [f"- {_line(one.origin)} at {code(one.place)}" + _label(one.label) for one in where]
    lines += [f"- so: {told(effect)}" for effect in finding.effects[:_MOST]]
    if len(finding.effects) > _MOST:
        lines.append(f"- and {len(finding.effects) - _MOST} more")
    if finding.settled_by:
        lines.append(f"- settled by: {told(finding.settled_by)}")
    if answer := wording.acceptance(finding):
        lines.append(f"- {told(answer)}")
    lines.append(f"- fingerprint {code(finding.fingerprint)}")
    return [
        f"### {number}. {finding.severity.value} {finding.code}: {told(finding.name)}",
        "; ".join(told(part) for part in (finding.headline, finding.why) if part),
        "\n".join(lines),
    ]


def _label(label: str) -> str:
    return f", {told(label)}" if label else ""


def _changes(report: Report) -> Iterator[str]:
    if (comparison := report.comparison) is None:
        return
    if not comparison.causes and not comparison.moves:
        yield "- of what can be compared, nothing is carried otherwise"
    for cause in comparison.causes:
        word = "meant" if cause.expected else "needed" if cause.needed else "other"
        ports = ", ".join(map(code, cause.place.ports)) or "the cords"
        yield f"- **{word}** {ports}: {told(cause.place.words)}"
        for row in cause.told[:_MOST]:
            change = f"{row.kind.value} {told(row.frame)} at {code(row.anchor.name)}"
            yield f"  - {change}: {told(row.before)} before, {told(row.after)} after"
        if len(cause.told) > _MOST:
            yield f"  - and {len(cause.told) - _MOST} more"
    for move in comparison.moves:
        sign = f", **to sign** ({told(move.sign)})" if move.sign else ""
        yield f"- moved {code(move.anchor.name)}: {code(move.before)} to {code(move.after)}{sign}"
    for place, what, origins in comparison.missing:
        yield f"- meant, and did not happen: {told(place)} {told(what)}"
        yield from _lines(origins)


def _open(report: Report) -> Iterator[str]:
    for one in open_answers(report):
        settled = f"; settled by: {told(one.settled_by)}" if one.settled_by else ""
        yield f"- {told(one.what)}{settled}"


def _lines(evidence: Origins) -> Iterator[str]:
    shown = sorted(evidence, key=lambda one: not one.file)[:4]
    yield from (f"  - {_line(origin)}" for origin in shown)


def _line(origin: Origin) -> str:
    if not origin.file:
        return f"{origin.kind.value}: {told(origin.text)}"
    above = "".join(f"{one.text.strip()} / " for one in origin.header)
    return f"{code(origin.place)} {code(above + origin.text.strip())}"
