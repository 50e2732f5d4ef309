"""Tables of VLANs beside the configuration, in captures of switches that keep them there, and new boxes without any."""

from __future__ import annotations

from pathlib import Path

import pytest

from vlancheck.findings.finding import Finding, Severity
from vlancheck.pipeline import open_site

PORTS = """\
interface GigabitEthernet1/0/1
 switchport access vlan 10
 switchport mode access
interface GigabitEthernet1/0/2
 switchport access vlan 20
 switchport mode access
interface GigabitEthernet1/0/24
 switchport trunk allowed vlan 10,20
 switchport mode trunk
end
"""
TABLE = """\
{name}#show vlan brief

VLAN Name                             Status    Ports
---- -------------------------------- --------- -------------------------------
1    default                          active
10   desks                            active    Gi1/0/1
20   cameras                          active    Gi1/0/2
1002 fddi-default                     act/unsup
"""
SITE = """\
site: Ropewalk studio
surveys:
  as-found: {captures: captures/as-found}
  as-left: {captures: captures/as-left}
renamed:
  as-left: {ACC-1: ACC-9}
links:
  - ["ACC-1:Gi1/0/24", "CORE-1:Gi1/0/24"]
vlans:
  - {vid: 10, name: desks, reaches: [{at: "ACC-1:Gi1/0/1", frame: untagged}, {at: "CORE-1:Gi1/0/1", frame: untagged}]}
"""


def box(name: str, lines: str = "", after: str = "") -> str:
    """Return the console log of a switch; `lines` stand before its ports, `after` behind the configuration."""
    text = f"{name}#show running-config\nversion 15.2\nhostname {name}\n!\nspanning-tree mode rapid-pvst\n{lines}"
    return f"{text}{PORTS}{after.replace('{name}', name)}{name}#\n"


def surveyed(root: Path, found: dict[str, str], left: dict[str, str]) -> None:
    """Write a site with captures as found and as left (device -> text)."""
    for survey, boxes in (("as-found", found), ("as-left", left)):
        folder = root / "captures" / survey
        folder.mkdir(parents=True)
        for name, text in boxes.items():
            (folder / f"{name}.txt").write_text(text, encoding="utf-8")
    (root / "site.yaml").write_text(SITE, encoding="utf-8")


CORE = box("CORE-1", "vtp mode transparent\nvlan 10,20\n")
OLD = {"ACC-1": box("ACC-1", after=TABLE), "CORE-1": CORE}


def mine(findings: tuple[Finding, ...]) -> list[Finding]:
    return [one for one in findings if one.code.startswith("V")]


@pytest.mark.parametrize("lines", ["", "vtp mode server\n", "vtp mode client\n"])
def test_configuration_without_vlans_is_told_with_what_to_capture(tmp_path: Path, lines: str) -> None:
    surveyed(tmp_path, {"ACC-1": box("ACC-1", lines), "CORE-1": CORE}, {})
    (one,) = mine(open_site(tmp_path).audit("as-found").findings)
    assert (one.code, one.at, one.vids, one.severity) == ("V103", {"ACC-1"}, 1 << 10, Severity.NOTE)
    assert one.settled_by == "show vlan brief"


@pytest.mark.parametrize(
    "acc",
    [
        box("ACC-1", after=TABLE),
        box("ACC-1", "vtp mode transparent\nvlan 10,20\n"),
        box("ACC-1", "vlan 10\n name desks\n"),
    ],
    ids=["table", "in the configuration", "one line of it"],
)
def test_what_the_text_holds_is_not_asked_for(tmp_path: Path, acc: str) -> None:
    surveyed(tmp_path, {"ACC-1": acc, "CORE-1": CORE}, {})
    assert mine(open_site(tmp_path).audit("as-found").findings) == []


def test_new_box_with_the_old_configuration_is_a_warning(tmp_path: Path) -> None:
    surveyed(tmp_path, OLD, {"ACC-9": box("ACC-9"), "CORE-1": CORE})
    (one,) = mine(open_site(tmp_path).verify("as-found", "as-left").findings)
    assert (one.code, one.at, one.severity) == ("V103", {"ACC-9"}, Severity.WARNING)
    assert "ACC-9 takes the place of ACC-1" in one.why
