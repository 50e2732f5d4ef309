"""What a sheet says of each cord, by the names of the survey, and the cords of a link in their order."""

from __future__ import annotations

from pathlib import Path

from closets import closet, switch

SHEET = """
From,To,Cord label,Kind,Serves,Note,Outlet
SW-1:1,TRAY-A:01,F-1,LC OS2,,,
TRAY-B:1,SW-2:24,F-2,LC OS2,,,
TRAY-A:1,TRAY-B:1,T-1,permanent OS2,,,
PANEL-B:7,SW-1:2,C-7,cat6,PC,bad,2.07
SW-1:psu 1,PDU-1:3,,power,,,
SW-1:3,spare,,,,dead port,
"""


def test_rows_have_the_names_of_the_survey_and_power_cords_those_they_are_written_with(tmp_path: Path) -> None:
    made = closet(tmp_path, "site: test\n", SHEET, [switch("SW-1"), switch("SW-2")])
    by_words = {piece.label or piece.note or piece.kind: piece for piece in made.pieces}
    assert {name: piece.sockets for name, piece in by_words.items()} == {
        "F-1": ("SW-1:GigabitEthernet1/0/1", "TRAY-A:01"),
        "F-2": ("TRAY-B:1", "SW-2:GigabitEthernet1/0/24"),
        "T-1": ("TRAY-A:01", "TRAY-B:1"),
        "C-7": ("PANEL-B:7", "SW-1:GigabitEthernet1/0/2"),
        "power": ("SW-1:psu 1", "PDU-1:3"),
        "dead port": ("SW-1:GigabitEthernet1/0/3",),
    }
    assert (by_words["C-7"].note, by_words["C-7"].jack, by_words["C-7"].serves) == ("bad", "2.07", "PC")
    assert [piece.origins[0].line for piece in made.pieces if piece.label == "T-1"] == [4]
    assert "PDU-1" not in made.devices, "a power strip is no box of the network"


def test_cords_of_a_link_stand_in_their_order(tmp_path: Path) -> None:
    link = 'site: test\nlinks: [["SW-1:5", "SW-2:5"]]\n'
    made = closet(tmp_path, link, SHEET, [switch("SW-1"), switch("SW-2")])
    orders = [tuple(piece.label for piece in run) for run in made.runs]
    assert ("F-1", "T-1", "F-2") in [min(order, order[::-1]) for order in orders]
    (drawn,) = [run for run in made.runs if "SW-1:GigabitEthernet1/0/5" in run[0].sockets]
    assert (drawn[0].label, drawn[0].kind) == ("", "")
    assert not any(piece.kind == "power" for run in made.runs for piece in run)
