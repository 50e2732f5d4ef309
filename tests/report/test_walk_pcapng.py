"""A walk as a capture file: every step is a packet with exactly its tags, as the bytes say and as tshark reads them."""

from __future__ import annotations

import json
import os
import re
import shutil
import struct
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from cli.running import run
from reference.wirings import drawn, frame

from vlancheck.dot1q.rules import Rule
from vlancheck.dot1q.tags import Tag, format_frame
from vlancheck.notation import parse
from vlancheck.pipeline import open_site
from vlancheck.report.pcapng import Interface, Packet, Way, capture_file
from vlancheck.report.walk_pcapng import pcapng_file, way_of
from vlancheck.walk import Walk, walk
from vlancheck.walk.flood import What
from vlancheck.wiring import Link, Network, wire

from .sites import EVERY_STATE, LOOP, write_closet

PROGRAM, PACKAGE = "tshark", "tshark"
PAYLOAD = 0x88B5
STACKS = """\
bridge A exists=10,20
port A:1 pvid=10 member=10 untagged=10
port A:2 member=10,20 tpids=88a8 sends=88a8
port A:3 member=10,20 tpids=9100 sends=9100
bridge B exists=10,20
port B:2 member=10,20 tpids=88a8 sends=88a8
port B:1 pvid=20 member=20
link A:2 B:2
"""
GROWS = """\
port A:1 pvid=10 member=10 untagged=10 tpids=none
port A:2 pvid=20 member=10,20 tpids=none
port A:3 pvid=10 member=10 tpids=none
link A:2 A:3
"""
BEYOND = """\
bridge A exists=r5000
port A:1 pvid=r5000 member=r5000 untagged=r5000
port A:2 member=r5000
bridge B exists=10
port B:2 member=10
link A:2 B:2
"""
HOSTILE = 'x"<b>]]>\u202e\x1b[31m=cmd()\n\r\tz'


@dataclass
class Block:
    """One block of a file, taken apart by hand."""

    kind: int
    body: bytes
    options: dict[int, list[bytes]] = field(default_factory=dict)


def blocks(data: bytes) -> Iterator[Block]:
    """Take a file apart; asserts that lengths, fillings and ends of options are as the draft says."""
    fixed = {0x0A0D0D0A: 16, 1: 8, 6: 20}
    at = 0
    while at < len(data):
        kind, size = struct.unpack_from("<II", data, at)
        assert size % 4 == 0
        assert size >= 12
        content = data[at + 8 : at + size - 4]
        assert struct.unpack_from("<I", data, at + size - 4) == (size,)
        start = fixed[kind]
        if kind == 6:
            captured, original = struct.unpack_from("<II", content, 12)
            assert captured == original
            start += captured + -captured % 4
            assert not any(content[20 + captured : start])
        block = Block(kind, content[:start])
        ended = False
        while start < len(content):
            assert not ended
            code, length = struct.unpack_from("<HH", content, start)
            ended = code == 0
            value = content[start + 4 : start + 4 + length]
            assert len(value) == length
            if not ended:
                block.options.setdefault(code, []).append(value)
            start += 4 + length + -length % 4
        assert ended
        assert start == len(content)
        yield block
        at += size
    assert at == len(data)


def tags(data: bytes) -> str:
    """Return the tags of a packet by its bytes; asserts addresses, priority bits and the payload's type."""
    assert data[:6] == b"\xff" * 6
    assert data[6:12] == bytes.fromhex("00005e005301")
    found, at = [], 12
    while (tpid := int.from_bytes(data[at : at + 2], "big")) != PAYLOAD:
        control = int.from_bytes(data[at + 2 : at + 4], "big")
        assert control < 0x1000, "priority and drop eligibility are 0"
        found.append(Tag(tpid, control))
        at += 4
    assert len(data) - at - 2 == 46
    return format_frame(tuple(found))


def on_the_wire(text: str) -> str:
    """Return a step's frame without the relay VIDs that no tag can carry."""
    if text == "untagged":
        return text
    kept = [one for one in text.split(".") if int(one.lstrip("s").partition("@")[0]) <= 4094]
    return ".".join(kept) or "untagged"


def in_jot(text: str) -> Network:
    notation = parse(text)
    return wire(notation.devices, [Link(one, other) for one, other in notation.links], handoffs=notation.handoffs)


def walks() -> Iterator[tuple[str, Walk, Network]]:
    """Yield walks with tags of several types, stacks, losses, loops, doubts, and relay VIDs beyond 4094."""
    texts = {"stacks": STACKS, "every state": EVERY_STATE, "loop": LOOP, "grows": GROWS, "beyond": BEYOND}
    for name, text in texts.items():
        network = in_jot(text)
        for port in network.boundary[:3]:
            for sent in ("untagged", "0", "310", "s100.310", "10@9100.20", "10.20.30"):
                yield f"{name} {port} {sent}", walk(network, port, sent), network
    for number in range(30):
        wiring, rng = drawn(11, number, unknowns=number % 2 == 0)
        network = Network(wiring.devices, wiring.links, handoffs=wiring.handoffs)
        for port in network.boundary[:2]:
            yield f"drawn {number} {port}", walk(network, port, frame(rng)), network


WALKS = {name: (walked, network) for name, walked, network in walks()}


def test_every_step_is_a_packet_with_its_tags_its_rule_and_its_lines() -> None:
    met: set[What] = set()
    beyond = 0
    for name, (walked, network) in WALKS.items():
        head, *rest = blocks(pcapng_file(walked, network, "a site", "as-found"))
        assert head.kind == 0x0A0D0D0A
        assert struct.unpack("<IHHq", head.body) == (0x1A2B3C4D, 1, 0, -1)
        assert b"Nothing here was seen on a wire" in head.options[1][0]
        ports = list(dict.fromkeys(step.port for step in walked.steps))
        interfaces, packets = rest[: len(ports)], rest[len(ports) :]
        assert [one.options[2] for one in interfaces] == [[port.encode()] for port in ports], name
        assert {(one.kind, one.body) for one in interfaces} == {(1, struct.pack("<HHI", 1, 0, 0))}
        assert {one.options[9][0] for one in interfaces} == {b"\x06"}
        assert len(packets) == len(walked.steps)
        for packet, step in zip(packets, walked.steps, strict=True):
            interface, high, low, size, _ = struct.unpack_from("<IIIII", packet.body)
            assert (ports[interface], high, low) == (step.port, 0, step.number)
            assert tags(packet.body[20 : 20 + size]) == on_the_wire(step.frame), f"{name}, step {step.number}"
            assert struct.unpack("<I", packet.options[2][0]) == (way_of(step, walked) | 3 << 2,)
            comment = packet.options[1][0].decode()
            assert comment.startswith(f"step {step.number}")
            if step.what is not What.SENT:
                assert f"{step.rule.sentence} ({step.rule.clause}; {step.rule.word})" in comment
            for origin in sorted(step.evidence, key=lambda one: not one.file)[:4]:
                assert " ".join(origin.text.split()) in comment
            if on_the_wire(step.frame) != step.frame:
                beyond += 1
                assert "is not in the packet" in comment
            assert step.certain or "(unproven)" in comment
            met.add(step.what)
    assert met == set(What)
    assert beyond


def test_ways_are_those_of_the_port() -> None:
    """In where a copy arrives, out where it leaves or fails to, and neither where it goes nowhere."""
    for walked, _ in WALKS.values():
        for step in walked.steps:
            way = way_of(step, walked)
            if step.what in (What.ENTERS, What.LEAVES):
                assert way is (Way.INBOUND if step.what is What.ENTERS else Way.OUTBOUND)
            if step.what is What.LOST and step.rule in (Rule.NOT_MEMBER, Rule.PORT_DOWN_OUT, Rule.OFF_WIRE):
                assert way is Way.OUTBOUND
            if step.what is What.LOST and step.rule in (Rule.NOT_ADMITTED, Rule.NO_PVID, Rule.FOREIGN_TAG):
                assert way is Way.INBOUND
            if step.rule is Rule.NOWHERE:
                assert way is Way.UNKNOWN
    host = in_jot("bridge A exists=10\nport A:1 pvid=10 member=10 untagged=10\nend H:1\nlink A:1 H:1\n")
    sent = walk(host, "H:1", "untagged")
    assert [(step.port, way_of(sent.steps[0], sent)) for step in sent.steps[:1]] == [("H:1", Way.OUTBOUND)]


def test_words_of_a_configuration_stay_words() -> None:
    """Control characters and marks that turn the writing show, lines do not break, and a long comment is cut."""
    described = json.dumps(HOSTILE.splitlines()[0], ensure_ascii=False).replace("\\u001b", "\x1b")
    text = f"bridge A exists=10\nport A:1 member=10 description={described}\nport A:2 member=10\n"
    network = in_jot(text)
    _, *rest = blocks(pcapng_file(walk(network, "A:1", "10"), network, HOSTILE, HOSTILE))
    description = rest[0].options[3][0].decode()
    assert description == 'x"<b>]]>\ufffd\ufffd[31m=cmd()'

    for size in (65_535, 65_536, 200_000):
        long = "ä" * (size // 2) + "x" * (size % 2)
        made = capture_file(long, [Interface(long)], [Packet(0, 1, b"", Way.UNKNOWN, long)])
        for block in blocks(made):
            (said,) = block.options.get(2 if block.kind == 1 else 1, [b""])
            whole = size <= 65_535
            assert said.decode() == long if whole else said.decode().endswith("ä…"), "whole, or cut between two letters"


def test_the_command_writes_the_file_and_says_when_it_cannot(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    site = write_closet(tmp_path / "site")
    made = tmp_path / "walk.pcapng"
    assert run("walk", site, "SORT-1:Gi0/1", "310", "--pcapng", made) in (0, 3)
    with_file = capsys.readouterr().out
    survey = open_site(site).survey("as-found")
    walked = survey.walk("SORT-1:Gi0/1", "310")
    assert made.read_bytes() == pcapng_file(walked, survey.network, "Ferry office, rear closet", "as-found")
    run("walk", site, "SORT-1:Gi0/1", "310")
    assert capsys.readouterr().out == with_file

    assert run("walk", site, "SORT-1:Gi0/1", "310", "--pcapng", tmp_path / "no/walk.pcapng") == 2
    assert "cannot be written" in capsys.readouterr().err


# ---- tshark ------------------------------------------------------------------------------------------------------

FIELDS = ("frame.interface_name", "frame.time_epoch", "frame.packet_flags_direction", "eth.type", "vlan.id")
FIELDS += ("vlan.etype", "ieee8021ad.id", "ieee8021ah.etype", "ieee8021ad.svid", "ieee8021ad.cvid", "frame.comment")
KNOWN = (0x8100, 0x88A8, 0x9100)  # tags that tshark takes apart unasked


def read_back(file: Path) -> list[dict[str, list[str]]]:
    """Return the fields of every packet as tshark reads them; skip without it, or fail where it is asked for."""
    if shutil.which(PROGRAM) is None:
        why = f"{PROGRAM} not found: install Debian package {PACKAGE}"
        if os.environ.get("VLANCHECK_REQUIRE_TSHARK") == "1":
            pytest.fail(why)
        pytest.skip(why)
    words = [PROGRAM, "-n", "-r", str(file), "-T", "fields", "-E", "separator=/t", "-E", "aggregator=|"]
    for name in FIELDS:
        words += ["-e", name]
    done = subprocess.run(words, capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 0, done.stderr
    rows = [line.split("\t") for line in done.stdout.splitlines()]
    return [
        dict(zip(FIELDS, ([part for part in cell.split("|") if part] for cell in row), strict=True)) for row in rows
    ]


def read_tags(row: dict[str, list[str]]) -> str:
    """Return the tags that tshark found in a packet, outermost first."""
    found: list[Tag] = []
    kind = int(row["eth.type"][0], 16)
    plain, service = iter(row["vlan.id"]), iter(row["ieee8021ad.id"])
    after_plain, after_service = iter(row["vlan.etype"]), iter(row["ieee8021ah.etype"])
    while kind != PAYLOAD:
        if kind != 0x88A8:
            found.append(Tag(kind, int(next(plain))))
            kind = int(next(after_plain), 16)
        else:
            double = row["ieee8021ad.svid"]
            found += [Tag(kind, int(one)) for one in (*double, *row["ieee8021ad.cvid"])] or [
                Tag(kind, int(next(service)))
            ]
            kind = int(next(after_service), 16)
    return format_frame(tuple(found))


def test_tshark_reads_back_the_tags_of_every_step(tmp_path: Path) -> None:
    """All walks in one file, a section each, as the draft allows."""
    file = tmp_path / "walks.pcapng"
    file.write_bytes(b"".join(pcapng_file(walked, network, "site", "as-found") for walked, network in WALKS.values()))
    rows = read_back(file)
    steps = [(name, step, walked) for name, (walked, _) in WALKS.items() for step in walked.steps]
    shapes: set[str] = set()
    for row, (name, step, walked) in zip(rows, steps, strict=True):
        assert row["frame.time_epoch"] == [f"0.{step.number:06d}000"]
        assert int(row["frame.packet_flags_direction"][0], 16) == way_of(step, walked)
        due = on_the_wire(step.frame)
        if taken_apart(due):
            assert read_tags(row) == due, f"{name}, step {step.number}"
            shapes.add(re.sub(r"(?<!@)\b(s?)\d+", r"\1N", due))
    assert shapes >= {"untagged", "N", "N.N", "sN", "sN.N", "N@9100", "N@9100.N"}


def taken_apart(text: str) -> bool:
    """Tell whether tshark knows all the types of tag in a frame, and lists two service tags at most."""
    types = [int(one.partition("@")[2] or "8100", 16) for one in text.split(".")]
    services = [number for number, one in enumerate(text.split(".")) if one.startswith("s")]
    return set(types) <= set(KNOWN) and services in ([], [0], [0, 1], [1])


def test_tshark_shows_the_comment_of_the_place_where_a_copy_dies(tmp_path: Path) -> None:
    """The closet of the reports: the tag 320 is lost at the port whose list lacks it, and the packet says so."""
    survey = open_site(write_closet(tmp_path / "site")).survey("as-left")
    walked = survey.walk("SORT-1:Gi0/1", "310")
    file = tmp_path / "walk.pcapng"
    file.write_bytes(pcapng_file(walked, survey.network, "closet", "as-left"))
    rows = read_back(file)
    assert [row["frame.interface_name"] for row in rows] == [[step.port] for step in walked.steps]
    lost = [(row, step) for row, step in zip(rows, walked.steps, strict=True) if step.what is What.LOST]
    assert lost
    for row, step in lost:
        assert read_tags(row) == step.frame
        assert f"LOST {step.frame}" in row["frame.comment"][0]
        assert step.rule.clause in row["frame.comment"][0]
        line = next(one for one in step.evidence if one.file)
        assert f"{line.file}:{line.line}" in row["frame.comment"][0]
