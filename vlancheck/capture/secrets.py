"""Cleaned lines come in and go out with passwords, keys, hashes, SNMP communities and certificates as `<masked>`.

Masking errs on the safe side for a line that configures a secret, and leaves alone what names or describes
something (VLANs, ports, rows of tables).
"""

from __future__ import annotations

import re

from vlancheck.capture.secret_rules import (
    ANYWHERE,
    CONFIGURED,
    NAMING,
    TRAP_TARGET,
    TRAP_WORDS,
    TRAP_WORDS_WITH_VALUE,
    WORDS,
)
from vlancheck.capture.words import lines_holding

MASK = "<masked>"
_MASKED = rf"\g<keep>{MASK}"

_HEX = re.compile(r"(\s*)[0-9A-Fa-f]{2,}(?: +[0-9A-Fa-f]{2,})*\s*$")
_BASE64 = re.compile(
    r"(\s*)(?:row )?\"?(?:[0-9A-Za-z+/]{20,}={0,2}|[0-9A-Za-z+/]{2,}={1,2}"
    r"|(?:Proc-Type|DEK-Info|Comment|Subject): .*)\"?\s*$"
)
_BLOCKS = (  # the line above a block of secret rows, the rows
    (re.compile(r".*-----BEGIN [A-Z0-9 ]+-----"), _BASE64),
    (re.compile(r"\s*certificate(?: self-signed| ca| rollover)*(?: [0-9A-F]+)?\s*$"), _HEX),
    (re.compile(r"\s*(?:public-key-code begin|key-data)\b"), _HEX),
    (re.compile(r"\s*key-string\s*$"), _HEX),
    (re.compile(r"\s*key-string\s*$"), _BASE64),
)
_COMMUNITY_MENU = re.compile(r"/snmp[ /]community\s*$")
_NAME = re.compile(r"(?P<keep>\bname=)(?:\"[^\"]*+\"?|[^\s\"]++)")
# A pair whose value goes on in the next line, after a backslash.
_BROKEN_PAIR = re.compile(
    r"(?:password|passphrase|secret|psk|[-_]key|community)="
    r"(?:(?P<quote>\")(?:[^\"\\]|\\.)*+|(?:[^\s\"\\]|\\.)*+)\\$"
)
_UP_TO_QUOTE = re.compile(r"(?P<keep>^\s*)(?:[^\"\\]|\\.)*+\"?")
_UP_TO_BLANK = re.compile(r"(?P<keep>^\s*)[^\s\"\\]++")


def mask(line: str) -> str:
    """Return one line with its secrets masked; a backslash at its end, which says that it goes on, is kept."""
    masked = line
    for rule in ANYWHERE:
        masked = rule.sub(_MASKED, masked)
    if not NAMING.match(line):
        for rule in CONFIGURED:
            masked = rule.sub(_MASKED, masked)
        masked = _trap_target(masked)
    return masked + "\\" if line.endswith("\\") and not masked.endswith("\\") else masked


def mask_all(lines: list[str]) -> list[str]:
    """Return the lines of one file with their secrets masked, those that span several lines too."""
    masked = list(lines)
    done = 0  # lines that a line above them has decided
    for index in lines_holding("\n".join(lines).lower(), WORDS):
        if index >= done:
            masked[index] = mask(lines[index])
            done = _mask_below(lines, masked, index)
    return masked


def _trap_target(line: str) -> str:
    """Mask the community of a trap target: the first word after the address that is not a known one."""
    match = TRAP_TARGET.match(line)
    if not match:
        return line
    words = re.split(r"(\s+)", line[match.end() :])  # blanks at odd places
    value = False
    for place, word in enumerate(words):
        if place % 2 or not word:
            continue
        if value or word.lower() in TRAP_WORDS or word == MASK:
            value = False
            if word == MASK:
                break
        elif word.lower() in TRAP_WORDS_WITH_VALUE:
            value = True
        else:
            words[place] = MASK
            break
    return line[: match.end()] + "".join(words)


def _mask_below(lines: list[str], masked: list[str], index: int) -> int:
    """Mask what line `index` says of the lines below it; return where that ends."""
    line = lines[index]
    below = index + 1
    if rows := [row for first, row in _BLOCKS if first.match(line)]:
        while below < len(lines):
            match = next(filter(None, (row.match(lines[below]) for row in rows)), None)
            if match := match or _last_of_armour(lines, below):
                masked[below] = match[1] + MASK
            elif lines[below].strip():
                break
            below += 1
    elif _COMMUNITY_MENU.match(line):
        while below < len(lines) and not lines[below].startswith("/"):
            masked[below] = _NAME.sub(_MASKED, mask(lines[below]))
            below += 1
    else:
        pair = _BROKEN_PAIR.search(line)
        while pair and below < len(lines):
            rest = _UP_TO_QUOTE if pair["quote"] else _UP_TO_BLANK
            masked[below] = mask(rest.sub(_MASKED, lines[below], count=1))
            if not masked[below].endswith(MASK + "\\"):
                pair = _BROKEN_PAIR.search(lines[below])
            below += 1
    return below


def _last_of_armour(lines: list[str], index: int) -> re.Match[str] | None:
    """Return the match of a short row, when the next line ends the block."""
    ends = index + 1 < len(lines) and "-----END" in lines[index + 1]
    return re.match(r"(\s*)[0-9A-Za-z+/=]+\s*$", lines[index]) if ends else None
