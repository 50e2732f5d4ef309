"""Every check's manual page: its sections, and its examples run as tests."""

import re

import pytest

from vlancheck.checks import Check, checks, run
from vlancheck.notation import parse
from vlancheck.notation.judged import case

SECTIONS = ("What it finds", "Why it matters", "Example", "Instead", "When it is intended", "Reference")
CHECKS = pytest.mark.parametrize("check", checks(), ids=lambda check: check.code)


def sections(check: Check) -> dict[str, str]:
    """Return the page's sections by heading, in the order of the page; the first sentence under ""."""
    found: dict[str, list[str]] = {"": []}
    current = ""
    for line in check.manual.splitlines():
        if line.strip() in SECTIONS and line == line.strip():
            current = line
            assert current not in found, f"{current} stands twice"
            found[current] = []
        else:
            found[current].append(line)
    return {heading: "\n".join(lines) for heading, lines in found.items()}


def jot(text: str) -> str:
    """Return the indented lines of a section, which are in the project's notation."""
    lines = [line for line in text.splitlines() if line.strip()]
    assert all(line.startswith("    ") for line in lines), "an example is indented by four blanks, all of it"
    return "\n".join(line[4:] for line in lines)


@CHECKS
def test_page_has_its_sections_in_order(check: Check) -> None:
    found = sections(check)
    assert tuple(found) == ("", *SECTIONS)
    assert all(text.strip() for text in found.values()), "no section is empty"
    assert re.fullmatch(r"[A-Z][0-9]{3}", check.code)
    assert check.name
    assert found[""].splitlines()[0].endswith("."), "the first line is one sentence"


@CHECKS
def test_example_yields_what_it_says_and_nothing_else(check: Check) -> None:
    notation = parse(jot(sections(check)["Example"]))
    told = sorted((one.code, frozenset(one.places)) for one in notation.findings)
    assert check.code in {code for code, _ in told}, "the example shows its own check"
    assert sorted((one.code, one.at) for one in run(case(notation))) == told


@CHECKS
def test_findings_of_the_example_are_whole(check: Check) -> None:
    for one in run(case(parse(jot(sections(check)["Example"])))):
        if one.code != check.code:
            continue
        assert one.name == check.name
        assert one.headline
        assert "\n" not in one.headline
        assert one.why or one.effects
        assert one.where, "there is evidence"
        assert one.where[0].origin.text
        assert "safe" not in f"{one.headline} {one.why}".lower().split()


@CHECKS
def test_instead_is_clean(check: Check) -> None:
    notation = parse(jot(sections(check)["Instead"]))
    assert [one.code for one in notation.findings] == ["clean"]
    assert run(case(notation)) == ()


def test_codes_are_unique() -> None:
    codes = [check.code for check in checks()]
    assert len(codes) == len(set(codes))
