"""What only the people of the site can answer is asked where something gives cause for it, and nowhere else."""

from __future__ import annotations

from pathlib import Path

import pytest

from vlancheck.moves.worksheets.sheet import Row
from vlancheck.pipeline import open_site

from .nights import example_book, sheet, write_rough

DECLARED = """\
site: Chandlers' Row, attic
surveys: {as-found: {}, as-planned: {}}
devices: {NTE-1: {kind: carrier-box, owner: carrier, ports: {lan: {}}}}
handoffs: [{at: "SW-1:Gi0/1", carrier: Hillcom, circuit: HC-1}]
services: [{name: line, tag: 310, enters: "SW-1:Gi0/1", leaves: [{at: "PANEL-A:2", frame: untagged}]}]
"""
SHEET = """\
From,To,Cord,Kind,Serves
NTE-1:lan,SW-1:Gi0/1,C-1,fibre pair,
PANEL-A:2,SW-1:Gi0/2,C-2,cat6,PC
PANEL-A:3,SW-1:Gi0/3,C-3,cat6,printer
PANEL-A:4,SW-1:Gi0/4,C-4,cat6,burglar alarm
NTE-1:aux,SW-1:Gi0/5,C-5,cat6,
SW-1:psu,strip 1,P-1,mains,
"""
CAPTURE = """\
SW-1#show running-config
hostname SW-1
!
vtp mode transparent
!
vlan 310
!
interface Gi0/1
 switchport mode trunk
 switchport trunk allowed vlan 310
!
interface Gi0/2
 switchport mode access
 switchport access vlan 310
{login}!
interface Gi0/3
 switchport mode access
 switchport access vlan 310
!
interface Gi0/4
 switchport mode access
 switchport access vlan 310
!
end
SW-1#show mac address-table
Vlan    Mac Address       Type        Ports
----    -----------       --------    -----
 310    0200.5e00.0002    DYNAMIC     Gi0/2
SW-1#
"""
LOGIN = " dot1x pae authenticator\n authentication port-control auto\n"
OTHER = CAPTURE.split("SW-1#show mac")[0].replace("SW-1", "SW-2").format(login="") + "SW-2#\n"


def night(root: Path, *, login: str = "", sheet_text: str = SHEET, more: str = "") -> Path:
    """Write a small closet in two surveys and return it."""
    for survey in ("as-found", "as-planned"):
        (root / "captures" / survey).mkdir(parents=True)
        (root / "captures" / survey / "sw-1.log").write_text(CAPTURE.format(login=login), encoding="utf-8")
        (root / "patching").mkdir(exist_ok=True)
        (root / "patching" / f"{survey}.csv").write_text(sheet_text, encoding="utf-8")
    if more:
        (root / "captures/as-planned/sw-2.log").write_text(more, encoding="utf-8")
    (root / "site.yaml").write_text(DECLARED, encoding="utf-8")
    return root


def asked(root: Path, **said: str) -> list[Row]:
    """Return the questions of a small closet."""
    return list(sheet(open_site(night(root, **said)).worksheets(), "site").rows)


def of(rows: list[Row], part: str) -> list[Row]:
    return [row for row in rows if row.part == part]


def test_a_cord_of_which_nothing_was_seen_is_asked_about_and_never_said_to_be_dead(tmp_path: Path) -> None:
    (row,) = of(asked(tmp_path), "Cords of which nothing was seen")
    assert row.cells[:2] == ("SW-1", "What hangs at the other end of these, and who would miss it: PANEL-A:3?")
    assert "no proof that a cord is dead" in row.cells[2]


def test_without_a_table_of_addresses_nothing_is_said_to_be_quiet(tmp_path: Path) -> None:
    root = tmp_path
    rows = asked(root)
    assert of(rows, "Cords of which nothing was seen")
    log = root / "captures/as-found/sw-1.log"
    log.write_text(log.read_text().split("SW-1#show mac")[0] + "SW-1#\n", encoding="utf-8")
    again = list(sheet(open_site(root).worksheets(), "site").rows)
    assert not of(again, "Cords of which nothing was seen")


def test_a_box_with_two_cords_and_no_power_is_asked_about_where_power_is_on_the_sheet(tmp_path: Path) -> None:
    (row,) = of(asked(tmp_path / "a"), "Boxes without a power cord")
    assert row.cells[0] == "NTE-1"
    assert "what passes through it when it has none" in row.cells[1]
    unpowered = SHEET.replace("SW-1:psu,strip 1,P-1,mains,\n", "")
    assert not of(asked(tmp_path / "b", sheet_text=unpowered), "Boxes without a power cord")
    fed = SHEET + "NTE-1:dc,strip 2,P-2,mains,\n"
    assert not of(asked(tmp_path / "c", sheet_text=fed), "Boxes without a power cord")


def test_an_alarm_line_keeps_its_hold(tmp_path: Path) -> None:
    (row,) = of(asked(tmp_path), "Alarm lines")
    assert row.cells[0] == "PANEL-A:4"
    assert row.hold.startswith("HOLD")
    assert "a dial tone is no test" in row.cells[2]


@pytest.mark.parametrize(("login", "told"), [(LOGIN, ["SW-1"]), ("", [])])
def test_a_server_that_lets_people_in_is_asked_about(tmp_path: Path, login: str, told: list[str]) -> None:
    rows = of(asked(tmp_path, login=login), "Ports where somebody must log in")
    assert [row.cells[0] for row in rows] == told


def test_a_switch_that_comes_in_is_asked_about(tmp_path: Path) -> None:
    assert not of(asked(tmp_path / "a"), "Boxes that come in")
    (row,) = of(asked(tmp_path / "b", more=OTHER), "Boxes that come in")
    assert row.cells[0] == "SW-2"
    assert "emptied" in row.cells[1]


def test_bad_ports_are_always_asked_about_and_cautions_stand_there(tmp_path: Path) -> None:
    for book in (example_book(), open_site(write_rough(tmp_path / "s")).worksheets()):
        one = sheet(book, "site")
        assert one.rows[-1].cells[0] == "the patch sheet"
        assert "licensed people decide" in " ".join(one.cautions)
        assert "safe" not in " ".join(word for row in one.rows for word in row.cells).casefold()
