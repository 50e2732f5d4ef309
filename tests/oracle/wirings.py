"""Bridges, ports and patch links as plain data, and a hypothesis strategy that draws loop-free ones.

A port holds what a person gives Open vSwitch, column by column (ovs-vswitchd.conf.db(5), table Port), so that what the
product makes of those columns stays the question the comparison answers.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from hypothesis import strategies as st

C_TPID = 0x8100  # EtherType of a C-tag, IEEE Std 802.1Q-2022, 5.5
S_TPID = 0x88A8  # EtherType of an S-tag, IEEE Std 802.1Q-2022, 5.6
MOST_TAGS = 2  # the largest other_config:vlan-limit of Open vSwitch 3.1, ovs-vswitchd.conf.db(5)

Tag = tuple[int, int]  # TPID, VID
Frame = tuple[Tag, ...]  # outermost tag first


@dataclass(frozen=True, slots=True)
class Port:
    """One port as its Port and Interface columns."""

    name: str  # unique in the wiring, as interface names are on a host
    vlan_mode: str | None = None  # column of that name; None leaves it empty
    tag: int | None = None  # column of that name
    trunks: tuple[int, ...] = ()  # column of that name; empty means all where the mode reads it
    cvlans: tuple[int, ...] = ()  # column of that name; empty means all where the mode reads it
    qinq_ethtype: str | None = None  # other_config:qinq-ethtype
    priority_tags: str | None = None  # other_config:priority-tags
    protected: bool = False  # column of that name
    peer: str | None = None  # the patch port at the far end; None makes this an edge port

    @property
    def mode(self) -> str:
        """Return the mode in force: an empty vlan_mode means access with a tag and trunk without."""
        return self.vlan_mode or ("trunk" if self.tag is None else "access")


@dataclass(frozen=True, slots=True)
class Bridge:
    """One bridge; the local port of its own name, which every bridge has, is not listed."""

    name: str  # unique in the wiring
    ports: tuple[Port, ...]  # edge ports and patch ports


@dataclass(frozen=True, slots=True)
class Wiring:
    """Bridges joined by pairs of patch ports."""

    bridges: tuple[Bridge, ...]  # without loops between them when drawn by `wirings`

    def port(self, bridge: str, port: str) -> Port:
        """Return a port by name; a bridge's local port is a trunk of all VLANs."""
        if port == bridge:
            return Port(port)
        return next(p for b in self.bridges if b.name == bridge for p in b.ports if p.name == port)

    def edges(self) -> Iterator[tuple[str, str]]:
        """Yield (bridge, port) for every port a frame may enter or leave by: edge ports and local ports."""
        for bridge in self.bridges:
            yield bridge.name, bridge.name
            yield from ((bridge.name, port.name) for port in bridge.ports if port.peer is None)

    def links(self) -> Iterator[tuple[tuple[str, str], tuple[str, str]]]:
        """Yield both ends of every patch link, each link once."""
        home = {port.name: bridge.name for bridge in self.bridges for port in bridge.ports}
        for bridge in self.bridges:
            for port in bridge.ports:
                if port.peer is not None and port.name < port.peer:
                    yield (bridge.name, port.name), (home[port.peer], port.peer)

    def commands(self) -> list[str]:
        """Return the ovs-vsctl arguments that make this wiring in one transaction, every bridge flooding."""
        words: list[str] = []
        for bridge in self.bridges:
            words += ["--", "add-br", bridge.name]
            words += ["--", "set", "bridge", bridge.name, "datapath_type=dummy", "fail-mode=standalone"]
            for port in bridge.ports:
                words += ["--", "add-port", bridge.name, port.name, *_columns(port)]
                kind = ["type=dummy"] if port.peer is None else ["type=patch", f"options:peer={port.peer}"]
                words += ["--", "set", "interface", port.name, *kind]
        return words


def most_tags(wiring: Wiring, bridge: str, port: str, frame: Frame) -> int:
    """Return an upper bound of the tags a copy of the frame wears inside or between bridges of a loop-free wiring.

    Open vSwitch loses the innermost tag when a dot1q-tunnel port pushes a third, so a frame that may come to wear three
    cannot be compared.
    """
    at_home = {p.name: (b, p) for b in wiring.bridges for p in b.ports}

    def through(bridge: Bridge, entry: Port, worn: int) -> int:
        if entry.mode == "access" and worn:
            return worn  # dropped: an access port takes no tagged frame
        inside = worn + 1 if entry.mode == "dot1q-tunnel" else max(worn, 1)
        worst = inside
        for out in bridge.ports:
            if out.peer is not None and out.name != entry.name:
                stripped = inside - 1 if out.mode in ("access", "dot1q-tunnel") else inside
                worst = max(worst, through(*at_home[out.peer], stripped))
        return worst

    start = next(b for b in wiring.bridges if b.name == bridge)
    return max(len(frame), through(start, wiring.port(bridge, port), len([vid for _, vid in frame if vid])))


def comparable(wiring: Wiring, pool: tuple[int, ...], foreign: int) -> Iterator[tuple[str, str, Frame]]:
    """Yield (bridge, port, frame) for every port and frame whose fate Open vSwitch decides without a third tag."""
    for bridge, port in wiring.edges():
        worst = [most_tags(wiring, bridge, port, ((C_TPID, 1),) * count) for count in range(MOST_TAGS + 1)]
        for frame in frames(pool, foreign):
            if worst[sum(vid > 0 for _, vid in frame)] <= MOST_TAGS:
                yield bridge, port, frame


def frames(pool: tuple[int, ...], foreign: int) -> list[Frame]:
    """Return the frames to send into a port: untagged, priority-tagged, and one or two C-tags of pool and foreign VIDs.

    No second tag under or over VID 0: Open vSwitch 3.1 loses the one or the other there.
    """
    vids = (*pool, foreign)
    singles: list[Frame] = [((C_TPID, vid),) for vid in (0, *vids)]
    doubles: list[Frame] = [((C_TPID, outer), (C_TPID, inner)) for outer in vids for inner in vids]
    return [(), *singles, *doubles]


@st.composite
def wirings(
    draw: st.DrawFn, most_bridges: int = 6, most_edges: int = 4, protected: bool = False
) -> tuple[Wiring, tuple[int, ...], int]:
    """Draw a loop-free wiring, the small pool of VIDs its ports use so that they meet, and one VID foreign to it.

    All five port modes occur at edge ports and at patch ports. Left out: VID 0 as a tag, VID 4095 (Open vSwitch carries
    it, IEEE Std 802.1Q-2022 Table 9-2 reserves it) and differing TPIDs (Open vSwitch takes either on any port).
    """
    *pool, foreign = draw(st.lists(_vids, min_size=3, max_size=5, unique=True))
    ports: list[list[Port]] = []
    for number in range(draw(st.integers(1, most_bridges))):
        edges = draw(st.integers(1, most_edges))
        ports.append([draw(_ports(f"b{number}e{edge}", tuple(pool), protected)) for edge in range(edges)])
        # A tree: each bridge hangs on an earlier one, or now and then on none.
        upper = draw(st.integers(-1, number - 1)) if number else -1
        if upper >= 0:
            there, here = f"b{upper}to{number}", f"b{number}to{upper}"
            ports[upper].append(draw(_ports(there, tuple(pool), protected, peer=here)))
            ports[number].append(draw(_ports(here, tuple(pool), protected, peer=there)))
    return Wiring(tuple(Bridge(f"b{n}", tuple(made)) for n, made in enumerate(ports))), tuple(pool), foreign


_vids = st.one_of(st.sampled_from([1, 2, 10, 20, 4093, 4094]), st.integers(1, 4094))


@st.composite
def _ports(draw: st.DrawFn, name: str, pool: tuple[int, ...], protected: bool, peer: str | None = None) -> Port:
    """Draw one port; columns its mode does not read are sometimes filled, because they must then have no effect."""
    # A second share of trunks between bridges lets more frames get through.
    mode = draw(st.sampled_from([*_MODES, "trunk"] if peer else _MODES))
    needs_tag = mode in ("access", "native-tagged", "native-untagged", "dot1q-tunnel")
    some = st.lists(st.sampled_from([0, *pool]), unique=True, max_size=3).map(lambda vids: tuple(sorted(vids)))
    reads_cvlans = mode == "dot1q-tunnel"
    return Port(
        name,
        vlan_mode=mode,
        tag=draw(st.sampled_from(pool)) if needs_tag or draw(st.booleans()) else None,
        trunks=draw(some) if mode in (None, "trunk", "native-tagged", "native-untagged") or draw(_seldom) else (),
        cvlans=draw(some) if reads_cvlans or draw(_seldom) else (),
        qinq_ethtype="802.1q" if reads_cvlans else None,
        protected=protected and draw(_seldom),
        peer=peer,
    )


_MODES = (None, "access", "trunk", "native-tagged", "native-untagged", "dot1q-tunnel")
_seldom = st.integers(0, 7).map(lambda n: n == 7)


def _columns(port: Port) -> list[str]:
    """Return a port's filled columns in the words of ovs-vsctl."""
    columns = {
        "vlan_mode": port.vlan_mode,
        "tag": port.tag,
        "trunks": ",".join(map(str, port.trunks)),
        "cvlans": ",".join(map(str, port.cvlans)),
        "other_config:qinq-ethtype": port.qinq_ethtype,
        "other_config:priority-tags": port.priority_tags,
        "protected": "true" if port.protected else None,
    }
    return [f"{column}={value}" for column, value in columns.items() if value not in (None, "")]
