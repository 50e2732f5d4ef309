"""Faults of private VLANs and protected ports planted in the configuration of two switches, family by family."""

from __future__ import annotations

from pathlib import Path

import pytest
from dialects.private_vlans import FAMILIES, IOS, ISOLATED, NXOS, PROMISCUOUS, TRUNK, Family

from vlancheck.findings.finding import Finding
from vlancheck.pipeline import open_site

SITE = """\
site: Fern Street archive
devices:
  ACC-1: {{dialect: {dialect}, captures: ACC-1.txt}}
  ACC-2: {{dialect: {dialect}, captures: ACC-2.txt}}
links:
  - ["ACC-1:{uplink}", "ACC-2:{uplink}"]
"""
by_family = pytest.mark.parametrize("family", [IOS, NXOS], ids=lambda family: family.dialect)


def audited(root: Path, family: Family, *swaps: tuple[str, str], more: str = "") -> tuple[Finding, ...]:
    """Return the findings of two switches, with passages of ACC-1 typed otherwise."""
    text = family.named("ACC-1")
    for old, new in swaps:
        assert text.count(old) == 1, f"{old!r} does not stand there once"
        text = text.replace(old, new)
    (root / "captures").mkdir()
    (root / "captures" / "ACC-1.txt").write_text(text, encoding="utf-8")
    (root / "captures" / "ACC-2.txt").write_text(family.named("ACC-2"), encoding="utf-8")
    (root / "site.yaml").write_text(
        SITE.format(dialect=family.dialect, uplink=family.of(TRUNK)[0]) + more, encoding="utf-8"
    )
    return open_site(root).audit("as-found").findings


@pytest.mark.parametrize("family", FAMILIES, ids=lambda family: family.dialect)
def test_clean_configuration_has_no_finding(tmp_path: Path, family: Family) -> None:
    assert audited(tmp_path, family) == ()


@by_family
@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("  private-vlan isolated\n", "", "no line says whether VLAN 101 is isolated or a community"),
        ("association 101-103", "association 102-103", "VLAN 101 is not associated with VLAN 100"),
        ("association 101-103", "association 110,102-103", "VLAN 101 is not associated with VLAN 100"),
    ],
)
def test_an_association_is_half_typed(tmp_path: Path, family: Family, old: str, new: str, words: str) -> None:
    """A line forgotten, a digit swapped: both isolated ports of the switch are told of at once."""
    hosts = {f"ACC-1:{port}" for port in family.of(ISOLATED)}
    found = audited(tmp_path, family, (old, new))

    assert [(one.code, one.at) for one in found] == [("J101", hosts)]
    assert words in found[0].headline
    assert found[0].where[0].origin.line > 0


@by_family
def test_a_host_is_bound_to_the_wrong_pair(tmp_path: Path, family: Family) -> None:
    """Primary and secondary changed places in one line."""
    first = family.of(ISOLATED)[0]
    head = f"interface {first}\n"
    start = family.text.index(head)
    stanza = family.text[start : family.text.index("interface ", start + 1)]
    found = audited(tmp_path, family, (stanza, stanza.replace("100 101", "101 100")))

    assert [(one.code, sorted(one.at)) for one in found] == [("J101", [f"ACC-1:{first}"])]


@by_family
def test_the_list_of_the_uplink_lacks_a_secondary_vlan(tmp_path: Path, family: Family) -> None:
    """A list that was cut: hosts of both switches lose the other side's promiscuous ports."""
    uplink = family.of(TRUNK)[0]
    found = audited(tmp_path, family, ("allowed vlan 100-103", "allowed vlan 100-102"))

    assert [(one.code, sorted(one.at), one.vids) for one in found] == [("J102", [f"ACC-1:{uplink}"], 1 << 103)]


@by_family
def test_a_kind_that_differs_between_two_switches(tmp_path: Path, family: Family) -> None:
    found = audited(tmp_path, family, ("  private-vlan isolated\n", "  private-vlan community\n"))

    assert [(one.code, sorted(one.at)) for one in found] == [("J102", ["ACC-1", "ACC-2"])]


@by_family
def test_the_fault_takes_what_is_declared_as_its_effect(tmp_path: Path, family: Family) -> None:
    """What a host of the half-made pair loses stands under the one finding that says why."""
    host, router = (f"ACC-1:{family.of(part)[0]}" for part in (ISOLATED, PROMISCUOUS))
    more = f'vlans:\n  - {{vid: 100, reaches: ["{host}", "{router}"]}}\n'
    found = audited(tmp_path, family, ("association 101-103", "association 102-103"), more=more)

    errors = [one for one in found if one.severity.value == "error"]
    assert [one.code for one in errors] == ["J101"]
    assert errors[0].effects


PROTECTED = """\
hostname NAME
vtp mode transparent
vlan 310
interface GigabitEthernet0/1
 switchport mode access
 switchport access vlan 310
 switchport protected
interface GigabitEthernet0/2
 switchport mode access
 switchport access vlan 310
 switchport protected
interface GigabitEthernet0/23
 switchport mode trunk
 switchport trunk allowed vlan 310
interface GigabitEthernet0/24
 switchport mode trunk
 switchport trunk allowed vlan 310
end
"""
ROOMS = Family(
    "cisco_ios", PROTECTED, (*(f"GigabitEthernet0/{number}" for number in range(1, 9)), "GigabitEthernet0/24")
)
SERVICE = """\
handoffs:
  - {{at: "ACC-2:Gi0/23", carrier: metro, circuit: EX-0001, mode: tagged, ce-vlans: 310, l2cp: discarded}}
services:
  - {{name: Rooms, tag: 310, enters: "ACC-2:Gi0/23", apart: {apart},
     leaves: [{{at: "ACC-1:Gi0/1", frame: untagged}}, {{at: "ACC-2:Gi0/1", frame: untagged}}]}}
"""


def test_protected_ports_of_two_switches_that_are_to_be_kept_apart(tmp_path: Path) -> None:
    """Where the declaration asks for it, and there alone."""
    (tmp_path / "one").mkdir()
    found = [one for one in audited(tmp_path / "one", ROOMS, more=SERVICE.format(apart="true")) if one.code == "J103"]
    assert [sorted(one.at) for one in found] == [["ACC-1:GigabitEthernet0/1", "ACC-2:GigabitEthernet0/1"]]
    assert any("switchport protected" in where.origin.text for where in found[0].where)
    (tmp_path / "other").mkdir()
    assert "J103" not in {one.code for one in audited(tmp_path / "other", ROOMS, more=SERVICE.format(apart="false"))}


ROUTED = """\
version 15.2
hostname ACC-1
vtp mode transparent
vlan 100
 private-vlan primary
 private-vlan association 101-102
vlan 101
 private-vlan isolated
vlan 102
 private-vlan community
interface GigabitEthernet1/0/1
 switchport private-vlan host-association 100 101
 switchport mode private-vlan host
interface GigabitEthernet1/0/2
 switchport private-vlan host-association 100 102
 switchport mode private-vlan host
interface Vlan100
 ip address 10.100.0.1 255.255.255.0
 private-vlan mapping 101-102
end
"""


def routed(root: Path, old: str = "", new: str = "") -> tuple[Finding, ...]:
    """Return the findings of a switch that routes for its private VLAN itself, with a passage typed otherwise."""
    assert not old or ROUTED.count(old) == 1
    (root / "captures").mkdir()
    (root / "captures" / "ACC-1.txt").write_text(ROUTED.replace(old, new) if old else ROUTED, encoding="utf-8")
    (root / "site.yaml").write_text("site: Fern Street archive\n", encoding="utf-8")
    return open_site(root).audit("as-found").findings


def test_the_mapping_of_the_vlan_interface_is_whole(tmp_path: Path) -> None:
    assert routed(tmp_path) == ()


@pytest.mark.parametrize(
    ("new", "vids"),
    [(" private-vlan mapping 101\n", 1 << 102), ("", 1 << 101 | 1 << 102), (" private-vlan mapping 102\n", 1 << 101)],
)
def test_the_mapping_of_the_vlan_interface_lacks_a_vlan(tmp_path: Path, new: str, vids: int) -> None:
    """Hosts hear the router, and it never hears those of the VLAN that its mapping leaves out."""
    found = routed(tmp_path, " private-vlan mapping 101-102\n", new)
    assert [(one.code, sorted(one.at), one.vids) for one in found] == [("J101", ["ACC-1:Vlan100"], vids)]
