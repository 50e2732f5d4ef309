"""Frames as stacks of VLAN tags: how they are written, read and laid out as bytes."""

from __future__ import annotations

import re
from typing import NamedTuple

C_TAG = 0x8100  # EtherType of a customer VLAN tag (IEEE Std 802.1Q, 9.6, Table 9-1)
S_TAG = 0x88A8  # EtherType of a service VLAN tag (same table)
RESERVED_VID = 0xFFF  # never in a tag on the wire (IEEE Std 802.1Q, Table 9-2)
TAGS = (1 << RESERVED_VID) - 1  # in a set of frames of one tag: the VIDs 0 to 4094 as they may be sent
UNTAGGED = 1 << RESERVED_VID  # and the bit of the untagged frame, which has no VID


class Tag(NamedTuple):
    """One VLAN tag; the priority bits do not decide where a frame goes and are left out."""

    tpid: int  # EtherType that marks the tag
    vid: int  # 0 (priority tag) to 4095


Frame = tuple[Tag, ...]  # outermost tag first; () is untagged

_TAG = re.compile(r"(?P<kind>[cs]?)(?P<vid>[0-9]+)(?:@(?:0x)?(?P<tpid>[0-9a-f]{4}))?", re.IGNORECASE)


def parse_frame(text: str) -> Frame:
    """Return the frame written as `untagged`, `310`, `0`, `s100.310` or `100@9100`, outermost tag first.

    Raises ValueError naming what is no tag; VIDs run from 0 (priority tag) to 4094.
    """
    if text.strip().lower() == "untagged":
        return ()
    return tuple(_parse_tag(item) for item in text.strip().split("."))


def format_frame(frame: Frame) -> str:
    """Return the frame as `parse_frame` reads it."""
    return ".".join(_format_tag(tag) for tag in frame) or "untagged"


def tag_bytes(frame: Frame) -> bytes:
    """Return the octets between the source address and the EtherType: TPID, then PCP 0, DEI 0 and the VID.

    Layout: IEEE Std 802.1Q, 9.5 and 9.6.
    """
    return b"".join(tag.tpid.to_bytes(2, "big") + tag.vid.to_bytes(2, "big") for tag in frame)


def _parse_tag(item: str) -> Tag:
    if not (found := _TAG.fullmatch(item)):
        raise ValueError(f"{item!r} is no tag: write 310, 0 (priority), s100 (service tag) or 100@9100 (other TPID)")
    vid = int(found["vid"])
    if vid >= RESERVED_VID:
        raise ValueError(f"{item!r}: a tag carries VID 1 to 4094, or 0 for priority only")
    kind = found["kind"].lower()
    if kind and found["tpid"]:
        raise ValueError(f"{item!r} states its TPID twice")
    return Tag(int(found["tpid"], 16) if found["tpid"] else S_TAG if kind == "s" else C_TAG, vid)


def _format_tag(tag: Tag) -> str:
    if tag.tpid == C_TAG:
        return str(tag.vid)
    return f"s{tag.vid}" if tag.tpid == S_TAG else f"{tag.vid}@{tag.tpid:04x}"
