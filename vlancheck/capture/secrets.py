"""A cleaned line comes in; it goes out with every password, key, hash and community replaced by `<masked>`."""

from __future__ import annotations

import re

_SECRET = re.compile(r"(?i)\b(password|secret|snmp-server community)( \d)? (\S+)")


def mask(line: str) -> str:
    """Return `line` with its secrets masked."""
    return _SECRET.sub(r"\1\2 <masked>", line)
