"""A survey, alone or after another, in; its report out: verdicts, changes and findings, one after the other."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from vlancheck import checks
from vlancheck.changes.compare import Meant, compare
from vlancheck.changes.fresh import stale
from vlancheck.changes.side import EVERY_FRAME, Side
from vlancheck.changes.signing import must_sign
from vlancheck.changes.ways import beside, with_ways
from vlancheck.dot1q.tags import parse_frame
from vlancheck.errors import UsageError
from vlancheck.evidence import Origin, Origins
from vlancheck.filing import files_read
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity
from vlancheck.moves.progress import Progress, progress
from vlancheck.outcome import Report
from vlancheck.pipeline import Site, Survey
from vlancheck.places import split_place
from vlancheck.reconciliation.moved import HandTest
from vlancheck.reconciliation.reconcile import reconcile
from vlancheck.reconciliation.sightings import Row, Sighted
from vlancheck.site.accepted import Accepted
from vlancheck.site.anchors import Anchor, AnchorKind, anchors
from vlancheck.site.expected import Expected
from vlancheck.site.places import PlaceError
from vlancheck.site.spots import Spot
from vlancheck.site.ticks import Result, Tick
from vlancheck.verdicts.course import followed
from vlancheck.verdicts.declared import ground, handoffs_at, orders
from vlancheck.verdicts.judge import judge
from vlancheck.verdicts.verdict import State, Verdict
from vlancheck.wiring import Link


def audited(site: Site, survey: Survey) -> Report:
    """Return the report on one survey."""
    judged = Judged(site, survey)
    return _report(judged, judged.case, judged.case.verdicts)


def verified(
    site: Site, before: Survey, after: Survey, ticks: Sequence[Tick] | None = None, only: Sequence[str] = ()
) -> Report:
    """Return the report on `after` with every change against `before`.

    `ticks` are what people ticked so far, None where no file of them was given; `only` are places to look at alone.
    Raises UsageError for one of these that is none.
    """
    after, remarks = trusted(site, before, after)
    try:
        done = progress(after.boxes, ticks, only)
    except PlaceError as error:
        raise UsageError(error.message, hint=error.hint) from error
    was, now = Judged(site, before), Judged(site, after, done)
    again = before.files.captures != after.files.captures  # else nothing was seen since
    tests = [
        HandTest(place, tick.who, tick.when, tick.what, tick.result is Result.PASS, tick.origins)
        for place, tick in done.tried
    ]
    case = against(was, now, tests, seen_again=again)
    remarks += (*done.remarks, *done.disagreeing(now.case.verdicts))
    verdicts = tuple(beside(was.side, was.case.verdicts, now.side, case.verdicts))
    report = _report(now, case, verdicts, before.name, remarks)
    compared = with_ways(report.comparison, was.side, now.side) if report.comparison is not None else None
    return replace(report, comparison=compared, files=files_read(site, before, after))


def trusted(site: Site, before: Survey, after: Survey) -> tuple[Survey, tuple[str, ...]]:
    """Return the later survey with nothing proven by captures from before the move, and remarks on those."""
    old_box = {new: old for old, new in _renamed_boxes(site, after).items()}
    distrusted, remarks = _stale(before, after, old_box)
    return (after.distrusting(distrusted) if distrusted else after), remarks


def against(was: Judged, now: Judged, tests: Sequence[HandTest] = (), *, seen_again: bool = True) -> Case:
    """Return a survey as checks look at it beside an earlier one; `seen_again` where it has captures of its own."""
    comparison = compare(was.side, now.side, now.meant, _repaired(was, now), was.must_sign)
    later = tuple((anchor, why) for anchor, why in comparison.open if not now.waits(anchor))
    moves = reconcile(was.sighted(), now.sighted(trusted=seen_again), tests)
    return replace(now.case, comparison=replace(comparison, open=later), moves=moves, earlier=was.case, was=now.was)


_ALL_DONE = Progress()


@dataclass(frozen=True)
class Judged:
    """One survey with its verdicts."""

    site: Site  # it belongs to
    survey: Survey  # what was captured and declared
    done: Progress = _ALL_DONE  # how far the night is that ends in it

    @cached_property
    def case(self) -> Case:
        """The survey as checks look at it."""
        boxes, network = self.survey.boxes, self.survey.network
        base = ground(self.site.declaration, boxes, network)
        declared = orders(boxes)
        verdicts = tuple(judge(base, one, tuple(other for other in declared if other is not one)) for one in declared)
        cords = tuple(Link(cord.one, cord.other, cord.origins) for cord in boxes.cords)
        return Case(
            base,
            boxes.devices,
            cords,
            tuple(map(self.done.of, verdicts)),
            boxes.endpoints,
            boxes.contradictions,
            boxes.doubts,
            analog=boxes.analog,
            pieces=boxes.pieces,
            runs=boxes.runs,
            absent=boxes.absent,
            stale=self.survey.distrusted,
            typed=frozenset(self.survey.reading.typed),
            deleted=self.survey.reading.deleted,
            failed=self.done.failed,
            ordered=handoffs_at(boxes, network),
            was=self.was,
            accepted=self._accepted,
            taken=self._latest,
            whole=not self.survey.away.names and not self.done.listed(verdicts),
        )

    @cached_property
    def side(self) -> Side:
        """The survey as a comparison looks at it."""
        known = {place: anchor for place, anchor in self._every_anchor.items() if anchor not in self._put_off}
        return Side(self.case.ground, known, self.needed, self.was, self._gone)

    @cached_property
    def needed(self) -> dict[str, int]:
        """Needed frames (bit 4095: untagged) at each boundary port."""
        found = dict(self.case.needed_frames)
        for place in self.survey.network.boundary:
            if self.survey.network.only_ends(place):
                found[place] = EVERY_FRAME
        return found

    def sighted(self, trusted: bool = True) -> Sighted:
        """Return the survey as evidence about cords asks for it; without trust, as if it had no captures."""
        boxes, case = self.survey.boxes, self.case
        return Sighted(
            self.side,
            case.devices,
            case.cords,
            tuple(
                Row(row.name, row.places, row.row.origins)
                for row in boxes.rows
                if row.places and not self.done.why_not(row.name, *row.places)
            ),
            case.endpoints,
            frozenset(case.stale) if trusted else frozenset(case.devices),
            self._taken,
            boxes.not_seen,
        )

    @property
    def _accepted(self) -> tuple[Accepted, ...]:
        """What is accepted in this survey."""
        declared = self.site.declaration.accepted
        return tuple(one for one in declared if not one.surveys or self.survey.name in one.surveys)

    @property
    def _latest(self) -> str:
        """When the survey was taken, as people say, else by the latest of its captures; "" when nobody says."""
        texts = (text.taken for several in self.survey.reading.texts.values() for text in several)
        return self.survey.files.taken or max(texts, default="")

    def _taken(self, origin: Origin) -> str:
        """Return when the capture with a line was taken; "" when nobody says."""
        starts, times = self._captures.get(origin.file, ([], []))
        number = bisect_right(starts, origin.line) - 1
        return (times[number] if number >= 0 else "") or self.survey.files.taken

    @cached_property
    def _captures(self) -> dict[str, tuple[list[int], list[str]]]:
        """The times of the captures in each file, by the lines that they start on."""
        found: dict[str, dict[int, str]] = {}
        for texts in self.survey.reading.texts.values():
            for text in texts:
                if first := text.prompt or next(iter(text.lines), None):
                    found.setdefault(text.file, {})[first.number] = text.taken
        return {file: (sorted(starts), [starts[one] for one in sorted(starts)]) for file, starts in found.items()}

    @property
    def meant(self) -> Iterator[Meant]:
        """The changes that site.yaml says are meant."""
        for one in self.survey.boxes.placed.expected:
            for spot in one.spots:
                if not self.done.why_not(spot.name, *spot.places):
                    yield _meant(one.declared, spot, self.case)

    def waits(self, anchor: Anchor) -> bool:
        """Tell whether an anchor is not compared since what it stands for is not done yet."""
        return anchor in self._put_off or (anchor.kind is AnchorKind.JACK and bool(self.done.why_not(anchor.name)))

    @cached_property
    def _every_anchor(self) -> dict[str, Anchor]:
        return anchors(self.survey.boxes, self.survey.network.boundary)

    @cached_property
    def _put_off(self) -> frozenset[Anchor]:
        """The anchors of what is not done yet."""
        every = self._every_anchor.items()
        return frozenset(anchor for place, anchor in every if self.done.why_not(anchor.name, place))

    def must_sign(self, place: str) -> str:
        """Return why somebody must sign when the cord at a port was moved away; "" when nobody must."""
        return must_sign(self.case.ground, self.survey.boxes.endpoints, place)

    def was(self, place: str) -> str:
        """Return the name of a port before the renamings of this survey."""
        boxes = self.survey.boxes
        if place in boxes.before:
            return boxes.before[place]
        device, port = split_place(place)
        old = boxes.before.get(device)
        return f"{old}:{boxes.spots.ports.spelled_in(old, port)}" if old else place

    def _gone(self, anchor: Anchor) -> str:
        """Return why nobody knows where an anchor is in this survey; "" when it is known to be nowhere."""
        boxes = self.survey.boxes
        if self.waits(anchor):
            return f"{anchor.name} is not done yet"
        if boxes.absent and anchor.kind is AnchorKind.PORT:
            names = {name.casefold() for name in boxes.absent}
            if split_place(anchor.key)[0].casefold() in names:
                return f"{self.survey.name} has no capture of {split_place(anchor.name)[0]}"
        if boxes.sheet is None and anchor.kind in (AnchorKind.JACK, AnchorKind.ENDPOINT):
            return f"{self.survey.name} has no patch sheet that says where {anchor.name} is"
        return ""


def findings_of(judged: Judged, case: Case) -> tuple[Finding, ...]:
    """Return what all checks find, but for what was asked for by taking something out of service."""
    return tuple(one for one in checks.run(case) if not _asked_for(one, judged.survey))


def _report(
    judged: Judged, case: Case, verdicts: tuple[Verdict, ...], before: str = "", remarks: tuple[str, ...] = ()
) -> Report:
    survey = judged.survey
    notes = []
    for note in survey.reading.notes:
        place = f"{note.file}:{note.line}: " if note.line else f"{note.file}: " if note.file else ""
        notes.append(f"{place}{note.message}")
    sheet = survey.sheet
    notes += [f"{sheet.file}: {remark}" for remark in sheet.remarks] if sheet else []
    for one in sheet.unsure if sheet else ():
        notes.append(f"{one.origins[0].place}: {one.why}")
    for heading in sheet.unplaced_headings if sheet else ():
        if sheet and heading.text:
            notes.append(f"{sheet.file}: the heading {heading.text!r} has no meaning here; its column is not read")
    return Report(
        site=judged.site.name,
        survey=survey.name,
        verdicts=tuple(followed(case.ground, one) for one in verdicts),
        findings=findings_of(judged, case),
        devices=survey.boxes.devices,
        before=before,
        comparison=case.comparison,
        notes=(*notes, *remarks),
        not_yet=judged.done.listed(case.verdicts),
        not_seen=tuple(survey.boxes.not_seen),
        moves=case.moves,
        without=survey.away.names,
        files=files_read(judged.site, survey),
    )


def _asked_for(finding: Finding, survey: Survey) -> bool:
    """Tell whether a finding says no more than that what was taken out of service is down."""
    at = finding.at  # empty where it is about no port
    return finding.severity is not Severity.ERROR and bool(at) and at <= survey.away.ports.keys()


def _repaired(was: Judged, now: Judged) -> frozenset[Anchor]:
    """Return the anchors of endings that were not carried before and are now."""
    bad = {(v.order.name, e.stop.name) for v in was.case.verdicts for e in v.endings if e.state is not State.CARRIED}
    good: list[tuple[Verdict, str]] = [
        (verdict, ending.at)
        for verdict in now.case.verdicts
        for ending in verdict.endings
        if ending.state is State.CARRIED and (verdict.order.name, ending.stop.name) in bad
    ]
    return frozenset(now.side.anchors[at] for _, at in good if at in now.side.anchors)


def _meant(declared: Expected, spot: Spot, case: Case) -> Meant:
    words = [f"gains {declared.gains.text}"] if declared.gains else []
    words += [f"loses {declared.loses.text}"] if declared.loses else []
    words += ["becomes another frame"] if declared.becomes else []

    def gains(text: str) -> bool:
        frame = parse_frame(text)
        told = declared.gains is not None and frame in declared.gains
        return told or any(frame == now for _, now in declared.becomes)

    def loses(text: str) -> bool:
        frame = parse_frame(text)
        told = declared.loses is not None and frame in declared.loses
        return told or any(was in (None, frame) for was, _ in declared.becomes)

    return Meant(
        name=spot.name,
        places=frozenset(at for place in spot.places if (at := case.ground.judged_at(place))),
        gains=gains if declared.gains or declared.becomes else None,
        loses=loses if declared.loses or declared.becomes else None,
        what=" and ".join(words),
        origins=declared.where.origins,
        both=not declared.becomes,
    )


def _renamed_boxes(site: Site, survey: Survey) -> dict[str, str]:
    renames = site.declaration.renamed.get(survey.name, ())
    return {one.old: one.new for one in renames if ":" not in one.old}


def _stale(before: Survey, after: Survey, old_box: dict[str, str]) -> tuple[dict[str, Origins], tuple[str, ...]]:
    """Return why captures of the later survey prove nothing, by device, and remarks."""
    if before.files.captures == after.files.captures:
        return {}, ()
    found: dict[str, Origins] = {}
    remarks = []
    for device, texts in after.reading.texts.items():
        earlier = before.reading.texts.get(old_box.get(device, device), ())
        why, remark = stale(device, earlier, texts, (before.files.taken, after.files.taken))
        if why:
            found[device] = why
        if remark:
            remarks.append(remark)
    return found, tuple(remarks)
