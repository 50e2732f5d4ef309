"""Rings of cords: which go round, and which a spanning tree, a VLAN or a blocked port keeps open."""

from pathlib import Path

import pytest

from checks.planting import told
from vlancheck.pipeline import open_site
from vlancheck.vids import text as written

RING = """
bridge sw1 exists=10,20 tree={0}
port sw1:1 member=10
port sw1:2 member=10
bridge sw2 exists=10,20 tree={1}
port sw2:1 member=10
port sw2:2 member=10
bridge sw3 exists=10,20 tree={2}
port sw3:1 member=10
port sw3:2 member=10
link sw1:1 sw2:2
link sw2:1 sw3:2
link sw3:1 sw1:2
"""
ALL = "sw1:1 sw1:2 sw2:1 sw2:2 sw3:1 sw3:2"


@pytest.mark.parametrize(
    ("trees", "loop"),
    [
        (("per-vlan", "per-vlan", "per-vlan"), False),
        (("mst", "one-tree", "per-vlan"), False),
        (("unknown", "unknown", "unknown"), False),
        (("?", "?", "?"), False),
        (("off", "per-vlan", "per-vlan"), True),
        (("off", "off", "off"), True),
    ],
)
def test_ring_of_bridges(trees: tuple[str, str, str], loop: bool) -> None:
    assert told(RING.format(*trees)) == ([("K101", "10", ALL)] if loop else [])


@pytest.mark.parametrize(
    ("without", "loop"),
    [
        (("10", "10", "10"), True),
        (("10,20", "10", "10-30"), True),
        (("10", "10", ""), False),
        (("20", "20", "20"), False),
        (("10", "10", "?10"), False),
    ],
)
def test_ring_of_bridges_that_speak_no_tree_in_some_vlans(without: tuple[str, str, str], loop: bool) -> None:
    trees = [f"unknown without={vids}" if vids else "per-vlan" for vids in without]
    assert told(RING.format(*trees)) == ([("K101", "10", ALL)] if loop else [])


def test_ring_within_a_ring_that_one_switch_keeps_open() -> None:
    """Two cords between two switches loop in VLAN 10, whatever the third one opens; VLAN 20 has a tree."""
    text = RING.format("per-vlan without=10", "per-vlan without=10", "per-vlan").replace("member=10", "member=10,20")
    more = "port sw1:3 member=10,20\nport sw2:3 member=10,20\nlink sw1:3 sw2:3\n"
    assert told(text + more) == [("K101", "10", "sw1:1 sw1:3 sw2:2 sw2:3")]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("port sw3:1 member=10", "port sw3:1 member=20"),
        ("port sw3:1 member=10", "port sw3:1 member=10 forwarding=all,!10"),
        ("port sw3:1 member=10", "port sw3:1 member=10 up=no"),
        ("port sw3:1 member=10", "port sw3:1 member=10 link=no"),
        ("port sw3:1 member=10", "port sw3:1 member=10 link=?"),
        ("port sw3:1 member=10", "port sw3:1 member=10 doubt=yes"),
        ("port sw3:1 member=10", "port sw3:1 member=?10"),
        ("bridge sw3 exists=10,20 tree=off", "bridge sw3 exists=20 tree=off"),
        ("link sw3:1 sw1:2", ""),
    ],
    ids=["other VLAN", "blocked", "shut", "no link", "link unknown", "doubt", "list unknown", "no VLAN", "no cord"],
)
def test_ring_that_is_open_somewhere(old: str, new: str) -> None:
    text = RING.format("off", "off", "off")
    assert old in text
    assert told(text.replace(old, new)) == []


def test_box_without_tree_beside_the_ring_is_no_finding() -> None:
    text = RING.format("mst", "mst", "mst") + "bridge sw4 exists=10 tree=off\nport sw4:1 member=10\n"
    assert told(text + "port sw1:3 member=10\nlink sw1:3 sw4:1\n") == []


def test_vlans_that_go_round_the_same_cords_are_one_finding() -> None:
    assert told(RING.format("off", "mst", "mst").replace("member=10", "member=10,20")) == [("K101", "10,20", ALL)]


def test_two_cords_of_two_vlans_are_no_loop() -> None:
    text = """
    bridge sw1 exists=10,20 tree=off
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 member=20 pvid=20 untagged=20
    bridge sw2 exists=10,20 tree=off
    port sw2:1 member=10 pvid=10 untagged=10
    port sw2:2 member=20 pvid=20 untagged=20
    link sw1:1 sw2:1
    link sw1:2 sw2:2
    """
    assert told(text) == []
    merged = text + "port sw1:3 member=10 pvid=10 untagged=10\nport sw1:4 member=20 pvid=20 untagged=20\n"
    loop = ("K101", "10,20", "sw1:1 sw1:2 sw1:3 sw1:4 sw2:1 sw2:2 sw2:3 sw2:4")
    cords = "port sw2:3 member=20 pvid=20 untagged=20\nport sw2:4 member=10 pvid=10 untagged=10\n"
    assert loop in told(merged + cords + "link sw1:3 sw2:3\nlink sw1:4 sw2:4\n")


@pytest.mark.parametrize(("tree", "loop"), [("off", True), ("per-vlan", False)])
def test_cord_from_a_bridge_to_itself(tree: str, loop: bool) -> None:
    text = f"bridge sw1 exists=10 tree={tree}\nport sw1:1 member=10 pvid=10 untagged=10\n"
    text += "port sw1:2 member=10 pvid=10 untagged=10\nlink sw1:1 sw1:2\n"
    assert told(text) == ([("K101", "10", "sw1:1 sw1:2")] if loop else [])


@pytest.mark.parametrize(
    ("kind", "second", "loop"),
    [
        ("unmanaged", "member=10 pvid=10 untagged=10", True),
        ("phone", "member=10 pvid=10 untagged=10", True),
        ("access-point", "member=10 pvid=10 untagged=10", False),
        ("unmanaged", "member=10 pvid=10 untagged=10 forwarding=none", False),
        ("unmanaged", "member=10", False),
    ],
)
def test_two_cords_to_a_box_that_knows_no_vlan(kind: str, second: str, loop: bool) -> None:
    text = f"""
    bridge sw1 exists=10 tree=per-vlan
    port sw1:1 member=10 pvid=10 untagged=10
    port sw1:2 {second}
    device desk kind={kind}
    port desk:1
    port desk:2
    link sw1:1 desk:1
    link sw1:2 desk:2
    """
    assert ("K101" in {code for code, _, _ in told(text)}) is loop


def test_ring_of_boxes_that_know_no_vlan() -> None:
    text = "device a kind=unmanaged\nport a:1\nport a:2\ndevice b kind=unmanaged\nport b:1\nport b:2\n"
    assert told(text + "link a:1 b:1\nlink a:2 b:2\n") == [("K101", "none", "a:1 a:2 b:1 b:2")]
    assert told(text + "link a:1 b:1\n") == []


def test_bundle_is_one_cord() -> None:
    text = ""
    for name in ("sw1", "sw2"):
        text += f"bridge {name} exists=10 tree=off\nport {name}:po1 member=10\n"
        text += f"port {name}:1 bundle=po1 bundle-mode=active\nport {name}:2 bundle=po1 bundle-mode=active\n"
    assert told(text + "link sw1:1 sw2:1\nlink sw1:2 sw2:2\n") == []


# ---- configurations --------------------------------------------------------------------------------------------------

IOS = """\
{name}#show running-config
version 15.2
hostname {name}
vtp mode transparent
spanning-tree mode {mode}
{bare}vlan 10,20
interface GigabitEthernet1/0/1
 switchport mode trunk
 switchport trunk allowed vlan 10,20
interface GigabitEthernet1/0/2
 switchport mode trunk
 switchport trunk allowed vlan {second}
end
{name}#
"""
EOS = """\
! device: {name} (DCS-7050TX-64, EOS-4.26.3M)
!
hostname {name}
!
spanning-tree mode {mode}
{bare}!
vlan 10,20
!
interface Ethernet1
   switchport trunk allowed vlan 10,20
   switchport mode trunk
!
interface Ethernet2
   switchport trunk allowed vlan {second}
   switchport mode trunk
!
end
"""


def audited(
    root: Path, text: str, mode: str, bare: tuple[str, str], second: str = "10,20"
) -> list[tuple[str, str, str]]:
    """Return code, severity and VLANs of the findings of two switches with two cords between them."""
    captures = root / "captures"
    captures.mkdir()
    for name, lines in zip(("QUAY-1", "QUAY-2"), bare, strict=True):
        (captures / f"{name}.txt").write_text(
            text.format(name=name, mode=mode, bare=lines, second=second), encoding="utf-8"
        )
    ports = ("Gi1/0/1", "Gi1/0/2") if text is IOS else ("Ethernet1", "Ethernet2")
    links = "".join(f'  - ["QUAY-1:{port}", "QUAY-2:{port}"]\n' for port in ports)
    (root / "site.yaml").write_text(f"site: Quay house\nlinks:\n{links}", encoding="utf-8")
    found = open_site(root).audit("as-found").findings
    return [(one.code, one.severity.value, written(one.vids)) for one in found]


BARE = "no spanning-tree vlan 20\n"


@pytest.mark.parametrize(
    ("mode", "bare", "second", "loop"),
    [
        ("rapid-pvst", (BARE, BARE), "10,20", "20"),
        ("pvst", ("no spanning-tree vlan 10-30\n", BARE), "10,20", "20"),
        ("rapid-pvst", ("no spanning-tree vlan 10-30\n",) * 2, "10,20", "10,20"),
        ("rapid-pvst", (BARE, BARE), "10", ""),
        ("rapid-pvst", (BARE, ""), "10,20", ""),
        ("rapid-pvst", (f"{BARE}spanning-tree vlan 20\n", BARE), "10,20", ""),
        ("mst", (BARE, BARE), "10,20", ""),
    ],
    ids=["both", "of several", "two VLANs", "one way", "one end", "taken back", "mst"],
)
def test_lines_that_leave_a_vlan_without_a_tree(
    tmp_path: Path, mode: str, bare: tuple[str, str], second: str, loop: str
) -> None:
    assert audited(tmp_path, IOS, mode, bare, second) == ([("K101", "error", loop)] if loop else [])


@pytest.mark.parametrize(("far", "loop"), [("no spanning-tree vlan-id 20\n", "20"), ("", "")])
def test_lines_of_another_family_that_leave_a_vlan_without_a_tree(tmp_path: Path, far: str, loop: str) -> None:
    made = audited(tmp_path, EOS, "rapid-pvst", ("no spanning-tree vlan-id 20\n", far))
    assert made == ([("K101", "error", loop)] if loop else [])
