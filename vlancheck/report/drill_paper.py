"""Exercises in, a sheet to print out: questions with drawings, and the answers on pages of their own; one file."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree.ElementTree import Element

from vlancheck.places import natural, split_place
from vlancheck.report.drilling import explanation
from vlancheck.report.markup import clean, document, element
from vlancheck.report.planned import plan
from vlancheck.teach.answers import LETTERS, asked
from vlancheck.teach.exercise import CALLED, Exercise

_STYLE = """
@page { size: %(size)s portrait; margin: 14mm 13mm 16mm;
  @bottom-right { content: "page " counter(page) " of " counter(pages); font: 8pt sans-serif; } }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 1rem; max-width: 48rem; color: #000; background: #fff;
  font: 15px/1.4 system-ui, sans-serif; overflow-wrap: anywhere; }
h1 { font-size: 1.3rem; margin: 0 0 .4rem; } h2 { font-size: 1.05rem; margin: 0 0 .3rem; }
p { margin: .3rem 0; }
article { margin: 1.2rem 0 1.6rem; border-top: 1px solid #000; padding-top: .4rem; }
svg { display: block; max-width: 100%%; height: auto; margin: .4rem 0; }
svg text { font: 12px system-ui, sans-serif; } svg .name { font-weight: 700; }
dl { margin: .3rem 0; font-size: .88em; } dt { font-weight: 700; } dd { margin: 0 0 0 1.2rem; }
ol { list-style: none; margin: .3rem 0; padding-left: 1rem; } ol li { margin: .2rem 0; }
.line { border-bottom: 1px solid #000; height: 1.9rem; }
pre { white-space: pre-wrap; font-size: .8em; margin: .3rem 0; }
@media print {
  body { padding: 0; max-width: none; font-size: 10pt; }
  article, svg { break-inside: avoid; }
  .key { break-before: page; }
}
"""
_WIDE, _HIGH, _ACROSS, _DOWN, _MARGIN = 130, 46, 250, 96, 14  # a box, the way to the next one, the edge


def page(exercises: Sequence[Exercise], seed: int, size: str) -> str:
    """Return the sheet for paper `a4` or `letter`; the same exercises make the same bytes."""
    style = _STYLE % {"size": {"a4": "A4", "letter": "letter"}[size]}
    title = f"How tags travel, sheet {seed}"
    return document(
        element(
            "html",
            element("head", element("meta", charset="utf-8"), element("title", title), element("style", style)),
            element(
                "body",
                element("section", element("h1", title), *_questions(exercises)),
                element("section", element("h1", f"{title}: the answers"), *_answers(exercises), class_="key"),
            ),
            lang="en",
        )
    )


def _questions(exercises: Sequence[Exercise]) -> list[Element]:
    return [_question(number, exercise) for number, exercise in enumerate(exercises, 1)]


def _question(number: int, exercise: Exercise) -> Element:
    listed: list[Element] = []
    for name, whole, rows in plan(exercise.drawn, exercise.listed):
        listed.append(element("dt", f"{name}: {whole}"))
        listed += [element("dd", f"{', '.join(row.ports)}: {row.does}") for row in rows]
    pairs = zip(LETTERS, exercise.choices, strict=False)
    answers = [element("li", f"\N{BALLOT BOX} {letter})  {choice}") for letter, choice in pairs]
    return element(
        "article",
        element("h2", f"{number}. {CALLED[exercise.spec.topic].capitalize()} (level {exercise.level})"),
        drawing(exercise),
        element("dl", *listed),
        element("pre", "\n".join(exercise.printed)) if exercise.printed else None,
        element("p", exercise.question),
        element("ol", *answers) if answers else element("p", f"Write {asked(exercise)}."),
        None if answers else element("div", class_="line"),
    )


def _answers(exercises: Sequence[Exercise]) -> list[Element]:
    return [
        element(
            "article",
            element("h2", f"{number}. {_right(exercise)}"),
            element("pre", "\n".join(explanation(exercise))),
        )
        for number, exercise in enumerate(exercises, 1)
    ]


def _right(exercise: Exercise) -> str:
    if not exercise.choices:
        return exercise.right
    return f"{LETTERS[exercise.choices.index(exercise.right)]}  {exercise.right}"


def drawing(exercise: Exercise) -> Element:
    """Return the boxes of an exercise and their cords, with the ports that it names."""
    spots = _spots(exercise)
    named: dict[str, list[str]] = {name: [] for name in spots}
    for place in exercise.spec.places:
        device, port = split_place(place)
        if port and device in named and place not in exercise.network.peer and port not in named[device]:
            named[device].append(port)
    parts: list[Element] = []
    for one, other, _ in exercise.network.links:
        ends = [split_place(one), split_place(other)]
        if ends[0][0] != ends[1][0] and all(device in spots for device, _ in ends):
            parts += _cord(spots, ends)
    for name, (x, y) in spots.items():
        parts.append(
            element("rect", x=str(x), y=str(y), width=str(_WIDE), height=str(_HIGH), fill="#fff", stroke="#000")
        )
        parts.append(_words(name, x + _WIDE // 2, y + 19, class_="name"))
        if named[name]:
            parts.append(_words(f"jacks {', '.join(sorted(named[name], key=natural))}", x + _WIDE // 2, y + 36))
    width = max(x for x, _ in spots.values()) + _WIDE + _MARGIN
    height = max(y for _, y in spots.values()) + _HIGH + _MARGIN
    return element(
        "svg", *parts, viewBox=f"0 0 {width} {height}", width=str(width), height=str(height), role="img",
        aria_label="the boxes that are listed below, and the cords between them",
    )  # fmt: skip


def _spots(exercise: Exercise) -> dict[str, tuple[int, int]]:
    """Return where each box is drawn: three in a row, the next row backwards, so that neighbours stay neighbours."""
    found = {}
    for number, name in enumerate(exercise.boxes):
        row, column = divmod(number, 3)
        found[name] = (_MARGIN + (column if row % 2 == 0 else 2 - column) * _ACROSS, _MARGIN + row * _DOWN)
    return found


def _cord(spots: dict[str, tuple[int, int]], ends: list[tuple[str, str]]) -> list[Element]:
    centres = [(spots[device][0] + _WIDE / 2, spots[device][1] + _HIGH / 2) for device, _ in ends]
    (x1, y1), (x2, y2) = centres
    parts = [element("line", x1=f"{x1:g}", y1=f"{y1:g}", x2=f"{x2:g}", y2=f"{y2:g}", stroke="#000")]
    for (x, y), (far_x, far_y), (_, port) in zip(centres, reversed(centres), ends, strict=True):
        # The label stands where the cord leaves its box, on the side of the other one.
        dx, dy = far_x - x, far_y - y
        if abs(dx) * _HIGH >= abs(dy) * _WIDE:
            share = (_WIDE / 2 + 6) / abs(dx)
            at, anchor = (x + dx * share, y + dy * share - 4), "start" if dx > 0 else "end"
        else:
            share = _HIGH / 2 / abs(dy)
            at, anchor = (x + dx * share + 5, y + dy * share + (14 if dy > 0 else -5)), "start"
        parts.append(element("text", _short(port, 8), x=f"{at[0]:g}", y=f"{at[1]:g}", text_anchor=anchor))
    return parts


def _words(text: str, x: int, y: int, **more: str) -> Element:
    return element("text", _short(text, 20), x=str(x), y=str(y), text_anchor="middle", **more)


def _short(text: str, most: int) -> str:
    shown = clean(text)
    return shown if len(shown) <= most else f"{shown[: most - 1]}…"
