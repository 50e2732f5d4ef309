"""Words of site.yaml in, frames out: a VID, a range, a list, `untagged`, `all`, or a stack of tags."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from typing import Final

from vlancheck import vids
from vlancheck.dot1q.tags import C_TAG, Frame, Tag, parse_frame
from vlancheck.site.yamltext import Value


class Same(Enum):
    """The frame at an ending is the one that entered."""

    SAME = "same"


SAME: Final = Same.SAME
EndingFrame = Frame | Same | None  # None: not said; any one of untagged and the tag itself will do


@dataclass(frozen=True, slots=True)
class Tags:
    """A set of frames as declared."""

    text: str  # as written, for people
    at: Value  # where it is written
    vids: int = 0  # bitset of the VIDs 1..4094 that come with one C-tag
    untagged: bool = False  # untagged frames belong to it
    stacks: tuple[Frame, ...] = ()  # frames with an S-tag, or with more than one tag
    every: bool = False  # `all`: untagged, priority-tagged and every VID

    @property
    def only(self) -> Frame | None:
        """Return the frame when it is a single one, else None."""
        frames = self.frames()
        first = next(frames, None)
        return first if next(frames, None) is None else None

    def frames(self) -> Iterator[Frame]:
        """Yield the frames: untagged, priority-tagged, VIDs ascending, then the stacks as written."""
        if self.untagged:
            yield ()
        if self.every:
            yield (Tag(C_TAG, 0),)
        for vid in vids.members(self.vids):
            yield (Tag(C_TAG, vid),)
        yield from self.stacks

    def __contains__(self, frame: Frame) -> bool:
        """Tell whether `frame` belongs to the set."""
        if not frame:
            return self.untagged
        if len(frame) == 1 and frame[0].tpid == C_TAG:
            return bool(self.vids >> frame[0].vid & 1) or (self.every and frame[0].vid == 0)
        return frame in self.stacks


def tags(value: Value, what: str) -> Tags:
    """Return the frames that a word or a list of words names; SiteError for a VID that is not 1 to 4094."""
    items = value.several(what)
    words = [(item, word.strip()) for item in items for word in item.word(what).split(",")]
    if not words:
        raise value.error(f"{what} is an empty list")
    text = ", ".join(word for _, word in words)
    bits, untagged, every = 0, False, False
    stacks: list[Frame] = []
    for item, word in words:
        match word.lower():
            case "untagged":
                untagged = True
            case "all":
                bits, untagged, every = vids.WIRE, True, True
            case _ if (low_high := _range(item, word, what)) is not None:
                bits |= vids.span(*low_high)
            case _:
                frame = parsed(item, word, what)
                if len(frame) == 1 and frame[0].tpid == C_TAG:
                    bits |= 1 << frame[0].vid
                elif frame not in stacks:
                    stacks.append(frame)
    return Tags(text, value, bits, untagged, tuple(stacks), every)


def frame(value: Value, what: str) -> Frame:
    """Return one frame of declared intent: its VIDs are 1 to 4094; SiteError otherwise."""
    return parsed(value, value.word(what), what)


def ending_frame(value: Value) -> Frame | Same:
    """Return the frame declared at an ending: `untagged`, `same`, or a frame."""
    return SAME if value.word("`frame`").lower() == "same" else frame(value, "`frame`")


def sent_frame(value: Value) -> Frame:
    """Return a frame that a host sends and takes; priority-tagged (`0`) is one."""
    try:
        return parse_frame(value.word("a frame"))
    except ValueError as error:
        raise value.error(str(error)) from error


def parsed(at: Value, word: str, what: str) -> Frame:
    """Return the frame that `word` writes; SiteError at `at` when it writes none, or a VID that is not 1 to 4094."""
    try:
        made = parse_frame(word)
    except ValueError as error:
        hint = "write 310, untagged, all, s100 or 100.310; a VID is 1 to 4094"
        raise at.error(f"{what}: {error}", hint) from error
    if any(tag.vid == 0 for tag in made):
        hint = "a VID is 1 to 4094; priority-tagged frames belong to `untagged`"
        raise at.error(f"{what} is {word!r}: VID 0 names no VLAN", hint)
    return made


def _range(at: Value, word: str, what: str) -> tuple[int, int] | None:
    low, dash, high = (part.strip() for part in word.partition("-"))
    if not dash or not (low + high).isascii() or not (low.isdecimal() and high.isdecimal()):
        return None
    ends = [
        int(text.lstrip("0") or "0") if len(text.lstrip("0")) <= 4 else vids.WIRE.bit_length() for text in (low, high)
    ]
    if not 1 <= ends[0] <= ends[1] <= 4094:
        raise at.error(f"{what} is {word!r}", "a range runs upward within 1 to 4094")
    return ends[0], ends[1]
