"""Faults of service instances planted in the configuration of a switch, as a tired person would type them."""

from __future__ import annotations

from pathlib import Path

import pytest

from vlancheck.findings.finding import Finding
from vlancheck.pipeline import open_site

POP = "  rewrite ingress tag pop 1 symmetric\n"
TEXT = f"""\
version 12.2
hostname SORT-1
vtp mode transparent
vlan 10,20
interface GigabitEthernet0/1
 switchport trunk allowed vlan none
 switchport mode trunk
 service instance 310 ethernet
  encapsulation dot1q 310
{POP}  bridge-domain 10
 !
 service instance 320 ethernet
  encapsulation dot1q 320
{POP}  bridge-domain 20
 !
!
interface GigabitEthernet0/2
 switchport access vlan 10
 switchport mode access
!
interface GigabitEthernet0/3
 switchport trunk allowed vlan none
 switchport mode trunk
 service instance 1 ethernet
  encapsulation untagged
  bridge-domain 20
 !
!
end
"""
SITE = """\
site: Fern Street archive
devices:
  SORT-1: {dialect: cisco_ios, captures: SORT-1.txt}
handoffs:
  - {at: "SORT-1:Gi0/1", circuit: EX-0001, carrier: metro, mode: tagged, ce-vlans: [0310, 0320], l2cp: discarded}
services:
  - {name: Records, tag: 310, enters: EX-0001, leaves: [{at: "SORT-1:Gi0/2", frame: untagged}]}
  - {name: Voice, tag: 320, enters: EX-0001, leaves: [{at: "SORT-1:Gi0/3", frame: untagged}]}
"""


def audited(root: Path, old: str = "", new: str = "") -> tuple[Finding, ...]:
    """Return the findings of the switch with one passage typed otherwise."""
    assert not old or TEXT.count(old) == 1, f"{old!r} does not stand there once"
    (root / "captures").mkdir()
    (root / "captures" / "SORT-1.txt").write_text(TEXT.replace(old, new) if old else TEXT, encoding="utf-8")
    (root / "site.yaml").write_text(SITE, encoding="utf-8")
    return open_site(root).audit("as-found").findings


def test_clean_configuration_has_no_finding(tmp_path: Path) -> None:
    assert audited(tmp_path) == ()


@pytest.mark.parametrize(
    ("tag", "service", "where"),
    [("310", "Records", "SORT-1:GigabitEthernet0/2"), ("320", "Voice", "SORT-1:GigabitEthernet0/3")],
)
def test_tag_is_not_taken_off(tmp_path: Path, tag: str, service: str, where: str) -> None:
    """It comes out at the access port, and is dropped where an instance lets out untagged frames alone."""
    (one,) = audited(tmp_path, f"dot1q {tag}\n{POP}", f"dot1q {tag}\n")
    assert (one.code, one.severity.value, sorted(one.at)) == ("Q102", "error", ["SORT-1:GigabitEthernet0/1"])
    assert f"EFP{tag} selects frames by a tag and takes none off: at {where} they have one too many" in one.headline
    assert [effect.partition(":")[0] for effect in one.effects] == [service]


def test_digits_of_a_tag_are_swapped(tmp_path: Path) -> None:
    (one,) = audited(tmp_path, "dot1q 310", "dot1q 301")
    assert (one.code, one.severity.value, sorted(one.at)) == ("S101", "error", ["SORT-1:GigabitEthernet0/1"])


def test_service_is_put_into_the_domain_of_another(tmp_path: Path) -> None:
    (one,) = audited(tmp_path, "bridge-domain 10", "bridge-domain 20")
    assert (one.code, sorted(one.at)) == ("S101", ["SORT-1:GigabitEthernet0/2"])
    assert [effect.partition(":")[0] for effect in one.effects] == ["Records"]


def test_rewrite_that_is_not_symmetric_proves_nothing(tmp_path: Path) -> None:
    """Neither is the service carried nor is it known to be lost; the line is named."""
    (one,) = audited(tmp_path, f"320\n{POP}", f"320\n{POP.replace(' symmetric', '')}")
    assert one.code == "U101"
    assert "rewrite ingress tag pop 1" in one.headline
