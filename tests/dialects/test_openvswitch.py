"""Ports of an Open vSwitch host, field by field as ovs-vswitchd.conf.db(5) says, and what stays in doubt."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from dialects.expected import FIXTURES
from vlancheck import vids
from vlancheck.capture import Line, Section, load
from vlancheck.dot1q.model import Device, PortKind
from vlancheck.reader import read, with_lines_pasted

HOST = FIXTURES / "openvswitch" / "host.txt"
ALL, ZERO = vids.WIRE, 1  # VID 0 is a frame in no VLAN
S = vids.of

# name: bridge, PVID, VIDs accepted with a tag, VIDs that leave, of those without a tag
PORTS = {
    "desk1": ("br-lan", 10, 0, S([10]), S([10])),  # tag=10, mode left empty: access
    "desk2": ("br-lan", 20, 0, S([20]), S([20])),  # access tag=20; trunks=30 counts for nothing
    "desk3": ("br-lan", 0, 0, ZERO, ZERO),  # access without a tag: frames in no VLAN
    "up1": ("br-lan", None, S([10, 20, 30]), S([10, 20, 30]), 0),  # trunks=10,20,30, mode left empty: trunk
    "up2": ("br-lan", 0, S([10, 4094]), S([0, 10, 4094]), ZERO),  # trunk, trunks=0,10,4094; tag=10 counts for nothing
    "up3": ("br-lan", 0, ALL, ZERO | ALL, ZERO),  # trunk without trunks: all
    "nat1": ("br-lan", 10, ALL, ALL, 0),  # native-tagged tag=10
    "nat2": ("br-lan", 10, S([10, 20]), S([10, 20]), S([10])),  # native-untagged tag=10 trunks=0,20
    "to-lab": ("br-lan", 10, S([10, 20]), S([10, 20]), S([10])),  # native-untagged tag=10 trunks=20
    "to-lan": ("br-lab", 10, S([10, 20]), S([10, 20]), S([10])),
    "cust1": ("br-lan", 500, S([500]), S([500]), S([500])),  # dot1q-tunnel tag=500
    "cust2": ("br-lan", 501, S([501]), S([501]), S([501])),
    "cust3": ("br-lan", 502, S([502]), S([502]), S([502])),
    "prio1": ("br-lan", 40, 0, S([40]), S([40])),
    "pair0": ("br-lab", None, S([20, 21]), S([20, 21]), 0),  # a bond, trunks=20,21
    "bench1": ("br-lab", 20, 0, S([20]), S([20])),
    "br-lan": ("br-lan", 0, ALL, ZERO | ALL, ZERO),  # local ports: trunks of all
    "br-lab": ("br-lab", 0, ALL, ZERO | ALL, ZERO),
}


@pytest.fixture(scope="module")
def host() -> Device:
    """Return the host of the fixture."""
    return _read(HOST)


@pytest.mark.parametrize("name", PORTS)
def test_port_has_the_fields_of_its_columns(host: Device, name: str) -> None:
    """Every set is certain, and VID 0 is among those accepted only where the columns put it."""
    port = host.bridge_ports[name]
    covers = (port.admit, port.member, port.untagged)

    assert all(cover.sure == cover.possible for cover in covers)
    read = (
        port.bridge,
        port.pvid.value,
        port.admit.sure & ALL,
        port.member.sure,
        port.member.sure & port.untagged.sure,
    )
    assert read == PORTS[name]


def test_nothing_else_is_read(host: Device) -> None:
    assert set(host.bridge_ports) == set(PORTS)
    assert set(host.bridges) == {"br-lan", "br-lab"}
    assert not host.unread
    assert not host.ends


def test_tunnels_put_the_outer_tag_on_and_sort_customers(host: Device) -> None:
    """cvlans=0,7,8: untagged, priority-tagged and customers 7 and 8 get the outer tag, all others are lost."""
    rows = [(row.pop, [tag.vid for tag in row.push], row.drop, row.sure) for row in host.bridge_ports["cust2"].entry]

    assert rows == [
        (0, [], True, False),  # two tags already: perhaps lost
        (1, [501], False, True),
        (0, [501], False, True),
        (0, [501], False, True),
        (0, [], True, True),
    ]
    assert [row.match[0].vids for row in host.bridge_ports["cust2"].entry[2:4]] == [1 << 0xFFF, S([7, 8])]
    assert [row.drop for row in host.bridge_ports["cust2"].exit] == [False, False, True]
    assert [row.push[0].vid for row in host.bridge_ports["cust1"].entry[1:]] == [500, 500]
    assert not host.bridge_ports["cust1"].exit


def test_protected_ports_and_those_in_doubt(host: Device) -> None:
    """A tunnel's outer tag has TPID 88a8 unless it says 802.1q; priority-tags=always tags what is in no VLAN."""
    ports = host.bridge_ports.values()

    assert {port.name for port in ports if port.isolation} == {"desk2", "cust2"}
    assert {port.name for port in ports if port.doubt} == {"cust3", "prio1"}


def test_interfaces_say_what_is_up_and_what_is_a_bond(host: Device) -> None:
    ports = host.ports.values()

    assert {port.name for port in ports if port.up.value is False} == {"br-lan", "br-lab", "bench1"}
    assert {port.name for port in ports if port.link.value is False} == {"br-lan", "br-lab", "bench1", "desk3"}
    assert {port.name for port in ports if port.kind is PortKind.INSIDE} == {"br-lan", "br-lab"}
    assert {(port.name, port.bundle, port.bundle_mode) for port in ports if port.bundle} == {
        ("eth4", "pair0", "active"),
        ("eth5", "pair0", "active"),
    }


def test_what_is_not_captured_is_in_doubt(tmp_path: Path) -> None:
    """Without the table Bridge no port has a bridge; without Open_vSwitch nobody knows if a second tag is seen."""
    everything = HOST.read_text(encoding="utf-8")
    no_bridges = _read(_saved(tmp_path, _without("bridge", everything)))
    no_limit = _read(_saved(tmp_path, _without("open_vswitch", everything)))

    assert all(port.doubt for port in no_bridges.bridge_ports.values())
    assert {port.name for port in no_limit.bridge_ports.values() if port.doubt} == {"cust2", "cust3", "prio1"}
    assert [row.sure for row in no_limit.bridge_ports["desk1"].exit] == [False]
    assert [row.sure for row in _read(HOST).bridge_ports["desk1"].exit] == [True]


@pytest.mark.parametrize(
    ("column", "value"), [("controller", "x"), ("mirrors", "x"), ("fail_mode", "secure"), ("stp_enable", True)]
)
def test_a_bridge_that_others_steer_proves_nothing(tmp_path: Path, column: str, value: object) -> None:
    """Controller, mirror, a table of flows alone, a spanning tree whose states are not shown: at this bridge only."""
    written = ["uuid", "00000000-0000-4000-8000-000000000001"] if value == "x" else value
    host = _read(_saved(tmp_path, _with("bridge", "br-lab", column, written)))
    unproven = {port.name for port in host.bridge_ports.values() if port.doubt or not port.forwarding.sure}

    assert unproven == {"to-lan", "pair0", "bench1", "br-lab", "cust3", "prio1"}


@pytest.mark.parametrize(
    ("column", "value"), [("tag", 4095), ("vlan_mode", "sideways"), ("trunks", ["set", [5, 4095]])]
)
def test_a_value_that_is_not_understood_puts_its_port_in_doubt(tmp_path: Path, column: str, value: object) -> None:
    host = _read(_saved(tmp_path, _with("port", "up1", column, value)))

    assert [(line.port, line.matters) for line in host.unread] == [("up1", True)]
    assert {port.name for port in host.bridge_ports.values() if port.doubt} == {"up1", "cust3", "prio1"}


def _read(path: Path) -> Device:
    reading = read(load([path], root=path.parent))
    assert not reading.notes
    (device,) = reading.devices
    return device


def _saved(folder: Path, text: str) -> Path:
    path = folder / "host.txt"
    path.write_text(text, encoding="utf-8")
    return path


def _without(table: str, text: str) -> str:
    return re.sub(rf"^.* list {table}\n.*\n", "", text, flags=re.MULTILINE)


def _with(table: str, name: str, column: str, value: object) -> str:
    """Return the fixture with another value in one cell."""
    lines = HOST.read_text(encoding="utf-8").splitlines()
    at = next(number for number, line in enumerate(lines) if line.endswith(f" list {table}")) + 1
    shown = json.loads(lines[at])
    headings = shown["headings"]
    (row,) = [row for row in shown["data"] if row[headings.index("name")] == name]
    row[headings.index(column)] = value
    lines[at] = json.dumps(shown)
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize(
    ("lines", "becomes"),
    [
        ("ovs-vsctl set port up1 trunks=10-12,40", (None, S([10, 11, 12, 40]), 0)),
        ("ovs-vsctl add port up1 trunks 40 41", (None, S([10, 20, 30, 40, 41]), 0)),
        ("ovs-vsctl remove port up1 trunks 20,99", (None, S([10, 30]), 0)),
        ("ovs-vsctl clear port up1 trunks", (0, ALL | ZERO, ZERO)),  # no VLAN named: all
        ("sudo ovs-vsctl set port up1 tag=20", (20, S([20]), S([20]))),  # without a mode the tag says access
        ("ovs-vsctl set port up1 tag=40 vlan_mode=native-untagged", (40, S([10, 20, 30, 40]), S([40]))),
        ("ovs-vsctl set port up1 vlan_mode=access tag=5 -- clear port up1 trunks", (5, S([5]), S([5]))),
        ("ovs-vsctl del-port up1\novs-vsctl add-port br-lan up1 tag=7", (7, S([7]), S([7]))),
    ],
)
def test_typed_lines_edit_the_columns(lines: str, becomes: tuple[int | None, int, int]) -> None:
    """ovs-vsctl(8), database commands; ovs-vswitchd.conf.db(5), table Port."""
    text = tuple(Line(number, line) for number, line in enumerate(lines.split("\n"), 1))
    reading = with_lines_pasted(read(load([HOST], root=HOST.parent)), {"hyp-3": [Section("x", "", "", text, None)]})
    port = reading.devices[0].bridge_ports["up1"]
    assert not port.doubt
    assert (port.pvid.value, port.member.sure, port.member.sure & port.untagged.sure) == becomes
