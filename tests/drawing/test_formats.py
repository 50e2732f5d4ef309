"""Every format of a small site is as it was reviewed, and no name from a configuration becomes markup in any."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import cycle
from pathlib import Path
from typing import Any

import networkx as nx
import pytest
from report.sites import write_closet

from vlancheck.drawing.picture import Ink, Mark, MarkSort, Picture, Standing
from vlancheck.drawing.placing import lay_out
from vlancheck.drawing.texts import clean
from vlancheck.picturing import Drawing
from vlancheck.pipeline import open_site
from vlancheck.report import draw_dot, draw_graphml, draw_mermaid, draw_svg
from vlancheck.report.drawings import FORMATS

from . import graphviz
from .closets import closet
from .measuring import having, overlapping, read, texts

SNAPSHOTS = Path(__file__).parent / "snapshots"
HOSTILE = (
    '"/><script>alert(1)</script>',
    "</text></svg>&amp;<!-- ]]> -->",
    'a"];b1--b2;//',
    "\\N\\G\\l{a|<b>c}",
    "end|subgraph x]",
    "#quot;#60;b#62;",
    "1. one - two + `three`",
    "%%{init: {}}%%",
    "=HYPERLINK(A1)",
    "\x00\x07\x1b[31m\u202eABC\u2066\ud800",
    "javascript:alert(1)\nclick b1 call x()",
    "Größe 寸法 ☃ é",
    "<!ENTITY x SYSTEM 'file:///etc/passwd'>&x;",
)  # as many as are coprime to the texts of a row, so that each of them stands in each place


def hostile() -> Picture:
    """Return a picture of which every text is hostile, and everything that a text may stand in is there."""
    words = cycle(HOSTILE)
    plain = closet(5, 12)

    def next_() -> str:
        return next(words)

    boxes = tuple(
        replace(
            box,
            name=next_(),
            words=next_(),
            sockets=tuple(
                replace(row, name=next_(), whole=next_(), note=next_(), labels=(next_(),)) for row in box.sockets
            ),
        )
        for box in plain.boxes
    )
    lines = tuple(
        replace(line, labels=(next_(), next_()), via=(next_(),), cords=number % 2 + 1)
        for number, line in enumerate(plain.lines)
    )
    first = boxes[0].sockets[0].key
    marks = tuple(Mark(first, sort, next_()) for sort in MarkSort)
    ink = Ink(key="x", name=next_(), words=next_(), sockets={first: True}, lines={lines[0].key: False}, marks=marks)
    return replace(plain, title=next_(), survey=next_(), boxes=boxes, lines=lines, inks=(ink,), chosen="x")


def drawings() -> list[tuple[Drawing, Drawing]]:
    """Return hostile drawings, each with one that is like it and has harmless names."""
    made = []
    inked = hostile()
    for picture in (inked, replace(inked, inks=(), chosen="", before=HOSTILE[0], changes=HOSTILE)):
        plain = replace(
            picture,
            title="closet",
            survey="as-found",
            before="as-found" if picture.before else "",
            changes=tuple("change" for _ in picture.changes),
            boxes=tuple(
                replace(box, name="box", words="switch", sockets=tuple(_harmless(row) for row in box.sockets))
                for box in picture.boxes
            ),
            lines=tuple(replace(line, labels=("c", "d"), via=("j",)) for line in picture.lines),
            inks=tuple(
                replace(ink, name="n", words="w", marks=tuple(replace(mark, why="why") for mark in ink.marks))
                for ink in picture.inks
            ),
        )
        made.append((_alone(picture), _alone(plain)))
    return made


def _harmless(row: Any) -> Any:
    return replace(row, name="1", whole="a:1", note="n", labels=("c",))


def _alone(picture: Picture) -> Drawing:
    (layout,) = lay_out(picture, picture)
    return Drawing(picture, layout)


# ---- snapshots -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("suffix", [".svg", ".dot", ".mmd", ".graphml"])
@pytest.mark.parametrize("what", ["plain", "inked", "changes"])
def test_every_format_is_as_it_was_reviewed(tmp_path: Path, what: str, suffix: str) -> None:
    """Where one of these is meant to change, write it with `vlancheck draw` and look at it."""
    site = open_site(write_closet(tmp_path / "site"))
    drawing = {
        "plain": lambda: site.draw(),
        "inked": lambda: site.draw("as-left", service="Booking line"),
        "changes": lambda: site.draw_changes(),
    }[what]()
    made = FORMATS[suffix](drawing)
    assert made == (SNAPSHOTS / f"{what}{suffix}").read_text(encoding="utf-8")


def test_the_long_name_of_a_format_is_the_same_format() -> None:
    assert FORMATS[".mermaid"] is FORMATS[".mmd"]
    assert {*FORMATS} == {".svg", ".dot", ".mmd", ".mermaid", ".graphml"}


# ---- hostile names -------------------------------------------------------------------------------------------------


def test_no_name_is_markup_in_svg() -> None:
    for drawing, plain in drawings():
        text = draw_svg.text(drawing)
        root, like = read(text), read(draw_svg.text(plain))
        assert {one.tag for one in root.iter()} == {one.tag for one in like.iter()}
        assert len(having(root, "socket")) == len(having(like, "socket"))
        attributes = [{name for one in made.iter() for name in one.attrib} for made in (root, like)]
        assert attributes[0] == attributes[1]
        assert "<script" not in text
        assert not re.search("[\x00-\x08\x0b-\x1f\u202a-\u202e\u2066-\u2069]", text)
        ports = {one.get("data-port") for one in having(root, "socket")}
        assert '"/><script>alert(1)</script>' in ports
        assert not [name for name in attributes[0] if name.startswith("on") or "href" in name or "src" in name]
        assert not re.search(r"url\(|@import|@font-face", text)
        assert overlapping(texts(root)) == []
        text.encode()


def test_no_name_is_markup_in_dot() -> None:
    """Names stand in labels alone, where `<`, `&` and quotes are spelled; outside of these is nothing from outside."""
    for drawing, plain in drawings():
        bare = [re.sub(r"label=<.*>(?=[;\]])", "label=<>", row) for row in draw_dot.text(drawing).splitlines()]
        like = [re.sub(r"label=<.*>(?=[;\]])", "label=<>", row) for row in draw_dot.text(plain).splitlines()]
        assert bare == like
        tags = set(re.findall(r"<(/?\w+)", draw_dot.text(drawing).replace("label=<", "")))
        assert tags <= {"TABLE", "/TABLE", "TR", "/TR", "TD", "/TD", "B", "/B", "BR"}


def test_graphviz_reads_hostile_names_as_names() -> None:
    graphviz.needed()
    for drawing, plain in drawings():
        made, like = (graphviz.dot(draw_dot.text(one)) for one in (drawing, plain))
        count = [[row.split(" ")[0] for row in text.splitlines()].count("node") for text in (made, like)]
        assert count == [len(drawing.picture.boxes)] * 2
        shown = read(graphviz.dot(draw_dot.text(drawing), "svg"))
        assert "<script>" in "".join(shown.itertext())
        assert not [one for one in shown.iter() if one.tag.endswith("script")]


def test_no_name_is_markup_in_mermaid() -> None:
    """A name is letters, digits, a few signs, and other signs by their number."""
    for drawing, _ in drawings():
        text = draw_mermaid.text(drawing)
        for row in text.splitlines():
            for words in re.findall(r'"([^"]*)"', row):
                for part in words.split("<br/>"):
                    assert re.fullmatch(r"(?:[A-Za-z0-9 ,/:.–-]|#\d+;)*", part), row
                    assert not re.search(r"(?:^|\s)\d+\.\s|(?:^|\s)-\s", part), row
            shape = re.sub(r'"[^"]*"', '""', row)
            comment = shape.startswith("  %% ")
            assert comment or re.fullmatch(
                r"flowchart LR|  b\d+(?:\[\"\"\]|\[\[\"\"\]\]|\(\[\"\"\]\))|  b\d+ (?:---|===|-\.-)\|\"\"\| b\d+"
                r"|  linkStyle [\d,]+ stroke:#0a2f73,stroke-width:3px",
                shape,
            ), row


def test_graphml_gives_every_name_back() -> None:
    for drawing, _ in drawings():
        graph = nx.parse_graphml(draw_graphml.text(drawing))
        names = {data["name"] for _, data in graph.nodes(data=True)}
        rows = [row for box in drawing.picture.boxes for row in box.sockets]
        boxes = [box.name for box in drawing.picture.boxes]
        assert names == {clean(one) for one in (*boxes, *(row.whole for row in rows))}
        cords = [data for *_, data in graph.edges(data=True) if data["sort"] in ("cord", "bundle")]
        assert sorted(data["labels"] for data in cords) == sorted(
            clean(", ".join(line.labels)) for line in drawing.picture.lines
        )


# ---- limits --------------------------------------------------------------------------------------------------------


def test_a_large_chart_is_told_by_pairs_of_boxes() -> None:
    """Readers of Mermaid stop at 500 edges: what would be more is drawn as one edge for two boxes."""
    large = next(made for seed in range(40) if len((made := closet(seed)).lines) > 500 or seed == 39)
    picture = large if len(large.lines) > 500 else _many(large)
    text = draw_mermaid.text(_alone(picture))
    edges = [row for row in text.splitlines() if re.search(r" (?:---|===|-\.-)\|", row)]
    assert len(edges) <= 500
    assert len(text) <= 50_000
    assert f"{len(picture.lines)} lines, those between two boxes drawn as one" in text
    counts = [int(found[1]) if (found := re.search(r'"(\d+) lines', row)) else 1 for row in edges]
    assert sum(counts) == len(picture.lines)


def _many(picture: Picture) -> Picture:
    """Return a picture with more than 500 lines."""
    one, other = picture.boxes[0], picture.boxes[1]
    rows = tuple(
        tuple(replace(one.sockets[0], key=f"{box.key}:x{number}", name=f"x{number}") for number in range(520))
        for box in (one, other)
    )
    boxes = (
        replace(one, sockets=one.sockets + rows[0]),
        replace(other, sockets=other.sockets + rows[1]),
        *picture.boxes[2:],
    )
    line = replace(picture.lines[0], labels=(), standing=Standing.KEPT)
    more = tuple(replace(line, one=a.key, other=b.key) for a, b in zip(*rows, strict=True))
    return replace(picture, boxes=boxes, lines=picture.lines + more)
