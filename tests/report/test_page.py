"""The page: everything of the report is in it, nothing but itself is needed, and no text can break out of its place."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

from vlancheck.outcome import Report
from vlancheck.pipeline import open_site
from vlancheck.places import split_place
from vlancheck.report import wording
from vlancheck.report.markup import clean, document, element
from vlancheck.report.page import page
from vlancheck.report.pagestyle import STYLE
from vlancheck.report.stripstyle import STRIPS
from vlancheck.verdicts.verdict import State

from .parsed import parsed, part, strips
from .sites import hostile_report, reports, write_closet

EMPTY = {"meta", "wbr"}
TAGS = {
    "html",
    "head",
    "meta",
    "title",
    "style",
    "body",
    "header",
    "nav",
    "main",
    "section",
    "article",
    "h1",
    "h2",
    "h3",
}
TAGS |= {
    "h4",
    "p",
    "ul",
    "li",
    "a",
    "ol",
    "strong",
    "small",
    "i",
    "pre",
    "span",
    "code",
    "dl",
    "dt",
    "dd",
    "div",
    "table",
    "thead",
    "tbody",
    "tr",
    "th",
    "td",
    "wbr",
}
ATTRIBUTES = {"lang", "charset", "http-equiv", "content", "name", "class", "id", "href", "aria-label", "role", "scope"}
ATTRIBUTES |= {"data-label", "value"}
HOSTILE = "</code></td><script>alert('x')</script><img src=x onerror=alert(1)>'&amp;<!-- --></style>&#60;b"
REPORTS = dict(reports())


@dataclass
class Seen(HTMLParser):
    """What a browser would make of a page; asserts that what is opened is closed."""

    tags: list[str] = field(default_factory=list)
    attributes: list[tuple[str, str]] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    sections: dict[str, str] = field(default_factory=dict)
    open: list[str] = field(default_factory=list)
    section: str = ""

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        assert len({name for name, _ in attrs}) == len(attrs)
        self.attributes += [(name, value or "") for name, value in attrs]
        if tag not in EMPTY:
            self.open.append(tag)
        if tag == "section":
            self.section = dict(attrs)["id"] or ""

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag
        if tag == "section":
            self.section = ""

    def handle_data(self, data: str) -> None:
        if self.open[-1:] == ["style"]:
            assert data == STYLE + STRIPS
            return
        self.words.append(data)
        self.sections[self.section] = self.sections.get(self.section, "") + data

    def handle_comment(self, data: str) -> None:
        raise AssertionError(f"a comment: {data}")

    def handle_pi(self, data: str) -> None:
        raise AssertionError(f"an instruction: {data}")

    @property
    def text(self) -> str:
        """Return all words."""
        return "".join(self.words)


def seen(text: str) -> Seen:
    found = Seen()
    found.feed(text)
    found.close()
    assert found.open == []
    return found


@pytest.fixture(scope="module")
def closet(tmp_path_factory: pytest.TempPathFactory) -> Report:
    return open_site(write_closet(tmp_path_factory.mktemp("closet") / "site")).verify()


@pytest.mark.parametrize("name", REPORTS)
def test_the_page_is_whole_and_needs_nothing(name: str) -> None:
    alone(seen(page(REPORTS[name])))


def alone(found: Seen) -> None:
    """Require that a page has the known elements alone, loads nothing, runs nothing, and links to its own parts."""
    assert set(found.tags) <= TAGS
    assert {name for name, _ in found.attributes} <= ATTRIBUTES
    ids = [value for name, value in found.attributes if name == "id"]
    assert len(ids) == len(set(ids))
    assert {value for name, value in found.attributes if name == "href"} <= {f"#{one}" for one in ids}
    assert found.tags.count("style") == found.tags.count("h1") == found.tags.count("main") == 1
    assert not [word for word in ("url(", "@import", "src", "<") if word in STYLE + STRIPS], "the style loads nothing"


@pytest.mark.parametrize("name", REPORTS)
def test_everything_of_the_report_is_in_it(name: str) -> None:
    whole(REPORTS[name])


def test_everything_of_a_folder_with_captures_is_in_it(closet: Report) -> None:
    whole(closet)
    assert closet.comparison is not None
    assert closet.comparison.moves
    assert closet.findings


def whole(made: Report) -> None:
    """Require every verdict, ending, leak, finding, line, change, move, question and unread line."""
    found = seen(page(made))
    for section, words in expected(made):
        assert clean(words) in found.sections[section], f"{section}: {words}"


def expected(made: Report) -> Iterator[tuple[str, str]]:
    """Yield words and the part of the page that must have them."""
    yield "", wording.sentence(made)
    yield "", wording.counts(made)
    for one in made.findings:
        part = "findings" if one.counts else "accepted"
        yield part, f"{one.code} {one.name}"
        yield from ((part, words) for words in (one.severity.value, one.headline, one.why, one.fingerprint))
        yield from ((part, effect) for effect in one.effects)
        if one.accepted is not None:
            yield from ((part, words) for words in (one.accepted.by, one.accepted.why, one.accepted.origin.place))
        for where in one.where:
            place = f"{where.origin.file}:{where.origin.line}" if where.origin.file else where.origin.text
            yield from ((part, words) for words in (place, where.origin.text.strip(), where.place))
        if one.settled_by:
            yield "unproven", one.settled_by
    for section, verdicts in (("services", made.services), ("vlans", made.vlans)):
        for verdict in verdicts:
            yield from ((section, words) for words in (wording.title(verdict), verdict.state.value, verdict.headline))
            for ending in verdict.endings:
                yield from ((section, words) for words in (ending.stop.name, ending.frame, ending.state.value))
                yield from ((section, split_place(hop.port)[1]) for hop in ending.path)
                if ending.reason:
                    yield section, ending.reason.words
                    yield from ((section, f"{one.file}:{one.line}") for one in ending.reason.evidence if one.file)
                    if ending.state is State.UNPROVEN:
                        yield "unproven", ending.reason.words
                        yield "unproven", ending.reason.settled_by
            yield from ((section, leak.at) for leak in (*verdict.leaks, *verdict.notes))
            for question in verdict.questions:
                yield from (("unproven", words) for words in (question.words, question.settled_by))
    for device in made.devices.values():
        for unread in device.unread:
            yield "unread", f"{unread.origin[0].file}:{unread.origin[0].line}"
            yield "unread", unread.origin[0].text.strip()
    if made.moves is not None:
        for known in made.moves.causes:
            yield from (("proof", words) for words in (known.kind.value, known.words, known.sure.value))
        for jack in made.moves.jacks:
            yield from (("proof", words) for words in (jack.at, jack.port, jack.state.value, *jack.elsewhere))
            yield from (("proof", origin.place or origin.text) for origin in jack.origins)
    if made.comparison is not None:
        for cause in made.comparison.causes:
            yield "changes", cause.place.words
            for row in cause.changes:
                yield from (("changes", words) for words in (row.anchor.name, row.frame, row.before, row.after))
        for move in made.comparison.moves:
            section = "sign" if move.sign else "moved"
            yield from ((section, words) for words in (move.anchor.name, move.before, move.after, move.sign))
            yield from (("jacks", words) for words in (move.anchor.name, move.before, move.after, move.sign))
        for row in (one for cause in made.comparison.causes for one in cause.told):
            yield from (("jacks", words) for words in (row.anchor.name, row.frame, row.kind.value))
        for anchor, why in made.comparison.open:
            yield from (("unproven", words) for words in (anchor.name, why))
        for place, what, _ in made.comparison.missing:
            yield from (("changes", words) for words in (place, what))
    lines = [one.origin for finding in made.findings for one in finding.where if one.origin.file]
    yield from (("evidence", origin.text.strip()) for origin in lines)
    yield from (("evidence", words) for one in made.files for words in (one.file, one.digest, one.taken, *one.devices))
    yield from (("notes", note) for note in made.notes)
    yield from (("seen", place) for place in made.not_seen)


def test_a_part_with_nothing_in_it_is_not_there(closet: Report) -> None:
    clean_one = seen(page(REPORTS["L101 Instead"]))
    assert "findings" not in clean_one.sections
    assert "unproven" not in clean_one.sections
    due = {"findings", "services", "vlans", "jacks", "changes", "sign", "unproven", "unread", "notes", "evidence"}
    assert due <= set(seen(page(closet)).sections)


def test_a_way_back_that_alone_is_lost_has_a_row() -> None:
    """Frames come in, and the strip of those sent back ends where they die."""
    first, second = strips(part(parsed(page(REPORTS["one way"])), "services"))
    assert (first.sort, first.ways[-1][0], second.label, second.word) == ("end", "B:2", "and back", "lost")
    assert (second.ways[0][0], second.ways[-1][0], second.sort) == ("B:2", "B:1", "dies")
    assert second.end.startswith("lost here: A:2 does not accept the tag 10 site.jot:4")


def test_what_settles_several_things_stands_once(closet: Report) -> None:
    """The same question, asked by two services, has one heading and both under it."""
    two = replace(closet, verdicts=(*closet.verdicts, *closet.verdicts))
    settled = next(one.settled_by for verdict in closet.verdicts for one in verdict.questions)
    assert seen(page(two)).sections["unproven"].count(settled) == 1


def test_hostile_text_stays_text() -> None:
    """Markup in names, lines, files and notes shows as it was written, and adds no element and no attribute."""
    plain, hostile = (hostile_report(words) for words in ("harmless", HOSTILE))
    calm, found = seen(page(plain)), seen(page(hostile))

    alone(found)
    assert found.tags == calm.tags
    assert [name for name, _ in found.attributes] == [name for name, _ in calm.attributes]
    told, due = (re.sub("fingerprint [0-9a-f]{16}", "fingerprint", one.text) for one in (found, calm))
    assert told == due.replace("harmless", HOSTILE)
    for section in ("", "findings", "services", "unread", "notes", "seen", "changes", "jacks", "evidence"):
        assert HOSTILE in found.sections[section], section


def test_what_cannot_be_seen_is_shown() -> None:
    """Control characters, halves of characters and marks that turn the writing are neither hidden nor at work."""
    turned = page(replace(REPORTS["every state"], site="a\u202eb\x00c\ud800d\x1be\u2066f", notes=("g\r\x7f",)))

    assert "a\ufffdb\ufffdc\ufffdd\ufffde\ufffdf" in turned
    assert "g\ufffd\ufffd" in turned
    assert turned.encode("utf-8").decode("utf-8") == turned


def test_text_in_an_attribute_stays_there() -> None:
    """Nothing of a user's is put into one; if it ever is, quotes do not end it."""
    found = seen(document(element("html", element("td", "x", data_label="\"><script>'&quot;"))))
    assert found.tags == ["html", "td"]
    assert found.attributes == [("data-label", "\"><script>'&quot;")]


def test_the_same_report_is_the_same_page(tmp_path: Path) -> None:
    """Byte for byte, in one process and in two with other orders of sets."""
    site = write_closet(tmp_path / "site")
    first = page(open_site(site).verify())
    code = (
        "import sys; from vlancheck.pipeline import open_site; from vlancheck.report.page import page; "
        "sys.stdout.buffer.write(page(open_site(sys.argv[1]).verify()).encode())"
    )
    assert page(open_site(site).verify()) == first
    for seed in ("1", "2"):
        command = [sys.executable, "-c", code, str(site)]
        done = subprocess.run(command, capture_output=True, check=True, env={**os.environ, "PYTHONHASHSEED": seed})
        assert done.stdout.decode() == first


def colours() -> Iterator[dict[str, str]]:
    """Yield the colours by name: by day, by night, on paper."""
    for block in re.findall(r":root \{(.*?)\}", STYLE, re.DOTALL):
        found = dict(re.findall(r"--(\w+): #([0-9a-f]{3,6});", block))
        yield {name: value if len(value) == 6 else "".join(one * 2 for one in value) for name, value in found.items()}


def brightness(colour: str) -> float:
    """Return the relative luminance of a colour (WCAG 2.2, definition of relative luminance)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_every_word_can_be_read_by_day_by_night_and_on_paper() -> None:
    """A contrast of at least 4.5 to 1 (WCAG 2.2, success criterion 1.4.3)."""
    themes = list(colours())
    assert len(themes) == 3
    for theme in themes:
        for ground in ("ground", "card"):
            for ink in ("ink", "soft", "bad", "doubt", "good", "mild"):
                dark, light = sorted((brightness(theme[ground]), brightness(theme[ink])))
                assert (light + 0.05) / (dark + 0.05) >= 4.5, f"{ink} on {ground}: {theme}"


def test_colour_is_never_alone() -> None:
    """Every tone stands on a word, or on what holds one; borders differ in form as well."""
    found = seen(page(REPORTS["every state"]))
    tones = {value for name, value in found.attributes if name == "class" and value.startswith("mark ")}
    assert tones >= {"mark bad", "mark doubt"}
    for state in State:
        assert state.value in found.sections["words"]
    forms = [line.split("6px ")[1].split()[0] for line in STYLE.splitlines() if "border-left: 6px" in line]
    assert sorted(forms) == ["dashed", "dotted", "double", "solid"]
