"""Evidence in words and as JSON, the same in every output."""

from __future__ import annotations

from typing import Any

from vlancheck.evidence import Kind, Origin, Origins


def told(origin: Origin, *, header: bool = False) -> str:
    """Return an origin in one line: `file:line: text`, or the sentence of a default or an assumption."""
    if origin.file:
        above = "".join(f"{line.text.strip()} / " for line in origin.header) if header else ""
        return f"{origin.place}: {above}{origin.text.strip()}"
    word = "default" if origin.kind is Kind.DEFAULT else "assumed"
    return f"{word}: {origin.text}" + (f" ({origin.source})" if origin.source else "")


def lines(origins: Origins, most: int = 4, port: str = "") -> list[str]:
    """Return the origins that matter to a reader, captured lines before silence, at most `most` of them.

    Beside a `port` that is named already, a heading that says no more than its name is left out.
    """
    ordered = sorted(origins, key=lambda origin: not origin.file)
    shown = [told(origin, header=not (port and _only_names(origin, port))) for origin in ordered[:most]]
    return [*shown, f"and {len(ordered) - most} more"] if len(ordered) > most else shown


def _only_names(origin: Origin, port: str) -> bool:
    return len(origin.header) == 1 and origin.header[0].text.split()[-1:] == [port]


def short(origins: Origins) -> str:
    """Return the origins as a short mark: line numbers, else the kind of silence."""
    numbers = [f"{origin.line}" for origin in origins if origin.file]
    if numbers:
        return "line " + ", ".join(dict.fromkeys(numbers))
    return next((origin.kind.value for origin in origins), "no evidence")


def document(origin: Origin) -> dict[str, Any]:
    """Return an origin as the fields of the JSON interface."""
    return {
        "origin": origin.kind.value,
        "file": origin.file,
        "sheet": origin.sheet,
        "line": origin.line,
        "end_line": origin.end_line or origin.line,
        "text": origin.text,
        "source": origin.source,
        "settled_by": origin.settle,
    }


def documents(origins: Origins) -> list[dict[str, Any]]:
    """Return several origins as the JSON interface lists them."""
    return [document(origin) for origin in origins]
