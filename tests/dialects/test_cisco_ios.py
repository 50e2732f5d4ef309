"""An invented access switch of the IOS family: the fields it must become, each with the line that decides it."""

from __future__ import annotations

from pathlib import Path

import pytest

from dialects.boxes import device_of
from vlancheck import vids
from vlancheck.dot1q.model import Device, PortKind
from vlancheck.pipeline import read_paths

CAPTURE = Path(__file__).parents[2] / "fixtures/dialects/cisco_ios/acc-1.txt"


@pytest.fixture(scope="module")
def device() -> Device:
    """Return the switch as it was read."""
    (found,) = read_paths([CAPTURE]).devices
    return found


FIELDS = {  # port: pvid, admit, member, untagged, and the line that puts each member in
    "GigabitEthernet1/0/1": (10, "30", "10,30", "10", {10: 15, 30: 17}),
    "GigabitEthernet1/0/2": (1, "1-4094", "1-4094", "1", {77: 21}),
    "GigabitEthernet1/0/7": (100, "100", "100", "100", {100: 26}),
    "GigabitEthernet1/0/8": (100, "100", "100", "100", {100: 26}),
    "Port-channel1": (1, "1-4094", "1-4094", "1", {77: 11}),
    "Vlan20": (20, "none", "20", "20", {20: 42}),
}


@pytest.mark.parametrize("name", FIELDS)
def test_fields_and_their_lines(device: Device, name: str) -> None:
    """Catalyst 4500 configuration guide 12.2(25)SG, ch. 11: access, voice, trunk and tunnel ports."""
    pvid, admit, member, untagged, lines = FIELDS[name]
    port = device.bridge_ports[name]

    assert port.pvid.value == pvid
    assert (vids.text(port.admit.sure), vids.text(port.member.sure), vids.text(port.untagged.sure)) == (
        admit,
        member,
        untagged,
    )
    for vid, line in lines.items():
        assert line in [origin.line for origin in port.member.why(vid)[1]]


@pytest.mark.parametrize(
    ("more", "sure", "possible"),
    [
        ([], "none", "1-4094"),
        (["add 30"], "30", "1-4094"),
        (["add 30", "remove 40-4094"], "30", "1-39"),
        (["30"], "30", "30"),
        (["none"], "none", "none"),
    ],
)
def test_without_its_last_vlan_a_list_is_all_or_none(more: list[str], sure: str, possible: str) -> None:
    """By release: mostlynetworks.com, "No More VLANs Jumping on the Trunk", 2014; that releases differ from memory."""
    lists = ["10", "remove 10", *more]
    lines = [" switchport mode trunk", *(f" switchport trunk allowed vlan {text}" for text in lists)]
    head = ["version 15.2", "hostname ACC-9", "spanning-tree mode pvst", "interface GigabitEthernet1/0/1"]
    box = device_of("\n".join([*head, *lines, "end"]))
    port = box.bridge_ports["GigabitEthernet1/0/1"]

    assert (vids.text(port.member.sure) or "none", vids.text(port.member.possible) or "none") == (sure, possible)


def test_every_bridge_port_is_one_of_these(device: Device) -> None:
    """Routed ports and sub-interfaces bridge nothing."""
    assert set(device.bridge_ports) == set(FIELDS)
    assert device.ports["Vlan20"].kind is PortKind.INSIDE
    assert device.ports["GigabitEthernet1/0/2"].bundle == "Port-channel1"


def test_a_tunnel_port_puts_a_tag_on_every_frame(device: Device) -> None:
    """Catalyst 3560 configuration guide OL-8553-06, p.16-3."""
    (row,) = device.bridge_ports["GigabitEthernet1/0/7"].entry

    assert ([push.vid for push in row.push], row.pop, row.match) == ([100], 0, ())


def test_interfaces_that_end_frames(device: Device) -> None:
    """A routed port takes untagged frames, a sub-interface its tags and nothing under them."""
    ends = {name: [vids.text(level.vids) for level in end.select] for name, end in device.ends.items()}

    assert ends == {
        "GigabitEthernet1/0/9": ["0,4095", "4095"],
        "GigabitEthernet1/0/10": ["0,4095", "4095"],
        "GigabitEthernet1/0/10.310": ["310", "4095"],
        "GigabitEthernet1/0/10.311": ["311", "12", "4095"],
    }


def test_vlans_exist_as_far_as_the_text_says(device: Device, tmp_path: Path) -> None:
    """In VTP mode transparent absence is known; without that line it is open, and a capture would settle it."""
    exists = device.bridges[""].exists
    path = tmp_path / "x.txt"
    path.write_text(CAPTURE.read_text().replace("vtp mode transparent\n", "!\n"))
    (other,) = read_paths([path]).devices

    assert vids.text(exists.possible & vids.WIRE) == "1,10,20-22,30"
    assert vids.text(other.bridges[""].exists.sure) == "1,10,20-22,30"
    assert other.bridges[""].exists.possible >> 40 & 1


def test_every_line_is_accounted_for(device: Device) -> None:
    """Nothing is unread; some lines are passed over by name."""
    assert device.unread == ()
    assert device.lines == len([line for line in CAPTURE.read_text().splitlines() if line.strip()])


@pytest.mark.parametrize("bad", ["0", "4095", "10-5", "1-", "x"])
def test_a_list_that_is_none_is_unread_and_leaves_the_port_open(tmp_path: Path, bad: str) -> None:
    """The item is named, and nothing at that port is proven."""
    path = tmp_path / "x.txt"
    text = "hostname X\n!\ninterface GigabitEthernet1/0/1\n switchport mode trunk\n"
    path.write_text(f"{text} switchport trunk allowed vlan {bad}\n!\nend\n")
    (found,) = read_paths([path]).devices

    assert [(item.origin[0].line, item.matters) for item in found.unread] == [(5, True)]
    assert found.bridge_ports["GigabitEthernet1/0/1"].doubt


def port_set_to(tmp_path: Path, *lines: str, above: tuple[str, ...] = ()) -> dict[str, str]:
    """Return the properties of an access port with `lines`, below the lines `above` of the whole box."""
    text = ["hostname ACC-1", *above, "interface Gi1/0/3", " switchport mode access", *(f" {line}" for line in lines)]
    (tmp_path / "acc-1.txt").write_text("\n".join([*text, "end", ""]))
    (found,) = read_paths([tmp_path / "acc-1.txt"]).devices
    assert not found.unread
    return {str(name): str(fact.value) for name, fact in found.ports["GigabitEthernet1/0/3"].properties.items()}


STICKY = "switchport port-security mac-address sticky"


def test_a_port_that_keeps_the_address_it_learned(tmp_path: Path) -> None:
    """Nothing of port security works before `switchport port-security` alone: Catalyst 3750 command reference."""
    assert port_set_to(tmp_path, STICKY) == {}
    assert port_set_to(tmp_path, STICKY, "switchport port-security") == {
        "sticky-mac": "yes",
        "mac-limit": "1",
        "on-violation": "shutdown",
    }


def test_edge_ports_by_default_are_those_that_do_not_trunk(tmp_path: Path) -> None:
    """`spanning-tree portfast default` and `bpduguard default`: Catalyst 3560 guide OL-8553-06, ch. 18; from memory."""
    above = ("spanning-tree portfast default", "spanning-tree portfast bpduguard default")
    assert port_set_to(tmp_path, above=above) == {"edge": "yes", "bpdu-guard": "yes"}
    assert port_set_to(tmp_path, "spanning-tree portfast disable", above=above) == {"edge": "no"}
    assert port_set_to(tmp_path, "spanning-tree bpduguard disable", above=above) == {"edge": "yes", "bpdu-guard": "no"}


def test_who_may_speak_at_a_port(tmp_path: Path) -> None:
    """`dot1x pae` and `mab` do nothing until the port is told to ask: Catalyst 3750 command reference; from memory."""
    assert port_set_to(tmp_path, "mab", "dot1x pae authenticator") == {}
    assert port_set_to(tmp_path, "authentication port-control auto", "mab") == {"authentication": "mab"}


def test_what_a_restart_brings_back_is_held_against_what_runs(tmp_path: Path) -> None:
    """The saved configuration is what the box comes up with after power-off (common practice, no source)."""
    port = "interface Gi1/0/{}\n switchport mode access\n switchport access vlan {}\n"
    head = "version 15.2\nhostname SW-7\nvtp mode transparent\nvlan 10,20\n"
    log = f"SW-7#show running-config\n{head}{port.format(1, 20)}{port.format(2, 20)}end\n"
    log += f"SW-7#show startup-config\n{head}{port.format(1, 10)}{port.format(2, 20)}end\nSW-7#\n"
    (tmp_path / "log.txt").write_text(log, encoding="utf-8")
    (found,) = read_paths([tmp_path / "log.txt"]).devices

    unsaved = {key: fact for key, fact in found.settings.items() if key.startswith("unsaved")}
    assert set(unsaved) == {"unsaved:GigabitEthernet1/0/1"}
    assert unsaved["unsaved:GigabitEthernet1/0/1"].origins[0].text == "switchport access vlan 10"
    assert found.bridge_ports["GigabitEthernet1/0/1"].pvid.value == 20


def test_a_line_that_is_indented_below_a_description_is_no_part_of_it() -> None:
    """A capture that was pasted may have any indentation; what stands below is read or unread, never swallowed."""
    text = "hostname SW-8\ninterface Gi1/0/1\n description desk\n   switchport access vlan 10\nend\n"
    found = device_of(text)
    assert found.ports["GigabitEthernet1/0/1"].description == "desk"
    assert any("switchport access vlan 10" in unread.origin[0].text for unread in found.unread)


PART = "interface GigabitEthernet1/0/1\n switchport mode access\n switchport access vlan 30\n"
SHOW, TABLE = "SW-9#show vlan\n", "VLAN Name                             Status    Ports\n---- ----- --------- -----\n"


@pytest.mark.parametrize(
    ("captured", "absent"),
    [
        (
            f"SW-9#show running-config\nversion 15.2\nhostname SW-9\nvtp mode transparent\nvlan 10\n{PART}end\nSW-9#\n",
            True,
        ),
        (f"version 15.2\nhostname SW-9\nvtp mode transparent\nvlan 10\n{PART}end\n", True),
        (f"SW-9#show running-config\nversion 15.2\nhostname SW-9\nvtp mode transparent\nvlan 10\n{PART}", False),
        (f"version 15.2\nhostname SW-9\nvtp mode transparent\nvlan 10\n{PART}", False),
        (f"SW-9#show running-config | section vtp|vlan|interface\nvtp mode transparent\nvlan 10\n{PART}SW-9#\n", False),
        (
            f"SW-9#show running-config interface Gi1/0/1\n{PART}end\nSW-9#show run | sec vtp\nvtp mode off\nvlan 10\n",
            False,
        ),
        (f"Current configuration : 98 bytes\n!\nvtp mode transparent\nvlan 10\n{PART}end\n", False),
        (
            f"{SHOW}{TABLE}1    default   active\n10   staff   active    Gi1/0/2\nSW-9#show run int Gi1/0/1\n{PART}",
            True,
        ),
        (f"{SHOW}{TABLE}10   staff   active    Gi1/0/2\nSW-9#show run int Gi1/0/1\n{PART}", False),
    ],
)
def test_only_a_whole_text_proves_a_vlan_absent(captured: str, absent: bool, tmp_path: Path) -> None:
    """What a part, or a text that was cut, does not name may stand in what was not captured."""
    (tmp_path / "sw-9.txt").write_text(captured, encoding="utf-8")
    (found,) = read_paths([tmp_path / "sw-9.txt"]).devices
    exists = found.bridges[""].exists

    assert exists.sure >> 10 & 1
    assert (not exists.possible >> 30 & 1) is absent
