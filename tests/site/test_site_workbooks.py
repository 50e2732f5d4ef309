"""Patch sheets as workbooks: tabs, merged cells, formulas, numbers that were names, files that are none."""

from __future__ import annotations

import io
import zipfile
from datetime import date, datetime, time, timedelta
from pathlib import Path

import pytest
from books import HEADINGS, book, read, tab

from vlancheck.errors import SiteError
from vlancheck.site.endpoints import EndpointKind
from vlancheck.site.reading import read_sheet
from vlancheck.site.sheet import Sheet


def joined(sheet: Sheet) -> list[tuple[str, str]]:
    """Return the cords as pairs of names."""
    return [(cord.one.name, cord.other.name) for cord in sheet.cords]


def test_every_tab_with_headings_is_read(tmp_path: Path) -> None:
    """Each with its own headings, below a title and blank rows; evidence names the tab and its row."""
    made = book(
        legend=[("red", "uplink"), ("blue", "desk")],
        first=[("Closet 2, drawn in spring",), (), ("From", "To", "VLAN"), ("PANEL-A:1", "ACC-1:1", 10)],
        second=[HEADINGS, ("PANEL-B", 7, "ACC-1", "Gi1/0/7", "C-7", "2.07", "PC", "")],
        blank=[],
    )
    made["second"].sheet_state = "hidden"
    sheet = read(tmp_path, made)

    assert joined(sheet) == [("PANEL-A:1", "ACC-1:1"), ("PANEL-B:7", "ACC-1:Gi1/0/7")]
    assert [(cord.origins[0].sheet, cord.origins[0].line) for cord in sheet.cords] == [("first", 4), ("second", 2)]
    assert str(sheet.cords[0].origins[0]) == "s.xlsx[first]:4: PANEL-A:1 | ACC-1:1 | 10"
    assert [(one.tab, one.text) for one in sheet.unplaced_headings] == [("first", "VLAN")]
    assert sheet.remarks == (
        "the tab 'legend' has no headings for the two ends of a cord; it is not read",
        "the tab 'second' is hidden; it is read all the same",
    )
    assert (sheet.doubts, sheet.contradictions, sheet.skipped) == ((), (), 1)


def test_a_tab_that_is_called_like_a_panel(tmp_path: Path) -> None:
    """It stands for the panel that no column names, and that is told; any other tab does not."""
    rows = [
        ("Port", "Switch", "Switch port"),
        (7, "ACC-1", 7),
        (8, "spare", ""),
        ("PANEL-C:9", "ACC-1", 9),
        ("?", "ACC-1", 10),
    ]
    made = book()
    for name in ("Panel B", "PP2"):
        tab(made, name, rows[:3] if name == "PP2" else rows)
    tab(made, "PANEL-D", [("Panel", "Port", "Switch", "Switch port"), ("PANEL-E", 1, "ACC-2", 1), ("", 2, "ACC-2", 2)])
    sheet = read(tmp_path, made)

    assert joined(sheet) == [
        ("Panel B:7", "ACC-1:7"),
        ("PANEL-C:9", "ACC-1:9"),
        ("PP2:7", "ACC-1:7"),
        ("PANEL-E:1", "ACC-2:1"),
    ]
    assert [row.end.name for row in sheet.loose] == ["Panel B:8", "PP2:8"]
    assert [doubt.why for doubt in sheet.doubts] == ["it says '?'", "'2' stands without its panel"]
    assert sheet.remarks == (
        "the tab 'Panel B' is taken for the panel of its ports, which no column names",
        "the tab 'PP2' is taken for the panel of its ports, which no column names",
    )


def test_rows_of_two_tabs_contradict_each_other(tmp_path: Path) -> None:
    """The tabs are one sheet: a port is used twice, whatever tab says so."""
    sheet = read(
        tmp_path,
        book(one=[("From", "To"), ("PANEL-A:1", "ACC-1:1")], two=[("From", "To"), ("PANEL-B:1", "ACC-1:1")]),
    )
    (clash,) = sheet.contradictions

    assert clash.message == "ACC-1:1 is used by 2 cords, to PANEL-A:1 and PANEL-B:1"
    assert [origin.sheet for origin in clash.origins] == ["one", "two"]


def test_merged_cells_have_their_value_in_each(tmp_path: Path) -> None:
    """Down a column and over headings; a title over several columns is no cord, a row that only they fill is blank."""
    made = book()
    sheet = tab(
        made,
        "cords",
        [
            ("From", None, "To", None, "Label"),
            ("Device", "Port", "Device", "Port"),
            ("first floor",),
            ("PANEL-B", 7, "ACC-1", 7, "C-7"),
            (None, 8, None, 8, "C-8"),
            (),
            (None, 9, None, 9, "C-9"),
            ("PANEL-C", 1, "not used"),
        ],
    )
    for merge in ("A1:B1", "C1:D1", "E1:E2", "A3:E3", "A4:A7", "C4:C7", "C8:E8"):
        sheet.merge_cells(merge)
    found = read(tmp_path, made)

    assert joined(found) == [("PANEL-B:7", "ACC-1:7"), ("PANEL-B:8", "ACC-1:8"), ("PANEL-B:9", "ACC-1:9")]
    assert [cord.label for cord in found.cords] == ["C-7", "C-8", "C-9"]
    assert [(row.end.name, row.free) for row in found.loose] == [("PANEL-C:1", True)]
    assert (found.doubts, found.contradictions) == ((), ())
    assert [heading.text for heading in found.headings] == ["Device", "Port", "Device", "Port", "Label"]


@pytest.mark.parametrize(
    ("typed", "shape", "name"),
    [
        (7, "General", "7"),
        (7.0, "General", "7"),
        (7, "00", "07"),
        (2.1, "0.00", "2.10"),
        (2.07, "General", "2.07"),
        (17, '"C-"000', "C-017"),
        (17, "\\C\\-0", "C-17"),
        (2.5, '0.00" m"', "2.50 m"),
        (17, '"odd "0;"even "0', "17"),
        (0, '"TRUE";"TRUE";"FALSE"', "no"),
        (1, '"WAHR";"WAHR";"FALSCH"', "yes"),
        ("007", "@", "007"),
        ("Gi1/0/7", "General", "Gi1/0/7"),
        (" A\n 7 ", "General", "A 7"),
    ],
)
def test_numbers_are_names_as_they_are_shown(tmp_path: Path, typed: object, shape: str, name: str) -> None:
    """Zeros and decimals of the format count."""
    made = book(cords=[HEADINGS, ("PANEL-B", typed, "ACC-1", 7)])
    made["cords"]["B2"].number_format = shape

    assert read(tmp_path, made).cords[0].one.port == name


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        (date(2026, 2, 1), "'2026-02-01' is a date; a spreadsheet may have made it of a port"),
        (datetime(2026, 2, 1, 22, 40), "'2026-02-01 22:40' is a date; a spreadsheet may have made it of a port"),
        (time(3, 15), "'03:15:00' is a time; a spreadsheet may have made it of a port"),
        (timedelta(hours=27, minutes=15), "'27:15:00' is a time; a spreadsheet may have made it of a port"),
        ("=B9", "'=B9' is a formula; no value of it is stored"),
        ("#REF!", "it says '#REF!'"),
    ],
)
def test_what_a_spreadsheet_made_of_a_port_is_a_doubt(tmp_path: Path, typed: object, why: str) -> None:
    """With its row; `1/2` that has become a date is not guessed back."""
    sheet = read(
        tmp_path, book(cords=[HEADINGS, ("PANEL-B", 1, "ACC-1", typed), ("PANEL-B", 2, "ACC-1", 2, "", "", "", typed)])
    )

    assert joined(sheet) == [("PANEL-B:2", "ACC-1:2")]
    (doubt,) = sheet.doubts
    assert (doubt.why, doubt.origins[0].sheet, doubt.origins[0].line) == (why, "cords", 2)
    assert doubt.boxes == ("ACC-1",)


def test_a_number_in_powers_of_ten_is_a_doubt(tmp_path: Path) -> None:
    """A port called 3E2 has become 300."""
    made = book(cords=[HEADINGS, ("PANEL-B", 300, "ACC-1", 7)])
    made["cords"]["B2"].number_format = "0.00E+00"

    assert [doubt.why for doubt in read(tmp_path, made).doubts] == ["it says '3.00E+02?'"]


def test_a_label_or_jack_that_is_unsure_is_left_out_and_listed(tmp_path: Path) -> None:
    """The cord is used without it; a word for a thing counts, unsure as it is."""
    sheet = read(
        tmp_path,
        book(
            cords=[
                HEADINGS,
                ("PANEL-B", 1, "ACC-1", 1, "C-1 (?)", date(2026, 2, 7), "uplink(?)", "traced once?"),
                ("PANEL-B", 2, "ACC-1", 2, "", "", "door phone (?)"),
            ]
        ),
    )
    cord, door = sheet.cords
    assert (door.serves, sheet.endpoints[-1].kinds) == ("door phone (?)", (EndpointKind.DOOR,))

    assert (cord.label, cord.jack, cord.serves, cord.note) == ("", "", "", "traced once?")
    assert [(one.why, one.origins[0].line) for one in sheet.unsure] == [
        ("cord label: it says 'C-1 (?)'", 2),
        ("jack: '2026-02-07' is a date; a spreadsheet may have made it of a port", 2),
        ("serves: it says 'uplink(?)'", 2),
        ("serves: it says 'door phone (?)'", 3),
    ]


def stored(data: bytes, cell: bytes, made: bytes) -> bytes:
    """Return a workbook in which one cell of its first tab is another."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            part = old.read(name)
            if name == "xl/worksheets/sheet1.xml":
                assert part.count(cell) == 1
                part = part.replace(cell, made)
            new.writestr(name, part)
    return out.getvalue()


@pytest.mark.parametrize(
    ("made", "port", "why"),
    [
        (b'<c r="D2"><f>B2+1</f><v>8</v></c>', "8", ""),
        (b'<c r="D2" t="str"><f>"Gi"&amp;B2</f><v>Gi7</v></c>', "Gi7", ""),
        (b'<c r="D2"><f>B2+1</f></c>', "", "'=B2+1' is a formula; no value of it is stored"),
        (b'<c r="D2" t="str"><f>IF(B2=7,"",1)</f><v></v></c>', "", "'ACC-1' stands without a port"),
        (b'<c r="D2" t="e"><f>B99</f><v>#REF!</v></c>', "", "it says '#REF!'"),
    ],
)
def test_a_formula_is_its_stored_value(tmp_path: Path, made: bytes, port: str, why: str) -> None:
    """As the spreadsheet that saved the file has computed it; nothing is computed here."""
    rows = [HEADINGS, ("PANEL-B", 7, "ACC-1", "=B2+1")]
    book(cords=rows).save(tmp_path / "s.xlsx")
    data = stored((tmp_path / "s.xlsx").read_bytes(), b'<c r="D2"><f>B2+1</f><v /></c>', made)
    (tmp_path / "s.xlsx").write_bytes(data)
    sheet = read_sheet(tmp_path / "s.xlsx", "s.xlsx")

    assert [cord.other.port for cord in sheet.cords] == ([port] if port else [])
    assert [doubt.why for doubt in sheet.doubts] == ([why] if why else [])


def test_what_a_file_says_of_its_size_does_not_count(tmp_path: Path) -> None:
    """Rows beyond the stated size are read, and a formatted cell far below costs nothing."""
    made = book(cords=[("From", "To"), ("PANEL-A:1", "ACC-1:1"), ("PANEL-A:2", "ACC-1:2")])
    made["cords"].cell(1_000_000, 2).number_format = "@"
    made.save(tmp_path / "s.xlsx")
    data = stored((tmp_path / "s.xlsx").read_bytes(), b'<dimension ref="A1:B1000000" />', b'<dimension ref="A1:B2" />')
    (tmp_path / "s.xlsx").write_bytes(data)

    assert len(read_sheet(tmp_path / "s.xlsx", "s.xlsx").cords) == 2


def test_a_merge_of_the_whole_tab_costs_nothing(tmp_path: Path) -> None:
    """It is a title; nothing is unfolded over a million rows."""
    made = book(cords=[("Closet 2",), ("From", "To"), ("PANEL-A:1", "ACC-1:1")])
    made["cords"].merge_cells("A1:B1")
    made.save(tmp_path / "s.xlsx")
    data = stored((tmp_path / "s.xlsx").read_bytes(), b'<mergeCell ref="A1:B1" />', b'<mergeCell ref="A1:XFD1048576"/>')
    (tmp_path / "s.xlsx").write_bytes(data)

    assert joined(read_sheet(tmp_path / "s.xlsx", "s.xlsx")) == [("PANEL-A:1", "ACC-1:1")]


def whole() -> bytes:
    """Return a workbook that can be read."""
    out = io.BytesIO()
    book(cords=[("From", "To"), ("PANEL-A:1", "ACC-1:1")]).save(out)
    return out.getvalue()


def with_part(name: str, part: bytes) -> bytes:
    """Return the workbook with one part replaced, or one added."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(whole())) as old, zipfile.ZipFile(out, "w") as new:
        for other in old.namelist():
            if other != name:
                new.writestr(other, old.read(other))
        new.writestr(name, part)
    return out.getvalue()


def with_shared_texts(texts: bytes) -> bytes:
    """Return the workbook as most spreadsheets save it: its cells are numbers of texts that stand in another part."""
    shared = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    kind = b"application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(whole())) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            part = old.read(name)
            if name == "xl/worksheets/sheet1.xml":
                for number, text in enumerate((b"From", b"To", b"PANEL-A:1", b"ACC-1:1")):
                    inline = b't="inlineStr"><is><t>' + text + b"</t></is>"
                    assert part.count(inline) == 1
                    part = part.replace(inline, b't="s"><v>%d</v>' % number)
            if name == "[Content_Types].xml":
                part = part.replace(
                    b"</Types>", b'<Override PartName="/xl/sharedStrings.xml" ContentType="' + kind + b'"/></Types>'
                )
            new.writestr(name, part)
        new.writestr("xl/sharedStrings.xml", b'<sst xmlns="' + shared.encode() + b'">' + texts + b"</sst>")
    return out.getvalue()


def test_texts_that_cells_share_are_read(tmp_path: Path) -> None:
    """Also one with parts in several fonts."""
    texts = (
        b"<si><t>From</t></si><si><t>To</t></si><si><r><t>PANEL-</t></r><r><t>A:1</t></r></si><si><t>ACC-1:1</t></si>"
    )
    (tmp_path / "s.xlsx").write_bytes(with_shared_texts(texts))

    assert joined(read_sheet(tmp_path / "s.xlsx", "s.xlsx")) == [("PANEL-A:1", "ACC-1:1")]


OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600)


@pytest.mark.parametrize(
    ("data", "message", "hint"),
    [
        (b"", "the file is empty", "CSV"),
        (b"From,To\nA:1,B:1\n", "the file is no workbook", ".csv"),
        (whole()[:-40], "the workbook is cut off or damaged", "copy it again"),
        (whole()[:900], "the workbook is cut off or damaged", "copy it again"),
        (OLE + "EncryptedPackage".encode("utf-16-le"), "the workbook is encrypted", "password"),
        (OLE, r"the workbook is an \.xls file", ".xlsx"),
        (with_part("content.xml", b"<x/>"), "OpenDocument", ".xlsx"),
        (with_part("xl/workbook.xml", b"<workbook>"), "cannot be read", ".xlsx"),
        (with_part("xl/worksheets/sheet1.xml", b"<worksheet><sheetData><row>"), "cannot be read", ".xlsx"),
        (with_shared_texts(b"<si><t>From</t></si>"), "cannot be read", ".xlsx"),
        (with_shared_texts(b"<si><t>From</t></"), "cannot be read", ".xlsx"),
        (whole().replace(b"PK\x01\x02\x14\x03\x14", b"PK\x01\x02\x14\x03\xff"), "cut off or damaged", ".xlsx"),
        (with_part("[Content_Types].xml", b"no"), "cannot be read", ".xlsx"),
    ],
)
def test_a_file_that_is_no_workbook_is_one_error(tmp_path: Path, data: bytes, message: str, hint: str) -> None:
    """What it is, and what to do; never a traceback of a library."""
    (tmp_path / "s.xlsx").write_bytes(data)
    with pytest.raises(SiteError, match=message) as caught:
        read_sheet(tmp_path / "s.xlsx", "s.xlsx")
    assert caught.value.file == "s.xlsx"
    assert hint in caught.value.hint


def test_a_workbook_that_unfolds_without_end_is_refused(tmp_path: Path) -> None:
    """Few octets that become many are not unfolded."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as bomb:
        for number in range(3):
            bomb.writestr(f"xl/{number}.xml", bytes(64 << 20))
    (tmp_path / "s.xlsx").write_bytes(out.getvalue())
    with pytest.raises(SiteError, match="too large for a patch sheet: 192 MiB"):
        read_sheet(tmp_path / "s.xlsx", "s.xlsx")


def test_a_workbook_without_headings_is_an_error(tmp_path: Path) -> None:
    """No tab has two ends of a cord."""
    with pytest.raises(SiteError, match="no row of any tab"):
        read(tmp_path, book(names=[("Name", "Phone"), ("x", "y")], none=[]))
