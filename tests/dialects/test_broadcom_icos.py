"""What is particular to FASTPATH: participation, tagging and PVID as three facts, and the two modes beside General."""

from __future__ import annotations

from dialects.boxes import came, device_of, fields
from vlancheck.dot1q.model import Device

HEAD = (
    '!Current Configuration:\nnetwork protocol none\nvlan database\nvlan 2-3,10,20\nexit\nconfigure\nhostname "icos"\n'
)


def box(**ports: str) -> Device:
    """Return a switch whose ports `p1`, `p2` have some lines, with semicolons between them."""
    text = "".join(f"interface 0/{name[1:]}\n" + said.replace(";", "\n") + "\nexit\n" for name, said in ports.items())
    return device_of(HEAD + text + "exit\n")


def test_xsm_p25_ports_hear_the_vlans_that_they_participate_in() -> None:
    """NETGEAR XSM4324FS manual, p.25: 1/0/1 in VLAN 2, 1/0/2 in 2 and 3, 1/0/3 and 1/0/4 in 3."""
    text = HEAD.replace("hostname", "set prompt") + "\n".join(
        (
            "interface 1/0/1\nvlan participation include 2\nvlan pvid 2\nexit",
            "interface 1/0/2\nvlan participation include 2-3\nvlan pvid 2\nexit",
            "interface 1/0/3\nvlan participation include 3\nvlan pvid 3\nexit",
            "interface 1/0/4\nvlan participation include 3\nvlan pvid 3\nexit\nexit\n",
        )
    )
    found = device_of(text)
    assert came(found, "1/0/1", "untagged") == {("1/0/2", "untagged")}
    assert came(found, "1/0/3", "untagged") == {("1/0/2", "untagged"), ("1/0/4", "untagged")}


def test_csm_p52_an_access_port_takes_untagged_frames_and_its_own_tag() -> None:
    """NETGEAR CSM4532 CLI manual, p.52: untagged goes to the access VLAN, its own tag is taken, others not."""
    found = box(
        p5="switchport mode access;switchport access vlan 10", p6="switchport mode access;switchport access vlan 10"
    )
    assert came(found, "0/5", "untagged") == {("0/6", "untagged")}
    assert came(found, "0/5", "10") == {("0/6", "untagged")}
    assert came(found, "0/5", "20") == set()


def test_cn1610_p379_a_trunk_is_a_member_of_all_vlans_with_native_vlan_1() -> None:
    """CN1610 CLI guide, p.379; native frames leave untagged (CSM4532, p.52)."""
    assert fields(box(p1="switchport mode trunk"), "0/1") == (1, "1-4094", "1-4094", "1")


def test_only_the_lines_of_the_mode_count() -> None:
    """Lines of all three modes may be printed for one port (common practice, no source)."""
    said = "vlan pvid 20;vlan participation include 20;switchport access vlan 10;switchport trunk native vlan 3"
    assert fields(box(p1=said), "0/1")[0] == 20
    assert fields(box(p1=f"{said};switchport mode access"), "0/1")[0] == 10
    assert fields(box(p1=f"{said};switchport mode trunk"), "0/1")[0] == 3


def test_without_ingress_filtering_a_frame_enters_a_vlan_that_the_port_is_no_member_of() -> None:
    """IEEE Std 802.1Q-2022, 8.6.2; GSM5212P manual, p.104: ingress filtering is off at first."""
    member = "vlan participation include 20;vlan pvid 20"
    assert came(box(p1="", p2=member), "0/1", "20") == {("0/2", "untagged")}
    assert came(box(p1="vlan ingressfilter", p2=member), "0/1", "20") == set()


def test_the_pvid_does_not_make_a_port_a_member() -> None:
    """PVID and participation are set apart: frames get in, and none comes back (GSM7224 CLI manual, p.8-71)."""
    found = box(p1="vlan pvid 10;vlan participation exclude 1", p2="vlan participation include 10;vlan pvid 10")
    assert came(found, "0/1", "untagged") == {("0/2", "untagged")}
    assert came(found, "0/2", "untagged") == set()


def test_a_tag_without_membership_says_nothing() -> None:
    """GSM7224 CLI manual, p.8-71."""
    assert fields(box(p1="vlan tagging 20"), "0/1")[2:] == ("1", "1")


def test_only_tagged_or_only_untagged_frames() -> None:
    """GSM5212P manual, p.104: VLAN only, admit untagged only."""
    assert fields(box(p1="vlan acceptframe vlanonly"), "0/1")[0] is None
    assert fields(box(p1="vlan acceptframe admituntaggedonly"), "0/1")[1] == "none"


def test_csm_p52_a_port_whose_vlan_is_deleted_goes_back_to_vlan_1() -> None:
    """NETGEAR CSM4532 CLI manual, p.52."""
    ports = (
        "interface 0/1\nswitchport mode access\nswitchport access vlan 10\nexit\n"
        "interface 0/2\nvlan pvid 10\nexit\nexit\n"
    )
    found = device_of(HEAD + ports + "vlan database\nno vlan 10\nexit\n")
    assert fields(found, "0/1") == (1, "1", "1", "1")
    assert fields(found, "0/2")[0] == 1


def test_lines_for_all_ports_leave_none_of_them_proven() -> None:
    """They are not modelled (common practice, no source)."""
    for line in (
        "vlan participation all include 20",
        "vlan port tagging all 20",
        "voice vlan 20",
        "auto-voip",
        "gvrp adminmode",
    ):
        found = device_of(HEAD + line + "\ninterface 0/1\nexit\nexit\n")
        assert found.bridge_ports["0/1"].doubt, line


def test_a_port_of_a_vlan_left_to_registration_is_no_certain_member() -> None:
    """GSM7224 CLI manual, p.8-71: auto is the standard's normal registration."""
    member = box(p1="vlan participation auto 20").bridge_ports["0/1"].member
    assert member.possible >> 20 & 1
    assert not member.sure >> 20 & 1


def test_a_line_that_sorts_frames_into_vlans_leaves_no_port_proven() -> None:
    """VLANs by subnet, address and protocol are not modelled, and take frames of every port."""
    assert not box(p1="").bridge_ports["0/1"].doubt
    for line in (
        "vlan association subnet 192.0.2.0 255.255.255.0 10",
        "vlan association mac 02:00:5E:00:0A:01 10",
        "vlan protocol group 1",
    ):
        found = device_of(HEAD.replace("vlan 2-3,10,20\n", f"vlan 2-3,10,20\n{line}\n") + "interface 0/1\nexit\nexit\n")
        assert found.bridge_ports["0/1"].doubt, line
    assert box(p1="protocol vlan group 1").bridge_ports["0/1"].doubt
    assert device_of(HEAD + "protocol vlan group all 1\ninterface 0/1\nexit\nexit\n").bridge_ports["0/1"].doubt
