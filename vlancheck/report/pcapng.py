"""Interfaces and packets in, the bytes of a capture file out, as the IETF's draft-ietf-opsawg-pcapng lays them out."""

from __future__ import annotations

import struct
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import IntEnum

_SECTION, _INTERFACE, _PACKET = 0x0A0D0D0A, 1, 6  # types of blocks (4.1, 4.2, 4.3)
_MAGIC, _MAJOR, _MINOR = 0x1A2B3C4D, 1, 0  # 4.1; written least significant octet first
_ETHERNET = 1  # LINKTYPE_ETHERNET
_END, _COMMENT = 0, 1  # options that every block may have (3.5)
_APPLICATION = 4  # shb_userappl (4.1)
_NAME, _DESCRIPTION, _RESOLUTION = 2, 3, 9  # if_name, if_description, if_tsresol (4.2)
_FLAGS = 2  # epb_flags (4.3)
_MICROSECONDS = 6  # of if_tsresol: a negative power of ten
_BROADCAST = 3 << 2  # of epb_flags: bits 2 to 4 say to whom
_LONGEST = 0xFFFF  # octets of an option


class Way(IntEnum):
    """Bits 0 and 1 of a packet's flags: which way it crosses its interface."""

    UNKNOWN = 0
    INBOUND = 1
    OUTBOUND = 2


@dataclass(frozen=True, slots=True)
class Interface:
    """What a packet crosses."""

    name: str  # of the port
    description: str = ""  # that its box has of it


@dataclass(frozen=True, slots=True)
class Packet:
    """One frame at one interface."""

    interface: int  # its number among the interfaces, from 0
    time: int  # microseconds
    data: bytes  # from the destination address on, without the frame check sequence
    way: Way  # in, out, or not known
    comment: str = ""  # for people


def capture_file(comment: str, interfaces: Iterable[Interface], packets: Sequence[Packet]) -> bytes:
    """Return a file of one section; every packet is an Ethernet broadcast."""
    head = struct.pack("<IHHq", _MAGIC, _MAJOR, _MINOR, -1)
    blocks = [_block(_SECTION, head, _text(_COMMENT, comment), _text(_APPLICATION, "vlancheck"))]
    for one in interfaces:
        told = (_text(_NAME, one.name), _text(_DESCRIPTION, one.description))
        resolution = _option(_RESOLUTION, bytes([_MICROSECONDS]))
        blocks.append(_block(_INTERFACE, struct.pack("<HHI", _ETHERNET, 0, 0), *told, resolution))
    for packet in packets:
        size = len(packet.data)
        fields = struct.pack("<IIIII", packet.interface, packet.time >> 32, packet.time & 0xFFFFFFFF, size, size)
        flags = _option(_FLAGS, struct.pack("<I", packet.way | _BROADCAST))
        blocks.append(_block(_PACKET, fields + _padded(packet.data), _text(_COMMENT, packet.comment), flags))
    return b"".join(blocks)


def _block(kind: int, body: bytes, *options: bytes) -> bytes:
    content = body + b"".join(options) + struct.pack("<HH", _END, 0)
    size = len(content) + 12
    return struct.pack("<II", kind, size) + content + struct.pack("<I", size)


def _text(code: int, text: str) -> bytes:
    """Return an option with words in it, cut where they are longer than one can be; nothing without words."""
    data = text.encode()
    if len(data) > _LONGEST:
        data = data[: _LONGEST - 3].decode(errors="ignore").encode() + "…".encode()
    return _option(code, data) if data else b""


def _option(code: int, data: bytes) -> bytes:
    return struct.pack("<HH", code, len(data)) + _padded(data)


def _padded(data: bytes) -> bytes:
    return data + bytes(-len(data) % 4)
