"""Ports are named in long and short forms, by their last number, as ranges; what the naming allows may be assumed."""

from __future__ import annotations

import pytest
from closets import router, switch
from hypothesis import given
from hypothesis import strategies as st

from vlancheck.dot1q.model import Device, Port, PortKind
from vlancheck.dot1q.tags import parse_frame
from vlancheck.site.places import PlaceError, default_name, find_interface, find_place, find_port, nearest, spread


def with_ports(*names: str, inside: tuple[str, ...] = ()) -> Device:
    """Return a device with these ports."""
    ports = {name: Port(name=name) for name in names}
    return Device(name="A", ports=ports | {name: Port(name=name, kind=PortKind.INSIDE) for name in inside})


@pytest.mark.parametrize(
    ("text", "ports", "found"),
    [
        ("GigabitEthernet1/0/24", ["GigabitEthernet1/0/24", "24"], "GigabitEthernet1/0/24"),
        ("24", ["GigabitEthernet1/0/24", "24"], "24"),
        ("gi1/0/24", ["GigabitEthernet1/0/24"], "GigabitEthernet1/0/24"),
        ("GigabitEthernet1/0/24", ["Gi1/0/24"], "Gi1/0/24"),
        ("Gi 1/0/24", ["Gi1/0/24"], "Gi1/0/24"),
        ("XGE1/0/1", ["Ten-GigabitEthernet1/0/1"], "Ten-GigabitEthernet1/0/1"),
        ("XGE1/0/1", ["Ten-GigabitEthernet1/0/1", "GigabitEthernet1/0/1"], "Ten-GigabitEthernet1/0/1"),
        ("GE1/0/1", ["Ten-GigabitEthernet1/0/1", "GigabitEthernet1/0/1"], "GigabitEthernet1/0/1"),
        ("BAGG1", ["Bridge-Aggregation1", "Bridge-Aggregation11"], "Bridge-Aggregation1"),
        ("Te1/0/1", ["TenGigabitEthernet1/0/1", "GigabitEthernet1/0/1"], "TenGigabitEthernet1/0/1"),
        ("024", ["GigabitEthernet1/0/24"], "GigabitEthernet1/0/24"),
        ("3:15", ["3:15", "3:1"], "3:15"),
        ("7", ["ge-0/0/7", "ge-0/0/17"], "ge-0/0/7"),
    ],
)
def test_a_port_is_found_in_any_form(text: str, ports: list[str], found: str) -> None:
    """The exact name first, then long and short forms, then a bare trailing number."""
    assert find_port(with_ports(*ports), text) == found


@pytest.mark.parametrize("text", ["1", "Vlan2", "Te1/0/2", "9" * 5000, "\u0661", ""])
def test_a_name_that_fits_none_or_several_is_refused(text: str) -> None:
    """The error lists what may be meant."""
    with pytest.raises(PlaceError) as caught:
        find_port(with_ports("Gi1/0/1", "Te1/0/1", "GigabitEthernet1/0/2", inside=("Vlan1",)), text)
    assert caught.value.hint


def test_places_and_devices_are_found_whatever_their_case() -> None:
    """A device is split from its port at the first colon."""
    devices = {"SORT-1": with_ports("3:15")}

    assert find_place(devices, "sort-1: 3:15") == "SORT-1:3:15"
    with pytest.raises(PlaceError, match="no device 'SORT-2'") as caught:
        find_place(devices, "SORT-2:1")
    assert caught.value.hint == "nearest: SORT-1"
    with pytest.raises(PlaceError, match="is no port"):
        find_place(devices, "SORT-1")


def test_a_sub_interface_is_its_port_and_its_tag() -> None:
    """Short forms hold there too; one that takes several frames has none to say."""
    devices = {"RTR-1": router("RTR-1", 310, port="GigabitEthernet0/0")}
    found = find_interface(devices, "rtr-1:gi0/0.310")

    assert found is not None
    assert (found.place, found.frame) == ("RTR-1:GigabitEthernet0/0", parse_frame("310"))
    assert find_interface(devices, "RTR-1:gi0/0.311") is None
    assert find_interface(devices, "RTR-2:gi0/0.310") is None


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("1-3", ("1", "2", "3")),
        ("Gi1/0/9-11", ("Gi1/0/9", "Gi1/0/10", "Gi1/0/11")),
        ("Gi1/0/1-Gi1/0/2", ("Gi1/0/1", "Gi1/0/2")),
        ("07-10", ("07", "08", "09", "10")),
        ("ge-0/0/1-2", ("ge-0/0/1", "ge-0/0/2")),
        ("A1 - A2", ("A1", "A2")),
    ],
)
def test_ranges_are_spread(text: str, names: tuple[str, ...]) -> None:
    """The last number counts up; leading zeros are kept."""
    assert spread(text) == names


@pytest.mark.parametrize("text", ["1", "ge-0/0/1", "3-1", "5-5", "Gi1/0/1-Te1/0/2", "1-99999", "a-b", "1-", "-3", ""])
def test_what_is_no_range_is_none(text: str) -> None:
    """A name with a hyphen, a range that runs backward, and one without end stay names."""
    assert spread(text) == ()


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Gi1/0/25", "GigabitEthernet1/0/25"),
        ("25", "GigabitEthernet1/0/25"),
        ("GigabitEthernet2/0/1", "GigabitEthernet2/0/1"),
        ("Gi1/0/97", None),
        ("Gi1/0/0", None),
        ("Gi1/25", None),
        ("Te1/0/25", None),
        ("Gi1/0/25.10", None),
        ("Vlan5", None),
        ("x", None),
        ("9" * 5000, None),
    ],
)
def test_a_port_that_the_naming_allows(text: str, name: str | None) -> None:
    """The same word, as many numbers, the last at most 96: other names are impossible."""
    assert default_name(switch("A"), text) == name


def test_a_bare_number_needs_one_way_of_naming() -> None:
    """With two kinds of ports a bare number may be either."""
    assert default_name(with_ports("Gi1/0/1", "Te1/1/1"), "25") is None
    assert default_name(with_ports("1", "2"), "25") == "25"
    assert default_name(with_ports(inside=("Vlan1",)), "Vlan2") is None


@given(st.text(max_size=30), st.text(max_size=30))
def test_no_name_breaks_the_search(text: str, name: str) -> None:
    """Whatever people write, a name is found or refused, in words."""
    device = with_ports(name, "Gi1/0/1")
    refused: PlaceError | None = None
    found = name
    try:
        found = find_port(device, text)
    except PlaceError as error:
        refused = error
    assert found in device.ports
    assert refused is None or (refused.message and refused.hint)
    default_name(device, text)
    spread(text)
    nearest(text, [name])
