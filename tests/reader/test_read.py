"""Reading sections into devices, end to end."""

from __future__ import annotations

from vlancheck.capture import Line, Section
from vlancheck.reader import read
from vlancheck.vids import text


def bare(file: str, content: str) -> Section:
    """Return the section a saved configuration makes."""
    lines = tuple(Line(number, line) for number, line in enumerate(content.split("\n"), 1))
    return Section(file, "", "", lines, None)


def test_access_port_has_its_lines_behind_every_field() -> None:
    """The PVID of an access port comes from two lines, with the header that they stand under."""
    reading = read(
        [
            bare(
                "a.txt",
                "hostname ACC-1\ninterface GigabitEthernet1/0/1\n switchport mode access\n switchport access vlan 10\n",
            )
        ]
    )
    (device,) = reading.devices
    port = device.bridge_ports["GigabitEthernet1/0/1"]
    assert device.name == "ACC-1"
    assert port.pvid.value == 10
    assert {origin.line for origin in port.pvid.origins} == {3, 4}
    assert port.pvid.origins[0].header[0].text == "interface GigabitEthernet1/0/1"
    assert text(port.member.sure) == "10"
