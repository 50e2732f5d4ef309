"""How a port is written, `DEVICE:PORT`, and how names are sorted."""

from __future__ import annotations

import re


def split_place(place: str) -> tuple[str, str]:
    """Return device and port of `DEVICE:PORT`, split at the first colon."""
    device, _, port = place.partition(":")
    return device.strip(), port.strip()


def natural(text: str) -> tuple[tuple[int, str], ...]:
    """Return what sorts `2` before `10`."""
    return tuple((int(part), "") if part.isdecimal() else (-1, part) for part in re.split(r"(\d+)", text.casefold()))
