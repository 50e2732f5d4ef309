"""Walks of management tables: the LLDP tables beside those of the bridge."""

from __future__ import annotations

import pytest

from vlancheck.capture import Line
from vlancheck.reader.forms.oids import Oids

BRIDGE = ["1.3.6.1.2.1.17.1.4.1.2.3|2|3", "1.3.6.1.2.1.31.1.1.1.1.3|4|1/3", "1.3.6.1.2.1.17.7.1.4.5.1.1.3|66|1"]


def told(*rows: str) -> list[str]:
    """Return what a walk says of neighbours, for the bridge of one port, 1/3."""
    lines = [Line(number, row) for number, row in enumerate([*BRIDGE, *rows], 1)]
    return [one.text for one in Oids()(lines) if "hears" in one.text or "stranger" in one.text]


def port_id(port: int, text: str, subtype: int = 5) -> list[str]:
    """Return the rows of a neighbour's port (IEEE Std 802.1AB-2016, 11.5.1: lldpRemTable)."""
    tag = "4x" if subtype == 3 else "4"
    return [
        f"1.0.8802.1.1.2.1.4.1.1.6.0.{port}.1|2|{subtype}",
        f"1.0.8802.1.1.2.1.4.1.1.7.0.{port}.1|{tag}|{text}",
        f"1.0.8802.1.1.2.1.4.1.1.9.0.{port}.1|4|LOFT-SW",
    ]


@pytest.mark.parametrize("told_as", ["0", "4095"])
def test_a_pvid_of_0_is_none(told_as: str) -> None:
    """A Port VLAN ID TLV of 0 says that the port knows none (IEEE Std 802.1Q-2018, D.2.1.1)."""
    pvid = f"1.0.8802.1.1.2.1.5.32962.1.3.1.1.1.0.3.1|2|{told_as}"
    assert told(*port_id(3, "ge-0/0/3"), pvid) == ["port=1/3 | hears pvid=0 vids=none port=ge-0/0/3 name=LOFT-SW"]


def test_the_vlans_that_a_neighbour_names() -> None:
    """VLAN Name TLVs (IEEE Std 802.1Q-2018, D.2.3) tell VIDs, one a row of lldpXdot1RemVlanNameTable."""
    named = [f"1.0.8802.1.1.2.1.5.32962.1.3.3.1.2.0.3.1.{vid}|4|any" for vid in (20, 21, 30)]
    pvid = "1.0.8802.1.1.2.1.5.32962.1.3.1.1.1.0.3.1|2|20"
    assert told(*port_id(3, "9"), pvid, *named) == ["port=1/3 | hears pvid=20 vids=20-21,30 port=9 name=LOFT-SW"]


def test_a_port_called_by_an_address_is_described() -> None:
    """Subtype 3 is a MAC address; the description says more, where there is one (IEEE Std 802.1AB-2016, 8.5.3)."""
    bare = port_id(3, "02000000bb04", subtype=3)
    assert told(*bare) == ["port=1/3 | hears pvid=0 vids=none port=02:00:00:00:bb:04 name=LOFT-SW"]
    described = "1.0.8802.1.1.2.1.4.1.1.8.0.3.1|4|uplink"
    assert told(*bare, described) == ["port=1/3 | hears pvid=0 vids=none port=uplink name=LOFT-SW"]


def test_a_local_number_is_not_guessed() -> None:
    """Number 7 is no port of this bridge; once the local table calls it 1/3, it is that port."""
    assert told(*port_id(7, "eth9")) == ["stranger=LOFT-SW"]
    local = "1.0.8802.1.1.2.1.3.7.1.3.7|4|1/3"
    assert told(*port_id(7, "eth9"), local) == ["port=1/3 | hears pvid=0 vids=none port=eth9 name=LOFT-SW"]


def test_two_numbers_never_claim_one_port() -> None:
    """The local table says that 7 is 1/3: then 3 is not, whatever bridge port 3 is called."""
    rows = told("1.0.8802.1.1.2.1.3.7.1.3.7|4|1/3", *port_id(3, "eth3"), *port_id(7, "eth9"))
    assert sorted(rows) == ["port=1/3 | hears pvid=0 vids=none port=eth9 name=LOFT-SW", "stranger=LOFT-SW"]
