"""An address is found at the port where it hangs; what captures show at a port says that it is in use."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from closets import closet, declared, router, sheet_of, switch

from vlancheck.dot1q.model import Device, Port, Seen
from vlancheck.evidence import Kind, Origin
from vlancheck.site.boxes import Boxes, Occupancy
from vlancheck.site.build import build
from vlancheck.site.lookup import lookup
from vlancheck.site.places import PlaceError
from vlancheck.site.sightings import sightings
from vlancheck.site.spots import SpotKind

PLAIN = "site: test\n"
MAC = "02:00:5e:00:00:01"
PORT = "GigabitEthernet1/0/"


def showing(device: Device, **seen: Seen) -> Device:
    """Return a switch with what is seen behind some of its ports, `_7` for the seventh."""
    ports = dict(device.ports)
    for number, one in seen.items():
        name = PORT + number.removeprefix("_")
        origins = (Origin(Kind.SHOW, "a row", device.name, int(number.removeprefix("_"))),)
        ports[name] = replace(ports[name], seen=(*ports[name].seen, replace(one, origins=origins)))
    return replace(device, ports=ports)


def places(boxes: Boxes, text: str) -> list[str]:
    """Return the ports at which an address hangs, with short names."""
    return [place.replace(PORT, "") for spot in boxes.spots.find(text) for place in spot.places]


@pytest.mark.parametrize("text", ["0200.5e00.0001", "02-00-5E-00-00-01", "02:00:5e:00:00:01", "02005e000001"])
def test_an_address_is_a_name_of_its_port(text: str, tmp_path: Path) -> None:
    """In any usual spelling; the port of the cord to another switch only passes it on."""
    acc = showing(switch("ACC-1"), _7=Seen(mac=MAC, vid=10))
    core = showing(switch("CORE-1"), _1=Seen(mac=MAC, vid=10))
    boxes = closet(tmp_path, PLAIN, "From,To\nACC-1:24,CORE-1:1\n", [acc, core])

    (spot,) = boxes.spots.find(text)
    assert (spot.kind, spot.name, spot.place) == (SpotKind.MAC, MAC, f"ACC-1:{PORT}7")
    assert [(origin.kind, origin.file, origin.line) for origin in spot.origins] == [(Kind.SHOW, "ACC-1", 7)]


def test_an_address_seen_at_several_ports_is_at_all_of_them(tmp_path: Path) -> None:
    """It may have moved between two captures; nobody guesses."""
    acc = showing(switch("ACC-1"), _7=Seen(mac=MAC), _9=Seen(mac=MAC))
    boxes = closet(tmp_path, PLAIN, "", [acc])

    assert places(boxes, MAC) == ["ACC-1:7", "ACC-1:9"]


def test_a_port_to_a_router_is_where_its_address_hangs(tmp_path: Path) -> None:
    """Only a switch passes on what others sent."""
    acc = showing(switch("ACC-1"), _24=Seen(mac=MAC))
    boxes = closet(tmp_path, PLAIN, "From,To\nACC-1:24,GW-1:wan1\n", [acc, router("GW-1", 10)])

    assert places(boxes, MAC) == ["ACC-1:24"]


@pytest.mark.parametrize("name", ["CORE-1", "core-1.example"])
def test_a_neighbour_that_speaks_tells_an_uplink_too(name: str, tmp_path: Path) -> None:
    """Without a cord in the sheet, the neighbour is known by its name."""
    acc = showing(switch("ACC-1"), _24=Seen(mac=MAC))
    acc = showing(acc, _24=Seen(neighbour=name, neighbour_port="Gi1/0/1"))
    core = showing(switch("CORE-1"), _3=Seen(mac=MAC))

    assert places(closet(tmp_path, PLAIN, "", [acc, core]), MAC) == ["CORE-1:3"]


def test_a_bundle_leads_where_its_members_lead(tmp_path: Path) -> None:
    """An address learned at a bundle to another switch hangs elsewhere."""
    acc = switch("ACC-1")
    ports = {**acc.ports, f"{PORT}24": replace(acc.ports[f"{PORT}24"], bundle="Port-channel1")}
    ports["Port-channel1"] = Port(name="Port-channel1", seen=(Seen(mac=MAC),))
    boxes = closet(tmp_path, PLAIN, "From,To\nACC-1:24,CORE-1:1\n", [replace(acc, ports=ports), switch("CORE-1")])

    with pytest.raises(PlaceError, match="only at ports to other switches: ACC-1:Port-channel1") as caught:
        boxes.spots.find(MAC)
    assert "capture the table" in caught.value.hint


def test_an_address_that_nobody_saw_is_refused(tmp_path: Path) -> None:
    """With what to do, and the nearest that was seen."""
    boxes = closet(tmp_path, PLAIN, "", [showing(switch("ACC-1"), _7=Seen(mac=MAC))])

    with pytest.raises(PlaceError, match=r"0200\.5e00\.0002 was seen nowhere") as caught:
        boxes.spots.find("0200.5e00.0002")
    assert caught.value.hint.startswith("capture the table of addresses")
    assert MAC in caught.value.hint


def test_a_cord_label_that_looks_like_an_address_is_the_cord(tmp_path: Path) -> None:
    """A label of that very name comes first."""
    acc = showing(switch("ACC-1"), _7=Seen(mac=MAC))
    boxes = closet(tmp_path, PLAIN, "From,To,Label\nACC-1:3,CORE-1:1,0200.5e00.0001\n", [acc, switch("CORE-1")])

    assert [spot.kind for spot in boxes.spots.find("0200.5e00.0001")] == [SpotKind.CORD]
    assert places(boxes, MAC) == ["ACC-1:7"]


def test_a_port_at_which_something_was_seen_is_occupied(tmp_path: Path) -> None:
    """A row that calls it free, or no row at all, does not undo what a capture shows."""
    acc = showing(switch("ACC-1"), _7=Seen(mac=MAC), _8=Seen(neighbour="PHONE"))
    sheet = sheet_of(tmp_path, "From,To\nACC-1:24,CORE-1:1\n")
    devices = [acc, switch("CORE-1")]
    boxes = build(declared(tmp_path / "site", PLAIN), devices, sheet, seen=sightings(devices))

    states = {number: boxes.occupancy(f"ACC-1:{PORT}{number}").state for number in (7, 8, 9)}
    assert states == {7: Occupancy.OCCUPIED, 8: Occupancy.OCCUPIED, 9: Occupancy.EMPTY}
    assert [origin.line for origin in boxes.occupancy(f"ACC-1:{PORT}7").origins] == [7]


def test_what_is_known_of_an_address_is_its_own(tmp_path: Path) -> None:
    """Of its port everything is told but the other addresses."""
    acc = showing(switch("ACC-1"), _7=Seen(mac=MAC, vid=10))
    acc = showing(acc, _7=Seen(mac="02:00:5e:00:00:99", vid=20))
    boxes = closet(tmp_path, PLAIN, "", [acc])

    (about,) = lookup(boxes, "0200.5e00.0001")
    assert [(place, one.mac) for place, one in about.seen] == [(f"ACC-1:{PORT}7", MAC)]
    (port,) = lookup(boxes, "ACC-1:7")
    assert [one.mac for _, one in port.seen] == [MAC, "02:00:5e:00:00:99"]
