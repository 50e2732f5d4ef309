"""Bundles whose ends do not join, whose modes mix, and whose cords lead to two places."""

import pytest

from checks.planting import found, planted, told
from vlancheck.findings.finding import Severity

CLEAN = """
bridge sw1 exists=10 tree=per-vlan
port sw1:1 bundle=po1 bundle-mode=active
port sw1:2 bundle=po1 bundle-mode=active
port sw1:po1 member=10
port sw1:9 member=10 pvid=10 untagged=10
bridge sw2 exists=10 tree=per-vlan
port sw2:1 bundle=po1 bundle-mode=active
port sw2:2 bundle=po1 bundle-mode=active
port sw2:po1 member=10
port sw2:9 member=10 pvid=10 untagged=10
link sw1:1 sw2:1
link sw1:2 sw2:2
vlan 10 -> sw1:9 untagged, sw2:9 untagged
"""


def modes(one: str, other: str) -> str:
    """Return the clean text with the ends' modes; "" leaves the word out."""
    lines = []
    for line in CLEAN.strip().splitlines():
        mode = one if line.startswith("port sw1:") else other
        lines.append(line.replace(" bundle-mode=active", f" bundle-mode={mode}" if mode else ""))
    return "\n".join(lines)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("active", "active"),
        ("active", "passive"),
        ("passive", "active"),
        ("on", "on"),
        ("", "on"),
        ("", ""),
        ("desirable", "auto"),
    ],
)
def test_modes_that_pair(one: str, other: str) -> None:
    assert told(modes(one, other)) == []


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("on", "active"),
        ("on", "passive"),
        ("passive", "passive"),
        ("", "active"),
        ("auto", "auto"),
        ("active", "desirable"),
    ],
)
def test_modes_that_do_not_pair(one: str, other: str) -> None:
    (finding,) = [finding for finding in found(modes(one, other)) if finding.code == "B101"]
    assert finding.at == {"sw1:1", "sw1:2", "sw1:po1", "sw2:1", "sw2:2", "sw2:po1"}
    assert "and 1 more" in finding.headline
    assert {where.place for where in finding.where} == {"sw1:1", "sw1:2", "sw2:1", "sw2:2"}
    assert {finding.code for finding in found(modes(one, other))} == {"B101"}, "what is lost by it hangs on it"


def test_what_is_lost_hangs_on_the_bundle() -> None:
    (finding,) = found(modes("on", "active"))
    assert finding.severity is Severity.ERROR
    assert finding.effects


def test_only_one_member_differs() -> None:
    text = planted(CLEAN, ("port sw2:2 bundle=po1 bundle-mode=active", "port sw2:2 bundle=po1 bundle-mode=on"))
    (finding,) = [finding for finding in found(text) if finding.code == "B101"]
    assert finding.at == {"sw1:2", "sw1:po1", "sw2:2", "sw2:po1"}
    assert "more" not in finding.headline


def test_far_end_is_in_no_bundle() -> None:
    swaps = [(f"port sw2:{n} bundle=po1 bundle-mode=active", f"port sw2:{n} member=10") for n in (1, 2)]
    text = planted(modes("on", "active"), *swaps, ("port sw2:po1 member=10", ""))
    (finding,) = [finding for finding in found(text) if finding.code == "B101"]
    assert "is in no bundle" in finding.headline
    assert finding.at == {"sw1:1", "sw1:2", "sw1:po1", "sw2:1", "sw2:2"}


def test_bundle_toward_a_host_is_quiet() -> None:
    text = """
bridge sw1 exists=10
port sw1:1 bundle=po1 bundle-mode=active
port sw1:2 bundle=po1 bundle-mode=active
port sw1:po1 member=10 pvid=10 untagged=10
port sw1:9 member=10 pvid=10 untagged=10
device srv kind=host
end srv:1
end srv:2
link sw1:1 srv:1
link sw1:2 srv:2
"""
    assert "B101" not in [finding.code for finding in found(text)]


def test_members_without_a_cord_that_mix_modes() -> None:
    text = """
bridge sw1 exists=10
port sw1:1 bundle=po1 bundle-mode=active
port sw1:2 bundle=po1 bundle-mode=on
port sw1:po1 member=10 pvid=10 untagged=10
"""
    assert told(text) == [("B101", "none", "sw1:1 sw1:2 sw1:po1")]


def test_active_and_passive_may_stand_side_by_side() -> None:
    text = planted(CLEAN, ("port sw1:2 bundle=po1 bundle-mode=active", "port sw1:2 bundle=po1 bundle-mode=passive"))
    assert told(text) == []


THIRD = """
bridge sw3 exists=10 tree=per-vlan
port sw3:1 bundle=po1 bundle-mode=active
port sw3:po1 member=10
port sw3:9 member=10 pvid=10 untagged=10
"""


def test_cord_in_another_device() -> None:
    text = planted(CLEAN + THIRD.strip(), ("link sw1:2 sw2:2", "link sw1:2 sw3:1"))
    findings = [finding for finding in found(text) if finding.code == "B102"]
    (finding,) = findings
    assert finding.at == {"sw1:1", "sw1:2", "sw1:po1"}
    assert "sw1:1 to sw2:po1" in finding.headline
    assert "sw1:2 to sw3:po1" in finding.headline
    assert finding.settled_by


def test_cord_in_another_bundle_of_the_same_device() -> None:
    text = planted(
        CLEAN,
        ("port sw2:2 bundle=po1 bundle-mode=active", "port sw2:2 bundle=po2 bundle-mode=active"),
        ("port sw2:po1 member=10", "port sw2:po1 member=10\nport sw2:po2 member=10"),
    )
    assert [(one.code, one.at) for one in found(text)] == [("B102", {"sw1:1", "sw1:2", "sw1:po1"})]


def test_crossed_cords_are_one_finding() -> None:
    text = """
bridge sw1 exists=10 tree=per-vlan
port sw1:1 bundle=po1 bundle-mode=active
port sw1:2 bundle=po1 bundle-mode=active
port sw1:3 bundle=po2 bundle-mode=active
port sw1:4 bundle=po2 bundle-mode=active
port sw1:po1 member=10
port sw1:po2 member=10
bridge sw2 exists=10 tree=per-vlan
port sw2:1 bundle=po1 bundle-mode=active
port sw2:2 bundle=po1 bundle-mode=active
port sw2:po1 member=10
bridge sw3 exists=10 tree=per-vlan
port sw3:1 bundle=po1 bundle-mode=active
port sw3:2 bundle=po1 bundle-mode=active
port sw3:po1 member=10
link sw1:1 sw2:1
link sw1:2 sw3:2
link sw1:3 sw3:1
link sw1:4 sw2:2
"""
    torn = {"sw1:po1", "sw1:po2", "sw2:po1", "sw3:po1"}
    (finding,) = [finding for finding in found(text) if finding.code == "B102"]
    assert torn <= finding.at
    assert told(planted(text, ("link sw1:2 sw3:2", "link sw1:2 sw2:2"), ("link sw1:4 sw2:2", "link sw1:4 sw3:2"))) == []
