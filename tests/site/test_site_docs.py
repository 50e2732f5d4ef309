"""docs/site-folder.md says what is so: its examples are read, its tables are complete."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from closets import folder, switch

from vlancheck.dot1q.model import DeviceKind
from vlancheck.pipeline import read_paths
from vlancheck.site import accepted, declaration, devices, expected, handoffs, services, surveys
from vlancheck.site.build import build
from vlancheck.site.cordkinds import WORDS
from vlancheck.site.declaration import read_declaration
from vlancheck.site.headings import HEADINGS
from vlancheck.site.reading import read_sheet
from vlancheck.site.sheet import Clash

TEXT = (Path(__file__).parents[2] / "docs/site-folder.md").read_text(encoding="utf-8")
(YAML,) = re.findall(r"```yaml\n(.*?)```", TEXT, re.DOTALL)
SHEETS = re.findall(r"```csv\n(.*?)```", TEXT, re.DOTALL)


def site(root: Path) -> Path:
    """Write the documented site."""
    folder(root, YAML, {"as-found.csv": SHEETS[0], "as-planned.csv": SHEETS[0]})
    for name in ("as-found", "as-left"):
        (root / "captures" / name).mkdir(parents=True)
        (root / "captures" / name / "sorting.log").write_text("x", encoding="utf-8")
    (root / "edits").mkdir()
    return root


def test_the_documented_site_is_read_and_built(tmp_path: Path) -> None:
    """Every name in the example is a place of the example."""
    declared = read_declaration(site(tmp_path / "s"))
    sheet = read_sheet(tmp_path / "s/patching/as-found.csv", "as-found.csv")
    boxes = build(declared, [switch("SORT-1"), switch("ACC-1")], sheet, survey="as-found")

    assert list(declared.surveys) == ["as-found", "as-planned", "as-left"]
    assert (boxes.contradictions, boxes.doubts) == ((), ())
    assert [ending.spot.place for ending in boxes.placed.services[1].endings] == ["PBX-1:eth0"]
    assert [hold.owner for hold in boxes.placed.holds] == ["building services"]


def test_the_example_has_every_key() -> None:
    """A key that is not in the example is not documented."""
    keys = {*declaration._KEYS, *surveys._KEYS, *devices._DEVICE_KEYS, *devices._PORT_KEYS, *handoffs.HANDOFF_KEYS}
    keys |= {*services._SERVICE_KEYS, *services._VLAN_KEYS, *services._ENDING_KEYS, *expected._EXPECTED_KEYS}
    keys |= {*expected._HOLD_KEYS, *handoffs.END_KEYS, *accepted._KEYS}

    assert keys == {key for key in keys if re.search(rf"(?<![\w-]){key}:", YAML)}


@pytest.mark.parametrize("text", SHEETS)
def test_the_documented_sheets_are_read(tmp_path: Path, text: str) -> None:
    """Without doubts, without headings that cannot be placed."""
    (tmp_path / "s.csv").write_text(text, encoding="utf-8")
    sheet = read_sheet(tmp_path / "s.csv", "s.csv")

    assert len(sheet.rows) == len(text.splitlines()) - 1
    assert (sheet.doubts, sheet.contradictions, sheet.unplaced_headings) == ((), (), ())


def test_the_tables_are_complete() -> None:
    """Headings, contradictions and kinds of devices are listed as they are."""
    headings = [f"| {sense} | {', '.join(words.split('|'))} |" for sense, words in HEADINGS.items()]
    kinds = [f"| {kind} | {', '.join(words.split('|'))} |" for kind, words in WORDS.items()]

    assert [line for line in (*headings, *kinds) if line not in TEXT] == []
    assert [clash for clash in Clash if f"| {clash} | " not in TEXT] == []
    assert [kind for kind in DeviceKind if f"`{kind}`" not in TEXT] == []


def test_the_documented_table_copied_by_hand_is_read(tmp_path: Path) -> None:
    """The ports, their VLANs, and a port of which two rows say different things."""
    (table,) = re.findall(r"```text\n(Port;PVID;.*?)```", TEXT, re.DOTALL)
    (tmp_path / "SW-3.csv").write_text(table, encoding="utf-8")
    (found,) = read_paths([tmp_path / "SW-3.csv"]).devices

    assert (found.name, found.dialect) == ("SW-3", "hand_copy")
    assert {name: port.pvid.value for name, port in found.bridge_ports.items() if not port.doubt}["2"] == 20
    assert set(found.ports) == {"1", "2", "3", "4", "7"}
