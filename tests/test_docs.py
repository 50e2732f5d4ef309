"""What the documents say is so."""

from __future__ import annotations

from pathlib import Path

from vlancheck.dot1q.rules import Rule

ROOT = Path(__file__).parents[1]


def test_the_rules_are_documented_as_they_are() -> None:
    """docs/model.md lists every rule with its clause and sentence, and no other."""
    text = (ROOT / "docs/model.md").read_text(encoding="utf-8")
    listed = [line for line in text.splitlines() if line.startswith("| `")]

    assert listed == [f"| `{rule.word}` | {rule.clause} | {rule.sentence} |" for rule in Rule]


def test_readme_states_the_commands_as_agreed() -> None:
    """The run and the test command stand in README.md to the letter."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")

    assert "python3 -m venv .venv && .venv/bin/pip install -q . && .venv/bin/vlancheck demo" in text
    assert "python3 -m venv .venv && .venv/bin/pip install -q '.[test]' && .venv/bin/pytest" in text
