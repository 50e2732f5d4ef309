"""Worksheets in, one HTML page out that is printed or ticked on a tablet, and needs nothing but itself."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import assert_never
from xml.etree.ElementTree import Element

from vlancheck.moves.worksheets.sheet import Blank, Book, Fill, Row, Worksheet
from vlancheck.report.markup import document, element
from vlancheck.report.pagehead import head
from vlancheck.report.worksheets_script import SCRIPT, policy
from vlancheck.report.worksheets_style import style

RESULTS = ("pass", "fail", "not tested")
_BOX = "\N{BALLOT BOX}"
# Shares of a line that columns take: a number, and what is filled in by hand.
_NUMBER = 5.0
_FILLED = {Fill.TICK: 9.0, Fill.RESULT: 15.0, Fill.WORDS: 14.0}
_MOST_FILLED = 46.0  # of all columns that are filled in by hand
_LETTERS = {False: 108, True: 158}  # of the font of the sheets in a line, on the narrower paper
_LONG, _WORD, _LINE = 90, 28, 22  # characters beyond which a text, a word or a short text takes no more room


def html_page(book: Book, paper: str = "a4") -> str:
    """Return all sheets as one page for paper `a4` or `letter`; names stay text, whatever they say."""
    rows = sum(len(sheet.rows) for sheet in book.sheets)
    body = element(
        "body",
        element("header", element("h1", book.site), element("p", _night(book)), _tools()),
        element("nav", element("ul", *map(_link, book.sheets)), aria_label="sheets"),
        element("main", *(_sheet(book, sheet) for sheet in book.sheets)),
        element("script", SCRIPT),
        data_site=book.site,
        data_before=book.before,
        data_survey=book.after,
        data_rows=str(rows),
    )
    title = f"{book.site}: worksheets, {book.before} to {book.after}"
    return document(element("html", head(title, style(paper), policy=policy()), body, lang="en"))


def _night(book: Book) -> str:
    return f"Worksheets: from {book.before} to {book.after}, {len(book.sheets)} sheets"


def _tools() -> Element:
    return element(
        "div",
        element("label", "Who ticks ", element("input", type="text", id="who", autocomplete="off")),
        element("button", "Save the ticks as a file", type="button", id="save"),
        element("button", "Print", type="button", id="print"),
        element("button", "Forget all ticks", type="button", id="forget"),
        element("span", "Without script, print the sheets and tick them on paper.", id="status", role="status"),
        class_="tools",
    )


def _link(sheet: Worksheet) -> Element:
    count = element("span", f", {len(sheet.rows)} rows", class_="count")
    return element("li", element("a", sheet.title, href=f"#{sheet.name}"), count)


def _sheet(book: Book, sheet: Worksheet) -> Element:
    columns = len(sheet.headings) + len(sheet.blanks)
    running = element("th", f"{book.site}: {sheet.title}", class_="running", colspan=str(columns + 1))
    headings = [element("th", heading, scope="col") for heading in ("No.", *sheet.headings)]
    headings += [element("th", blank.heading, scope="col") for blank in sheet.blanks]
    bodies = [body for part, several in sheet.parts() for body in _part(sheet, part, several, columns)]
    table = element(
        "table",
        element("colgroup", *(element("col", style=f"width: {share:.2f}%") for share in shares(sheet))),
        element("thead", element("tr", running), element("tr", *headings)),
        *bodies,
    )
    cautions = element("ul", *(element("li", one) for one in sheet.cautions), class_="cautions")
    return element(
        "section",
        element("h2", sheet.title),
        element("p", sheet.use),
        cautions if sheet.cautions else None,
        element("div", table, class_="scroll") if sheet.rows else element("p", "Nothing is on this sheet."),
        _signatures(sheet) if sheet.signatures else None,
        id=sheet.name,
        class_="wide" if sheet.wide else "tall",
    )


def shares(sheet: Worksheet) -> list[float]:
    """Return how much of a line each column takes, in per cent: as its texts and longest words ask for."""
    words, asked = [], []
    for column, heading in enumerate(sheet.headings):
        texts = [row.cells[column] for row in sheet.rows]
        word = max((len(word) for text in (heading, *texts) for word in re.split(r"[\s-]", text)), default=0)
        long = max((len(text) for text in texts), default=0)
        words.append((min(word, _WORD) + 2) * 100 / _LETTERS[sheet.wide])
        asked.append(max(min(long, _LINE), min(long, _LONG) * 0.4, 5))
    filled = [_FILLED[blank.fill] for blank in sheet.blanks]
    filled = [share * min(1, _MOST_FILLED / sum(filled)) for share in filled]
    room = 100 - sum(filled) - _NUMBER
    least = min(1, room / sum(words))  # no word is broken where there is room for each
    rest = room - least * sum(words)
    made = (word * least + rest * share / sum(asked) for word, share in zip(words, asked, strict=True))
    return [_NUMBER, *made, *filled]


def _part(sheet: Worksheet, part: str, several: list[tuple[int, Row]], columns: int) -> Iterator[Element]:
    """Yield the rows under a heading; a held row and the line that marks it stay together on a page."""
    if part:
        heading = element("th", part, colspan=str(columns + 1), scope="rowgroup")
        yield element("tbody", element("tr", heading, class_="part"))
    for number, row in several:
        line = _row(sheet, number, row)
        if row.hold:
            mark = element("tr", element("th", row.hold, colspan=str(columns + 1)), class_="mark")
            yield element("tbody", mark, line, class_="together")
        else:
            yield element("tbody", line)


def _row(sheet: Worksheet, number: int, row: Row) -> Element:
    cells = [element("td", element("span", text)) for text in row.cells]
    cells += [_blank(row, number, blank) if row.asked else element("td", class_="no") for blank in sheet.blanks]
    return element(
        "tr",
        element("th", str(number), scope="row", class_="no"),
        *cells,
        data_key=row.key,
        data_cord=row.cord,
        data_number=str(number),
        class_="held" if row.hold else "free",
    )


def _blank(row: Row, number: int, blank: Blank) -> Element:
    label = f"{blank.heading}, row {number}, {row.key}"
    what = row.test if blank.fill is Fill.RESULT and row.test else blank.heading
    match blank.fill:
        case Fill.TICK:
            field, paper = element("input", type="checkbox", aria_label=label), [element("span", _BOX, class_="box")]
        case Fill.RESULT:
            options = [element("option", "", value=""), *(element("option", one, value=one) for one in RESULTS)]
            field = element("select", *options, aria_label=label)
            paper = [element("span", f"{_BOX} {one} ") for one in RESULTS]
        case Fill.WORDS:
            field, paper = element("input", type="text", aria_label=label), []
        case _:
            assert_never(blank.fill)
    empty, said = element("div", *paper, class_="paper empty"), element("div", class_="paper said")
    return element("td", field, empty, said, class_="blank", data_blank=blank.name, data_what=what)


def _signatures(sheet: Worksheet) -> Element:
    lines = [element("div", f"{who}, name, signature, date and time") for who in sheet.signatures]
    return element("div", *lines, class_="signatures")
