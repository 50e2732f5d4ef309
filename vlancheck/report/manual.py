"""The manual pages of the checks as text."""

from __future__ import annotations

from difflib import get_close_matches

from vlancheck.checks import checks
from vlancheck.errors import UsageError


def page(code: str) -> str:
    """Return the manual page of the check `code`; UsageError with the nearest codes when there is none."""
    for check in checks():
        if check.code.casefold() == code.strip().casefold():
            return f"{check.code} {check.name}\n\n{check.manual.strip()}"
    known = [check.code for check in checks()]
    near = get_close_matches(code.upper(), known, 3)
    hint = f"nearest: {', '.join(near)}" if near else "`vlancheck explain` lists them"
    raise UsageError(f"there is no check {code!r}", hint=hint)


def contents() -> str:
    """Return all checks, one a line."""
    return "\n".join(f"{check.code}  {check.name}" for check in checks())
