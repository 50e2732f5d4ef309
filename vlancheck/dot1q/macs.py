"""A MAC address in any usual spelling comes in, the one spelling used here goes out."""

from __future__ import annotations

import re

_SPELLINGS = re.compile(
    r"[0-9a-f]{2}(?P<mark>[:-])[0-9a-f]{2}(?:(?P=mark)[0-9a-f]{2}){4}"
    r"|[0-9a-f]{4}(?P<wide>[.:-])[0-9a-f]{4}(?P=wide)[0-9a-f]{4}"
    r"|[0-9a-f]{6}-[0-9a-f]{6}"
    r"|[0-9a-f]{12}"
)


def mac_address(text: str) -> str:
    """Return `text` as `00:11:22:33:44:55`, or "" when it is no MAC address."""
    low = text.strip().lower()
    if not _SPELLINGS.fullmatch(low):
        return ""
    digits = re.sub(r"[^0-9a-f]", "", low)
    return ":".join(digits[at : at + 2] for at in range(0, 12, 2))
