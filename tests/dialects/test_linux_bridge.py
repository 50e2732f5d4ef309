"""Ports of Linux bridges as bridge(8) and ip-link(8) say, both shapes of the VLAN table, and what stays in doubt."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from dialects.expected import FIXTURES
from vlancheck import vids
from vlancheck.capture import Line, Section, load
from vlancheck.dot1q.model import BridgePort, Device, PortKind
from vlancheck.evidence import UNKNOWN
from vlancheck.reader import NoteKind, Reading, read, with_lines_pasted

FOLDER = FIXTURES / "linux_bridge"
S = vids.of
ACCESS = ["PVID", "Egress Untagged"]
BRIDGE_MEMBERS = (
    "forward_delay hello_time max_age ageing_time priority group_fwd_mask bridge_id root_id root_port root_path_cost "
    "topology_change hello_timer gc_timer vlan_default_pvid vlan_stats_enabled vlan_stats_per_port group_addr "
    "mcast_snooping no_linklocal_learn mcast_vlan_snooping mcast_router mcast_querier nf_call_iptables"
)
PORT_MEMBERS = (
    "priority cost hairpin guard root_block fastleave learning proxy_arp proxy_arp_wifi id no designated_port "
    "designated_cost bridge_id root_id designated_bridge hold_timer message_age_timer topology_change_ack "
    "config_pending mcast_to_unicast group_fwd_mask group_fwd_mask_str vlan_tunnel isolated locked mab neigh_suppress "
    "neigh_vlan_suppress multicast_router"
)
BOND_MEMBERS = (
    "miimon updelay downdelay use_carrier arp_interval arp_validate primary_reselect fail_over_mac xmit_hash_policy "
    "resend_igmp num_peer_notif all_slaves_active min_links lp_interval packets_per_slave ad_lacp_active ad_lacp_rate "
    "ad_select tlb_dynamic_lb"
)

# one bridge that looks at tags; name: PVID, VIDs accepted with a tag and that leave, of those without a tag
PORTS = {
    "eth0": (1, S([1, 10, *range(20, 31)]), S([1])),  # a range, vlan 20 to vlanEnd 30
    "eth1": (10, S([10]), S([10])),  # bridge(8): a tagged frame of the PVID is a member's and is taken
    "eth2": (10, S([10, 20]), S([20])),  # bridge(8): pvid and untagged are set one without the other
    "eth3": (None, 0, 0),  # no entry: no VLAN
    "bond0": (None, S([10, 11, 12]), 0),
    "br0": (1, S([1, 10]), S([1])),  # bridge(8), self: the bridge's own entry is the host's end
    "br0.10": (None, S([10]), 0),  # a VLAN interface of the host on the bridge
}


@pytest.mark.parametrize("name", PORTS)
def test_the_table_says_who_is_in_a_vlan(name: str) -> None:
    """Membership decides on the way in as on the way out (bridge(8), bridge vlan)."""
    port = _host("host").bridge_ports[name]
    found = (port.pvid.value, port.admit.sure, port.member.sure, port.untagged.sure)
    pvid, members, bare = PORTS[name]
    assert found == (pvid, members, members, bare)
    assert (port.admit.possible, port.member.possible, port.doubt) == (members, members, ())


@pytest.mark.parametrize("flags", [ACCESS, ["PVID", "EgressUntagged"]])
def test_both_shapes_of_the_table_say_the_same(tmp_path: Path, flags: list[str]) -> None:
    """Older iproute2 prints a dict of lists, newer a list of objects."""
    entries = [{"vlan": 5, "flags": flags}, {"vlan": 7, "vlanEnd": 9}]
    links = [_bridge("br0"), _port("eth0", "br0")]
    old = _read(tmp_path, {"eth0": entries}, links).devices[0].bridge_ports["eth0"]
    new = _read(tmp_path, [{"ifname": "eth0", "vlans": entries}], links).devices[0].bridge_ports["eth0"]
    for port in (old, new):
        assert (port.pvid.value, port.member.sure, port.untagged.sure) == (5, S([5, 7, 8, 9]), S([5]))
        assert not port.doubt


def test_a_bridge_that_looks_at_no_tag_has_one_relay(tmp_path: Path) -> None:
    """ip-link(8), vlan_filtering 0: the table counts for nothing and a tag is payload."""
    links = [_bridge("br0", vlan_filtering=0), _port("eth0", "br0")]
    port = _read(tmp_path, {"eth0": [{"vlan": 5, "flags": ACCESS}]}, links).devices[0].bridge_ports["eth0"]
    assert (port.pvid.value, port.admit.sure, port.member.sure, port.untagged.sure) == (1, 0, S([1]), S([1]))
    assert (port.tpids, port.doubt) == (frozenset(), ())


def test_a_provider_bridge_knows_its_own_tpid_alone(tmp_path: Path) -> None:
    """ip-link(8), vlan_protocol 802.1ad: TPID 88a8; the TPID of an S-tag from memory."""
    links = [_bridge("br0", vlan_protocol="802.1ad"), _port("eth0", "br0")]
    port = _read(tmp_path, {"eth0": [{"vlan": 5, "flags": ACCESS}]}, links).devices[0].bridge_ports["eth0"]
    assert (port.tpids, port.sends) == (frozenset({0x88A8}), 0x88A8)


def test_a_vlan_interface_in_a_bridge_takes_its_tag_off() -> None:
    """ip-link(8), VLAN: what the interface hands over has lost its tag; what it sends gets it."""
    port = _host("two-bridges").bridge_ports["eth4.10"]
    assert (port.port, port.bridge) == ("eth4", "br1")
    assert [level.vids for level in port.select] == [S([10])]
    assert [row.pop for row in port.entry] == [1]
    assert [[tag.vid for tag in row.push] for row in port.exit] == [[10]]


def test_vlan_interfaces_on_one_another_take_all_tags() -> None:
    """Each takes the tag of its own protocol, outermost first (ip-link(8), VLAN, protocol)."""
    ends = _host("host").ends
    takes = [(level.vids, level.tpids) for level in ends["eth6.40.5"].select[:2]]
    assert takes == [(S([40]), frozenset({0x88A8})), (S([5]), frozenset({0x8100}))]
    assert ends["eth6.40.5"].port == "eth6"


def test_the_host_is_a_port_of_its_bridge_and_of_each_vlan_interface_on_it() -> None:
    """No cord goes into them; a VLAN the bridge has without a tag never reaches a VLAN interface (bridge(8), self)."""
    device = next(one for one in read(load([FOLDER / "bridges.txt"], root=FIXTURES)).devices if one.name == "b3.br0")
    assert {name for name, port in device.ports.items() if port.kind is PortKind.INSIDE} == {
        "br0", "br0.10", "br0.20", "br0.10.3",
    }  # fmt: skip
    assert device.bridge_ports["br0.10"].member.sure == S([10])
    assert device.bridge_ports["br0.20"].member.possible == 0
    assert device.bridge_ports["br0.10.3"].doubt


def test_bridges_of_one_host_are_devices_with_the_members_of_their_bundles() -> None:
    """Each bridge is HOST.BRIDGE; the jacks of its bond are there too."""
    devices = {one.name: one for one in read(load([FOLDER / "bridges.txt"], root=FIXTURES)).devices}
    assert set(devices) == {"b3", "b3.br0", "b3.br1"}
    assert {"bond0", "eth1", "eth2"} <= set(devices["b3.br0"].ports)
    assert devices["b3.br0"].ports["eth1"].bundle == "bond0"
    assert devices["b3.br0"].ports["eth1"].bundle_mode == "active"
    assert "eth1" not in devices["b3"].ports


def test_a_host_with_a_port_of_no_known_bridge_stays_one_device() -> None:
    """Nothing is told apart by what is not known."""
    assert [device.name for device in read(load([FOLDER / "no-link.txt"], root=FIXTURES)).devices] == ["b2"]


def test_link_and_admin_state_come_from_the_flags() -> None:
    """UP is the administrator's, LOWER_UP the wire's, NO-CARRIER its absence (from memory)."""
    ports = _host("host").ports
    assert (ports["eth0"].up.value, ports["eth0"].link.value) == (True, True)
    assert (ports["eth2"].up.value, ports["eth2"].link.value) == (True, False)
    assert ports["eth3"].up.value is False


def test_isolated_ports_are_one_group() -> None:
    """bridge(8), isolated: isolated ports speak only with ports that are not."""
    ports = _host("host").bridge_ports
    assert {name for name, port in ports.items() if port.isolation} == {"eth1"}


@pytest.mark.parametrize("state", [1, 2])
def test_a_tree_decides_unless_the_port_forwards(tmp_path: Path, state: int) -> None:
    """ip-link(8), stp_state; a port that was seen forwarding forwards."""
    links = [_bridge("br0", stp_state=state), _port("eth0", "br0"), _port("eth1", "br0", state="blocking")]
    ports = _read(tmp_path, {"eth0": [{"vlan": 5}], "eth1": [{"vlan": 5}]}, links).devices[0].bridge_ports
    assert ports["eth0"].forwarding.sure == vids.EVERY
    assert (ports["eth1"].forwarding.sure, ports["eth1"].forwarding.possible) == (0, vids.EVERY)


def test_without_the_table_no_default_is_guessed(tmp_path: Path) -> None:
    """vlan_default_pvid is what a new port gets, not what a port has (ip-link(8))."""
    links = [_bridge("br0", vlan_default_pvid=1), _port("eth0", "br0")]
    port = _read(tmp_path, None, links).devices[0].bridge_ports["eth0"]
    assert "bridge -j vlan show" in _said(port)


def test_without_the_interfaces_filtering_is_in_doubt(tmp_path: Path) -> None:
    """The table does not say whether the bridge looks at it."""
    port = _read(tmp_path, {"eth0": [{"vlan": 5, "flags": ACCESS}]}, None).devices[0].bridge_ports["eth0"]
    assert "ip -j -d link show" in _said(port)


def test_without_details_the_master_is_in_doubt(tmp_path: Path) -> None:
    """`ip -j link` names the master and not what it is."""
    row = {"ifname": "eth0", "ifindex": 2, "flags": ["UP"], "master": "br0", "operstate": "UP"}
    device = _read(tmp_path, None, [row]).devices[0]
    assert device.ends["eth0"].up.value is UNKNOWN


@pytest.mark.parametrize("mode", ["active-backup", "balance-tlb", "balance-alb", ""])
def test_a_bond_that_uses_one_member_is_in_doubt_with_what_stands_on_it(tmp_path: Path, mode: str) -> None:
    """These modes take frames at one member at a time (from memory)."""
    data = {"mode": mode} if mode else {}
    bond = {"ifname": "bond0", "flags": ["UP"], "linkinfo": {"info_kind": "bond", "info_data": data}}
    tag = {"info_kind": "vlan", "info_data": {"id": 9, "protocol": "802.1Q"}}
    above = {**_port("bond0.9", "br0"), "link": "bond0"}
    above["linkinfo"] |= tag
    slave = {"ifname": "eth0", "flags": ["UP"], "master": "bond0", "linkinfo": {"info_slave_kind": "bond"}}
    links = [_bridge("br0"), bond, above, slave]
    device = _read(tmp_path, {"bond0.9": [{"vlan": 5}]}, links).devices[0]
    assert device.ends["bond0"].up.value is UNKNOWN
    assert device.ports["eth0"].bundle_mode == ("on" if mode else "")
    assert bool(device.bridge_ports["bond0.9"].doubt) is bool(mode)


def test_all_that_a_kernel_shows_is_read_or_passed_by_name(tmp_path: Path) -> None:
    """Members of a bridge, its ports and a bond as iproute2 prints them (from memory); none is a doubt."""
    bridge = _bridge("br0", **dict.fromkeys(BRIDGE_MEMBERS.split(), 0))
    port = _port(
        "eth0", "br0", **dict.fromkeys(PORT_MEMBERS.split(), False), flood=True, mcast_flood=True, bcast_flood=True
    )
    data = {
        "mode": "802.3ad",
        **dict.fromkeys(BOND_MEMBERS.split(), "on"),
        "ad_info": {"aggregator": 1, "num_ports": 2},
    }
    bond = {"ifname": "bond0", "flags": ["UP"], "linkinfo": {"info_kind": "bond", "info_data": data}}
    device = _read(tmp_path, {"eth0": [{"vlan": 5}]}, [bridge, port, bond]).devices[0]
    assert device.unread == ()
    assert not device.bridge_ports["eth0"].doubt


@pytest.mark.parametrize("member", ["hairpin", "vlan_tunnel", "locked"])
def test_what_is_not_modelled_is_doubted(tmp_path: Path, member: str) -> None:
    """bridge(8), bridge link set: each changes where frames go."""
    links = [_bridge("br0"), _port("eth0", "br0", **{member: True}), _port("eth1", "br0", **{member: False})]
    ports = _read(tmp_path, {"eth0": [{"vlan": 5}], "eth1": [{"vlan": 5}]}, links).devices[0].bridge_ports
    assert ports["eth0"].doubt
    assert not ports["eth1"].doubt


@pytest.mark.parametrize("entry", [{"vlan": 5, "flags": ["Odd"]}, {"vlan": 4095}, {"vlan": 9, "vlanEnd": 7}])
def test_an_entry_that_is_not_understood_puts_its_port_in_doubt(tmp_path: Path, entry: dict[str, Any]) -> None:
    """A flag that is not known, a VID that is none, a range that runs backwards."""
    links = [_bridge("br0"), _port("eth0", "br0"), _port("eth1", "br0")]
    device = _read(tmp_path, {"eth0": [entry], "eth1": [{"vlan": 5}]}, links).devices[0]
    assert [(line.port, line.matters) for line in device.unread] == [("eth0", True)]
    assert device.bridge_ports["eth0"].doubt
    assert not device.bridge_ports["eth1"].doubt


@pytest.mark.parametrize(("state", "read_it"), [("forwarding", True), ("blocking", False)])
def test_details_of_an_entry_are_read_while_it_forwards(tmp_path: Path, state: str, read_it: bool) -> None:
    """`bridge -j -d vlan show` adds the state of the port in the VLAN (from memory)."""
    table = [{"ifname": "eth0", "vlans": [{"vlan": 5, "flags": ACCESS, "state": state, "mcast_router": 1}]}]
    device = _read(tmp_path, table, [_bridge("br0"), _port("eth0", "br0")]).devices[0]
    assert (device.unread == (), not device.bridge_ports["eth0"].doubt) == (read_it, read_it)


@pytest.mark.parametrize(
    "command",
    [
        "bridge -j vlan",
        "sudo bridge -json -d vlan show",
        "/sbin/bridge -j -p v",
        "bridge -j vlan show | jq .",
        "bridge -c -j vlan show | python3 -m json.tool",
    ],
)
def test_ways_to_type_the_command(tmp_path: Path, command: str) -> None:
    """Words of iproute2 may be shortened, and its output may go through a printer of JSON."""
    file = tmp_path / "b6.txt"
    table = json.dumps([{"ifname": "eth0", "vlans": [{"vlan": 5}]}], indent=2)
    file.write_text(f"root@b6:~# {command}\n{table}\n", encoding="utf-8")
    device = read(load([file], root=tmp_path)).devices[0]
    assert device.bridge_ports["eth0"].member.sure == S([5])


@pytest.mark.parametrize("command", ["bridge -j vlan show dev eth0", "ip -n lab -j -d link show", "bridge vlan show"])
def test_output_of_a_part_or_of_another_form_is_not_read(tmp_path: Path, command: str) -> None:
    """What shows one port, another namespace or columns is named and not taken for the whole."""
    file = tmp_path / "b6.txt"
    links = json.dumps([_bridge("br0"), _port("eth0", "br0")])
    file.write_text(f"root@b6:~# ip -j -d link\n{links}\nroot@b6:~# {command}\n[]x\n", encoding="utf-8")
    found = read(load([file], root=tmp_path))
    assert [note.kind for note in found.notes] == [NoteKind.OTHER_COMMAND]
    assert found.devices[0].bridge_ports["eth0"].doubt


def test_saved_output_without_a_prompt_is_read(tmp_path: Path) -> None:
    """A file called like the host, with the JSON and nothing else."""
    file = tmp_path / "b7.txt"
    file.write_text(json.dumps([_bridge("br0"), _port("eth0", "br0")]), encoding="utf-8")
    assert set(read(load([file], root=tmp_path)).devices[0].bridge_ports) == {"br0", "eth0"}


def test_json_that_is_cut_is_said(tmp_path: Path) -> None:
    """Half an output is no output."""
    file = tmp_path / "b8.txt"
    file.write_text('root@b8:~# bridge -j vlan show\n[{"ifname":"eth0","vlans":[{"vlan":1\n', encoding="utf-8")
    assert NoteKind.NOT_THE_FORM in {note.kind for note in read(load([file], root=tmp_path)).notes}


# ---- lines to be typed -------------------------------------------------------------------------------------------

TABLE = [
    {"ifname": "eth0", "vlans": [{"vlan": 5, "flags": ACCESS}, {"vlan": 7, "vlanEnd": 9}]},
    {"ifname": "br0", "vlans": [{"vlan": 1, "flags": ACCESS}]},
]
NIC = {"ifname": "eth1", "flags": ["UP"], "operstate": "UP"}
BOND = {"ifname": "bond0", "flags": ["UP"], "linkinfo": {"info_kind": "bond", "info_data": {"mode": "802.3ad"}}}


@pytest.mark.parametrize(
    ("lines", "becomes"),
    [
        ("bridge vlan add dev eth0 vid 20", (5, [5, 7, 8, 9, 20], [5])),
        ("sudo bridge vlan add vid 20 dev eth0 untagged", (5, [5, 7, 8, 9, 20], [5, 20])),
        ("/sbin/bridge vlan add dev eth0 vid 20 pvid master", (20, [5, 7, 8, 9, 20], [5])),
        ("bridge vlan add dev eth0 vid 20 pvid untagged", (20, [5, 7, 8, 9, 20], [5, 20])),
        ("bridge vlan add vid 20 dev eth0 untagged pvid", (20, [5, 7, 8, 9, 20], [5, 20])),
        ("bridge vlan add dev eth0 vid 10-12", (5, [5, 7, 8, 9, 10, 11, 12], [5])),
        ("bridge vlan add dev eth0 vid 5", (None, [5, 7, 8, 9], [])),  # flags are replaced
        ("bridge vlan add dev eth0 vid 5 untagged", (None, [5, 7, 8, 9], [5])),
        ("bridge vlan add dev eth0 vid 5 pvid", (5, [5, 7, 8, 9], [])),
        ("bridge vlan add dev eth0 vid 7-8 untagged", (5, [5, 7, 8, 9], [5, 7, 8])),
        ("bridge vlan del dev eth0 vid 5", (None, [7, 8, 9], [])),
        ("bridge vlan del dev eth0 vid 5 pvid untagged", (None, [7, 8, 9], [])),
        ("bridge vlan delete vid 8-9 dev eth0", (5, [5, 7], [5])),
        ("bridge vlan add dev eth0 vid 20 pvid\nbridge vlan del dev eth0 vid 20", (None, [5, 7, 8, 9], [5])),
        ("ip link set eth0 nomaster\nip link set eth0 master br0", (1, [1], [1])),
        (
            "ip link set eth0 nomaster\nip link set eth0 master br0 up\nbridge vlan add dev eth0 vid 20 pvid untagged",
            (20, [1, 20], [1, 20]),
        ),
        ("ip l set dev eth0 nomaster\nip l set dev eth0 up master br0\nbridge v del dev eth0 vid 1", (None, [], [])),
        ("ip link set eth0 nomaster\nip link set eth0 master br0\nbridge vlan add dev eth0 vid 1", (None, [1], [])),
        ("# nothing\nip link set eth0 mtu 9000\nip link set eth0 up", (5, [5, 7, 8, 9], [5])),
    ],
)
def test_typed_lines_edit_the_table(
    tmp_path: Path, lines: str, becomes: tuple[int | None, list[int], list[int]]
) -> None:
    """bridge(8), bridge vlan: a line sets all flags of its VID; a port that joins gets the default PVID alone."""
    port = _after(tmp_path, lines).bridge_ports["eth0"]
    assert not port.doubt
    assert all(cover.sure == cover.possible for cover in (port.admit, port.member, port.untagged))
    pvid, members, bare = becomes
    assert (port.pvid.value, port.admit.sure, port.member.sure) == (pvid, S(members), S(members))
    assert port.untagged.sure & port.member.sure == S(bare)


@pytest.mark.parametrize(("default", "pvid"), [(1, 1), (20, 20), (0, None)])
def test_a_port_that_joins_gets_the_default_pvid(tmp_path: Path, default: int, pvid: int | None) -> None:
    """ip-link(8), vlan_default_pvid; 0 is none."""
    port = _after(tmp_path, "ip link set eth1 master br0", vlan_default_pvid=default).bridge_ports["eth1"]
    assert (port.pvid.value, port.member.sure, port.untagged.sure) == (pvid, *[S([pvid] if pvid else [])] * 2)
    assert (port.bridge, port.doubt) == ("br0", ())


def test_a_port_that_leaves_is_the_hosts_own(tmp_path: Path) -> None:
    """ip-link(8), nomaster: its VLANs go with it."""
    device = _after(tmp_path, "ip link set dev eth0 nomaster")
    assert "eth0" not in device.bridge_ports
    assert device.ends["eth0"].up.value is True


def test_a_port_is_turned_off_and_on(tmp_path: Path) -> None:
    """What was seen of its link, and of its spanning tree, is not known any more."""
    device = _after(tmp_path, "ip link set eth0 down\nip link set dev eth1 down\nip link set eth1 up")
    assert (device.ports["eth0"].up.value, device.ports["eth0"].link.value) == (False, UNKNOWN)
    assert device.ports["eth1"].up.value is True


def test_a_bridge_is_told_to_look_at_tags(tmp_path: Path) -> None:
    """ip-link(8), vlan_filtering: the table, kept all along, counts from then on."""
    before = _after(tmp_path, "ip link set eth1 up", vlan_filtering=0).bridge_ports["eth0"]
    after = _after(tmp_path, "ip link set br0 type bridge vlan_filtering 1", vlan_filtering=0).bridge_ports["eth0"]
    assert (before.pvid.value, after.pvid.value, after.member.sure) == (1, 5, S([5, 7, 8, 9]))


def test_a_bridge_and_vlan_interfaces_are_made_and_deleted(tmp_path: Path) -> None:
    """ip-link(8): what is made is down, and a bridge ignores tags unless it is told otherwise."""
    make = [
        "ip link add br0 type bridge stp_state 0 vlan_filtering 1",
        "ip link set br0 up",
        "ip link set eth1 master br0 up",
        "ip link add link eth2 name eth2.10 type vlan id 10",
        "ip link add link eth2 eth2.20 type vlan protocol 802.1ad id 20",
        "ip link set eth2.10 up",
        "ip link add link eth2 name eth2.30 type vlan id 30",
        "ip link del eth2.30",
        "ip link add link br0 name br0.7 type vlan id 7",
        "bridge vlan add dev br0 vid 7 self",
        "ip addr add 192.0.2.1/24 dev br0.7",
    ]
    device = _pasted(_read(tmp_path, None, [NIC, {**NIC, "ifname": "eth2"}]), "\n".join(make))
    joined, own = device.bridge_ports["eth1"], device.bridge_ports["br0"]
    assert (joined.pvid.value, joined.member.sure, joined.doubt) == (1, S([1]), ())
    assert (own.member.sure, own.doubt, device.ports["br0"].kind) == (S([1, 7]), (), PortKind.INSIDE)
    assert (device.bridge_ports["br0.7"].member.sure, device.bridge_ports["br0.7"].doubt) == (S([7]), ())
    assert set(device.ends) == {"eth2", "eth2.10", "eth2.20"}
    assert (device.ends["eth2.10"].up.value, device.ends["eth2.20"].up.value) == (True, False)
    assert [level.tpids for level in device.ends["eth2.20"].select[:1]] == [frozenset({0x88A8})]


def test_a_port_may_join_a_bond(tmp_path: Path) -> None:
    """The word master is the same for a bond and a bridge."""
    device = _after(tmp_path, "ip link set eth1 master bond0")
    assert (device.ports["eth1"].bundle, device.ports["eth1"].bundle_mode) == ("bond0", "active")
    assert "eth1" not in device.bridge_ports


@pytest.mark.parametrize(
    "lines",
    [
        "bridge vlan add dev eth0 vid 10-20 pvid",  # a range has no PVID
        "bridge vlan add dev eth0 vid 20 tunnel_info id 20",
        "bridge vlan add dev eth0 vid 4095",
        "bridge vlan set dev eth0 vid 5 state blocking",
        "bridge vlan add dev eth0 vid 20 self",  # the filter of the port itself
        "bridge link set dev eth0 hairpin on",
        "bridge link set dev eth0 flood off",
        "ip link set eth0 master br0",  # it was in a bridge: nothing changes where it is the same one
        "ip link set eth0 nomaster\nip link set eth0 master br7",
        "ip link del br0",
    ],
)
def test_what_a_typed_line_leaves_open_is_doubted(tmp_path: Path, lines: str) -> None:
    """No line is taken for what it may not do."""
    port = _after(tmp_path, f"ip link set eth0 up\n{lines}").bridge_ports["eth0"]
    assert port.doubt


def test_the_bridges_own_vlans_need_the_word_self(tmp_path: Path) -> None:
    """bridge(8), self: required if the device is the bridge device."""
    assert _after(tmp_path, "bridge vlan add dev br0 vid 20").bridge_ports["br0"].doubt
    own = _after(tmp_path, "bridge vlan add dev br0 vid 20 self").bridge_ports["br0"]
    assert (own.member.sure, own.doubt) == (S([1, 20]), ())


def test_isolation_is_typed_at_the_port(tmp_path: Path) -> None:
    """bridge(8), isolated."""
    on = _after(tmp_path, "bridge link set dev eth0 isolated on").bridge_ports["eth0"]
    off = _after(tmp_path, "bridge link set dev eth0 isolated on\nbridge link set dev eth0 isolated off")
    assert on.isolation
    assert not off.bridge_ports["eth0"].isolation


def test_a_typed_line_does_not_make_up_the_table(tmp_path: Path) -> None:
    """Where the VLANs of a port were not captured, one more is not all of them."""
    reading = _read(tmp_path, None, [_bridge("br0"), _port("eth0", "br0")])
    assert _pasted(reading, "bridge vlan add dev eth0 vid 20").bridge_ports["eth0"].doubt


def _after(folder: Path, lines: str, **data: object) -> Device:
    """Return a host with a bridge, a port in it, one in none and a bond, with lines typed at it."""
    return _pasted(_read(folder, TABLE, [_bridge("br0", **data), _port("eth0", "br0"), NIC, BOND]), lines)


def _pasted(reading: Reading, lines: str) -> Device:
    text = tuple(Line(number, line) for number, line in enumerate(lines.split("\n"), 1))
    (device,) = with_lines_pasted(reading, {"b9": [Section("b9.txt", "", "", text, None)]}).devices
    return device


def _host(name: str) -> Device:
    return read(load([FOLDER / f"{name}.txt"], root=FIXTURES)).devices[0]


def _said(port: BridgePort) -> str:
    return " ".join(origin.settle for origin in port.doubt)


def _bridge(name: str, **data: object) -> dict[str, Any]:
    own = {"stp_state": 0, "vlan_filtering": 1, "vlan_protocol": "802.1Q", **data}
    return {"ifname": name, "flags": ["UP"], "operstate": "UP", "linkinfo": {"info_kind": "bridge", "info_data": own}}


def _port(name: str, bridge: str, **data: object) -> dict[str, Any]:
    info = {"info_slave_kind": "bridge", "info_slave_data": {"state": "forwarding", **data}}
    return {"ifname": name, "flags": ["UP"], "master": bridge, "operstate": "UP", "linkinfo": info}


def _read(folder: Path, table: object, links: object) -> Reading:
    file = folder / "b9.txt"
    said = {"bridge -j vlan show": table, "ip -j -d link show": links}
    typed = [f"root@b9:~# {command}\n{json.dumps(shown)}\n" for command, shown in said.items() if shown is not None]
    file.write_text("".join(typed), encoding="utf-8")
    return read(load([file], root=folder))
