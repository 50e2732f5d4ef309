"""Lines printed before the first prompt come in; whether they are only a login and its banner goes out.

A line counts as configuration unless it is known not to be: what is doubted here is reported, never dropped.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import groupby

from vlancheck.capture import Line
from vlancheck.reader import sensitive

# What a terminal program or a device says while somebody logs in (common practice, no source).
_DIALOGUE = re.compile(
    r"(?:\S+ )?login(?: as)?:\s*\S*|user ?name:\s*\S*|password:[\s*]*|\S+@\S+'s password:\s*|user access verification|"
    r"trying [0-9a-f.:]+ ?\.\.\.(?: ?open)?|connected to \S+|escape character is .{1,12}|last login: .*|"
    r"press (?:return|enter|any key) to .*",
    re.IGNORECASE,
)
_FRAME = "*|=+-#~_! \t"  # what banners are drawn with
_TALK_OF_FORMS = re.compile(
    r"[{}\[\]<>;\"=/\\]|configuration|hostname|\bversion\b|\binterface\b|\bport\b", re.IGNORECASE
)


def is_greeting(lines: Sequence[Line]) -> bool:
    """Tell whether every line is login dialogue, drawing or a sentence, and none has a word that could touch VLANs."""
    texts = [line.text.strip() for line in lines]
    spoken = ["" if _DIALOGUE.fullmatch(text) else text for text in texts]
    if any(sensitive.pattern().search(text) for text in spoken):
        return False
    paragraphs = [list(block) for filled, block in groupby((text.strip(_FRAME) for text in spoken), bool) if filled]
    return all(map(_is_prose, paragraphs))


def _is_prose(paragraph: Sequence[str]) -> bool:
    """Tell whether the lines are sentences: with capitals or a full stop, no keywords and values."""
    if any(_TALK_OF_FORMS.search(text) for text in paragraph) or not paragraph[0][0].isupper():
        return False
    return paragraph[-1][-1] in ".!?" or all(
        text[0].isupper() and text.replace(" ", "").isalpha() for text in paragraph
    )
