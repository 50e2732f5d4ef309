"""Which rows are on which sheet, in which order, and that none is lost."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

import vlancheck
from vlancheck.errors import UsageError
from vlancheck.moves.worksheets import cautions, order
from vlancheck.moves.worksheets.acceptance import FIRST, try_at
from vlancheck.moves.worksheets.sheet import Book, Fill
from vlancheck.moves.worksheets.taking_down import UNCLEAR
from vlancheck.pipeline import Site, open_site
from vlancheck.site.endpoints import ON_HOLD, EndpointKind

from .nights import example, example_book, parts, sheet, write_rough


@pytest.fixture(scope="module")
def rough(tmp_path_factory: pytest.TempPathFactory) -> Site:
    return open_site(write_rough(tmp_path_factory.mktemp("rough") / "site"))


@pytest.fixture(scope="module")
def night(rough: Site) -> Book:
    return rough.worksheets()


@pytest.mark.parametrize("name", ["removal", "back-out", "re-patch"])
def test_rows_out_equal_rows_in(rough: Site, night: Book, name: str) -> None:
    """Every cord of the sheet, every declared one and every doubtful row is on the sheet, once."""
    for site, book in ((example(), example_book()), (rough, night)):
        survey = site.survey("as-planned" if name == "re-patch" else "as-found")
        assert survey.sheet is not None
        links = len(site.declaration.links)
        assert len(sheet(book, name).rows) == len(survey.sheet.cords) + len(survey.sheet.doubts) + links
        written = [row.cells[0] for row in sheet(book, name).rows if row.cells[0]]
        labels = [cord.label for cord in survey.sheet.cords if cord.label]
        assert sorted(text.split(",")[0] for text in written if text[0] in "CWP") == sorted(labels)


def test_labels_are_two_a_cord(rough: Site, night: Book) -> None:
    for site, book in ((example(), example_book()), (rough, night)):
        planned = site.survey("as-planned").sheet
        assert planned is not None
        rows = sheet(book, "labels").rows
        assert len(rows) == 2 * (len(planned.cords) + len(site.declaration.links))
        for one, other in zip(rows[::2], rows[1::2], strict=True):
            assert one.cells[1:3] == other.cells[2:0:-1]
            assert all(end in one.cells[3] for end in one.cells[1:3])


def test_desks_come_out_first_and_the_handoff_last(night: Book) -> None:
    removal = sheet(night, "removal")
    assert parts(removal) == [
        "Desks, PANEL-A",
        "Servers and phone systems",
        "Uplinks, from the far end inward",
        "Routers and firewalls",
        "The handoff, last",
        "Power cords: only by whoever is licensed for it",
        "Cabling of the building: it stays",
        order.HELD,
        UNCLEAR,
    ]
    desks = [row.key for row in removal.rows if row.part == "Desks, PANEL-A"]
    assert desks == ["PANEL-A:1", "PANEL-A:2", "PANEL-A:5", "PANEL-A:5", "PANEL-A:10"], "2 stands before 10"
    assert [blank.fill for blank in removal.blanks] == [Fill.TICK, Fill.TICK], "a box for each of two people"


def test_holds_are_never_in_the_run(night: Book) -> None:
    for book in (night, example_book()):
        removal = sheet(book, "removal")
        assert {row.part for row in removal.rows if row.hold} == {order.HELD}
        assert all(row.hold for row in removal.rows if row.part == order.HELD)
        assert not [row.key for row in removal.rows if row.hold and row.asked], "there is no box to tick for pulling it"


def test_a_hold_stays_on_every_sheet_its_cord_is_on(night: Book) -> None:
    """The planned sheet of the rough site has dropped the hold of PANEL-A:4, and it is marked all the same."""
    for book, keys in ((night, {"PANEL-A:3", "PANEL-A:4"}), (example_book(), {"PANEL-B:11", "PANEL-B:12"})):
        for name in ("removal", "back-out", "re-patch", "labels", "acceptance", "holds"):
            one = sheet(book, name)
            marked = {row.key for row in one.rows if row.hold}
            assert marked == keys, name
            assert marked == {row.key for row in one.rows if row.key in keys}
    owners = {row.key: row.cells[2] for row in sheet(night, "holds").rows}
    assert owners == {"PANEL-A:3": "lift company", "PANEL-A:4": "porter"}


def test_what_is_not_clear_is_said_and_not_pulled(night: Book) -> None:
    removal = sheet(night, "removal")
    (unclear,) = (row for row in removal.rows if row.part == UNCLEAR)
    assert "patching/as-found.csv:12" in unclear.cells[3]
    assert "it says '?'" in unclear.cells[3]
    assert not unclear.asked
    traced = [row.key for row in removal.rows if "TRACE IT" in row.cells[3]]
    assert traced == ["PANEL-A:5", "PANEL-A:5"]


def test_what_is_not_as_it_was_is_marked_at_re_patching(night: Book) -> None:
    changed = {row.key: row.cells[4] for row in sheet(night, "re-patch").rows if row.cells[4]}
    assert changed == {"PANEL-A:1": "was SW-2:1", "GW-1:lan": "was SW-1:1"}
    example_changed = {row.key: row.cells[4] for row in sheet(example_book(), "re-patch").rows if row.cells[4]}
    assert example_changed == {"PANEL-A:02": "was CORE-1:Gi1/0/10", "PANEL-A:03": "was CORE-1:Gi1/0/11"}


def test_uplinks_tell_what_each_end_carries() -> None:
    rows = {row.key: row for row in sheet(example_book(), "uplinks").rows}
    trunk = rows["SORT-1:GigabitEthernet0/2"].cells
    assert trunk[2] == trunk[4] == "tagged 30,320, untagged refused"
    router = rows["CORE-1:GigabitEthernet1/0/4"]
    assert router.cells[4] == "takes tagged 10,20,50,320, untagged"
    assert router.part == "Routers and firewalls"
    onu = rows["ONU-1:lan1"].cells
    assert onu[2].startswith("declared, the carrier's to confirm: tagged 310,320,330")
    assert "unproven" in onu[2]
    assert rows["CORE-1:GigabitEthernet1/0/8"].cells[4] == "not known: nobody can look into this box"


def test_boxes_come_up_from_the_handoff_outward(night: Book) -> None:
    boxes = [row.key for row in sheet(example_book(), "power-up").rows]
    assert boxes[:3] == ["ONU-1", "SORT-1", "CORE-1"]
    assert len(boxes) == len(set(boxes)) == len(example().survey("as-planned").boxes.devices)
    assert boxes.index("CORE-1") < boxes.index("ACC-1")
    waits = {row.key: row.cells[2] for row in sheet(example_book(), "power-up").rows}
    assert "GigabitEthernet1/0/1 to SORT-1:GigabitEthernet0/2" in waits["CORE-1"]
    assert [row.key for row in sheet(night, "power-up").rows] == ["NTE-1", "GW-1", "SW-2", "SW-1", "FILES"]
    held = {row.key for row in sheet(example_book(), "power-up").rows if row.hold}
    assert held == {"CORE-1", "ACC-2"}, "what carries a held line is not switched off unasked"


def test_acceptance_tells_frame_vlan_and_name_of_each_jack() -> None:
    rows = {row.key: row for row in sheet(example_book(), "acceptance").rows}
    assert rows["PANEL-A:01"].cells[2] == "untagged -> VLAN 10 data; 20 -> VLAN 20 phones"
    assert rows["PANEL-A:10"].cells[2] == "untagged -> VLAN 340 Branch tunnel"
    assert rows["CORE-1:GigabitEthernet1/0/5"].cells[2] == "untagged -> VLAN 30 Phone trunk", "330 outside, 30 inside"
    assert rows["PANEL-A:01"].cells[3] == "data untagged: carried; phones 20: carried"
    assert rows["HV-1:vnet1"].cells[3] == "Catalogue line untagged: carried", "declared, and on no cord of the sheet"
    declared = {ending.stop.name for v in example().audit("as-planned").verdicts for ending in v.endings}
    routed = {name for name in declared if name.startswith(("RTR-1", "PBX-1"))}
    assert declared - routed <= set(rows), "every ending has a row; a router's and a host's are at their cord"


def test_what_is_not_decided_is_unproven_at_acceptance(night: Book) -> None:
    rows = {row.key: row for row in sheet(night, "acceptance").rows}
    assert rows["PANEL-A:2"].cells[2] == "unproven: nobody can look into SW-1"
    assert rows["PANEL-A:4"].cells[4].startswith(try_at([EndpointKind.DOOR])), "the planned sheet calls it a wall set"
    assert rows["PANEL-A:1"].cells[3].startswith("office untagged: unproven")


def test_dangerous_rows_are_tested_first_and_held_ones_by_their_owners() -> None:
    book = example_book("PANEL-B:12", "PANEL-B:07", "PANEL-A:05")
    acceptance = sheet(book, "acceptance")
    assert [row.key for row in acceptance.rows][:2] == ["PANEL-B:07", "PANEL-A:05"]
    first = [row.key for row in acceptance.rows if row.part == FIRST]
    ranked = [risk.leaf.name for risk in example().mistakes("as-planned").risks if risk.first]
    assert first[2:5] == [name for name in ranked if name in first[2:]][:3]
    assert first[2:4] == ["PANEL-A:10", "PANEL-A:11"], "exchanged, a camera reaches the carrier"
    assert len(first) < len(acceptance.rows)
    assert [row.key for row in acceptance.rows][-2:] == ["PANEL-B:12", "PANEL-B:11"]
    plain = sheet(example_book(), "acceptance")
    assert {row.key for row in plain.rows} == {row.key for row in acceptance.rows}, "it changes the order alone"
    with pytest.raises(UsageError, match="PANEL-B has no port '99'"):
        example().worksheets(first=["PANEL-B:99"])


def test_each_kind_of_endpoint_has_a_test_of_its_own() -> None:
    assert len({try_at([kind]) for kind in EndpointKind}) == len(EndpointKind)
    both = try_at([EndpointKind.PC, EndpointKind.ALARM])
    assert both.startswith(try_at([EndpointKind.ALARM]))
    for kind in ON_HOLD:
        assert any(word in try_at([kind]) for word in ("owner", "company", "own people"))


def test_questions_for_the_carrier_are_questions() -> None:
    rows = sheet(example_book(), "carrier").rows
    assert all(row.cells[1].endswith("?") for row in rows)
    asked = " ".join(row.cells[1] for row in rows)
    for tag in ("310", "320", "330", "340"):
        assert f"the tag {tag}," in asked
    assert "Which of your tags reaches us as 340 (Branch tunnel)" in asked
    assert "nothing says which of the carrier's tags ONU-1 turns into 340" in rows[-1].cells[2]


def test_what_only_a_test_shows_of_a_handoff_is_tried() -> None:
    (row,) = [row for row in sheet(example_book(), "acceptance").rows if row.part == "Handoffs"]
    assert (row.key, row.cells[1]) == ("SORT-1:GigabitEthernet0/1", "circuit HL-2207")
    assert "1472 octets" in row.test
    assert "310 -> VLAN 310" in row.cells[2]


ASKED = """\
  - at: "SORT-1:Gi0/1"
    carrier: metro
    phone: 555-0142
    circuit: HL-2207
    ce-vlans: 0310-0311
    preserved: no
    max-frame: 1522
    l2cp: shuts
    mac-limit: 5
    ends: [{name: Mill Street, ce-vlans: 0310}]
"""


def test_questions_are_as_exact_as_the_order(tmp_path: Path) -> None:
    folder = tmp_path / "asked"
    shutil.copytree(Path(vlancheck.__file__).parent / "example/site", folder)
    path = folder / "site.yaml"
    text = path.read_text(encoding="utf-8")
    old = next(line for line in text.splitlines() if 'at: "SORT-1:Gi0/1"' in line)
    path.write_text(text.replace(f"{old}\n", ASKED), encoding="utf-8")
    rows = sheet(open_site(folder).worksheets(), "carrier").rows
    asked = [row.cells[1] for row in rows]
    assert all(one.endswith("?") for one in asked)
    for words in (
        "Which CE-VLAN IDs are built at this port: 310-311, and no others?",
        "Which tag of the far end is which tag at our port?",
        "Which CE-VLAN IDs does the connection have at Mill Street?",
        "Is a frame of 1526 octets carried both ways, FCS and 2 tags included, and what is the longest that is?",
    ):
        assert words in asked
    assert any("How many of 5 are learned now" in one for one in asked)
    assert not any("What number reaches" in one for one in asked), "the order names it"
    assert any("shuts at a BPDU of ours" in row.cells[2] for row in rows)


def test_cautions_stand_where_they_belong(night: Book) -> None:
    removal = sheet(night, "removal")
    for one in (cautions.HOLD, cautions.DECIDE, cautions.FIBRE, cautions.ANALOG, cautions.POWER, cautions.SNAG):
        assert one in removal.cautions
    assert cautions.LIFTING in sheet(night, "power-up").cautions
    assert cautions.LADDER in sheet(night, "run").cautions
    assert cautions.DECIDE in sheet(night, "holds").cautions
    assert cautions.FIBRE not in sheet(night, "acceptance").cautions


def test_no_sheet_says_that_something_is_safe(night: Book) -> None:
    for book in (night, example_book()):
        for one in book.sheets:
            words = " ".join((one.title, one.use, *one.cautions, *(" ".join(row.cells) for row in one.rows))).lower()
            assert "safe" not in words
            assert "ok to" not in words


def test_the_run_has_a_last_point_of_return_and_who_decides(night: Book) -> None:
    run = sheet(night, "run")
    steps = " ".join(row.cells[0] for row in run.rows)
    assert "LAST POINT OF RETURN" in steps
    assert {blank.name for blank in run.blanks} == {"who", "budget", "latest", "done"}
    assert run.signatures[0] == "Decides go or no-go"
    assert "Take down (sheet removal): 10 cords in the run" in steps, "two held and one of the building stay"
    assert "Owners of the 2 held cords" in steps


def test_every_row_of_every_sheet_is_whole(night: Book) -> None:
    for book in (night, example_book()):
        assert len({one.name for one in book.sheets}) == len(book.sheets)
        for one in book.sheets:
            assert all(row.key and len(row.cells) == len(one.headings) for row in one.rows), one.name
            assert len({blank.name for blank in one.blanks}) == len(one.blanks)


def test_a_site_without_a_sheet_has_sheets_without_cords(tmp_path: Path) -> None:
    (tmp_path / "site.yaml").write_text("site: bare\nsurveys: {as-found: , as-planned: }\n", encoding="utf-8")
    book = open_site(tmp_path).worksheets()
    assert sheet(book, "removal").rows == ()
    assert sheet(book, "run").rows
