"""Many ports in, few words out: runs of numbers under one name, a device named once."""

from __future__ import annotations

import re
from collections.abc import Iterable

from vlancheck.places import split_place

_LAST = re.compile(r"(\D|^)(\d+)$")


def port_list(places: Iterable[str]) -> str:
    """Return `DEVICE:PORT` names as `ACC-1:Gi1/0/1-4,7; ACC-2:3`, in the order given."""
    by_device: dict[str, list[str]] = {}
    for place in places:
        device, port = split_place(place)
        by_device.setdefault(device, []).append(port)
    return "; ".join(f"{device}:{','.join(_runs(ports))}" for device, ports in by_device.items())


def _runs(ports: list[str]) -> list[str]:
    made: list[tuple[str, int | None, int | None]] = []  # words before the number, first and last number
    for port in ports:
        found = _LAST.search(port)
        if found is None or found[2] != str(int(found[2])):
            made.append((port, None, None))
            continue
        words, number = port[: found.start(2)], int(found[2])
        if made and made[-1][0] == words and made[-1][2] == number - 1:
            made[-1] = (words, made[-1][1], number)
        else:
            made.append((words, number, number))
    shown: list[str] = []
    before = ""
    for words, first, last in made:
        if first is None:
            shown.append(words)
            before = ""
            continue
        name = "" if words == before else words
        shown.append(f"{name}{first}" if first == last else f"{name}{first}-{last}")
        before = words
    return shown
