"""What an audit or a verification came to: verdicts, changes, findings, and the answer in one word."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from vlancheck.changes.change import Cause, Comparison
from vlancheck.dot1q.model import Device
from vlancheck.evidence import Kind, Origin, Origins
from vlancheck.findings.finding import Acceptance, Finding, Severity, Where
from vlancheck.mend.proposal import Mend
from vlancheck.moves.progress import NotYet
from vlancheck.places import split_place
from vlancheck.reconciliation.moved import JackProof, MoveCause, Reconciled, Shown
from vlancheck.verdicts.course import Course
from vlancheck.verdicts.orders import OrderKind
from vlancheck.verdicts.reasons import Hop
from vlancheck.verdicts.verdict import Certainty, Direction, EndingVerdict, Leak, State, Verdict, Way
from vlancheck.vids import text

SCHEMA = "vlancheck/report/1"
CLEAN, FAULTY, UNPROVEN = "clean", "faulty", "unproven"
_NOT_AS_DECLARED = (State.DROPPED, State.MISMATCHED, State.LEAKED)
_WORDS = {Way.PROVED: "proved", Way.OTHERWISE: "mismatched", Way.REFUTED: "refuted", Way.UNKNOWN: "unknown"}


class Sort(StrEnum):
    """What a file of a site is."""

    CAPTURE = "capture"
    PASTED = "lines to be pasted"
    SHEET = "patch sheet"
    DECLARATION = "declaration"


@dataclass(frozen=True, slots=True)
class FileRead:
    """A file that a report rests on, and how much of it was read."""

    survey: str  # that it belongs to; "" for the declaration, which all surveys have
    file: str  # as evidence names it
    sort: Sort  # what it is
    devices: tuple[str, ...] = ()  # that it tells of
    read: int = 0  # lines, or rows, that say something; of a declaration every line is
    passed_over: int = 0  # lines passed over on purpose
    unread: int = 0  # lines of which nobody knows what they say
    aside: int = 0  # lines of outputs that nothing reads, or that another capture has as well
    taken: str = ""  # when it was captured; "" when nobody says
    digest: str = ""  # SHA-256 of its bytes, in hex


@dataclass(frozen=True)
class Report:
    """The answer about one survey, alone or against an earlier one."""

    site: str  # name of the site
    survey: str  # name of the survey
    verdicts: tuple[Verdict, ...]  # on everything declared, services first
    findings: tuple[Finding, ...]  # one for each cause, worst first
    devices: Mapping[str, Device] = field(default_factory=dict)  # what was read, by name
    before: str = ""  # name of the earlier survey; "" for an audit
    comparison: Comparison | None = None  # with the earlier survey; None for an audit
    notes: tuple[str, ...] = ()  # what was not used of the input, and why
    not_yet: tuple[NotYet, ...] = ()  # what is not done yet while a night goes on
    not_seen: tuple[str, ...] = ()  # jacks without link: DEVICE:PORT, to be tested by hand
    moves: Reconciled | None = None  # what was seen in both surveys, held against the sheet; None for an audit
    mends: tuple[Mend, ...] = ()  # what was proposed, where that was asked for
    without: tuple[str, ...] = ()  # links and devices that are taken as out of service
    files: tuple[FileRead, ...] = ()  # that it rests on, those of the earlier survey first

    @property
    def services(self) -> tuple[Verdict, ...]:
        """Return the verdicts on services."""
        return tuple(one for one in self.verdicts if one.order.kind is OrderKind.SERVICE)

    @property
    def vlans(self) -> tuple[Verdict, ...]:
        """Return the verdicts on VLANs."""
        return tuple(one for one in self.verdicts if one.order.kind is OrderKind.VLAN)

    @property
    def counted(self) -> tuple[Finding, ...]:
        """Return the findings that nobody answers for, or no longer."""
        return tuple(one for one in self.findings if one.counts)

    @property
    def accepted(self) -> tuple[Finding, ...]:
        """Return the findings that somebody answers for."""
        return tuple(one for one in self.findings if not one.counts)

    @property
    def verdict(self) -> str:
        """Return `faulty` with any error that counts, else `unproven` where something asked for is, else `clean`.

        What is declared and is not as declared stays faulty, whoever accepts the finding behind it.
        """
        if any(finding.severity is Severity.ERROR for finding in self.counted):
            return FAULTY
        if self.accepted and any(verdict.state in _NOT_AS_DECLARED for verdict in self.verdicts):
            return FAULTY
        return UNPROVEN if self.unproven else CLEAN

    @property
    def unproven(self) -> bool:
        """Tell whether something asked for is unproven, or nothing was declared so that nothing could be proved."""
        if not self.verdicts:
            return True
        if self.not_yet or (self.comparison is not None and self.comparison.open):
            return True
        return any(_open(verdict) for verdict in self.verdicts)

    @property
    def exit_code(self) -> int:
        """Return the exit code for `--fail-on error`: 0 clean, 1 findings, 3 unproven."""
        return self.code(Severity.ERROR)

    def code(self, fail_on: Severity) -> int:
        """Return 1 with a finding at or above `fail_on` that counts, else 3 where something is unproven, else 0."""
        ranks = list(Severity)
        if any(ranks.index(one.severity) <= ranks.index(fail_on) for one in self.counted):
            return 1
        return 3 if self.unproven else 0

    def to_dict(self) -> dict[str, Any]:
        """Return the report as the JSON interface has it; the schema only grows."""
        found: dict[str, Any] = {"schema": SCHEMA, "site": self.site, "survey": self.survey}
        if self.before:
            found["before"] = self.before
        found["without"] = list(self.without)
        found["verdict"] = self.verdict
        found["services"] = [{"name": one.order.name, "tag": one.order.tag, **_verdict(one)} for one in self.services]
        found["vlans"] = [{"name": one.order.name, "vid": one.order.tag, **_verdict(one)} for one in self.vlans]
        found["changes"] = [row for cause in self._causes for row in _changes(cause)] + self._moves()
        found["findings"] = [_finding(one) for one in self.findings]
        found["mends"] = [row for mend in self.mends for row in _mend(mend)]
        found["reading"] = {**_reading(self.devices.values()), "files": [_file(one) for one in self.files]}
        found["notes"] = list(self.notes)
        found["not_seen"] = list(self.not_seen)
        found["not_yet"] = [{"name": one.name, "port": one.place, "why": one.why} for one in self.not_yet]
        open_ = self.comparison.open if self.comparison else ()
        found["open"] = [{"anchor": anchor.name, "why": why} for anchor, why in open_]
        found["jacks"] = [_jack(one) for one in self.moves.jacks] if self.moves else []
        found["causes_of_moves"] = [_move(one) for one in self.moves.causes] if self.moves else []
        return found

    @property
    def _causes(self) -> tuple[Cause, ...]:
        return self.comparison.causes if self.comparison else ()

    def _moves(self) -> list[dict[str, Any]]:
        moves = self.comparison.moves if self.comparison else ()
        return [
            {
                "anchor": move.anchor.name,
                "frame": "",
                "before": move.before,
                "after": move.after,
                "kind": "moved",
                "cause": move.sign or "the cord is in another port",
                "expected": not move.sign,
                "way_before": _course(move.was),
                "way_after": _course(move.now),
            }
            for move in moves
        ]


def _open(verdict: Verdict) -> bool:
    if verdict.state is State.UNPROVEN or verdict.questions:
        return True
    if any(leak.certainty is Certainty.POSSIBLE for leak in verdict.leaks):
        return True
    return any(ending.state is State.UNPROVEN for ending in verdict.endings)


def _verdict(verdict: Verdict) -> dict[str, Any]:
    return {
        "state": verdict.state.value,
        "headline": verdict.headline,
        "enters": [stop.place or stop.name for stop in verdict.order.enters],
        "endings": [_ending(ending) for ending in verdict.endings],
        "leaks": [_leak(leak) for leak in (*verdict.leaks, *verdict.notes)],
        "carrier": [
            {"device": one.device, "theirs": one.theirs, "ours": one.ours, "said": one.said}
            for one in verdict.translations
        ],
        "questions": [{"words": one.words, "settled_by": one.settled_by} for one in verdict.questions],
    }


def _ending(ending: EndingVerdict) -> dict[str, Any]:
    return {
        "at": ending.stop.name,
        "port": ending.at,
        "frame": ending.frame,
        "state": ending.state.value,
        "in": _way(ending.inward),
        "back": _way(ending.back),
        "reason": ending.reason.words if ending.reason else "",
        "settled_by": ending.reason.settled_by if ending.reason else "",
        "tested": [origin.text for origin in ending.tested],
        "path": _path(ending.path),
        "path_back": _path(ending.path_back),
        "earlier": _earlier(ending.was),
    }


def _earlier(ending: EndingVerdict | None) -> dict[str, Any] | None:
    """Return what became of an ending in the earlier survey; None when it has none, or nothing is compared."""
    if ending is None:
        return None
    told = _ending(ending)
    return {key: told[key] for key in ("port", "frame", "state", "in", "back", "reason", "path")}


def _path(path: Iterable[Hop]) -> list[dict[str, Any]]:
    return [{"port": hop.port, "way": hop.way, "frame": hop.frame, "vid": hop.vid} for hop in path]


def _course(course: Course | None) -> dict[str, Any] | None:
    """Return how a frame goes in one survey; None where it cannot be told."""
    if course is None:
        return None
    return {
        "from": course.sender,
        "frame": course.frame,
        "to": course.to,
        "arrives": course.arrives,
        "lost": course.lost,
        "reason": course.reason.words if course.reason else "",
        "path": _path(course.path),
    }


def _way(direction: Direction | None) -> str:
    return "unknown" if direction is None else _WORDS[direction.way]


def _leak(leak: Leak) -> dict[str, Any]:
    return {
        "at": leak.at,
        "frame": leak.frame,
        "direction": leak.direction,
        "certainty": leak.certainty.value,
        "what": leak.what,
        "path": _path(leak.path),
        "earlier": leak.was.value if leak.was is not None else "",
    }


def _changes(cause: Cause) -> list[dict[str, Any]]:
    return [
        {
            "anchor": row.anchor.name,
            "frame": row.frame,
            "before": row.before,
            "after": row.after,
            "kind": row.kind.value,
            "cause": cause.place.words,
            "expected": row.expected,
            "way_before": _course(row.was),
            "way_after": _course(row.now),
        }
        for row in cause.changes
    ]


def _mend(mend: Mend) -> Iterator[dict[str, Any]]:
    for step in mend.steps:
        if step.lines:
            yield {
                "fingerprints": list(mend.fingerprints),
                "device": step.device,
                "lines": list(step.lines),
                "undo": list(step.undo),
                "sureness": mend.sureness.value,
            }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "code": finding.code,
        "name": finding.name,
        "severity": finding.severity.value,
        "headline": finding.headline,
        "why": finding.why,
        "where": [_where(one) for one in finding.where],
        "vids": text(finding.vids) if finding.vids > 0 else "",
        "effects": list(finding.effects),
        "assumed": finding.assumed,
        "settled_by": finding.settled_by,
        "fingerprint": finding.fingerprint,
        "accepted": _acceptance(finding.accepted) if finding.accepted else None,
    }


def _acceptance(accepted: Acceptance) -> dict[str, Any]:
    return {
        "by": accepted.by,
        "why": accepted.why,
        "until": accepted.until,
        "file": accepted.origin.file,
        "line": accepted.origin.line,
        "in_force": not accepted.ended,
        "ended": accepted.ended,
    }


def _where(where: Where) -> dict[str, Any]:
    device, port = split_place(where.place)
    origin: Origin = where.origin
    return {
        "device": device,
        "port": port,
        "origin": origin.kind.value,
        "file": origin.file,
        "sheet": origin.sheet,
        "line": origin.line,
        "end_line": origin.end_line or origin.line,
        "text": origin.text.strip() if origin.kind is not Kind.DEFAULT else origin.text,
        "label": where.label,
        "primary": where.primary,
    }


def _jack(jack: JackProof) -> dict[str, Any]:
    return {
        "at": jack.at,
        "port": jack.port,
        "state": jack.state.value,
        "source": _lines(jack.origins),
        "seen_at": list(jack.elsewhere),
    }


def _move(cause: MoveCause) -> dict[str, Any]:
    return {
        "kind": cause.kind.value,
        "words": cause.words,
        "sure": cause.sure.value,
        "harm": {True: "harmful", False: "harmless", None: "unknown"}[cause.harmful],
        "at": list(cause.at),
        "ports": list(cause.ports),
        "planned": list(cause.planned),
        "instead": [kind.value for kind in cause.instead],
        "before": _shown(cause.before),
        "after": _shown(cause.after),
        "rows": _shown(cause.rows),
    }


def _shown(several: Iterable[Shown]) -> list[dict[str, Any]]:
    return [{"at": one.place, **_line(one.origin)} for one in several]


def _lines(origins: Origins) -> list[dict[str, Any]]:
    return [_line(origin) for origin in origins]


def _line(origin: Origin) -> dict[str, Any]:
    return {
        "origin": origin.kind.value,
        "file": origin.file,
        "sheet": origin.sheet,
        "line": origin.line,
        "text": origin.text.strip(),
    }


def _file(one: FileRead) -> dict[str, Any]:
    return {
        "survey": one.survey,
        "file": one.file,
        "sort": one.sort.value,
        "devices": list(one.devices),
        "read": one.read,
        "passed_over": one.passed_over,
        "unread": one.unread,
        "aside": one.aside,
        "taken": one.taken,
        "sha256": one.digest,
    }


def _reading(devices: Iterable[Device]) -> dict[str, Any]:
    boxes = list(devices)
    unread = [(one, device) for device in boxes for one in device.unread]
    lines = sum(device.lines for device in boxes)
    passed = sum(device.passed_over for device in boxes)
    return {
        "lines": lines,
        # a box of the notation has no lines that were read
        "read": sum(max(0, one.lines - one.passed_over - one.unread_lines) for one in boxes),
        "passed_over": passed,
        "unread": [
            {
                "file": one.origin[0].file,
                "line": one.origin[0].line,
                "text": one.origin[0].text.strip(),
                "device": one.device,
                "port": one.port,
                "matters": one.matters,
            }
            for one, _ in unread
        ],
    }
