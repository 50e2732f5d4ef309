"""A site folder in, its declaration out: surveys, boxes, cords, renamings, orders, changes, holds, what is accepted."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from vlancheck.errors import SiteError
from vlancheck.site.accepted import Accepted, read_accepted
from vlancheck.site.cabinet import Mounted, read_cabinet
from vlancheck.site.devices import CarrierRow, DeclaredDevice, DeclaredLink, read_devices, read_links
from vlancheck.site.expected import Expected, Hold, read_expected, read_holds
from vlancheck.site.handoffs import Handoff, read_handoffs
from vlancheck.site.renamed import Rename, read_renamed
from vlancheck.site.services import Service, Vlan, read_services, read_vlans
from vlancheck.site.surveys import SurveyFiles, read_surveys
from vlancheck.site.yamltext import load

__all__ = [
    "CarrierRow",
    "Declaration",
    "DeclaredDevice",
    "DeclaredLink",
    "Handoff",
    "SurveyFiles",
    "read_declaration",
]

FILE = "site.yaml"
_KEYS = (
    "site",
    "surveys",
    "devices",
    "links",
    "renamed",
    "handoffs",
    "services",
    "vlans",
    "expected",
    "holds",
    "accepted",
    "cabinet",
)


@dataclass(frozen=True, slots=True)
class Declaration:
    """What site.yaml declares, with names as written."""

    folder: Path  # of the site
    file: str  # name of the file, for messages
    name: str  # of the site
    surveys: dict[str, SurveyFiles]  # by name
    devices: dict[str, DeclaredDevice]  # by name
    links: tuple[DeclaredLink, ...]  # cords
    handoffs: tuple[Handoff, ...]  # where the carrier's tags enter
    renamed: dict[str, tuple[Rename, ...]] = field(default_factory=dict)  # by survey
    services: tuple[Service, ...] = ()  # carrier's tags that must arrive
    vlans: tuple[Vlan, ...] = ()  # VLANs of the inside
    expected: tuple[Expected, ...] = ()  # changes that are meant
    holds: tuple[Hold, ...] = ()  # rows nobody may touch
    accepted: tuple[Accepted, ...] = ()  # findings that somebody answers for
    cabinet: Mapping[str, Mounted] = field(default_factory=dict)  # device or panel -> where it is mounted

    def shown(self, path: Path) -> str:
        """Return how a file of the site is called in messages: by its path in the site folder where it lies there."""
        return path.relative_to(self.folder).as_posix() if path.is_relative_to(self.folder) else path.as_posix()


def read_declaration(folder: str | Path) -> Declaration:
    """Return what the site folder declares.  Nothing is written into it.

    Raises SiteError, with file and line, when the folder or its site.yaml is not right.
    """
    root = Path(folder)
    path = _declared_in(root, str(folder))
    top = load(path, os.path.join(str(folder), FILE), FILE)
    fields = top.map("the file", _KEYS)
    surveys = read_surveys(root, fields.get("surveys"))
    return Declaration(
        folder=root,
        file=top.file,
        name=fields["site"].word("`site`") if "site" in fields else root.resolve().name,
        surveys=surveys,
        devices=read_devices(fields.get("devices")),
        links=read_links(fields.get("links")),
        handoffs=read_handoffs(fields.get("handoffs")),
        renamed=read_renamed(root, fields.get("renamed"), dict(surveys)),
        services=read_services(fields.get("services")),
        vlans=read_vlans(fields.get("vlans")),
        expected=read_expected(fields.get("expected")),
        holds=read_holds(fields.get("holds")),
        accepted=read_accepted(root, fields.get("accepted"), surveys),
        cabinet=read_cabinet(fields.get("cabinet")),
    )


def _declared_in(root: Path, shown: str) -> Path:
    """Return the path of the site's declaration; SiteError when there is none."""
    path = root / FILE
    try:
        if not root.is_dir():
            what = "is a file; a site is a folder" if root.exists() else "does not exist"
            raise SiteError(f"the site {what}", file=shown, hint=f"name a folder that holds {FILE}")
        if path.is_dir():
            raise SiteError(f"{FILE} is a folder here", file=shown, hint=f"{FILE} is a text file")
        if not path.is_file():
            hint = f"write one; the least is `site: NAME` in {FILE}"
            raise SiteError(f"there is no {FILE} here", file=shown, hint=hint)
    except (OSError, ValueError) as error:
        why = (error.strerror or str(error)).lower() if isinstance(error, OSError) else str(error)
        raise SiteError(
            f"the site cannot be read: {why}", file=shown, hint="check the path and who may read it"
        ) from error
    return path
