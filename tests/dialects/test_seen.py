"""What a capture shows behind a port: learned addresses and neighbours; it never says how the port is configured."""

from __future__ import annotations

from pathlib import Path

import pytest

from dialects.expected import FIXTURES, read_fixture
from vlancheck.dot1q.macs import mac_address
from vlancheck.dot1q.model import Port, Seen
from vlancheck.evidence import UNKNOWN, Kind
from vlancheck.pipeline import read_paths
from vlancheck.reader import NoteKind

CISCO = FIXTURES / "cisco_ios"
ROW = "  10    0200.5e00.0001    DYNAMIC     Gi1/0/1\n"
HEAD = "Vlan    Mac Address       Type        Ports\n----    -----------       --------    -----\n"
CONFIG = (
    "FLOOR-2#show running-config\nhostname FLOOR-2\ninterface GigabitEthernet1/0/1\n switchport access vlan 10\nend\n"
)


def ports(path: Path) -> dict[str, Port]:
    """Return the ports of the one device in a capture."""
    (device,) = read_fixture(path).devices
    return dict(device.ports)


def told(one: Seen) -> tuple[str, int | None, str, str]:
    """Return what a sighting says."""
    return one.mac, one.vid, one.neighbour, one.neighbour_port


@pytest.mark.parametrize(
    "text",
    ["0200.5e00.00AF", "02:00:5E:00:00:af", "02-00-5e-00-00-af", "0200-5e00-00af", "02005e-0000af", "02005e0000af"],
)
def test_an_address_is_known_in_every_spelling(text: str) -> None:
    """One spelling is kept: lower case, with colons."""
    assert mac_address(f" {text} ") == "02:00:5e:00:00:af"


@pytest.mark.parametrize("text", ["", "0200.5e00", "02:00:5e:00:00-af", "02:00:5e:00:00:ag", "02:00:5e:00:00:af:01"])
def test_what_is_no_address_is_none(text: str) -> None:
    """Nothing is guessed."""
    assert mac_address(text) == ""


def test_learned_addresses_and_neighbours_stand_at_their_ports() -> None:
    """Static rows and rows of the switch itself are not there; two tables at two moments add up."""
    found = ports(CISCO / "seen.txt")

    assert [told(one) for one in found["GigabitEthernet1/0/1"].seen] == [
        ("02:00:5e:00:00:01", 10, "", ""),
        ("02:00:5e:00:00:04", 10, "", ""),
        ("", None, "plain-host", "0200.5e00.0001"),
    ]
    assert [told(one) for one in found["GigabitEthernet1/0/24"].seen] == [
        ("", None, "SORTING-SWITCH-IN-HA", "Gi1/0/48"),
        ("", None, "SORTING-SWITCH-IN-HALL-1.example", "Gig 1/0/48"),
    ]
    assert {origin.kind for port in found.values() for one in port.seen for origin in one.origins} == {Kind.SHOW}
    assert "Vlan10" not in found


def test_two_moments_do_not_disagree() -> None:
    """No note is made of two tables that differ, and nothing becomes unknown."""
    reading = read_fixture(CISCO / "seen.txt")

    assert reading.notes == ()
    assert reading.devices[0].bridge_ports["GigabitEthernet1/0/1"].doubt == ()


def test_a_port_without_configuration_is_unproven() -> None:
    """A table of addresses alone says nothing of a port's VLANs."""
    (device,) = read_fixture(CISCO / "seen-only.txt").devices

    assert [one.mac[-2:] for port in device.ports.values() for one in port.seen] == ["11", "12", "13", "14", "15"]
    assert all(port.doubt for port in device.bridge_ports.values())
    assert set(device.bridge_ports) == set(device.ports)


@pytest.mark.parametrize(
    "rows",
    [
        "4095    0200.5e00.0001    DYNAMIC     Gi1/0/1\n",
        "  10    0200.5e00.0001    DYNAMIC     vPC Peer-Link\n",
        "  10    0200.5e00.0001    DYNAMIC     Gi1/0/1,Gi1/0/2\n",
        "  10    0200.5e00.0001    DYNA",
        "",
    ],
    ids=["reserved VID", "no port", "several ports", "cut", "nothing"],
)
def test_a_row_that_is_not_understood_says_nothing(rows: str, tmp_path: Path) -> None:
    """It is passed over, and puts nothing in doubt: what is not seen may still be there."""
    path = tmp_path / "floor.txt"
    path.write_text(f"{CONFIG}FLOOR-2#show mac address-table\n{HEAD}{rows}", encoding="utf-8")
    reading = read_paths([path])
    (device,) = reading.devices

    assert device.ports["GigabitEthernet1/0/1"].seen == ()
    assert device.bridge_ports["GigabitEthernet1/0/1"].doubt == ()
    assert device.unread == ()


def test_a_saved_table_of_addresses_is_known(tmp_path: Path) -> None:
    """Without a prompt the heading tells what it is."""
    path = tmp_path / "FLOOR-9.txt"
    path.write_text(HEAD + ROW, encoding="utf-8")
    reading = read_paths([path])

    assert [told(one) for one in reading.devices[0].ports["GigabitEthernet1/0/1"].seen] == [
        ("02:00:5e:00:00:01", 10, "", "")
    ]
    assert NoteKind.UNKNOWN_DIALECT not in {note.kind for note in reading.notes}


def test_addresses_that_a_host_learned() -> None:
    """Its own entries are passed over; an entry may have no VID; a port that nothing else shows is unproven."""
    (device,) = read_fixture(FIXTURES / "linux_bridge" / "fdb.txt").devices

    found = {name: [(one.mac[-2:], one.vid) for one in port.seen] for name, port in device.ports.items()}
    assert found == {
        "eth0": [("22", 20), ("23", None)],
        "eth1": [("21", 10), ("24", 10)],
        "br0": [],
        "eth7": [("25", None)],
    }
    assert device.ends["eth7"].up.value is UNKNOWN
    assert device.unread == ()
