"""What a device prints to ask for the next page, in the many forms it has, and where it stands in a text."""

from __future__ import annotations

import re

# A cheap test before the expression below: one of these is in every form.
WORDS = ("more", "press ", "q quit", "quit space")

_KEYS = r"(?:enter|return\ key|control-?c|ctrl[-+]c|\^c|esc|c|q)\b"
PROMPT = re.compile(
    rf"""
    <?-{{1,6}}\ ?\(?more\)?                                # --More--, -- MORE --, ---(more)---, <--- More --->
    (?:\ ?\(?\d{{1,3}}%\)?|\ \(q=[^()]{{1,40}}\))?\)?      # ---(more 12%)---, ----More (q=Quit, ...)----
    \ ?-{{1,6}}>?
    (?: \ or\ \(q\)uit
      | ,?\ ?\(\d{{1,3}}%\)
      | \ {{1,2}}\(<space>[^()]{{1,60}}\)\.?
      | ,\ next\ page:\ space(?:,\ (?:next\ line|continue|quit):\ {_KEYS})*
    )?
    | more:\ <space>,\ {{1,2}}quit:\ q(?:\ or\ ctrl\+z)?,\ one\ line:\ <return>
    | press\ any\ key\ to\ continue(?:\ \(q\ to\ quit\)|\ or\ (?:q|esc)\ to\ quit)?\.{{0,3}}
    | press\ <space>\ to\ continue\ or\ <q>\ to\ quit:?
    | ctrl\+c\ esc\ q\ quit\ space\ n\ next\ page(?:\ (?:p\ previous\ page|enter\ next\ entry|a\ all|r\ refresh))*
    | --\ \[q\ quit(?:\|[^\[\]]{{1,40}})?\]
    """,
    re.VERBOSE | re.IGNORECASE,
)
_AT_START = re.compile(rf"(?:^|(?<=[\r\x08]))(?P<blanks>[ \t]{{0,80}}+)(?:{PROMPT.pattern})", PROMPT.flags)
# An erasure whose escape characters a logging program has dropped: `[16D                [16D`.
_BROKEN_ERASURE = re.compile(r"\[\d{1,3}D(?: {0,200}+\[\d{1,3}D){0,3}|\[K")
_BLANKS = re.compile(r"[ \t]*+")
_SEQUENCE = re.compile(r"\x1b\[[0-?]{0,64}[ -/]{0,8}[@-~]|[\x08\r]")


def blanked(text: str) -> str:
    """Return one raw line with each pager prompt overwritten by blanks, or taken out if nothing erased it.

    Where cursor movements follow, they do the rest; where a logging program has dropped them, the blanks that
    erased the prompt stand before the next line's own indentation and as many as the prompt is wide are dropped.
    """
    match = _AT_START.search(text)
    while match:
        end = match.end()
        if any(mark in text[end:] for mark in "\x08\r\x1b"):
            kept = " " * (end - match.start())
        else:
            kept = ""
            if broken := _BROKEN_ERASURE.match(text, end):
                end = broken.end()
            else:
                width = match.end() - match.start()
                blanks = _BLANKS.match(text, end)
                space = blanks.end() - end if blanks else 0
                end += width if space >= width else space
        text = text[: match.start()] + kept + text[end:]
        match = _AT_START.search(text, match.start() + len(kept) if kept else match.start())
    return text


def lines_with_prompts(text: str) -> frozenset[int]:
    """Return the 1-based numbers of the lines on which the device asked whether to print on."""
    low = text.lower()
    if not any(word in low for word in WORDS):
        return frozenset()
    return frozenset(
        number
        for number, line in enumerate(text.split("\n"), 1)
        if any(word in line.lower() for word in WORDS) and _AT_START.search(_SEQUENCE.sub("\r", line))
    )
