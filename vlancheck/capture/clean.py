"""One raw line of a terminal log comes in, the text a person saw on the screen goes out."""

from __future__ import annotations

import re

from vlancheck.capture import pager
from vlancheck.capture.screen import shown

# All that is not plain text: control characters, blanks of other widths, and characters without width.
_BLANK = "\x00-\x08\x0b-\x1f\x7f-\xa0\u1680\u2000-\u200a\u2028\u2029\u202f\u205f\u3000"
_NOTHING = "\xad\u200b-\u200f\u202a-\u202e\u2060-\u2064\ufeff"
STRANGE = re.compile(f"[{_BLANK}{_NOTHING}]")
_TO_BLANK = re.compile(f"[{_BLANK}]")
_TO_NOTHING = re.compile(f"[{_NOTHING}]")
# Window titles and other strings for the terminal, colours, modes, character sets: they move nothing.
_SILENT = re.compile(
    r"\x1b[\]PX^_][^\x07\x1b]{0,4096}+(?:\x07|\x1b\\)"
    r"|\x1b\][0-9]{0,4};?"
    r"|\][0-9]{1,2};[^\x07\x1b]{0,200}+\x07"  # a title whose escape character was lost
    r"|\x1b\[[0-?]{0,64}[mhlnrctsuq]"
    r"|\x1b[()*+][0-9A-Za-z]|\x1b[=>78cMH]"
    r"|\x07"
)


def clean(text: str) -> str:
    r"""Return one line as it stood on the screen, without its line end; blanks at its start are kept.

    A line that was nothing but a pager prompt and its erasure becomes "".  The result holds `\n` only where a
    sequence moved the cursor to another row.
    """
    text = text.strip("\r\n")
    strange = STRANGE.search(text) is not None
    if strange and ("\x1b" in text or "\x07" in text):
        text = _SILENT.sub("", text)
    low = text.lower()
    if any(word in low for word in pager.WORDS):
        text = pager.blanked(text)
        if not text.strip():
            return ""
    if strange:
        if "\x08" in text or "\r" in text or "\x1b" in text:
            text = shown(text)
        text = _TO_NOTHING.sub("", "\n".join(_TO_BLANK.sub(" ", row) for row in text.split("\n")))
    return text
