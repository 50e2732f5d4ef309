"""A log shows that a box refused lines that were typed at it.

What it finds
    Lines of configuration in a console log under which the box printed that it did not take them: a word it does not
    know, a line that is not complete, a mode that another line forbids. All of one port are one finding. Where the
    log goes on with the configuration, that is what counts: a line that it has was typed again and is not told, and
    one that it lacks is a note. Where it does not, what the port does now is not proven.

Why it matters
    Lines are pasted by the screen, and one refused line scrolls out of sight. Port names and words of an old model
    are not those of a new one, and the port stays as it came from the factory.

Example
    port ACC-1:1 member=10 pvid=10 untagged=10
    port ACC-1:2 member=10 pvid=10 untagged=10
    entered ACC-1:1 text="switchport mode trunk" answer="Command rejected: its encapsulation is Auto" captured=no
    => T104 ACC-1:1

Instead
    port ACC-1:1 member=10 pvid=10 untagged=10
    port ACC-1:2 member=10 pvid=10 untagged=10
    => clean

When it is intended
    Where a line is known to be needless on the new model: capture the configuration after the lines, in the same log.

Reference
    Common practice, no source; the words of refusals are from memory.
"""

from __future__ import annotations

from collections.abc import Iterator

from vlancheck.dot1q.model import Device, Entered
from vlancheck.findings.case import Case
from vlancheck.findings.finding import Finding, Severity, Where, evidence

CODE = "T104"
NAME = "A typed line was refused"
_SHOWN = 3  # lines that are quoted


def find(case: Case) -> Iterator[Finding]:
    """Yield a finding for each port at which lines were refused, and for each box."""
    for device in case.devices.values():
        by_port: dict[str, list[Entered]] = {}
        for one in device.entered:
            if one.answer:
                by_port.setdefault(one.port, []).append(one)
        for port, refused in by_port.items():
            yield _finding(device, f"{device.name}:{port}" if port else device.name, refused)


def _finding(device: Device, place: str, refused: list[Entered]) -> Finding:
    captured = all(one.captured for one in refused)
    told = ", ".join(f"`{one.origins[0].text}`" for one in refused[:_SHOWN])
    more = f" and {len(refused) - _SHOWN} more" if len(refused) > _SHOWN else ""
    where: list[Where] = []
    for one in refused[: _SHOWN + 1]:
        where += evidence(place, one.origins, f"answered: {one.answer}", not where)
    if captured:
        why = f"the configuration that {device.name} printed afterwards does not have it, and is what counts"
    else:
        why = f"no configuration of {device.name} follows in the log: what holds there now is not proven"
    return Finding(
        code=CODE,
        name=NAME,
        severity=Severity.NOTE if captured else Severity.WARNING,
        headline=f"{place} refused {told}{more}",
        why=why,
        where=tuple(where),
        at=frozenset({place}),
        settled_by="" if captured else f"the configuration of {device.name}, captured after the lines were typed",
        cause=False,
    )
