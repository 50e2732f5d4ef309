"""An invented closet of two switches and what hangs on them, in which faults are planted in the text of captures."""

from __future__ import annotations

from pathlib import Path

from vlancheck import open_site
from vlancheck.pipeline import Site
from vlancheck.report import mends

DECLARED = """\
site: Lock-keeper's cottage
surveys:
  as-found: {captures: captures/as-found, patching: patching/as-found.csv}
  as-planned: {captures: captures/as-found, patching: patching/as-found.csv, edits: edits}
devices:
  GATE: {kind: host}
  WAN: {kind: host}
  LAN1: {kind: panel}
links:
  - ["CORE:Gi1/0/2", "GATE:inside"]
  - ["CORE:Gi1/0/3", "WAN:eth0"]
  - ["CORE:Gi1/0/1", "ACC:%(uplink)s"]
handoffs:
  - {at: "CORE:Gi1/0/24", carrier: metro, circuit: LK-7, untagged: refused}
services:
  - {name: Records, tag: 310, enters: LK-7, leaves: [{at: "WAN:eth0", frame: untagged}]}
vlans:
  - vid: 10
    name: desks
    reaches: [{at: "GATE:inside", frame: 10}, {at: "LAN1:01-02", frame: untagged}]
    never: [LK-7]
  - vid: 20
    name: gauges
    reaches: [{at: "GATE:inside", frame: 20}, {at: "LAN1:03", frame: untagged}]
    never: [LK-7]
"""

CORE = """\
hostname CORE
!
vtp mode transparent
!
spanning-tree mode rapid-pvst
!
vlan 10
 name desks
!
vlan 20
 name gauges
!
vlan 310
 name records
!
interface GigabitEthernet1/0/1
 switchport trunk native vlan 999
 switchport trunk allowed vlan 10,20
 switchport mode trunk
 switchport nonegotiate
!
interface GigabitEthernet1/0/2
 switchport trunk native vlan 999
 switchport trunk allowed vlan 10,20
 switchport mode trunk
 switchport nonegotiate
!
interface GigabitEthernet1/0/3
 switchport access vlan 310
 switchport mode access
!
interface GigabitEthernet1/0/24
 switchport trunk native vlan 999
 switchport trunk allowed vlan 310
 switchport mode trunk
 switchport nonegotiate
!
end
"""

IOS = (
    CORE[: CORE.index("vlan 310")].replace("hostname CORE", "hostname ACC")
    + """\
interface GigabitEthernet1/0/1
 switchport access vlan 10
 switchport mode access
!
interface GigabitEthernet1/0/2
 switchport access vlan 10
 switchport mode access
!
interface GigabitEthernet1/0/3
 switchport access vlan 20
 switchport mode access
!
interface GigabitEthernet1/0/49
 switchport trunk native vlan 999
 switchport trunk allowed vlan 10,20
 switchport mode trunk
 switchport nonegotiate
!
end
"""
)

PROCURVE = """\
; J9776A Configuration Editor; Created on release #YA.16.10.0012
hostname "ACC"
vlan 1
   name "DEFAULT_VLAN"
   no untagged 1-3,25
   untagged 4-24,26-28
   exit
vlan 10
   name "desks"
   untagged 1-2
   tagged 25
   exit
vlan 20
   name "gauges"
   untagged 3
   tagged 25
   exit
spanning-tree
"""

ACCESS = {"cisco_ios": (IOS, "Gi1/0/{}", "Gi1/0/49"), "hp_procurve": (PROCURVE, "{}", "25")}


def closet(folder: Path, access: str = "cisco_ios", core: str = CORE, acc: str = "") -> Site:
    """Write the closet and open it; `acc` is the access switch's text, of the family `access`."""
    text, jack, uplink = ACCESS[access]
    (folder / "captures/as-found").mkdir(parents=True)
    (folder / "patching").mkdir()
    (folder / "edits").mkdir()
    (folder / "site.yaml").write_text(DECLARED % {"uplink": uplink})
    (folder / "captures/as-found/core.txt").write_text(core)
    (folder / "captures/as-found/acc.txt").write_text(acc or text)
    rows = [f"LAN1:0{number},ACC:{jack.format(number)},C-{number},{what}" for number, what in enumerate(JACKS, 1)]
    (folder / "patching/as-found.csv").write_text("\n".join(["from,to,cord,serves", *rows, ""]))
    return open_site(folder)


JACKS = ("desk", "desk", "gauge")


def replaced(text: str, under: str, old: str, new: str) -> str:
    """Return the text with a line that stands under a heading replaced; it must stand there."""
    start = text.index(f"{under}\n")
    end = text.index("!" if "!" in text else "exit", start)
    assert f"{old}\n" in text[start:end], f"{old!r} does not stand under {under!r}"
    return text[:start] + text[start:end].replace(f"{old}\n", f"{new}\n" if new else "") + text[end:]


def typed(site: Site, folder: Path) -> Site:
    """Type what is proposed for a site at its planned survey, and open it again."""
    for name, data in mends.files(site.mend()).items():
        if not name.startswith("undo-"):
            (folder / "edits" / name).write_bytes(data)
    return open_site(folder)
