"""A VLAN table copied by hand: who copied it is shown, and what it does not say is never taken for proven.

What a web page's table leaves open is common practice, no source.
"""

from __future__ import annotations

import pytest

from dialects.boxes import device_of, device_of_fixture
from vlancheck import vids
from vlancheck.capture import Line, Section
from vlancheck.dot1q.model import Device
from vlancheck.evidence import UNKNOWN, Kind, Unknown
from vlancheck.reader import NoteKind, read

HEADINGS = "Port;PVID;Tagged;Untagged;Who;When\n"


def table(rows: str) -> Device:
    """Return the switch that rows under all headings become."""
    return device_of(HEADINGS + rows, "REAR.csv")


def test_evidence_says_who_copied_it_and_when() -> None:
    """The device is called like the file; the origin is what a device showed, copied by hand."""
    switch = table("1;10;20;10;Ada Example;2026-03-14\n2;10;;10")
    (origin,) = switch.bridge_ports["2"].member.why(10)[1]

    assert switch.name == "REAR"
    assert (origin.kind, origin.line) == (Kind.SHOW, 3)
    assert origin.text == "copied by hand, who Ada Example, when 2026-03-14: 2;10;;10"


@pytest.mark.parametrize(
    ("rows", "pvid"),
    [
        ("1;10;;10", 10),
        ("1;;;10", 10),  # the untagged VLAN is taken for it
        ("1;1;20;", UNKNOWN),  # no untagged member of VLAN 1: untagged frames may be refused
        ("1;;20;", UNKNOWN),
        ("1;10;;10,20\n1;20;;", UNKNOWN),  # two rows say two PVIDs
        ("1;;;10,20", UNKNOWN),
    ],
)
def test_pvid_is_known_where_the_table_says_one_and_its_vlan_is_untagged(rows: str, pvid: int | Unknown) -> None:
    """A PVID always rests on the assumption that frames without a tag are taken."""
    found = table(rows).bridge_ports["1"].pvid

    assert found.value == pvid
    assert any(origin.kind is Kind.ASSUMED and origin.settle for origin in found.origins)


def test_vlan_that_is_both_tagged_and_untagged_leaves_in_an_unknown_way() -> None:
    """It is a member; how its frames leave is not decided."""
    port = table("1;10;10,20;10").bridge_ports["1"]

    assert port.member.sure == port.member.possible == vids.of([10, 20])
    assert (port.untagged.sure, port.untagged.possible) == (0, vids.of([10]))


def test_tagged_frames_of_other_vlans_are_not_known_to_be_refused() -> None:
    """Ingress filtering is on another page."""
    admit = table("1;10;20;10").bridge_ports["1"].admit

    assert admit.sure == vids.of([20])
    assert all(admit.possible >> vid & 1 for vid in (10, 30, 4094))


def test_cell_that_is_no_list_of_vids_leaves_its_port_in_doubt_alone() -> None:
    """Whatever the column."""
    switch = table("1;?;20;10\n2;10;20T;10\n3;10;20;10U\n4;10;4095;10\n5;10;20;10")

    assert [name for name, port in switch.bridge_ports.items() if port.doubt] == ["1", "2", "3", "4"]


def test_heading_that_could_touch_vlans_leaves_every_port_in_doubt() -> None:
    """Nothing under it was read."""
    ports = device_of_fixture("hand_copy", "COPY-2").bridge_ports

    assert ports
    assert all(port.doubt for port in ports.values())


def test_row_with_too_many_cells_leaves_the_whole_table_in_doubt() -> None:
    """A list with commas between commas would shift every cell behind it."""
    text = "port,pvid,tagged,untagged\n1,10,20,10\n2,10,20,30,10"
    lines = tuple(Line(number, line) for number, line in enumerate(text.split("\n"), 1))
    reading = read([Section("REAR.csv", "", "", lines, None)])

    assert [note.kind for note in reading.notes] == [NoteKind.NOT_THE_FORM]
    assert "line 3 has 5 cells under 4 headings" in reading.notes[0].message
    assert all(port.doubt for device in reading.devices for port in device.bridge_ports.values())
