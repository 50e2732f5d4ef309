"""What spanning tree blocks is computed where priorities, addresses and costs decide it, and left open where not."""

from __future__ import annotations

import pytest

from vlancheck.notation import parse
from vlancheck.vids import WIRE
from vlancheck.walk import walk
from vlancheck.wiring import Link, wire
from vlancheck.wiring.tree import computed

TRIANGLE = """
bridge core tree=per-vlan priority=4096 address=00:00:5e:00:53:01
port core:1 member=10,20 cost=4
port core:2 member=10,20 cost=4
bridge one tree=per-vlan priority=32768 address=00:00:5e:00:53:02
port one:1 member=10,20 cost=4
port one:2 member=10,20 cost=4
port one:9 pvid=10 member=10 untagged=10
bridge two tree=per-vlan priority=32768 address=00:00:5e:00:53:03
port two:1 member=10,20 cost=4
port two:2 member=10,20 cost=4
port two:9 pvid=10 member=10 untagged=10
link core:1 one:1
link core:2 two:1
link one:2 two:2
"""
BOTH = 1 << 10 | 1 << 20
OPEN = ["core:1", "core:2", "one:1", "one:2", "two:1"]


def decided(text: str) -> tuple[dict[str, int], dict[str, int]]:
    """Return the VLANs that are computed as blocked and as forwarding, by place."""
    read = parse(text)
    blocked: dict[str, int] = {}
    passing: dict[str, int] = {}
    for one in computed({device.name: device for device in read.devices}, [Link(*link) for link in read.links]):
        found = passing if one.forwards else blocked
        found[one.place] = found.get(one.place, 0) | one.vids
    return blocked, passing


def changed(*pairs: tuple[str, str], text: str = TRIANGLE) -> str:
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    return text


def test_a_ring_is_opened_where_cost_and_identifiers_say() -> None:
    """The bridge with the larger address gives way on the link between two that are as far from the root."""
    blocked, passing = decided(TRIANGLE)
    assert blocked == {"two:2": BOTH}
    assert passing == dict.fromkeys(OPEN, BOTH)


def test_the_reasons_name_the_rule_and_the_lines() -> None:
    read = parse(TRIANGLE)
    found = computed({device.name: device for device in read.devices}, [Link(*link) for link in read.links])
    why = next(one.why for one in found if not one.forwards)
    assert "its root at core" in why[0].text
    assert why[0].source.startswith("IEEE Std 802.1D-2004, 17")
    assert {origin.line for origin in why[1:]} == {2, 5, 6, 7, 9, 10, 11}


def test_a_frame_meets_no_loop_where_the_tree_is_computed() -> None:
    read = parse(TRIANGLE)
    network = wire(read.devices, [Link(*link) for link in read.links])
    found = walk(network, "one:9", "untagged")
    assert not found.loops
    assert [(one.port, one.frame) for one in found.deliveries] == [("two:9", "untagged")]
    left = parse(TRIANGLE.replace(" priority=4096", ""))
    assert walk(wire(left.devices, [Link(*link) for link in left.links]), "one:9", "untagged").loops


# ---- published examples ----------------------------------------------------------------------------------------------


def test_three_devices_with_path_costs_of_5_10_and_4() -> None:
    """ArubaOS-CX 10.02 Layer 2 Bridging Guide, 5200-5308, "Calculation example": C reaches A by way of B."""
    blocked, passing = decided("""
bridge A tree=one-tree priority=0
bridge B tree=one-tree priority=1
bridge C tree=one-tree priority=2
port A:A1 member=1 cost=5
port A:A2 member=1 cost=10
port B:B1 member=1 cost=5
port B:B2 member=1 cost=4
port C:C1 member=1 cost=10
port C:C2 member=1 cost=4
link A:A1 B:B1
link A:A2 C:C1
link B:B2 C:C2
""")
    assert blocked == {"C:C1": WIRE}
    assert sorted(passing) == ["A:A1", "A:A2", "B:B1", "B:B2", "C:C2"]


def test_three_bridges_of_which_two_have_a_costly_link() -> None:
    """Intel Blade Server Ethernet Switch Module IXM5414E manual, p. 263: C is designated, the port of B is blocked."""
    blocked, _ = decided("""
bridge A tree=one-tree priority=15
bridge B tree=one-tree priority=30
bridge C tree=one-tree priority=20
port A:1 member=1 cost=4
port A:2 member=1 cost=4
port B:1 member=1 cost=4
port B:3 member=1 cost=19
port C:1 member=1 cost=4
port C:2 member=1 cost=19
link A:1 B:1
link A:2 C:1
link B:3 C:2
""")
    assert blocked == {"B:3": WIRE}


# ---- what decides, and what is left open when it is not known --------------------------------------------------------


@pytest.mark.parametrize(
    ("pairs", "blocked"),
    [
        ([("00:00:5e:00:53:02", "00:00:5e:00:53:09")], {"one:2": BOTH}),
        ([("priority=32768 address=00:00:5e:00:53:03", "priority=8192")], {"one:2": BOTH}),
        ([(" address=00:00:5e:00:53:01", "")], {"two:2": BOTH}),
        ([(" address=00:00:5e:00:53:03", "")], {}),
        ([(" priority=4096", "")], {}),
        ([("port two:1 member=10,20 cost=4", "port two:1 member=10,20 cost=100")], {"two:1": BOTH}),
        ([("port two:1 member=10,20 cost=4", "port two:1 member=10,20")], {}),
        ([("port core:2 member=10,20 cost=4", "port core:2 member=10,20")], {"two:2": BOTH}),
        ([("port two:2 member=10,20 cost=4", "port two:2 member=10,20")], {"two:2": BOTH}),
        ([("port one:2 member=10,20", "port one:2 member=10")], {"two:2": 1 << 10}),
        ([("port one:2 member=10,20", "port one:2 member=10,?20")], {"two:2": 1 << 10}),
        ([("tree=per-vlan priority=4096", "tree=one-tree priority=4096")], {}),
        ([("port one:2 member=10,20", "port one:2 up=no member=10,20")], {}),
        ([("port one:2 member=10,20", "port one:2 link=? member=10,20")], {}),
        ([("port one:2 member=10,20", "port one:2 doubt=yes member=10,20")], {}),
        ([("link core:1", "set one:2 bpdu-filter=yes\nlink core:1")], {}),
        ([("link core:1", "set one:2 tree-here=off\nlink core:1")], {}),
        ([("link core:1", "set one:2 bpdu-guard=yes\nlink core:1")], {}),
        ([("link core:1", "set one:1 root-guard=yes\nlink core:1")], {}),
        ([("link core:1", "set core:1 root-guard=yes\nlink core:1")], {"two:2": BOTH}),
    ],
)
def test_what_decides_the_blocked_port(pairs: list[tuple[str, str]], blocked: dict[str, int]) -> None:
    assert decided(changed(*pairs))[0] == blocked


def test_a_cost_that_is_not_known_leaves_the_rest_certain() -> None:
    """The root and its ports, and the bridge that is surely near it; the third may reach it either way."""
    blocked, passing = decided(changed(("port two:1 member=10,20 cost=4", "port two:1 member=10,20")))
    assert blocked == {}
    assert passing == dict.fromkeys(["core:1", "core:2", "one:1"], BOTH)


def test_priorities_by_vlan_open_the_ring_in_two_places() -> None:
    text = changed(
        ("bridge core tree=per-vlan priority=4096", "bridge core tree=per-vlan priority=32768;10/4096"),
        ("bridge two tree=per-vlan priority=32768", "bridge two tree=per-vlan priority=32768;20/4096"),
    )
    assert decided(text)[0] == {"two:2": 1 << 10, "one:1": 1 << 20}


def test_costs_by_vlan_open_the_ring_in_two_places() -> None:
    text = changed(("port two:1 member=10,20 cost=4", "port two:1 member=10,20 cost=4;20/100"))
    assert decided(text)[0] == {"two:2": 1 << 10, "two:1": 1 << 20}


PARALLEL = """
bridge core tree=per-vlan priority=4096
port core:1 member=10 port-priority={0} port-number=1
port core:2 member=10 port-priority=128 port-number={1}
bridge one tree=per-vlan priority=32768
port one:1 member=10 cost=4
port one:2 member=10 cost=4
link core:1 one:1
link core:2 one:2
"""


@pytest.mark.parametrize(
    ("priority", "number", "blocked"),
    [(128, "2", "one:2"), (144, "2", "one:1"), (64, "?", "one:2"), (128, "?", "")],
)
def test_of_two_links_the_ports_of_the_root_decide(priority: int, number: str, blocked: str) -> None:
    """Port priority, then port number, of the bridge that is nearer to the root (17.6)."""
    assert decided(PARALLEL.format(priority, number))[0] == ({blocked: 1 << 10} if blocked else {})


def test_two_ports_of_one_bridge_on_one_cord() -> None:
    """The port with the better identifier is designated, the other one a backup."""
    text = """
bridge sw tree=one-tree priority=32768
port sw:1 member=10 port-priority=128 port-number=1
port sw:2 member=10 port-priority=128 port-number=2
link sw:1 sw:2
"""
    assert decided(text) == ({"sw:2": WIRE}, {"sw:1": WIRE})


@pytest.mark.parametrize(
    ("costs", "near", "far", "blocked"),
    [("short", "10000", "1000", "two:2"), ("long", "10000", "1000", "two:1"), ("short", "1000", "1000", "two:2")],
)
def test_costs_by_the_speed_that_lines_fix(costs: str, near: str, far: str, blocked: str) -> None:
    """Two links of 10 Gbit/s are as far as one of 1 Gbit/s by the short costs, and nearer by the long ones."""
    text = TRIANGLE.replace(" cost=4", "").replace("tree=per-vlan", f"tree=per-vlan costs={costs}")
    text += f"set one:1 speed={near}\nset one:2 speed={near}\nset two:2 speed={near}\nset two:1 speed={far}\n"
    assert decided(text)[0] == {blocked: BOTH}
    assert decided(text.replace(f"set two:1 speed={far}", "set two:1 speed=auto"))[0] == {}


# ---- what a capture shows --------------------------------------------------------------------------------------------


def test_a_captured_state_that_says_otherwise_leaves_the_ring_alone() -> None:
    """Something that was not read decides it: nothing of that VLAN is computed, the captured port stays blocked."""
    text = changed(("port one:2 member=10,20", "port one:2 member=10,20 forwarding=all,!10"))
    blocked, passing = decided(text)
    assert blocked == {"two:2": 1 << 20}
    assert all(vids == 1 << 20 for vids in passing.values())


def test_a_captured_state_that_agrees_stays() -> None:
    text = changed(("port two:2 member=10,20", "port two:2 member=10,20 forwarding=none"))
    read = parse(text)
    network = wire(read.devices, [Link(*link) for link in read.links])
    assert network.bridge_port("two:2").forwarding == next(
        device.bridge_ports["2"].forwarding for device in read.devices if device.name == "two"
    )


# ---- boxes between ---------------------------------------------------------------------------------------------------

BETWEEN = """
port conv:a
port conv:b
"""


@pytest.mark.parametrize(
    ("kind", "blocked"),
    [("through", {"two:2": BOTH}), ("unmanaged", {}), ("phone", {})],
)
def test_a_box_without_a_tree_on_the_ring(kind: str, blocked: dict[str, int]) -> None:
    """A media converter passes everything; whether a small switch passes what the tree sends is not known."""
    text = changed(
        ("link one:2 two:2", "link one:2 conv:a\nlink conv:b two:2"),
    )
    text += f"device conv kind={kind}\nport conv:a tpids=none pvid=1 member=1 untagged=1\n"
    text += "port conv:b tpids=none pvid=1 member=1 untagged=1\n"
    assert decided(text)[0] == blocked


def test_a_small_switch_that_hangs_on_one_cord_changes_nothing() -> None:
    text = TRIANGLE + "device desk kind=unmanaged\nport desk:1 pvid=1 member=1 untagged=1\nlink one:9 desk:1\n"
    assert decided(text)[0] == {"two:2": BOTH}


def test_a_switch_of_which_nobody_knows_the_tree_may_be_the_root() -> None:
    text = TRIANGLE + "port more:1 member=10,20\nport one:5 member=10,20\nlink one:5 more:1\n"
    assert decided(text) == ({}, {})


def test_native_vlans_that_differ_take_their_vlans_from_the_link() -> None:
    """A link that another rule blocks for a VLAN is no part of that VLAN's ring."""
    text = changed(
        ("port one:2 member=10,20", "port one:2 pvid=20 untagged=20 member=10,20"),
        ("port two:2 member=10,20", "port two:2 pvid=10 untagged=10 member=10,20"),
    )
    assert decided(text) == ({}, {})


# ---- one tree, and MST -----------------------------------------------------------------------------------------------

ONE_TREE = TRIANGLE.replace("per-vlan", "one-tree").replace("port one:1 member=10,20", "port one:1 member=20")


def test_one_tree_cuts_a_vlan_that_the_open_links_do_not_carry() -> None:
    """The tree does not look at VLANs: it blocks the one link that carries VLAN 10 to the second switch."""
    read = parse(ONE_TREE)
    network = wire(read.devices, [Link(*link) for link in read.links])
    found = walk(network, "one:9", "untagged")
    assert found.deliveries == ()
    assert not network.bridge_port("two:2").forwarding.possible & WIRE
    assert network.bridge_port("core:2").forwarding.sure & WIRE == WIRE
    left = parse(ONE_TREE.replace(" priority=4096", ""))
    ring = wire(left.devices, [Link(*link) for link in left.links])
    assert ring.bridge_port("one:2").forwarding.why(10)[0].value == "unknown"


def mst(*regions: str, instances: str = "20/1") -> str:
    text = TRIANGLE
    for name, region in zip(("core", "one", "two"), regions, strict=True):
        text = text.replace(
            f"bridge {name} tree=per-vlan", f"bridge {name} tree=mst region={region} instances={instances}"
        )
    return text.replace("priority=32768 address=00:00:5e:00:53:03", "priority=32768;1/0 address=00:00:5e:00:53:03")


def test_a_region_has_a_tree_for_each_instance() -> None:
    """Instance 1 has its root at the third bridge; VLANs of no instance follow instance 0."""
    blocked, _ = decided(mst("wing/1", "wing/1", "wing/1"))
    assert blocked == {"two:2": WIRE & ~(1 << 20), "one:1": 1 << 20}


@pytest.mark.parametrize(
    ("regions", "blocked"),
    [
        (("a/1", "b/1", "c/1"), {"two:2": WIRE}),
        (('"its own"', '"its own"', '"its own"'), {"two:2": WIRE}),
        (("a/1", "a/1", "b/1"), {}),
        (("a/1", "a/1", "?"), {}),
        (("?", "?", "?"), {}),
    ],
)
def test_between_regions_there_is_the_common_tree_alone(regions: tuple[str, str, str], blocked: dict[str, int]) -> None:
    """Bridges that share no region follow the common tree in all VLANs; where some share one, nothing is computed."""
    assert decided(mst(*regions))[0] == blocked


def test_regions_are_the_same_only_with_the_same_instances() -> None:
    text = mst("wing/1", "wing/1", "wing/1").replace("instances=20/1 priority=4096", "instances=10/1 priority=4096")
    assert decided(text) == ({}, {})


def test_a_bundle_counts_once_with_its_own_cost() -> None:
    text = """
bridge core tree=per-vlan priority=4096
port core:1 bundle=lag
port core:2 bundle=lag
port core:lag member=10
port core:3 member=10
bridge one tree=per-vlan priority=32768
port one:1 bundle=lag
port one:2 bundle=lag
port one:lag member=10 cost=3
port one:3 member=10 cost=4
link core:1 one:1
link core:2 one:2
link core:3 one:3
"""
    read = parse(text)
    network = wire(read.devices, [Link(*link) for link in read.links])
    assert not network.bridge_port("one:3").forwarding.possible >> 10 & 1
    assert network.bridge_port("one:lag").forwarding.sure >> 10 & 1


def test_rings_that_do_not_hang_together_have_roots_of_their_own() -> None:
    """Two rings in one site, and the reason of either names its own root."""
    other = TRIANGLE
    for name in ("core", "one", "two"):
        other = other.replace(f"{name}:", f"{name}9:").replace(f"bridge {name} ", f"bridge {name}9 ")
    other = other.replace("00:00:5e:00:53", "00:00:5e:00:54")
    read = parse(f"{TRIANGLE}\n{other}")
    found = [
        one
        for one in computed({device.name: device for device in read.devices}, [Link(*link) for link in read.links])
        if not one.forwards
    ]
    assert {one.place: one.why[0].text.split("root at ")[1].split(",")[0] for one in found} == {
        "two:2": "core",
        "two9:2": "core9",
    }


def test_a_vlan_of_two_parts_has_two_roots() -> None:
    """Bridges whose links carry a VLAN in two places only have two trees of it, though all hang together."""
    text = TRIANGLE + TRIANGLE.replace("core", "far").replace("one", "uno").replace("two", "due").replace(
        "00:00:5e:00:53", "00:00:5e:00:54"
    )
    text += "port core:5 member=20 cost=4\nport far:5 member=20 cost=4\nlink core:5 far:5\n"
    read = parse(text)
    found = computed({device.name: device for device in read.devices}, [Link(*link) for link in read.links])
    why = {(one.place, one.vids): one.why[0].text for one in found if not one.forwards}
    assert set(why) == {(place, 1 << vid) for place in ("two:2", "due:2") for vid in (10, 20)}
    assert "root at far" in why["due:2", 1 << 10]
    assert "root at core" in why["due:2", 1 << 20]
