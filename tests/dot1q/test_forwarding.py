"""The truth table `forwarding.tsv` against the forwarding rules, a row a test."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import pytest

from vlancheck.dot1q.forward import ONE_TAG, View, World, WornTag, enter, leave, see
from vlancheck.dot1q.model import NO_TAG, Bridge, BridgePort, Foreign, Port, Push, Rewrite, TagMatch
from vlancheck.dot1q.rules import Rule
from vlancheck.dot1q.tags import C_TAG, S_TAG, Frame, Tag, format_frame, parse_frame
from vlancheck.evidence import UNKNOWN, Cover, Fact, State, assumed
from vlancheck.vids import EVERY, span

SAID = assumed("said by the table")
GOES_ON = frozenset({Rule.TAGGED_IN, Rule.PVID_IN, Rule.TAGGED_OUT, Rule.UNTAGGED_OUT})
SETS = {"admit", "member", "untagged", "exists", "active", "forwarding"}
FIELDS = SETS | {"pvid", "tpids", "sends", "foreign", "up", "link", "port", "doubt", "entry", "exit"}


class Row(NamedTuple):
    """A line of the table."""

    clause: str
    world: str
    side: str
    port: str
    given: str
    result: str
    why: str


def rows() -> list[Row]:
    """Read the table; every row has a clause and a reason."""
    text = (Path(__file__).parent / "forwarding.tsv").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    assert tuple(lines[0].split("\t")) == Row._fields
    return [Row(*line.split("\t")) for line in lines[1:]]


TABLE = rows()


def test_the_table_is_whole() -> None:
    """Every loss that one port can cause is in it, on both sides; no row stands twice."""
    words = {row.result for row in TABLE}
    by_others = {Rule.NOT_TAKEN, Rule.VLAN_SUSPENDED, Rule.PRIVATE_VLAN, Rule.ISOLATED, Rule.NOWHERE}
    beyond_one_port = by_others | {Rule.LOOP, Rule.GROWING, Rule.TAKEN, Rule.REWRITTEN_IN, Rule.REWRITTEN_OUT}

    assert {rule.word for rule in Rule} - words == {rule.word for rule in beyond_one_port | GOES_ON}
    assert len({row[1:5] for row in TABLE}) == len(TABLE)
    assert all(row.clause and row.why for row in TABLE)
    assert {row.side for row in TABLE} == {"in", "out"}


@pytest.mark.parametrize("row", TABLE, ids=[f"{row.side} {row.given} at {row.port} {row.world}" for row in TABLE])
def test_forwarding(row: Row) -> None:
    """The rule gives what the table says, in the worlds it names."""
    worlds = {"sure": [World.SURE], "possible": [World.POSSIBLE], "-": [World.SURE, World.POSSIBLE]}[row.world]

    for world in worlds:
        view = seen(row.port, world)
        assert (arrived if row.side == "in" else left)(view, row.given) == row.result, row.why


def arrived(view: View, given: str) -> str:
    """Return what a frame on the wire becomes inside, as the table writes it."""
    stack = tuple(WornTag(tag.tpid, tag.vid, "") for tag in frame(given))
    results = [
        inside(vid, below) if rule in GOES_ON else rule.word
        for rule, vid, _, below, _, _ in enter(view, stack, 1, ONE_TAG)
    ]
    return " & ".join(results) or "nothing"


def left(view: View, given: str) -> str:
    """Return what a copy inside becomes on the wire, as the table writes it."""
    vid, _, below = given.partition(" over ")
    stack = tuple(WornTag(tag.tpid, tag.vid, "") for tag in (frame(below) if below else ()))
    results = [
        format_frame(tuple(Tag(tag.tpid, tag.vid) for tag in out)) if rule in GOES_ON else rule.word
        for rule, out, _, _ in leave(view, int(vid), "", stack, 1, ONE_TAG)
    ]
    return " & ".join(results) or "nothing"


def inside(vid: int, below: tuple[WornTag, ...]) -> str:
    """Write a relay VID and the tags below it."""
    tags = format_frame(tuple(Tag(tag.tpid, tag.vid) for tag in below))
    return f"{vid} over {tags}" if below else str(vid)


def frame(written: str) -> Frame:
    """Read a frame; VID 4095, which no notation of ours allows, is a C-tag here."""
    return (Tag(C_TAG, 4095),) if written == "4095" else parse_frame(written)


# ---- the table's notation ------------------------------------------------------------------------------------------


def seen(port: str, world: World) -> View:
    """Return the bridge port that a cell describes, as one world sees it."""
    said = dict(item.split("=", 1) for item in port.split()) if port != "-" else {}
    assert set(said) <= FIELDS, port
    tpids = said.get("tpids", "8100")
    bridge_port = BridgePort(
        name="1",
        port="1",
        pvid=Fact(None if "pvid" not in said else UNKNOWN if said["pvid"] == "?" else int(said["pvid"]), SAID),
        admit=cover(said.get("admit", "none")),
        member=cover(said.get("member", "none")),
        untagged=cover(said.get("untagged", "none")),
        forwarding=cover(said.get("forwarding", "*")),
        tpids=frozenset(int(tpid, 16) for tpid in tpids.split(",")) if tpids != "none" else frozenset(),
        sends=int(said.get("sends", "8100"), 16),
        foreign=Foreign(said.get("foreign", "payload")),
        up=yes(said.get("up", "yes")),
        doubt=SAID if said.get("doubt") == "yes" else (),
        entry=table(said.get("entry", "")),
        exit=table(said.get("exit", "")),
    )
    below = Port(name="1", up=yes(said.get("port", "yes")), link=yes(said.get("link", "yes")))
    bridge = Bridge(exists=cover(said.get("exists", "*")), active=cover(said.get("active", "*")))
    return see(bridge_port, below, bridge, "A", world)


def yes(written: str) -> Fact[bool]:
    """Read `yes`, `no` or `?`."""
    return Fact(UNKNOWN if written == "?" else written == "yes", SAID)


def cover(written: str) -> Cover:
    """Read `10,20-30`, `none` or `*`, with `?` after what is unknown."""
    made = Cover.of(0, SAID)
    for item in written.split(",") if written != "none" else ():
        made = made.write(vids(item.removesuffix("?")), State.UNKNOWN if item.endswith("?") else State.IN, SAID)
    return made


def vids(written: str) -> int:
    """Read VIDs of any size: `10`, `10-20`, `*`."""
    if written == "*":
        return EVERY
    low, _, high = written.partition("-")
    return span(int(low), int(high or low))


def table(written: str) -> tuple[Rewrite, ...]:
    """Read rewrite rows: `20>pop1,push30|any>drop`."""
    return tuple(rewrite(row) for row in written.split("|")) if written else ()


def rewrite(written: str) -> Rewrite:
    """Read one row; `?` before `>`: it may not be there."""
    match, _, does = written.partition(">")
    sure = not match.endswith("?")
    levels = match.removesuffix("?").split(".") if match.removesuffix("?") != "any" else []
    pop, push, drop = 0, "", False
    for word in does.split(","):
        if word.startswith("push"):
            push = word[4:]
        elif word.startswith("pop"):
            pop = int(word[3:])
        else:
            assert word == "drop"
            drop = True
    tags = tuple(pushed(tag) for tag in push.split(".")) if push else ()
    return Rewrite(tuple(level(one) for one in levels), pop, tags, drop, sure, SAID)


def level(written: str) -> TagMatch:
    """Read what a row asks of one tag: `10-20`, `*` any VID, `none` no tag, `s*` or `s10` of an S-tag."""
    if written == "none":
        return TagMatch(1 << NO_TAG)
    tpids = frozenset({S_TAG}) if written.startswith("s") else None
    bits = vids(written.removeprefix("s"))
    return TagMatch(bits & ~(1 << NO_TAG), tpids)


def pushed(written: str) -> Push:
    """Read a tag that is put on: `20` of the TPID that is sent, `s20`, `c20`."""
    tpid = {"s": S_TAG, "c": C_TAG}.get(written[0])
    return Push(int(written.lstrip("sc")), tpid)
