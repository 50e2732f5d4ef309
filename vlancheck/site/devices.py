"""`devices:` and `links:` in, what site.yaml says of boxes and cords out."""

from __future__ import annotations

from dataclasses import dataclass, field

from vlancheck.dot1q.model import DeviceKind
from vlancheck.dot1q.tags import Frame
from vlancheck.evidence import Origins
from vlancheck.site.frames import sent_frame
from vlancheck.site.handoffs import vid_map
from vlancheck.site.yamltext import Value

_DEVICE_KEYS = ("kind", "captures", "dialect", "owner", "ports", "frames")
_PORT_KEYS = ("service", "map", "origin")
_ORIGINS = ("letter", "capture", "test")


@dataclass(frozen=True, slots=True)
class CarrierRow:
    """A customer port of a carrier's box as declared."""

    service: str  # name of the carrier's side
    rows: dict[int, int]  # carrier's VID -> VID at the customer port
    origins: Origins  # where it is declared
    said: str = ""  # who says so: `letter`, `capture`, `test` or "" when not said


@dataclass(frozen=True, slots=True)
class DeclaredDevice:
    """What site.yaml says of a box."""

    name: str  # of the box
    at: Value  # where it is declared
    kind: DeviceKind | None = None  # None: what its capture shows
    captures: tuple[Value, ...] = ()  # files that are this box's
    dialect: str = ""  # "" detected
    owner: str = ""  # `carrier` or ""
    frames: tuple[Frame, ...] | None = None  # what a host sends and takes; None any
    carrier_ports: dict[str, CarrierRow] = field(default_factory=dict)  # of a carrier's box


@dataclass(frozen=True, slots=True)
class DeclaredLink:
    """A cord that site.yaml states, with names as written."""

    one: str  # port, range of ports or panel port as written
    other: str  # port, range of ports or panel port as written
    at: Value  # where it stands


def read_devices(value: Value | None) -> dict[str, DeclaredDevice]:
    """Return what is declared of every box, by name; SiteError for a word or key that is none."""
    if value is None or value.empty:
        return {}
    fields = value.map("`devices`")
    seen: dict[str, str] = {}
    for name in fields:
        if ":" in name or not name.strip():
            raise value.key(name).error(f"{name!r} is no name for a device", "a colon parts a device from its port")
        if (other := seen.setdefault(name.casefold(), name)) != name:
            raise value.key(name).error(f"{name!r} and {other!r} are told apart by case alone", "keep one of them")
    return {name: _device(name, value.key(name), item) for name, item in fields.items()}


def read_links(value: Value | None) -> tuple[DeclaredLink, ...]:
    """Return the cords that site.yaml states."""
    if value is None or value.empty:
        return ()
    return tuple(_link(item) for item in value.list("`links`"))


def _device(name: str, key: Value, value: Value) -> DeclaredDevice:
    fields = {} if value.empty else value.map(f"the device {name!r}", _DEVICE_KEYS)
    kind = None
    if "kind" in fields:
        word = fields["kind"].word("`kind`")
        kinds = [kind.value for kind in DeviceKind]
        if word not in kinds:
            raise fields["kind"].error(f"there is no kind {word!r}", f"known: {', '.join(kinds)}")
        kind = DeviceKind(word)
    if "ports" in fields and kind not in (None, DeviceKind.CARRIER_BOX):
        what = f"{name} is {kind.value if kind else ''}; `ports` says what a carrier-box passes"
        raise value.key("ports").error(what, "name its ports in `links` or in the patch sheet")
    if "frames" in fields and kind not in (None, DeviceKind.HOST):
        raise value.key("frames").error(f"{name} is {kind.value if kind else ''}; `frames` is for a host")
    captures = fields["captures"].several("`captures`") if "captures" in fields else ()
    for item in captures:
        item.word("`captures`")
    ports = fields["ports"].map("`ports`") if "ports" in fields else {}
    return DeclaredDevice(
        name=name,
        at=key,
        kind=kind,
        captures=captures,
        dialect=fields["dialect"].word("`dialect`") if "dialect" in fields else "",
        owner=fields["owner"].word("`owner`") if "owner" in fields else "",
        frames=tuple(sent_frame(item) for item in fields["frames"].several("`frames`")) if "frames" in fields else None,
        carrier_ports={port: _carrier_row(port, item) for port, item in ports.items()},
    )


def _carrier_row(port: str, value: Value) -> CarrierRow:
    fields = {} if value.empty else value.map(f"the port {port!r}", _PORT_KEYS)
    rows = vid_map(fields["map"], f"at {port}") if "map" in fields else {}
    said = fields["origin"].choice("`origin`", _ORIGINS) if "origin" in fields else ""
    service = fields["service"].word("`service`") if "service" in fields else "carrier"
    return CarrierRow(service, rows, value.origins, said)


def _link(value: Value) -> DeclaredLink:
    ends = value.list("a link")
    if len(ends) != 2:
        raise value.error(f"a link has two ends, this one has {len(ends)}", 'write ["SORT-1:24", "ONU-1:lan1"]')
    return DeclaredLink(ends[0].word("an end"), ends[1].word("an end"), value)
