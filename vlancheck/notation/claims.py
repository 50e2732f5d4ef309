"""What a text claims of its network: the fate of frames, and the findings of checks; kept as data, judged elsewhere."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby
from typing import assert_never

from vlancheck.dot1q.rules import Rule
from vlancheck.dot1q.tags import format_frame, parse_frame
from vlancheck.evidence import Origins
from vlancheck.notation.words import Line, items, nearest, quoted_name, quoted_place, said

_GOES_ON = (
    Rule.TAGGED_IN,
    Rule.PVID_IN,
    Rule.REWRITTEN_IN,
    Rule.TAGGED_OUT,
    Rule.UNTAGGED_OUT,
    Rule.REWRITTEN_OUT,
    Rule.TAKEN,
    Rule.GROWING,
    Rule.LOOP,
    Rule.IN_DOUBT,
)
LOSSES = {rule.word: rule for rule in Rule if rule not in _GOES_ON}
CLEAN = "clean"
_CODE = re.compile(r"[A-Z]{1,3}[0-9]{1,4}")


class Claim(StrEnum):
    """What sort of thing is expected; the values are the words that begin the lines."""

    EXPECT = "expect"  # every copy that is delivered
    LOST = "lost"  # a copy that dies
    UNPROVEN = "unproven"  # copies that something unknown decides
    LOOP = "loop"  # a copy goes round for ever
    GROWING = "growing"  # a copy gets another tag each time round


SHAPES = {
    Claim.EXPECT: "expect PORT FRAME -> PORT FRAME, PORT FRAME   or   expect PORT FRAME -> nothing",
    Claim.LOST: "lost PORT FRAME at PORT by RULE",
    Claim.UNPROVEN: "unproven PORT FRAME -> PORT FRAME, PORT FRAME",
    Claim.LOOP: "loop PORT FRAME",
    Claim.GROWING: "growing PORT FRAME",
}


@dataclass(frozen=True, slots=True, order=True)
class Copy:
    """A copy of a frame at a port."""

    port: str  # DEVICE:PORT
    frame: str  # as it crosses there
    interface: str | None = None  # the router's or host's interface that takes it; None: not said


@dataclass(frozen=True, slots=True)
class Expectation:
    """What is to become of one frame."""

    claim: Claim  # what sort of fate
    port: str  # DEVICE:PORT where the frame is sent
    frame: str  # as it is sent
    copies: tuple[Copy, ...] = ()  # deliveries of EXPECT, unproven copies of UNPROVEN
    at: str = ""  # of LOST: DEVICE:PORT where a copy dies
    rule: Rule | None = None  # of LOST: the rule by which it dies
    origins: Origins = ()  # the line


@dataclass(frozen=True, slots=True)
class Finding:
    """What a check is to find."""

    code: str  # of the check, such as L101; `clean`: no check finds anything
    places: tuple[str, ...] = ()  # devices and ports that it names
    origins: Origins = ()  # the line


def read_expectation(line: Line) -> Expectation:
    """Return the expectation of a line that begins with the word of a Claim; NotationError when it is none."""
    claim = Claim(line.words[0])
    words = line.words[1:]
    if len(words) < 2:
        line.fail(f"{claim} needs a port and a frame", f"write {SHAPES[claim]}")
    port, frame, rest = said(words[0], line), _frame(words[1], line), words[2:]
    match claim:
        case Claim.EXPECT | Claim.UNPROVEN:
            if len(rest) < 2 or rest[0] != "->":
                line.fail("what becomes of the frame is not said", f"write {SHAPES[claim]}")
            return Expectation(claim, port, frame, _copies(rest[1:], claim, line), origins=line.origins)
        case Claim.LOST:
            if len(rest) != 4 or rest[0] != "at" or rest[2] != "by":
                line.fail("where the frame is lost is not said", f"write {SHAPES[claim]}")
            if rest[3] not in LOSSES:
                line.fail(f"{rest[3]!r} is no rule by which a frame is lost", nearest(rest[3], LOSSES))
            at, rule = said(rest[1], line), LOSSES[rest[3]]
            return Expectation(claim, port, frame, at=at, rule=rule, origins=line.origins)
        case Claim.LOOP | Claim.GROWING:
            if rest:
                line.fail(f"{claim} takes a port and a frame, nothing else", f"write {SHAPES[claim]}")
            return Expectation(claim, port, frame, origins=line.origins)
        case _:
            assert_never(claim)


def read_finding(line: Line) -> Finding:
    """Return the finding of a line that begins with `=>`; NotationError when it is none."""
    words = [said(word, line) for word in line.words[1:]]
    if not words:
        line.fail("'=>' names no check", "write => CODE PLACE..., such as => L101 sw1:1 sw2:1, or => clean")
    code, places = words[0], tuple(words[1:])
    if code == CLEAN and places:
        line.fail("'clean' names no place", "write => clean alone")
    if code != CLEAN and not _CODE.fullmatch(code):
        line.fail(f"{code!r} is no code of a check", "write => CODE PLACE..., such as => L101 sw1:1, or => clean")
    return Finding(code, places, line.origins)


def write_expectation(expectation: Expectation) -> str:
    """Return the line that `read_expectation` reads."""
    start = f"{expectation.claim} {quoted_place(expectation.port)} {expectation.frame}"
    match expectation.claim:
        case Claim.EXPECT | Claim.UNPROVEN:
            copies = ", ".join(_write_copy(copy) for copy in expectation.copies) or "nothing"
            return f"{start} -> {copies}"
        case Claim.LOST:
            assert expectation.rule is not None
            return f"{start} at {quoted_place(expectation.at)} by {expectation.rule.word}"
        case Claim.LOOP | Claim.GROWING:
            return start
        case _:
            assert_never(expectation.claim)


def write_finding(finding: Finding) -> str:
    """Return the line that `read_finding` reads."""
    return " ".join(["=>", finding.code, *map(quoted_place, finding.places)])


def _write_copy(copy: Copy) -> str:
    to = "" if copy.interface is None else f" to {quoted_name(copy.interface)}"
    return f"{quoted_place(copy.port)} {copy.frame}{to}"


def _copies(words: Sequence[str], claim: Claim, line: Line) -> tuple[Copy, ...]:
    if list(words) == ["nothing"]:
        if claim is Claim.UNPROVEN:
            line.fail("an unproven copy has a port and a frame", f"write {SHAPES[claim]}")
        return ()
    if words[0].startswith(",") or words[-1].endswith(","):
        line.fail("a comma has nothing on one side", f"write {SHAPES[claim]}")
    copies = []
    for apart, group in groupby(_with_commas(words), key=lambda word: word == ","):
        part = list(group)
        if apart and len(part) > 1:
            line.fail("two commas have nothing between them", f"write {SHAPES[claim]}")
        if not apart:
            copies.append(_copy(part, claim, line))
    return tuple(copies)


def _with_commas(words: Sequence[str]) -> list[str]:
    """Return the words with every comma outside quotes as a word of its own."""
    found: list[str] = []
    for word in words:
        for number, part in enumerate(items(word)):
            found += [","] * bool(number) + [part] * bool(part)
    return found


def _copy(part: list[str], claim: Claim, line: Line) -> Copy:
    if len(part) not in (2, 4) or (len(part) == 4 and (part[2] != "to" or claim is not Claim.EXPECT)):
        line.fail(f"{' '.join(part)!r} is not a port and a frame", f"write {SHAPES[claim]}")
    interface = said(part[3], line) if len(part) == 4 else None
    return Copy(said(part[0], line), _frame(part[1], line), interface)


def _frame(word: str, line: Line) -> str:
    try:
        return format_frame(parse_frame(said(word, line)))
    except ValueError as error:
        line.fail(str(error), "a frame is its tags, outermost first: untagged, 310, 0, s100.310, 100@9100")
