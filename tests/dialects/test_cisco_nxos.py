"""What is particular to NX-OS: accepted tags of access ports, a tagged native VLAN, which ports are switched."""

from __future__ import annotations

from pathlib import Path

import pytest

from dialects.boxes import came, device_of, fields
from vlancheck import vids
from vlancheck.dot1q.properties import Property
from vlancheck.pipeline import read_paths

HEAD = "version 9.3(8)\nhostname nx\nvlan 1,10,20\n"


def test_an_access_port_takes_its_own_tag_and_no_other() -> None:
    """Nexus: a frame with the port's own VID is accepted and stripped, one with another VID is dropped.

    Cisco Nexus 7000 Series NX-OS Layer 2 Switching Configuration Guide, p.3-5.
    """
    box = device_of(HEAD + "interface Ethernet1/1\n switchport\n switchport access vlan 10\ninterface Ethernet1/2\n"
                    " switchport\n switchport access vlan 10\n")  # fmt: skip
    assert came(box, "Ethernet1/1", "10") == {("Ethernet1/2", "untagged")}
    assert came(box, "Ethernet1/1", "untagged") == {("Ethernet1/2", "untagged")}
    assert came(box, "Ethernet1/1", "20") == set()


def test_with_the_native_vlan_tagged_a_trunk_drops_untagged_frames() -> None:
    """Cisco LAN switching page for modular switches (manualslib.com, manual 357708, p.88); NX-OS from memory."""
    text = "vlan dot1Q tag native\ninterface Ethernet1/1\n switchport\n switchport mode trunk\n"
    box = device_of(HEAD + text + " switchport trunk native vlan 10\n")
    assert fields(box, "Ethernet1/1") == (None, "1-4094", "1-4094", "none")


@pytest.mark.parametrize(
    ("lines", "switched"),
    [
        ("system default switchport\n", True),
        ("no system default switchport\n", False),
        ("interface Ethernet1/9\n switchport\n", False),  # printed, so that it is not the default
        ("interface Ethernet1/9\n no switchport\n", True),
    ],
)
def test_whether_a_silent_port_is_switched_is_told_by_what_is_printed(lines: str, switched: bool) -> None:
    """A configuration shows what is not the default (from memory)."""
    box = device_of(HEAD + lines + "interface Ethernet1/1\n description silent\n")
    assert ("Ethernet1/1" in box.bridge_ports) is switched
    assert ("Ethernet1/1" in box.ends) is not switched


def test_nothing_is_proven_of_a_silent_port_where_nothing_tells() -> None:
    box = device_of(HEAD + "interface Ethernet1/1\n description silent\n")
    assert box.bridge_ports["Ethernet1/1"].doubt


def test_vlans_exist_as_listed_unless_vtp_may_bring_more() -> None:
    listed = device_of(HEAD + "interface Ethernet1/1\n switchport\n").bridges[""].exists
    assert vids.text(listed.sure) == vids.text(listed.possible) == "1,10,20"
    shared = device_of(HEAD + "vtp mode client\ninterface Ethernet1/1\n switchport\n").bridges[""].exists
    assert vids.text(shared.sure) == "1,10,20"
    assert shared.possible < 0


def test_a_vlan_interface_is_shut_until_a_line_opens_it() -> None:
    """From memory."""
    box = device_of(HEAD + "interface Vlan10\n ip address 10.0.0.1/24\ninterface Vlan20\n no shutdown\n")
    assert box.ports["Vlan10"].up.value is False
    assert box.ports["Vlan20"].up.value is True


def test_a_translation_is_one_vid_for_another_both_ways() -> None:
    """Nexus 6000 Layer 2 Switching Configuration Guide, p.31 (manualslib.com, manual 1262124): 100 in is 101 inside."""
    text = "interface Ethernet1/1\n switchport\n switchport mode trunk\n switchport vlan mapping enable\n"
    text += " switchport vlan mapping 881 10\ninterface Ethernet1/2\n switchport\n switchport access vlan 10\n"
    box = device_of(HEAD + text)
    assert came(box, "Ethernet1/1", "881") == {("Ethernet1/2", "untagged")}
    assert came(box, "Ethernet1/2", "untagged") == {("Ethernet1/1", "881")}


def test_a_port_shown_to_get_copies_is_in_doubt(tmp_path: Path) -> None:
    """A SPAN destination carries copies, whatever its VLANs (Nexus 7000 system management guide; from memory)."""
    config = "version 9.3(8)\nhostname nx\nvlan 1,10\ninterface Ethernet1/1\n switchport\n"
    shown = "Name: Ethernet1/1\n  Switchport: Enabled\n  Switchport Monitor: {}\n  Operational Mode: access\n"
    shown += "  Access Mode VLAN: 10 (Vlan not created)\n  Trunking Native Mode VLAN: 1 (default)\n"
    shown += "  Trunking VLANs Allowed: 1-4094\n  Voice VLAN: none\n  Extended Trust State : not trusted [COS = 0]\n"
    for word, doubted in (("Not enabled", False), ("Enabled", True)):
        text = f"nx# show running-config\n{config}nx# show interface switchport\n{shown.format(word)}nx# \n"
        (tmp_path / "nx.txt").write_text(text)
        (box,) = read_paths([tmp_path / "nx.txt"]).devices
        assert bool(box.bridge_ports["Ethernet1/1"].doubt) is doubted, word
        assert not box.unread


@pytest.mark.parametrize(
    "line",
    [
        "vdc nx id 1\n  limit-resource vlan minimum 16 maximum 4094",
        "no logging event trunk-status enable",
        "logging event link-status default",
    ],
)
def test_lines_that_name_vlans_and_carry_none(line: str) -> None:
    """Limits of a virtual device context, and messages (Nexus 7000 command references; from memory)."""
    assert device_of(f"{HEAD}{line}\ninterface Ethernet1/1\n switchport\n").unread == ()


@pytest.mark.parametrize(
    ("lines", "name", "word"),
    [
        ("switchport port-security maximum 4", "mac-limit", None),  # a limit without security limits nothing
        ("switchport port-security", "on-violation", "shutdown"),
        (
            "switchport port-security\n switchport port-security maximum 4\n no switchport port-security maximum",
            "mac-limit",
            "1",
        ),
        ("switchport port-security\n no switchport port-security", "mac-limit", None),
        (
            "storm-control unicast level 10.00\n no storm-control unicast level",
            "storm-limit",
            "unicast level 10.00,no storm-control unicast",
        ),
        ("ip dhcp snooping trust\n no ip dhcp snooping trust", "dhcp-trust", None),
        ("ip access-group desks in", "filter", "ip access-group desks in"),
        ("power inline never", "power", "off"),
    ],
)
def test_what_a_port_is_set_to_beside_vlans(lines: str, name: str, word: str | None) -> None:
    """NX-OS security and layer 2 command references, from memory; what a `no` takes back is not there."""
    box = device_of(f"{HEAD}interface Ethernet1/1\n switchport\n {lines}\n")
    found = box.ports["Ethernet1/1"].properties.get(Property(name))
    assert (found and found.value) == word
    assert not box.unread
