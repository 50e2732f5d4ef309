"""One line of text in, its words out: quotes, comments, `KEY=VALUE` pairs, and the errors that name the line."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from typing import NoReturn

from vlancheck.errors import NotationError
from vlancheck.evidence import Kind, Origin, Origins

_QUOTED = r'"(?:[^"\\]|\\.)*"'
_WORD = re.compile(rf'(?:{_QUOTED}|[^\s"])+')
_QUOTE = re.compile(_QUOTED)
_PLAIN_NAME = re.compile(r"[\w./+-]+")
_PLAIN_PLACE = re.compile(r"[\w./+-]+(:[\w./+:-]+)?")


@dataclass(frozen=True, slots=True)
class Line:
    """A line that says something, cut into words that keep their quotes."""

    words: tuple[str, ...]  # at least one
    text: str  # as written, without blanks around it
    file: str  # name of the text
    number: int  # 1-based

    @property
    def origins(self) -> Origins:
        """Return this line as evidence."""
        return (Origin(Kind.SITE, self.text, file=self.file, line=self.number),)

    def fail(self, message: str, hint: str = "") -> NoReturn:
        """Raise NotationError at this line."""
        raise NotationError(message, file=self.file, line=self.number, hint=hint)


def lines(text: str, file: str) -> Iterator[Line]:
    """Yield the lines that say something; `#` at the start of a word begins a comment.

    Raises NotationError for a quote that is not closed.
    """
    for number, raw in enumerate(text.removeprefix("\ufeff").split("\n"), 1):
        if words := tuple(_words(raw.strip(), file, number)):
            yield Line(words, raw.strip(), file, number)


def _words(raw: str, file: str, number: int) -> Iterator[str]:
    at = 0
    while at < len(raw):
        if raw[at].isspace():
            at += 1
            continue
        if raw[at] == "#":
            return
        found = _WORD.match(raw, at)
        end = found.end() if found else at
        if end < len(raw) and not raw[end].isspace():
            raise NotationError(
                f"a quote is not closed: {raw[end:]}", file=file, line=number, hint='write " at both ends of a name'
            )
        yield raw[at:end]
        at = end


def cut(raw: str, mark: str) -> tuple[str, str | None]:
    """Return what stands before and after the first `mark` outside quotes; None after when there is no mark."""
    at = 0
    while at < len(raw):
        if quoted := _QUOTE.match(raw, at):
            at = quoted.end()
        elif raw.startswith(mark, at):
            return raw[:at], raw[at + len(mark) :]
        else:
            at += 1
    return raw, None


def items(raw: str, mark: str = ",") -> list[str]:
    """Return the parts of `raw` between marks outside quotes."""
    found = []
    rest: str | None = raw
    while rest is not None:
        item, rest = cut(rest, mark)
        found.append(item)
    return found


def said(raw: str, line: Line) -> str:
    """Return a word without its quotes; inside them `\\"`, `\\\\` and `\\u0000` are as in JSON."""
    try:
        return _QUOTE.sub(lambda quoted: str(json.loads(quoted[0], strict=False)), raw)
    except ValueError:
        line.fail(f"{raw} has a backslash that means nothing", 'inside quotes write \\" for a quote and \\\\ for \\')


def pairs(words: Iterable[str], known: Iterable[str] | None, line: Line) -> dict[str, str]:
    """Return `KEY=VALUE` words as a table of raw values; `known` None takes any key.

    Raises NotationError for a word without `=`, an unknown key, a key given twice, and a value that is missing.
    """
    found: dict[str, str] = {}
    for word in words:
        raw_key, value = cut(word, "=")
        key = said(raw_key, line)
        if value is None:
            right = known is None or key in known
            hint = f"write {key}=VALUE" if right else f"write KEY=VALUE; {nearest(key, known or ())}"
            line.fail(f"{key!r} has no equals sign", hint)
        if known is not None and key not in known:
            line.fail(f"there is no field {key!r} on a {line.words[0]!r} line", nearest(key, known))
        if key in found:
            line.fail(f"{key!r} is given twice", "keep one of them")
        if not value:
            line.fail(f"{key!r} has no value", f'write {key}=VALUE, or {key}="" where an empty name is meant')
        found[key] = value
    return found


def nearest(word: str, known: Iterable[str]) -> str:
    """Return a hint that names the known words nearest to `word`, or all of them."""
    known = list(known)
    near = get_close_matches(word, known, 3)
    return f"nearest: {', '.join(near)}" if near else f"known: {', '.join(known[:20]) or 'none'}"


def quoted_name(name: str) -> str:
    """Return a name as it stands in lists and after `=`, quoted where it must be."""
    return name if _PLAIN_NAME.fullmatch(name) else _quote(name)


def quoted_place(place: str) -> str:
    """Return `DEVICE:PORT` or a device as it stands in a line, quoted where it must be."""
    return place if _PLAIN_PLACE.fullmatch(place) else _quote(place)


def _quote(text: str) -> str:
    return json.dumps(text, ensure_ascii=not text.isprintable())
