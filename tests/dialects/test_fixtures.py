"""Every capture under fixtures/dialects becomes the model that its YAML describes, and no line of it vanishes."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from dialects.expected import FIXTURES, describe, read_fixture
from vlancheck.capture import Section, load
from vlancheck.reader import NoteKind, dialect_names

CASES = sorted(FIXTURES.glob("*/*.txt"))


@pytest.mark.parametrize("case", CASES, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_capture_becomes_the_model_described(case: Path) -> None:
    """The description of what was read equals the one that was reviewed."""
    expected = yaml.safe_load(case.with_suffix(".yaml").read_text(encoding="utf-8"))
    assert describe(read_fixture(case)) == expected


@pytest.mark.parametrize("case", CASES, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_every_line_is_accounted_for(case: Path) -> None:
    """Each line that is not blank is evidence of a fact, passed over by name, or unread."""
    reading = read_fixture(case)
    fates = [fate for gathered in reading.gathered.values() for fate in gathered.fates]
    unused = {note.line for note in reading.notes if note.kind in (NoteKind.OTHER_COMMAND, NoteKind.NEEDLESS)}
    used = [section for section in load([case], root=FIXTURES) if _first(section) not in unused and section.lines]
    there = [{line.number for line in section.lines if line.text.strip()} for section in used]
    assert sorted(sorted(fate) for fate in fates) == sorted(sorted(lines) for lines in there if lines)


def _first(section: Section) -> int:
    return section.prompt.number if section.prompt else section.lines[0].number


@pytest.mark.parametrize("name", dialect_names())
def test_every_dialect_has_a_fixture(name: str) -> None:
    """A dialect without a capture that proves it is not finished."""
    assert list((FIXTURES / name).glob("*.txt"))
