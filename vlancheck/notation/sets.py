"""VIDs, sets of VIDs, tag matches and pushed tags: text in, model out, and back again.

A plain number is one that a tag can carry; a relay VID that no tag carries wears an `r`, so that 4096 is never
taken for a VID by mistake.  Every function that reads raises ValueError with a sentence for the user.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from vlancheck import vids
from vlancheck.dot1q.model import NO_TAG, Push, TagMatch
from vlancheck.dot1q.tags import C_TAG, S_TAG
from vlancheck.evidence import Cover, Origins, State

_ONLY_NO_TAG = 1 << NO_TAG
_TAG_ITEM = re.compile(r"(?P<kind>[cs]?)(?P<vid>r?[0-9]+)(?:@(?P<tpid>[0-9a-fA-F]+))?")
_KINDS = {"c": C_TAG, "s": S_TAG}
_LARGEST = 1 << 24  # no numbering of bridge domains is larger; a set is an integer with a bit for each VID


def read_vid(text: str, *, zero: bool = False) -> int:
    """Return the VID written as `10`, or as `r5000` for a relay VID that no tag carries; `zero`: 0 is a tag's VID."""
    digits = text.removeprefix("r")
    if not (digits.isascii() and digits.isdecimal()):
        raise ValueError(f"{text!r} is not a VID; write a number from 1 to 4094")
    number = int(digits) if len(digits) < 12 else _LARGEST
    if text.startswith("r"):
        if number >= _LARGEST:
            raise ValueError(f"{text!r} is larger than any relay VID")
        return number
    if not (1 - zero) <= number <= 4094:
        raise ValueError(
            f"{text!r} is not a VID; a tag carries {'0 (priority) or ' if zero else ''}1 to 4094, and a number that "
            f"only a relay uses is written r{digits}"
        )
    return number


def write_vid(vid: int, *, zero: bool = False) -> str:
    """Return `vid` as `read_vid` reads it."""
    return str(vid) if (1 - zero) <= vid <= 4094 else f"r{vid}"


# ---- sets of three values ----------------------------------------------------------------------------------------


def read_cover(text: str, origins: Origins) -> Cover:
    """Return the cover written as `10,20-30`, `all,!5`, `none`, or with `?` for what is unknown: `10,?20-30`, `?`.

    Items count from left to right; all VIDs that none names are out.
    """
    sure = unknown = 0
    for mark, bits in _marked(text, "?!", _read_run):
        sure = sure | bits if mark == "" else sure & ~bits
        unknown = unknown | bits if mark == "?" else unknown & ~bits
    return make_cover(sure, unknown, origins)


def make_cover(sure: int, unknown: int, origins: Origins) -> Cover:
    """Return the cover with `sure` in, `unknown` unknown and all others out, all because of `origins`."""
    parts = ((sure, State.IN, origins), (unknown, State.UNKNOWN, origins), (~(sure | unknown), State.OUT, origins))
    return Cover(tuple(part for part in parts if part[0]))


def write_cover(cover: Cover) -> str:
    """Return the cover as `read_cover` reads it."""
    sure, unknown, out = cover.sure, cover.possible & ~cover.sure, ~cover.possible
    runs = [(mark, run) for mark, bits in (("", sure), ("?", unknown), ("!", out)) for run in _runs(mark, bits)]
    start = "all" if sure < 0 else "?" if unknown < 0 else ""
    return ",".join([start] * bool(start) + [run for mark, run in runs if start or mark != "!"]) or "none"


def _runs(mark: str, bits: int) -> Iterator[str]:
    """Yield the runs of a finite set; an infinite one is what the text starts with."""
    if bits < 0:
        return
    for low, high in vids.ranges(bits):
        assert high is not None
        yield f"{mark}{write_vid(low)}" + (f"-{write_vid(high)}" if high > low else "")


# ---- sets that a match asks for ----------------------------------------------------------------------------------


def read_levels(text: str) -> tuple[TagMatch, ...]:
    """Return what a match asks of the tags, outermost first: `310`, `s100.310`, `1-100,untagged.all`, `100@9100`."""
    return tuple(_read_level(level) for level in text.split("."))


def write_levels(levels: tuple[TagMatch, ...]) -> str:
    """Return the levels, at least one, as `read_levels` reads them."""
    return ".".join(_write_level(level) for level in levels)


def read_whole(text: str) -> tuple[TagMatch, ...]:
    """Return the match of whole stacks: `untagged`, or levels with no further tag below the last."""
    below = (TagMatch(_ONLY_NO_TAG),)
    return below if text == "untagged" else read_levels(text) + below


def write_whole(levels: tuple[TagMatch, ...]) -> str | None:
    """Return the levels as `read_whole` reads them, or None when they match more than whole stacks."""
    if not levels or levels[-1] != TagMatch(_ONLY_NO_TAG):
        return None
    text = write_levels(levels[:-1]) if len(levels) > 1 else "untagged"
    return text if (text == "untagged") == (len(levels) == 1) else None


def _read_level(text: str) -> TagMatch:
    written, at, tpids = text.partition("@")
    if found := _TAG_ITEM.fullmatch(written):
        if found["kind"] and not at:
            return TagMatch(_read_match_run(found["vid"]), frozenset({_KINDS[found["kind"]]}))
        if found["kind"]:
            raise ValueError(f"{text!r} states its TPID twice")
    bits = 0
    for mark, more in _marked(written, "!", _read_match_run):
        bits = bits | more if mark == "" else bits & ~more
    return TagMatch(bits, read_tpids(tpids) if at else None)


def _write_level(level: TagMatch) -> str:
    single = level.vids > 0 and not level.vids & (level.vids - 1)
    if single and level.vids != _ONLY_NO_TAG:
        for kind, tpid in _KINDS.items():
            if level.tpids == frozenset({tpid}):
                return kind + write_vid(vids.first(level.vids), zero=True)
    start, mark, bits = ("all", "!", ~level.vids) if level.vids < 0 else ("", "", level.vids)
    found = [start] if start else []
    for low, high in vids.ranges(bits & ~_ONLY_NO_TAG):
        assert high is not None
        run = write_vid(low, zero=True) + (f"-{write_vid(high, zero=True)}" if high > low else "")
        found.append(mark + run)
    if bits & _ONLY_NO_TAG:
        found.append(f"{mark}untagged")
    return (",".join(found) or "none") + ("" if level.tpids is None else f"@{write_tpids(level.tpids)}")


# ---- tags and their TPIDs ----------------------------------------------------------------------------------------


def read_tpids(text: str) -> frozenset[int]:
    """Return the TPIDs written as `8100+88a8`; `none` is no TPID."""
    return frozenset() if text == "none" else frozenset(read_tpid(item) for item in text.split("+"))


def write_tpids(tpids: frozenset[int]) -> str:
    """Return the TPIDs as `read_tpids` reads them."""
    return "+".join(f"{tpid:04x}" for tpid in sorted(tpids)) or "none"


def read_tpid(text: str) -> int:
    """Return the TPID written as four hexadecimal digits."""
    if not re.fullmatch(r"[0-9a-fA-F]{4}", text):
        raise ValueError(f"{text!r} is not a TPID; write four hexadecimal digits, such as 8100 or 88a8")
    return int(text, 16)


def read_pushes(text: str) -> tuple[Push, ...]:
    """Return the tags put on, outermost first: `20` with the TPID the port sends, `s20`, `c20`, `20@9100`."""
    return tuple(_read_push(item) for item in text.split("."))


def write_pushes(pushes: tuple[Push, ...]) -> str:
    """Return the tags, at least one, as `read_pushes` reads them."""
    return ".".join(_write_push(push) for push in pushes)


def _read_push(text: str) -> Push:
    if not (found := _TAG_ITEM.fullmatch(text)):
        raise ValueError(f"{text!r} is no tag; write 20, s20, c20 or 20@9100")
    if found["kind"] and found["tpid"]:
        raise ValueError(f"{text!r} states its TPID twice")
    vid = read_vid(found["vid"], zero=True)
    return Push(vid, read_tpid(found["tpid"]) if found["tpid"] else _KINDS.get(found["kind"]))


def _write_push(push: Push) -> str:
    vid = write_vid(push.vid, zero=True)
    for kind, tpid in _KINDS.items():
        if push.tpid == tpid:
            return kind + vid
    return vid if push.tpid is None else f"{vid}@{push.tpid:04x}"


# ---- items -------------------------------------------------------------------------------------------------------


def _marked(text: str, marks: str, read: Callable[[str], int]) -> Iterator[tuple[str, int]]:
    for item in text.split(","):
        mark, rest = (item[:1], item[1:]) if item[:1] and item[:1] in marks else ("", item)
        yield mark, vids.EVERY if rest == "" and mark == "?" else read(rest)


def _read_run(text: str, *, zero: bool = False) -> int:
    if text == "all":
        return vids.EVERY
    if text == "none":
        return 0
    low, dash, high = text.partition("-")
    if not low or not dash:
        return 1 << read_vid(text, zero=zero)
    if not high:
        raise ValueError(f"{text!r} has no end; write {low}-4094, or all")
    first, last = read_vid(low, zero=zero), read_vid(high, zero=zero)
    if first > last:
        raise ValueError(f"{text!r} runs backwards; write {high}-{low}")
    return vids.span(first, last)


def _read_match_run(text: str) -> int:
    if text == "untagged":
        return _ONLY_NO_TAG
    bits = _read_run(text, zero=True)
    if bits == _ONLY_NO_TAG:
        raise ValueError(f"{text!r} is in no tag; write untagged for a frame without one")
    return bits if text == "all" else bits & ~_ONLY_NO_TAG  # a run over 4095 does not mean frames without a tag
