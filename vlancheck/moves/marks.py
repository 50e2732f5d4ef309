"""What people write beside a row of a patch sheet in, what it asks of whoever moves cords out."""

from __future__ import annotations

import re

# Common practice, no source.
_BAD = re.compile(
    r"(?<![a-z])(?:bad|defective|faulty|broken|dead|damaged|burnt|loose contact|do not use|don't use|out of order"
    r"|unusable|intermittent)(?![a-z])",
    re.IGNORECASE,
)
_FIXED = re.compile(
    r"(?<![a-z])(?:fixed|do not move|don't move|must stay|stays|stays put|leave in place|keep in place|keep here"
    r"|not to be moved)(?![a-z])",
    re.IGNORECASE,
)


def says_bad(text: str) -> bool:
    """Tell whether a remark calls a port or a cord bad: nothing is to be planned into it."""
    return _BAD.search(text) is not None


def says_fixed(text: str) -> bool:
    """Tell whether a remark says that a cord stays where it is."""
    return _FIXED.search(text) is not None
