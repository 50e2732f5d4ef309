"""What the harness promises: wirings arrive as drawn, traces equal real packets, nothing is left over or guessed."""

from __future__ import annotations

import json
import struct
import time
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import networkx as nx
import pytest
from hypothesis import given, note, settings

from .actions import OracleError, outputs
from .ovs import PACKAGE, Delivery, Ovs, missing_programs, unavailable
from .wirings import C_TPID, S_TPID, Bridge, Frame, Port, Wiring, comparable, frames, most_tags, wirings

PROFILE = settings.get_profile("oracle")


def c(*vids: int) -> Frame:
    """Return a frame with C-tags of these VIDs, outermost first."""
    return tuple((C_TPID, vid) for vid in vids)


def patched(left: Port, right: Port, *edges: tuple[str, Port]) -> Wiring:
    """Return bridges b0 and b1 joined by a port each, and edge ports as (bridge, port)."""
    return Wiring(
        tuple(
            Bridge(bridge, (join, *(port for home, port in edges if home == bridge)))
            for bridge, join in (("b0", left), ("b1", right))
        )
    )


# --- when the switch is missing


def test_missing_switch_skips_and_names_the_package(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("VLANCHECK_REQUIRE_ORACLE", raising=False)
    missing = missing_programs(str(tmp_path))
    assert "ovs-vswitchd" in missing
    with pytest.raises(pytest.skip.Exception, match=PACKAGE):
        unavailable(missing)


def test_missing_switch_fails_where_it_is_required(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("VLANCHECK_REQUIRE_ORACLE", "1")
    with pytest.raises(pytest.fail.Exception, match=PACKAGE):
        unavailable(["ovs-vswitchd"])


# --- datapath actions


def test_actions_are_executed_in_order() -> None:
    text = "4,pop_vlan,2,push_vlan(vid=10,pcp=0),push_vlan(tpid=0x88a8,vid=7,pcp=3),1,set(vlan(vid=8,pcp=0)),3"
    assert list(outputs(text, ((C_TPID, 5, 1),))) == [
        (4, ((C_TPID, 5, 1),)),
        (2, ()),
        (1, ((S_TPID, 7, 3), (C_TPID, 10, 0))),
        (3, ((S_TPID, 8, 0), (C_TPID, 10, 0))),
    ]
    assert list(outputs("drop", ())) == []


@pytest.mark.parametrize(
    "text",
    ["recirc(0x1)", "pop_vlan,1", "set(eth(dst=50:54:00:00:00:02)),1", "push_vlan(vid=1,pcp=0,cfi=0),1", "1,?,2", ""],
)
def test_actions_that_are_not_understood_are_errors(text: str) -> None:
    with pytest.raises(OracleError):
        list(outputs(text, ()))


# --- small wirings, results by hand


@pytest.mark.oracle
def test_trunks_carry_the_frame_and_access_ports_strip_it(ovs: Ovs) -> None:
    ovs.build(
        patched(
            Port("left", trunks=(10, 20), peer="right"),
            Port("right", peer="left"),
            ("b0", Port("desk", tag=10)),
            ("b0", Port("store", tag=30)),
            ("b1", Port("lab", tag=10)),
        )
    )
    assert ovs.trace("b0", "desk", ()) == {
        Delivery("b0", "b0", c(10)),
        Delivery("b1", "b1", c(10)),
        Delivery("b1", "lab", ()),
    }
    assert ovs.trace("b0", "desk", c(10)) == set()
    assert ovs.trace("b0", "store", ()) == {Delivery("b0", "b0", c(30))}


@pytest.mark.oracle
def test_tunnel_wraps_and_unwraps(ovs: Ovs) -> None:
    tunnel = Port("near", "dot1q-tunnel", tag=100)
    ovs.build(
        patched(
            Port("left", trunks=(100,), peer="right"),
            Port("right", trunks=(100,), peer="left"),
            ("b0", tunnel),
            ("b1", replace(tunnel, name="far")),
            ("b1", replace(tunnel, name="some", cvlans=(5,))),
        )
    )
    wrapped = ((S_TPID, 100), (C_TPID, 6))
    assert ovs.trace("b0", "near", c(6)) == {
        Delivery("b0", "b0", wrapped),
        Delivery("b1", "b1", wrapped),
        Delivery("b1", "far", c(6)),
    }
    assert ovs.trace("b1", "far", c(5)) >= {Delivery("b0", "near", c(5)), Delivery("b1", "some", c(5))}


@pytest.mark.oracle
def test_native_vlans_that_differ_move_a_frame_to_another_vlan(ovs: Ovs) -> None:
    ovs.build(
        patched(
            Port("left", "native-untagged", tag=10, peer="right"),
            Port("right", "native-untagged", tag=20, peer="left"),
            ("b0", Port("ten", tag=10)),
            ("b1", Port("twenty", tag=20)),
            ("b1", Port("alsoten", tag=10)),
        )
    )
    ends = {(copy.bridge, copy.port) for copy in ovs.trace("b0", "ten", ())}
    assert ends == {("b0", "b0"), ("b1", "b1"), ("b1", "twenty")}


@pytest.mark.oracle
def test_two_tags_the_inner_one_is_bared_where_the_native_vlan_is_stripped(ovs: Ovs) -> None:
    ovs.build(
        patched(
            Port("left", "native-untagged", tag=10, peer="right"),
            Port("right", peer="left"),
            ("b0", Port("outside")),
            ("b1", Port("inside", tag=66)),
        )
    )
    assert Delivery("b1", "inside", ()) in ovs.trace("b0", "outside", c(10, 66))


@pytest.mark.oracle
def test_third_tag_is_beyond_this_switch(ovs: Ovs) -> None:
    """The reason for `most_tags`: with two tags and a tunnel, Open vSwitch delivers a frame whose inner tag is lost."""
    tunnel = Port("near", "dot1q-tunnel", tag=100, qinq_ethtype="802.1q")
    wiring = Wiring((Bridge("b0", (tunnel,)),))
    ovs.build(wiring)
    assert ovs.trace("b0", "near", c(5, 6)) == {Delivery("b0", "b0", c(100, 5))}
    assert most_tags(wiring, "b0", "near", c(5, 6)) == 3
    assert most_tags(wiring, "b0", "near", c(5)) == 2
    assert most_tags(wiring, "b0", "b0", c(5, 6)) == 2


@pytest.mark.oracle
def test_new_wiring_replaces_the_old_one(ovs: Ovs) -> None:
    ovs.build(Wiring((Bridge("b0", (Port("a", tag=10), Port("b", tag=10))), Bridge("b1", (Port("x"),)))))
    assert Delivery("b0", "b", ()) in ovs.trace("b0", "a", ())
    wiring = Wiring((Bridge("b0", (Port("a", tag=10), Port("b", tag=20))),))
    ovs.build(wiring)
    assert ovs.trace("b0", "a", ()) == {Delivery("b0", "b0", c(10))}
    assert _rows(ovs.capture(), "bridge").keys() == {"b0"}
    ovs.reset()
    assert _rows(ovs.capture(), "port") == {}


@pytest.mark.oracle
def test_unusable_wirings_and_frames_are_errors(ovs: Ovs) -> None:
    with pytest.raises(OracleError, match="add-port"):
        ovs.build(Wiring((Bridge("b0", (Port("a", tag=5000),)),)))
    ovs.build(Wiring((Bridge("b0", (Port("a"),)),)))
    with pytest.raises(ValueError, match="TPID 0x9100"):
        ovs.trace("b0", "a", ((0x9100, 5),))


@pytest.mark.oracle
@pytest.mark.parametrize("frame", [(), c(10), c(20), c(20, 10), ((S_TPID, 20), (C_TPID, 10))])
def test_trace_equals_real_packets(ovs: Ovs, tmp_path: Path, frame: Frame) -> None:
    """Send a packet through the dummy devices and read the tags from what they recorded on the wire."""
    wiring = patched(
        Port("left", "native-untagged", tag=20, peer="right"),
        Port("right", "native-untagged", tag=20, peer="left"),
        ("b0", Port("in", "native-tagged", tag=10)),
        ("b0", Port("tunnel", "dot1q-tunnel", tag=20, qinq_ethtype="802.1q")),
        ("b1", Port("all")),
        ("b1", Port("ten", tag=10)),
        ("b1", Port("twenty", tag=20)),
        ("b1", Port("tagged", "native-tagged", tag=20)),
    )
    homes = {port: bridge for bridge, port in wiring.edges() if port != bridge}
    record = [word for port in homes for word in ("--", "set", "interface", port, f"options:tx_pcap={tmp_path / port}")]
    ovs.build(wiring, *record)
    traced = {copy for copy in ovs.trace("b0", "in", frame) if copy.port in homes}
    assert traced
    ovs.control("netdev-dummy/receive", "in", _packet(frame).hex())
    until = time.monotonic() + 5
    while True:
        seen = [Delivery(homes[port], port, sent) for port in homes for sent in _recorded(tmp_path / port)]
        if len(seen) >= len(traced) or time.monotonic() > until:
            break
        ovs.control("version")  # the daemon moves packets between two requests
    assert Counter(seen) == Counter(traced)


# --- random wirings


@pytest.mark.oracle
@given(drawn=wirings(protected=True))
@settings(PROFILE)
def test_capture_shows_the_wiring_as_drawn(ovs: Ovs, drawn: tuple[Wiring, tuple[int, ...], int]) -> None:
    wiring, _, _ = drawn
    note(" ".join(wiring.commands()))
    ovs.build(wiring)
    text = ovs.capture()
    assert [line for line in text.splitlines() if line.startswith("root@lab:~#")] == [
        f"root@lab:~# ovs-vsctl --format=json list {table}" for table in ("bridge", "port", "interface")
    ] + ["root@lab:~# "]
    bridges, ports, interfaces = (_rows(text, table) for table in ("bridge", "port", "interface"))
    names = {row["_uuid"]: name for name, row in ports.items()}
    for bridge in wiring.bridges:
        assert {names[uuid] for uuid in bridges[bridge.name]["ports"]} == {bridge.name, *(p.name for p in bridge.ports)}
        for port in bridge.ports:
            row = ports[port.name]
            assert row["vlan_mode"] == ([] if port.vlan_mode is None else port.vlan_mode)
            assert row["tag"] == ([] if port.tag is None else port.tag)
            assert _many(row["trunks"]) == list(port.trunks)
            assert _many(row["cvlans"]) == list(port.cvlans)
            assert row["other_config"].get("qinq-ethtype") == port.qinq_ethtype
            assert row["protected"] == port.protected
            assert interfaces[port.name]["options"].get("peer") == port.peer
            assert interfaces[port.name]["error"] == []


@pytest.mark.oracle
@given(drawn=wirings(protected=True))
@settings(PROFILE)
def test_traces_keep_to_the_wiring(ovs: Ovs, drawn: tuple[Wiring, tuple[int, ...], int]) -> None:
    """A copy stays among joined bridges, never returns to its entry, and no port gets two."""
    wiring, pool, foreign = drawn
    note(" ".join(wiring.commands()))
    graph = nx.Graph()
    graph.add_nodes_from(bridge.name for bridge in wiring.bridges)
    graph.add_edges_from((near[0], far[0]) for near, far in wiring.links())
    assert nx.is_forest(graph)
    joined = {name: part for part in nx.connected_components(graph) for name in part}
    ovs.build(wiring)
    edges = set(wiring.edges())
    for bridge, port in edges:
        for frame in frames(pool, foreign):
            copies = ovs.trace_with_pcp(bridge, port, tuple((tpid, vid, 0) for tpid, vid in frame))
            ends = [where for where, _ in copies]
            assert len(ends) == len(set(ends))
            assert set(ends) <= edges - {(bridge, port)}
            assert {home for home, _ in ends} <= joined[bridge]
            if wiring.port(bridge, port).mode == "access" and frame and frame[0][1]:
                assert not copies  # ovs-vswitchd.conf.db(5): an access port drops a frame with a non-zero VID


@pytest.mark.oracle
def test_random_wirings_are_worth_comparing(ovs: Ovs) -> None:
    """Most frames are comparable, and with each number of tags many are delivered, cross a link, or change a tag."""
    seen: Counter[tuple[str, int]] = Counter()

    @given(drawn=wirings())
    @settings(PROFILE, max_examples=40, derandomize=True)
    def count(drawn: tuple[Wiring, tuple[int, ...], int]) -> None:
        wiring, pool, foreign = drawn
        ovs.build(wiring)
        seen.update(("drawn", len(frame)) for frame in frames(pool, foreign) for _ in wiring.edges())
        for bridge, port, frame in comparable(wiring, pool, foreign):
            copies = ovs.trace(bridge, port, frame)
            kinds = {
                "compared": True,
                "delivered": bool(copies),
                "crossed": any(copy.bridge != bridge for copy in copies),
                "changed": any(copy.frame != frame for copy in copies),
            }
            seen.update((kind, len(frame)) for kind, happened in kinds.items() if happened)

    count()
    for tags in (0, 1, 2):
        assert seen["compared", tags] > 0.7 * seen["drawn", tags]
        assert seen["delivered", tags] > 0.3 * seen["compared", tags]
        assert seen["crossed", tags] > 0.05 * seen["compared", tags]
        assert seen["changed", tags] > 0.05 * seen["compared", tags]


def _rows(capture: str, table: str) -> dict[str, dict[str, Any]]:
    """Return one printed table of a capture as column values by row name; sets and maps as lists and dicts."""
    lines = capture.splitlines()
    printed = json.loads(lines[lines.index(f"root@lab:~# ovs-vsctl --format=json list {table}") + 1])
    rows = (dict(zip(printed["headings"], map(_value, row), strict=True)) for row in printed["data"])
    return {row["name"]: row for row in rows}


def _value(value: Any) -> Any:
    """Return a value of RFC 7047, 5.1 as plain data."""
    match value:
        case ["uuid", str(uuid)]:
            return uuid
        case ["set", list(items)]:
            return [_value(item) for item in items]
        case ["map", list(pairs)]:
            return {key: _value(item) for key, item in pairs}
        case _:
            return value


def _many(value: Any) -> list[Any]:
    """Return a set's members; RFC 7047, 5.1 writes a set of one as the bare value."""
    return value if isinstance(value, list) else [value]


def _packet(frame: Frame) -> bytes:
    """Return a broadcast frame with its tags, 64 octets of payload."""
    tags = b"".join(struct.pack("!HH", *tag) for tag in frame)
    return bytes.fromhex("ffffffffffff 505400000001") + tags + struct.pack("!H", 0x1234) + bytes(64)


def _recorded(pcap: Path) -> Iterable[Frame]:
    """Yield the tags of every frame in a pcap file of the native byte order."""
    data = pcap.read_bytes() if pcap.exists() else b""
    place = 24  # the file's header
    while place + 16 <= len(data):
        length = struct.unpack_from("=I", data, place + 8)[0]
        place, packet = place + 16 + length, data[place + 16 : place + 16 + length]
        tags: list[tuple[int, int]] = []
        while (tpid := struct.unpack_from("!H", packet, 12 + 4 * len(tags))[0]) in (C_TPID, S_TPID):
            tags.append((tpid, struct.unpack_from("!H", packet, 14 + 4 * len(tags))[0] & 0xFFF))
        yield tuple(tags)
