"""Everything that can be wrong, one file a check; its docstring is its manual page and its examples are its test.

A check module has a docstring (the manual page), `CODE`, `NAME`, and `find(case)`, which yields findings.  One that
tells effects where no other check found the cause says `GENERAL = 1`, or more when findings of a lower rank may
explain it.  One that looks at what became of the others' findings says `LAST = True`.
"""

from __future__ import annotations

import pkgutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from importlib import import_module

from vlancheck.findings.baseline import weighed
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, in_order
from vlancheck.findings.grouping import grouped


@dataclass(frozen=True, slots=True)
class Check:
    """One check as its file states it."""

    code: str  # letter and three digits
    name: str  # in a few words
    manual: str  # its manual page
    general: int  # rank of one that tells effects where no other check found the cause; 0 for one that finds causes
    last: bool  # looks at what became of the findings of the others
    find: Callable[[Case], Iterator[Finding]]  # looks at a survey

    @property
    def compares(self) -> bool:
        """Tell whether it is shown with an earlier survey, without which it may find nothing."""
        return "\nBefore\n" in self.manual


@cache
def checks() -> tuple[Check, ...]:
    """Return all checks by code."""
    found = []
    for info in pkgutil.iter_modules(__path__):
        module = import_module(f"{__name__}.{info.name}")
        general, last = getattr(module, "GENERAL", 0), getattr(module, "LAST", False)
        found.append(Check(module.CODE, module.NAME, module.__doc__ or "", general, last, module.find))
    return tuple(sorted(found, key=lambda check: check.code))


def run(case: Case) -> tuple[Finding, ...]:
    """Return what all checks find in a survey, one finding for each cause, worst first, what is accepted marked."""
    general = {check.code: check.general for check in checks() if check.general}
    first = (check for check in checks() if not check.last)
    found = grouped(case, (one for check in first for one in check.find(case)), general)
    if not case.accepted:
        return found
    found, gone = weighed(case, found, {check.code for check in checks() if check.compares})
    after = replace(case, gone=gone)
    return in_order((*found, *(one for check in checks() if check.last for one in check.find(after))))
