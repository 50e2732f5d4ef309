"""Kinds of cords: words of the trade, cords that no frame passes, labels that name another end."""

from __future__ import annotations

from pathlib import Path

import pytest
from closets import closet, sheet_of, switch

from vlancheck.errors import UsageError
from vlancheck.site.boxes import Occupancy
from vlancheck.site.cordkinds import NO_FRAMES, WORDS, CordKind, cord_kind, says_analog
from vlancheck.site.endpoints import EndpointKind, caution, endpoint_kinds
from vlancheck.site.lookup import lookup
from vlancheck.site.sheet import Clash


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("Cat 6a U/UTP", CordKind.COPPER),
        ("cat5e", CordKind.COPPER),
        ("DAC 3 m", CordKind.COPPER),
        ("LC-LC duplex OM4", CordKind.FIBRE_PAIR),
        ("Fibre pair", CordKind.FIBRE_PAIR),
        ("singlemode", CordKind.FIBRE_PAIR),
        ("stacking cable", CordKind.STACK),
        ("IEC C13", CordKind.POWER),
        ("analogue", CordKind.ANALOG),
        ("RJ11", CordKind.ANALOG),
        ("POTS line", CordKind.ANALOG),
        ("permanent", None),
        ("haystack", None),
        ("category", None),
        ("", None),
    ],
)
def test_words_of_the_trade(text: str, kind: CordKind | None) -> None:
    """Whole words in any case; what nobody placed is no kind."""
    assert cord_kind(text) is kind


def test_every_word_names_its_kind() -> None:
    """No kind takes a word of another."""
    assert {word: cord_kind(word) for words in WORDS.values() for word in words.split("|")} == {
        word: kind for kind, words in WORDS.items() for word in words.split("|")
    }
    assert set(WORDS) == set(CordKind) > NO_FRAMES


def test_an_adapter_makes_a_line_data() -> None:
    """What stands behind one is no analog line at the port."""
    assert says_analog("analogue fax")
    assert says_analog("POTS 214")
    assert not says_analog("analogue fax behind ATA-2")
    assert not says_analog("analogous PC")


def test_kind_and_colour_are_kept_as_written(tmp_path: Path) -> None:
    """Also a kind that nobody placed."""
    sheet = sheet_of(tmp_path, "From,To,Type,Jacket\nPANEL-A:1,ACC-1:1,Grade Q,violet\nPANEL-A:2,ACC-1:2,CAT6,\n")

    assert [(cord.kind, cord.colour) for cord in sheet.cords] == [("Grade Q", "violet"), ("CAT6", "")]


POWER = """
From,To,Label,Kind
PANEL-A:1,ACC-1:1,C-1,cat6
ACC-1:stack1,ACC-2:stack1,S-1,stack
ACC-1:PSU 1,PDU-1:3,P-1,power
ACC-2:PSU 1,PDU-1:3,P-2,power
ACC-1:nonsense,ACC-2:2,C-2,cat6
"""


def test_power_and_stack_cords_are_no_links(tmp_path: Path) -> None:
    """They make no box and no doubt; what contradicts itself among them is told."""
    made = closet(tmp_path, "site: t\n", POWER, [switch("ACC-1"), switch("ACC-2")])

    assert "PDU-1" not in made.devices
    assert made.cords == ()
    assert [doubt.origins[0].line for doubt in made.doubts] == [6]
    assert [(one.clash, one.name) for one in made.contradictions] == [(Clash.PORT_TWICE, "PDU-1:3")]
    assert made.occupancy("ACC-1:GigabitEthernet1/0/1").state is Occupancy.OCCUPIED
    with pytest.raises(UsageError, match="P-1 joins no ports of the network: ACC-1:PSU 1 to PDU-1:3"):
        lookup(made, "P-1")


def test_an_analog_cord_is_known_at_its_port(tmp_path: Path) -> None:
    """At a port of a captured switch; a box that nobody captured may be anything."""
    sheet = "From,To,Kind\nPANEL-A:1,ACC-1:1,rj11\nPANEL-A:2,ACC-1:2,cat6\nPANEL-A:3,NODE-9:1,rj11\n"
    made = closet(tmp_path, "site: t\n", sheet, [switch("ACC-1")])

    assert {place: [row.line for row in rows] for place, rows in made.analog.items()} == {
        "ACC-1:GigabitEthernet1/0/1": [2]
    }


@pytest.mark.parametrize(
    ("label", "other"),
    [
        ("C-017", ""),
        ("ACC-1:7", ""),
        ("PANEL-B:07 / ACC-1:7", ""),
        ("panel-b port 7", ""),
        ("ACC-1:Gi1/0/7", ""),
        ("2.07", ""),
        ("ACC-1 2024", ""),
        ("XACC-1:9", ""),
        ("ACC-1:9", "ACC-1:9"),
        ("PANEL-B:07 / ACC-1:9", "ACC-1:9"),
        ("PANEL-B:8/ACC-1:7", "PANEL-B:8"),
        ("ACC-2:7", "ACC-2:7"),
        ("2.08", "2.08"),
    ],
)
def test_a_label_that_names_another_end(tmp_path: Path, label: str, other: str) -> None:
    """A port of a box of the sheet, or a jack; a number is a number."""
    sheet = sheet_of(
        tmp_path,
        f"""
        Panel port,Switch,Switch port,Jack,Label
        PANEL-B:07,ACC-1,7,2.07,{label}
        PANEL-B:08,ACC-2,8,2.08,
        """,
    )

    assert [(one.clash, one.origins[0].line) for one in sheet.contradictions] == (
        [(Clash.LABEL_ELSEWHERE, 2)] if other else []
    )
    assert [one.message for one in sheet.contradictions if other] == (
        [f"the label {label} names {other}, and its row says PANEL-B:07 to ACC-1:7"] if other else []
    )


def test_a_label_does_not_put_its_ports_in_doubt(tmp_path: Path) -> None:
    """The row says where the cord goes."""
    made = closet(tmp_path, "site: t\n", "From,To,Label\nPANEL-A:1,ACC-1:1,ACC-1:2\n", [switch("ACC-1")])

    assert [one.places for one in made.contradictions] == [("ACC-1:GigabitEthernet1/0/1",)]
    assert made.doubted == {}


def test_held_lines_get_their_caution() -> None:
    """An alarm, a lift, a door, an emergency or a medical line; nothing else."""
    for text in ("fire alarm", "lift telephone", "door lock", "nurse call", "refuge phone"):
        assert "local codes" in caution(endpoint_kinds(text))
    assert caution((EndpointKind.PC, EndpointKind.OTHER)) == ""
    assert endpoint_kinds("HV-1 NIC 2") == (EndpointKind.SERVER,)


@pytest.mark.parametrize("text", ["B-01..B-12", "01..12", "1 to 12", "1\u201312", "PANEL-B:01..PANEL-B:12"])
def test_ranges_as_people_write_them(tmp_path: Path, text: str) -> None:
    """Twelve cords a row."""
    panel = text if text.startswith("PANEL") else f"PANEL-B:{text}"
    sheet = sheet_of(tmp_path, f"From,To\n{panel},ACC-1:1-12\n")

    assert (len(sheet.cords), sheet.doubts) == (12, ())
    assert sheet.cords[-1].one.name.endswith("12")
    bare = sheet_of(tmp_path, "Panel port,Switch,Switch port\nB-01..B-12,ACC-1,1..12\n")
    assert [cord.one.name for cord in bare.cords][::11] == ["B-01", "B-12"]
