"""The five answers at the top of the page, held against the report that they are made from."""

from __future__ import annotations

from pathlib import Path

import pytest
from mend.closets import CORE, closet, replaced

from vlancheck import open_site
from vlancheck.example import write_site
from vlancheck.report.answers import answers, shown
from vlancheck.report.page import page

HANDOFF = "interface GigabitEthernet1/0/24"
LOST, LEAKING = (
    replaced(CORE, HANDOFF, " switchport trunk allowed vlan 310", f" switchport trunk allowed vlan {text}")
    for text in ("311", "10,310")
)


def told(folder: Path, **texts: str) -> list[tuple[str, str]]:
    """Return the word and the tone of every answer about a closet."""
    return [(one.word, one.tone) for one in answers(closet(folder, **texts).audit("as-found"))]


def test_a_clean_closet(tmp_path: Path) -> None:
    """All is good but the changes, of which one survey says nothing."""
    assert told(tmp_path) == [
        ("yes", "good"),
        ("nothing", "good"),
        ("no", "good"),
        ("not compared", "mild"),
        ("nothing", "good"),
    ]


@pytest.mark.parametrize(
    ("text", "number", "word"),
    [
        (LOST, 0, "no"),
        (LOST, 1, "1"),
        (LEAKING, 2, "yes"),
        (CORE.replace("vtp mode transparent\n!\n", "").replace("vlan 10\n name desks\n!\n", ""), 4, "2"),
    ],
    ids=["a service is lost", "where it stops", "a leak to the carrier", "VLANs that nobody showed"],
)
def test_each_answer_changes_with_what_it_is_about(text: str, number: int, word: str, tmp_path: Path) -> None:
    """A fault of one sort changes the answer that asks for it, and names what is behind it."""
    found = answers(closet(tmp_path, core=text).audit("as-found"))[number]
    assert found.word == word
    assert found.tone in ("bad", "doubt")
    assert found.places


def test_the_example_in_full(tmp_path: Path) -> None:
    """A rebuilt closet: four places, one leak, needed changes, and what is behind each is in the page."""
    write_site(tmp_path)
    report = open_site(tmp_path).verify()
    found = answers(report)
    assert [one.word for one in found] == ["no", "4", "yes", "needed frames", "4"]
    assert "captures/as-left/core-1.log:42" in found[1].places[0]
    text = page(report)
    assert all(one.question in text for one in found)
    assert text.index(found[0].question) < text.index("<nav")


def test_what_is_left_out_is_counted() -> None:
    assert list(shown(("a", "b", "c"), 2)) == ["a", "b", "and 1 more"]
    assert list(shown(("a", "b"), 2)) == ["a", "b"]
