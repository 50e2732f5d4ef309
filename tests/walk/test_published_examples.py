"""Worked examples of published guides: what enters, what comes out, tag by tag."""

from __future__ import annotations

from dataclasses import replace

import pytest
from wiring.boxes import SAID, access, bridge_port, switch

from vlancheck import vids
from vlancheck.dot1q.model import BridgePort, Push, Rewrite
from vlancheck.evidence import Cover, Fact
from vlancheck.walk import carriage, walk
from vlancheck.wiring import Network


def tunnel(name: str, vid: int) -> BridgePort:
    """Return a port that puts an outer tag on whatever arrives and takes it off at departure."""
    outer = Cover.of(1 << vid, SAID)
    push = Rewrite(push=(Push(vid),), origins=SAID)
    made = bridge_port(name, member=str(vid), untagged=str(vid))
    return replace(made, pvid=Fact(vid, SAID), admit=outer, entry=(push,))


def came(network: Network, port: str, frame: str) -> set[tuple[str, str]]:
    """Return where a frame comes out, as a walk and as the carriage say."""
    walked = {(delivery.port, delivery.frame) for delivery in walk(network, port, frame).deliveries}
    assert walked == {(one.port, one.frame) for one in carriage(network).deliveries(port, frame)}
    return walked


def tunnels() -> Network:
    """Two customers, A in outer VLAN 30 and B in 40, over three provider switches."""
    edge = switch("E1", tunnel("a", 30), tunnel("b", 40), bridge_port("core", member="30,40"))
    core = switch("C", bridge_port("1", member="30,40"), bridge_port("2", member="30,40"))
    far = switch("E2", tunnel("a", 30), tunnel("b", 40), bridge_port("core", member="30,40"))
    return Network([edge, core, far], [("E1:core", "C:1"), ("C:2", "E2:core")])


@pytest.mark.parametrize(("port", "outer"), [("a", "30"), ("b", "40")])
def test_tags_of_a_tunnel_at_every_hop(port: str, outer: str) -> None:
    """Catalyst 3560 configuration guide OL-8553-06, p.16-3: customers A and B with the same C-VID never mix."""
    network = tunnels()
    steps = [(step.what.value, step.port, step.frame) for step in walk(network, f"E1:{port}", "100").steps]

    for expected in (
        ("enters", f"E1:{port}", "100"),
        ("leaves", "E1:core", f"{outer}.100"),
        ("leaves", "C:2", f"{outer}.100"),
        ("leaves", f"E2:{port}", "100"),
    ):
        assert expected in steps
    assert came(network, f"E1:{port}", "100") == {(f"E2:{port}", "100")}
    untagged = [step.frame for step in walk(network, f"E1:{port}", "untagged").steps if step.port == "E1:core"]
    assert untagged == [outer]


def test_a_native_vlan_inside_the_tunnel_leaks_to_another_customer() -> None:
    """Catalyst 2960-XR guide OL-29440-01, p.127: X's VLAN 30 comes out at Y when the edge trunk's native VLAN is 40."""
    edge = switch("E1", tunnel("x", 40), bridge_port("core", pvid=40, member="30,40", untagged="40"))
    core = switch("C", bridge_port("1", pvid=40, member="30,40", untagged="40"), tunnel("y", 30))
    leaking = Network([edge, core], [("E1:core", "C:1")])
    tagging = Network(
        [
            switch("E1", tunnel("x", 40), bridge_port("core", member="30,40")),
            switch("C", bridge_port("1", member="30,40"), tunnel("y", 30)),
        ],
        [("E1:core", "C:1")],
    )

    assert came(leaking, "E1:x", "30") == {("C:y", "untagged")}
    assert came(tagging, "E1:x", "30") == set()


@pytest.mark.parametrize(("one", "other"), [(1, 2), (1, 99)])
def test_native_vlans_that_differ_merge_two_vlans(one: int, other: int) -> None:
    """Catalyst 4500 configuration guide, p.19-4: untagged frames of one side are in the other's native VLAN."""
    left = switch(
        "SW1", access("a", one), access("d", 10), bridge_port("t", pvid=one, member="1-4094", untagged=str(one))
    )
    right = switch(
        "SW2",
        access("a", one),
        access("b", other),
        access("d", 10),
        bridge_port("t", pvid=other, member="1-4094", untagged=str(other)),
    )
    network = Network([left, right], [("SW1:t", "SW2:t")])

    assert came(network, "SW1:a", "untagged") == {("SW2:b", "untagged")}
    assert came(network, "SW1:d", "untagged") == {("SW2:d", "untagged")}


NATIVE = {  # SLX-OS Layer 2 configuration guide 20.6.1, native VLAN of a trunk: the three classifications
    "tagged native": ((None, "10,20", ""), {"untagged": None, "10": 10}, "10"),
    "untagged native": ((10, "10,20", "10"), {"untagged": 10, "10": 10}, "untagged"),
    "no native": ((None, "20", ""), {"untagged": None, "10": None}, None),
}


@pytest.mark.parametrize("name", NATIVE)
def test_native_classifications(name: str) -> None:
    """What a trunk does with untagged and native-tagged frames, and how it sends the native VLAN."""
    (pvid, member, untagged), received, sent = NATIVE[name]
    trunk = bridge_port("t", pvid=pvid, member=member, untagged=untagged or "none")
    network = Network([switch("A", trunk, access("n", 10), access("o", 20))], [])

    for frame, vid in received.items():
        assert came(network, "A:t", frame) == ({("A:n", "untagged")} if vid == 10 else set())
    assert came(network, "A:n", "untagged") == ({("A:t", sent)} if sent else set())


def test_pvid_and_tagged_members() -> None:
    """HP GbE2 application guide, VLAN chapter p.92: PVID 2, port 5 a tagged member of it, port 7 an untagged one."""
    incoming = bridge_port("4", pvid=2, member="2", untagged="2")
    network = Network([switch("A", incoming, bridge_port("5", member="2"), access("7", 2))], [])

    assert came(network, "A:4", "untagged") == {("A:5", "2"), ("A:7", "untagged")}
    assert came(network, "A:4", "2") == {("A:5", "2"), ("A:7", "untagged")}


@pytest.mark.parametrize(
    ("mine", "theirs", "carried"),
    [("untagged", "untagged", True), ("tagged", "tagged", True), ("untagged", "tagged", False)],
)
def test_both_ends_of_a_link_tag_alike(mine: str, theirs: str, carried: bool) -> None:
    """ArubaOS-Switch advanced traffic management guide K.15.15, p.54: both ends of a link tag alike."""

    def end(name: str, way: str) -> BridgePort:
        made = access(name, 10) if way == "untagged" else bridge_port(name, member="10")
        return replace(made, admit=Cover.of(0, SAID)) if way == "untagged" else made

    network = Network(
        [switch("X", access("1", 10), end("7", mine)), switch("Y", access("1", 10), end("5", theirs))], [("X:7", "Y:5")]
    )

    assert bool(came(network, "X:1", "untagged")) is carried
    assert bool(came(network, "Y:1", "untagged")) is carried


ROLES = ["isolated", "promiscuous", "community 1", "community 2", "trunk"]
PRIMARY, ISOLATED, COMMUNITIES = 20, 501, (502, 503)


def private(name: str, role: str) -> BridgePort:
    """Return a port that plays a part in private VLAN 20: hosts send in their secondary, receive in the primary."""
    every = f"{PRIMARY},{ISOLATED},{COMMUNITIES[0]},{COMMUNITIES[1]}"
    if role == "isolated":
        return bridge_port(name, pvid=ISOLATED, member=str(PRIMARY), untagged=str(PRIMARY))
    if role.startswith("community"):
        vid = COMMUNITIES[int(role[-1]) - 1]
        return bridge_port(name, pvid=vid, member=f"{PRIMARY},{vid}", untagged=f"{PRIMARY},{vid}")
    if role == "promiscuous":
        return bridge_port(name, pvid=PRIMARY, member=every, untagged=every)
    return bridge_port(name, member=every)


PERMITTED = {  # RFC 5517, section 3; the row and column of links between switches are from memory
    "isolated": {"promiscuous", "trunk"},
    "promiscuous": set(ROLES),
    "community 1": {"promiscuous", "community 1", "trunk"},
    "community 2": {"promiscuous", "community 2", "trunk"},
}


@pytest.mark.parametrize("sender", PERMITTED)
@pytest.mark.parametrize("receiver", ROLES)
def test_private_vlans(sender: str, receiver: str) -> None:
    """Who hears whom inside one private VLAN."""
    network = Network([switch("A", private("from", sender), private("to", receiver))], [])

    assert bool(came(network, "A:from", "untagged")) is (receiver in PERMITTED[sender])


@pytest.mark.parametrize(("vid", "heard"), [(PRIMARY, True), (ISOLATED, False)])
def test_a_trunk_reaches_an_isolated_host_in_the_primary_alone(vid: int, heard: bool) -> None:
    """RFC 5517, section 3: what arrives in the isolated VLAN goes to no other isolated port."""
    network = Network([switch("A", private("trunk", "trunk"), private("host", "isolated"))], [])

    assert bool(came(network, "A:trunk", str(vid))) is heard


def test_all_vids_of_a_trunk_in_one_row() -> None:
    """VIDs that behave alike stand together, as ascending ranges."""
    network = Network([switch("A", bridge_port("1", member="1-4094"), bridge_port("2", member="10-20,30"))], [])
    rows = carriage(network).rows("A:1")

    assert [(row.frames, [d.frame for d in row.deliveries]) for row in rows] == [("10-20,30", ["same"])]
    assert vids.text(rows[0].outer) == "10-20,30"


# ArubaOS-Switch 16.07, "Allowing traffic on VLAN ID (PVID) mismatched links": what becomes of frames of VLAN 10 at one
# end and of VLAN 10 or 20 at the other, where no spanning tree blocks the link.
PAIRS = {
    ("untagged 10", "untagged 10"): {10},
    ("untagged 10", "untagged 20"): {20},  # two VLANs are one: a leak
    ("untagged 10", "tagged 10"): set(),
    ("untagged 10", "tagged 20"): set(),
    ("tagged 10", "tagged 10"): {10},
    ("tagged 10", "tagged 20"): set(),
    # The table says "dropped" where the far end takes no untagged frames; where it does, they are in its VLAN.
    ("untagged 10", "tagged 10 beside untagged 30"): {30},
}


@pytest.mark.parametrize(("mine", "theirs"), PAIRS)
def test_pairs_of_link_ends(mine: str, theirs: str) -> None:
    """Each pair of ends, from a desk in VLAN 10 to desks in 10, 20 and 30 beyond the link."""

    def end(words: str) -> BridgePort:
        tags = {int(vid) for way, vid in zip(words.split(), words.split()[1:], strict=False) if way == "tagged"}
        bare = {int(vid) for way, vid in zip(words.split(), words.split()[1:], strict=False) if way == "untagged"}
        member = ",".join(map(str, sorted(tags | bare)))
        return bridge_port(
            "t",
            pvid=next(iter(bare), None),
            member=member,
            untagged=",".join(map(str, bare)) or "none",
        )

    near = switch("X", access("desk", 10), end(mine))
    far = switch("Y", *(access(str(vid), vid) for vid in (10, 20, 30)), end(theirs))
    network = Network([near, far], [("X:t", "Y:t")])
    assert came(network, "X:desk", "untagged") == {(f"Y:{vid}", "untagged") for vid in PAIRS[mine, theirs]}
