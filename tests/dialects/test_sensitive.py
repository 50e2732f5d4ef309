"""No unanchored pattern of any dialect passes over a line that holds a word which could touch VLANs."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
import yaml
from hypothesis import find, settings
from hypothesis.strategies import from_regex

import vlancheck
from vlancheck.pipeline import read_paths
from vlancheck.reader import loading
from vlancheck.reader.dialect import Dialect, Source
from vlancheck.reader.loading import load_folder
from vlancheck.reader.template import Rule, Template, load_template

DIALECTS = Path(vlancheck.__file__).parent / "dialects"
PUBLISHED = yaml.safe_load((DIALECTS / "sensitive.yaml").read_text())
WORDS = sorted({str(word) for word in PUBLISHED["words"]})
FOLDERS = sorted(path.parent for path in DIALECTS.glob("*/dialect.yaml"))
PAIRS = [(dialect, source) for dialect in map(load_folder, FOLDERS) for source in dialect.sources]
SOURCES = [pytest.param(*pair, id=f"{pair[0].name}-{pair[1].name}") for pair in PAIRS]

OPEN_RULE = "Value NOTHING (x)\n\nStart\n  ^light\n"


@pytest.mark.parametrize("word", WORDS)
def test_a_line_with_a_sensitive_word_is_unread_and_matters(tmp_path: Path, word: str) -> None:
    """`cdp ...` and `service ...` are passed over by name, but not when they say anything about VLANs."""
    path = tmp_path / "x.txt"
    body = f" cdp {word} 7\n cdp enable\n"
    path.write_text(f"version 15.2\nhostname X\nservice {word} 7\ninterface GigabitEthernet1/0/1\n{body}!\nend\n")
    (device,) = read_paths([path]).devices

    assert {(item.origin[0].line, item.matters) for item in device.unread} == {(3, True), (5, True)}


@pytest.mark.parametrize(
    ("line", "matters"),
    [
        ("taged 25", True),
        ("Tagged 25 please", True),
        ("ttagged 25", True),
        ("tgaged 25", True),
        ("agged 25", False),
        ("untaged 25", True),
        ("swichport", True),
        ("vlna 10", True),
        ("vvlan 10", True),
        ("lan 10", False),
        ("vln 10", True),
        ("channnel-group 1", True),
        *((f"{word} 10", False) for word in PUBLISHED["apart"]),
        ("advantage 7", False),
    ],
)
def test_an_unread_word_with_a_slip_matters(tmp_path: Path, line: str, matters: bool) -> None:
    path = tmp_path / "x.txt"
    path.write_text(f"version 15.2\nhostname X\ninterface GigabitEthernet1/0/1\n {line}\n!\nend\n")
    (device,) = read_paths([path]).devices
    assert [(item.origin[0].line, item.port, item.matters) for item in device.unread] == [
        (4, "GigabitEthernet1/0/1", matters)
    ]


def test_words_apart_would_be_slips_of_published_ones() -> None:
    """A list of exceptions that are none would hide what it is for."""
    for word in PUBLISHED["apart"]:
        near = {f"{word[:at]}{letter}{word[at:]}" for at in range(1, len(word)) for letter in map(chr, range(97, 123))}
        near |= {f"{word[:at]}{word[at + 1 : at + 2]}{word[at]}{word[at + 2 :]}" for at in range(len(word))}
        assert near & set(WORDS), word


def test_every_folder_and_source_is_walked() -> None:
    """Those below are all that ship, with the one to copy; each has a template."""
    assert {path.name for path in FOLDERS} >= {"_template", "cisco_ios", "openvswitch"}
    assert {dialect.name for dialect, _ in PAIRS} == {path.name for path in FOLDERS}
    assert all(source.templates for _, source in PAIRS)


@pytest.mark.parametrize(("dialect", "source"), SOURCES)
def test_no_open_pattern_takes_a_sensitive_word(dialect: Dialect, source: Source) -> None:
    """A line made for each open rule is taken by it, and no longer when any sensitive word stands behind."""
    for template in source.templates:
        assert template.guard is dialect.sensitive
        assert taken(template) == []


def taken(template: Template) -> list[str]:
    """Return the lines with a sensitive word that an open rule of the template takes."""
    found = []
    for rule in template.rules:
        if rule.anchored:
            continue
        line = example(rule)
        assert template.first(line, [rule]) or template.guard.search(line), f"{template.file}:{rule.line} takes nothing"
        for word in WORDS:
            for text in (f"{line} {word} 7", f"{line} x-{word.upper()}"):
                hit = template.match(text)
                if template.first(text, [rule]) or (hit and not hit.rule.anchored):
                    found.append(f"{template.file}:{rule.line}: {text}")
    return found


def example(rule: Rule) -> str:
    """Return the simplest line that a rule matches."""
    return find(from_regex(rule.pattern, fullmatch=True), lambda text: True, settings=settings(database=None))


@pytest.fixture
def extended(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Dialect:
    """Return a dialect that extends one with a sensitive word of its own, and adds another and a template."""
    folder = tmp_path / "dialects"
    shutil.copytree(DIALECTS / "_template", folder / "below")
    with (folder / "below/dialect.yaml").open("a", encoding="utf-8") as file:
        file.write("sensitive: zoning\n")
    (folder / "above").mkdir()
    (folder / "above/dialect.yaml").write_text(
        """
title: above
extends: below
sensitive: [fabric]
sources:
  - {name: more, form: set-lines, templates: more.textfsm}
""",
        encoding="utf-8",
    )
    (folder / "above/more.textfsm").write_text(OPEN_RULE, encoding="utf-8")
    monkeypatch.setattr(loading, "FOLDER", folder)
    return load_folder(folder / "above")


def test_a_dialect_that_extends_another_keeps_its_words(extended: Dialect) -> None:
    """Words are added, never taken away: the published ones, those of the dialect below and its own."""
    assert {source.name for source in extended.sources} == {"more", "configuration"}
    for word in (*WORDS, "zoning", "fabric"):
        assert extended.sensitive.search(f"x {word} 7"), word


def test_both_dialects_templates_are_guarded_by_the_words_of_both(extended: Dialect) -> None:
    """An open rule of either passes a harmless line over, and none with a word of either."""
    for source in extended.sources:
        (template,) = source.templates
        line = "light blue" if source.name == "more" else "port 1 | light blue"
        assert template.match(line)
        assert not [word for word in (*WORDS, "zoning", "fabric") if template.match(f"{line} {word} 7")]
        assert taken(template) == []


def test_an_open_rule_without_its_guard_is_found() -> None:
    """What the walk above looks for, it finds."""
    unguarded = load_template(OPEN_RULE, "t.textfsm", re.compile("(?!)"))

    assert "t.textfsm:4: light vlan 7" in taken(unguarded)
