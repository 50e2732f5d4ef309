"""Who hears whom in a private VLAN, by RFC 5517, 3: from the text of each family, by the reader, to the walk."""

from __future__ import annotations

import re

import pytest

from dialects.boxes import device_of
from dialects.private_vlans import (
    COMMUNITY_A,
    COMMUNITY_B,
    COMWARE,
    FAMILIES,
    IOS,
    ISOLATED,
    NXOS,
    OS6,
    PARTS,
    PROMISCUOUS,
    S300,
    TRUNK,
    VIDS,
    Family,
)
from vlancheck.dot1q.model import PrivateKind, PrivateRole
from vlancheck.dot1q.rules import Rule
from vlancheck.walk.walk import walk
from vlancheck.wiring import Link, Network, wire

# RFC 5517, 3: from the part that sends, the parts that hear it (from memory where the trunk is one of them; the rest
# also in the Catalyst 4500 software configuration guide OL-23818-01, p.39-4)
HEARS = {
    PROMISCUOUS: {PROMISCUOUS, ISOLATED, COMMUNITY_A, COMMUNITY_B, TRUNK},
    ISOLATED: {PROMISCUOUS, TRUNK},
    COMMUNITY_A: {PROMISCUOUS, COMMUNITY_A, TRUNK},
    COMMUNITY_B: {PROMISCUOUS, COMMUNITY_B, TRUNK},
}
ROLES = {
    PROMISCUOUS: PrivateRole.PROMISCUOUS,
    ISOLATED: PrivateRole.ISOLATED,
    COMMUNITY_A: PrivateRole.COMMUNITY,
    COMMUNITY_B: PrivateRole.COMMUNITY,
}
by_family = pytest.mark.parametrize("family", FAMILIES, ids=lambda family: family.dialect)
in_one_switch = pytest.mark.parametrize("family", [*FAMILIES, COMWARE], ids=lambda family: family.dialect)


def heard(network: Network, place: str, frame: str = "untagged") -> set[tuple[str, str]]:
    """Return where a frame comes out, and how; all of it is certain."""
    found = walk(network, place, frame)
    assert not found.unproven
    return {(one.port, one.frame) for one in found.deliveries}


def hearing(family: Family, name: str, parts: set[str], sender: str = "") -> set[tuple[str, str]]:
    """Return the ports of a switch, and of them the untagged frame, where the parts that hear are, but the sender."""
    places = {f"{name}:{port}" for part in parts - {TRUNK} for port in family.of(part)}
    return {(place, "untagged") for place in places - {sender}}


@in_one_switch
def test_the_families_text_is_read_as_theirs(family: Family) -> None:
    """The dialect is found, no line that matters is left unread, each port plays its part."""
    box = device_of(family.named("ACC-1"))

    assert box.dialect == family.dialect
    assert not [one for one in box.unread if one.matters]
    for part in PARTS:
        for port in family.of(part):
            (private,) = (one.private for one in box.bridge_ports.values() if one.port == port)
            assert private is not None
            assert (private.role, private.primary) == (ROLES[part], 100)
    (table,) = (bridge.private for bridge in box.bridges.values() if not bridge.name)
    assert {vid: one.kind for vid, one in table.items()} == {
        100: PrivateKind.PRIMARY,
        101: PrivateKind.ISOLATED,
        102: PrivateKind.COMMUNITY,
        103: PrivateKind.COMMUNITY,
    }


@in_one_switch
@pytest.mark.parametrize("sender", PARTS)
def test_within_one_switch(family: Family, sender: str) -> None:
    """Each part hears the parts that the table lets it; a trunk carries the sender's own VLAN, tagged."""
    network = Network([device_of(family.named("ACC-1"))], [])
    place = f"ACC-1:{family.of(sender)[0]}"

    expected = hearing(family, "ACC-1", HEARS[sender], place)
    assert heard(network, place) == expected | {(f"ACC-1:{family.of(TRUNK)[0]}", str(VIDS[sender]))}


@by_family
@pytest.mark.parametrize("sender", PARTS)
def test_a_frame_that_arrives_at_a_trunk(family: Family, sender: str) -> None:
    """Between switches the VLAN says who sent: an isolated port hears the primary VLAN and not the isolated one."""
    network = Network([device_of(family.named("ACC-1"))], [])

    found = heard(network, f"ACC-1:{family.of(TRUNK)[0]}", str(VIDS[sender]))
    assert found == hearing(family, "ACC-1", HEARS[sender])


@by_family
@pytest.mark.parametrize("sender", PARTS)
def test_across_two_switches(family: Family, sender: str) -> None:
    """Over an ordinary trunk that carries all VLANs of it, two switches are one private VLAN."""
    uplink = family.of(TRUNK)[0]
    boxes = [device_of(family.named(name)) for name in ("ACC-1", "ACC-2")]
    network = wire(boxes, [Link(f"ACC-1:{uplink}", f"ACC-2:{uplink}")])
    place = f"ACC-1:{family.of(sender)[0]}"

    here, there = (hearing(family, name, HEARS[sender], place) for name in ("ACC-1", "ACC-2"))
    assert heard(network, place) == here | there


def test_isolated_hosts_of_two_switches_where_no_source_says() -> None:
    """Comware: hosts of an isolated VLAN hear a frame of it from another switch, or do not; that is left open."""
    network = Network([device_of(COMWARE.named("ACC-1"))], [])

    found = walk(network, f"ACC-1:{COMWARE.of(TRUNK)[0]}", "101")
    assert {(one.port, one.frame) for one in found.deliveries} == hearing(COMWARE, "ACC-1", {PROMISCUOUS})
    assert {one.port for one in found.unproven} == {f"ACC-1:{port}" for port in COMWARE.of(ISOLATED)}


@by_family
def test_the_walk_names_the_rule_and_its_lines(family: Family) -> None:
    """A frame of one isolated port does not leave by the other, by the private VLAN, and the lines say so."""
    network = Network([device_of(family.named("ACC-1"))], [])
    one, other = (f"ACC-1:{port}" for port in family.of(ISOLATED))

    (lost,) = (loss for loss in walk(network, one, "untagged", watch=other).losses if loss.port == other)
    assert lost.rule is Rule.PRIVATE_VLAN
    assert any(origin.line for origin in lost.evidence)


HALF_MADE = {
    "the primary VLAN is none": (r" *private-vlan primary\n", ""),
    "the secondary VLAN is of no kind": (r" *private-vlan isolated\n", ""),
    "the two are not associated": (r"association (add )?101-103", r"association \g<1>102-103"),
    "the association is of a VLAN that is no secondary one": ("private-vlan isolated", "private-vlan primary"),
}


@pytest.mark.parametrize("family", [IOS, NXOS, OS6, S300], ids=lambda family: family.dialect)
@pytest.mark.parametrize("swap", HALF_MADE.values(), ids=HALF_MADE)
def test_a_pair_that_is_half_made_carries_nothing(family: Family, swap: tuple[str, str]) -> None:
    """Nexus 6000 Layer 2 guide: an association works when both VLANs are there and each is what it must be."""
    text, times = re.subn(*swap, family.named("ACC-1"))
    assert times == 1
    network = Network([device_of(text)], [])
    isolated, _ = (f"ACC-1:{port}" for port in family.of(ISOLATED))

    assert heard(network, isolated) == set()
    below = f"ACC-1:{family.of(PROMISCUOUS)[0]}"
    assert isolated not in {place for place, _ in heard(network, below)}


def test_without_the_vlan_database_nothing_is_proven() -> None:
    """Where the lines of VLANs may be kept elsewhere, a pair that no line makes is open, and a capture settles it."""
    text = IOS.named("ACC-1").replace("vtp mode transparent", "vtp mode server")
    ports = [line for line in text.split("\n") if not line.startswith(("vlan", "  private-vlan"))]
    network = Network([device_of("\n".join(ports))], [])

    found = walk(network, f"ACC-1:{IOS.of(ISOLATED)[0]}", "untagged")
    assert not found.deliveries
    assert {one.settled_by for one in found.unproven} == {"show vlan private-vlan"}
