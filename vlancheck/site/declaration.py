"""site.yaml in, a declaration out: surveys, boxes no capture shows, cords, handoffs."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from pathlib import Path

from vlancheck.dot1q.model import DeviceKind
from vlancheck.dot1q.tags import Frame, parse_frame
from vlancheck.errors import SiteError
from vlancheck.evidence import Origins
from vlancheck.site.yamltext import Value, load

FILE = "site.yaml"
_KEYS = ("site", "surveys", "devices", "links", "renamed", "handoffs", "services", "vlans", "expected", "holds")
_SURVEY_KEYS = ("captures", "patching", "edits", "taken")
_DEVICE_KEYS = ("kind", "captures", "dialect", "owner", "ports", "frames")
_PORT_KEYS = ("service", "map", "origin")
_HANDOFF_KEYS = ("at", "carrier", "untagged", "circuit", "max-frame")


@dataclass(frozen=True, slots=True)
class SurveyFiles:
    """Where the text of one survey is."""

    name: str  # as-found, as-left, ...
    captures: tuple[Path, ...]  # files or folders; empty when there are none
    declared: Value | None = None  # where site.yaml says so


@dataclass(frozen=True, slots=True)
class CarrierRow:
    """A customer port of a carrier's box as declared."""

    service: str  # name of the carrier's side
    rows: dict[int, int]  # carrier's VID -> VID at the customer port
    origins: Origins  # where it is declared


@dataclass(frozen=True, slots=True)
class DeclaredDevice:
    """What site.yaml says of a box."""

    name: str  # of the box
    at: Value  # where it is declared
    kind: DeviceKind | None = None  # None: what its capture shows
    captures: tuple[str, ...] = ()  # files that are this box's
    dialect: str = ""  # "" detected
    owner: str = ""  # `carrier` or ""
    frames: tuple[Frame, ...] | None = None  # what a host sends and takes; None any
    carrier_ports: dict[str, CarrierRow] = field(default_factory=dict)  # of a carrier's box


@dataclass(frozen=True, slots=True)
class DeclaredLink:
    """A cord that site.yaml states, with names as written."""

    one: str  # DEVICE:PORT as written
    other: str  # DEVICE:PORT as written
    at: Value  # where it stands


@dataclass(frozen=True, slots=True)
class Handoff:
    """A port where the carrier's tags enter."""

    at: str  # DEVICE:PORT as written
    where: Value  # where it stands
    carrier: str = ""  # name of the carrier's service or the carrier
    circuit: str = ""  # circuit id
    untagged: str = ""  # `refused`, `accepted` or "" when not said
    max_frame: int | None = None  # octets; None when not said


@dataclass(frozen=True, slots=True)
class Declaration:
    """What site.yaml declares."""

    folder: Path  # of the site
    file: str  # name of the file, for messages
    name: str  # of the site
    surveys: dict[str, SurveyFiles]  # by name
    devices: dict[str, DeclaredDevice]  # by name
    links: tuple[DeclaredLink, ...]  # cords
    handoffs: tuple[Handoff, ...]  # where the carrier's tags enter


def read_declaration(folder: str | Path) -> Declaration:
    """Return what the site folder declares.

    Raises SiteError, with file and line, when the folder or its site.yaml is not right.
    """
    root = Path(folder)
    if not root.is_dir():
        what = "is a file; a site is a folder" if root.exists() else "does not exist"
        raise SiteError(f"the site {what}", file=str(folder), hint=f"name a folder that holds {FILE}")
    path = root / FILE
    if not path.is_file():
        raise SiteError(
            f"there is no {FILE} here", file=str(folder), hint=f"write one; the least is `site: NAME` in {FILE}"
        )
    top = load(path, os.path.join(str(folder), FILE))
    fields = top.map("the file", _KEYS)
    name = fields["site"].word("`site`") if "site" in fields else root.resolve().name
    return Declaration(
        folder=root,
        file=top.file,
        name=name,
        surveys=_surveys(root, fields.get("surveys")),
        devices=_devices(fields.get("devices")),
        links=tuple(_link(item) for item in _items(fields, "links")),
        handoffs=tuple(_handoff(item) for item in _items(fields, "handoffs")),
    )


def _items(fields: dict[str, Value], key: str) -> tuple[Value, ...]:
    return fields[key].list(f"`{key}`") if key in fields else ()


def _surveys(root: Path, value: Value | None) -> dict[str, SurveyFiles]:
    if value is None:
        return _found_surveys(root)
    surveys = {}
    for name, survey in value.map("`surveys`").items():
        fields = survey.map(f"the survey {name!r}", _SURVEY_KEYS)
        paths = []
        if "captures" in fields:
            at = fields["captures"]
            for item in at.items if at.items is not None else (at,):
                path = root / item.word("`captures`")
                if not path.exists():
                    raise item.error(f"the survey {name!r} names {item.text}, which does not exist")
                paths.append(path)
        surveys[name] = SurveyFiles(name, tuple(paths), survey)
    return surveys


def _found_surveys(root: Path) -> dict[str, SurveyFiles]:
    """Find surveys by folder name under captures/; captures without such folders are the survey as-found."""
    captures = root / "captures"
    if not captures.is_dir():
        return {"as-found": SurveyFiles("as-found", ())}
    folders = sorted(path for path in captures.iterdir() if path.is_dir() and not path.name.startswith("."))
    if not folders:
        return {"as-found": SurveyFiles("as-found", (captures,))}
    return {path.name: SurveyFiles(path.name, (path,)) for path in folders}


def _devices(value: Value | None) -> dict[str, DeclaredDevice]:
    if value is None:
        return {}
    return {name: _device(name, item) for name, item in value.map("`devices`").items()}


def _device(name: str, value: Value) -> DeclaredDevice:
    fields = value.map(f"the device {name!r}", _DEVICE_KEYS)
    kind = None
    if "kind" in fields:
        word = fields["kind"].word("`kind`")
        kinds = [kind.value for kind in DeviceKind]
        if word not in kinds:
            raise fields["kind"].error(f"there is no kind {word!r}", f"known: {', '.join(kinds)}")
        kind = DeviceKind(word)
    files = fields.get("captures")
    captures = tuple(item.word("`captures`") for item in files.list("`captures`")) if files else ()
    ports = fields["ports"].map("`ports`") if "ports" in fields else {}
    return DeclaredDevice(
        name=name,
        at=value,
        kind=kind,
        captures=captures,
        dialect=fields["dialect"].word("`dialect`") if "dialect" in fields else "",
        owner=fields["owner"].word("`owner`") if "owner" in fields else "",
        frames=tuple(_frame(item) for item in fields["frames"].list("`frames`")) if "frames" in fields else None,
        carrier_ports={port: _carrier_row(port, item) for port, item in ports.items()},
    )


def _carrier_row(port: str, value: Value) -> CarrierRow:
    fields = value.map(f"the port {port!r}", _PORT_KEYS)
    rows: dict[int, int] = {}
    if "map" in fields:
        mapping = fields["map"]
        for theirs, ours in mapping.map("`map`").items():
            at = (mapping.names or {})[theirs]
            rows[at.number("the carrier's VID", 1, 4094)] = ours.number("the VID at the port", 1, 4094)
    said = fields["origin"].word("`origin`") if "origin" in fields else ""
    if said not in ("", "letter", "capture", "test"):
        raise fields["origin"].error(f"`origin` is {said!r}", "it is letter, capture or test")
    service = fields["service"].word("`service`") if "service" in fields else "carrier"
    return CarrierRow(service, rows, value.origins)


def _frame(value: Value) -> Frame:
    try:
        return parse_frame(value.word("a frame"))
    except ValueError as error:
        raise value.error(str(error)) from error


def _link(value: Value) -> DeclaredLink:
    ends = value.list("a link")
    if len(ends) != 2:
        raise value.error(f"a link has two ends, this one has {len(ends)}", 'write ["SORT-1:24", "ONU-1:lan1"]')
    return DeclaredLink(ends[0].word("an end"), ends[1].word("an end"), value)


def _handoff(value: Value) -> Handoff:
    fields = value.map("a handoff", _HANDOFF_KEYS)
    if "at" not in fields:
        raise value.error("a handoff says where it is", "add `at: DEVICE:PORT`")
    untagged = fields["untagged"].word("`untagged`") if "untagged" in fields else ""
    if untagged not in ("", "refused", "accepted"):
        raise fields["untagged"].error(f"`untagged` is {untagged!r}", "it is refused or accepted")
    return Handoff(
        at=fields["at"].word("`at`"),
        where=value,
        carrier=fields["carrier"].word("`carrier`") if "carrier" in fields else "",
        circuit=fields["circuit"].word("`circuit`") if "circuit" in fields else "",
        untagged=untagged,
        max_frame=fields["max-frame"].number("`max-frame`", 64, 16384) if "max-frame" in fields else None,
    )
