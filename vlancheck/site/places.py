"""Names as people write them in, `DEVICE:PORT` out: exact names, long and short forms, a bare trailing number."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from difflib import get_close_matches
from typing import NamedTuple

from vlancheck.dot1q.model import NO_TAG, BridgePort, Device, End, PortKind, TagMatch
from vlancheck.dot1q.tags import C_TAG, Frame, Tag
from vlancheck.places import split_place
from vlancheck.vids import first

_WORD = re.compile(r"(?P<word>[A-Za-z][A-Za-z_-]*?)[\s-]*(?P<number>\d[\d/.:]*)")
_NAME = re.compile(r"(?P<word>\D*?)\s*(?P<stem>(?:\d+[/.:])*)(?P<last>\d+)")
_RANGE = re.compile(
    r"(?P<stem>.*?)(?P<low>\d+)\s*(?:-|\.{2,3}|[\u2013\u2014\u2026]|to\b)\s*(?P<again>.*?)(?P<high>\d+)"
)
_MOST_PORTS = 96  # the highest last number of a port that no capture prints (common practice, no source)
_LONGEST_RANGE = 1024  # ports


class PlaceError(Exception):
    """A name that fits no port, or several; `hint` lists what it may mean."""

    def __init__(self, message: str, hint: str, *, several: bool = False) -> None:
        super().__init__(message)
        self.message, self.hint, self.several = message, hint, several


class Interface(NamedTuple):
    """A sub-interface: what it stands on, and the tags it takes."""

    place: str  # DEVICE:PORT
    name: str  # of the sub-interface
    frame: Frame | None  # its tags, outermost first; None when it takes more than one frame


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
    if (found := _form_of(text, device.ports)) is not None:
        if len(found) == 1:
            return found[0]
        raise _several(device, text, found)
    found = [name for name in _jacks(device) if _trailing(text, name)]
    if len(found) == 1:
        return found[0]
    if found:
        raise _several(device, text, found)
    raise PlaceError(f"{device.name} has no port {text!r}", _nearest_ports(text, list(device.ports)))


def find_interface(devices: Mapping[str, Device], text: str) -> Interface | None:
    """Return the sub-interface that `text` means, or None when it names none (or a port)."""
    name, wanted = split_place(text)
    try:
        device = devices[find_device(devices, name)]
    except PlaceError:
        return None
    known: dict[str, End | BridgePort] = {**device.bridge_ports, **device.ends}
    found = _form_of(wanted, [name for name in known if name not in device.ports])
    if found is None or len(found) != 1:
        return None
    one = known[found[0]]
    return Interface(f"{device.name}:{one.port}", one.name, _frame(one))


def default_name(device: Device, text: str) -> str | None:
    """Return the name of a port that no capture prints but the device's way of naming allows, or None.

    Allowed is the word of a printed port with as many numbers, the last of them at most 96; a bare number where all
    printed ports differ in their last number alone.
    """
    names = [match for name in _jacks(device) if (match := _NAME.fullmatch(name))]
    wanted = _NAME.fullmatch(text.strip())
    if not names or not wanted or not _printable(wanted["last"], names):
        return None
    if not wanted["word"] and not wanted["stem"]:
        stems = {(name["word"], name["stem"]) for name in names}
        if len(stems) == 1:
            word, stem = stems.pop()
            return f"{word}{stem}{int(wanted['last'])}"
        return None
    words = {name["word"] for name in names if _alike(wanted, name)}
    return f"{words.pop()}{wanted['stem']}{wanted['last']}" if len(words) == 1 else None


def spread(text: str) -> tuple[str, ...]:
    """Return the names of a range such as `1-12`, `Gi1/0/1..12` or `Gi1/0/1-Gi1/0/12`; () when it is none."""
    found = _RANGE.fullmatch(text.strip())
    if not found or found["again"] not in ("", found["stem"]) or len(found["low"] + found["high"]) > 12:
        return ()
    low, high = int(found["low"]), int(found["high"])
    if not low < high or high - low >= _LONGEST_RANGE:
        return ()
    width = len(found["low"]) if found["low"].startswith("0") else 0
    return tuple(f"{found['stem']}{number:0{width}}" for number in range(low, high + 1))


def nearest(text: str, known: Iterable[str]) -> str:
    """Return a hint that names what `text` may have meant."""
    known = list(known)
    folded = {name.casefold(): name for name in reversed(known)}
    near = [folded[name] for name in get_close_matches(text.casefold(), folded, 3)]
    if near:
        return f"nearest: {', '.join(near)}"
    return f"known: {', '.join(known[:12]) or 'none'}" + (f" and {len(known) - 12} more" if len(known) > 12 else "")


def _nearest_ports(text: str, names: list[str]) -> str:
    """Return a hint that names the ports with the same numbers, else those spelled most alike, else the first."""
    numbers = _numbers(text)
    near = [name for name in names if numbers and _numbers(name) == numbers][:3]
    near = near or get_close_matches(text, names, 3, 0.5)
    if near:
        return f"nearest: {', '.join(near)}"
    return f"its ports: {', '.join(names[:8]) or 'none'}" + (", ..." if len(names) > 8 else "")


def _numbers(name: str) -> str:
    found = re.search(r"\d[\d/.:]*$", name)
    return found[0] if found else ""


def _form_of(text: str, names: Iterable[str]) -> list[str] | None:
    """Return the names that `text` is, exactly or in a long or short form; None when it is none."""
    names = list(names)
    if text in names:
        return [text]
    for fits in (_same, _short, _initials):
        if found := [name for name in names if fits(text, name)]:
            return found
    return None


def _jacks(device: Device) -> list[str]:
    """Return the ports a cord goes into; a bundle is none of them."""
    bundles = {port.bundle for port in device.ports.values()}
    return [port.name for port in device.ports.values() if port.kind is PortKind.JACK and port.name not in bundles]


def _several(device: Device, text: str, found: list[str]) -> PlaceError:
    hint = f"write one of: {', '.join(found)}"
    return PlaceError(f"{text!r} may mean several ports of {device.name}", hint, several=True)


def _same(text: str, name: str) -> bool:
    return re.sub(r"\s+", "", text).casefold() == re.sub(r"\s+", "", name).casefold()


def _short(text: str, name: str) -> bool:
    """Tell whether one word shortens the other (`Gi` of `GigabitEthernet`) and the numbers are the same."""
    one, other = _WORD.fullmatch(text), _WORD.fullmatch(name)
    if not one or not other or one["number"] != other["number"]:
        return False
    return _shortens(one["word"], other["word"])


def _shortens(one: str, other: str) -> bool:
    mine, theirs = one.casefold(), other.casefold()
    return mine.startswith(theirs) or theirs.startswith(mine)


def _initials(text: str, name: str) -> bool:
    """Tell whether a word is made of beginnings of all the other's parts (`XGE` of `Ten-GigabitEthernet`, `BAGG`)."""
    one, other = _WORD.fullmatch(text), _WORD.fullmatch(name)
    if not one or not other or one["number"] != other["number"]:
        return False
    parts = [part.casefold() for part in re.findall(r"[A-Z]?[a-z]+|[A-Z]+", other["word"])]
    return len(parts) > 1 and _begins(one["word"].casefold(), parts)


def _begins(word: str, parts: Sequence[str]) -> bool:
    """Tell whether `word` is a beginning of the first part, then one of the second, and so on; x stands for ten."""
    if not word or not parts:
        return not word and not parts
    if parts[0] == "ten" and word[0] == "x" and _begins(word[1:], parts[1:]):
        return True
    lengths = range(1, min(len(word), len(parts[0])) + 1)
    return any(parts[0].startswith(word[:length]) and _begins(word[length:], parts[1:]) for length in lengths)


def _trailing(text: str, name: str) -> bool:
    number = text.lstrip("0") or "0"
    return text.isascii() and text.isdecimal() and re.search(rf"(?:^|[^\d.]){number}$", name) is not None


def _printable(last: str, names: list[re.Match[str]]) -> bool:
    lowest = min((int(name["last"]) for name in names if len(name["last"]) < 6), default=1)
    return len(last) < 6 and min(lowest, 1) <= int(last) <= _MOST_PORTS


def _alike(wanted: re.Match[str], name: re.Match[str]) -> bool:
    separators = [re.sub(r"\d", "", match["stem"]) for match in (wanted, name)]
    same = wanted["word"].casefold() == name["word"].casefold()
    short = bool(wanted["word"]) and bool(name["word"]) and _shortens(wanted["word"], name["word"])
    return separators[0] == separators[1] and (same or short)


def _frame(one: End | BridgePort) -> Frame | None:
    tags: list[Tag] = []
    for level in one.select:
        if level.vids == 1 << NO_TAG:
            break
        if (tag := _tag(level, one.tpids)) is None:
            return None
        tags.append(tag)
    return tuple(tags)


def _tag(level: TagMatch, tpids: frozenset[int]) -> Tag | None:
    if level.vids < 0 or level.vids.bit_count() != 1:
        return None
    return Tag(min(level.tpids or tpids or frozenset({C_TAG})), first(level.vids))
