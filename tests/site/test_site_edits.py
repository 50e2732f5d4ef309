"""Lines to be pasted, typed at the devices that the captures show."""

from pathlib import Path

import pytest

import vlancheck
from vlancheck.errors import CaptureError

SWITCH = """hostname SORT-1
!
vlan 10,20,30
!
interface GigabitEthernet0/1
 switchport mode trunk
 switchport trunk allowed vlan 10,20
!
interface GigabitEthernet0/2
 switchport mode access
 switchport access vlan 10
!
"""
SITE = """site: Rope Walk Bakery, cellar
surveys:
  as-found:
  as-planned: {captures: captures/as-found, edits: edits}
"""


def planned(folder: Path, edits: dict[str, str]) -> vlancheck.Survey:
    """Return the planned survey of a site with one switch and lines to be pasted."""
    (folder / "captures/as-found").mkdir(parents=True)
    (folder / "edits").mkdir()
    (folder / "captures/as-found/sort-1.txt").write_text(SWITCH)
    (folder / "site.yaml").write_text(SITE)
    for name, text in edits.items():
        (folder / "edits" / name).write_text(text)
    return vlancheck.open_site(folder).survey("as-planned")


@pytest.mark.parametrize(
    ("lines", "vids"),
    [
        ("switchport trunk allowed vlan add 30", {10, 20, 30}),
        ("switchport trunk allowed vlan 30", {30}),
        ("switchport trunk allowed vlan remove 20", {10}),
        ("no switchport trunk allowed vlan", {1, 10, 20, 30}),
    ],
)
def test_lines_act_as_the_device_takes_them(tmp_path: Path, lines: str, vids: set[int]) -> None:
    """A bare list replaces, `add` adds, `no` is everything: Catalyst 3750 Metro Command Reference, p. 754."""
    survey = planned(tmp_path, {"SORT-1.txt": f"interface GigabitEthernet0/1\n {lines}\n"})
    port = survey.boxes.devices["SORT-1"].bridge_ports["GigabitEthernet0/1"]

    assert {vid for vid in (1, 10, 20, 30) if port.member.sure >> vid & 1} == vids


def test_evidence_is_the_line_to_be_pasted_and_the_captures_stay(tmp_path: Path) -> None:
    survey = planned(tmp_path, {"SORT-1.txt": "interface GigabitEthernet0/2\n switchport access vlan 20\n"})
    port = survey.boxes.devices["SORT-1"].bridge_ports["GigabitEthernet0/2"]

    assert port.pvid.value == 20
    assert [(one.file, one.line) for one in port.pvid.origins if one.file.startswith("edits")] == [
        ("edits/SORT-1.txt", 2)
    ]
    found = vlancheck.open_site(tmp_path).survey("as-found").boxes.devices["SORT-1"]
    assert found.bridge_ports["GigabitEthernet0/2"].pvid.value == 10


def test_lines_for_a_box_that_nobody_captured(tmp_path: Path) -> None:
    survey = planned(tmp_path, {"ACC-1.txt": "interface GigabitEthernet0/2\n shutdown\n"})
    with pytest.raises(CaptureError, match="lines for ACC-1, of which there is no configuration") as caught:
        _ = survey.boxes
    assert caught.value.file == "edits/ACC-1.txt"
    assert "captured: SORT-1" in caught.value.hint
