"""How a port is written, `DEVICE:PORT`, how names are sorted, and what a finding about places is known by."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable


def split_place(place: str) -> tuple[str, str]:
    """Return device and port of `DEVICE:PORT`, split at the first colon."""
    device, _, port = place.partition(":")
    return device.strip(), port.strip()


def natural(text: str) -> tuple[tuple[int, str], ...]:
    """Return what sorts `2` before `10`."""
    return tuple((int(part), "") if part.isdecimal() else (-1, part) for part in re.split(r"(\d+)", text.casefold()))


def fingerprint(code: str, places: Iterable[str]) -> str:
    """Return what a finding is known by: its check and the places it is about, neither lines nor VIDs."""
    return hashlib.sha256("\n".join((code, *sorted(places))).encode()).hexdigest()[:16]
