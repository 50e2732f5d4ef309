"""Every check's manual page: its sections, and its examples run as tests."""

import re

import pytest

from vlancheck.checks import Check, checks, run
from vlancheck.findings.finding import Finding
from vlancheck.notation import Notation, parse
from vlancheck.notation.judged import case

SECTIONS = ("What it finds", "Why it matters", "Example", "Instead", "When it is intended", "Reference")
BEFORE = "Before"  # the earlier survey, of checks that compare two
CHECKS = pytest.mark.parametrize("check", checks(), ids=lambda check: check.code)


def sections(check: Check) -> dict[str, str]:
    """Return the page's sections by heading, in the order of the page; the first sentence under ""."""
    found: dict[str, list[str]] = {"": []}
    current = ""
    for line in check.manual.splitlines():
        if line.strip() in (*SECTIONS, BEFORE) and line == line.strip():
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


def run_section(check: Check, heading: str) -> tuple[Notation, tuple[Finding, ...]]:
    """Return the notation of a section and what all checks find in it, after the earlier survey where there is one."""
    found = sections(check)
    notation = parse(jot(found[heading]))
    before = parse(jot(found[BEFORE])) if BEFORE in found else None
    return notation, run(case(notation, before))


@CHECKS
def test_page_has_its_sections_in_order(check: Check) -> None:
    found = sections(check)
    assert tuple(heading for heading in found if heading != BEFORE) == ("", *SECTIONS)
    assert BEFORE not in found or tuple(found).index(BEFORE) == tuple(found).index("Example") - 1
    assert all(text.strip() for text in found.values()), "no section is empty"
    assert re.fullmatch(r"[A-Z][0-9]{3}", check.code)
    assert check.name
    assert found[""].splitlines()[0].endswith("."), "the first line is one sentence"


@CHECKS
def test_example_yields_what_it_says_and_nothing_else(check: Check) -> None:
    notation, made = run_section(check, "Example")
    told = sorted((one.code, frozenset(one.places)) for one in notation.findings)
    assert check.code in {code for code, _ in told}, "the example shows its own check"
    assert sorted((one.code, one.at) for one in made) == told


@CHECKS
def test_findings_of_the_example_are_whole(check: Check) -> None:
    for one in run_section(check, "Example")[1]:
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
    notation, made = run_section(check, "Instead")
    assert [one.code for one in notation.findings] == ["clean"]
    assert made == ()


def test_codes_are_unique() -> None:
    codes = [check.code for check in checks()]
    assert len(codes) == len(set(codes))
