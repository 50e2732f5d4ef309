"""Ports whose PVID is not the VLAN that they send untagged."""

from pathlib import Path

import pytest

from checks.edge_sites import audited, of, site
from checks.planting import found, planted, told

CLEAN = """
bridge sw1 exists=1,10,30
port sw1:1 pvid=30 member=30 untagged=30
port sw1:2 pvid=30 member=30 untagged=30
port sw1:3 pvid=10 member=10 untagged=10
port sw1:9 pvid=1 member=1,10,30 untagged=1
serves sw1:1 PC stores
vlan 30 -> sw1:1 untagged, sw1:2 untagged
"""
FIRST = "port sw1:1 pvid=30 member=30 untagged=30"


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ("pvid=30 member=30 untagged=30", []),
        ("pvid=30 member=10,30 untagged=30", []),  # the other one leaves with its tag
        ("pvid=1 member=30 untagged=30", [("P113", "1,30")]),
        ("pvid=none member=30 untagged=30", [("P113", "30")]),
        ("pvid=30 member=1,30 untagged=1,30", [("P113", "1,30")]),
    ],
)
def test_both_ways_of_a_port(fields: str, expected: list[tuple[str, str]]) -> None:
    text = planted(CLEAN, (FIRST, f"port sw1:1 {fields}"))
    assert [(code, vids) for code, vids, _ in told(text) if code == "P113"] == expected
    assert {code for code, *_ in told(text)} <= {"P113"}, "what is lost by it hangs on it"


@pytest.mark.parametrize(
    "fields",
    [
        "pvid=? member=30 untagged=30",
        "pvid=1 member=30 untagged=?30",
        "pvid=1 member=?1,30 untagged=1,30",
        "pvid=1 member=30 untagged=30 doubt=yes",
        "pvid=30 member=10,30 untagged=10,30 private=community/10/30",
    ],
)
def test_what_nobody_knows_is_no_finding(fields: str) -> None:
    assert "P113" not in [code for code, *_ in told(planted(CLEAN, (FIRST, f"port sw1:1 {fields}")))]


def test_what_is_lost_by_it_makes_it_an_error() -> None:
    (one,) = found(planted(CLEAN, (FIRST, "port sw1:1 pvid=1 member=30 untagged=30")))
    assert (one.severity.value, one.at) == ("error", {"sw1:1"})
    assert one.effects
    assert "`PC stores` hangs there" in one.headline


def test_still_a_member_of_the_first_vlan_is_one_note_a_box() -> None:
    more = "".join(f"port sw1:{n} pvid=30 member=1,30 untagged=1,30\n" for n in range(11, 17))
    (one,) = found(CLEAN + more)
    assert (one.severity.value, len(one.at)) == ("note", 6)
    assert "sw1:11, sw1:12, sw1:13, sw1:14 and 2 more send VLANs 1,30 untagged" in one.headline


def test_a_vlan_that_is_needed_elsewhere_on_the_box_makes_it_a_warning() -> None:
    text = CLEAN + "port sw1:4 pvid=30 member=10,30 untagged=10,30\nvlan 10 -> sw1:3 untagged\n"
    assert [(one.code, one.severity.value) for one in found(text)] == [("P113", "warning")]


def test_vlans_that_share_a_server_are_quiet() -> None:
    text = """
bridge sw1 exists=1,10,20,30
port sw1:1 pvid=10 member=10,30 untagged=10,30
port sw1:2 pvid=20 member=20,30 untagged=20,30
port sw1:3 pvid=30 member=10,20,30 untagged=10,20,30
"""
    assert told(text) == []
    cut = planted(text, ("port sw1:3 pvid=30 member=10,20,30 untagged=10,20,30", "port sw1:3 pvid=30 member=30"))
    assert "P113" in [code for code, *_ in told(cut)]


def test_empty_ports_handoffs_and_uplinks_are_left_to_other_checks() -> None:
    planted_text = planted(
        CLEAN, (FIRST, "port sw1:1 pvid=30 member=30 untagged=30\nport sw1:5 pvid=1 member=30 untagged=30")
    )
    assert [code for code, *_ in told(planted_text)] == ["P113"]
    assert told(f"{planted_text}\nempty sw1:5") == []
    assert "P113" not in [code for code, *_ in told(f"{planted_text}\nhandoff sw1:5")]
    beyond = f"{planted_text}\nbridge sw2 exists=1,30\nport sw2:1 pvid=1 member=1,30 untagged=1\nlink sw1:5 sw2:1"
    assert "P113" not in [code for code, *_ in told(beyond)]


HAND = """\
port,pvid,tagged,untagged,who,when
1,30,,30,A. Example,2026-03-14
2,30,,30,A. Example,2026-03-14
3,1,10,"1",A. Example,2026-03-14
"""
ICOS = """\
!Current Configuration:
!
!System Description "FSM7328PS"
!
vlan database
vlan 10,30
exit
configure
interface 0/1
vlan pvid 30
vlan participation exclude 1
vlan participation include 30
exit
interface 0/2
vlan pvid 30
vlan participation exclude 1
vlan participation include 30
exit
exit
"""
SHEET = "from,to,serves\nPANEL-A:01,SHOP-4:{},PC stores\nPANEL-A:02,SHOP-4:{},PC goods in\n"
VLAN = (
    'vlans:\n  - {{vid: 30, reaches: [{{at: "SHOP-4:{0}", frame: untagged}}, {{at: "SHOP-4:{1}", frame: untagged}}]}}\n'
)


OWN = ("interface 0/1\nvlan pvid 30\n", "interface 0/1\n")
LEFT = ("0/2\nvlan pvid 30\nvlan participation exclude 1\n", "0/2\nvlan pvid 30\n")


@pytest.mark.parametrize(
    ("text", "ports", "edit", "severity", "says"),
    [
        (ICOS, ("0/1", "0/2"), OWN, "error", "sends VLAN 30 untagged and takes untagged frames for VLAN 1"),
        (ICOS, ("0/1", "0/2"), LEFT, "note", "sends VLANs 1,30"),
        (HAND, ("1", "2"), ("2,30,,30", '2,30,,"1,30"'), "note", "sends VLANs 1,30"),
    ],
)
def test_switches_on_which_both_are_set_apart(
    tmp_path: Path, text: str, ports: tuple[str, str], edit: tuple[str, str], severity: str, says: str
) -> None:
    declared, cords = VLAN.format(*ports), {"as-found": SHEET.format(*ports)}
    clean = site(tmp_path / "clean", {"as-found/SHOP-4.txt": text}, declared, cords)
    assert of("P113", audited(clean)) == []
    assert text.count(edit[0]) == 1
    made = site(tmp_path / "set", {"as-found/SHOP-4.txt": text.replace(*edit)}, declared, cords)
    (one,) = of("P113", audited(made))
    assert (one.severity.value, says in one.headline) == (severity, True)
