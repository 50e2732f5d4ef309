"""The program on one page: captures to lines, lines to boxes, boxes to a network, the network to answers."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from vlancheck import capture, reader
from vlancheck.dot1q.tags import Frame
from vlancheck.errors import SiteError
from vlancheck.site.bind import bindings
from vlancheck.site.build import Boxes, build
from vlancheck.site.declaration import Declaration, SurveyFiles, read_declaration
from vlancheck.site.places import nearest
from vlancheck.site.ports import Elsewhere
from vlancheck.site.reading import read_sheet
from vlancheck.site.sheet import Sheet
from vlancheck.walk.start import start
from vlancheck.walk.walk import Walk, walk
from vlancheck.wiring import Link, Network, wire

if TYPE_CHECKING:
    from vlancheck.walk.carriage import Carriage


def read_paths(paths: Iterable[str | Path]) -> reader.Reading:
    """Return what the captures at `paths` (files or folders) say.

    Raises CaptureError for a path that cannot be used, DialectError for a dialect that is not right.
    """
    return reader.read(capture.load(paths))


class Survey:
    """One state of a site: what was captured, wired as declared."""

    def __init__(self, site: Site, declaration: Declaration, files: SurveyFiles) -> None:
        """Hold the files of the survey; everything is read when it is first asked for."""
        self._site, self._declaration, self._files = site, declaration, files
        self.name = files.name

    @cached_property
    def reading(self) -> reader.Reading:
        """What the captures say, and which of their lines nobody read."""
        sections = capture.load(self._files.captures, root=self._declaration.folder) if self._files.captures else []
        names, dialects = bindings(self._declaration, sections)
        return reader.read(sections, names=names, dialects=dialects)

    @cached_property
    def boxes(self) -> Boxes:
        """All boxes, captured and declared, with their cords as given."""
        return build(self._declaration, self.reading.devices, self.sheet, survey=self.name, elsewhere=self._elsewhere)

    @cached_property
    def sheet(self) -> Sheet | None:
        """The patch sheet of the survey, where there is one."""
        path = self._files.patching
        return read_sheet(path, self._declaration.shown(path)) if path else None

    def _elsewhere(self) -> Elsewhere:
        """Return what the other surveys know: a box that is merely absent from this one is no error."""
        others = [self._site.survey(name) for name in self._site.surveys if name != self.name]
        devices = {device.name: device for other in others for device in other.reading.devices}
        return Elsewhere(devices, tuple(other.sheet for other in others if other.sheet))

    @cached_property
    def network(self) -> Network:
        """The boxes joined: bundles as one port, negotiated modes settled."""
        boxes = self.boxes
        links = [Link(cord.one, cord.other, cord.origins) for cord in boxes.cords]
        return wire(boxes.devices.values(), links, handoffs=boxes.handoffs)

    def walk(self, port: str, frame: str | Frame = "untagged") -> Walk:
        """Follow `frame` (`310`, `untagged`, `s100.310`) from `port` (`DEVICE:PORT`, in any form).

        A sub-interface stands for its port and its tag.  Raises UsageError for a port or frame that is none.
        """
        place, sent = start(self.network, self.boxes.devices, port, frame)
        return walk(self.network, place, sent)

    def place(self, text: str) -> str:
        """Return the `DEVICE:PORT` that `text` means; UsageError with the nearest names when there is none."""
        return start(self.network, self.boxes.devices, text, ())[0]

    def carriage(self) -> Carriage:
        """Return the whole relation: from every boundary port, every frame to its deliveries."""
        from vlancheck.walk.carriage import carriage

        return carriage(self.network)


class Site:
    """A folder with a declaration and one or more surveys."""

    def __init__(self, declaration: Declaration) -> None:
        """Hold what the folder declares."""
        self._declaration = declaration
        self._made: dict[str, Survey] = {}
        self.name = declaration.name
        self.surveys = tuple(declaration.surveys)

    def survey(self, name: str = "as-found") -> Survey:
        """Return the survey called `name`; SiteError with the known ones when there is none."""
        if name not in self._declaration.surveys:
            hint = nearest(name, self.surveys)
            raise SiteError(f"there is no survey {name!r}", file=self._declaration.file, hint=hint)
        if name not in self._made:
            self._made[name] = Survey(self, self._declaration, self._declaration.surveys[name])
        return self._made[name]


def open_site(folder: str | Path) -> Site:
    """Return the site in `folder`.

    Raises SiteError, which names file and line, when the folder or its site.yaml is not right.
    """
    return Site(read_declaration(folder))
