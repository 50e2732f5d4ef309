"""Names as people write them in, `DEVICE:PORT` out: exact names, long and short forms, a bare trailing number."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from difflib import get_close_matches

from vlancheck.dot1q.model import Device, PortKind
from vlancheck.places import split_place

_WORD = re.compile(r"(?P<word>[A-Za-z][A-Za-z_-]*?)[\s-]*(?P<number>\d[\d/.:]*)")


class PlaceError(Exception):
    """A name that fits no port, or several; `hint` lists what it may mean."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(message)
        self.message, self.hint = message, hint


def find_place(devices: Mapping[str, Device], text: str) -> str:
    """Return the `DEVICE:PORT` that `text` means.

    Tried in this order: the exact name; long and short forms of the port (`GigabitEthernet1/0/24`, `gi1/0/24`); a bare
    trailing number that only one port has.  Raises PlaceError naming the candidates.
    """
    name, port = split_place(text)
    if not name or not port:
        raise PlaceError(f"{text!r} is no port", "write it as DEVICE:PORT, for example SORT-1:24")
    device = find_device(devices, name)
    return f"{device}:{find_port(devices[device], port)}"


def find_device(names: Iterable[str], text: str) -> str:
    """Return the device called `text`, whatever its case; PlaceError with the nearest names otherwise."""
    names = list(names)
    if text in names:
        return text
    folded = [name for name in names if name.casefold() == text.casefold()]
    if len(folded) == 1:
        return folded[0]
    raise PlaceError(f"there is no device {text!r}", nearest(text, names))


def find_port(device: Device, text: str) -> str:
    """Return the name of the port of `device` that `text` means; PlaceError naming the candidates otherwise."""
    if text in device.ports:
        return text
    for fits in (_same, _short, _initials):
        found = [name for name in device.ports if fits(text, name)]
        if len(found) == 1:
            return found[0]
        if found:
            raise _several(device, text, found)
    found = [port.name for port in device.ports.values() if port.kind is PortKind.JACK and _trailing(text, port.name)]
    if len(found) > 1:
        bundles = {port.bundle for port in device.ports.values()}
        found = [name for name in found if name not in bundles]
    if len(found) == 1:
        return found[0]
    if found:
        raise _several(device, text, found)
    near = get_close_matches(text, list(device.ports), 3, 0.5)
    known = ", ".join(near) if near else ", ".join(list(device.ports)[:8]) or "none"
    raise PlaceError(f"{device.name} has no port {text!r}", f"{'nearest' if near else 'its ports'}: {known}")


def _several(device: Device, text: str, found: list[str]) -> PlaceError:
    return PlaceError(f"{text!r} may mean several ports of {device.name}", f"write one of: {', '.join(found)}")


def _same(text: str, name: str) -> bool:
    return re.sub(r"\s+", "", text).casefold() == re.sub(r"\s+", "", name).casefold()


def _short(text: str, name: str) -> bool:
    """Tell whether one word shortens the other (`Gi` of `GigabitEthernet`) and the numbers are the same."""
    one, other = _WORD.fullmatch(text), _WORD.fullmatch(name)
    if not one or not other or one["number"] != other["number"]:
        return False
    mine, theirs = one["word"].casefold(), other["word"].casefold()
    return mine.startswith(theirs) or theirs.startswith(mine)


def _initials(text: str, name: str) -> bool:
    """Tell whether a word's letters stand in the other's in order (`XGE` in `Ten-GigabitEthernet`, `BAGG`)."""
    one, other = _WORD.fullmatch(text), _WORD.fullmatch(name)
    if not one or not other or one["number"] != other["number"]:
        return False
    letters = iter(other["word"].casefold())
    return all(letter in letters for letter in one["word"].casefold().removeprefix("x"))


def _trailing(text: str, name: str) -> bool:
    return text.isdecimal() and re.search(rf"(?:^|[^\d.]){int(text)}$", name) is not None


def nearest(text: str, known: Iterable[str]) -> str:
    """Return a hint that names what `text` may have meant."""
    known = list(known)
    near = get_close_matches(text, known, 3)
    return f"nearest: {', '.join(near)}" if near else f"known: {', '.join(known) or 'none'}"
