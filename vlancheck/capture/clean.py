"""One raw line of a terminal log comes in, the text a person saw on the screen goes out."""

from __future__ import annotations

import re

_CONTROL = re.compile(r"\x1b\[[0-?]*[ -/]*[@-~]|[\x00-\x08\x0b-\x1f\x7f]")


def clean(text: str) -> str:
    """Return `text` as it stood on the screen."""
    return _CONTROL.sub("", text)
