"""A small closet before and after: one or more access switches, a patch sheet a survey, and the report of `verify`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import vlancheck
from vlancheck.outcome import Report

BEFORE, AFTER = "09:12:41.007 CET Sat Mar 14 2026", "22:40:05.120 CET Sat Mar 14 2026"
PORTS: Mapping[int, int] = {1: 10, 2: 10, 3: 10, 4: 20, 5: 20, 6: 20, 7: 10, 8: 10}  # access port -> its VLAN
SHEET: Mapping[str, tuple[str, str]] = {  # panel port -> port of ACC-1, what hangs there
    "PANEL-A:01": ("ACC-1:1", "PC reception"),
    "PANEL-A:02": ("ACC-1:2", "PC office"),
    "PANEL-A:04": ("ACC-1:4", "phone reception"),
    "PANEL-A:05": ("ACC-1:5", "phone office"),
}
DECLARED = """\
site: Mill Lane surgery
vlans:
  - vid: 10
    name: desks
    reaches: [{at: "PANEL-A:01", frame: untagged}, {at: "PANEL-A:02", frame: untagged}]
  - vid: 20
    name: phones
    reaches: [{at: "PANEL-A:04", frame: untagged}, {at: "PANEL-A:05", frame: untagged}]
"""


def switch(name: str = "ACC-1", ports: Mapping[int, int] = PORTS, *, clock: str = "", more: str = "") -> str:
    """Return a console log of an access switch; `clock` is the time it says, `more` lines of configuration."""
    told = f"{name}#show clock\n{clock}\n" if clock else ""
    access = "".join(
        f"interface GigabitEthernet0/{port}\n switchport mode access\n switchport access vlan {vid}\n!\n"
        for port, vid in ports.items()
    )
    return (
        f"{told}{name}#show running-config\nhostname {name}\n!\nvtp mode transparent\n!\nvlan 10,20,30\n!\n"
        f"{access}{more}end\n{name}#\n"
    )


def sheet(rows: Mapping[str, tuple[str, str]] = SHEET, **changed: str) -> str:
    """Return a patch sheet; `changed` gives a panel port (`A01`) another port to be patched to."""
    lines = ["From,To,Cord label,Serves"]
    for panel, (port, serves) in rows.items():
        to = changed.get(panel.replace("PANEL-", "").replace(":", ""), port)
        lines.append(f"{panel},{to},C-{panel[-2:]},{serves}")
    return "\n".join(lines) + "\n"


@dataclass
class Closet:
    """A site folder under way."""

    root: Path  # the folder
    declared: str = DECLARED  # text of site.yaml
    found: Mapping[str, str] = field(default_factory=lambda: {"acc-1.txt": switch(clock=BEFORE)})  # captures before
    left: Mapping[str, str] = field(default_factory=lambda: {"acc-1.txt": switch(clock=AFTER)})  # captures after
    patched: str = field(default_factory=sheet)  # the sheet before
    repatched: str = field(default_factory=sheet)  # the sheet after

    def verified(self) -> Report:
        """Write the folder and return the report of its two surveys."""
        for survey, captures, rows in (
            ("as-found", self.found, self.patched),
            ("as-left", self.left, self.repatched),
        ):
            folder = self.root / "captures" / survey
            folder.mkdir(parents=True)
            for name, text in captures.items():
                (folder / name).write_text(text, encoding="utf-8")
            (self.root / "patching").mkdir(exist_ok=True)
            (self.root / "patching" / f"{survey}.csv").write_text(rows, encoding="utf-8")
        (self.root / "site.yaml").write_text(self.declared, encoding="utf-8")
        return vlancheck.open_site(self.root).verify("as-found", "as-left")


def codes(report: Report) -> list[str]:
    """Return the codes of all findings, in their order, but of endpoints that a test has no need to declare."""
    return [finding.code for finding in report.findings if finding.code != "W104"]
