"""What is written is what is read: random boxes with every field, and one box in which no field is at its default."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, fields, replace
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from vlancheck.dot1q.model import (
    ADMIN_ASSUMED,
    NO_TAG,
    Bridge,
    BridgePort,
    Device,
    DeviceKind,
    End,
    Entered,
    Foreign,
    Logged,
    Negotiation,
    Port,
    PortKind,
    PrivateKind,
    PrivatePart,
    PrivateRole,
    PrivateVlan,
    Push,
    Rewrite,
    Seen,
    TagMatch,
    Told,
    Unread,
)
from vlancheck.dot1q.tags import Tag, format_frame
from vlancheck.dot1q.tree import BridgeTree, Given, PortTree
from vlancheck.evidence import UNKNOWN, Cover, Fact, Kind, State
from vlancheck.notation import Claim, Copy, Expectation, Finding, parse, write
from vlancheck.notation.claims import LOSSES
from vlancheck.vids import EVERY

from .models import SAID, bare, covers, networks

Network = tuple[list[Device], list[tuple[str, str]], list[str]]


@settings(max_examples=150, deadline=None)
@given(networks())
def test_what_is_written_is_read(network: Network) -> None:
    """Every box, link and handoff comes back, ports in their order; writing again gives the same text."""
    boxes, links, handoffs = network
    text = write(boxes, links, handoffs)

    found = parse(text)

    assert bare(found.devices) == bare(tuple(boxes))
    assert [list(box.ports) for box in found.devices] == [list(box.ports) for box in boxes]
    assert found.links == tuple(links)
    assert found.handoffs == tuple(handoffs)
    assert write(found.devices, found.links, found.handoffs) == text


@settings(max_examples=100, deadline=None)
@given(networks())
def test_anonymous_text_is_read_and_stays(network: Network) -> None:
    """It has as many of everything, and giving it new names once more changes nothing."""
    said = parse(write(*network))  # in the order in which a text brings them
    text = write(said.devices, said.links, said.handoffs, anonymous=True)

    found = parse(text)

    assert len(found.devices) == len(network[0])
    assert [len(box.bridge_ports) for box in found.devices] == [len(box.bridge_ports) for box in network[0]]
    assert len(found.links) == len(network[1])
    assert write(found.devices, found.links, found.handoffs, anonymous=True) == text


@given(covers())
def test_sets_of_three_values(cover: Cover) -> None:
    """A set of VIDs comes back whatever is in, out or unknown in it."""
    port = BridgePort(name="1", port="1", pvid=Fact(None), admit=cover, member=cover, untagged=Cover.of(0))
    box = Device(
        name="sw1", bridges={"": Bridge(exists=Cover.of(EVERY))}, ports={"1": Port(name="1")}, bridge_ports={"1": port}
    )

    member = parse(write([box])).devices[0].bridge_ports["1"].member

    assert (member.sure, member.possible) == (cover.sure, cover.possible)


PLACES = st.sampled_from(["sw1:1", "sw1:Gi 2"])
TAGS = st.tuples(st.sampled_from([0x8100, 0x88A8, 0x9100]), st.integers(0, 4094))
FRAMES = st.lists(TAGS, max_size=3).map(lambda tags: format_frame(tuple(Tag(*tag) for tag in tags)))
COPIES = st.builds(Copy, PLACES, FRAMES, st.one_of(st.none(), st.sampled_from(["to", "wan1.310", "a,b"])))
UNPROVEN = st.builds(Copy, PLACES, FRAMES)
EXPECTATIONS = st.one_of(
    st.builds(Expectation, st.just(Claim.EXPECT), PLACES, FRAMES, st.lists(COPIES, max_size=3).map(tuple)),
    st.builds(
        Expectation, st.just(Claim.UNPROVEN), PLACES, FRAMES, st.lists(UNPROVEN, min_size=1, max_size=3).map(tuple)
    ),
    st.builds(
        Expectation,
        st.just(Claim.LOST),
        PLACES,
        FRAMES,
        at=PLACES,
        rule=st.sampled_from(sorted(LOSSES)).map(LOSSES.get),
    ),
    st.builds(Expectation, st.sampled_from([Claim.LOOP, Claim.GROWING]), PLACES, FRAMES),
)
FINDINGS = st.builds(
    Finding, st.sampled_from(["L101", "S9"]), st.lists(st.sampled_from(["sw1", "sw1:1", "sw1:Gi 2"])).map(tuple)
)


@given(st.lists(EXPECTATIONS, max_size=4), st.lists(FINDINGS, max_size=3))
def test_claims_come_back(expectations: list[Expectation], findings: list[Finding]) -> None:
    """Expectations and findings are kept as they are written, with their lines."""
    box = Device(name="sw1", ports={"1": Port(name="1"), "Gi 2": Port(name="Gi 2")})

    found = parse(write([box], expectations=expectations, findings=findings))

    assert [replace(one, origins=()) for one in found.expectations] == expectations
    assert [replace(one, origins=()) for one in found.findings] == findings
    assert all(one.origins for one in (*found.expectations, *found.findings))


# ---- one box in which nothing is at its default ------------------------------------------------------------------

ROW = Rewrite(
    match=(TagMatch(1 << 310, frozenset({0x9100})),),
    pop=1,
    push=(Push(20, 0x88A8),),
    drop=True,
    sure=False,
    origins=SAID,
)
THREE = Cover.of(1 << 10, SAID).write(1 << 20, State.UNKNOWN, SAID)
FULL_PORT = BridgePort(
    name="1.10",
    port="1",
    bridge="br0",
    pvid=Fact(UNKNOWN, SAID),
    admit=THREE,
    member=Cover.unknown(SAID),
    untagged=THREE.write(1 << 20, State.IN, SAID),
    select=(TagMatch(1 << 10), TagMatch(1 << NO_TAG)),
    entry=(ROW,),
    exit=(ROW,),
    tpids=frozenset({0x88A8, 0x9100}),
    sends=0x88A8,
    foreign=Foreign.DROP,
    tpid_origins=SAID,
    up=Fact(False, SAID),
    forwarding=THREE,
    private=PrivateVlan(PrivateRole.COMMUNITY, 100, 200, 1 << 201, SAID),
    isolation=frozenset({"guests"}),
    isolation_origins=SAID,
    doubt=SAID,
)
FULL_TREE = BridgeTree(
    address=Fact("02:00:5e:00:00:01", SAID),
    priorities=(Given(32768), Given(4096, 1 << 10)),
    costs=Fact("long", SAID),
    region=Fact("west wing/3", SAID),
    instances=(Given(1, 1 << 10),),
    without=Cover.of(1 << 20, SAID),
)
FULL_PORT_TREE = PortTree(
    costs=(Given(4, origins=SAID), Given(100, 1 << 10 | 1 << 20, SAID)),
    priorities=(Given(64, 1 << 10, SAID),),
    number=Fact(7, SAID),
)
FULL = Device(
    name="sw1",
    kind=DeviceKind.FIREWALL,
    dialect="some_family",
    owner="carrier",
    bridges={
        "br0": Bridge(
            name="br0",
            exists=THREE,
            active=THREE,
            spanning_tree=Fact("mst", SAID),
            private={100: PrivatePart(PrivateKind.PRIMARY, 1 << 200, SAID)},
            tree=FULL_TREE,
        )
    },
    ports={
        "1": Port(
            name="1",
            kind=PortKind.INSIDE,
            up=Fact(False, SAID),
            link=Fact(UNKNOWN, SAID),
            bundle="lag1",
            bundle_mode="active",
            negotiation=Negotiation(
                protocol="trunking",
                mode="auto",
                outcomes={"on": "trunk"},
                alone="trunk",
                variants={"trunk": FULL_PORT},
                origins=SAID,
            ),
            description="to the cellar",
            tree=FULL_PORT_TREE,
            configured=replace(FULL_PORT, name="1", port="1", entry=(), exit=(), up=ADMIN_ASSUMED),
            origins=SAID,
        )
    },
    bridge_ports={"1.10": FULL_PORT},
    ends={
        "1.20": End(
            name="1.20",
            port="1",
            select=(TagMatch(1 << 20), TagMatch(1 << NO_TAG)),
            tpids=frozenset(),
            up=Fact(UNKNOWN, SAID),
            address=True,
            origins=SAID,
        )
    },
    unread=(Unread(SAID, "sw1", "1", True, "its meaning is not clear", "desk"),),
    logged=(Logged(Told.FLAPPING, "1", 3, SAID),),
    entered=(Entered("1", "not taken", True, SAID),),
    settings={"bundle-alone": Fact("suspended", SAID)},
    lines=120,
    passed_over=30,
)


MODEL = (
    *(Device, Bridge, PrivatePart, Port, Negotiation, BridgePort, TagMatch, Rewrite, Push, PrivateVlan, End, Unread),
    *(Logged, Entered, BridgeTree, PortTree, Given),
)


def changed(value: Any) -> set[tuple[str, str]]:
    """Return the (class, field) pairs that are somewhere in `value` not what they are when nobody says anything."""
    if isinstance(value, Mapping):
        return set().union(*map(changed, value.values()))
    if isinstance(value, tuple):
        return set().union(*map(changed, value))
    if type(value) not in MODEL:
        return set()
    found = set()
    for one in fields(value):
        got = getattr(value, one.name)
        usual = one.default if one.default is not MISSING else None
        if got != usual and got not in ("", (), {}):
            found.add((type(value).__name__, one.name))
        found |= changed(got)
    return found


def test_every_field_is_written_and_read() -> None:
    """A box with no field at its default comes back; a field that the model gains must be added here."""
    everything = {(sort.__name__, one.name) for sort in MODEL for one in fields(sort)}

    assert everything - changed(FULL) == {
        ("Port", "seen"),
        ("Port", "shown"),
        ("Port", "properties"),
        ("PortTree", "shown_costs"),
    }, "no walk asks for it, and a cost that is shown is written as one that is set"
    assert bare(parse(write([FULL])).devices) == bare((FULL,))


def test_what_was_seen_behind_a_port_is_left_out() -> None:
    """Addresses and neighbours are about what hangs there, and never part of a text that is shown around."""
    seen = Seen(mac="02:00:5e:00:00:01", vid=10, neighbour="hall-switch")
    box = Device(name="A", ports={"1": Port(name="1", seen=(seen,))})

    text = write([box])

    assert "02:00:5e" not in text
    assert "hall-switch" not in text
    assert parse(text).devices[0].ports["1"].seen == ()


def test_evidence_is_the_line() -> None:
    """Every fact rests on its own line of the text; what no line says is said to be assumed."""
    text = "port sw1:1 pvid=10 member=10 untagged=10\nentry sw1:1 match=310 pop=1 push=10"

    box = parse(text, file="fault.jot").devices[0]

    port = box.bridge_ports["1"]
    for origins in (port.pvid.origins, port.member.why(10)[1], port.member.why(4000)[1], box.ports["1"].origins):
        assert [(one.kind, one.file, one.line, one.text) for one in origins] == [
            (Kind.SITE, "fault.jot", 1, "port sw1:1 pvid=10 member=10 untagged=10")
        ]
    assert [(one.line, one.text) for one in port.entry[0].origins] == [(2, "entry sw1:1 match=310 pop=1 push=10")]
    assert {one.kind for one in (*port.up.origins, *box.bridges[""].exists.why(10)[1])} == {Kind.ASSUMED}
