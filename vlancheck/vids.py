"""Sets of VIDs as integers, bit n for VID n.

An integer is never masked to 4095: relay VIDs may be larger, and a negative integer is an infinite
set (`EVERY` holds all VIDs; `~set` is everything else).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

EVERY = -1  # every relay VID there may be
WIRE = (1 << 4095) - 2  # VIDs 1..4094, the ones a tag may carry (IEEE Std 802.1Q, 9.6, Table 9-2)


def of(vids: Iterable[int]) -> int:
    """Return the bitset that holds `vids`."""
    bits = 0
    for vid in vids:
        bits |= 1 << vid
    return bits


def span(low: int, high: int) -> int:
    """Return the bitset of `low` to `high`, both included."""
    return (1 << high + 1) - (1 << low)


def members(bits: int) -> Iterator[int]:
    """Yield the VIDs of a finite set, ascending."""
    while bits:
        low = bits & -bits
        yield low.bit_length() - 1
        bits ^= low


def first(bits: int) -> int:
    """Return the smallest VID of a set that is not empty."""
    return (bits & -bits).bit_length() - 1


def ranges(bits: int) -> Iterator[tuple[int, int | None]]:
    """Yield the runs of a set, ascending, as (first, last); the last of an infinite run is None."""
    start = 0
    while bits:
        zeros = (bits & -bits).bit_length() - 1
        start += zeros
        bits >>= zeros
        if bits == -1:
            yield start, None
            return
        ones = (~bits & (bits + 1)).bit_length() - 1
        yield start, start + ones - 1
        start += ones
        bits >>= ones


def text(bits: int) -> str:
    """Return the set as ascending ranges: `1,10-100,250`; `none` when empty; an open run ends in `-`.

    The form is the range string of IEEE Std 802.1Q's management model (vid-range-type): ascending, not overlapping.
    """
    runs = [f"{low}" if low == high else f"{low}-{'' if high is None else high}" for low, high in ranges(bits)]
    return ",".join(runs) or "none"


def parse(written: str) -> int:
    """Return the set written as comma-separated VIDs and ranges, such as `1,10-100`; `none` is empty.

    Raises ValueError naming the item that is no VID or range of VIDs 1 to 4094.
    """
    if written.strip() == "none":
        return 0
    bits = 0
    for item in written.split(","):
        low, dash, high = item.strip().partition("-")
        if not (low.isdecimal() and low.isascii() and (not dash or (high.isdecimal() and high.isascii()))):
            raise ValueError(f"{item.strip()!r} is not a VID or a range of VIDs")
        start, end = int(low), int(high or low)
        if not 1 <= start <= end <= 4094:
            raise ValueError(
                f"{item.strip()!r} is not within 1 to 4094" if start <= end else f"{item.strip()!r} runs backwards"
            )
        bits |= span(start, end)
    return bits
