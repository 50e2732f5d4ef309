"""What people write beside a row of a patch sheet in, whether its cord is to stay where it is out."""

from __future__ import annotations

import re

# Common practice, no source.
_FIXED = re.compile(
    r"(?<![a-z])(?:fixed|do not move|don't move|must stay|stays|stays put|leave in place|keep in place|keep here"
    r"|not to be moved)(?![a-z])",
    re.IGNORECASE,
)


def says_fixed(text: str) -> bool:
    """Tell whether a remark says that a cord stays where it is."""
    return _FIXED.search(text) is not None
