"""A closet before a rebuild and the plan for it: captures as found, a planned patch sheet, lines to be pasted."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import vlancheck
from vlancheck.findings.finding import Finding
from vlancheck.outcome import Report

MACS = {port: f"0000.5e00.53{port:02x}" for port in range(1, 25)}  # addresses of documentation, RFC 7042, 2.1.1
USERS: Mapping[int, int] = {1: 10, 2: 10, 3: 10, 4: 20, 5: 10, 6: 20}  # access port of ACC-1 -> its VLAN
TRUNK = (
    " switchport trunk encapsulation dot1q\n switchport trunk native vlan 999\n"
    " switchport trunk allowed vlan 10,20,99\n switchport mode trunk\n"
)
DECLARED = """\
site: Kiln Road depot

surveys:
  as-found:
  as-planned: {captures: captures/as-found, patching: patching/as-planned.csv}

devices:
  DESKSW: {kind: unmanaged}

vlans:
  - vid: 10
    name: desks
    reaches: ["RTR-1:Gi0/0.10", {at: "PANEL-A:01", frame: untagged}, {at: "PANEL-A:02", frame: untagged}]
  - vid: 20
    name: cameras
    reaches: ["RTR-1:Gi0/0.20", {at: "PANEL-A:04", frame: untagged}]
  - vid: 99
    name: management
    reaches: ["RTR-1:Gi0/0.99"]
"""
SHEET: Mapping[str, tuple[str, str]] = {  # one end -> the other end, what hangs there
    "CORE-1:Gi1/0/1": ("ACC-1:Gi0/23", ""),
    "CORE-1:Gi1/0/3": ("RTR-1:Gi0/0", ""),
    "PANEL-A:01": ("ACC-1:Gi0/1", "PC stores"),
    "PANEL-A:02": ("ACC-1:Gi0/2", "PC office"),
    "PANEL-A:04": ("ACC-1:Gi0/4", "camera yard"),
}


LOFT = DECLARED.replace(
    '"PANEL-A:02", frame: untagged}', '"PANEL-A:02", frame: untagged}, {at: "PANEL-B:01", frame: untagged}'
).replace('"PANEL-A:04", frame: untagged}', '"PANEL-A:04", frame: untagged}, {at: "PANEL-B:04", frame: untagged}')


def with_loft(box: str, port: str) -> dict[str, tuple[str, str]]:
    """Return the sheet of a closet with one more switch; `port` stands before the numbers of its ports."""
    return {
        **SHEET,
        "CORE-1:Gi1/0/2": (f"{box}:{port}23", ""),
        "PANEL-B:01": (f"{box}:{port}1", "PC loft"),
        "PANEL-B:04": (f"{box}:{port}4", "camera loft"),
    }


def access(more: Mapping[int | str, str] | None = None, users: Mapping[int, int] = USERS, after: str = "") -> str:
    """Return the console log of ACC-1; `more` lines stand under a port (a number), `after` behind the configuration."""
    more = dict(more or {})
    text = "ACC-1#show running-config\nversion 15.2\nhostname ACC-1\n!\nvtp mode transparent\n!\n"
    text += f"spanning-tree mode rapid-pvst\n{more.pop('box', '')}!\nvlan 10,20,99,999\n!\n"
    for port, vid in users.items():
        text += f"interface GigabitEthernet0/{port}\n switchport access vlan {vid}\n switchport mode access\n"
        text += f"{more.pop(port, '')}!\n"
    for port in (23, 24):
        text += f"interface GigabitEthernet0/{port}\n{TRUNK}{more.pop(port, '')}!\n"
    for port, lines in more.items():
        text += f"interface {port}\n{lines}!\n"
    text += "interface Vlan99\n ip address 192.0.2.11 255.255.255.0\n!\nip default-gateway 192.0.2.1\nend\n"
    return f"{text}{after}ACC-1#\n"


def loft(more: Mapping[int | str, str] | None = None) -> str:
    """Return the configuration of ACC-2, of a family that writes ports under VLANs; `more` lines as for `access`."""
    more = dict(more or {})
    text = '; J9145A Configuration Editor; Created on release #W.15.14.0007\nhostname "ACC-2"\n'
    text += more.pop("box", "")
    text += "".join(f"interface {port}\n{lines}   exit\n" for port, lines in more.items())
    text += 'vlan 1\n   name "DEFAULT_VLAN"\n   no untagged 1-24\n   exit\n'
    text += 'vlan 10\n   name "desks"\n   untagged 1-3,5,7-22\n   tagged 23-24\n   no ip address\n   exit\n'
    text += 'vlan 20\n   name "cameras"\n   untagged 4,6\n   tagged 23-24\n   no ip address\n   exit\n'
    text += 'vlan 99\n   name "management"\n   ip address 192.0.2.12 255.255.255.0\n   tagged 23-24\n   exit\n'
    return text + "spanning-tree\nspanning-tree mode rapid-pvst\n"


def hall(more: Mapping[int | str, str] | None = None) -> str:
    """Return the configuration of ACC-3, of a family whose lines are taken back by `undo`; `more` as for `access`."""
    more = dict(more or {})
    text = "#\n version 7.1.070, Release 6126\n#\n sysname ACC-3\n#\n stp mode rstp\n stp global enable\n#\n"
    text += "".join(f"vlan {vid}\n#\n" for vid in (1, 10, 20, 99))
    for port, vid in USERS.items():
        text += f"interface GigabitEthernet1/0/{port}\n port access vlan {vid}\n{more.pop(port, '')}#\n"
    for port in (23, 24):
        text += f"interface GigabitEthernet1/0/{port}\n port link-type trunk\n undo port trunk permit vlan 1\n"
        text += f" port trunk permit vlan 10 20 99\n{more.pop(port, '')}#\n"
    text += "interface Vlan-interface99\n ip address 192.0.2.13 255.255.255.0\n#\nreturn\n"
    return text


def core(more: Mapping[int | str, str] | None = None) -> str:
    """Return the console log of CORE-1; `more` lines stand under a port."""
    more = dict(more or {})
    text = "CORE-1#show running-config\nversion 15.2\nhostname CORE-1\n!\nvtp mode transparent\n!\n"
    text += f"spanning-tree mode rapid-pvst\n{more.pop('box', '')}!\nvlan 10,20,99,999\n!\n"
    for port in (1, 2, 3, 4):
        text += f"interface GigabitEthernet1/0/{port}\n{TRUNK}{more.pop(port, '')}!\n"
    for port, lines in more.items():
        text += f"interface {port}\n{lines}!\n"
    text += "interface Vlan99\n ip address 192.0.2.10 255.255.255.0\n!\nend\n"
    return f"{text}CORE-1#\n"


ROUTER = (
    "RTR-1#show running-config\nversion 15.2\nhostname RTR-1\n!\ninterface GigabitEthernet0/0\n no ip address\n!\n"
    + "".join(
        f"interface GigabitEthernet0/0.{vid}\n encapsulation dot1Q {vid}\n ip address 192.0.2.{vid} 255.255.255.0\n!\n"
        for vid in (10, 20, 99)
    )
    + "end\nRTR-1#\n"
)


def addresses(seen: Mapping[str, tuple[int, str]]) -> str:
    """Return what `show mac address-table` prints: port -> VLAN and address."""
    rows = "".join(f"  {vid:>3}    {mac}    DYNAMIC     {port}\n" for port, (vid, mac) in seen.items())
    return (
        "ACC-1#show mac address-table\n          Mac Address Table\n"
        "-------------------------------------------\n\n"
        "Vlan    Mac Address       Type        Ports\n----    -----------       --------    -----\n" + rows
    )


def rehearsed(
    root: Path,
    boxes: Mapping[str, str] | None = None,
    plan: Mapping[str, tuple[str, str] | None] | None = None,
    edits: Mapping[str, str] | None = None,
    declared: str = DECLARED,
    found: Mapping[str, tuple[str, str]] = SHEET,
) -> Report:
    """Write the site and return what `verify --after as-planned` says.

    `boxes` are captures (device -> text) in place of the usual ones, `plan` rows of the planned sheet that differ
    (None: the cord is taken out), `edits` lines to be pasted (device -> text).
    """
    captured = {"CORE-1": core(), "ACC-1": access(), "RTR-1": ROUTER, **(boxes or {})}
    for folder in ("captures/as-found", "patching", "edits"):
        (root / folder).mkdir(parents=True)
    for name, text in captured.items():
        (root / "captures/as-found" / f"{name.lower()}.txt").write_text(text, encoding="utf-8")
    for name, text in (edits or {}).items():
        (root / "edits" / f"{name}.txt").write_text(text, encoding="utf-8")
    planned = {end: row for end, row in {**found, **(plan or {})}.items() if row is not None}
    for survey, rows in (("as-found", found), ("as-planned", planned)):
        lines = ["From,To,Serves", *(f"{one},{other},{serves}" for one, (other, serves) in rows.items())]
        (root / "patching" / f"{survey}.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    if edits:
        declared = declared.replace("as-planned.csv}", "as-planned.csv, edits: edits}")
    (root / "site.yaml").write_text(declared, encoding="utf-8")
    return vlancheck.open_site(root).verify("as-found", "as-planned")


def told(report: Report) -> list[str]:
    """Return code and places of every finding, in the order of the report."""
    return [f"{one.code} {' '.join(sorted(one.at))}" for one in report.findings]


def the(report: Report, code: str) -> Finding:
    """Return the only finding with a code."""
    (one,) = [finding for finding in report.findings if finding.code == code]
    return one
