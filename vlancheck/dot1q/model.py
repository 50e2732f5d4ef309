"""What a box is: ports with cords, bridge ports that classify frames, bridges, and the points where frames end.

Where a cord goes (`Port`) and where a frame is classified (`BridgePort`) are two things: one port may
hold several bridge ports (sub-interfaces, service instances, units), told apart by the tags they select.
Access, trunk, native, hybrid and voice are words of dialects; here are only the fields they set.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

from vlancheck.dot1q.properties import Property
from vlancheck.dot1q.tags import C_TAG
from vlancheck.dot1q.tree import BridgeTree, PortTree
from vlancheck.evidence import Cover, Fact, Origins, assumed
from vlancheck.vids import EVERY

NO_TAG = 0xFFF  # in the VIDs of a TagMatch: "no tag at this depth"; no tag on the wire carries this value
LINK_ASSUMED: Fact[bool] = Fact(True, assumed("no link state was captured; the link is taken as up"))
ADMIN_ASSUMED: Fact[bool] = Fact(True, assumed("no line shuts this port; it is taken as enabled"))
ALL_FORWARD = Cover.of(EVERY, assumed("no spanning-tree state was captured; the port is taken as forwarding"))
TREE_UNKNOWN: Fact[str] = Fact("unknown", assumed("nothing says which spanning tree this bridge speaks"))
NO_TREE, NO_PORT_TREE = BridgeTree(), PortTree()
ALL_ACTIVE = Cover.of(EVERY, assumed("no line suspends a VLAN here"))


@dataclass(frozen=True, slots=True)
class TagMatch:
    """What a rewrite row or a bridge port asks of the tag at one depth."""

    vids: int = EVERY  # VIDs that match; bit NO_TAG: no tag at this depth (or one whose TPID does not count)
    tpids: frozenset[int] | None = None  # TPIDs that count as a tag here; None: those the port accepts


@dataclass(frozen=True, slots=True)
class Push:
    """A tag that a rewrite row puts on."""

    vid: int  # VID, or on entry a relay VID of any size
    tpid: int | None = None  # None: the TPID the port sends


@dataclass(frozen=True, slots=True)
class Rewrite:
    """One row of an entry or exit table: the first that matches is carried out, no match leaves the frame as it is."""

    match: tuple[TagMatch, ...] = ()  # outermost tag first; () matches every frame
    pop: int = 0  # tags taken off, outermost first
    push: tuple[Push, ...] = ()  # tags put on, outermost first
    drop: bool = False  # the frame is lost instead
    sure: bool = True  # False: an unread line decides whether the row is there
    origins: Origins = ()  # who set the row


class Foreign(StrEnum):
    """What a port does with a frame whose outermost tag has a TPID that it does not accept."""

    PAYLOAD = "payload"  # the frame is untagged here, the foreign tag is carried as data
    DROP = "drop"


class PrivateRole(StrEnum):
    """The part a bridge port plays in a private VLAN (RFC 5517)."""

    ISOLATED = "isolated"
    COMMUNITY = "community"
    PROMISCUOUS = "promiscuous"
    HOST = "host"  # of a secondary VLAN of which nothing says whether it is isolated or a community
    TRUNK = "trunk"  # between switches: carries primary and secondary VLANs
    SECONDARY_TRUNK = "secondary-trunk"  # tags hosts behind it with secondary VLANs
    PROMISCUOUS_TRUNK = "promiscuous-trunk"  # tags what it hears of secondary VLANs with their primary


@dataclass(frozen=True, slots=True)
class PrivateVlan:
    """The private-VLAN part of a bridge port; its sets already say what may enter and leave, this names why."""

    role: PrivateRole  # part played
    primary: int | None  # VID of the primary VLAN; None: no line says, or a trunk has several
    secondary: int | None = None  # VID of the host's secondary VLAN; None for promiscuous ports and trunks
    mapped: int = 0  # VIDs of the secondary VLANs that lines give to a promiscuous port or to a trunk
    origins: Origins = ()  # who set it


class PrivateKind(StrEnum):
    """What a VLAN is in a private VLAN (RFC 5517, 3)."""

    PRIMARY = "primary"
    ISOLATED = "isolated"
    COMMUNITY = "community"


@dataclass(frozen=True, slots=True)
class PrivatePart:
    """What lines make of one VLAN of a private VLAN, whether or not the rest of it is there."""

    kind: PrivateKind | None  # None: another VLAN names it, and no line says what it is
    secondaries: int = 0  # of a primary VLAN: VIDs of the VLANs that lines associate with it
    origins: Origins = ()  # who says so


@dataclass(frozen=True, slots=True, kw_only=True)
class BridgePort:
    """A place where a bridge classifies frames on entry and tags them on exit (IEEE Std 802.1Q, 8.2 and 6.9)."""

    name: str  # unique in the device; equal to `port` unless the port holds several
    port: str  # name of the Port it stands on
    bridge: str = ""  # name of the Bridge it belongs to
    pvid: Fact[int | None]  # VID of untagged and priority-tagged arrivals; None: they are lost
    admit: Cover  # VIDs accepted when they arrive tagged
    member: Cover  # VIDs that may leave
    untagged: Cover  # of those, the ones whose tag goes
    select: tuple[TagMatch, ...] = ()  # frames of the port that are this bridge port's; (): all that no other takes
    entry: tuple[Rewrite, ...] = ()  # rows applied to arrivals, before they are classified
    exit: tuple[Rewrite, ...] = ()  # rows applied to departures, after the untagged set had its say
    tpids: frozenset[int] = frozenset({C_TAG})  # TPIDs that count as a tag on arrival; empty: no tag is known
    sends: int = C_TAG  # TPID of tags put on at departure
    foreign: Foreign = Foreign.PAYLOAD  # what becomes of other TPIDs
    tpid_origins: Origins = ()  # who decided the TPIDs
    up: Fact[bool] = ADMIN_ASSUMED  # admin state of this bridge port alone
    forwarding: Cover = ALL_FORWARD  # VIDs for which spanning tree forwards here
    private: PrivateVlan | None = None  # private-VLAN part
    isolation: frozenset[str] = frozenset()  # groups; two ports of a bridge that share one exchange nothing
    isolation_origins: Origins = ()  # who put it into them
    doubt: Origins = ()  # not empty: unread lines may change anything here; what passes is unproven


class PortKind(StrEnum):
    """Whether a cord can go into a port."""

    JACK = "jack"
    INSIDE = "inside"  # a switch's own VLAN interface, the carrier's side of its box


@dataclass(frozen=True, slots=True)
class Negotiation:
    """A bridge port whose mode is settled with its neighbour; `wiring` picks one of `variants`."""

    protocol: str  # name of the table's protocol; two ends settle only when it is the same
    mode: str  # what this end says
    outcomes: Mapping[str, str]  # what the neighbour says -> the variant that results here
    alone: str  # the variant without a known neighbour
    variants: Mapping[str, BridgePort]  # outcome -> the bridge port it makes
    origins: Origins = ()  # who set the mode


@dataclass(frozen=True, slots=True)
class Shown:
    """What a device showed that a port does, where it is known beside what its lines ask for."""

    bridge_port: BridgePort  # as it was when it was captured
    negotiation: Negotiation | None = None  # still to be settled; None where the mode itself was shown


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """Something a capture shows behind a port: an address that was learned there, or a neighbour that spoke.

    A table of addresses is one moment: it proves that something was there, never that nothing was.
    """

    mac: str = ""  # MAC address, lower case with colons; "" not shown
    vid: int | None = None  # VID of the relay in which it was learned; None not shown
    neighbour: str = ""  # name a neighbour gives itself by LLDP or a protocol like it; "" none spoke
    neighbour_port: str = ""  # port of its own that the neighbour names
    neighbour_pvid: int | None = None  # VID of untagged frames that it tells of that port; None not told, or told as 0
    neighbour_vids: int = 0  # VIDs that it tells of that port (IEEE Std 802.1Q, D.2.2 and D.2.3); 0 none told
    origins: Origins = ()  # the lines that show it


@dataclass(frozen=True, slots=True, kw_only=True)
class Port:
    """A place where a cord goes, or a bundle of such places."""

    name: str  # as the device writes it
    kind: PortKind = PortKind.JACK  # whether a cord can go in
    up: Fact[bool] = ADMIN_ASSUMED  # admin state
    link: Fact[bool] = LINK_ASSUMED  # link state, where it is known
    bundle: str = ""  # name of the bundle this port is a member of; "" none
    bundle_mode: str = ""  # how it joins: `on`, `active`, `passive` or "" when not said
    negotiation: Negotiation | None = None  # a mode to be settled with the neighbour
    description: str = ""  # what people wrote on it
    seen: tuple[Seen, ...] = ()  # what captures show behind it
    shown: Shown | None = None  # what the device showed it does here; it holds while nothing around it changes
    properties: Mapping[Property, Fact[str]] = field(default_factory=dict)  # what it is set to beside VLANs
    configured: BridgePort | None = None  # where `shown` took its place: what the lines made of it
    tree: PortTree = NO_PORT_TREE  # what decides its part in spanning tree
    origins: Origins = ()  # where the port is named

    def __post_init__(self) -> None:
        object.__setattr__(self, "properties", MappingProxyType(dict(self.properties)))


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """A point where frames end and start: a host, a router's interface or sub-interface."""

    name: str  # of the interface
    port: str  # name of the Port it stands on
    select: tuple[TagMatch, ...] = ()  # whole stacks it takes and sends, last depth NO_TAG; (): any frame
    tpids: frozenset[int] = frozenset({C_TAG})  # TPIDs that count as a tag
    up: Fact[bool] = ADMIN_ASSUMED  # admin state
    address: bool = False  # whether it has an address of its own
    origins: Origins = ()  # where it is written


@dataclass(frozen=True, slots=True, kw_only=True)
class Bridge:
    """One relay; a device may have several that share no frame."""

    name: str = ""  # unique in the device
    exists: Cover  # VLANs the bridge has
    active: Cover = ALL_ACTIVE  # VLANs that are not suspended or shut down
    spanning_tree: Fact[str] = TREE_UNKNOWN  # `per-vlan`, `one-tree`, `mst`, `off` or `unknown`
    private: Mapping[int, PrivatePart] = field(default_factory=dict)  # VLANs of private VLANs, by VID

    def __post_init__(self) -> None:
        object.__setattr__(self, "private", MappingProxyType(dict(self.private)))

    tree: BridgeTree = NO_TREE  # what decides its place in it


class DeviceKind(StrEnum):
    """What a box does with frames."""

    BRIDGE = "bridge"
    ROUTER = "router"  # interfaces and sub-interfaces end tags
    THROUGH = "through"  # media converter: two ports, every frame passes
    CARRIER_BOX = "carrier-box"  # ONU or NID: declared rows pass, the rest is unproven
    UNMANAGED = "unmanaged"  # passes frames, knows no tag, speaks no spanning tree
    HOST = "host"
    PHONE = "phone"
    ACCESS_POINT = "access-point"
    FIREWALL = "firewall"
    PANEL = "panel"


@dataclass(frozen=True, slots=True)
class Unread:
    """A line that nobody read."""

    origin: Origins  # the line
    device: str  # device it belongs to
    port: str = ""  # port it stands under; "" none
    matters: bool = False  # it holds a word that could touch VLANs
    why: str = ""  # "" no pattern took it; else why its meaning is not clear
    absent: str = ""  # name that it gives for a VLAN, and that no VLAN has; "" it names none


class Told(StrEnum):
    """What a box said in its log of something that is wrong."""

    NATIVE = "native-mismatch"  # the far end of a link says another untagged VLAN
    MODE = "mode-mismatch"  # one end of a link tags and the other does not
    GUARDED = "guarded"  # a BPDU came in at a port that lets none in, and the port was shut
    SHUT = "shut"  # the box shut a port for another reason
    UNBUNDLED = "unbundled"  # a member was left out of its bundle since it is set otherwise
    FLAPPING = "flapping"  # one address is learned at two ports in turn
    DOMAIN = "domain-mismatch"  # the ends of a link do not negotiate, since each is in another domain
    INSTANCES = "instances"  # there are more VLANs than spanning trees


@dataclass(frozen=True, slots=True)
class Logged:
    """A line of its log in which a box tells of something wrong; the same at one port is told once."""

    told: Told  # what it is about
    port: str  # port that it names; "" none
    times: int  # how often
    origins: Origins  # the first such line


@dataclass(frozen=True, slots=True)
class Entered:
    """A line of configuration that somebody typed at a box, as a log shows it."""

    port: str  # port it stands under; "" none
    answer: str  # by which the box refused it; "" it took it
    captured: bool | None  # whether its configuration was printed after that in the same log; None: neither before
    origins: Origins  # the line


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """A box as it was read: everything a walk needs and everything that was not understood."""

    name: str  # unique in the site
    kind: DeviceKind = DeviceKind.BRIDGE  # what it does with frames
    dialect: str = ""  # name of the dialect it was read with; "" declared
    owner: str = ""  # "carrier" for a box we may not touch; "" ours
    bridges: Mapping[str, Bridge] = field(default_factory=dict)  # by name
    ports: Mapping[str, Port] = field(default_factory=dict)  # by name, in the order of the text
    bridge_ports: Mapping[str, BridgePort] = field(default_factory=dict)  # by name
    ends: Mapping[str, End] = field(default_factory=dict)  # by name
    unread: tuple[Unread, ...] = ()  # lines nobody read
    settings: Mapping[str, Fact[str]] = field(default_factory=dict)  # facts of the whole box that checks ask for
    logged: tuple[Logged, ...] = ()  # what it told of in its log
    entered: tuple[Entered, ...] = ()  # lines that were typed at it, and refused, or not followed by what they made
    lines: int = 0  # lines of text it was read from
    passed_over: int = 0  # of those, the ones passed over on purpose, by name

    def members(self, bundle: str) -> list[str]:
        """Return the ports of a bundle by name; none for a port that is no bundle."""
        return [port.name for port in self.ports.values() if port.bundle == bundle]

    @property
    def unread_lines(self) -> int:
        """Return how many lines something was not read of: one line may hold several such things."""
        return len({(one.origin[0].file, one.origin[0].line) for one in self.unread if one.origin})

    def __post_init__(self) -> None:
        for name in ("bridges", "ports", "bridge_ports", "ends", "settings"):
            object.__setattr__(self, name, MappingProxyType(dict(getattr(self, name))))
