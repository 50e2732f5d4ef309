"""Alike ports: what sets two ports apart, and which cords nobody moves unasked."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from moves.closets import DECLARED, Row, access, switch, write
from vlancheck.moves.alike import AlikeClass, Alikeness
from vlancheck.moves.compared import Cord
from vlancheck.pipeline import open_site


def found(root: Path, ports: dict[int, Sequence[str]], rows: Sequence[Row], declared: str = DECLARED) -> Alikeness:
    return open_site(write(root, {"acc-1": switch("ACC-1", ports)}, rows, declared)).alike()


def class_of(alikeness: Alikeness, port: int) -> AlikeClass:
    place = f"ACC-1:GigabitEthernet1/0/{port}"
    return next(one for one in alikeness.classes if place in [found.place for found in one.ports])


def numbers(one: AlikeClass) -> list[int]:
    return [int(port.place.rpartition("/")[2]) for port in one.ports]


PAIR: list[Row] = [("PANEL-A:01", "ACC-1:1", "PC one", ""), ("PANEL-A:02", "ACC-1:2", "PC two", "")]


def test_ports_with_the_same_lines_are_alike(tmp_path: Path) -> None:
    """And their cords may move, also to a port of the class with nothing in it."""
    alikeness = found(tmp_path, {1: access(10), 2: access(10), 3: access(10), 4: access(20)}, PAIR)
    one = class_of(alikeness, 1)
    assert numbers(one) == [1, 2, 3]
    assert [port.cord for port in one.ports] == [Cord.FREE, Cord.FREE, Cord.EMPTY]
    assert alikeness.free == 2
    assert numbers(class_of(alikeness, 4)) == [4]


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("speed 100", "speed: 100, there not set"),
        ("duplex full", "duplex: full, there not set"),
        ("power inline never", "power: off, there not set"),
        ("switchport port-security\n switchport port-security mac-address sticky", "sticky-mac: "),
        ("ip dhcp snooping trust", "dhcp-trust: yes, there not set"),
        ("ip arp inspection trust", "arp-trust: yes, there not set"),
        ("spanning-tree bpduguard enable", "bpdu-guard: yes, there not set"),
        ("switchport voice vlan 20", "voice: 20, there not set"),
        ("storm-control broadcast level 5", "storm-limit: "),
        ("ip access-group LAB in", "filter: "),
        ("switchport access vlan 20", "VLANs: PVID 20, there PVID 10"),
        ("switchport protected", "VLANs: "),
    ],
)
def test_one_setting_sets_a_port_apart(tmp_path: Path, line: str, told: str) -> None:
    """Each property by itself, and the words name it."""
    ports = {1: access(10), 2: (*access(10), line), 3: access(10)}
    alikeness = found(tmp_path, ports, PAIR)
    alone = class_of(alikeness, 2)
    assert numbers(alone) == [2]
    assert numbers(class_of(alikeness, 1)) == [1, 3]
    assert alone.nearest == "ACC-1:GigabitEthernet1/0/1"
    assert any(words.startswith(told) for words in alone.apart), alone.apart


@pytest.mark.parametrize(
    ("serves", "note", "cord", "why"),
    [
        ("phone 12 + PC", "", Cord.SIGN, "phone"),
        ("fax", "", Cord.FREE, ""),
        ("PC", "bad port, do not use", Cord.KEPT, "the sheet calls it bad"),
        ("PC", "port not to be used", Cord.KEPT, "the sheet calls it bad"),
        ("PC", "dead", Cord.KEPT, "the sheet calls it bad"),
        ("PC", "intermittent", Cord.KEPT, "the sheet calls it bad"),
        ("PC", "was bad, repaired", Cord.FREE, ""),
        ("PC", "fixed: short cord", Cord.KEPT, "the sheet says"),
        ("", "", Cord.SIGN, "nobody says what hangs there"),
    ],
)
def test_what_may_be_done_with_a_cord(tmp_path: Path, serves: str, note: str, cord: Cord, why: str) -> None:
    rows = [PAIR[0], ("PANEL-A:02", "ACC-1:2", serves, note)]
    port = class_of(found(tmp_path, {1: access(10), 2: access(10)}, rows), 2).ports[1]
    assert port.cord is cord
    assert port.why.startswith(why)


@pytest.mark.parametrize("serves", ["fire alarm dialler", "lift telephone", "door entry phone", "nurse call"])
def test_a_line_that_safety_hangs_on_is_exchanged_with_none(tmp_path: Path, serves: str) -> None:
    alikeness = found(tmp_path, {1: access(10), 2: access(10)}, [PAIR[0], ("PANEL-A:02", "ACC-1:2", serves, "")])
    assert numbers(class_of(alikeness, 1)) == [1]
    (apart,) = [one for one in alikeness.apart if one.place.endswith("/2")]
    assert apart.why.startswith("hold: ")
    assert not apart.doubt


def test_an_address_that_is_kept_is_a_row_to_sign(tmp_path: Path) -> None:
    lines = access(10, "switchport port-security", "switchport port-security mac-address sticky")
    one = class_of(found(tmp_path, {1: lines, 2: lines}, PAIR), 1)
    assert [(port.cord, port.why) for port in one.ports] == [(Cord.SIGN, "sticky MAC")] * 2


def test_a_port_in_doubt_is_in_no_class(tmp_path: Path) -> None:
    """A line that could touch VLANs and was not read."""
    ports = {1: access(10), 2: access(10), 3: (*access(10), "switchport vlan wondrous 7")}
    alikeness = found(tmp_path, ports, PAIR)
    assert numbers(class_of(alikeness, 1)) == [1, 2]
    (apart,) = [one for one in alikeness.apart if one.place.endswith("/3")]
    assert apart.doubt
    assert "wondrous" in apart.why or any("wondrous" in origin.text for origin in apart.origins)
    assert alikeness.open


def test_a_port_whose_vlan_a_server_may_tell_is_in_no_class(tmp_path: Path) -> None:
    ports = {1: access(10), 2: access(10), 3: (*access(10), "authentication port-control auto")}
    (apart,) = [one for one in found(tmp_path, ports, PAIR).apart if one.place.endswith("/3")]
    assert apart.doubt


def test_switches_whose_uplinks_carry_the_same_are_exchangeable(tmp_path: Path) -> None:
    """A port here and one there, where what is needed gets everywhere from both; not where one uplink lacks it."""
    rows: list[Row] = [
        ("ACC-1:24", "ACC-2:24", "", ""),
        ("PANEL-A:01", "ACC-1:1", "PC one", ""),
        ("PANEL-A:02", "ACC-2:1", "PC two", ""),
        ("PANEL-A:03", "ACC-1:2", "scanner", ""),
        ("PANEL-A:04", "ACC-2:2", "scanner", ""),
    ]
    ports = {1: access(10), 2: access(20), 3: access(20)}
    logs = {name.lower(): switch(name, ports, uplink="10") for name in ("ACC-1", "ACC-2")}
    alikeness = open_site(write(tmp_path, logs, rows)).alike()
    places = [[port.place for port in one.ports] for one in alikeness.classes]
    assert places == [
        ["ACC-1:GigabitEthernet1/0/1", "ACC-2:GigabitEthernet1/0/1"],
        ["ACC-1:GigabitEthernet1/0/2", "ACC-1:GigabitEthernet1/0/3"],
        ["ACC-2:GigabitEthernet1/0/2", "ACC-2:GigabitEthernet1/0/3"],
    ]
    assert alikeness.classes[1].nearest == "ACC-2:GigabitEthernet1/0/2"
    assert alikeness.classes[1].apart == ("frames between the two differ",)  # no setting does


def test_a_protected_port_is_alike_to_its_like_alone(tmp_path: Path) -> None:
    guarded = access(10, "switchport protected")
    alikeness = found(tmp_path, {1: guarded, 2: guarded, 3: access(10)}, PAIR)
    assert numbers(class_of(alikeness, 1)) == [1, 2]
    assert numbers(class_of(alikeness, 3)) == [3]
