"""The whole relation: rows that people can read, and the same fate for every frame as its walk."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from reference.wirings import drawn, frame
from wiring.boxes import SAID, access, bridge_port, switch

from vlancheck.dot1q.boxes import unaware
from vlancheck.dot1q.forward import OUTER
from vlancheck.dot1q.model import BridgePort, DeviceKind, Push, Rewrite, TagMatch
from vlancheck.dot1q.tags import C_TAG, S_TAG, Frame, Tag, format_frame
from vlancheck.errors import UsageError
from vlancheck.evidence import Cover, Fact, State
from vlancheck.vids import span
from vlancheck.walk import Carriage, Delivery, carriage, walk
from vlancheck.walk.framesets import UNTAGGED
from vlancheck.walk.relation import Row
from vlancheck.wiring import Network

from .plants import FRAMES, network


def trunk(name: str, allowed: str, **changes: object) -> BridgePort:
    """Return a trunk without a native VLAN."""
    return replace(bridge_port(name, member=allowed), **changes)  # type: ignore[arg-type]


def tunnel(name: str, vid: int) -> BridgePort:
    """Return a port that puts an S-tag around whatever comes in: it knows no C-tag."""
    return replace(access(name, vid), tpids=frozenset({S_TAG}), sends=S_TAG)


def said(relation: Carriage, port: str) -> dict[str, list[str]]:
    """Return the certain part of the rows as text."""
    return {
        row.frames: [
            f"{one.port} {one.frame}" + (f" {one.interface}" if one.interface else "") for one in row.deliveries
        ]
        for row in relation.rows(port)
    }


# ---- rows --------------------------------------------------------------------------------------------------------


def test_rows_tell_classes_of_frames() -> None:
    """A trunk into two access ports and another trunk; VIDs that reach nothing have no row."""
    box = switch("A", trunk("up", "10-30,40"), access("1", 10), access("2", 20), trunk("far", "20-40"))
    rows = said(carriage(Network([box], [])), "A:up")

    assert rows == {"10": ["A:1 untagged"], "20": ["A:2 untagged", "A:far 20"], "21-30,40": ["A:far same"]}
    assert list(rows) == ["10", "20", "21-30,40"]


def test_untagged_and_priority_frames_have_rows_of_their_own() -> None:
    """Both take the PVID (IEEE Std 802.1Q-2022, 6.9.1)."""
    box = switch("A", access("1", 10), access("2", 10))
    rows = carriage(Network([box], [])).rows("A:1")

    assert [row.frames for row in rows] == ["untagged", "0", "10"]
    assert all(row.deliveries == (Delivery("A:2", "untagged"),) for row in rows)
    assert (rows[0].tpids, rows[0].outer, rows[2].outer) == ((), 0, 1 << 10)


def test_a_translated_tag_is_named() -> None:
    """One VID to one, and all others as they are."""
    row = Rewrite(match=(TagMatch(1 << 10),), pop=1, push=(Push(99),))
    box = switch("A", trunk("1", "10-12"), trunk("2", "10-12", exit=(row,)))
    relation = carriage(Network([box], []))

    assert said(relation, "A:1") == {"10": ["A:2 99"], "11-12": ["A:2 same"]}
    assert not relation.stacked


def test_a_tunnel_has_rows_by_outer_and_inner() -> None:
    """The customer's frames come out behind an S-tag, any tag of theirs inside."""
    box = switch(
        "A", tunnel("customer", 100), replace(trunk("carrier", "100-200"), tpids=frozenset({S_TAG}), sends=S_TAG)
    )
    relation = carriage(Network([box], []))

    assert relation.forms[:2] == ((C_TAG,), (S_TAG,))
    assert said(relation, "A:customer") == {
        "untagged": ["A:carrier s100"],
        "0": ["A:carrier s100.0"],
        "1-4094": ["A:carrier s100.same"],
        "s0": ["A:carrier s100"],
        "s100": ["A:carrier s100"],
        "0.*": ["A:carrier s100.outer.inner"],
        "1-4094.*": ["A:carrier s100.outer.inner"],
        "0.s*": ["A:carrier s100.outer.s(inner)"],
        "1-4094.s*": ["A:carrier s100.outer.s(inner)"],
        "s0.*": ["A:carrier s100.inner"],
        "s100.*": ["A:carrier s100.inner"],
        "s0.s*": ["A:carrier s100.s(inner)"],
        "s100.s*": ["A:carrier s100.s(inner)"],
    }
    assert said(relation, "A:carrier") == {
        "s100": ["A:customer untagged"],
        "s100.*": ["A:customer inner"],
        "s100.s*": ["A:customer s(inner)"],
    }


def test_a_box_that_knows_no_tags_passes_them_all() -> None:
    """A media converter, and a port that takes only some of them behind it."""
    box = switch("A", trunk("1", "20-30"), trunk("2", "1-4094"))
    through = unaware("M", DeviceKind.THROUGH, ["a", "b"], SAID)
    relation = carriage(Network([box, through], [("A:1", "M:a")]))

    assert relation.stacked
    assert said(relation, "M:b")["20-30"] == ["A:2 same"]
    assert said(relation, "A:2")["20-30.*"] == ["M:b same"]


def test_what_is_unknown_is_unproven() -> None:
    """A member set of which two VIDs are unknown; and a port nobody can read, where any VLAN may go out."""
    far = trunk("2", "20-30")
    far = replace(far, member=far.member.write(span(28, 31), State.UNKNOWN, SAID))
    box = switch("A", trunk("1", "20-40"), far, trunk("3", "40", doubt=SAID))
    rows = {row.frames: row for row in carriage(Network([box], [])).rows("A:1")}

    assert rows["20-27"].deliveries == (Delivery("A:2", "same"),)
    assert rows["20-27"].unproven == (("A:3", "same"),)
    assert rows["28-31"].unproven == (("A:2", "same"), ("A:3", "same"))
    assert not rows["28-31"].deliveries
    assert rows["32-40"].unproven == (("A:3", "same"),)


def test_loops_are_told() -> None:
    """Two cords between two switches, one of them without VLAN 20."""
    one = switch("A", trunk("e", "10,20"), trunk("1", "10,20"), trunk("2", "10"))
    other = switch("B", access("e", 20), trunk("1", "10,20"), trunk("2", "10"))
    rows = {row.frames: row for row in carriage(Network([one, other], [("A:1", "B:1"), ("A:2", "B:2")])).rows("A:e")}

    assert rows["10"].looping
    assert rows["10"].may_loop
    assert rows["10"].deliveries == (Delivery("A:e", "10"),)
    assert rows["20"] == replace(rows["20"], looping=False, may_loop=False, growing=False)


def test_growing_frames_deliver_nothing() -> None:
    """Two tunnel ports joined back to back put on another tag each time round."""
    box = switch("A", access("e", 10), replace(access("1", 10), tpids=frozenset()), trunk("2", "10"), access("h", 10))
    network_ = Network([box], [("A:1", "A:2")])
    relation = carriage(network_)
    growing = [row for row in relation.rows("A:e") if row.growing]

    assert any(loop.growing for loop in walk(network_, "A:e", "untagged").loops)
    assert "untagged" in [row.frames for row in growing]
    assert all(not row.deliveries and not row.unproven and row.may_grow for row in growing)
    assert relation.deliveries("A:e", "untagged") == ()


# ---- sets --------------------------------------------------------------------------------------------------------


def test_the_relation_maps_receivers_to_sets_of_frames() -> None:
    """One set for each receiver, outgoing frame and interface; a constant that is the sent VID counts as the tag."""
    box = switch("A", trunk("1", "10-30", pvid=Fact(10, SAID)), trunk("2", "10-30"), access("3", 10))
    found = carriage(Network([box], [])).relation("A:1")
    by_port = {(key.port, key.frame): bits for key, bits in found.certain.items()}

    assert by_port == {
        ("A:2", (Tag(C_TAG, OUTER),)): span(10, 30),
        ("A:2", (Tag(C_TAG, 10),)): UNTAGGED | 1,
        ("A:3", ()): UNTAGGED | 1 | 1 << 10,
    }
    assert found.reaching("A:3") == UNTAGGED | 1 | 1 << 10
    assert found.reaching("A:1") == 0


def test_two_tags_are_rectangles() -> None:
    """A sub-interface takes one outer and a range of inner VIDs."""
    sub = BridgePort(
        name="1.5",
        port="1",
        pvid=Fact(None, SAID),
        admit=Cover.of(1 << 10, SAID),
        member=Cover.of(1 << 10, SAID),
        untagged=Cover.of(1 << 10, SAID),
        select=(TagMatch(1 << 5), TagMatch(span(100, 199))),
        entry=(Rewrite(pop=2, push=(Push(10),)),),
        exit=(Rewrite(push=(Push(5), Push(150))),),
    )
    box = switch("A", replace(sub), access("2", 10))
    relation = carriage(Network([box], []))
    found = relation.relation("A:1", (C_TAG, C_TAG))

    assert {(key.port, key.frame): value for key, value in found.certain.items()} == {
        ("A:2", ()): ((1 << 5, span(100, 199)),)
    }
    assert said(relation, "A:1") == {"5.100-199": ["A:2 untagged"]}
    assert said(relation, "A:2")["untagged"] == ["A:1 5.150"]
    assert said(relation, "A:2")["10.*"] == ["A:1 5.150.inner"]


def test_reaches_asks_for_any_frame() -> None:
    """Any frame of the covered forms."""
    box = switch("A", trunk("1", "10-20"), access("2", 20), access("3", 30))
    relation = carriage(Network([box], []))

    assert relation.reaches("A:1", "A:2")
    assert not relation.reaches("A:1", "A:3")
    assert not relation.reaches("A:1", "A:1")


# ---- asking ------------------------------------------------------------------------------------------------------


def test_frames_beyond_the_forms_are_walked() -> None:
    """Three tags, and a TPID that nothing in the network knows."""
    box = switch("A", trunk("1", "10"), access("2", 10))
    relation = carriage(Network([box], []))

    assert relation.deliveries("A:1", "10.20.30") == (Delivery("A:2", "20.30"),)
    assert relation.deliveries("A:1", "10.20") == (Delivery("A:2", "20"),)
    assert relation.deliveries("A:2", "10@9100") == (Delivery("A:1", "10.10@9100"),)


def test_what_cannot_be_asked() -> None:
    """The errors are a walk's."""
    relation = carriage(Network([switch("A", access("1", 10))], []))

    with pytest.raises(UsageError, match="there is no port 'A:9'"):
        relation.deliveries("A:9", "untagged")
    with pytest.raises(UsageError, match="there is no port 'B:1'"):
        relation.rows("B:1")
    with pytest.raises(UsageError, match="is no tag"):
        relation.unproven("A:1", "ten")


# ---- the same as walks -------------------------------------------------------------------------------------------


class Whole:
    """A relation with its rows kept, compared with walks."""

    def __init__(self, wired: Network) -> None:
        """Work out nothing yet."""
        self.network = wired
        self.relation = carriage(wired)
        self._rows: dict[str, tuple[Row, ...]] = {}

    def compare(self, port: str, sent: Frame) -> str:
        """Return what the relation says of a frame other than its walk; "" when nothing."""
        expected = walk(self.network, port, sent)
        unproven = tuple((item.port, item.frame) for item in expected.unproven)
        if self.relation.deliveries(port, sent) != expected.deliveries:
            return f"{port} {format_frame(sent)}: deliveries"
        if self.relation.unproven(port, sent) != unproven:
            return f"{port} {format_frame(sent)}: unproven"
        if (tuple(tag.tpid for tag in sent) or (C_TAG,)) not in self.relation.forms:
            return ""
        rounds = [loop for loop in expected.loops if not loop.growing]
        grows = [loop for loop in expected.loops if loop.growing]
        wanted = [any(loop.certain for loop in rounds), bool(rounds), any(loop.certain for loop in grows), bool(grows)]
        row = self.row(port, sent)
        got = [row.looping, row.may_loop, row.growing, row.may_grow] if row else [False] * 4
        if got != wanted:
            return f"{port} {format_frame(sent)}: loops {got} {wanted}"
        twins = len(sent) == 2 and sent[0].vid == sent[1].vid  # may stand in two places of a row
        counts = (len(row.deliveries), len(row.unproven)) if row else (0, 0)
        if not twins and counts != (len(expected.deliveries), len(unproven)):
            return f"{port} {format_frame(sent)}: row {row}"
        return ""

    def row(self, port: str, sent: Frame) -> Row | None:
        """Return the one row of a frame."""
        if port not in self._rows:
            self._rows[port] = self.relation.rows(port)
        tpids = tuple(tag.tpid for tag in sent)
        found = [
            row
            for row in self._rows[port]
            if row.tpids == tpids
            and (not sent or row.outer >> sent[0].vid & 1)
            and (len(sent) < 2 or row.inner >> sent[1].vid & 1)
        ]
        assert len(found) <= 1
        return found[0] if found else None


@pytest.mark.parametrize("unknowns", [False, True], ids=["certain", "unknowns"])
def test_every_frame_is_as_its_walk_on_hostile_wirings(unknowns: bool) -> None:
    """Loops, self-links, tunnels, translations, mixed TPIDs, isolation; any port as the sender."""
    differences = []
    for number in range(100):
        wiring, rng = drawn(12, number, unknowns=unknowns)
        whole = Whole(Network(wiring.devices, wiring.links, handoffs=wiring.handoffs))
        ports = [f"{device.name}:{port}" for device in wiring.devices for port in device.ports]
        for _ in range(20):
            port, sent = rng.choice(ports), frame(rng)
            if wrong := whole.compare(port, sent):
                differences.append(f"wiring {number}: {wrong}")

    assert not differences


@pytest.mark.parametrize("unknowns", [False, True], ids=["certain", "unknowns"])
def test_every_frame_is_as_its_walk_among_ports_that_are_alike(unknowns: bool) -> None:
    """Every sender: those that are alike share a flood, but none hears itself for that."""
    differences = []
    for seed in range(60):
        whole = Whole(network(Random(seed), unknowns=unknowns))
        for port in whole.network.boundary:
            differences += [f"seed {seed}: {wrong}" for sent in FRAMES if (wrong := whole.compare(port, sent))]

    assert not differences


def test_the_order_is_always_the_same() -> None:
    """Rows, deliveries and unproven copies of two relations of the same wiring."""
    wiring, _ = drawn(12, 3, unknowns=True)
    wired = [Network(wiring.devices, wiring.links, handoffs=wiring.handoffs) for _ in range(2)]
    one, other = (carriage(each) for each in wired)

    assert one.senders == other.senders == tuple(sorted(one.senders))
    assert [one.rows(port) for port in one.senders] == [other.rows(port) for port in reversed(one.senders)][::-1]
