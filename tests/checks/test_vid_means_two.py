"""A carrier's tag that is a VLAN of the inside as well: where they meet, where they might, and where they are one."""

from __future__ import annotations

from pathlib import Path

import pytest

from checks.planting import found, planted, told
from vlancheck.findings.finding import Severity
from vlancheck.pipeline import open_site

CLEAN = """
bridge s1 exists=20,310
port s1:24 member=310
port s1:1 pvid=310 member=310 untagged=310
port s1:23 member=20
bridge s2 exists=20,310
port s2:1 member=20
port s2:2 pvid=20 member=20 untagged=20
port s2:3 pvid=20 member=20 untagged=20
link s1:23 s2:1
handoff s1:24
service internet 310 at s1:24 -> s1:1 untagged
vlan 20 -> s2:2 untagged, s2:3 untagged
"""
SAME = (
    ("vlan 20 -> s2:2 untagged, s2:3 untagged", "vlan 310 -> s2:2 untagged, s2:3 untagged"),
    ("port s2:2 pvid=20 member=20 untagged=20", "port s2:2 pvid=310 member=310 untagged=310"),
    ("port s2:3 pvid=20 member=20 untagged=20", "port s2:3 pvid=310 member=310 untagged=310"),
)
JOINED = (("port s1:23 member=20", "port s1:23 member=310"), ("port s2:1 member=20", "port s2:1 member=310"))


def test_number_of_the_carrier_inside_is_a_note_while_a_list_keeps_it_apart() -> None:
    assert told(CLEAN) == []
    (one,) = found(planted(CLEAN, *SAME))
    assert (one.code, one.severity, one.at) == ("R109", Severity.NOTE, frozenset({"s2:2", "s2:3"}))


def test_number_of_the_carrier_inside_where_they_meet_has_the_leaks() -> None:
    (one,) = found(planted(CLEAN, *SAME, *JOINED))
    assert (one.code, one.severity, one.vids) == ("R109", Severity.ERROR, 1 << 310)
    assert {effect.partition(":")[0] for effect in one.effects} == {"internet", "VLAN 310"}


@pytest.mark.parametrize(
    "swaps",
    [
        (("vlan 20 -> s2:2 untagged, s2:3 untagged", "vlan 310 -> s1:24, s1:1 untagged"),),
        (("vlan 20 -> s2:2 untagged, s2:3 untagged", "vlan 310 -> s1:1 untagged"),),
        (*SAME, ("link s1:23 s2:1", "")),
        (*SAME, ("port s1:24 member=310", "port s1:24 member=30\nentry s1:24 match=310 pop=1 push=30")),
        (
            ("service internet 310 at s1:24 -> s1:1 untagged", "service internet 310 at s1:24 -> s1:1, s2:2, s2:3"),
            *SAME,
            *JOINED,
        ),
    ],
    ids=["the handoff is in it", "its own ending", "no cord between", "another number inside", "endings of both"],
)
def test_one_thing_under_one_number_is_no_clash(swaps: tuple[tuple[str, str], ...]) -> None:
    assert "R109" not in {code for code, *_ in told(planted(CLEAN, *swaps))}


SORTING = """\
SORT-1#show running-config
version 15.2
hostname SORT-1
vtp mode transparent
vlan 20,310
interface GigabitEthernet1/0/1
 switchport mode access
 switchport access vlan 310
interface GigabitEthernet1/0/3
 switchport mode access
 switchport access vlan 310
interface GigabitEthernet1/0/4
 switchport mode access
 switchport access vlan 310
interface GigabitEthernet1/0/24
 switchport trunk allowed vlan 310
 switchport mode trunk
end
SORT-1#
"""
SITE = """\
site: Lock House surgery
handoffs:
  - {at: "SORT-1:24", carrier: metro, circuit: EX-0011, owner: service desk, phone: 555-0103}
services:
  - {name: records, tag: 310, enters: "SORT-1:24", leaves: [{at: "SORT-1:1", frame: untagged}]}
vlans:
  - {vid: 310, name: nurses, reaches: [{at: "SORT-1:3", frame: untagged}, {at: "SORT-1:4", frame: untagged}]}
"""


def test_typed_lines_of_both_meanings(tmp_path: Path) -> None:
    (tmp_path / "captures").mkdir()
    (tmp_path / "captures" / "SORT-1.txt").write_text(SORTING, encoding="utf-8")
    (tmp_path / "site.yaml").write_text(SITE, encoding="utf-8")
    (one,) = open_site(tmp_path).audit("as-found").findings
    assert (one.code, one.severity) == ("R109", Severity.ERROR)
    assert {where.origin.line for where in one.where} >= {11, 14, 16}
    (tmp_path / "site.yaml").write_text(SITE.replace("vid: 310", "vid: 20"), encoding="utf-8")
    text = SORTING.replace(
        "/0/3\n switchport mode access\n switchport access vlan 310", "/0/3\n switchport access vlan 20"
    )
    text = text.replace(
        "/0/4\n switchport mode access\n switchport access vlan 310", "/0/4\n switchport access vlan 20"
    )
    (tmp_path / "captures" / "SORT-1.txt").write_text(
        text.replace("access vlan 20", "access vlan 20\n switchport mode access")
    )
    assert open_site(tmp_path).audit("as-found").findings == ()
