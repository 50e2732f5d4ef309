"""Faults of a router on one trunk planted in its configuration and its switch's, as a tired person would type them."""

from __future__ import annotations

from pathlib import Path

import pytest

from vlancheck.findings.finding import Finding
from vlancheck.pipeline import open_site

SWITCH = """\
SW-1#show running-config
version 15.2
hostname SW-1
vtp mode transparent
vlan 10,20,99
interface GigabitEthernet1/0/1
 switchport trunk native vlan 99
 switchport trunk allowed vlan 10,20,99
 switchport mode trunk
interface GigabitEthernet1/0/2
 switchport mode access
 switchport access vlan 10
interface GigabitEthernet1/0/3
 switchport mode access
 switchport access vlan 20
interface GigabitEthernet1/0/4
 switchport mode access
 switchport access vlan 99
end
SW-1#
"""
ROUTER = """\
RTR-1#show running-config
version 15.1
hostname RTR-1
interface GigabitEthernet0/0
 no ip address
 duplex auto
 speed auto
interface GigabitEthernet0/0.10
 encapsulation dot1Q 10
 ip address 192.0.2.1 255.255.255.128
interface GigabitEthernet0/0.20
 encapsulation dot1Q 20
 ip address 192.0.2.129 255.255.255.128
interface GigabitEthernet0/0.99
 encapsulation dot1Q 99 native
 ip address 198.51.100.1 255.255.255.0
end
RTR-1#
"""
SITE = """\
site: Quay Street gallery
links:
  - ["SW-1:Gi1/0/1", "RTR-1:Gi0/0"]
vlans:
  - {vid: 10, name: desks, reaches: ["RTR-1:Gi0/0.10", {at: "SW-1:Gi1/0/2", frame: untagged}]}
  - {vid: 20, name: phones, reaches: [{at: "RTR-1:Gi0/0", frame: 20}, {at: "SW-1:Gi1/0/3", frame: untagged}]}
  - {vid: 99, name: management, reaches: [{at: "RTR-1:Gi0/0", frame: untagged}, {at: "SW-1:Gi1/0/4", frame: untagged}]}
"""


def audited(root: Path, *edits: tuple[str, str]) -> tuple[Finding, ...]:
    """Return the findings of the site after passages were typed otherwise, each of which stands once in its text."""
    text = {"SW-1.txt": SWITCH, "RTR-1.txt": ROUTER}
    for old, new in edits:
        (name,) = [name for name, one in text.items() if old in one]
        assert text[name].count(old) == 1, f"{old!r} does not stand there once"
        text[name] = text[name].replace(old, new)
    captures = root / "captures"
    captures.mkdir()
    for name, one in text.items():
        (captures / name).write_text(one, encoding="utf-8")
    (root / "site.yaml").write_text(SITE, encoding="utf-8")
    return open_site(root).audit("as-found").findings


def test_clean_configurations_have_no_finding(tmp_path: Path) -> None:
    assert audited(tmp_path) == ()


@pytest.mark.parametrize(
    ("edit", "code", "hurt"),
    [
        ((" encapsulation dot1Q 20\n", " encapsulation dot1Q 200\n"), "R102", {"phones"}),
        ((" encapsulation dot1Q 20\n", ""), "R103", {"phones"}),
        ((" encapsulation dot1Q 20\n", " encapsulation dot1Q 20\n shutdown\n"), "R102", {"phones"}),
        ((" encapsulation dot1Q 20\n", " encapsulation dot1Q 10\n"), "R105", {"phones"}),
        ((" encapsulation dot1Q 99 native\n", " encapsulation dot1Q 99\n"), "R101", set()),
        ((" no ip address\n", " no ip address\n shutdown\n"), "P101", {"desks", "phones", "management"}),
        (("allowed vlan 10,20,99\n", "allowed vlan 10,99\n"), "R101", {"phones"}),
        (("native vlan 99\n", "native vlan 1\n"), "R104", {"management"}),
        (
            (
                " switchport trunk native vlan 99\n switchport trunk allowed vlan 10,20,99\n switchport mode trunk\n",
                " switchport mode access\n switchport access vlan 99\n",
            ),
            "R101",
            {"desks", "phones"},
        ),
    ],
    ids=[
        "a digit too many",
        "no encapsulation",
        "sub-interface shut",
        "tag twice",
        "native forgotten",
        "main interface shut",
        "not on the trunk",
        "native of the switch",
        "access port toward the router",
    ],
)
def test_planted_fault_is_the_only_finding(tmp_path: Path, edit: tuple[str, str], code: str, hurt: set[str]) -> None:
    (one,) = audited(tmp_path, edit)
    # The main interface takes untagged frames as well, without an address: nothing declared is proven lost by that.
    assert (one.code, one.severity.value) == (code, "error" if hurt else "warning")
    assert {effect.partition(":")[0] for effect in one.effects} == hurt


def test_number_in_a_name_alone_is_no_fault(tmp_path: Path) -> None:
    old = "interface GigabitEthernet0/0.20\n"
    assert audited(tmp_path, (old, "interface GigabitEthernet0/0.2020\n")) == ()
