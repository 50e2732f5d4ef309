"""Patch sheets: cords from any CSV, headings by sense, doubtful rows listed and never guessed."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from closets import sheet_of
from hypothesis import given, settings
from hypothesis import strategies as st

from vlancheck.errors import SiteError
from vlancheck.site.endpoints import EndpointKind, endpoint_kinds
from vlancheck.site.ends import End, EndSort, Side, is_doubt, is_free, is_panel_name, misread
from vlancheck.site.headings import Sense, sense_of
from vlancheck.site.places import spread
from vlancheck.site.reading import read_sheet
from vlancheck.site.rows import unguarded
from vlancheck.site.sheet import Sheet, SheetCord


def joined(sheet: Sheet) -> list[tuple[str, str]]:
    """Return the cords as pairs of names."""
    return [(cord.one.name, cord.other.name) for cord in sheet.cords]


def test_a_cord_a_row(tmp_path: Path) -> None:
    """All columns of the plain form."""
    sheet = sheet_of(
        tmp_path,
        """
        From,To,Cord label,Kind,Length,Serves,Hold,Note
        PANEL-B:07,ACC-1:7,C-017,cat6,2 m,PC reception,,blue
        PANEL-B:11,ACC-1:11,C-021,cat6,2 m,fire alarm dialler,building services,do not reboot
        """,
    )

    first, second = sheet.cords
    assert joined(sheet) == [("PANEL-B:07", "ACC-1:7"), ("PANEL-B:11", "ACC-1:11")]
    assert (first.label, first.kind, first.length, first.note) == ("C-017", "cat6", "2 m", "blue")
    assert (second.serves, second.hold) == ("fire alarm dialler", "building services")
    origin = second.origins[0]
    assert (origin.kind, origin.file, origin.line) == ("sheet", "sheet.csv", 3)
    assert origin.text == "PANEL-B:11,ACC-1:11,C-021,cat6,2 m,fire alarm dialler,building services,do not reboot"
    assert sheet.unplaced_headings == ()
    assert [(end.at, end.kinds) for end in sheet.endpoints] == [
        ("PANEL-B:07", (EndpointKind.PC,)),
        ("PANEL-B:11", (EndpointKind.ALARM,)),
    ]


@pytest.mark.parametrize(
    "text",
    [
        "Panel port,Switch,Switch port\nPANEL-B:07,ACC-1,7\n",
        "Panel,Port,Switch,Port\nPANEL-B,07,ACC-1,7\n",
        "Patch panel;Panel port no.;Switch;Switch port\nPANEL-B;07;ACC-1;7\n",
        "Switch port\tPanel port\nACC-1:7\tPANEL-B:07\n",
        "sep=;\nFrom;To\nPANEL-B:07;ACC-1:7\n",
        "From device|From port|To device|To port\nPANEL-B|07|ACC-1|7\n",
        "Closet 2, drawn 3 May\n\nA end,B end\nPANEL-B:07,ACC-1:7\n",
        '"Panel port","Switch port"\n"PANEL-B:07","ACC-1:7"\n',
        "Device,Port,Panel,Panel port\nACC-1,7,PANEL-B,07\n",
        "Panel port,Swicth port\nPANEL-B:07,ACC-1:7\n",
        "FROM,TO\r\nPANEL-B port 07,ACC-1 port 7\r\n",
        "From,To\nPANEL-B 07,ACC-1:7\nPANEL-B:08,ACC-1 8\n",
    ],
)
def test_headings_are_matched_by_sense(tmp_path: Path, text: str) -> None:
    """Device and port stand in one cell or in two, parted by commas, semicolons, tabs or bars."""
    path = tmp_path / "s.csv"
    path.write_text(text, encoding="utf-8")
    sheet = read_sheet(path, "s.csv")

    assert ("PANEL-B:07" in sheet.panels) is True
    assert {node for pair in joined(sheet)[:1] for node in pair} <= {
        "PANEL-B:07",
        "ACC-1:7",
        "PANEL-B 07",
    }
    assert (sheet.doubts, sheet.contradictions) == ((), ())


@pytest.mark.parametrize(
    ("text", "sense"),
    [
        ("Length (m)", Sense.LENGTH),
        ("SWITCH PORT", Sense.SWITCH_PORT),
        ("Switch-port", Sense.SWITCH_PORT),
        ("switch_port", Sense.SWITCH_PORT),
        ("Cord no.", Sense.LABEL),
        ("Cable ID", Sense.LABEL),
        ("Outlet", Sense.JACK),
        ("#", Sense.COUNT),
        ("Do not touch!", Sense.HOLD),
        ("Lenght", Sense.LENGTH),
        ("VLAN", None),
        ("", None),
        ("Tor", None),
    ],
)
def test_one_heading(text: str, sense: Sense | None) -> None:
    """Units, numbers, punctuation and typing errors do not matter; what is not known is not guessed."""
    assert sense_of(text) is sense


def test_a_heading_that_cannot_be_placed_is_listed(tmp_path: Path) -> None:
    """Its column is not read, and neither is a column without a heading."""
    sheet = sheet_of(tmp_path, "From,VLAN,To,,To\nACC-1:7,20,PANEL-B:07,blue,x\n")

    assert joined(sheet) == [("ACC-1:7", "PANEL-B:07")]
    assert [(heading.text, heading.column) for heading in sheet.unplaced_headings] == [("VLAN", 2), ("", 4), ("To", 5)]


def test_device_beside_a_switch_is_what_hangs_there(tmp_path: Path) -> None:
    """A word with two senses is settled by the other headings."""
    sheet = sheet_of(tmp_path, "Panel port,Switch,Switch port,Device,Room\nPANEL-B:07,ACC-1,7,PC 4,2.14\n")

    assert joined(sheet) == [("PANEL-B:07", "ACC-1:7")]
    assert (sheet.cords[0].serves, sheet.panels["PANEL-B:07"].room) == ("PC 4", "2.14")
    to = sheet_of(tmp_path, "Panel port,Switch,Switch port,To\nPANEL-B:07,ACC-1,7,PC 4\n")
    assert (joined(to), to.cords[0].serves) == ([("PANEL-B:07", "ACC-1:7")], "PC 4")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_a_sheet_may_come_from_any_spreadsheet(tmp_path: Path, encoding: str) -> None:
    """UTF-8, a byte-order mark, UTF-16 with its mark, Windows-1252."""
    path = tmp_path / "s.csv"
    path.write_bytes("From;To;Serves\r\nACC-1:7;PANEL-B:07;Bücherei café\r\n".encode(encoding))

    assert read_sheet(path, "s.csv").cords[0].serves == "Bücherei café"


@pytest.mark.parametrize(
    ("row", "why", "ends", "boxes"),
    [
        ("ACC-1:7,,C1,", "the cord has one end, ACC-1:7", ["ACC-1:7"], ()),
        (",PANEL-B:07,,", "the cord has one end, PANEL-B:07", ["PANEL-B:07"], ()),
        ("ACC-1:7,?,,", "it says '?'", ["ACC-1:7"], ()),
        ("ACC-1:7,unknown,,", "it says 'unknown'", ["ACC-1:7"], ()),
        ("ACC-1:7,n/a,,", "it says 'n/a'", ["ACC-1:7"], ()),
        ("ACC-1:7?,PANEL-B:07,,", "it says 'ACC-1:7?'", ["PANEL-B:07"], ("ACC-1",)),
        ("ACC-1:,PANEL-B:07,,", "'ACC-1:' names no port", ["PANEL-B:07"], ("ACC-1",)),
        ("3:15,PANEL-B:07,,", "'3:15' names no device", ["PANEL-B:07"], ()),
        ("?,?,C4,", "it says '?'; it says '?'", [], ()),
        (",,C4,", "it names neither end", [], ()),
        ("ACC-1:7,ACC-1:7,,", "both ends are ACC-1:7", ["ACC-1:7", "ACC-1:7"], ()),
        ("ACC-1:1-12,PANEL-B:1-11,,", "the ranges do not match: ACC-1:1-12 is 12, PANEL-B:1-11 is 11", None, ()),
        ("ACC-1:1-12,PANEL-B:07,,", "the ranges do not match: ACC-1:1-12 is 12, PANEL-B:07 is 1", None, ()),
        ("ACC-1:7,PANEL-B:07,C1,note,more", "it has 5 cells under 4 headings", None, ()),
        ("12-Jan,PANEL-B:07,,", "'12-Jan' is a date; a spreadsheet may have made it of a port", ["PANEL-B:07"], ()),
    ],
)
def test_doubtful_rows_are_listed_and_never_guessed(
    tmp_path: Path, row: str, why: str, ends: list[str] | None, boxes: tuple[str, ...]
) -> None:
    """Each with its row and what could be read of it; nothing is made of it."""
    sheet = sheet_of(tmp_path, f"From,To,Label,Note\nACC-2:1,PANEL-B:01,,\n{row}\n")

    assert joined(sheet) == [("ACC-2:1", "PANEL-B:01")]
    (doubt,) = sheet.doubts
    assert (doubt.why, doubt.boxes) == (why, boxes)
    assert ends is None or [end.name for end in doubt.ends] == ends
    assert (doubt.origins[0].line, doubt.origins[0].text) == (3, row)


def test_a_port_without_its_device_is_a_doubt(tmp_path: Path) -> None:
    """Merged cells leave a gap that nobody fills by guessing."""
    sheet = sheet_of(
        tmp_path, "Panel,Panel port,Switch,Switch port\nPANEL-B,7,ACC-1,7\n,8,ACC-1,8\nPANEL-B,9,,9\nPANEL-B,,ACC-1,9\n"
    )

    assert joined(sheet) == [("PANEL-B:7", "ACC-1:7")]
    assert [doubt.why for doubt in sheet.doubts] == [
        "'8' stands without its panel",
        "'9' stands without its device",
        "'PANEL-B' stands without a port",
    ]


def test_a_panel_listed_port_by_port(tmp_path: Path) -> None:
    """A panel port without a cord is no doubt; words say that one is free; a label without an end is one."""
    sheet = sheet_of(
        tmp_path,
        """
        Panel port,Switch,Switch port,Jack,Serves,Label
        PANEL-B:07,ACC-1,7,2.07,PC,C1
        PANEL-B:08,,,2.08,,
        PANEL-B:09,spare,,2.09,,
        PANEL-B:10,,,2.10,,C4
        ,ACC-1,11,,,
        ,ACC-1,12,,printer in the closet,
        ,ACC-1,13,2.13,,
        PANEL-B:14-16,free,,,,
        """,
    )

    assert joined(sheet) == [("PANEL-B:07", "ACC-1:7"), ("2.13", "ACC-1:13")]
    assert [(row.end.name, row.free) for row in sheet.loose] == [
        ("PANEL-B:08", False),
        ("PANEL-B:09", True),
        ("ACC-1:12", False),
        ("PANEL-B:14", True),
        ("PANEL-B:15", True),
        ("PANEL-B:16", True),
    ]
    assert [doubt.why for doubt in sheet.doubts] == [
        "the cord has one end, PANEL-B:10",
        "nothing says where ACC-1:11 leads",
    ]
    assert sheet.panels["PANEL-B:08"].jack == "2.08"
    assert (sheet.jacks["2.07"].panel, sheet.jacks["2.13"].panel) == ("PANEL-B:07", "")


def test_rows_of_ranges_are_cords(tmp_path: Path) -> None:
    """Labels and jacks count along; a label that cannot is left for the note."""
    sheet = sheet_of(
        tmp_path,
        """
        From,To,Label,Jack
        ACC-1:1-3,PANEL-B:07-09,C1-C3,2.07-2.09
        ACC-2:1-2,PANEL-C:1-2,loom 4,
        """,
    )

    assert joined(sheet) == [
        ("ACC-1:1", "PANEL-B:07"),
        ("ACC-1:2", "PANEL-B:08"),
        ("ACC-1:3", "PANEL-B:09"),
        ("ACC-2:1", "PANEL-C:1"),
        ("ACC-2:2", "PANEL-C:2"),
    ]
    assert [(cord.label, cord.jack, cord.note) for cord in sheet.cords[1:4]] == [
        ("C2", "2.08", ""),
        ("C3", "2.09", ""),
        ("", "", "label loom 4"),
    ]


def test_names_that_look_like_ranges(tmp_path: Path) -> None:
    """Ranges with the same start would overlap: panel ports called 1-02, 1-03 are names."""
    sheet = sheet_of(tmp_path, "Panel port,Switch port\nB:1-02,ACC-1:2\nB:1-03,ACC-1:3\nC:1-04,ACC-1:4\n")

    assert joined(sheet) == [("B:1-02", "ACC-1:2"), ("B:1-03", "ACC-1:3")]
    assert [doubt.why for doubt in sheet.doubts] == ["the ranges do not match: C:1-04 is 4, ACC-1:4 is 1"]


def test_sides_of_a_panel_port_can_be_written(tmp_path: Path) -> None:
    """Behind the name, in words."""
    sheet = sheet_of(tmp_path, "From,To\nPANEL-B:07 (jack side),PANEL-C:7 back\nPANEL-B:07 front,ACC-1:7\n")

    assert [(cord.one.name, cord.one.side, cord.other.side) for cord in sheet.cords] == [
        ("PANEL-B:07", Side.JACK, Side.JACK),
        ("PANEL-B:07", Side.SWITCH, Side.UNSAID),
    ]
    assert sheet.contradictions == ()


def test_headings_that_are_repeated_are_no_rows(tmp_path: Path) -> None:
    """Printed sheets repeat them on every page; blank rows do not count."""
    sheet = sheet_of(tmp_path, "title,\nFrom,To\nA:1,B:1\n,\n\nFrom,To\nA:2,B:2\n")

    assert joined(sheet) == [("A:1", "B:1"), ("A:2", "B:2")]
    assert sheet.skipped == 2


@pytest.mark.parametrize(
    ("data", "message", "line"),
    [
        (b"", "the file is empty", 0),
        (b" \n\n", "nothing but blanks", 0),
        (b"Name,Phone\nx,y\n", "no row of this sheet has headings for the two ends of a cord", 0),
        (b"just words", "no row of this sheet has headings", 0),
        (b'From,To\nA:1,B:1\n"A:2,B:2\n', "this row cannot be read: unexpected end of data", 3),
        (b'From,To\nA:1,B:1\n"A:2"x,B:2\n', "this row cannot be read", 3),
        (b"PK\x03\x04....", "zip archive or an office document", 0),
        (b"%PDF-1.4", "PDF", 0),
        (b"From,To\n\x00\x00\x00", "not text", 0),
    ],
)
def test_a_file_that_is_no_sheet(tmp_path: Path, data: bytes, message: str, line: int) -> None:
    """One error with what to do; a quote that is never closed swallows no rows in silence."""
    path = tmp_path / "s.csv"
    path.write_bytes(data)
    with pytest.raises(SiteError, match=message) as caught:
        read_sheet(path, "s.csv")
    assert (caught.value.file, caught.value.line) == ("s.csv", line)
    assert caught.value.hint


def test_a_sheet_that_is_not_there_or_of_another_format(tmp_path: Path) -> None:
    """Each is an error with a hint."""
    with pytest.raises(SiteError, match="cannot be read"):
        read_sheet(tmp_path / "none.csv", "none.csv")
    with pytest.raises(SiteError, match="cannot be read"):
        read_sheet(tmp_path, "folder")
    for suffix in (".xls", ".ods", ".numbers"):
        (tmp_path / f"s{suffix}").write_bytes(b"PK")
        with pytest.raises(SiteError, match=rf"not read from \{suffix}") as caught:
            read_sheet(tmp_path / f"s{suffix}", f"s{suffix}")
        assert "CSV" in caught.value.hint
        assert ".xlsx" in caught.value.hint


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("PC reception", (EndpointKind.PC,)),
        ("phone 214 + PC", (EndpointKind.PHONE, EndpointKind.PC)),
        ("Fax", (EndpointKind.FAX,)),
        ("MFP / copier 2nd floor", (EndpointKind.PRINTER,)),
        ("AP-3", (EndpointKind.ACCESS_POINT,)),
        ("Wi-Fi", (EndpointKind.ACCESS_POINT,)),
        ("fire alarm dialler", (EndpointKind.ALARM,)),
        ("Lift phone", (EndpointKind.LIFT,)),
        ("door phone yard", (EndpointKind.DOOR,)),
        ("nurse call", (EndpointKind.MEDICAL,)),
        ("Server room shelf", (EndpointKind.SERVER,)),
        ("Mrs. Example", (EndpointKind.OTHER,)),
        ("Apple cart", (EndpointKind.OTHER,)),
        ("", ()),
        ("-", ()),
    ],
)
def test_what_hangs_there_in_words(text: str, kinds: tuple[EndpointKind, ...]) -> None:
    """Words are whole words; what nobody placed is OTHER."""
    assert endpoint_kinds(text) == kinds


def test_words_for_nothing_and_for_nobody_knows() -> None:
    """They are told apart from names."""
    assert all(is_doubt(word) for word in ("?", "???", "Unknown", "N/A", "n.a.", "TBD", "not traced", "ACC-1:7 ?"))
    assert all(is_free(word) for word in ("free", "Spare", "-", "\u2014", "not used", "none"))
    assert not any(is_doubt(word) or is_free(word) for word in ("ACC-1:7", "nancy", "spare room", "freezer", "7"))
    assert all(is_panel_name(word) for word in ("PANEL-B", "Patch panel 2", "PP1", "fibre tray 1", "TRAY-2"))
    assert not any(is_panel_name(word) for word in ("ACC-1", "panelboard", "PPTP", "SORT-1"))


# ---- a sheet written from random cords and read again loses nothing ------------------------------------------------

WORDS = st.text(st.sampled_from("abcdefgkmpqrstuvwzABCDEFGKXYZ0123456789_.+éßÄ\"';,|&() "), min_size=1, max_size=12)
BOXES = st.from_regex(r"\A(?:ACC|CORE|SORT|HUB)-[0-9]{1,2}\Z")
PANELS = st.from_regex(r"\A(?:PANEL|TRAY)-[A-Z]\Z")
PORTS = st.from_regex(r"\A(?:[0-9]{1,2}|Gi1/0/[0-9]{1,2}|[1-4]:[0-9]{1,2}|ge-0/0/[0-9]{1,2}\.0|lan[1-9])\Z")
PANEL_PORTS = st.from_regex(r"\A[A-Z]?[0-9]{1,2}\Z")


def plain(text: str) -> bool:
    """Tell whether a cell is one that the sheet keeps as written."""
    return not (is_doubt(text) or is_free(text) or misread(text) or unguarded(text) != text)


CELLS = st.one_of(st.just(""), WORDS.map(lambda text: " ".join(text.split())).filter(plain))
SWITCH_ENDS = st.builds(End, st.just(EndSort.PORT), BOXES, PORTS)
PANEL_ENDS = st.builds(End, st.just(EndSort.PANEL), PANELS, PANEL_PORTS)
CORDS = st.lists(
    st.builds(
        SheetCord,
        one=PANEL_ENDS,
        other=SWITCH_ENDS,
        label=CELLS,
        kind=CELLS,
        colour=CELLS,
        length=CELLS,
        serves=CELLS,
        hold=CELLS,
        note=CELLS,
        room=CELLS,
        jack=CELLS,
    ).filter(lambda cord: not spread(cord.label)),
    max_size=6,
)
FIELDS = {
    "Label": "label",
    "Kind": "kind",
    "Colour": "colour",
    "Length": "length",
    "Serves": "serves",
    "Hold": "hold",
    "Note": "note",
    "Room": "room",
    "Outlet": "jack",
}


@settings(max_examples=150, deadline=None)
@given(
    cords=CORDS,
    delimiter=st.sampled_from(",;\t|"),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "cp1252", "utf-16"]),
    two_cells=st.booleans(),
    order=st.permutations(["ends", *FIELDS]),
)
def test_a_sheet_written_and_read_again_loses_nothing(
    tmp_path_factory: pytest.TempPathFactory,
    cords: list[SheetCord],
    delimiter: str,
    encoding: str,
    two_cells: bool,
    order: list[str],
) -> None:
    """Whatever the delimiter, the encoding, the order of the columns, and whether ports have a cell of their own."""
    heads = ["Panel", "Panel port", "Switch", "Switch port"] if two_cells else ["Panel port", "Switch port"]
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=delimiter)
    writer.writerow([head for name in order for head in (heads if name == "ends" else [name])])
    for cord in cords:
        ends = [part for end in cord.ends for part in ((end.box, end.port) if two_cells else (end.name,))]
        writer.writerow(
            [cell for name in order for cell in (ends if name == "ends" else [getattr(cord, FIELDS[name])])]
        )
    path = tmp_path_factory.mktemp("sheet") / "s.csv"
    path.write_bytes(text.getvalue().encode(encoding))
    sheet = read_sheet(path, "s.csv")

    assert (sheet.doubts, sheet.loose, sheet.unplaced_headings) == ((), (), ())
    assert [(cord.ends, *(getattr(cord, name) for name in FIELDS.values())) for cord in sheet.cords] == [
        (cord.ends, *(getattr(cord, name) for name in FIELDS.values())) for cord in cords
    ]
    assert all(len(cord.origins) == 1 for cord in sheet.cords)


@settings(max_examples=150, deadline=None)
@given(st.text(st.sampled_from("From,To;Panel port\tACC-1:7?\"'\n\r spare-12"), max_size=120))
def test_no_text_breaks_the_reading(tmp_path_factory: pytest.TempPathFactory, text: str) -> None:
    """Any text is a sheet or one error with a hint."""
    path = tmp_path_factory.mktemp("sheet") / "s.csv"
    path.write_bytes(f"From,To\n{text}".encode())
    sheet, refused = None, None
    try:
        sheet = read_sheet(path, "s.csv")
    except SiteError as error:
        refused = error
    assert (sheet is not None and sheet.headings) or (refused is not None and refused.hint)
