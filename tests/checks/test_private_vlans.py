"""Private VLANs and isolated ports: a clean site of two switches, and each fault planted in it."""

from __future__ import annotations

import pytest

from checks.planting import found, planted, told
from vlancheck.findings.finding import Severity

CLEAN = """
bridge ACC-1 exists=100-102
private-vlan ACC-1 100 primary secondaries=101-102
private-vlan ACC-1 101 isolated
private-vlan ACC-1 102 community
port ACC-1:1 private=isolated/100/101 pvid=101 admit=none member=100 untagged=100
port ACC-1:2 private=isolated/100/101 pvid=101 admit=none member=100 untagged=100
port ACC-1:3 private=community/100/102 pvid=102 admit=none member=100,102 untagged=100,102
port ACC-1:24 member=100-102
bridge CORE exists=100-102
private-vlan CORE 100 primary secondaries=101-102
private-vlan CORE 101 isolated
private-vlan CORE 102 community
port CORE:1 private=promiscuous/100 mapped=101-102 pvid=100 admit=none member=100-102 untagged=100-102
port CORE:2 private=community/100/102 pvid=102 admit=none member=100,102 untagged=100,102
port CORE:Vlan100 kind=inside private=promiscuous/100 mapped=101-102 pvid=100 admit=none member=100-102 untagged=100-102
setting CORE address:Vlan100=10.100.0.1
port CORE:24 member=100-102
link ACC-1:24 CORE:24
"""
DEAD = (
    "port ACC-1:1 private=isolated/100/101 pvid=101 admit=none member=100 untagged=100",
    "port ACC-1:1 private=isolated/100/101",
)
DEAD_TOO = tuple(one.replace("ACC-1:1", "ACC-1:2") for one in DEAD)
ROUTER = "port CORE:1 private=promiscuous/100 mapped=101-102 pvid=100 admit=none member=100-102 untagged=100-102"
OWN = f"{ROUTER.replace('CORE:1', 'CORE:Vlan100 kind=inside')}"


def test_a_private_vlan_over_two_switches_is_clean() -> None:
    """Nothing is found in it, whether or not something is declared."""
    assert told(CLEAN) == []
    assert told(CLEAN + "vlan 100 -> ACC-1:1 untagged, CORE:1 untagged") == []


HALVES = {
    "the two are not associated": (
        ("private-vlan ACC-1 100 primary secondaries=101-102", "private-vlan ACC-1 100 primary secondaries=102"),
        "VLAN 101 is not associated with VLAN 100",
    ),
    "the primary VLAN is none": (
        ("private-vlan ACC-1 100 primary secondaries=101-102", "private-vlan ACC-1 100 ? secondaries=101-102"),
        "no line makes VLAN 100 a primary VLAN",
    ),
    "the secondary VLAN is of no kind": (
        ("private-vlan ACC-1 101 isolated", "private-vlan ACC-1 101 ?"),
        "no line says whether VLAN 101 is isolated or a community",
    ),
    "the secondary VLAN is primary itself": (
        ("private-vlan ACC-1 101 isolated", "private-vlan ACC-1 101 primary"),
        "no line says whether VLAN 101 is isolated or a community",
    ),
}


@pytest.mark.parametrize(("swap", "why"), HALVES.values(), ids=HALVES)
def test_hosts_of_a_pair_that_is_half_made(swap: tuple[str, str], why: str) -> None:
    """One finding for all hosts of the pair, and none more for the VLAN that it is about."""
    text = planted(CLEAN, swap, DEAD, DEAD_TOO)
    half = [one for one in found(text) if one.code == "J101" and one.at == {"ACC-1:1", "ACC-1:2"}]

    assert [one.headline for one in half] == [f"ACC-1:1, ACC-1:2: {why}"]
    assert half[0].severity is Severity.WARNING
    assert any(where.primary for where in half[0].where)


def test_a_host_of_no_private_vlan() -> None:
    """A port that is made a host and is given no pair of VLANs."""
    (one,) = found(planted(CLEAN, (DEAD[0], "port ACC-1:1 private=host")))
    assert (one.code, one.headline) == ("J101", "ACC-1:1: no line says which VLANs it is in")


def test_a_host_in_doubt_is_no_finding() -> None:
    """Where unread lines decide, nothing is certain."""
    assert told(planted(CLEAN, (DEAD[0], f"{DEAD[1]} doubt=yes"))) == []


def test_half_a_pair_is_an_error_where_it_is_declared() -> None:
    """What is declared of the host hangs on the finding."""
    text = planted(CLEAN, DEAD, HALVES["the two are not associated"][0])
    declared = text + "\nvlan 100 -> ACC-1:1 untagged, CORE:1 untagged"
    (one,) = (one for one in found(declared) if "ACC-1:1" in one.at)
    assert (one.code, one.severity) == ("J101", Severity.ERROR)
    assert one.effects


def lacks(line: str) -> tuple[str, str]:
    """Return a line with a promiscuous port, and the same with VLAN 101 left out."""
    return line, line.replace("mapped=101-102", "mapped=102").replace("100-102", "100,102")


def test_hosts_that_no_promiscuous_port_hears() -> None:
    """All ports that answer lack the VLAN of some hosts: one finding that names them; one that has it is enough."""
    assert told(planted(CLEAN, lacks(ROUTER), lacks(OWN))) == [("J101", "101", "CORE:1 CORE:Vlan100")]
    assert told(planted(CLEAN, lacks(ROUTER))) == []
    assert told(planted(CLEAN, lacks(OWN))) == []


def test_a_mapping_is_not_asked_for_where_nobody_sends() -> None:
    """Without hosts in the VLAN nobody is unheard."""
    unused = [(f"{one}", "port ACC-1:9 pvid=none") for one in (DEAD[0],)]
    fewer = planted(CLEAN, *unused, (DEAD_TOO[0], "port ACC-1:8 pvid=none"), lacks(ROUTER), lacks(OWN))
    assert told(fewer) == []


def test_an_uplink_out_of_sight_may_lead_to_what_hears_them() -> None:
    """A port that carries the secondary VLAN to a box nobody read may have a promiscuous port beyond it."""
    assert told(planted(CLEAN, lacks(ROUTER), lacks(OWN)) + "\nport CORE:23 member=100-102") == []


def test_a_mapping_in_vain() -> None:
    """A promiscuous port is given a VLAN that belongs to no private VLAN."""
    (one,) = found(planted(CLEAN, (ROUTER, ROUTER.replace("mapped=101-102", "mapped=101-103"))))
    assert (one.code, one.severity, one.at) == ("J101", Severity.NOTE, {"CORE:1"})


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("private-vlan ACC-1 105 isolated", "no primary VLAN is associated with it"),
        ("private-vlan ACC-1 105 primary", "no VLAN is associated with it"),
        ("private-vlan ACC-1 105 ?", "neither isolated nor a community"),
    ],
)
def test_a_vlan_without_its_other_half_is_a_note(line: str, words: str) -> None:
    """What lines make of a VLAN that no port is in yet."""
    (one,) = found(CLEAN + line)
    assert (one.code, one.severity, one.at) == ("J101", Severity.NOTE, {"ACC-1"})
    assert words in one.headline


UPLINK, FAR = "port ACC-1:24 member=100-102", "port CORE:24 member=100-102"


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        (UPLINK, "port ACC-1:24 member=100,102", ("J102", "101", "ACC-1:24")),
        (FAR, "port CORE:24 member=100,102", ("J102", "101", "CORE:24")),
        (UPLINK, "port ACC-1:24 member=101-102", ("J102", "100", "ACC-1:24")),
        (UPLINK, "port ACC-1:24 member=100-101", ("J102", "102", "ACC-1:24")),
        (UPLINK, "port ACC-1:24 member=100", ("J102", "101-102", "ACC-1:24")),
    ],
)
def test_half_of_it_on_a_link(old: str, new: str, expected: tuple[str, str, str]) -> None:
    """The end that keeps a VLAN back is named."""
    assert told(planted(CLEAN, (old, new))) == [expected]


def test_a_link_that_carries_half_on_purpose_is_clean() -> None:
    """Where each side has what hears its own hosts and nothing needs the other side's."""
    apart = planted(CLEAN, ("port CORE:2 private=community/100/102 pvid=102 admit=none member=100,102 untagged=100,102",
                            "port CORE:2 pvid=none"),
                    (ROUTER, "port CORE:1 pvid=none"), (OWN, "port CORE:3 pvid=none"))  # fmt: skip
    assert told(planted(apart, (UPLINK, "port ACC-1:24 member=100"))) == []


def test_a_switch_in_between_lacks_a_vlan() -> None:
    """A plain switch carries both VLANs and needs no line of private ones; without one of the two it is named."""
    middle = CLEAN.replace("link ACC-1:24 CORE:24", "") + (
        "bridge MID exists={}\nport MID:1 member=100-102\nport MID:2 member=100-102\n"
        "link ACC-1:24 MID:1\nlink MID:2 CORE:24"
    )
    assert told(middle.format("100-102")) == []
    assert {(code, at) for code, _, at in told(middle.format("100,102"))} == {("J102", "MID")}


def test_a_switch_that_takes_it_otherwise() -> None:
    """Another kind, or another primary VLAN, at the other end of the link."""
    kind = planted(CLEAN, ("private-vlan CORE 101 isolated", "private-vlan CORE 101 community"))
    assert told(kind) == [("J102", "101", "ACC-1 CORE")]
    line = "private-vlan CORE 100 primary secondaries=102"
    other = planted(CLEAN, (line.replace("=102", "=101-102"), line))
    assert ("J102", "101", "ACC-1 CORE") in told(other + "\nprivate-vlan CORE 200 primary secondaries=101")


def test_an_ordinary_port_in_a_secondary_vlan() -> None:
    """A switch without lines of private VLANs that the isolated VLAN reaches has a port in it."""
    plain = CLEAN.replace("link ACC-1:24 CORE:24", "link ACC-1:24 CORE:24\nlink CORE:23 OLD:24") + (
        "port CORE:23 member=100-102\nbridge OLD exists=100-102\nport OLD:24 member=100-102\n"
    )
    assert told(plain + "port OLD:1 pvid=100 member=100 untagged=100") == []
    assert told(plain + "port OLD:1 pvid=101 member=101 untagged=101") == [("J102", "101", "OLD:1")]


ROOMS = """
bridge ACC-1 exists=310
port ACC-1:1 pvid=310 member=310 untagged=310 isolation=protected
port ACC-1:2 pvid=310 member=310 untagged=310 isolation=protected
port ACC-1:24 member=310
bridge ACC-2 exists=310
port ACC-2:1 pvid=310 member=310 untagged=310 isolation=protected
port ACC-2:23 member=310
port ACC-2:24 member=310
link ACC-1:24 ACC-2:24
handoff ACC-2:23
"""


def test_isolated_ports_of_one_switch_are_kept_apart() -> None:
    """Within one switch isolation holds; declared over two, one finding takes all effects."""
    assert told(ROOMS + "service r 310 at ACC-2:23 -> ACC-1:1 untagged, ACC-1:2 untagged, ACC-2:1 untagged") == []
    (one,) = found(ROOMS + "service r 310 at ACC-2:23 -> ACC-1:1 untagged, ACC-1:2 untagged, ACC-2:1 untagged\napart r")
    assert (one.code, one.severity, one.at) == ("J103", Severity.ERROR, {"ACC-1:1", "ACC-1:2", "ACC-2:1"})


def test_ports_that_are_not_isolated_are_another_fault() -> None:
    """Without isolation at one of the two it is a leak like any other."""
    at = "port ACC-2:1 pvid=310 member=310 untagged=310"
    plain = planted(ROOMS, (f"{at} isolation=protected", at)) + "\n"
    text = plain + "service r 310 at ACC-2:23 -> ACC-1:1 untagged, ACC-1:2 untagged, ACC-2:1 untagged\napart r"
    assert {code for code, _, _ in told(text)} == {"S102"}
