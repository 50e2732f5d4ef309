"""What the tests of checks share: a text in jot in, the findings out, and faults planted in a clean text."""

from vlancheck.checks import run
from vlancheck.findings.finding import Finding
from vlancheck.notation import parse
from vlancheck.notation.judged import case
from vlancheck.vids import text as written


def found(text: str) -> tuple[Finding, ...]:
    """Return all findings of a text."""
    return run(case(parse(text)))


def told(text: str) -> list[tuple[str, str, str]]:
    """Return code, VIDs and places of all findings of a text."""
    return sorted((one.code, written(one.vids), " ".join(sorted(one.at))) for one in found(text))


def planted(text: str, *swaps: tuple[str, str]) -> str:
    """Return the text with each old line replaced by a new one; an old line must stand there once."""
    lines = text.strip().splitlines()
    for old, new in swaps:
        assert lines.count(old) == 1, f"{old!r} does not stand there once"
        lines[lines.index(old)] = new
    return "\n".join(lines)
