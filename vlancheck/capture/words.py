"""A long text and a few words come in, the lines that hold one of them go out: the cheap test before costly ones."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from itertools import accumulate


def lines_holding(text: str, words: Iterable[str]) -> list[int]:
    r"""Return the 0-based indices of the lines of `text`, split at `\n`, that hold a word; exact case."""
    present = [word for word in words if word in text]
    if not present:
        return []
    ends = list(accumulate(len(line) + 1 for line in text.split("\n")))
    found: set[int] = set()
    for word in present:
        at = text.find(word)
        while at >= 0:
            index = bisect_right(ends, at)
            found.add(index)
            at = text.find(word, ends[index])
    return sorted(found)
