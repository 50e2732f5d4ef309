"""`services:` and `vlans:` in, what was ordered and promised out, with names as written."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol, TypeVar

from vlancheck.dot1q.tags import C_TAG, Tag
from vlancheck.site.frames import EndingFrame, Tags, ending_frame, tags
from vlancheck.site.yamltext import Value

_SERVICE_KEYS = ("name", "tag", "inner", "enters", "leaves", "apart")
_VLAN_KEYS = ("vid", "name", "reaches", "never", "only")
_ENDING_KEYS = ("at", "frame")


@dataclass(frozen=True, slots=True)
class Ending:
    """Where a service or a VLAN must come out."""

    at: str  # place or range of ports as written
    where: Value  # where it stands
    frame: EndingFrame = None  # the frame there
    by_vid: bool = False  # nobody wrote the frame; it is the VID of the VLAN


@dataclass(frozen=True, slots=True)
class Service:
    """A carrier's tag that must get from the handoff to named ports."""

    name: str  # unique in the site
    at: Value  # where it is declared
    tag: Tags  # the frames at the handoff
    enters: tuple[Value, ...]  # places as written; more than one where there is a backup circuit
    leaves: tuple[Ending, ...]  # where it must come out
    inner: Tags | None = None  # frames that must come through inside the tag; None when not said
    apart: bool = False  # its endings must not hear each other


@dataclass(frozen=True, slots=True)
class Vlan:
    """A VLAN of the inside."""

    vid: int  # its name in numbers, and the frame at an ending that says none
    name: str  # "" when it has none
    at: Value  # where it is declared
    reaches: tuple[Ending, ...]  # where it must come out
    never: tuple[Value, ...] = ()  # places it must not touch, as written
    only: bool = False  # `reaches` is the complete list


def read_services(value: Value | None) -> tuple[Service, ...]:
    """Return the services; SiteError when one lacks a name, a tag, or a place where it enters or leaves."""
    services = tuple(_service(item) for item in _several(value, "`services`"))
    _told_apart(services, "service")
    return services


def read_vlans(value: Value | None) -> tuple[Vlan, ...]:
    """Return the VLANs; SiteError when one has no VID."""
    vlans = tuple(_vlan(item) for item in _several(value, "`vlans`"))
    _told_apart([vlan for vlan in vlans if vlan.name], "VLAN")
    return vlans


def needed(fields: dict[str, Value], key: str, at: Value, what: str, hint: str) -> Value:
    """Return the field `key`; SiteError at `at` when it is missing or empty."""
    if key not in fields or fields[key].empty:
        raise at.error(f"{what} has no `{key}`", hint)
    return fields[key]


def _several(value: Value | None, what: str) -> tuple[Value, ...]:
    return () if value is None or value.empty else value.list(what)


def _service(value: Value) -> Service:
    fields = value.map("a service", _SERVICE_KEYS)
    name = needed(fields, "name", value, "a service", "add `name: WORDS`, as the order calls it").word("`name`")
    what = f"the service {name!r}"
    tag = tags(needed(fields, "tag", value, what, "add `tag:`, the VID at the handoff"), "`tag`")
    enters = needed(fields, "enters", value, what, "add `enters: DEVICE:PORT`, its handoff").several("`enters`")
    for item in enters:
        item.word("`enters`")
    leaves = needed(fields, "leaves", value, what, "add `leaves:`, the ports where it must come out")
    return Service(
        name=name,
        at=value,
        tag=tag,
        enters=enters,
        leaves=tuple(_ending(item, "an item of `leaves`") for item in leaves.several("`leaves`")),
        inner=tags(fields["inner"], "`inner`") if "inner" in fields else None,
        apart=fields["apart"].flag("`apart`") if "apart" in fields else False,
    )


def _vlan(value: Value) -> Vlan:
    fields = value.map("a VLAN", _VLAN_KEYS)
    vid = needed(fields, "vid", value, "a VLAN", "add `vid:`, its number").number("`vid`", 1, 4094)
    reaches = fields["reaches"].several("`reaches`") if "reaches" in fields else ()
    never = fields["never"].several("`never`") if "never" in fields else ()
    for item in never:
        item.word("`never`")
    only = fields["only"].flag("`only`") if "only" in fields else False
    if only and not reaches:
        raise fields["only"].error(f"VLAN {vid}: `only` makes the list in `reaches` complete, and there is none")
    return Vlan(
        vid=vid,
        name=fields["name"].word("`name`") if "name" in fields else "",
        at=value,
        reaches=tuple(_ending(item, "an item of `reaches`", vid) for item in reaches),
        never=never,
        only=only,
    )


def _ending(value: Value, what: str, vid: int | None = None) -> Ending:
    default = None if vid is None else (Tag(C_TAG, vid),)
    if value.text is not None:
        return Ending(value.word(what), value, default, vid is not None)
    fields = value.map(what, _ENDING_KEYS)
    at = needed(fields, "at", value, what, "add `at: DEVICE:PORT`")
    if "frame" in fields:
        return Ending(at.word("`at`"), at, ending_frame(fields["frame"]))
    return Ending(at.word("`at`"), at, default, vid is not None)


class _Named(Protocol):
    @property
    def name(self) -> str: ...

    @property
    def at(self) -> Value: ...


_N = TypeVar("_N", bound=_Named)


def _told_apart(several: Iterable[_N], what: str) -> None:
    """Refuse two that are called the same: a report names them by that."""
    seen: dict[str, _N] = {}
    for one in several:
        if (first := seen.setdefault(one.name, one)) is not one:
            message = f"there is a {what} {one.name!r} on line {first.at.line} already"
            raise one.at.error(message, "give each a name of its own")
