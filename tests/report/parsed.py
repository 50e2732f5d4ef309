"""The text of a page in, its elements out, as a reader of HTML would have them; and what its strips say."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from html.parser import HTMLParser
from xml.etree.ElementTree import Element, TreeBuilder

VOID = frozenset({"meta", "wbr", "input", "br"})


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.made = TreeBuilder()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.made.start(tag, {name: value or "" for name, value in attrs})
        if tag in VOID:
            self.made.end(tag)

    def handle_endtag(self, tag: str) -> None:
        self.made.end(tag)

    def handle_data(self, data: str) -> None:
        self.made.data(data)


def parsed(page: str) -> Element:
    """Return the root element of a page."""
    reader = _Reader()
    reader.feed(page.strip().removeprefix("<!DOCTYPE html>").strip())
    reader.close()
    return reader.made.close()


def part(root: Element, name: str) -> Element:
    """Return a section of a page."""
    return next(one for one in root.iter("section") if one.get("id") == name)


def words(one: Element) -> str:
    """Return the words of an element, runs of blanks made one."""
    return " ".join("".join(one.itertext()).split())


@dataclass(frozen=True)
class Strip:
    """A strip as it is read from the page."""

    label: str  # `before`, `after`, `as before`, ...
    word: str  # what is said of it
    start: str  # what sends; "" where the first box does
    ways: tuple[tuple[str, str, str], ...]  # DEVICE:PORT, `in` or `out`, the frame on the wire there
    vids: tuple[str, ...]  # VLAN inside each box; "" where none is told
    end: str  # what hears it, or what became of it
    sort: str  # `end`, `dies`, `open`, or "" where a box is the last


def strips(root: Element) -> Iterator[Strip]:
    """Yield the strips of a part of a page."""
    for block in root.iter("div"):
        drawn = block.find("dd/ol[@class='strip']")
        if drawn is not None:
            mark = next(one for one in block.iter("span") if one.get("class", "").startswith("mark"))
            label = words(block.find("dt") or Element("dt")).removesuffix(words(mark)).strip()
            yield _strip(label, words(mark), drawn)


def _strip(label: str, word: str, drawn: Element) -> Strip:
    start = end = sort = ""
    ways: list[tuple[str, str, str]] = []
    vids: list[str] = []
    wire = ""
    waiting: list[str] = []  # ports where a frame left, whose wire comes next
    for item in drawn:
        kind = item.get("class", "").split()[0]
        if kind == "start":
            start = words(item)
        elif kind == "wire":
            wire = frame(item)
            ways += [(port, "out", wire) for port in waiting]
            waiting = []
        elif kind == "box":
            first, *ports = (words(one) for one in item.findall("span"))
            device, _, inside = first.partition(" ")
            vids.append(inside.removeprefix("VLAN ").removesuffix("unproven").strip())
            for port in ports:
                way, _, name = port.partition(" ")
                if way == "in":
                    ways.append((f"{device}:{name}", "in", wire))
                else:
                    waiting.append(f"{device}:{name}")
        else:
            end, sort = words(item), kind
    assert not waiting, "a frame that leaves is on a wire"
    return Strip(label, word, start, tuple(ways), tuple(vids), end, sort)


def frame(wire: Element) -> str:
    """Return the frame on a wire as it is written elsewhere, from the boxes that are drawn."""
    tags = [words(one) for one in wire.iter("span") if one.get("class", "").startswith("tag")]
    if not tags:
        assert words(wire).startswith("untagged")
        return "untagged"
    return ".".join(_tag(*tag.split()) for tag in tags)


def _tag(sort: str, vid: str) -> str:
    return vid if sort == "C" else f"s{vid}" if sort == "S" else f"{vid}@{sort}"
