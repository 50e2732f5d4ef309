"""Two ends of an IOS link settle their mode: the pair table, walked."""

from __future__ import annotations

from pathlib import Path

import pytest

from vlancheck.pipeline import read_paths
from vlancheck.walk import walk
from vlancheck.wiring import Link, wire

MODES = ["dynamic auto", "dynamic desirable", "trunk", "access"]
TRUNKS = {  # Catalyst 4500 configuration guide 12.2(25)SG, table 11-2: the pairs that come to a trunk
    ("dynamic auto", "dynamic desirable"),
    ("dynamic auto", "trunk"),
    ("dynamic desirable", "dynamic desirable"),
    ("dynamic desirable", "trunk"),
    ("trunk", "trunk"),
}


def text(name: str, mode: str, extra: str = "") -> str:
    body = "interface GigabitEthernet0/1\n switchport mode access\n switchport access vlan 10\n!\n"
    link = f"interface GigabitEthernet0/2\n switchport mode {mode}\n{extra}!\n"
    return f"hostname {name}\n!\nvtp mode transparent\n!\nvlan 10\n!\n{body}{link}end\n"


def carried(folder: Path, mine: str, theirs: str, extra: str = "") -> bool:
    """Tell whether VLAN 10, which is no native VLAN here, crosses the link."""
    for name, mode in (("A", mine), ("B", theirs)):
        (folder / f"{name}.txt").write_text(text(name, mode, extra if name == "A" else ""))
    link = Link("A:GigabitEthernet0/2", "B:GigabitEthernet0/2")
    network = wire(read_paths([folder]).devices, [link])
    found = walk(network, "A:GigabitEthernet0/1", "untagged").deliveries
    return [delivery.port for delivery in found] == ["B:GigabitEthernet0/1"]


@pytest.mark.parametrize("mine", MODES)
@pytest.mark.parametrize("theirs", MODES)
def test_the_pair_table(tmp_path: Path, mine: str, theirs: str) -> None:
    """A VLAN other than 1 crosses exactly when both ends come to a trunk."""
    assert carried(tmp_path, mine, theirs) is bool({(mine, theirs), (theirs, mine)} & TRUNKS)


def test_an_end_that_does_not_negotiate_leaves_the_other_alone(tmp_path: Path) -> None:
    """A static trunk with `nonegotiate` facing `dynamic desirable`: the far end stays an access port."""
    assert not carried(tmp_path, "trunk", "dynamic desirable", " switchport nonegotiate\n")
