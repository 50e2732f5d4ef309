"""The files that a report rests on and the lines that its page cites in, the appendix of evidence out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.etree.ElementTree import Element

from vlancheck.evidence import Origin
from vlancheck.outcome import FileRead, Sort
from vlancheck.report.markup import element, table
from vlancheck.report.page_parts import Cited, Rows, Spot, whole


def evidence(cite: Cited, files: Sequence[FileRead]) -> Iterator[Element]:
    """Yield which files were read, and in their order the lines of each that are cited."""
    if files:
        yield element("h3", "Files that were read")
        rows: Rows = [(_file(one), _what(one), _taken(one), _lines(one)) for one in files]
        yield table(("File, and its SHA-256", "What it is", "Captured", "Lines"), rows)
    if cite.lines:
        yield element("h3", "Lines that are cited")
        by_file: dict[tuple[str, str], dict[int, Origin]] = {}
        for (file, tab, line), origin in _with_headers(cite).items():
            by_file.setdefault((file, tab), {})[line] = origin
        order = [one.file for one in files]
        for file, tab in sorted(by_file, key=lambda one: order.index(one[0]) if one[0] in order else len(order)):
            lines = by_file[file, tab]
            yield element("h4", element("code", file), f", tab {tab}" if tab else None)
            yield element("ol", *(_cited(cite, lines[number]) for number in sorted(lines)), class_="cited")


def _file(one: FileRead) -> Element:
    digest = element("code", one.digest, class_="soft digest") if one.digest else None
    return element("div", whole(one.file), digest)


def _what(one: FileRead) -> str:
    survey = f", {one.survey}" if one.survey else ""
    return f"{one.sort.value}{survey}" + (f": {', '.join(one.devices)}" if one.devices else "")


def _taken(one: FileRead) -> str:
    return one.taken or ("nobody says when" if one.sort is Sort.CAPTURE else "")


def _lines(one: FileRead) -> str:
    if one.sort is Sort.DECLARATION:
        return "all of it is read, or refused"
    told = [(one.read, "read"), (one.passed_over, "passed over"), (one.unread, "unread")]
    told += [(one.aside, "in no output that is read")] if one.aside else []
    return ", ".join(f"{count} {word}" for count, word in told)


def _with_headers(cite: Cited) -> dict[Spot, Origin]:
    """Return the lines that are cited, and those that they stand under."""
    found = {(one.file, one.sheet, one.line): one for line in cite.lines.values() for one in line.header if one.file}
    return found | cite.lines


def _cited(cite: Cited, origin: Origin) -> Element:
    """Return a line under its number; one that is only a heading of others has no id."""
    text = element("code", f"{' ' * len(origin.header)}{origin.text.strip()}")
    more = f" (to line {origin.end_line})" if origin.end_line > origin.line else None
    if (origin.file, origin.sheet, origin.line) not in cite.lines:
        return element("li", text, value=str(origin.line))
    return element("li", text, more, value=str(origin.line), id=cite.id_of(origin))
