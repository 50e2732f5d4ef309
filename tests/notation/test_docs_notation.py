"""Every example of docs/notation.md does what the page says of it, and every word of the notation is on the page."""

from __future__ import annotations

import re
from pathlib import Path
from typing import NamedTuple

import pytest

from vlancheck.dot1q.model import DeviceKind, Foreign, PortKind, PrivateKind, PrivateRole, Told
from vlancheck.errors import NotationError
from vlancheck.notation import fields, parse
from vlancheck.notation.claims import LOSSES, Claim
from vlancheck.notation.expect import check
from vlancheck.notation.judged import case
from vlancheck.notation.parsing import _Reader

GROUPS = (
    "DEVICE",
    "BRIDGE",
    "PORT",
    "RELAY",
    "BRIDGE_PORT",
    "END",
    "ROW",
    "PRIVATE",
    "NEGOTIATE",
    "VARIANT",
    "UNREAD",
    "LOGGED",
    "ENTERED",
    "HEARS",
    "PROPERTIES",
)
PAGE = Path(__file__).parents[2] / "docs" / "notation.md"
TEXT = PAGE.read_text(encoding="utf-8")


class Block(NamedTuple):
    """A fenced block."""

    kind: str  # words behind the fence
    text: str  # what it holds
    line: int  # of the fence, 1-based


def blocks() -> list[Block]:
    """Return the fenced blocks of the page."""
    found = re.finditer(r"^```([^\n]+)\n(.*?)^```$", TEXT, re.MULTILINE | re.DOTALL)
    return [Block(one[1], one[2], TEXT[: one.start()].count("\n") + 1) for one in found]


def comments(block: Block, word: str) -> dict[int, str]:
    """Return what the comments that begin with `word` say, by line of the block."""
    told = re.compile(rf"# {word}:? (.+)$")
    return {
        number: found[1].strip()
        for number, line in enumerate(block.text.splitlines(), 1)
        if (found := told.search(line))
    }


def of_kind(kind: str) -> list[object]:
    """Return the blocks of one kind as parameters of a test."""
    return [pytest.param(one, id=f"line-{one.line}") for one in blocks() if one.kind == kind]


def test_every_block_is_of_a_kind_that_is_run() -> None:
    """No block is left out for its fence, and each kind is there."""
    assert {one.kind for one in blocks()} == {"jot", "jot false", "jot refused"}
    assert TEXT.count("```") == 2 * len(blocks())


@pytest.mark.parametrize("block", of_kind("jot"))
def test_what_is_expected_comes_true(block: Block) -> None:
    """No difference, the verdicts named, and something is asked for."""
    notation = parse(block.text)

    assert check(notation) == []
    wanted = {one.split(": ")[0]: one.split(": ")[1] for one in comments(block, "verdict").values()}
    assert {one.order.name: str(one.state) for one in case(notation).verdicts} == wanted
    assert notation.expectations or notation.findings or wanted


@pytest.mark.parametrize("block", of_kind("jot false"))
def test_what_does_not_come_true_is_told_as_the_page_says(block: Block) -> None:
    """One sentence for each line with `told:`, in its words, and none for another line."""
    found = {int(one.split(":")[1]): one.split(": ", 2)[2] for one in check(parse(block.text, file="page"))}

    assert found == comments(block, "told")
    assert found


@pytest.mark.parametrize("block", of_kind("jot refused"))
def test_what_is_refused_is_refused_where_the_page_says(block: Block) -> None:
    """The error stands at the line with `told:` and holds its words."""
    ((line, words),) = comments(block, "told").items()
    with pytest.raises(NotationError) as caught:
        parse(block.text)

    assert caught.value.line == line
    assert words in str(caught.value)


def test_every_sort_of_line_is_named() -> None:
    """Each word that can begin a line stands on the page as code."""
    assert not [word for word in _Reader().statements if not re.search(rf"`{re.escape(word)}[ `]", TEXT)]


@pytest.mark.parametrize("group", GROUPS)
def test_every_field_is_named(group: str) -> None:
    """Each field word stands on the page as code."""
    missing = [word for word in getattr(fields, group) if not re.search(rf"`{word}(?:=\w+)?`", TEXT)]
    assert not missing


def test_no_group_of_fields_is_forgotten_here() -> None:
    """The groups walked above are all there are in `fields`."""
    groups = {name for name, one in vars(fields).items() if name.isupper() and isinstance(one, tuple)}
    assert groups - {"TREES"} == set(GROUPS)


@pytest.mark.parametrize(
    "words",
    [fields.TREES, *map(list, (Told, DeviceKind, PortKind, PrivateKind, PrivateRole, Foreign, Claim)), LOSSES],
)
def test_every_word_of_a_closed_list_is_named(words: list[str]) -> None:
    """Kinds, roles, trees, claims and the rules by which frames are lost stand on the page."""
    assert not [word for word in words if not re.search(rf"`{re.escape(word)}[ `]", TEXT)]


def test_fields_in_the_tables_are_fields() -> None:
    """The page names no field that is not there."""
    known = {word for name, one in vars(fields).items() if name.isupper() and isinstance(one, tuple) for word in one}
    tables = re.findall(r"^\| field.*\n\|[-|]+\n((?:\|.*\n)+)", TEXT, re.MULTILINE)
    named = {
        word for table in tables for row in table.splitlines() for word in re.findall(r"`([^`]+)`", row.split("|")[1])
    }
    assert named
    assert named <= known
