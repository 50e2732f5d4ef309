"""What is particular to VyOS and EdgeOS: interfaces named by their tags, bridges that look at none, switch chips."""

from __future__ import annotations

from dialects.boxes import came, device_of, device_of_fixture, fields
from vlancheck import vids
from vlancheck.dot1q.model import End
from vlancheck.evidence import UNKNOWN

NAME = "set system host-name 'rtr'\n"
AWARE = "set interfaces bridge br0 enable-vlan\n"
MEMBER = "set interfaces bridge br0 member interface"


def takes(end: End) -> list[tuple[str, set[int]]]:
    """Return the tags that an end takes, outermost first."""
    return [(vids.text(level.vids), set(level.tpids or ())) for level in end.select[:-1]]


def test_a_vif_takes_its_own_tag_and_the_port_below_it_what_has_none() -> None:
    """docs.vyos.io, configuration/interfaces/ethernet, VLAN."""
    ends = device_of_fixture("vyos", "edge-rtr").ends

    assert ends["eth1.310"].port == ends["eth1"].port == "eth1"
    assert takes(ends["eth1.310"]) == [("310", {0x8100})]
    assert ends["eth1"].up.value is True
    assert ends["eth1.311"].up.value is False


def test_a_vif_c_stands_under_a_tag_of_802_1ad_unless_a_line_says_otherwise() -> None:
    """docs.vyos.io, configuration/interfaces/ethernet, QinQ: 802.1ad by default."""
    ends = device_of_fixture("vyos", "edge-rtr").ends

    assert takes(ends["eth1.100.310"]) == [("100", {0x88A8}), ("310", {0x8100})]
    assert takes(ends["eth1.101"]) == [("101", {0x88A8})]
    assert takes(ends["eth1.102.7"]) == [("102", {0x8100}), ("7", {0x8100})]


def test_an_aware_bridge_carries_the_allowed_vlans_tagged_and_the_native_one_not() -> None:
    """docs.vyos.io, configuration/interfaces/bridge, native-vlan and allowed-vlan."""
    box = device_of_fixture("vyos", "edge-rtr")

    assert fields(box, "eth4") == (10, "10-12,20", "10-12,20", "10")
    assert came(box, "eth5", "untagged") == {("eth4", "20"), ("br0.20", "untagged")}


def test_of_an_aware_port_without_a_native_vlan_nothing_untagged_is_proven() -> None:
    """The guide (interfaces/bridge) puts them in VLAN 1, the program (vyos-1x, ifconfig/bridge.py) takes VLAN 1 out."""
    port = device_of(f"{AWARE}{MEMBER} eth1 allowed-vlan '20'\n{NAME}").bridge_ports["eth1"]

    assert port.pvid.value is UNKNOWN
    assert (vids.text(port.member.sure), vids.text(port.member.possible)) == ("20", "1,20")


def test_a_bridge_without_enable_vlan_takes_tags_for_payload() -> None:
    """ip-link(8), bridge, vlan_filtering."""
    box = device_of(f"{MEMBER} eth1\n{MEMBER} eth2\nset interfaces bridge br0 vif 10 address '192.0.2.1/24'\n{NAME}")

    assert ("eth2", "10") in came(box, "eth1", "10")
    assert ("br0.10", "untagged") in came(box, "eth1", "10")
    assert ("br0.10", "untagged") not in came(box, "eth1", "20")


def test_a_part_that_does_not_reach_the_name_does_not_prove_that_a_bridge_ignores_tags() -> None:
    """The line `enable-vlan` may be in the part that is not there."""
    assert device_of(f"{MEMBER} eth1\n").bridge_ports["eth1"].doubt


def test_a_vif_in_a_bridge_takes_its_tag_off_and_puts_it_on() -> None:
    """EdgeOS and VyOS 1.1, bridge-group of a vif, from memory."""
    box = device_of_fixture("vyos", "plain-bridge")

    assert [vids.text(level.vids) for level in box.bridge_ports["bond0.30"].select] == ["30"]
    assert (len(box.bridge_ports["bond0.30"].entry), len(box.bridge_ports["eth2.30"].exit)) == (1, 1)
    assert box.ports["eth3"].bundle == box.ports["eth4"].bundle == "bond0"
    assert box.bridge_ports["vtun0"].doubt


def test_an_aware_switch_chip_has_a_pvid_untagged_and_its_vids_tagged() -> None:
    """EdgeOS, vlan-aware, from memory."""
    box = device_of_fixture("vyos", "chip")

    assert fields(box, "eth1") == (10, "10,20,30", "10,20,30", "10")
    assert came(box, "eth2", "untagged") == {("eth1", "20")}
    assert came(box, "eth1", "untagged") == {("switch0.10", "untagged")}
    assert box.bridge_ports["eth4"].pvid.value is UNKNOWN


def test_braces_and_statements_say_the_same() -> None:
    """`show configuration` and `show configuration commands` print one configuration."""
    blocks = (
        "interfaces {\n    bridge br0 {\n        enable-vlan\n        member {\n            interface eth1 {\n"
        "                allowed-vlan 10-20\n                native-vlan 10\n            }\n        }\n    }\n}\n"
        "system {\n    host-name rtr\n}\n"
    )
    lines = f"{AWARE}{MEMBER} eth1 allowed-vlan '10-20'\n{MEMBER} eth1 native-vlan '10'\n{NAME}"

    assert fields(device_of(blocks), "eth1") == fields(device_of(lines), "eth1") == (10, "10-20", "10-20", "10")


def test_vlans_of_a_subscriber_server_and_unknown_lines_leave_their_port_in_doubt() -> None:
    """What matters and is not modelled is never passed over."""
    unread = {line.port for line in device_of_fixture("vyos", "edge-rtr").unread if line.matters}

    assert unread == {"eth9"}
    assert device_of(f"{AWARE}{MEMBER} eth1 vlan-tunnel 20 id '20'\n{NAME}").bridge_ports["eth1"].doubt
