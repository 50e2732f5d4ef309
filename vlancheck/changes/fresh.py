"""The captures of one box in two surveys in; whether the later ones can be of the rebuilt box at all, out."""

from __future__ import annotations

from collections.abc import Sequence

from vlancheck.capture import Section
from vlancheck.evidence import Kind, Origin, Origins


def stale(
    device: str, before: Sequence[Section], after: Sequence[Section], taken: tuple[str, str]
) -> tuple[Origins, str]:
    """Return why the later captures of a box prove nothing about the rebuild, and a remark; both empty if all is well.

    Times come from the texts, else from `taken` of the two surveys, never from a file's date.  Not later than the
    earlier ones, or the same bytes where no time is known, is stale; other bytes and no time is a remark.
    """
    if not before or not after:
        return (), ""
    was, now = (_latest(texts) or said for texts, said in zip((before, after), taken, strict=True))
    first = after[0]
    shown = first.prompt or first.lines[0]
    line = Origin(Kind.SHOW, shown.text.strip(), first.file, shown.number)
    settle = f"a new capture of {device}, taken after the move"
    if was and now:
        if now[:19] > was[:19]:
            return (), ""
        text = f"its capture says {now}, not later than the earlier survey's ({was})"
        return (Origin(Kind.ASSUMED, text, settle=settle), line), ""
    if _bytes(before) == _bytes(after):
        text = "its capture is the earlier survey's, byte for byte, and no time tells them apart"
        return (Origin(Kind.ASSUMED, text, settle=settle), line), ""
    return (), f"{first.file}: no time says when {device} was captured; it differs from the earlier capture and is used"


def _latest(texts: Sequence[Section]) -> str:
    return max((section.taken for section in texts), default="")


def _bytes(texts: Sequence[Section]) -> list[tuple[str, list[str]]]:
    return sorted((section.command, [line.text for line in section.lines]) for section in texts)
