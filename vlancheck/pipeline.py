"""The program on one page: captures to lines, lines to boxes, boxes to a network, the network to answers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from vlancheck import capture, reader
from vlancheck.dot1q.model import Device
from vlancheck.dot1q.tags import Frame
from vlancheck.errors import SiteError, UsageError
from vlancheck.evidence import Origins
from vlancheck.site.bind import bindings
from vlancheck.site.build import Boxes, build
from vlancheck.site.declaration import Declaration, SurveyFiles, read_declaration
from vlancheck.site.places import PlaceError, nearest
from vlancheck.site.ports import Elsewhere
from vlancheck.site.reading import read_sheet
from vlancheck.site.sheet import Sheet
from vlancheck.site.sightings import sightings
from vlancheck.site.withdrawn import Withdrawn, out_of_service, withdrawn
from vlancheck.walk.start import start
from vlancheck.walk.walk import Walk, walk
from vlancheck.wiring import Link, Network, wire

if TYPE_CHECKING:
    from vlancheck.drawing.footprints import Trail
    from vlancheck.following import Followed
    from vlancheck.mend.proposal import Mended
    from vlancheck.moves.alike import Alikeness
    from vlancheck.moves.mistakes import Mistakes
    from vlancheck.moves.worksheets.sheet import Book
    from vlancheck.outcome import Report
    from vlancheck.picturing import Drawing
    from vlancheck.planning import Outage, Replanned
    from vlancheck.site.lookup import About
    from vlancheck.walk.carriage import Carriage

_NOTES = 3  # captures that could not be used, beside an error about a box


def read_paths(paths: Iterable[str | Path]) -> reader.Reading:
    """Return what the captures at `paths` (files or folders) say.

    Raises CaptureError for a path that cannot be used, DialectError for a dialect that is not right.
    """
    return reader.read(capture.load(paths))


class Survey:
    """One state of a site: what was captured, wired as declared."""

    def __init__(self, site: Site, files: SurveyFiles) -> None:
        """Hold the files of the survey; all is read when first asked for."""
        self._site, self._declaration, self.files = site, site.declaration, files
        self.name = files.name
        self.distrusted: Mapping[str, Origins] = {}  # why nothing is proven at some devices
        self.away = Withdrawn()  # links and devices that are out of service for a question

    def distrusting(self, distrusted: Mapping[str, Origins]) -> Survey:
        """Return this survey with nothing proven at some devices; what was read is not read again."""
        made = self._copy()
        made.distrusted = distrusted
        return made

    def repatched(self, sheet: Sheet) -> Survey:
        """Return this survey with the cords of another sheet; its captures were taken with those it has now."""
        made = self._copy()
        made.sheet, made._earlier = sheet, self.sheet
        return made

    def changed(self, boxes: Mapping[str, Device], facts: Mapping[str, reader.Gathered], sheet: Sheet | None) -> Survey:
        """Return this survey with some boxes as lines would make them, their facts then, and other cords.

        What a port was seen to do counts no more where its lines or its cord are other ones.
        """
        made = self._copy()
        now = [boxes.get(box.name, box) for box in self.reading.devices]
        made.reading = reader.with_changed(self.reading, now, {**self.reading.gathered, **facts})
        if sheet is not self.sheet:
            made.sheet, made._earlier = sheet, self._earlier if self._earlier is not None else self.sheet
        return made

    def without(self, names: Iterable[str]) -> Survey:
        """Return this survey with links or devices out of service; UsageError for a name that is none of them."""
        made = self._copy()
        try:
            made.away = withdrawn(self.boxes, names)
        except PlaceError as error:
            raise UsageError(error.message, hint=error.hint) from error
        return made

    def _copy(self) -> Survey:
        """Return this survey as it was given, with nothing made of it yet."""
        made = Survey(self._site, self.files)
        made.distrusted, made.away = self.distrusted, self.away
        made.sheet, made._earlier = self.sheet, self._earlier
        return made

    @cached_property
    def _earlier(self) -> Sheet | None:
        """The patch sheet that the captures were taken with, where it is another one."""
        return self._site.same_captures(self)

    @cached_property
    def reading(self) -> reader.Reading:
        """What the captures say, with the lines to be pasted typed at their devices, and what nobody read."""
        found = self._site.reading(self.files.captures)
        if self.files.edits is None:
            return found
        edits: dict[str, list[capture.Section]] = {}
        for section in capture.load([self.files.edits], root=self._declaration.folder):
            edits.setdefault(Path(section.file).stem, []).append(section)
        return reader.with_lines_pasted(found, edits)

    @cached_property
    def boxes(self) -> Boxes:
        """All boxes, captured and declared, with their cords as given."""
        try:
            made = build(
                self._declaration,
                self.reading.devices,
                self.sheet,
                survey=self.name,
                elsewhere=self._elsewhere,
                default_port=self._default_port,
                seen=sightings(self.reading.devices),
                distrusted=self.distrusted,
                earlier=self._earlier,
                typed={**self.reading.typed, **self.away.ports},
            )
            return out_of_service(made, self.away) if self.away.ports else made
        except SiteError as error:
            # A box is often missing since its capture could not be used.
            unused = [f"{note.file}:{note.line}: {note.message}" for note in self.reading.notes if note.unused]
            hint = "\n  ".join([*([error.hint] if error.hint else []), *unused[:_NOTES]])
            raise SiteError(error.message, file=error.file, line=error.line, hint=hint) from error

    @cached_property
    def sheet(self) -> Sheet | None:
        """The patch sheet of the survey, where there is one."""
        path = self.files.patching
        return read_sheet(path, self._declaration.shown(path)) if path else None

    def _elsewhere(self) -> Elsewhere:
        """Return what the other surveys know: a box that is merely absent from this one is no error."""
        others = [self._site.survey(name) for name in self._site.surveys if name != self.name]
        devices = {device.name: device for other in others for device in other.reading.devices}
        return Elsewhere(devices, tuple(other.sheet for other in others if other.sheet))

    def _default_port(self, device: Device, port: str) -> Device | None:
        return reader.with_default_port(self.reading, device, port)

    @cached_property
    def network(self) -> Network:
        """The boxes joined: bundles as one port, negotiated modes settled, spanning trees as far as they are known."""
        boxes = self.boxes
        links = [Link(cord.one, cord.other, cord.origins) for cord in boxes.cords]
        return wire(boxes.devices.values(), links, handoffs=boxes.handoffs)

    def walk(self, port: str, frame: str | Frame = "untagged") -> Walk:
        """Follow `frame` (`310`, `untagged`, `s100.310`) from `port` (`DEVICE:PORT`, in any form).

        A sub-interface stands for its port and its tag, a jack, circuit, cord or MAC for the port it leads to.  Raises
        UsageError for a port or frame that is none.
        """
        place, sent = start(self.network, self.boxes.devices, port, frame, self.boxes.spots)
        return walk(self.network, place, sent)

    def place(self, text: str) -> str:
        """Return the `DEVICE:PORT` that `text` means; UsageError with the nearest names when there is none."""
        return start(self.network, self.boxes.devices, text, (), self.boxes.spots)[0]

    def at(self, text: str) -> tuple[About, ...]:
        """Return what is known of a jack, port, cord, MAC or circuit; UsageError, with the nearest names, for none."""
        from vlancheck.site.lookup import lookup

        return lookup(self.boxes, text)

    def carriage(self) -> Carriage:
        """Return the whole relation: from every boundary port, every frame to its deliveries."""
        from vlancheck.walk.carriage import carriage

        return carriage(self.network)


class Site:
    """A folder with a declaration and one or more surveys."""

    def __init__(self, declaration: Declaration) -> None:
        """Hold what the folder declares."""
        self.declaration = declaration
        self._made: dict[str, Survey] = {}
        self._read: dict[tuple[Path, ...], reader.Reading] = {}
        self.name = declaration.name
        self.surveys = tuple(declaration.surveys)

    def survey(self, name: str = "as-found") -> Survey:
        """Return the survey called `name`; SiteError with the known ones when there is none."""
        if name not in self.declaration.surveys:
            hint = nearest(name, self.surveys) if self.surveys else "put captures into captures/as-found"
            raise SiteError(f"there is no survey {name!r}", file=self.declaration.file, hint=hint)
        if name not in self._made:
            self._made[name] = Survey(self, self.declaration.surveys[name])
        return self._made[name]

    def reading(self, captures: tuple[Path, ...]) -> reader.Reading:
        """Return what files or folders say; surveys that share them are read once."""
        if captures not in self._read:
            sections = capture.load(captures, root=self.declaration.folder) if captures else []
            names, dialects = bindings(self.declaration, sections)
            self._read[captures] = reader.read(sections, names=names, dialects=dialects)
        return self._read[captures]

    def same_captures(self, survey: Survey) -> Sheet | None:
        """Return the patch sheet of the first survey with the very captures of `survey`, where that is another one."""
        first = next(
            name for name, files in self.declaration.surveys.items() if files.captures == survey.files.captures
        )
        return self.survey(first).sheet if first != survey.name else None

    def audit(self, survey: str = "as-found", without: Sequence[str] = (), *, mends: bool = False) -> Report:
        """Return the answer about one survey; SiteError when there is no such survey or its files are not right.

        `without` names links and devices that are taken as out of service; UsageError for a name that is neither.
        With `mends`, it comes with proposals to make it right.
        """
        from vlancheck.answering import audited

        state = self.survey(survey).without(without) if without else self.survey(survey)
        report = audited(self, state)
        return replace(report, mends=self._mended(state).mends) if mends else report

    def verify(
        self,
        before: str = "as-found",
        after: str = "as-left",
        ticks: Sequence[str | Path] = (),
        only: Sequence[str] = (),
        *,
        mends: bool = False,
    ) -> Report:
        """Return the answer about `after` and every change against `before`; with `mends`, with proposals.

        With files of `ticks`, rows that are not ticked yet are `not yet`; with `only`, so is what is outside of these
        places.  Raises SiteError as `audit` says and for a file of ticks that is not right, UsageError for a place.
        """
        from vlancheck.answering import verified
        from vlancheck.site.ticks import read_ticks

        made = [tick for path in ticks for tick in read_ticks(Path(path), str(path), self.name)]
        was, now = self.survey(before), self.survey(after)
        report = verified(self, was, now, made if ticks else None, only)
        return replace(report, mends=self._mended(now, was).mends) if mends else report

    def worksheets(self, before: str = "as-found", after: str = "as-planned", first: Iterable[str] = ()) -> Book:
        """Return the sheets of the night between two surveys; places in `first` are tested before others.

        Raises SiteError as `audit` says, UsageError for a place in `first` that is none.
        """
        from vlancheck.planning import worksheets

        return worksheets(self, self.survey(before), self.survey(after), first)

    def alike(self, survey: str = "as-found") -> Alikeness:
        """Return the ports of one survey by classes whose cords may be exchanged; SiteError as `audit` says."""
        from vlancheck.planning import compared

        return compared(self, self.survey(survey))

    def replan(self, survey: str = "as-found") -> Replanned:
        """Return a re-patching of one survey with the same carriage and shorter cords, proven; SiteError as above."""
        from vlancheck.planning import replanned

        return replanned(self, self.survey(survey))

    def outages(self, survey: str = "as-found") -> tuple[Outage, ...]:
        """Return what each link and device of one survey carries, by taking it away; SiteError as above."""
        from vlancheck.planning import outages

        return outages(self, self.survey(survey))

    def draw(
        self,
        survey: str = "as-found",
        vlan: int | None = None,
        service: str = "",
        *,
        inks: bool = False,
        before: str = "",
    ) -> Drawing:
        """Return the picture of one survey, inked where `vlan` or `service` goes; SiteError as above.

        With `inks` it knows that of everything declared; with `before`, as `verify` against that survey says it.
        Raises UsageError for a VLAN or a service that is none.
        """
        from vlancheck.picturing import drawn

        earlier = self.survey(before) if before else None
        return drawn(self, self.survey(survey), vlan, service, inks=inks, before=earlier)

    def draw_changes(self, before: str = "as-found", after: str = "as-left") -> Drawing:
        """Return one picture of two surveys that tells what is in one of them alone; SiteError as above."""
        from vlancheck.picturing import drawn_changes

        return drawn_changes(self, self.survey(before), self.survey(after))

    def follow(self, survey: str = "as-found", before: str = "") -> Followed:
        """Return walks from where services enter and from what is plugged in, as far as a page has room for them.

        With `before`, as `verify` against that survey says it; SiteError as above.
        """
        from vlancheck.following import followed

        return followed(self, self.survey(survey), self.survey(before) if before else None)

    def trace(self, survey: Survey, walked: Walk) -> Trail:
        """Return a walk of a survey with drawings of what it touches."""
        from vlancheck.following import traced

        return traced(self, survey, walked)

    def trusted(self, survey: str, before: str) -> Survey:
        """Return a survey with what `verify` against the one `before` trusts; SiteError as above."""
        from vlancheck.answering import trusted

        return trusted(self, self.survey(before), self.survey(survey))[0]

    def mend(self, survey: str = "as-found", before: str = "") -> Mended:
        """Return what to type and which cords to move to make one survey right; SiteError as above.

        With `before`, the survey is to carry what that earlier one did as well.
        """
        return self._mended(self.survey(survey), self.survey(before) if before else None)

    def _mended(self, survey: Survey, before: Survey | None = None) -> Mended:
        from vlancheck.mending import mended

        return mended(self, survey, before)

    def mistakes(self, survey: str = "as-planned") -> Mistakes:
        """Return what every exchange of two cords of one survey would do; SiteError as above."""
        from vlancheck.planning import mistaken

        return mistaken(self, self.survey(survey))


def open_site(folder: str | Path) -> Site:
    """Return the site in `folder`.

    Raises SiteError, which names file and line, when the folder or its site.yaml is not right.
    """
    return Site(read_declaration(folder))
