"""Which VLANs are needed across a link: on both of its sides, and at two places round a ring."""

from dataclasses import replace

import pytest

from vlancheck.dot1q.model import Seen
from vlancheck.notation import parse
from vlancheck.notation.judged import case
from vlancheck.vids import text
from vlancheck.wiring.network import Link

SITE = """
bridge sw1 exists=10,20,30,40
port sw1:1 member=10 pvid=10 untagged=10
port sw1:2 member=10,20,30,40
port sw1:3 member=10,20,30,40
port sw1:4 member=10,20,30,40
bridge sw2 exists=10,20,30,40
port sw2:1 member=20 pvid=20 untagged=20
port sw2:2 member=10,20,30,40
port sw2:3 member=10,20,30,40
bridge sw3 exists=10,20,30,40
port sw3:1 member=10,20,30,40
port sw3:2 member=10,20,30,40
port sw3:3 member=20 pvid=20 untagged=20
bridge sw4 exists=10,20,30,40
port sw4:1 member=10,20,30,40
port sw4:2 member=10,20,30,40
port sw4:3 member=10 pvid=10 untagged=10
port sw4:4 member=30 pvid=30 untagged=30
bridge sw5 exists=10,20,30,40
port sw5:1 member=10,20,30,40
port sw5:2 member=30 pvid=30 untagged=30
link sw1:2 sw2:2
link sw1:3 sw3:1
link sw2:3 sw3:2
link sw1:4 sw4:1
link sw4:2 sw5:1
serves sw1:1 a desk
serves sw2:1 a desk
serves sw3:3 a desk
serves sw4:3 a desk
serves sw4:4 a desk
serves sw5:2 a desk
"""


@pytest.mark.parametrize(
    ("one", "other", "needed"),
    [
        ("sw1:2", "sw2:2", "20"),
        ("sw3:2", "sw2:3", "20"),
        ("sw1:4", "sw4:1", "10"),
        ("sw4:2", "sw5:1", "30"),
    ],
    ids=["ring", "ring, the other way round", "branch", "end of the branch"],
)
def test_needed_across(one: str, other: str, needed: str) -> None:
    assert text(case(parse(SITE)).needed_across(Link(one, other))) == needed


def test_side_by_side_links_need_the_same() -> None:
    more = "port sw4:9 member=30\nport sw5:9 member=30\nlink sw4:9 sw5:9\n"
    survey = case(parse(SITE + more))
    assert survey.needed_across(Link("sw4:9", "sw5:9")) == survey.needed_across(Link("sw4:2", "sw5:1")) == 1 << 30


def test_vlan_that_the_bridge_lacks_is_needed_all_the_same() -> None:
    survey = case(parse(SITE.replace("bridge sw5 exists=10,20,30,40", "bridge sw5 exists=10")))
    assert survey.needed_across(Link("sw4:2", "sw5:1")) == 1 << 30


@pytest.mark.parametrize(
    ("port", "frame", "needed"),
    [
        ("member=10 pvid=10 untagged=10", "untagged", "10"),
        ("member=10,20 pvid=10 untagged=10", "20", "20"),
        ("member=10 pvid=10 untagged=10", "30", "none"),
        ("member=10,?30 pvid=10 untagged=10", "30", "30"),
        ("member=10 pvid=none", "untagged", "none"),
        ("member=10 pvid=10 untagged=10 up=no", "untagged", "none"),
        ("member=10 pvid=10 untagged=10 link=no", "untagged", "none"),
        ("member=10 pvid=10 untagged=10 tpids=88a8", "10", "10"),
        ("member=40 pvid=40 untagged=40", "untagged", "40"),
    ],
    ids=["untagged", "tagged", "not taken", "not known", "no PVID", "shut", "no link", "foreign tag", "no such VLAN"],
)
def test_vid_that_a_frame_gets_where_it_is_sent(port: str, frame: str, needed: str) -> None:
    survey = case(
        parse(f"bridge sw1 exists=10,20,30\nport sw1:1 {port}\nservice one {frame} at sw1:1 -> sw1:1 {frame}")
    )
    assert text(survey.needed_on.get("sw1", 0)) == needed


def test_where_an_address_was_learned_its_frames_are_needed() -> None:
    """Untagged on the port's own VLAN, tagged where the VLAN leaves it tagged; a cord to another switch only passes."""
    site = parse(
        "port A:1 pvid=10 member=10,20 untagged=10\nport A:2 member=10,20\nport B:2 member=10,20\nlink A:2 B:2"
    )
    box = site.devices[0]
    shown = {"1": (Seen(mac="02:00:5e:00:00:01", vid=10),), "2": (Seen(mac="02:00:5e:00:00:02", vid=20),)}

    def needed(first: tuple[Seen, ...]) -> dict[str, str]:
        seen = {**shown, "1": first}
        ports = {name: replace(port, seen=seen[name]) for name, port in box.ports.items()}
        found = case(replace(site, devices=(replace(box, ports=ports), *site.devices[1:]))).needed_frames
        return {place: text(bits) for place, bits in found.items()}

    assert needed(()) == {}
    assert needed(shown["1"]) == {"A:1": "4095"}
    assert needed((Seen(mac="02:00:5e:00:00:01", vid=20),)) == {"A:1": "20"}
    assert needed((Seen(neighbour="a phone"),)) == {}
