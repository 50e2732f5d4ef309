"""Boxes that stand in a patch sheet alone: those to capture, and those in line that look dead."""

from __future__ import annotations

from pathlib import Path

import pytest

from checks.planting import found, planted, told
from vlancheck.findings.finding import Severity
from vlancheck.pipeline import open_site

SHEET = """
bridge sw1 exists=10
port sw1:1 member=10
port sw1:2 member=10
uncaptured BOX-1
uncaptured BOX-2
row sw1:1 BOX-1:1 kind=cat6
row sw1:2 BOX-1:2 kind=cat6
row PANEL-B:3 BOX-1:3 kind=cat6
row PANEL-B:4 BOX-2:1 kind=cat6
row PANEL-B:5 BOX-2:2 kind=cat6
"""
SECOND = "row PANEL-B:5 BOX-2:2 kind=cat6"
POWER = "row sw1:psu PDU-1:1 kind=power"


def test_boxes_to_capture_are_one_note_with_most_cords_first() -> None:
    (one,) = found(SHEET)
    assert (one.code, one.severity) == ("W111", Severity.NOTE)
    assert one.headline.endswith(": BOX-1 (3 cords), BOX-2 (2 cords)")
    assert one.settled_by == "a capture of BOX-1, BOX-2"


def test_single_cord_counts_for_a_box_called_like_a_switch() -> None:
    assert told(planted(SHEET, (SECOND, ""))) == [("W111", "none", "BOX-1")]
    text = planted(SHEET, (SECOND, "")).replace("BOX-2", "SW-2")
    assert told(text) == [("W111", "none", "BOX-1 SW-2")]


@pytest.mark.parametrize("kind", ["power", "analog", "stack"])
def test_cords_without_frames_do_not_count(kind: str) -> None:
    (one,) = [
        one for one in found(planted(SHEET, (SECOND, f"row PANEL-B:5 BOX-2:2 kind={kind}"))) if one.code == "W111"
    ]
    assert one.at == frozenset({"BOX-1"})


def test_box_in_line_without_power_is_asked_about() -> None:
    line = "row sw2:1 BOX-2:1 kind=cat6\nrow sw2:2 BOX-2:2 kind=cat6\nport sw2:1 member=10\nport sw2:2 member=10"
    text = planted(SHEET, (SECOND, POWER), ("row PANEL-B:4 BOX-2:1 kind=cat6", line))
    assert told(text) == [("W109", "none", "BOX-2"), ("W111", "none", "BOX-1")]
    assert told(planted(text, (POWER, f"{POWER}\nrow box-2 PDU-1:2 kind=IEC"))) == [("W111", "none", "BOX-1 BOX-2")]
    assert told(planted(text, ("uncaptured BOX-2", ""))) == [("W111", "none", "BOX-1")]
    assert told(planted(text, (POWER, ""))) == [("W111", "none", "BOX-1 BOX-2")], "a sheet without power cords"
    desk = ("row sw2:1 BOX-2:1 kind=cat6", "row PANEL-B:4 BOX-2:1 kind=cat6")
    assert told(planted(text, desk)) == [("W111", "none", "BOX-1 BOX-2")], "a switch with a desk"


SWITCH = """\
SORT-1#show running-config
version 15.2
hostname SORT-1
vtp mode transparent
vlan 10
interface GigabitEthernet1/0/1
 switchport mode access
 switchport access vlan 10
 switchport nonegotiate
interface GigabitEthernet1/0/2
 switchport mode access
 switchport access vlan 10
interface GigabitEthernet1/0/3
 switchport mode access
 switchport access vlan 10
end
SORT-1#
"""
ROWS = """\
From,To,Cord label,Kind,Serves
SORT-1:1,ACC-9:24,C-1,cat6,
ACC-9:1,PANEL-B:4,C-2,cat6,PC
SORT-1:2,RELAY-1:in,C-3,cat6,
RELAY-1:out,SORT-1:3,C-4,cat6,
SORT-1:psu,PDU-1:3,,power,
"""


def test_sheet_of_a_site(tmp_path: Path) -> None:
    (tmp_path / "captures").mkdir()
    (tmp_path / "patching").mkdir()
    (tmp_path / "captures" / "SORT-1.txt").write_text(SWITCH, encoding="utf-8")
    (tmp_path / "patching" / "as-found.csv").write_text(ROWS, encoding="utf-8")
    (tmp_path / "site.yaml").write_text("site: Dyers yard\n", encoding="utf-8")
    made = {one.code: one for one in open_site(tmp_path).audit("as-found").findings}
    assert sorted(made) == ["W109", "W111"]
    assert made["W109"].headline.startswith("RELAY-1 lies between SORT-1:GigabitEthernet1/0/2 and SORT-1:Gig")
    assert [where.origin.line for where in made["W109"].where] == [4, 5]
    assert made["W111"].at == frozenset({"ACC-9"})
    declared = "site: Dyers yard\ndevices:\n  ACC-9: {kind: unmanaged}\n  RELAY-1: {kind: through}\n"
    (tmp_path / "site.yaml").write_text(declared, encoding="utf-8")
    assert not {"W109", "W111"} & {one.code for one in open_site(tmp_path).audit("as-found").findings}
