"""The dialects as text and as a document: what is read of each family of devices."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from types import MappingProxyType
from typing import Any

from vlancheck.errors import UsageError
from vlancheck.reader import Dialect, dialect_names, load_dialect

SCHEMA = "vlancheck/dialects/1"


def text(name: str = "", fixtures: Mapping[str, int] = MappingProxyType({})) -> str:
    """Return all dialects, a line each, or one in full; UsageError, with the nearest, for a name that is none.

    `fixtures` says how many fixtures of each are at hand.
    """
    names = dialect_names()
    if not name:
        width = max(map(len, names))
        tested = {one: f"  ({_fixtures(fixtures[one])})" if one in fixtures else "" for one in names}
        return "\n".join(f"{one:<{width}}  {load_dialect(one).title}{tested[one]}" for one in names)
    if name not in names:
        near = get_close_matches(name, names, 3)
        raise UsageError(f"there is no dialect {name!r}", hint=f"nearest: {', '.join(near or names)}")
    dialect = load_dialect(name)
    out = [f"{name}: {dialect.title}", ""]
    if typed := [f"  {source.capture}" for source in dialect.sources if source.capture]:
        out += ["capture, with the prompt and the command in the log:", *typed, ""]
    out.append("reads")
    width = max(len(source.name) for source in dialect.sources)
    for source in dialect.sources:
        how = ["in a console log"] if source.commands else []
        how += ["as a saved file"] if source.bare else []
        out.append(f"  {source.name:<{width}}  {', '.join(how)}")
    if name in fixtures:
        out += ["", f"tested on {_fixtures(fixtures[name])}: vlancheck dialects test {name}"]
    return "\n".join(out)


def _fixtures(count: int) -> str:
    return f"{count} fixture" if count == 1 else f"{count} fixtures"


def document() -> dict[str, Any]:
    """Return all dialects as JSON fields."""
    return {"schema": SCHEMA, "dialects": [_document(load_dialect(name)) for name in dialect_names()]}


def _document(dialect: Dialect) -> dict[str, Any]:
    sources = [
        {
            "name": source.name,
            "capture": source.capture,
            "commands": [pattern.pattern for pattern in source.commands],
            "bare": source.bare,
        }
        for source in dialect.sources
    ]
    return {"name": dialect.name, "title": dialect.title, "sources": sources}
