"""How a port is written: `DEVICE:PORT`."""

from __future__ import annotations


def split_place(place: str) -> tuple[str, str]:
    """Return device and port of `DEVICE:PORT`, split at the first colon."""
    device, _, port = place.partition(":")
    return device.strip(), port.strip()
