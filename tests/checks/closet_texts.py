"""A small closet as configuration text, in one survey or two, for tests that change a line of it."""

from __future__ import annotations

from pathlib import Path

from vlancheck.findings.finding import Finding
from vlancheck.pipeline import open_site

DECLARED = """\
site: Quay Street, cellar
surveys: {as-found: {taken: 2026-03-14 09:00}, as-left: {taken: 2026-03-14 22:00}}
handoffs: [{at: "SW-1:Gi0/1", carrier: Hillcom, circuit: HC-1, phone: 555-0142, untagged: refused}]
services: [{name: records, tag: 310, enters: "SW-1:Gi0/1", leaves: [{at: "SW-1:Gi0/2", frame: untagged}]}]
vlans:
  - {vid: 10, name: desks, reaches: [{at: "PANEL-A:1", frame: untagged}, {at: "PANEL-B:1", frame: untagged}]}
  - {vid: 20, name: phones, reaches: [{at: "PANEL-A:2", frame: untagged}, {at: "PANEL-B:2", frame: untagged}]}
"""
SHEET = """\
From,To,Cord,Serves
NTE-1:lan,SW-1:Gi0/1,C-1,
PANEL-A:3,SW-1:Gi0/2,C-2,server
SW-1:Gi0/9,SW-2:Gi0/9,C-9,
PANEL-A:1,SW-1:Gi0/3,C-3,PC
PANEL-A:2,SW-1:Gi0/4,C-4,printer
PANEL-B:1,SW-2:Gi0/3,C-5,PC
PANEL-B:2,SW-2:Gi0/4,C-6,printer
"""
HEAD = """\
{name}#show running-config
hostname {name}
!
vtp mode transparent
spanning-tree mode rapid-pvst
!
vlan 10
 name DESKS
!
vlan 20
 name PHONES
!
{more}interface GigabitEthernet0/3
 switchport mode access
 switchport access vlan 10
!
interface GigabitEthernet0/4
 switchport mode access
 switchport access vlan 20
!
interface GigabitEthernet0/9
 switchport mode trunk
 switchport trunk allowed vlan 10,20
 switchport nonegotiate
!
"""
CARRIER = """\
vlan 310
!
interface GigabitEthernet0/1
 switchport mode trunk
 switchport trunk allowed vlan 310
 switchport nonegotiate
 spanning-tree bpdufilter enable
!
interface GigabitEthernet0/2
 switchport mode access
 switchport access vlan 310
!
"""
SW_1 = HEAD.format(name="SW-1", more=CARRIER) + "end\n"
SW_2 = HEAD.format(name="SW-2", more="") + "end\n"


def changed(text: str, *swaps: tuple[str, str]) -> str:
    """Return a text with parts of it replaced; each must stand there once."""
    for old, new in swaps:
        assert text.count(old) == 1, f"{old!r} does not stand there once"
        text = text.replace(old, new)
    return text


def shown(text: str, *outputs: str) -> str:
    """Return a configuration with the output of more commands below it, each from its prompt on."""
    name = text.split("#", 1)[0]
    return text + "".join(f"{name}#{one}" for one in outputs) + f"{name}#\n"


def written(root: Path, declared: str = DECLARED, sheet: str = SHEET, **surveys: tuple[str, ...]) -> Path:
    """Write the closet; `as_found=(text, text)` are captures, of one switch each."""
    (root / "patching").mkdir(parents=True)
    for name, texts in surveys.items():
        survey = name.replace("_", "-")
        (root / "captures" / survey).mkdir(parents=True)
        (root / f"patching/{survey}.csv").write_text(sheet, encoding="utf-8")
        for text in texts:
            file = root / "captures" / survey / f"{text.split('#', 1)[0].lower()}.log"
            file.write_text(text, encoding="utf-8")
    (root / "site.yaml").write_text(declared, encoding="utf-8")
    return root


def audited(root: Path, *texts: str, sheet: str = SHEET, declared: str = DECLARED) -> tuple[Finding, ...]:
    """Return what is found in one survey."""
    site = written(root, declared.replace(", as-left: {taken: 2026-03-14 22:00}", ""), sheet, as_found=texts)
    return open_site(site).audit().findings


def verified(
    root: Path, before: tuple[str, ...], after: tuple[str, ...], sheet: str = SHEET, declared: str = DECLARED
) -> tuple[Finding, ...]:
    """Return what is found in the later survey of two, with what changed."""
    return open_site(written(root, declared, sheet, as_found=before, as_left=after)).verify().findings


def codes(findings: tuple[Finding, ...]) -> list[str]:
    """Return the codes of findings, sorted."""
    return sorted(one.code for one in findings)
