"""Lines that put ports into a VLAN by a name that none has, from configurations of a family that writes names."""

from __future__ import annotations

from pathlib import Path

import pytest

from vlancheck.findings.finding import Finding
from vlancheck.pipeline import open_site

TEXT = """\
set version 18.4R2
set system host-name LOFT-1
set interfaces ge-0/0/0 unit 0 family ethernet-switching interface-mode trunk
set interfaces ge-0/0/0 unit 0 family ethernet-switching vlan members desks
set interfaces ge-0/0/0 unit 0 family ethernet-switching vlan members phones
set interfaces ge-0/0/1 unit 0 family ethernet-switching interface-mode access
set interfaces ge-0/0/1 unit 0 family ethernet-switching vlan members desks
set vlans desks vlan-id 10
set vlans phones vlan-id 20
"""
SITE = """\
site: Loft
devices:
  PC-1: {kind: host}
  AP-1: {kind: host}
links:
  - ["LOFT-1:ge-0/0/0", "AP-1:eth0"]
"""
CORD = '  - ["LOFT-1:ge-0/0/1", "PC-1:eth0"]\n'


def audited(root: Path, text: str, cords: str = CORD) -> tuple[Finding, ...]:
    captures = root / "captures"
    captures.mkdir()
    (captures / "LOFT-1.conf").write_text(text, encoding="utf-8")
    (root / "site.yaml").write_text(f"{SITE}{cords}", encoding="utf-8")
    return open_site(root).audit("as-found").findings


def test_names_that_there_are_have_no_finding(tmp_path: Path) -> None:
    assert audited(tmp_path, TEXT) == ()


@pytest.mark.parametrize(
    ("old", "new", "ports"),
    [
        ("ge-0/0/1 unit 0 family ethernet-switching vlan members desks", "desk", ["ge-0/0/1"]),
        ("ge-0/0/0 unit 0 family ethernet-switching vlan members phones", "phoens", ["ge-0/0/0"]),
        ("set vlans desks vlan-id 10", "", ["ge-0/0/0", "ge-0/0/1"]),
    ],
    ids=["access", "trunk", "the VLAN is not made"],
)
def test_a_name_that_no_vlan_has(tmp_path: Path, old: str, new: str, ports: list[str]) -> None:
    changed = f"{old.rpartition(' ')[0]} {new}" if new else ""
    (one,) = audited(tmp_path, TEXT.replace(old, changed))
    assert (one.code, one.severity.value, one.at) == ("V102", "warning", frozenset({"LOFT-1"}))
    assert sorted({where.port for where in one.where}) == ports
    assert f"`{new or 'desks'}`" in one.headline


def test_a_port_without_a_cord_is_no_finding(tmp_path: Path) -> None:
    text = TEXT.replace(
        "ge-0/0/1 unit 0 family ethernet-switching vlan members desks",
        "ge-0/0/1 unit 0 family ethernet-switching vlan members desk",
    )
    assert audited(tmp_path, text, cords="") == ()


def test_a_part_of_a_configuration_may_lack_the_statement(tmp_path: Path) -> None:
    """Where no statement makes any VLAN they may stand in what was not captured."""
    text = "\n".join(line for line in TEXT.splitlines() if not line.startswith("set vlans"))
    assert audited(tmp_path, text) == ()
