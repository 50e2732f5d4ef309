"""What tells that something declared is lost or leaks, where no check finds the cause."""

import pytest

from checks.planting import found, planted, told
from vlancheck.findings.finding import Severity

CLEAN = """
bridge sw1 exists=1,310,320
port sw1:1 member=310,320
port sw1:2 member=310 pvid=310 untagged=310
port sw1:3 member=320 pvid=320 untagged=320
port sw1:4 member=1 pvid=1 untagged=1
port sw1:5 member=1 pvid=1 untagged=1
handoff sw1:1
service records 310 at sw1:1 -> sw1:2 untagged
service voice 320 at sw1:1 -> sw1:3 untagged
"""
ENTRY = "port sw1:1 member=310,320"
FREE = "port sw1:4 member=1 pvid=1 untagged=1"


def test_clean_site_has_no_finding() -> None:
    assert told(CLEAN) == []


def test_all_that_is_lost_at_one_place_is_one_finding() -> None:
    (one,) = found(planted(CLEAN, (ENTRY, "port sw1:1 member=none")))
    assert (one.code, one.severity, one.at) == ("S101", Severity.ERROR, {"sw1:1"})
    assert {effect.split(":")[0] for effect in one.effects} == {"records", "voice"}
    assert any(where.origin.text == "port sw1:1 member=none" for where in one.where)


def test_what_is_lost_at_two_places_is_two_findings() -> None:
    text = planted(
        CLEAN,
        ("port sw1:2 member=310 pvid=310 untagged=310", "port sw1:2 member=none"),
        ("port sw1:3 member=320 pvid=320 untagged=320", "port sw1:3 member=none"),
    )
    assert told(text) == [("S101", "310", "sw1:2"), ("S101", "320", "sw1:3")]


def test_other_tag_than_declared() -> None:
    text = planted(CLEAN, ("port sw1:2 member=310 pvid=310 untagged=310", "port sw1:2 member=310"))
    (one,) = found(text)
    assert (one.code, one.at) == ("S101", {"sw1:2"})
    assert "mismatched" in one.effects[0]


def test_what_nobody_knows_is_no_finding_of_these() -> None:
    text = planted(
        CLEAN, ("port sw1:2 member=310 pvid=310 untagged=310", "port sw1:2 member=?310 pvid=310 untagged=310")
    )
    assert not {"S101", "S102"} & {one.code for one in found(text)}


@pytest.mark.parametrize(
    ("swap", "more", "what"),
    [
        ("port sw1:4 member=310 pvid=310 untagged=310", "", ""),
        ("port sw1:4 member=310 pvid=310 untagged=310", "hold sw1:4 lift", "hold"),
        (
            "port sw1:4 member=310 pvid=310 untagged=310",
            "service other 1 at sw1:5 -> sw1:4 untagged",
            "service other",
        ),
    ],
    ids=["plugged in", "hold", "another service"],
)
def test_leak(swap: str, more: str, what: str) -> None:
    findings = found(f"{planted(CLEAN, (FREE, swap))}\n{more}")
    leaks = [one for one in findings if one.code == "S102" and one.headline.startswith("records")]
    (one,) = leaks
    assert (one.at, one.severity) == ({"sw1:4"}, Severity.ERROR)
    assert one.effects == (f"records: leaks to sw1:4{f' ({what})' if what else ''}",)
    assert what in one.headline


@pytest.mark.parametrize("more", ["empty sw1:4", "unseen sw1:4"])
def test_port_with_nothing_plugged_in_is_no_certain_leak(more: str) -> None:
    text = planted(CLEAN, (FREE, "port sw1:4 member=310 pvid=310 untagged=310"))
    assert "S102" not in {one.code for one in found(f"{text}\n{more}")}


def test_two_services_that_leak_to_one_port_are_both_told() -> None:
    text = planted(CLEAN, (FREE, "port sw1:4 member=310,320"))
    findings = [one for one in found(text) if one.code == "S102"]
    assert {effect.split(":")[0] for one in findings for effect in one.effects} == {"records", "voice"}
    assert {place for one in findings for place in one.at} == {"sw1:4"}


def test_leak_over_a_merged_link_stands_under_the_link() -> None:
    text = """
bridge sw1 exists=10,20 tree=off
port sw1:1 member=10
port sw1:2 member=10 pvid=10 untagged=10
port sw1:3 member=10,20 pvid=10 untagged=10
bridge sw2 exists=10,20 tree=off
port sw2:1 member=20
port sw2:2 member=20 pvid=20 untagged=20
port sw2:3 member=10,20 pvid=20 untagged=20
link sw1:3 sw2:3
handoff sw1:1 sw2:1
service records 10 at sw1:1 -> sw1:2 untagged
service voice 20 at sw2:1 -> sw2:2 untagged
"""
    (one,) = found(text)
    assert (one.code, one.severity) == ("L102", Severity.ERROR)
    assert "records: leaks to sw2:1 (handoff)" in one.effects
    assert any(effect.startswith("voice: leaks to sw1:1") for effect in one.effects)


def test_places_lost_behind_a_missing_cord() -> None:
    text = CLEAN + "bridge sw2 exists=310\nport sw2:1 member=310 pvid=310 untagged=310\n"
    text += "service far 310 at sw1:1 -> sw2:1 untagged\n"
    findings = [one for one in found(text) if one.code == "S101"]
    assert [effect.split(":")[0] for one in findings for effect in one.effects] == ["far"]
    assert "no cord leads" in findings[0].headline
