"""What IOS shows of its ports beside their configuration: shut, bundled, secured, powered, and who is at the other end.

Outputs are invented in the form of the Catalyst 3560 and 3750 command references; forms of lines are from memory.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from dialects.boxes import device_of_fixture
from vlancheck.dot1q.model import Device
from vlancheck.dot1q.properties import SHOWN, Property
from vlancheck.evidence import UNKNOWN
from vlancheck.pipeline import read_paths

CONFIG = "version 15.2\nhostname BAY-3\nvlan 10\ninterface Port-channel1\n switchport mode trunk\n"
CONFIG += "".join(f"interface Gi1/0/{port}\n channel-group 1 mode active\n" for port in (1, 2, 3)) + "end\n"


@pytest.fixture(scope="module")
def box() -> Device:
    """Return the box of the fixture."""
    return device_of_fixture("cisco_ios", "states")


def shown(tmp_path: Path, command: str, output: str) -> Device:
    """Return a box whose configuration and one output were captured in one log."""
    text = f"BAY-3#show running-config\n{CONFIG}BAY-3#{command}\n{output}BAY-3#\n"
    (tmp_path / "bay-3.log").write_text(text)
    (found,) = read_paths([tmp_path / "bay-3.log"]).devices
    return found


def test_why_the_box_shut_a_port(box: Device) -> None:
    """`show interfaces status err-disabled`: the reason is kept, and the port has no link."""
    port = box.ports["GigabitEthernet1/0/4"]
    assert port.properties[Property.SHUT_BY].value == "bpduguard"
    assert port.link.value is False
    assert port.up.value is True, "no line shuts it"
    assert Property.SHUT_BY in SHOWN


@pytest.mark.parametrize(
    ("flag", "link", "said"),
    [
        ("P", True, ""),
        ("D", False, "down"),
        ("s", UNKNOWN, "suspended"),
        ("I", UNKNOWN, "stand-alone"),
        ("H", UNKNOWN, "hot standby"),
        ("w", UNKNOWN, "waiting"),
    ],
)
def test_how_a_member_stands_in_its_bundle(tmp_path: Path, flag: str, link: object, said: str) -> None:
    """`show etherchannel summary`: P works in the bundle; nothing is proven through one that does not."""
    rows = "Group  Port-channel  Protocol    Ports\n------+-------------+-----------+----------\n"
    rows += (
        f"1      Po1(SU)         LACP      Gi1/0/1(P)     Gi1/0/2({flag})\n                                Gi1/0/3(P)\n"
    )
    found = shown(tmp_path, "show etherchannel summary", rows)
    second = found.ports["GigabitEthernet1/0/2"]
    assert second.link.value is link
    assert (second.properties[Property.IN_BUNDLE].value if said else "") == said
    for other in ("GigabitEthernet1/0/1", "GigabitEthernet1/0/3"):
        assert found.ports[other].link.value is True
        assert Property.IN_BUNDLE not in found.ports[other].properties


def test_addresses_that_a_port_keeps(box: Device) -> None:
    """`show port-security address`: a secure address hangs there, and a sticky one binds the port to it."""
    port = box.ports["GigabitEthernet1/0/3"]
    assert [(one.mac, one.vid) for one in port.seen] == [("02:00:5e:00:0c:03", 10)]
    assert port.properties[Property.STICKY_MAC].value == "yes"


@pytest.mark.parametrize(("port", "said"), [(3, "on 7.0 W"), (4, "off 0.0 W")])
def test_power_that_is_drawn(box: Device, port: int, said: str) -> None:
    """`show power inline`: a phone or an access point hangs where power is drawn."""
    assert box.ports[f"GigabitEthernet1/0/{port}"].properties[Property.POWER_DRAWN].value == said


@pytest.mark.parametrize(("word", "mode"), [("Transparent", "transparent"), ("Server", "server")])
def test_vtp_tells_whose_the_vlans_are(tmp_path: Path, word: str, mode: str) -> None:
    """`show vtp status` tells the mode; alone it proves no VLAN absent, since lines of VLANs may not be captured."""
    output = f"VTP Operating Mode                : {word}\nConfiguration Revision : 0\n"
    found = shown(tmp_path, "show vtp status", output)
    assert found.settings["vtp-mode-shown"].value == mode
    exists = found.bridges[""].exists
    assert exists.possible >> 999 & 1


def test_what_neighbours_tell_in_the_long_forms(box: Device) -> None:
    """LLDP's Port VLAN ID TLV (IEEE Std 802.1Q-2018, D.2.1) and CDP's native VLAN; one not advertised is none."""
    told = {
        name: [(one.neighbour, one.neighbour_port, one.neighbour_pvid) for one in box.ports[name].seen]
        for name in ("GigabitEthernet1/0/1", "GigabitEthernet1/0/2", "GigabitEthernet1/0/5")
    }
    assert told == {
        "GigabitEthernet1/0/1": [("LOFT-SW.orchard", "Gi0/24", 20)],
        "GigabitEthernet1/0/2": [("LOFT-SW.orchard", "GigabitEthernet0/23", None), ("", "", 20)],
        "GigabitEthernet1/0/5": [("0200.5e00.aa02", "0200.5e00.aa02", None)],
    }
