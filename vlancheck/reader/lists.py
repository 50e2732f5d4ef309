"""Lists of VIDs and of ports as families write them come in, bitsets and port names go out.

The punctuation is dialect data: what separates items, what joins the ends of a range, which words carry
nothing.  Every refusal is a ValueError that names the bad item.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from vlancheck.vids import WIRE, span

_MOST_PORTS = 4096  # a range that names more is taken for a misprint


class NoSuchVlan(ValueError):
    """A word in a list of VIDs that is the name of no VLAN."""

    def __init__(self, name: str) -> None:
        super().__init__(f"{name!r} is neither a VID, a range of VIDs nor the name of a VLAN")
        self.name = name


@dataclass(frozen=True, slots=True)
class Punctuation:
    """How a family writes lists."""

    sep: tuple[str, ...] = (",",)  # between items; " " is any run of blanks
    to: tuple[str, ...] = ("-",)  # between the ends of a range; a word such as `to` stands between blanks
    drop: tuple[str, ...] = ()  # words that carry nothing, such as `ethernet` before every port
    letters: bool = False  # an item without letters takes those of the port before it
    _cache: dict[str, int] = field(default_factory=dict, compare=False, repr=False)  # lists of numbers seen before

    def known(self, text: str) -> int | None:
        """Return the bitset of a list of numbers seen before, or None: its words may be names."""
        return self._cache.get(text)

    def vids(self, text: str, names: Mapping[str, int]) -> int:
        """Return the bitset of the VIDs 1 to 4094 in `text`; a word that is no number is the name of a VLAN.

        `all` is 1 to 4094 and `none` is empty.  Raises ValueError naming the item that is none of these.
        """
        if (known := self._cache.get(text)) is not None:
            return known
        bits, numbers_only = 0, True
        for item in self._items(text):
            low, dash, high = item.partition("\0")
            if _number(low) and (not dash or _number(high)):
                bits |= _vid_range(int(low), int(high) if dash else int(low), item.replace("\0", "-"))
            elif item == "all":
                bits |= WIRE
            elif item != "none":
                name = item.replace("\0", self.to[0]) if dash else item
                if name not in names:
                    raise NoSuchVlan(name)
                bits |= names[name]
                numbers_only = False
        if numbers_only and len(self._cache) < 4096:
            self._cache[text] = bits
        return bits

    def ports(self, text: str, canonical: Callable[[str], str] = str) -> list[str]:
        """Return the port names in `text`, each in the form `canonical` gives it.

        A range joins a number to a number or to the same stem (`A1-A4`, `Gi1/0/1 - 8`, `ge-0/0/1 to ge-0/0/3`);
        a hyphen inside a name (`Port-channel1`) is no range.  An item that is a bare number takes the stem of
        the item before it; with `letters`, `Te 1/1,2/1` is two ports of one kind.  Raises ValueError naming a
        range that runs backwards or joins different stems.
        """
        names: list[str] = []
        stem = ""
        for item in self._port_items(text):
            ends = self._ends(item)
            if ends is None:
                name = canonical(self._whole(item, stem))
                names.append(name)
                stem = _stem(name)
                continue
            left, right = canonical(self._whole(ends[0], stem)), ends[1]
            stem = _stem(left)
            if not right.isdecimal():
                right = canonical(self._whole(right, stem))
                if _stem(right) != stem:
                    raise ValueError(f"{item!r} joins two different kinds of port")
            low, high = int(left[len(stem) :]), int(right[len(_stem(right)) :])
            if low > high:
                raise ValueError(f"{item!r} runs backwards")
            if high - low >= _MOST_PORTS:
                raise ValueError(f"{item!r} names more than {_MOST_PORTS} ports")
            names += [f"{stem}{number}" for number in range(low, high + 1)]
        if not names:
            raise ValueError(f"{text!r} names no port")
        return names

    def _whole(self, item: str, stem: str) -> str:
        """Return an item with what it takes from the port before it, whose stem is `stem`."""
        if item.isdecimal():
            return stem + item
        return item if not self.letters or any(map(str.isalpha, item)) else _letters(stem) + item

    def _items(self, text: str) -> list[str]:
        """Split at the separators, with the ends of a range joined by NUL."""
        for word in self.to:
            text = _range_pattern(word).sub("\\1\0\\2", text)
        for mark in self.sep:
            if mark != " ":
                text = text.replace(mark, " \1 ")
        items: list[str] = []
        gap = True  # a separator stands before the next item
        for word in text.split():
            if word == "\1":
                if gap:
                    raise ValueError("an item of the list is missing")
                gap = True
            elif gap or " " in self.sep:
                items.append(word)
                gap = False
            else:
                raise ValueError(f"{word!r} follows {items[-1]!r} without a separator")
        if gap and text.strip() and items:
            raise ValueError(f"the list ends after {items[-1]!r} with a separator")
        return items

    def _port_items(self, text: str) -> list[str]:
        words = [word for word in text.split() if word not in self.drop]
        joined = " ".join(words)
        if " " in self.sep:
            for word in self.to:
                joined = joined.replace(f" {word.strip()} ", f"\0{word.strip()}\0")
            items = re.split("|".join(r"\s+" if mark == " " else re.escape(mark) for mark in self.sep), joined)
            return [item.replace("\0", " ").strip() for item in items if item.strip()]
        return [item.strip() for item in re.split("|".join(map(re.escape, self.sep)), joined) if item.strip()]

    def _ends(self, item: str) -> tuple[str, str] | None:
        for word in self.to:
            mark = f" {word.strip()} " if word.strip().isalpha() else word.strip()
            at = item.rfind(mark)
            while at > 0:
                left, right = item[:at].strip(), item[at + len(mark) :].strip()
                if left[-1:].isdecimal() and right[-1:].isdecimal():
                    return left, right
                at = item.rfind(mark, 0, at)
        return None


def _number(text: str) -> bool:
    return text.isascii() and text.isdecimal() and len(text) < 10


def _vid_range(low: int, high: int, item: str) -> int:
    if low > high:
        raise ValueError(f"{item!r} runs backwards")
    if low < 1 or high > 4094:
        raise ValueError(f"{item!r} is not within VID 1 to 4094")
    return span(low, high)


def _stem(name: str) -> str:
    return name.rstrip("0123456789")


def _letters(stem: str) -> str:
    return stem.rstrip("0123456789/.:")


_PATTERNS: dict[str, re.Pattern[str]] = {}


def _range_pattern(word: str) -> re.Pattern[str]:
    if word not in _PATTERNS:
        mark = word.strip()
        gap = r"\s+" if mark.isalpha() else r"\s*"
        _PATTERNS[word] = re.compile(rf"(?<![^\s,])(\d{{1,9}}){gap}{re.escape(mark)}{gap}(\d{{1,9}})(?![^\s,])")
    return _PATTERNS[word]
