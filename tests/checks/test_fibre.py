"""Fibre that does not go together, by what the kinds of a patch sheet say, and nothing where they do not say it."""

from __future__ import annotations

from pathlib import Path

import pytest

from checks.planting import found
from vlancheck.findings.finding import Finding, Severity
from vlancheck.pipeline import open_site
from vlancheck.site.fibre import LASER, Fibre, fibre

BOXES = """
bridge sw1 exists=10
port sw1:1 member=10
bridge sw2 exists=10
port sw2:1 member=10
"""


def link(*kinds: str) -> tuple[Finding, ...]:
    """Return the findings of a link between two switches of three pieces, or of one cord."""
    sockets = ["sw1:1", "TRAY-A:1", "TRAY-B:1", "sw2:1"] if len(kinds) > 1 else ["sw1:1", "sw2:1"]
    ends = zip(sockets, sockets[1:], kinds, strict=False)
    made = found(BOXES + "\n".join(f'row {one} {other} kind="{kind}"' for one, other, kind in ends))
    assert {one.code for one in made} <= {"W106"}
    return made


@pytest.mark.parametrize(
    ("kinds", "words", "severity"),
    [
        (("LC-LC OM4", "permanent OS2", "SM"), "multimode glass meets single-mode", Severity.WARNING),
        (("duplex 9/125", "backbone 50/125", ""), "single-mode glass meets multimode", Severity.WARNING),
        (("LC/UPC OS2", "permanent SC/APC-LC/APC OS2", ""), "UPC meets APC", Severity.WARNING),
        (("SC/APC", "tie SC/PC", ""), "APC meets UPC", Severity.WARNING),
        (("LC-LC OS2", "permanent SC OS2", ""), "LC meets SC", Severity.NOTE),
        (("cat6", "permanent fibre OM3", ""), "fibre meets copper", Severity.WARNING),
    ],
)
def test_cords_that_do_not_go_together(kinds: tuple[str, ...], words: str, severity: Severity) -> None:
    (one,) = link(*kinds)
    assert one.headline == f"sw1:1 to sw2:1: {words} at TRAY-A:1"
    assert (one.severity, one.at) == (severity, frozenset({"sw1:1", "sw2:1"}))
    assert LASER in one.why
    assert len(one.where) == 2


@pytest.mark.parametrize(
    "kinds",
    [
        ("LC-LC OM4", "permanent OM3", "LC-LC OM4"),
        ("LC-SC OS2", "permanent SC OS2", "LC-SC OS2"),
        ("LC/UPC-SC/APC OS2", "permanent SC/APC", ""),
        ("fibre", "permanent OS2", ""),
        ("OM4 or OS2", "permanent OS2", "OS2"),
        ("ethernet", "permanent fibre", "ethernet"),
        ("cat5e st", "permanent cat6", "cat5e"),
        ("MTP OM4", "permanent MPO OM4", "MPO"),
        ("stack", "power", "analog"),
    ],
)
def test_what_is_not_said_or_goes_together_is_quiet(kinds: tuple[str, ...]) -> None:
    assert link(*kinds) == ()


@pytest.mark.parametrize("crossings", ["A", "B", "AAA", "AAB", "ABA", "BAA", "ABB", "BBB", "BAB"])
def test_pair_is_crossed_an_odd_number_of_times(crossings: str) -> None:
    made = link(*(f"LC OS2 A-to-{far}" for far in crossings))
    assert bool(made) is (crossings.count("B") % 2 == 0)
    assert all("A meets A" in one.headline for one in made)


@pytest.mark.parametrize("kinds", [("LC A-A", "permanent OS2", "LC A-A"), ("LC simplex A-A",), ("LC A-A A-B",)])
def test_pair_of_which_a_piece_says_nothing_is_not_counted(kinds: tuple[str, ...]) -> None:
    assert link(*kinds) == ()


def test_words_are_read_as_written() -> None:
    both = frozenset({("LC", "UPC"), ("SC", "APC")})
    assert fibre("LC/UPC-SC/APC OS2 A-to-B") == Fibre("single-mode", both, True)
    assert fibre("lc duplex om4 a-a") == Fibre("multimode", frozenset({("LC", "")}), False)
    assert fibre("APC OS2") == Fibre("single-mode", frozenset({("", "APC")}), None)
    assert fibre("cat6") is fibre("") is None


SHEET = """\
From,To,Cord label,Kind
SORT-1:25,TRAY-A:1,F-001,LC-LC {cord}
TRAY-A:1,TRAY-B:1,T-1,permanent OS2
TRAY-B:1,CORE-1:25,F-002,LC-LC OS2
"""
SWITCH = """\
{name}#show running-config
version 15.2
hostname {name}
vtp mode transparent
vlan 10
interface GigabitEthernet1/0/25
 switchport trunk allowed vlan 10
 switchport mode trunk
 switchport nonegotiate
end
{name}#
"""


@pytest.mark.parametrize("cord", ["OS2", "OM4"])
def test_sheet_of_a_site(tmp_path: Path, cord: str) -> None:
    (tmp_path / "captures").mkdir()
    (tmp_path / "patching").mkdir()
    for name in ("SORT-1", "CORE-1"):
        (tmp_path / "captures" / f"{name}.txt").write_text(SWITCH.format(name=name), encoding="utf-8")
    (tmp_path / "patching" / "as-found.csv").write_text(SHEET.format(cord=cord), encoding="utf-8")
    (tmp_path / "site.yaml").write_text("site: Quarry Road school\n", encoding="utf-8")
    made = open_site(tmp_path).audit("as-found").findings
    assert [one.code for one in made] == (["W106"] if cord == "OM4" else [])
    for one in made:
        assert [where.origin.line for where in one.where] == [2, 3]
        assert one.headline.endswith("multimode glass meets single-mode at TRAY-A:1")
