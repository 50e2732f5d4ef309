"""`expected:` and `holds:` in, changes that are meant and rows nobody may touch out, with names as written."""

from __future__ import annotations

from dataclasses import dataclass

from vlancheck.dot1q.tags import Frame
from vlancheck.site.frames import Tags, frame, parsed, tags
from vlancheck.site.services import needed
from vlancheck.site.yamltext import Value

_EXPECTED_KEYS = ("at", "gains", "loses", "becomes", "why")
_HOLD_KEYS = ("at", "why", "owner")


@dataclass(frozen=True, slots=True)
class Expected:
    """A change of carriage that is meant."""

    at: str  # place or range of ports as written
    where: Value  # where it stands
    gains: Tags | None = None  # frames carried afterwards that were not before
    loses: Tags | None = None  # frames carried before that are not afterwards
    becomes: tuple[tuple[Frame | None, Frame], ...] = ()  # (frame before, or None for any, frame afterwards)
    why: str = ""  # in the owner's words


@dataclass(frozen=True, slots=True)
class Hold:
    """A row nobody may touch without its owner."""

    at: str  # place or range of ports as written
    where: Value  # where it stands
    why: str = ""  # what hangs there
    owner: str = ""  # whom to ask


def read_expected(value: Value | None) -> tuple[Expected, ...]:
    """Return the changes that are meant; SiteError for one that says no change."""
    if value is None or value.empty:
        return ()
    return tuple(_expected(item) for item in value.list("`expected`"))


def read_holds(value: Value | None) -> tuple[Hold, ...]:
    """Return the holds; one may be a map or the plain name of its place."""
    if value is None or value.empty:
        return ()
    return tuple(_hold(item) for item in value.list("`holds`"))


def _expected(value: Value) -> Expected:
    fields = value.map("an expected change", _EXPECTED_KEYS)
    at = needed(fields, "at", value, "an expected change", "add `at:`, the jack or the port")
    if not {"gains", "loses", "becomes"} & fields.keys():
        raise value.error("an expected change says what changes", "add `gains: 20`, `loses: 20` or `becomes: {20: 30}`")
    return Expected(
        at=at.word("`at`"),
        where=at,
        gains=tags(fields["gains"], "`gains`") if "gains" in fields else None,
        loses=tags(fields["loses"], "`loses`") if "loses" in fields else None,
        becomes=_becomes(fields["becomes"]) if "becomes" in fields else (),
        why=fields["why"].word("`why`") if "why" in fields else "",
    )


def _becomes(value: Value) -> tuple[tuple[Frame | None, Frame], ...]:
    if value.fields is None:
        return ((None, frame(value, "`becomes`")),)
    if not value.fields:
        raise value.error("`becomes` is an empty map", "write the frame before and the frame after: {20: 30}")
    pairs = value.map("`becomes`").items()
    return tuple((parsed(value.key(old), old, "`becomes`"), frame(new, "`becomes`")) for old, new in pairs)


def _hold(value: Value) -> Hold:
    if value.text is not None:
        return Hold(value.word("a hold"), value)
    fields = value.map("a hold", _HOLD_KEYS)
    at = needed(fields, "at", value, "a hold", "add `at:`, the jack or the port")
    return Hold(
        at=at.word("`at`"),
        where=at,
        why=fields["why"].word("`why`") if "why" in fields else "",
        owner=fields["owner"].word("`owner`") if "owner" in fields else "",
    )
