"""What spanning tree cuts, is kept from hearing, or forwards too soon: facts on both sides of each check."""

from __future__ import annotations

from pathlib import Path

import pytest

from checks.planting import found, planted, told
from vlancheck.findings.finding import Finding
from vlancheck.pipeline import open_site

RING = """
bridge sw1 exists=10,20 tree=one-tree priority=4096
port sw1:1 pvid=10 member=10 untagged=10
port sw1:2 member=10,20 cost=4
port sw1:3 member=10,20 cost=4
bridge sw2 exists=10,20 tree=one-tree priority=8192
port sw2:1 member=10,20 cost=4
port sw2:3 member=10,20 cost=4
bridge sw3 exists=10,20 tree=one-tree priority=32768
port sw3:1 member=10,20 cost=4
port sw3:2 member=10,20 cost=4
port sw3:9 pvid=10 member=10 untagged=10
link sw1:2 sw2:1
link sw1:3 sw3:1
link sw2:3 sw3:2
vlan 10 -> sw1:1 untagged, sw3:9 untagged
"""
LACKING = (("port sw1:3 member=10,20 cost=4", "port sw1:3 member=20 cost=4"),)
LACKING += (("port sw3:1 member=10,20 cost=4", "port sw3:1 member=20 cost=4"),)


def test_a_ring_that_carries_everything_has_no_finding() -> None:
    assert told(RING) == []


def test_the_blocked_link_alone_carries_a_vlan() -> None:
    """The list is to be mended at the link that lacks the VLAN; the lines that block are told as well."""
    assert told(planted(RING, *LACKING)) == [("K102", "10", "sw2:3 sw3:2")]


@pytest.mark.parametrize(
    "swap",
    [
        ("port sw3:1 member=20 cost=4", "port sw3:1 member=20 cost=100"),
        ("vlan 10 -> sw1:1 untagged, sw3:9 untagged", "vlan 20 -> sw1:2 20, sw3:2 20"),
    ],
    ids=["the tree blocks the link that lacks it", "the VLAN is not needed"],
)
def test_a_vlan_that_the_tree_does_not_cut_is_no_finding(swap: tuple[str, str]) -> None:
    text = planted(planted(RING, *LACKING), swap)
    assert "K102" not in {code for code, _, _ in told(text)}


def test_a_captured_block_is_told_as_well() -> None:
    blocked = ("port sw3:2 member=10,20 cost=4", "port sw3:2 member=10,20 forwarding=none")
    text = planted(RING, *LACKING, blocked).replace(" priority=4096", "")
    assert told(text) == [("K102", "10", "sw2:3 sw3:2")]


def test_a_tree_that_is_not_known_is_no_finding_of_this_sort() -> None:
    text = planted(RING, *LACKING).replace(" priority=4096", "")
    assert "K102" not in {code for code, _, _ in told(text)}


PAIR = """
bridge sw1 exists=10,20 tree=per-vlan
port sw1:1 pvid=10 member=10 untagged=10
port sw1:2 member=10
port sw1:3 member=10,20
bridge sw2 exists=10,20 tree=per-vlan
port sw2:2 member=10
port sw2:3 member=10,20
link sw1:2 sw2:2
link sw1:3 sw2:3
"""


@pytest.mark.parametrize(
    ("line", "findings"),
    [
        ("set sw1:3 bpdu-filter=yes", [("K103", "10", "sw1:3 sw2:3")]),
        ("set sw2:3 bpdu-filter=enable", [("K103", "10", "sw1:3 sw2:3")]),
        ('set sw1:3 bpdu-filter="until a BPDU arrives"', []),
        ("set sw1:3 bpdu-filter=no", []),
        ("set sw2:3 tree-here=off", [("K103", "10", "sw1:3 sw2:3")]),
        ("set sw1:3 tree-here=?", []),
        ("set sw1:3 bpdu-filter=?", []),
        ("set sw1:3 edge=yes", [("K104", "10", "sw1:3")]),
        ("set sw1:3 edge=trunk", [("K104", "10", "sw1:3")]),
        ('set sw1:3 edge="unless it trunks"', []),
        ("set sw1:3 edge=no", []),
        ("set sw1:3 root-guard=yes", []),
    ],
)
def test_what_is_set_on_a_link_of_a_ring(line: str, findings: list[tuple[str, str, str]]) -> None:
    assert told(f"{PAIR}{line}\n") == findings
    alone = PAIR.replace("link sw1:2 sw2:2\n", "")
    assert told(f"{alone}{line}\n") == []
    apart = PAIR.replace("port sw2:2 member=10\n", "port sw2:2 member=20\n").replace(
        "port sw1:2 member=10\n", "port sw1:2 member=20\n"
    )
    twenty = told(f"{apart.replace('10,20', '10')}{line}\n")
    assert "K103" not in {code for code, _, _ in twenty}
    assert "K104" not in {code for code, _, _ in twenty}


@pytest.mark.parametrize("tree", ["off", "unknown"])
def test_a_switch_without_a_known_tree_is_no_finding(tree: str) -> None:
    text = PAIR.replace("bridge sw2 exists=10,20 tree=per-vlan", f"bridge sw2 exists=10,20 tree={tree}")
    codes = {code for code, _, _ in told(f"{text}set sw1:3 bpdu-filter=yes edge=yes\n")}
    assert codes <= {"K101"}


GUARD = """
bridge core exists=10,20 tree=per-vlan priority=4096
port core:1 member=10,20
port core:2 member=10 pvid=10 untagged=10
bridge access exists=10,20 tree=per-vlan priority=32768
port access:1 member=10,20
port access:2 member=10 pvid=10 untagged=10
set access:1 root-guard=yes
link core:1 access:1
vlan 10 -> core:2 untagged, access:2 untagged
"""
TOWARD = ("K105", "10,20", "access:1")


@pytest.mark.parametrize(
    ("swap", "findings"),
    [
        (("link core:1 access:1", "link core:1 access:1"), [TOWARD]),
        (("set access:1 root-guard=yes", "set core:1 root-guard=yes"), []),
        (("set access:1 root-guard=yes", "set access:1 root-guard=no"), []),
        (("set access:1 root-guard=yes", "set access:1 root-guard=?"), []),
        (
            (
                "bridge core exists=10,20 tree=per-vlan priority=4096",
                "bridge core exists=10,20 tree=per-vlan priority=32768",
            ),
            [],
        ),
        (("bridge core exists=10,20 tree=per-vlan priority=4096", "bridge core exists=10,20 tree=per-vlan"), []),
        (("bridge core exists=10,20 tree=per-vlan priority=4096", "bridge core exists=10,20 tree=off"), []),
        (("port access:1 member=10,20", "port access:1 member=10,20 up=no"), []),
        (("port access:1 member=10,20", "port access:1 member=10,20 doubt=yes"), []),
        (("port access:1 member=10,20", "port access:1 member=10"), [("K105", "10", "access:1")]),
        (
            (
                "bridge core exists=10,20 tree=per-vlan priority=4096",
                "bridge core exists=10,20 tree=per-vlan priority=32768;10/4096;20/61440",
            ),
            [("K105", "10", "access:1")],
        ),
    ],
)
def test_root_guard_toward_the_root(swap: tuple[str, str], findings: list[tuple[str, str, str]]) -> None:
    """Where the lines leave open who is the root, or the guard is at its own side, nothing is told."""
    told_of = [one for one in told(planted(GUARD, swap)) if one[0] == "K105"]
    assert told_of == findings


def test_root_guard_is_the_cause_of_what_it_cuts() -> None:
    (one,) = found(GUARD)
    assert (one.code, one.severity.value) == ("K105", "error")
    assert any("10" in words for words in one.effects)


def test_root_guard_on_a_ring_leaves_the_other_way_open() -> None:
    ring = GUARD.replace(
        "link core:1 access:1",
        "port core:3 member=10,20\nport access:3 member=10,20\nlink core:1 access:1\nlink core:3 access:3",
    )
    (one,) = found(ring)
    assert (one.code, one.severity.value) == ("K105", "warning")


# ---- configurations --------------------------------------------------------------------------------------------------

SWITCH = """\
{name}#show running-config
version 15.2
hostname {name}
vtp mode transparent
spanning-tree mode {mode}
spanning-tree mst configuration
 name pier
spanning-tree {kind} priority {priority}
vlan 10
interface GigabitEthernet1/0/1
 switchport mode trunk
 switchport trunk allowed vlan 10
{first}interface GigabitEthernet1/0/2
 switchport mode trunk
 switchport trunk allowed vlan {second}
interface GigabitEthernet1/0/9
 switchport mode access
 switchport access vlan 10
end
{name}#
"""
SITE = """\
site: Pier head
links:
  - ["PIER-1:Gi1/0/1", "PIER-2:Gi1/0/1"]
  - ["PIER-1:Gi1/0/2", "PIER-2:Gi1/0/2"]
vlans:
  - {vid: 10, name: desks, reaches: [{at: "PIER-1:Gi1/0/9", frame: untagged}, {at: "PIER-2:Gi1/0/9", frame: untagged}]}
"""


def audited(
    root: Path, mode: str = "rapid-pvst", first: str = "", far: str = "", second: str = "10"
) -> tuple[Finding, ...]:
    """Return the findings of two switches with two links, with lines at the first port of either."""
    captures = root / "captures"
    captures.mkdir()
    kind = "mst 0" if mode == "mst" else "vlan 10"
    for name, lines, priority in (("PIER-1", first, 4096), ("PIER-2", far, 8192)):
        text = SWITCH.format(name=name, mode=mode, kind=kind, priority=priority, first=lines, second=second)
        (captures / f"{name}.txt").write_text(text, encoding="utf-8")
    (root / "site.yaml").write_text(SITE, encoding="utf-8")
    return open_site(root).audit("as-found").findings


@pytest.mark.parametrize("mode", ["rapid-pvst", "mst"])
def test_two_clean_links_have_no_finding(tmp_path: Path, mode: str) -> None:
    assert audited(tmp_path, mode) == ()


@pytest.mark.parametrize(
    ("lines", "codes"),
    [
        (" spanning-tree bpdufilter enable\n", ["K103"]),
        (" spanning-tree portfast trunk\n", ["K104"]),
        (" spanning-tree portfast edge trunk\n", ["K104"]),
        (" spanning-tree guard root\n", []),
        (" spanning-tree portfast\n", []),
        (" spanning-tree portfast disable\n", []),
        (" spanning-tree portfast network\n", []),
    ],
)
def test_lines_at_an_uplink(tmp_path: Path, lines: str, codes: list[str]) -> None:
    """Without the word for trunks the line does nothing at a trunk."""
    assert [one.code for one in audited(tmp_path, first=lines)] == codes


def test_an_instance_that_blocks_the_only_carrier(tmp_path: Path) -> None:
    """The dear link blocks for all VLANs of the instance, and the other one lacks VLAN 10."""
    dear = " spanning-tree mst 0 cost 200000\n"
    (one,) = audited(tmp_path, "mst", far=dear, second="20\n spanning-tree mst 0 cost 20")
    assert (one.code, one.severity.value) == ("K102", "error")
    assert any("desks" in words for words in one.effects)
    told_of = {where.origin.text for where in one.where}
    assert {"spanning-tree mst 0 cost 200000", "switchport trunk allowed vlan 20"} <= told_of


@pytest.mark.parametrize("mode", ["rapid-pvst", "mst"])
@pytest.mark.parametrize("line", [" spanning-tree guard root\n", " spanning-tree guard loop\n"])
def test_root_guard_at_the_uplink_of_the_switch_that_is_no_root(tmp_path: Path, line: str, mode: str) -> None:
    codes = [one.code for one in audited(tmp_path, mode, far=line)]
    assert codes == (["K105"] if "root" in line else [])
