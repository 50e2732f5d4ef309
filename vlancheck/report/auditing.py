"""An audit or a verification as text: for people, and one line for each finding for programs."""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.changes.change import Cause
from vlancheck.evidence import Kind
from vlancheck.findings.finding import Finding, Where
from vlancheck.findings.grouping import effect_of_change
from vlancheck.outcome import Report
from vlancheck.report import mends, moved, origins, wording
from vlancheck.report.markup import clean
from vlancheck.report.textpage import Page
from vlancheck.verdicts.verdict import Certainty, EndingVerdict, Leak, State, Verdict

_IN_LINE = 3  # effects that the line of a finding names
_LISTED = 12  # endings of one state of one order that are listed


def text(report: Report, width: int = 80, colour: bool = False) -> str:
    """Return the whole report for people."""
    page = Page(width, colour)
    page.prose(wording.sentence(report))
    page.prose(wording.counts(report))
    for heading, verdicts in (("Services", report.services), ("VLANs", report.vlans)):
        if verdicts:
            page.put()
            page.put(heading)
            for verdict in verdicts:
                _verdict(page, verdict)
    if report.comparison is not None:
        _changes(page, report)
    if report.moves is not None and (seen := list(moved.told(report.moves))):
        page.put()
        page.put(f"Seen since {report.before}, against the sheet")
        for line in seen:
            page.prose(line, 2, 4)
    if report.counted:
        page.put()
        page.put("Findings")
        for number, finding in enumerate(report.counted, 1):
            finding_lines(page, finding, number)
    if report.mends:
        page.put()
        page.put("To mend it")
        mends.put(page, report.mends)
    if report.accepted:
        page.put()
        page.put("Accepted, and not counted")
        for finding in report.accepted:
            page.prose(f"{finding.severity.value} {finding.code} {finding.headline}", 2, 4)
            page.prose(f"{wording.answered_for(finding)} ({_line_of(finding)})", 4, 6)
    _rest(page, report)
    return page.text


def shown_as_demo(
    before: Report, after: Report, folder: str, files: int, page_file: str, width: int = 80, colour: bool = False
) -> str:
    """Return what the demo shows first: both verdicts, the counts, one finding with its lines, the next command."""
    page = Page(width, colour)
    page.prose(f"An invented closet, before a move and after it: {files} files in {folder}.")
    page.put()
    page.prose(wording.sentence(before))
    page.prose(wording.sentence(after))
    page.prose(wording.counts(after), 2)
    page.put(f"  On one screen: vlancheck verify {folder}   as a page: {page_file}")
    if after.counted:
        page.put()
        page.put("One finding of them")
        both = [one for one in after.counted if len(_captured(one)) > 1]
        finding_lines(page, (both or after.counted)[0], 1, most=2)
    return page.text


def lines(report: Report, folder: str = "") -> str:
    """Return one line for each finding and each verdict: `file:line: message`.

    Files of the site are named from `folder`, as the site was named, so that an editor finds them.
    """
    out = []
    for verdict in report.verdicts:
        first = next(iter(verdict.order.origins), None)
        place = _place(_from(folder, first.file), first.line) if first else ""
        out.append(f"{place}{verdict.state.value}: {wording.title(verdict)}: {verdict.headline}")
    for finding in report.findings:
        out.append(one_line(finding, folder))
    out += [f"not yet: {one.name}: {one.why}" for one in report.not_yet]
    out += [*report.notes, wording.sentence(report)]
    return "\n".join(clean(" ".join(line.splitlines())) for line in out)


def one_line(finding: Finding, folder: str = "") -> str:
    """Return a finding as `file:line: severity CODE headline; effects`, one that somebody answers for marked so."""
    first = next((one for one in finding.where if one.primary), finding.where[0] if finding.where else None)
    tab = f"[{first.origin.sheet}]" if first and first.origin.sheet else ""
    place = _place(_from(folder, first.origin.file) + tab, first.origin.line) if first else ""
    effects = "".join(f"; {effect}" for effect in finding.effects[:_IN_LINE])
    if len(finding.effects) > _IN_LINE:
        effects += f"; and {len(finding.effects) - _IN_LINE} more"
    said = f"{finding.severity.value} {finding.code} {finding.headline}{effects}"
    return f"{place}{said}" if finding.counts else f"{place}accepted: {said}; {wording.answered_for(finding)}"


def finding_lines(page: Page, finding: Finding, number: int, most: int = _LISTED) -> None:
    """Add one finding: what, both ends' lines, why, what it does to what was declared (`most` lines of it)."""
    severity = page.paint(finding.severity.value, finding.severity)
    heading, mark = f"{number:>3} {severity}  {finding.code} {finding.name}", f"[{finding.fingerprint}]"
    plain = len(f"{number:>3} {finding.severity.value}  {finding.code} {finding.name}  {mark}")
    page.put(f"{heading}  {mark}" if plain <= page.width else heading)
    if plain > page.width:
        page.put(f"    {mark}")
    page.prose(finding.headline, 4)
    shown = set()
    for where in _primary_first(finding.where):
        if (told := origins.told(where.origin, header=True)) not in shown:
            shown.add(told)
            label = f"  <- {where.place}" + (f", {where.label}" if where.label else "")
            page.put(f"      {told}{label}")
    if finding.why:
        page.prose(finding.why, 4)
    for effect in finding.effects[:most]:
        page.prose(f"so  {effect}", 4, 8)
    if len(finding.effects) > most:
        page.put(f"        and {len(finding.effects) - most} more")
    if finding.settled_by:
        page.prose(f"settled by: {finding.settled_by}", 4, 8)
    if finding.accepted is not None:
        page.prose(f"no longer accepted, since {finding.accepted.ended} ({_line_of(finding)})", 4, 8)


def _line_of(finding: Finding) -> str:
    """Return the line that accepts a finding."""
    return finding.accepted.origin.place if finding.accepted is not None else ""


def _captured(finding: Finding) -> set[str]:
    """Return the captures of the survey that a finding shows lines of."""
    return {where.origin.file for where in finding.where if where.origin.kind is Kind.LINE and where.label != "before"}


def _verdict(page: Page, verdict: Verdict) -> None:
    start = len(page.lines)
    page.prose(f"{wording.title(verdict)}: {verdict.headline}", 15, 15)
    word = page.paint(f"{wording.SIGNS[verdict.state]} {verdict.state.value:<10}", verdict.state)
    page.lines[start] = f"  {word} {page.lines[start].strip()}"
    for one in verdict.translations:
        said = f", by {one.said}" if one.said else ""
        page.prose(f"the carrier's {one.theirs} -> {one.ours} at {one.device}{said}", 15, 17)
    bad = [one for one in verdict.endings if one.state not in (State.CARRIED, State.NOT_YET) or one.tested]
    for ending in bad[:_LISTED]:
        _ending(page, ending)
    if len(bad) > _LISTED:
        page.put(f"               and {len(bad) - _LISTED} more endings")
    for leak in verdict.leaks:
        _leak(page, leak)
    for note in verdict.notes[:_LISTED]:
        page.prose(f"note: {note.at} would leak {note.frame}; {_quiet(note)}", 15, 17)
    for question in verdict.questions:
        page.prose(f"{question.words}; settled by: {question.settled_by}", 15, 17)


def _quiet(note: Leak) -> str:
    return "the box's own interface is in it" if note.what == "interface" else "nothing is plugged in"


def _ending(page: Page, ending: EndingVerdict) -> None:
    place = ending.stop.name if ending.at in ("", ending.stop.name) else f"{ending.stop.name} (at {ending.at})"
    page.prose(f"{place} {ending.frame}: {ending.state.value}, {wording.ways(ending)}", 15, 17)
    if ending.reason:
        page.prose(ending.reason.words, 17, 17)
        shown = tuple(one for one in ending.reason.evidence if one.file or one.text not in ending.reason.words)
        for line in origins.lines(shown, most=2):
            page.put(f"{'':17}{line}")
        if ending.reason.settled_by:
            page.prose(f"settled by: {ending.reason.settled_by}", 17, 19)


def _leak(page: Page, leak: Leak) -> None:
    what = f" ({leak.what})" if leak.what else ""
    sure = "leak" if leak.certainty is Certainty.PROVED else "possible leak"
    page.prose(f"{sure}: {leak.frame} {leak.crosses} at {leak.at}{what}", 15, 17)
    if leak.reason is not None:
        page.prose(f"{leak.reason.words}; settled by: {leak.reason.settled_by}", 17, 19)


def _changes(page: Page, report: Report) -> None:
    comparison = report.comparison
    assert comparison is not None, "there is an earlier survey"
    page.put()
    page.put(f"Changes since {report.before}")
    if not comparison.causes:
        proven = "" if not report.unproven else "of what is proven, "
        page.put(f"  {proven}every frame that was carried is carried to the same places")
    for causes in _alike(comparison.causes):
        _cause(page, causes)
    for move in comparison.moves:
        sign = f", TO SIGN ({move.sign})" if move.sign else ""
        same = "" if move.alike else ", and does not carry the same"
        page.prose(f"moved     {move.anchor.name}: {move.before} -> {move.after}{same}{sign}", 2, 12)
    for anchor, why in comparison.open:
        page.prose(f"unproven  {anchor.name}: {why}", 2, 12)


def _alike(causes: tuple[Cause, ...]) -> Iterator[list[Cause]]:
    """Yield causes, those of one sort at one box that nothing needed hangs on together."""
    small: dict[tuple[str, str], list[Cause]] = {}
    for cause in causes:
        if cause.needed or cause.expected or not cause.place.ports:
            yield [cause]
        else:
            device = cause.place.ports[0].partition(":")[0]
            small.setdefault((device, cause.place.words.partition(": ")[2] or cause.place.words), []).append(cause)
    yield from small.values()


def _cause(page: Page, causes: list[Cause]) -> None:
    first = causes[0]
    mark = "expected" if first.expected else "needed" if first.needed else "other"
    words = first.place.words if len(causes) == 1 else first.place.words.partition(": ")[2]
    ports = [port for cause in causes for port in cause.place.ports]
    where = ", ".join(ports[:3]) + (f" and {len(ports) - 3} more" if len(ports) > 3 else "")
    page.prose(f"{mark:<9} {where or 'the cords'}: {words}", 2, 12)
    rows = [row for cause in causes for row in cause.told]
    row = rows[0]
    more = f"; {len(rows) - 1} more like it" if len(rows) > 1 else ""
    page.prose(f"{effect_of_change(row)}{more}", 12, 14)


def _rest(page: Page, report: Report) -> None:
    unread = [one for device in report.devices.values() for one in device.unread if one.matters]
    if unread:
        page.put()
        lines = "1 unread line" if len(unread) == 1 else f"{len(unread)} unread lines"
        page.put(f"{lines} that may matter; `vlancheck read --unread` lists what nobody read")
    for note in report.notes:
        page.put(f"note: {note}")
    if report.not_yet:
        page.put()
        page.put(f"Not yet done: {len(report.not_yet)}")
        for why in dict.fromkeys(one.why for one in report.not_yet):
            page.prose(f"{why}: {', '.join(one.name for one in report.not_yet if one.why == why)}", 2, 4)
    if report.not_seen:
        page.prose(f"not seen (no link when captured, test by hand): {', '.join(report.not_seen)}")


def _primary_first(where: tuple[Where, ...]) -> Iterator[Where]:
    return iter(sorted(where, key=lambda one: not one.primary))


def _from(folder: str, file: str) -> str:
    """Return a file of the site by its path from where the program runs."""
    known = not folder or not file or file.startswith(("/", f"{folder}/"))
    return file if known else f"{folder}/{file}"


def _place(file: str, line: int) -> str:
    return f"{file}:{line}: " if file and line else f"{file}: " if file else ""
