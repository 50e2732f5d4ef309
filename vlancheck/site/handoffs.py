"""`handoffs:` in, what was ordered of the carrier at each port out: its name, its tags, its frames, whom to call."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from vlancheck import vids
from vlancheck.site.services import needed
from vlancheck.site.yamltext import Value

HANDOFF_KEYS = (
    "at",
    "carrier",
    "circuit",
    "owner",
    "phone",
    "nid-port",
    "type",
    "evc",
    "mode",
    "ce-vlans",
    "preserved",
    "map",
    "untagged",
    "max-frame",
    "l2cp",
    "l2cp-set",
    "mac-limit",
    "ends",
)
END_KEYS = ("name", "ce-vlans")
_EVERY = vids.WIRE


class Mode(StrEnum):
    """How frames of the service come at the port (the three words of an access service order)."""

    TAGGED = "tagged"
    UNTAGGED = "untagged"
    TUNNEL = "tunnel"  # whatever tags a frame has, it keeps


class Metro(StrEnum):
    """The six services of MEF 6.2, section 9, by their names."""

    EPL = "EPL"
    EVPL = "EVPL"
    EP_LAN = "EP-LAN"
    EVP_LAN = "EVP-LAN"
    EP_TREE = "EP-Tree"
    EVP_TREE = "EVP-Tree"


class L2cp(StrEnum):
    """What the carrier does with BPDUs and other frames of a link's own protocols that we send."""

    PASSED = "passed"
    DISCARDED = "discarded"
    PEERED = "peered"  # its box takes part in the protocol
    SHUTS = "shuts"  # its port shuts when one arrives


class L2cpSet(StrEnum):
    """Which reserved addresses a service does not pass, by their names in MEF 45.1, section 8.1."""

    CTA = "CTA"
    CTB = "CTB"
    CTB_2 = "CTB-2"


@dataclass(frozen=True, slots=True)
class EvcEnd:
    """Another end of the carrier's connection, as the order lists it."""

    name: str  # of the place
    ce_vlans: int  # bitset of the CE-VLAN IDs there
    where: Value  # where it stands


@dataclass(frozen=True, slots=True)
class Handoff:
    """A port where the carrier's tags enter, and what was ordered there."""

    at: str  # place as written
    where: Value  # where it stands
    carrier: str = ""  # name of the carrier's service or the carrier
    circuit: str = ""  # circuit id
    owner: str = ""  # who answers for it
    phone: str = ""  # the number to call
    nid_port: str = ""  # port of the carrier's box that this service comes out of
    type: Metro | None = None  # service ordered; None when not said
    evc: str = ""  # name of the connection between the ends
    mode: Mode | None = None  # how frames come; None when not said
    ce_vlans: int = 0  # bitset of the CE-VLAN IDs (VIDs at our port) of the service; 0 when not said
    preserved: bool | None = None  # they are the same at every end; None when not said
    map: Mapping[int, int] = field(default_factory=dict)  # the carrier's VID, or that of the far end -> the VID here
    untagged: str = ""  # `refused`, `accepted` or "" when not said
    untagged_as: int | None = None  # the CE-VLAN ID that untagged frames get; None when not said
    max_frame: int | None = None  # longest frame in octets, FCS and tags included; None when not said
    l2cp: L2cp | None = None  # what becomes of BPDUs; None when not said
    l2cp_set: L2cpSet | None = None  # which reserved addresses are not passed; None when not said
    mac_limit: int | None = None  # addresses that the carrier learns at most; None when not said
    ends: tuple[EvcEnd, ...] = ()  # the other ends
    said: Mapping[str, Value] = field(default_factory=dict)  # key -> where its value stands

    @property
    def called(self) -> str:
        """Return the circuit, or what else the carrier would know it by; the place when nothing is said."""
        return f"circuit {self.circuit}" if self.circuit else self.evc or self.carrier or self.at

    @property
    def all_to_one(self) -> bool:
        """Tell whether every CE-VLAN ID belongs to the one service."""
        return self.ce_vlans == _EVERY


def read_handoffs(value: Value | None) -> tuple[Handoff, ...]:
    """Return the handoffs; one may be a map or the plain name of its port.

    Raises SiteError with the line for a key that is none, a word that is none of those a key takes, a number out of
    bounds, a CE-VLAN ID that is not 1 to 4094, and a list that is no list of them.
    """
    items = () if value is None or value.empty else value.list("`handoffs`")
    return tuple(read_handoff(item) for item in items)


def read_handoff(value: Value) -> Handoff:
    """Return one handoff; SiteError as `read_handoffs` says."""
    if value.text is not None:
        return Handoff(value.word("a handoff"), value)
    said = value.map("a handoff", HANDOFF_KEYS)
    at = needed(said, "at", value, "a handoff", "add `at: DEVICE:PORT`")

    def word(key: str) -> str:
        return said[key].word(f"`{key}`") if key in said else ""

    untagged, untagged_as = _untagged(said["untagged"]) if "untagged" in said else ("", None)
    kind, mode, l2cp, l2cp_set = (
        said[key].choice(f"`{key}`", known) if key in said else None
        for key, known in (("type", Metro), ("mode", Mode), ("l2cp", L2cp), ("l2cp-set", L2cpSet))
    )
    return Handoff(
        at=at.word("`at`"),
        where=at,
        carrier=word("carrier"),
        circuit=word("circuit"),
        owner=word("owner"),
        phone=word("phone"),
        nid_port=word("nid-port"),
        type=Metro(kind) if kind else None,
        evc=word("evc"),
        mode=Mode(mode) if mode else None,
        ce_vlans=ce_vlans(said["ce-vlans"]) if "ce-vlans" in said else 0,
        preserved=said["preserved"].flag("`preserved`") if "preserved" in said else None,
        map=vid_map(said["map"], "here") if "map" in said else {},
        untagged=untagged,
        untagged_as=untagged_as,
        max_frame=said["max-frame"].number("`max-frame`", 64, 16384) if "max-frame" in said else None,
        l2cp=L2cp(l2cp) if l2cp else None,
        l2cp_set=L2cpSet(l2cp_set) if l2cp_set else None,
        mac_limit=said["mac-limit"].number("`mac-limit`", 1, 1_000_000) if "mac-limit" in said else None,
        ends=tuple(_end(item) for item in said["ends"].list("`ends`")) if "ends" in said else (),
        said=said,
    )


def ce_vlans(value: Value) -> int:
    """Return CE-VLAN IDs as an order form writes them: `0750`, `0750-`, `0750-0759`, `all`, or a list of these.

    The form has four digits, and room for 4095, which no tag may carry (IEEE Std 802.1Q, Table 9-2); it is refused.
    Raises SiteError for everything that is no such list.
    """
    found = 0
    words = [
        (item, word.strip()) for item in value.several("`ce-vlans`") for word in item.word("`ce-vlans`").split(",")
    ]
    for item, word in words:
        if word.lower() == "all":
            found = _EVERY
            continue
        low, dash, high = (part.strip() for part in word.partition("-"))
        ends = [_vid(item, part, word) for part in ((low, high) if dash and high else (low,))]
        if ends[0] > ends[-1]:
            raise item.error(f"`ce-vlans` is {word!r}", "a range runs upward, as 0750-0759")
        found |= vids.span(ends[0], ends[-1])
    if not found:
        raise value.error("`ce-vlans` is an empty list", "leave it out, or write the CE-VLAN IDs of the order")
    return found


def vid_map(value: Value, where: str) -> dict[int, int]:
    """Return a map of the carrier's VIDs to those `where`; SiteError for a VID that is none, or that stands twice."""
    rows: dict[int, int] = {}
    for theirs, ours in value.map("`map`").items():
        at = value.key(theirs)
        vid = at.number("the carrier's VID", 1, 4094)
        if vid in rows:
            raise at.error(f"the carrier's VID {vid} is mapped twice", "keep one of them")
        mapped = ours.number(f"the VID {where}", 1, 4094)
        if mapped in rows.values():
            raise ours.error(f"two of the carrier's VIDs become {mapped} {where}", "a tag can become one of them")
        rows[vid] = mapped
    return rows


def _vid(at: Value, text: str, word: str) -> int:
    digits = text.lstrip("0")
    if not text.isascii() or not text.isdecimal() or not 1 <= len(digits) <= len("4094"):
        raise at.error(f"`ce-vlans` is {word!r}", "write 0750, 0750-0759, a list of these, or all")
    if not 1 <= int(digits) <= 4094:
        raise at.error(f"`ce-vlans` is {word!r}: no tag carries {int(digits)}", "a CE-VLAN ID is 1 to 4094; ask for it")
    return int(digits)


def _untagged(value: Value) -> tuple[str, int | None]:
    """Return the rule for untagged frames, and the CE-VLAN ID they get (MEF 10.3, 9.9)."""
    text = value.word("`untagged`")
    if text.isascii() and text.isdecimal():
        return "accepted", value.number("`untagged`", 1, 4094)
    if text not in ("refused", "accepted"):
        raise value.error(f"`untagged` is {text!r}", "it is refused or accepted, or the CE-VLAN ID that they get")
    return text, None


def _end(value: Value) -> EvcEnd:
    fields = value.map("an item of `ends`", END_KEYS)
    name = needed(fields, "name", value, "an item of `ends`", "add `name:`, the place of the other end")
    what = f"the end {name.word('`name`')!r}"
    found = needed(fields, "ce-vlans", value, what, "add `ce-vlans:`, as the order lists them for that end")
    return EvcEnd(name.word("`name`"), ce_vlans(found), value)
