"""The small parts that all of the page is made of: marks, places, sections, and evidence that leads to its line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.etree.ElementTree import Element

from vlancheck.evidence import Kind, Origin, Origins
from vlancheck.findings.finding import Severity
from vlancheck.outcome import CLEAN, FAULTY
from vlancheck.report.markup import Child, element
from vlancheck.verdicts.verdict import State

Rows = list[tuple[Element | str, ...]]
Spot = tuple[str, str, int]  # file, tab and line


class Cited:
    """The lines that a page names so far, each with the id of its place in the list of them."""

    def __init__(self) -> None:
        """Begin with none."""
        self.lines: dict[Spot, Origin] = {}
        self._files: dict[tuple[str, str], int] = {}

    def id_of(self, origin: Origin) -> str:
        """Return the id of a line of a file, which is cited from now on."""
        spot = origin.file, origin.sheet, origin.line
        self.lines.setdefault(spot, origin)
        number = self._files.setdefault(spot[:2], len(self._files) + 1)
        return f"line-{number}-{origin.line}"

    def line(self, origin: Origin) -> Iterator[Child]:
        """Yield a piece of evidence: file, line and text, or the sentence of a default or an assumption."""
        if not origin.file:
            word = "default" if origin.kind is Kind.DEFAULT else "assumed"
            yield f"{word}: {origin.text}" + (f" ({origin.source})" if origin.source else "")
            return
        tab = f", tab {origin.sheet}" if origin.sheet else ""
        yield element(
            "a", element("code", f"{origin.file}:{origin.line}", class_="soft"), href=f"#{self.id_of(origin)}"
        )
        yield f"{tab} "
        yield element("code", *(f"{above.text.strip()} / " for above in origin.header), origin.text.strip())

    def several(self, heading: str, origins: Origins) -> Element | None:
        """Return evidence under a word, captured lines before silence."""
        if not origins:
            return None
        ordered = sorted(dict.fromkeys(origins), key=lambda origin: not origin.file)
        return element("dl", element("dt", heading), *(element("dd", *self.line(origin)) for origin in ordered))


def section(name: str, heading: str, *parts: Child) -> Element | None:
    """Return a part of the page; None when there is nothing in it."""
    if not any(part is not None for part in parts):
        return None
    return element("section", element("h2", heading), *parts, id=name)


def mark(word: str, tone: str = "") -> Element:
    """Return a word that stands out; its tone only repeats what the word says."""
    return element("span", word, class_=f"mark {tone or tone_of(word)}")


def whole(place: str) -> Element:
    """Return the name of a place, broken over two lines only where it is longer than one."""
    return element("code", place, class_="whole")


def listed(words: Sequence[str]) -> Element | None:
    """Return a list of sentences; None for none."""
    return element("ul", *(element("li", one) for one in words)) if words else None


def tone_of(word: str) -> str:
    """Return the tone of a word that is a verdict, a state or a severity."""
    if word in (FAULTY, State.DROPPED, State.MISMATCHED, State.LEAKED, Severity.ERROR):
        return "bad"
    if word in (CLEAN, State.CARRIED):
        return "good"
    return "mild" if word == Severity.NOTE else "doubt"
