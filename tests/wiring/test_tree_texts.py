"""Trees of three captured switches: the lines decide which uplink blocks, also once a cord is to be moved."""

from __future__ import annotations

from pathlib import Path

import pytest

from vlancheck.pipeline import Site, open_site

SWITCH = """\
{name}#show running-config
version 15.2
hostname {name}
vtp mode transparent
spanning-tree mode rapid-pvst
{tree}vlan 10,20
interface GigabitEthernet1/0/1
 switchport mode trunk
 speed 1000
interface GigabitEthernet1/0/2
 switchport mode trunk
 speed 1000
interface GigabitEthernet1/0/3
 switchport mode trunk
 speed 100
interface GigabitEthernet1/0/9
 switchport mode access
 switchport access vlan 10
end
{name}#show version
cisco WS-C2960X-24TS-L (APM86XXX) processor (revision A0) with 524288K bytes of memory.
Base ethernet MAC Address       : 02:00:5E:00:53:{number}
{name}#
"""
SITE = """\
site: Lock house
surveys:
  as-found: {captures: captures, patching: found.csv}
  as-planned: {captures: captures, patching: planned.csv}
vlans:
  - {vid: 10, name: desks, reaches: [{at: "TOP:Gi1/0/9", frame: untagged}, {at: "LOW:Gi1/0/9", frame: untagged}]}
"""
CORDS = "from,to\nTOP:Gi1/0/1,MID:Gi1/0/1\nTOP:Gi1/0/2,LOW:Gi1/0/1\nMID:Gi1/0/2,LOW:Gi1/0/2\n"
MOVED = CORDS.replace("TOP:Gi1/0/2,LOW:Gi1/0/1", "TOP:Gi1/0/3,LOW:Gi1/0/3")


def lock_house(root: Path, mode: str = "rapid-pvst", **trees: str) -> Site:
    """Return the site, with lines about spanning tree in each switch."""
    (root / "captures").mkdir()
    for number, name in enumerate(("TOP", "MID", "LOW"), 10):
        text = SWITCH.format(name=name, tree=trees.get(name, ""), number=number).replace("rapid-pvst", mode)
        (root / "captures" / f"{name}.txt").write_text(text, encoding="utf-8")
    (root / "found.csv").write_text(CORDS, encoding="utf-8")
    (root / "planned.csv").write_text(MOVED, encoding="utf-8")
    (root / "site.yaml").write_text(SITE, encoding="utf-8")
    return open_site(root)


def blocked(site: Site, survey: str = "as-found") -> dict[str, int]:
    """Return the ports at which VLAN 10 or 20 is blocked, with those VLANs."""
    found = {}
    for device in site.survey(survey).network.devices.values():
        for port in device.bridge_ports.values():
            if vids := ~port.forwarding.possible & (1 << 10 | 1 << 20):
                found[f"{device.name}:{port.port.replace('GigabitEthernet', 'Gi')}"] = vids
    return found


BOTH = 1 << 10 | 1 << 20


@pytest.mark.parametrize(
    ("trees", "ports"),
    [
        ({}, {"LOW:Gi1/0/2": BOTH}),
        ({"LOW": "spanning-tree vlan 10,20 priority 4096\n"}, {"MID:Gi1/0/1": BOTH}),
        ({"LOW": "spanning-tree vlan 20 root primary\n"}, {"LOW:Gi1/0/2": 1 << 10, "MID:Gi1/0/1": 1 << 20}),
        ({"LOW": "spanning-tree uplinkfast\n"}, {}),
        ({"TOP": "spanning-tree uplinkfast\n"}, {}),
        ({"TOP": "no spanning-tree vlan 20\n"}, {}),
    ],
    ids=["addresses", "priority", "a root for each VLAN", "it may be the root", "another may be the root", "no tree"],
)
def test_lines_decide_which_uplink_blocks(tmp_path: Path, trees: dict[str, str], ports: dict[str, int]) -> None:
    assert blocked(lock_house(tmp_path, **trees)) == ports


def test_a_moved_uplink_has_a_computed_tree(tmp_path: Path) -> None:
    """The slow link is dearer than two fast ones: it blocks, and the desks stay connected the other way."""
    site = lock_house(tmp_path)
    assert blocked(site, "as-planned") == {"LOW:Gi1/0/3": BOTH}
    report = site.verify("as-found", "as-planned")
    assert [one.state.value for one in report.verdicts] == ["carried"]


@pytest.mark.parametrize(
    ("last", "ports"),
    [
        ("revision 2\n instance 1 vlan 20\n", {"LOW:Gi1/0/2": 1 << 10, "MID:Gi1/0/1": 1 << 20}),
        ("revision 3\n instance 1 vlan 20\n", {}),
        ("revision 2\n instance 1 vlan 10\n", {}),
        ("revision 2\n instance 1 vlan 20\n no instance 1\n", {}),
    ],
    ids=["one region", "another revision", "other instances", "not followed"],
)
def test_an_mst_region_has_a_tree_for_each_instance(tmp_path: Path, last: str, ports: dict[str, int]) -> None:
    """Where only two of three switches are in one region, nothing is computed."""
    region = "spanning-tree mst configuration\n name lock\n {}exit\n"
    mine = region.format("revision 2\n instance 1 vlan 20\n")
    low = region.format(last) + "spanning-tree mst 1 priority 0\n"
    assert blocked(lock_house(tmp_path, "mst", TOP=mine, MID=mine, LOW=low)) == ports


def test_a_cost_that_was_shown_counts_while_its_cord_is_the_same(tmp_path: Path) -> None:
    """Speeds are negotiated here, and a capture shows the costs; the cord that moves loses its own."""
    site = lock_house(tmp_path)
    for name in ("TOP", "MID", "LOW"):
        path = tmp_path / "captures" / f"{name}.txt"
        rows = "".join(f"Gi1/0/{port}{' ' * 13}Desg FWD 4         128.{port}    P2p\n" for port in (1, 2))
        if name == "LOW":
            rows = rows.replace("Desg FWD 4         128.1", "Root FWD 4         128.1")
            rows = rows.replace("Desg FWD 4         128.2", "Altn BLK 4         128.2")
        head = f"{name}#show spanning-tree\n\nVLAN0010\n\nInterface           Role Sts Cost      Prio.Nbr Type\n"
        rule = "------------------- ---- --- --------- -------- --------------------------------\n"
        text = path.read_text(encoding="utf-8").replace(" speed 1000\n", "").replace(" speed 100\n", "")
        path.write_text(text + head + rule + rows + f"{name}#\n", encoding="utf-8")
    site = open_site(tmp_path)
    assert blocked(site)["LOW:Gi1/0/2"] >> 10 & 1
    low = site.survey("as-planned").boxes.devices["LOW"]
    assert low.ports["GigabitEthernet1/0/2"].tree.shown_costs
    top = site.survey("as-planned").boxes.devices["TOP"]
    assert not top.ports["GigabitEthernet1/0/2"].tree.shown_costs
    assert blocked(site, "as-planned") == {}


STEPS = """\
; J9728A Configuration Editor; Created on release #WB.15.15.0006
hostname "{name}"
vlan 1
   untagged 1-8
   exit
vlan 10
   untagged 9
   tagged 1-2
   exit
spanning-tree
{lines}"""
HALLS = """\
site: Two halls
links:
  - ["UPPER:1", "LOWER:1"]
  - ["UPPER:2", "LOWER:2"]
"""


@pytest.mark.parametrize(
    ("upper", "lower", "ports"),
    [
        ("spanning-tree priority 1\n", "spanning-tree 1 path-cost 5000\nspanning-tree 2 path-cost 200\n", {"LOWER:1"}),
        ("", "spanning-tree priority 0\nspanning-tree 1 priority 9\nspanning-tree 2 priority 2\n", {"UPPER:1"}),
        ("", "spanning-tree 1 path-cost 5000\nspanning-tree 2 path-cost 200\n", set()),
        ("spanning-tree mode rapid-pvst\n", "spanning-tree mode rapid-pvst\nspanning-tree priority 0\n", set()),
    ],
    ids=["costs", "port priorities", "the root is not known", "numbers of each VLAN are not read"],
)
def test_one_tree_with_steps_for_priorities(tmp_path: Path, upper: str, lower: str, ports: set[str]) -> None:
    """Priorities are written in steps; one tree blocks all VLANs of a port."""
    (tmp_path / "captures").mkdir()
    for name, lines in (("UPPER", upper), ("LOWER", lower)):
        text = f"{name}# show running-config\n\nRunning configuration:\n\n{STEPS.format(name=name, lines=lines)}"
        text += "spanning-tree 1-2 path-cost 7\n" if name == "UPPER" and "priority 9" in lower else ""
        (tmp_path / "captures" / f"{name}.txt").write_text(text + f"{name}#\n", encoding="utf-8")
    (tmp_path / "site.yaml").write_text(HALLS, encoding="utf-8")
    assert set(blocked(open_site(tmp_path))) == ports


STATEMENTS = """\
set version 18.4R3.3
set system host-name {name}
set interfaces ge-0/0/0 unit 0 family ethernet-switching interface-mode trunk
set interfaces ge-0/0/0 unit 0 family ethernet-switching vlan members [ desks phones ]
set interfaces ge-0/0/1 unit 0 family ethernet-switching interface-mode trunk
set interfaces ge-0/0/1 unit 0 family ethernet-switching vlan members [ desks phones ]
set vlans desks vlan-id 10
set vlans phones vlan-id 20
{lines}"""
WEIRS = """\
site: Two weirs
links:
  - ["UPPER:ge-0/0/0", "LOWER:ge-0/0/0"]
  - ["UPPER:ge-0/0/1", "LOWER:ge-0/0/1"]
"""
RSTP = "set protocols rstp interface all\n"
FAST = "set interfaces ge-0/0/0 speed 1g\nset interfaces ge-0/0/1 speed 100m\n"
COSTS = "set protocols rstp interface ge-0/0/0 cost 5000\nset protocols rstp interface ge-0/0/1 cost 200\n"
ROOT = "set protocols rstp bridge-priority 4k\n"
VSTP = "set protocols vstp vlan all interface all\n"
MSTP = (
    "set protocols mstp configuration-name weir\nset protocols mstp msti 1 vlan 20\nset protocols mstp interface all\n"
)


@pytest.mark.parametrize(
    ("upper", "lower", "ports"),
    [
        (RSTP + ROOT, RSTP + COSTS, {"LOWER:ge-0/0/0": BOTH}),
        (RSTP + ROOT, RSTP + FAST, {"LOWER:ge-0/0/1": BOTH}),
        (RSTP + ROOT, RSTP, {}),
        (RSTP, RSTP + COSTS, {}),
        (RSTP + ROOT, RSTP + COSTS + "set protocols rstp interface ge-0/0/0.0 disable\n", {}),
        (RSTP + ROOT, COSTS + "set protocols rstp interface ge-0/0/1\n", {"LOWER:ge-0/0/0": BOTH}),
        (
            RSTP + "set protocols rstp interface ge-0/0/0 priority 128\n",
            RSTP + ROOT + "set protocols rstp interface ge-0/0/0 priority 64\n" + COSTS,
            {},
        ),
        (
            VSTP + "set protocols vstp vlan 10 bridge-priority 4096\nset protocols vstp vlan 20 bridge-priority 8k\n",
            VSTP
            + "set protocols vstp interface ge-0/0/0 cost 9\nset protocols vstp interface ge-0/0/1 cost 7\n"
            + "set protocols vstp vlan 20 interface ge-0/0/1 cost 70\n",
            {"LOWER:ge-0/0/0": 1 << 10, "LOWER:ge-0/0/1": 1 << 20},
        ),
        (
            MSTP + "set protocols mstp bridge-priority 0\nset protocols mstp msti 1 bridge-priority 0\n",
            MSTP
            + "set protocols mstp interface ge-0/0/0 cost 9\nset protocols mstp interface ge-0/0/1 cost 7\n"
            + "set protocols mstp msti 1 interface ge-0/0/1 cost 70\n",
            {"LOWER:ge-0/0/0": 1 << 10, "LOWER:ge-0/0/1": 1 << 20},
        ),
    ],
    ids=["costs", "speeds", "ports not known", "root not known", "off", "named", "numbers not known", "by VLAN", "MST"],
)
def test_statements_of_protocols_decide_which_uplink_blocks(
    tmp_path: Path, upper: str, lower: str, ports: dict[str, int]
) -> None:
    (tmp_path / "captures").mkdir()
    for name, lines in (("UPPER", upper), ("LOWER", lower)):
        (tmp_path / "captures" / f"{name}.conf").write_text(STATEMENTS.format(name=name, lines=lines), encoding="utf-8")
    (tmp_path / "site.yaml").write_text(WEIRS, encoding="utf-8")
    found = {place: vids & BOTH for place, vids in blocked(open_site(tmp_path)).items()}
    assert found == ports
