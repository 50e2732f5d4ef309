"""AOS-CX: fields and walks as its bridging guide describes them, and what is left in doubt.

GUIDE is the AOS-CX 10.06 Layer 2 Bridging Guide for 8320, 8325 and 8360, part number 5200-7735.
"""

from __future__ import annotations

import pytest

from dialects.boxes import device_of
from dialects.expected import FIXTURES, read_fixture
from vlancheck import vids
from vlancheck.capture import Line, Section
from vlancheck.dot1q.model import Device
from vlancheck.dot1q.properties import Property
from vlancheck.evidence import UNKNOWN
from vlancheck.reader import read
from vlancheck.walk import walk
from vlancheck.wiring import Network

HEAD = (
    "!Version ArubaOS-CX TL.10.06.0110\nhostname box\nvlan 1,10,20,30\n"
    "interface lag 9\n    no shutdown\n    no routing\n    vlan trunk allowed all\n"
)
PORT = "interface 1/1/1\n    no shutdown\n    no routing\n"
ACCESS = HEAD + PORT + "    vlan access 10\n"
TRUNK = HEAD + PORT + "    vlan trunk native 10\n    vlan trunk allowed 10,20\n"
TAGGED = HEAD + PORT + "    vlan trunk native 10 tag\n    vlan trunk allowed 10,20\n"
OUTSIDE = HEAD + PORT + "    vlan trunk native 30\n    vlan trunk allowed 10,20\n"
OPEN = HEAD + PORT + "    vlan trunk native 10\n    vlan trunk allowed all\n"


def device(text: str) -> Device:
    """Return the device that a configuration becomes."""
    lines = tuple(Line(number, line) for number, line in enumerate(text.split("\n"), 1))
    (found,) = read([Section("box.txt", "", "", lines, None)]).devices
    return found


def fixture(name: str) -> Device:
    """Return the device of a fixture."""
    (found,) = read_fixture(FIXTURES / "aruba_aoscx" / f"{name}.txt").devices
    return found


def fields(box: Device, port: str) -> tuple[object, str, str]:
    """Return PVID, admitted and untagged VIDs of a bridge port of which all is certain."""
    one = box.bridge_ports[port]
    assert not one.doubt
    assert all(cover.sure == cover.possible for cover in (one.admit, one.member, one.untagged))
    assert one.member.sure == one.admit.sure
    return one.pvid.value, vids.text(one.admit.sure), vids.text(one.untagged.sure)


def came(box: Device, port: str, frame: str) -> dict[str, str]:
    """Return where a frame that is sent into a port comes out, and how; nothing of it is unproven."""
    found = walk(Network([box], []), f"{box.name}:{port}", frame)
    assert not found.unproven
    return {one.port.partition(":")[2]: one.frame for one in found.deliveries}


@pytest.mark.parametrize(
    ("text", "frame", "out"),
    [
        (ACCESS, "untagged", "10"),
        (ACCESS, "10", "10"),
        (ACCESS, "20", ""),
        (TRUNK, "untagged", "10"),
        (TRUNK, "10", "10"),
        (TRUNK, "20", "20"),
        (TRUNK, "30", ""),
        (OPEN, "untagged", "10"),
        (OPEN, "30", "30"),
        (OPEN, "40", ""),  # not defined on the switch
        (TAGGED, "untagged", ""),
        (TAGGED, "10", "10"),
        (TAGGED, "20", "20"),
        (TAGGED, "30", ""),
        (OUTSIDE, "untagged", ""),
        (OUTSIDE, "20", "20"),
        (OUTSIDE, "30", ""),
    ],
)
def test_guide_p24_traffic_handling_summary_inwards(text: str, frame: str, out: str) -> None:
    """GUIDE p.24 and 25: what each sort of interface takes, seen at a trunk that tags every VLAN but 1."""
    assert came(device(text), "1/1/1", frame) == ({"lag9": out} if out else {})


@pytest.mark.parametrize(
    ("text", "frame", "out"),
    [(ACCESS, "10", "untagged"), (TRUNK, "10", "untagged"), (TRUNK, "20", "20"), (TAGGED, "10", "10")],
)
def test_guide_p24_traffic_handling_summary_outwards(text: str, frame: str, out: str) -> None:
    """GUIDE p.24: the VLAN of an access port and an untagged native VLAN leave untagged, all else tagged."""
    assert came(device(text), "lag9", frame) == {"1/1/1": out}


def test_what_a_trunk_allows() -> None:
    """GUIDE p.45 and 46: all after `vlan trunk native`, a list by a list, all again when its last VLAN is taken out."""
    box = fixture("typed")

    assert fields(fixture("core-west"), "1/1/6") == (20, "1-4094", "20")
    assert fields(box, "1/1/2") == (None, "10,30", "20")
    assert fields(box, "1/1/4") == (1, "1-19,21-4094", "1")
    assert fields(box, "1/1/8") == (1, "1-4094", "1")
    assert fields(box, "1/1/9") == (1, "1-4094", "1")
    assert fields(box, "1/1/5") == (1, "1", "1")


def test_a_port_of_which_no_line_says_switched_or_routed() -> None:
    """GUIDE p.43: every interface of an 8320 is routed at first.  Of other families the platform must be known."""
    text = "\ninterface 1/1/1\n    no shutdown\n"

    assert fixture("core-west").ends["1/1/9"].port == "1/1/9"
    assert device("!Version ArubaOS-CX FL.10.09.1010" + text).bridge_ports["1/1/1"].doubt
    assert fields(device("!Version ArubaOS-CX PL.10.09.1010" + text), "1/1/1") == (1, "1", "1")


def test_without_a_line_nobody_knows_whether_a_port_is_enabled() -> None:
    """Common practice, no source: access switches come with ports enabled, the others with ports shut."""
    box = device(HEAD + "interface 1/1/1\n    no routing\n    vlan access 10\n")

    assert box.ports["1/1/1"].up.value is UNKNOWN


def test_vlans_are_those_of_a_whole_configuration() -> None:
    """GUIDE p.42: VLAN 1 is always there; a part, which does not say its version, may not say all."""
    whole, part = fixture("core-west").bridges[""], fixture("typed").bridges[""]

    assert vids.text(whole.exists.possible) == "1,10,20,30-31,40"
    assert vids.text(whole.exists.sure & ~whole.active.sure) == "40"
    assert vids.text(part.exists.sure) == "1,10,20"
    assert part.exists.possible >> 99 & 1


def test_the_table_of_vlans_wins_over_what_is_configured() -> None:
    """MVRP makes VLAN 33, which no line does; a VLAN that is shut is not active."""
    bridge = fixture("stack-3").bridges[""]

    assert vids.text(bridge.exists.possible) == vids.text(bridge.exists.sure) == "1,10,20,33"
    assert vids.text(bridge.exists.sure & ~bridge.active.sure) == "33"


def test_members_of_a_lag_and_links_of_a_stack_have_no_vlans() -> None:
    """Common practice, no source: a lag speaks for its members; a stack's own links carry no frame as it is."""
    core, stack = fixture("core-west"), fixture("stack-3")

    assert (core.ports["1/1/1"].bundle, core.ports["1/1/1"].bundle_mode) == ("lag1", "active")
    assert (core.ports["1/1/3"].bundle, core.ports["1/1/3"].bundle_mode) == ("lag2", "on")
    for box, port in ((core, "1/1/1"), (core, "1/1/48"), (stack, "1/1/25"), (stack, "2/1/25")):
        assert port not in {*box.bridge_ports, *(end.port for end in box.ends.values())}


def test_translation_goes_both_ways() -> None:
    """GUIDE p.44: external VLAN 200 is internal VLAN 20."""
    box = device(HEAD + PORT + "    vlan trunk allowed 20\n    vlan translate 200 20\n")

    assert came(box, "1/1/1", "200") == {"lag9": "20"}
    assert came(box, "lag9", "20") == {"1/1/1": "200"}


@pytest.mark.parametrize("port", ["1/1/1", "1/1/4", "1/1/5", "2/1/2", "2/1/3", "vxlan1"])
def test_what_is_not_modelled_leaves_its_port_in_doubt(port: str) -> None:
    """Authentication, a VID that is none, a mirror, a private VLAN, an unknown word at a VLAN, and VXLAN."""
    assert fixture("stack-3").bridge_ports[port].doubt


@pytest.mark.parametrize(
    ("lines", "name", "word"),
    [
        ("speed 10g", "speed", "10000"),
        ("speed 2.5g", "speed", "2500"),
        ("speed 100-half", "duplex", "half"),
        ("no power-over-ethernet", "power", "off"),
        ("power-over-ethernet priority low\n    no power-over-ethernet", "power", "off"),
        ("no power-over-ethernet\n    power-over-ethernet", "power", None),
        ("port-access port-security client-limit 4", "mac-limit", None),  # a limit without security limits nothing
        ("port-access port-security\n        enable\n        no enable", "mac-limit", None),
        ("port-access port-security enable", "on-violation", "notify"),
        ("spanning-tree port-type admin-edge\n    spanning-tree port-type admin-network", "edge", None),
        (
            "apply access-list mac a in\n    no apply access-list mac a in",
            "filter",
            "access-list mac a in,no apply access-list mac a in",
        ),
        ("loop-protect", "loop-guard", None),  # it sends frames of its own and knows nothing of BPDUs
    ],
)
def test_what_a_port_is_set_to_beside_vlans(lines: str, name: str, word: str | None) -> None:
    """AOS-CX command references, from memory; what a `no` takes back is not there."""
    box = device_of(f"!Version ArubaOS-CX ML.10.10\nhostname x\ninterface 1/1/1\n    no routing\n    {lines}\n")
    found = box.ports["1/1/1"].properties.get(Property(name))
    assert (found and found.value) == word
    assert not box.unread
