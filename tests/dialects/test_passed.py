"""Lines passed over on purpose are listed with their rule, and no rule takes a sensitive word that it does not name."""

from __future__ import annotations

from pathlib import Path

import pytest

from dialects.sensitive_lines import failures, is_open
from vlancheck.capture import load
from vlancheck.reader import NoteKind, load_dialect, passed_over, read
from vlancheck.reader.template import load_template

IOS = """hostname HALL-1
!
spanning-tree vlan 10 hello-time 2
banner login ^
VLAN 10 is for desks
^
interface GigabitEthernet1/0/1
 description trunk to the attic, vlan 30
 switchport access vlan 10
 glow in vlan 10
end
"""
RULES = """Value NAME (\\S+)

Start
  ^name ${NAME}$$ -> Record
  ^note .*$$
  ^words (?#free).*$$
  ^row [^|]*$$
  ^cost vlan \\d+ .*$$
  ^half
"""


@pytest.fixture
def capture(tmp_path: Path) -> Path:
    """Return a capture with lines of every sort."""
    (tmp_path / "hall-1.txt").write_text(IOS)
    return tmp_path / "hall-1.txt"


def test_each_line_has_its_rule(capture: Path) -> None:
    """What the form passes has none; what is read or unread is not listed."""
    (gathered,) = read(load([capture], root=capture.parent)).gathered.values()
    found = {one.line: one for one in passed_over(gathered) if one.text.strip()}

    assert sorted(found) == [2, 3, 4, 5, 6, 11]
    assert found[3].rule.startswith("cisco_ios/config.textfsm:")
    assert found[3].pattern.startswith("^spanning-tree vlan ")
    assert [found[line].rule for line in (2, 5, 6)] == ["", "", ""]


def test_a_text_of_another_form_has_a_note_and_no_line_that_was_passed_over(tmp_path: Path) -> None:
    """What a template of the library does not know ends the reading of that output, not of the others."""
    output = f"Port      Name    Status       Reason\nGi1/0/1   {'x' * 2100} err-disabled bpduguard\n"
    text = f"HALL-1#show running-config\n{IOS}HALL-1#show interfaces status err-disabled\n{output}HALL-1#\n"
    (tmp_path / "hall-1.log").write_text(text)
    reading = read(load([tmp_path / "hall-1.log"], root=tmp_path))
    (gathered,) = reading.gathered.values()

    assert [note.kind for note in reading.notes] == [NoteKind.NOT_THE_FORM]
    assert sorted(one.line for one in passed_over(gathered) if one.text.strip()) == [3, 4, 5, 6, 7, 12]


def test_what_the_count_counts(capture: Path) -> None:
    """One line is unread and has a word; the words spelt out by a rule, or in people's own text, are no failure."""
    found = sorted({(kind, text.partition(":")[0]) for kind, text in failures(capture)})
    assert [kind for kind, _ in found].count("sensitive, unread") == 1
    assert ("sensitive, unread", "10") in found
    assert not [kind for kind, _ in found if kind == "sensitive, passed over by an open rule"]


@pytest.mark.parametrize(
    ("line", "taken"),
    [
        ("note on the door", True),
        ("note on vlan 10", False),
        ("words on vlan 10", True),
        ("row 10 of the desks", True),
        ("row 10 tagged", False),
        ("cost vlan 10 is low", True),
        ("cost vlan 10 native", False),
        ("half a line", True),
        ("half a trunk", False),
    ],
)
def test_a_part_that_matches_anything_takes_no_sensitive_word(line: str, taken: bool) -> None:
    """Unless the rule says that it is people's own text."""
    template = load_template(RULES, "rules.textfsm", load_dialect("cisco_ios").sensitive)
    assert (template.match(line) is not None) is taken


def test_the_count_finds_an_open_rule(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its own look at a rule agrees with the reader's, line by line."""
    (tmp_path / "family").mkdir()
    (tmp_path / "family" / "rules.textfsm").write_text(RULES)
    monkeypatch.setattr("dialects.sensitive_lines.DIALECTS", tmp_path)
    assert is_open("family/rules.textfsm:5", "note on vlan 10")
    assert not is_open("family/rules.textfsm:6", "words on vlan 10")
    assert is_open("family/rules.textfsm:7", "row 10 tagged")
    assert is_open("family/rules.textfsm:8", "cost vlan 10 native")
    assert not is_open("family/rules.textfsm:8", "cost vlan 10 is low")
    assert is_open("family/rules.textfsm:9", "half a trunk")
