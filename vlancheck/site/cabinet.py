"""`cabinet:` in, the height at which each device and panel is mounted out."""

from __future__ import annotations

from dataclasses import dataclass

from vlancheck.site.yamltext import Value

_HIGHEST = 60  # units; taller cabinets are not made (common practice, no source)


@dataclass(frozen=True, slots=True)
class Mounted:
    """Where a device or a panel is mounted."""

    unit: int  # its lowest height unit, counted from the bottom as the rails are numbered
    at: Value  # where it stands


def read_cabinet(value: Value | None) -> dict[str, Mounted]:
    """Return where each box is mounted, by its name as written; SiteError for a unit that is none."""
    if value is None or value.empty:
        return {}
    found = {}
    fields = value.map("`cabinet`")
    for name, item in fields.items():
        text = item.word(f"the height of {name}")
        if not text.isdecimal() or not 1 <= int(text) <= _HIGHEST:
            hint = f"write the number of its lowest unit on the rails, 1 to {_HIGHEST}, counted from the bottom"
            raise item.error(f"the height of {name} is {text!r}", hint)
        found[name] = Mounted(int(text), value.key(name))
    return found
