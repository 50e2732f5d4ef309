"""A report in, everything it says as rows of one shape out: endings, leaks, questions, findings, changes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from vlancheck.changes.change import Comparison
from vlancheck.evidence import Origin, Origins
from vlancheck.findings.finding import Finding
from vlancheck.outcome import Report
from vlancheck.report import origins, wording
from vlancheck.report.markup import one_line
from vlancheck.verdicts.verdict import Certainty, EndingVerdict, Leak, State, Verdict
from vlancheck.vids import text as ranges

_MOST = 12  # effects that a row names


@dataclass(frozen=True, slots=True)
class Record:
    """One thing that a report says; every text is one line of characters that show."""

    record: str  # ending, leak, question, not yet, finding, change, open
    state: str  # of an ending, severity of a finding, kind of a change
    name: str  # service or VLAN; code and name of a check
    tag: str = ""  # as declared; VIDs that a finding is about
    at: str = ""  # place, as declared
    port: str = ""  # DEVICE:PORT
    frame: str = ""  # outermost tag first
    words: str = ""  # what is so, in one sentence
    why: str = ""  # what it does, or how the ways are
    settled_by: str = ""  # of what nobody can tell: what would decide it
    file: str = ""  # of the line to look at first
    line: str = ""  # its number
    text: str = ""  # the line itself
    also: str = ""  # other lines behind it
    fingerprint: str = ""  # of a finding: stays when lines move

    def cells(self, names: Sequence[str]) -> tuple[str, ...]:
        """Return some fields, in the order asked for."""
        return tuple(str(getattr(self, name)) for name in names)


def records(report: Report) -> Iterator[Record]:
    """Yield every row, endings first, then findings, then changes."""
    for one in (*_declared(report), *_findings(report), *_changes(report)):
        shown = {name: one_line(getattr(one, name)) for name in Record.__slots__}
        yield replace(one, **shown)


def _declared(report: Report) -> Iterator[Record]:
    for verdict in report.verdicts:
        yield from (_ending(verdict, ending) for ending in verdict.endings)
        yield from (_leak(verdict, leak) for leak in verdict.leaks)
        for question in verdict.questions:
            yield _with(
                Record(
                    "question",
                    State.UNPROVEN.value,
                    verdict.order.name,
                    verdict.order.tag,
                    at=question.place,
                    words=question.words,
                    settled_by=question.settled_by,
                ),
                question.evidence or verdict.order.origins,
            )
    for waiting in report.not_yet:
        yield Record("not yet", State.NOT_YET.value, "", at=waiting.name, port=waiting.place, words=waiting.why)


def _ending(verdict: Verdict, ending: EndingVerdict) -> Record:
    reason = ending.reason
    made = Record(
        "ending",
        ending.state.value,
        verdict.order.name,
        verdict.order.tag,
        ending.stop.name,
        ending.at,
        ending.frame,
        reason.words if reason else "",
        wording.ways(ending),
        reason.settled_by if reason else "",
    )
    return _with(made, reason.evidence if reason else (), verdict.order.origins)


def _leak(verdict: Verdict, leak: Leak) -> Record:
    what = f" ({leak.what})" if leak.what else ""
    made = Record(
        "leak",
        (State.LEAKED if leak.certainty is Certainty.PROVED else State.UNPROVEN).value,
        verdict.order.name,
        verdict.order.tag,
        leak.at,
        leak.at,
        leak.frame,
        f"{leak.frame} {leak.crosses} at {leak.at}{what}",
        leak.reason.words if leak.reason else "",
        leak.reason.settled_by if leak.reason else "",
    )
    return _with(made, leak.reason.evidence if leak.reason else (), verdict.order.origins)


def _findings(report: Report) -> Iterator[Record]:
    for finding in report.findings:
        yield _finding(finding)


def _finding(finding: Finding) -> Record:
    where = sorted(finding.where, key=lambda one: not one.primary)
    effects = list(finding.effects[:_MOST])
    if len(finding.effects) > _MOST:
        effects.append(f"and {len(finding.effects) - _MOST} more")
    made = Record(
        "finding",
        finding.severity.value if finding.counts else f"accepted {finding.severity.value}",
        f"{finding.code} {finding.name}",
        ranges(finding.vids) if finding.vids > 0 else "",
        where[0].place if where else "",
        words=finding.headline,
        why="; ".join(part for part in (wording.acceptance(finding), finding.why, *effects) if part),
        settled_by=finding.settled_by,
        fingerprint=finding.fingerprint,
    )
    return _with(made, tuple(dict.fromkeys(one.origin for one in where)))


def _changes(report: Report) -> Iterator[Record]:
    if report.comparison is not None:
        yield from _changed(report.comparison)


def _changed(comparison: Comparison) -> Iterator[Record]:
    for cause in comparison.causes:
        lines = (*cause.place.after, *cause.place.before)
        for row in cause.changes:
            meant = "meant" if row.expected else "needed" if row.needed else "other"
            told = f"{row.before} -> {row.after}" + (f", as {row.becomes}" if row.becomes else "")
            at, ports = row.anchor.name, " and ".join(cause.place.ports)
            made = Record("change", row.kind.value, meant, "", at, ports, row.frame, cause.place.words, told)
            yield _with(made, lines)
    for move in comparison.moves:
        sign = f"to sign: {move.sign}" if move.sign else "nobody must sign"
        words = "the cord is in another port" + ("" if move.alike else ", and does not carry the same")
        told = f"{move.before} -> {move.after}"
        yield _with(Record("change", "moved", sign, "", move.anchor.name, move.after, "", words, told), move.origins)
    for place, what, lines in comparison.missing:
        yield _with(Record("change", "missing", "meant", at=place, words=f"{what} was meant and did not happen"), lines)
    for anchor, why in comparison.open:
        yield Record("open", State.UNPROVEN.value, "", at=anchor.name, words=f"cannot be compared: {why}")


def _with(record: Record, evidence: Origins, otherwise: Origins = ()) -> Record:
    """Return a record with the first line of the evidence, else of what else there is, and the other lines."""
    found = sorted(evidence, key=lambda one: not one.file)
    first: Origin | None = next((one for one in (*found, *otherwise) if one.file), None)
    if first is None:
        return replace(record, also=" | ".join(origins.told(one) for one in found))
    tab = f"[{first.sheet}]" if first.sheet else ""
    also = " | ".join(origins.told(one) for one in found if one is not first)
    line = str(first.line) if first.line else ""
    return replace(record, file=first.file + tab, line=line, text=first.text, also=also)
