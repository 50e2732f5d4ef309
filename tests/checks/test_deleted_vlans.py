"""VLANs that planned lines delete: who still uses them, in the notation and in lines of several families."""

from __future__ import annotations

from pathlib import Path

import pytest
from changes.rehearsals import LOFT, SHEET, access, hall, loft, rehearsed, with_loft

from checks.planting import found, planted, told
from vlancheck.findings.finding import Finding, Severity

CLEAN = """
deleted sw1 30
bridge sw1 exists=1,10
port sw1:1 member=10 pvid=10 untagged=10
port sw1:2 member=10
port sw1:3 member=10 pvid=10 untagged=10
port sw1:4 member=1-4094 pvid=1 untagged=1
port sw1:Vlan10 kind=inside member=10 pvid=10 untagged=10
setting sw1 hostname=sw1
empty sw1:3
"""


@pytest.mark.parametrize(
    ("old", "new", "severity", "how"),
    [
        (
            "port sw1:1 member=10 pvid=10 untagged=10",
            "port sw1:1 member=30 pvid=30 untagged=30",
            Severity.WARNING,
            "untagged at 1",
        ),
        (
            "port sw1:1 member=10 pvid=10 untagged=10",
            "port sw1:1 member=10,30 pvid=10 untagged=10",
            Severity.NOTE,
            "tagged at 1",
        ),
        ("port sw1:2 member=10", "port sw1:2 member=10,30", Severity.NOTE, "tagged at 2"),
        (
            "port sw1:3 member=10 pvid=10 untagged=10",
            "port sw1:3 member=30 pvid=30 untagged=30",
            Severity.NOTE,
            "untagged at 3",
        ),
        (
            "port sw1:Vlan10 kind=inside member=10 pvid=10 untagged=10",
            "port sw1:Vlan10 kind=inside member=30 pvid=30 untagged=30",
            Severity.NOTE,
            "the VLAN of Vlan10",
        ),
    ],
    ids=["in use", "voice", "trunk", "empty", "own interface"],
)
def test_every_use_is_told(old: str, new: str, severity: Severity, how: str) -> None:
    (one,) = found(planted(CLEAN, (old, new)))
    assert (one.code, one.vids, one.at, one.severity) == ("T103", 1 << 30, {"sw1"}, severity)
    assert one.headline.endswith(how)


def test_own_interface_with_an_address_matters() -> None:
    text = planted(
        CLEAN,
        (
            "port sw1:Vlan10 kind=inside member=10 pvid=10 untagged=10",
            "port sw1:Vlan30 kind=inside member=30 pvid=30 untagged=30",
        ),
        ("setting sw1 hostname=sw1", 'setting sw1 "address:Vlan30"=192.0.2.1'),
    )
    assert next((one.code, one.severity) for one in found(text)) == ("T103", Severity.WARNING)


@pytest.mark.parametrize("swaps", [(), (("deleted sw1 30", "deleted sw1 999"),)])
def test_vlan_that_nobody_uses_may_go(swaps: tuple[tuple[str, str], ...]) -> None:
    assert told(planted(CLEAN, *swaps)) == []


def test_several_are_one_finding() -> None:
    text = planted(
        CLEAN, ("deleted sw1 30", "deleted sw1 30-35"), ("port sw1:2 member=10", "port sw1:2 member=10,30-32")
    )
    assert told(text) == [("T103", "30-32", "sw1")]


def of_lines(root: Path, device: str, lines: str, **site: object) -> list[Finding]:
    """Return what a plan with pasted lines is told, beside what becomes of what is needed."""
    report = rehearsed(root, edits={device: lines}, **site)  # type: ignore[arg-type]
    return [one for one in report.findings if one.code[0] in "TV"]


LOFT_SITE = {"declared": LOFT, "found": with_loft("ACC-2", "")}
HALL_SITE = {"declared": LOFT, "found": with_loft("ACC-3", "GigabitEthernet1/0/")}


@pytest.mark.parametrize(
    ("device", "lines", "boxes", "site"),
    [
        ("ACC-1", "no vlan 20\n", {}, {"found": SHEET}),
        ("ACC-1", "no vlan 20\n", {"ACC-1": access(after=access())}, {"found": SHEET}),
        ("ACC-2", "no vlan 20\n", {"ACC-2": loft()}, LOFT_SITE),
        ("ACC-3", "undo vlan 20\n", {"ACC-3": hall()}, HALL_SITE),
    ],
    ids=["cisco_ios", "cisco_ios captured twice", "hp_procurve", "hp_comware"],
)
def test_deleted_under_its_ports(
    tmp_path: Path, device: str, lines: str, boxes: dict[str, str], site: dict[str, object]
) -> None:
    (one,) = of_lines(tmp_path, device, lines, boxes=boxes, **site)
    assert (one.code, one.vids, one.at) == ("T103", 1 << 20, {device})
    assert one.severity is Severity.ERROR
    assert any(effect.startswith("cameras") for effect in one.effects)


def test_line_is_the_place_to_look_at(tmp_path: Path) -> None:
    (one,) = of_lines(tmp_path, "ACC-1", "no vlan 20\n")
    first = one.where[0].origin
    assert (first.text, first.line, one.where[0].primary) == ("no vlan 20", 1, True)
    assert one.headline.startswith("`no vlan 20` deletes VLAN 20 at ACC-1, which is ")


@pytest.mark.parametrize(
    "lines",
    [
        "no vlan 999\nvlan 999\n",
        "no vlan 30\n",
        "interface GigabitEthernet0/6\n switchport access vlan 10\n",
    ],
    ids=["made again", "never there", "nothing deleted"],
)
def test_what_deletes_nothing_is_quiet(tmp_path: Path, lines: str) -> None:
    assert [one.code for one in of_lines(tmp_path, "ACC-1", lines)] == []


def test_vlan_whose_ports_are_moved_with_it_may_go(tmp_path: Path) -> None:
    moved = "interface range GigabitEthernet0/4 , GigabitEthernet0/6\n switchport access vlan 10\n"
    trunks = "interface range GigabitEthernet0/23 , GigabitEthernet0/24\n switchport trunk allowed vlan remove 20\n"
    report = of_lines(tmp_path, "ACC-1", f"{moved}{trunks}no vlan 20\n")
    assert [one.code for one in report] == []
