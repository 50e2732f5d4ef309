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

_BLOCKS = (  # the line above a block of secret rows, the line that ends it
    (re.compile(r"-----BEGIN [A-Z0-9 ]+-----"), re.compile(r"-----END [A-Z0-9 ]+-----")),
    (re.compile(r"\s*certificate(?: self-signed| ca| rollover)*(?: [0-9A-F]+)?\s*$"), re.compile(r"\s*quit\b")),
    (re.compile(r"\s*public-key-code begin\b"), re.compile(r"\s*public-key-code end\b")),
    (re.compile(r"\s*key-string\s*$"), re.compile(r"\s*(?:exit|quit)\b")),
)
_BLOCK_ROW = re.compile(r"(\s*)(?:row )?[0-9A-Za-z+/=,: -]+$")
_COMMUNITY_MENU = re.compile(r"/snmp[ /]community\s*$")
_NAME = re.compile(r"(?P<keep>\bname=)(?:\"[^\"]*+\"?|[^\s\"]++)")
# A pair whose value goes on in the next line, after a backslash.
_BROKEN_PAIR = re.compile(r"(?:password|passphrase|secret|psk|[-_]key|community)=(?:\"[^\"]*+|[^\s\"]*+)\\$")
_NEXT_PART = re.compile(r"(?P<keep>^\s*)(?:[^\"\\]*+\"|[^\s\"]++)")


def mask(line: str) -> str:
    """Return one line with its secrets masked."""
    for rule in ANYWHERE:
        line = rule.sub(_MASKED, line)
    if NAMING.match(line):
        return line
    for rule in CONFIGURED:
        line = rule.sub(_MASKED, line)
    return _trap_target(line)


def mask_all(lines: list[str]) -> list[str]:
    """Return the lines of one file with their secrets masked, those that span several lines too."""
    masked = list(lines)
    for index in lines_holding("\n".join(lines).lower(), WORDS):
        if masked[index] is lines[index]:  # not yet masked as a part of a block
            masked[index] = mask(lines[index])
        _mask_below(lines, masked, index)
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


def _mask_below(lines: list[str], masked: list[str], index: int) -> None:
    """Mask what line `index` says of the lines below it."""
    line = lines[index]
    for first, last in _BLOCKS:
        if first.search(line) if first.pattern.startswith("-") else first.match(line):
            for below in range(index + 1, len(lines)):
                row = _BLOCK_ROW.match(lines[below])
                if last.search(lines[below]) or (lines[below].strip() and not row):
                    break
                if row:
                    masked[below] = row[1] + MASK
            return
    if _COMMUNITY_MENU.match(line):
        for below in range(index + 1, len(lines)):
            if lines[below].startswith("/"):
                break
            masked[below] = _NAME.sub(_MASKED, masked[below])
    elif _BROKEN_PAIR.search(line) and index + 1 < len(lines):
        masked[index + 1] = _NEXT_PART.sub(_MASKED, lines[index + 1])
