"""What neighbours tell of their port's VLANs, and whether a port has a link, in the outputs of several families.

The Port VLAN ID TLV: IEEE Std 802.1Q-2018, D.2.1; 0 in it is no VLAN.  How each family prints it is from memory.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from dialects.boxes import device_of_fixture
from dialects.expected import FIXTURES
from vlancheck import vids
from vlancheck.pipeline import read_paths

TOLD = [
    ("arista_eos", "Ethernet2", "Ethernet49", "IEEE802.1 Port VLAN ID: 20"),
    ("cisco_nxos", "Ethernet1/2", "Gi1/0/9", "Vlan ID: 20"),
    ("aruba_aoscx", "1/1/2", "49", "Neighbor Port VLAN ID          : 20"),
    ("cisco_ios", "GigabitEthernet1/0/1", "Gi0/24", "Vlan ID: 20"),
]
FILE = {"cisco_ios": "states"}


@pytest.mark.parametrize(("family", "port", "far", "line"), TOLD, ids=[row[0] for row in TOLD])
def test_the_pvid_that_a_neighbour_tells(family: str, port: str, far: str, line: str, tmp_path: Path) -> None:
    """It is kept beside the neighbour's name and port; told as 0 it is none."""
    file = FIXTURES / family / f"{FILE.get(family, 'heard')}.txt"
    seen = device_of_fixture(family, file.stem).ports[port].seen
    assert {one.neighbour_port for one in seen if one.neighbour} == {far}
    assert {one.neighbour_pvid for one in seen} - {None} == {20}

    (tmp_path / file.name).write_text(file.read_text().replace(line, line.replace("20", "0")))
    (zero,) = read_paths([tmp_path / file.name]).devices
    assert {one.neighbour_pvid for one in zero.ports[port].seen} == {None}
    assert not zero.unread


@pytest.mark.parametrize(
    ("family", "stem"), [("hp_comware", "GigabitEthernet1/0/"), ("huawei_vrp", "GigabitEthernet0/0/")]
)
def test_the_vlans_that_a_neighbour_names(family: str, stem: str) -> None:
    """The VLAN Name TLV: IEEE Std 802.1Q-2018, D.2.3; a neighbour that names none tells none."""
    ports = device_of_fixture(family, "told").ports
    names = {port: [vids.text(one.neighbour_vids) for one in ports[port].seen if one.neighbour_vids] for port in ports}

    assert names == {f"{stem}2": ["10", "20"], f"{stem}5": []}


@pytest.mark.parametrize(("family", "up", "down"), [("arista_eos", 1, 3), ("cisco_nxos", 1, 3)])
def test_whether_a_port_has_a_link(family: str, up: int, down: int) -> None:
    """`show interfaces status`: only what is connected has one."""
    ports = list(device_of_fixture(family, "heard").ports.values())
    assert ports[up - 1].link.value is True
    assert ports[down - 1].link.value is False
