"""What slips of the hand would do: every sort of harm planted, and each exchange of two cords tried by `verify`."""

from __future__ import annotations

from collections import Counter
from itertools import combinations
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from moves.closets import DECLARED, Row, access, switch, write
from moves.test_plan import random_site
from vlancheck.answering import Judged
from vlancheck.changes.change import Kind
from vlancheck.changes.compare import _frames
from vlancheck.dot1q.tags import TAGS
from vlancheck.moves.compared import Compared
from vlancheck.moves.harm import Effects, Harm, Leaf
from vlancheck.moves.mistakes import Mistakes, _exchange, _leaves
from vlancheck.pipeline import open_site
from vlancheck.site.repatched import NewEnd, repatched
from vlancheck.vids import members

SITE = Path(__file__).parents[2] / "vlancheck/example/site"
CARRIED = (
    DECLARED
    + """\
handoffs: [{at: "ACC-1:20", carrier: metro, untagged: refused}]
services: [{name: internet, tag: 30, enters: "ACC-1:20", leaves: [{at: "PANEL-A:09", frame: untagged}]}]
devices: {ONU: {kind: carrier-box, owner: carrier}}
"""
)
TRUNK = ("switchport mode trunk", "switchport trunk allowed vlan 30")


def found(root: Path, rows: list[Row], ports: dict[int, tuple[str, ...]], declared: str = DECLARED) -> Mistakes:
    return open_site(write(root, {"acc-1": switch("ACC-1", ports)}, rows, declared)).mistakes("as-found")


def frames_in(needs: int) -> set[str]:
    """Return needed frames as the rows of a verification write them."""
    return ({"untagged"} if needs >> 4095 & 1 else set()) | {str(vid) for vid in members(needs & TAGS)}


def harm_of(mistakes: Mistakes, name: str) -> Harm:
    return next(risk.next_door for risk in mistakes.risks if risk.leaf.name == name)


def test_alike_ports_are_harmless(tmp_path: Path) -> None:
    rows: list[Row] = [(f"PANEL-A:{n:02}", f"ACC-1:{n}", f"PC {n}", "") for n in (1, 2, 3)]
    mistakes = found(tmp_path, rows, {n: access(10) for n in range(1, 5)})
    assert mistakes.swaps == {Harm.NONE: 3}
    assert {slip.harm for slip in mistakes.slips} == {Harm.NONE}
    assert max(slip.cords for slip in mistakes.slips) == 3


@pytest.mark.parametrize(
    ("serves", "harm"),
    [("PC", Harm.SEEN), ("phone 4", Harm.SEEN), ("fax", Harm.SILENT), ("camera", Harm.SILENT), ("till", Harm.SEEN)],
)
def test_another_vlan_is_seen_or_silent_by_who_sits_there(tmp_path: Path, serves: str, harm: Harm) -> None:
    """A desk each beside them, so that something is lost."""
    rows: list[Row] = [
        ("PANEL-A:01", "ACC-1:1", serves, ""),
        ("PANEL-A:02", "ACC-1:2", "PC two", ""),
        ("PANEL-A:11", "ACC-1:11", "PC three", ""),
        ("PANEL-A:12", "ACC-1:12", "PC four", ""),
    ]
    ports = {1: access(10), 2: access(20), 11: access(10), 12: access(20)}
    assert harm_of(found(tmp_path, rows, ports), "PANEL-A:01") is harm


def test_a_port_of_the_carriers_vlan_leaks(tmp_path: Path) -> None:
    rows: list[Row] = [
        ("ONU:1", "ACC-1:20", "", ""),
        ("PANEL-A:01", "ACC-1:8", "PC one", ""),
        ("PANEL-A:09", "ACC-1:9", "router of the internet", ""),
    ]
    mistakes = found(tmp_path, rows, {8: access(10), 9: access(30), 20: TRUNK}, CARRIED)
    assert harm_of(mistakes, "PANEL-A:01") is Harm.CARRIER
    assert mistakes.swaps[Harm.CARRIER] >= 1


def test_the_carriers_cord_takes_the_site_down(tmp_path: Path) -> None:
    rows: list[Row] = [
        ("ONU:1", "ACC-1:20", "", ""),
        ("PANEL-A:09", "ACC-1:9", "router of the internet", ""),
        ("PANEL-A:10", "ACC-1:21", "PC one", ""),
    ]
    mistakes = found(tmp_path, rows, {9: access(30), 20: TRUNK, 21: access(10)}, CARRIED)
    assert harm_of(mistakes, "PANEL-A:10") is Harm.SITE


def test_an_uplink_in_an_access_port_takes_the_site_down(tmp_path: Path) -> None:
    """Desks of two VLANs beyond it hear no one any more."""
    rows: list[Row] = [("ACC-1:24", "ACC-2:24", "", "")]
    rows += [(f"PANEL-A:{n:02}", f"ACC-1:{n}", f"PC {n}", "") for n in (1, 2, 3, 4)]
    rows += [(f"PANEL-B:{n:02}", f"ACC-2:{n}", f"PC {n + 10}", "") for n in (1, 2, 3, 4)]
    ports = {1: access(10), 2: access(20), 3: access(10), 4: access(20)}
    logs = {name.lower(): switch(name, ports, uplink="10,20") for name in ("ACC-1", "ACC-2")}
    mistakes = open_site(write(tmp_path, logs, rows)).mistakes("as-found")
    of_uplink = [one for one in mistakes.tangles if one.port == "ACC-1:GigabitEthernet1/0/24"]
    assert of_uplink
    assert {one.harm for one in of_uplink} == {Harm.SITE}
    assert sum(one.pairs for one in of_uplink) == 8  # four desks at each switch
    assert mistakes.left == 0


def test_a_port_that_keeps_addresses_may_shut(tmp_path: Path) -> None:
    kept = access(10, "switchport port-security", "switchport port-security mac-address sticky")
    rows: list[Row] = [("PANEL-A:01", "ACC-1:1", "PC", ""), ("PANEL-A:02", "ACC-1:2", "PC", "")]
    mistakes = found(tmp_path, rows, {1: access(10), 2: kept})
    assert harm_of(mistakes, "PANEL-A:01") is Harm.SEEN
    assert "sticky-mac" in mistakes.risks[0].words


def test_the_settings_of_each_port_count(tmp_path: Path) -> None:
    """What a port harms does not depend on which other port of its VLAN was asked about before."""
    kept = access(20, "switchport port-security", "switchport port-security mac-address sticky")
    rows: list[Row] = [(f"PANEL-A:{n:02}", f"ACC-1:{n}", f"PC {n}", "") for n in (1, 2, 3)]
    root = write(tmp_path, {"acc-1": switch("ACC-1", {1: access(10), 2: access(20), 3: kept})}, rows)
    site = open_site(root)
    survey = site.survey()
    side = Judged(site, survey).side
    compared = Compared(side, survey.boxes)
    leaf, *others = _leaves(side, compared)
    effects = Effects(_exchange(side, compared, [leaf, *others]), compared, side)
    for order in (others, others[::-1]):
        assert ["sticky-mac" in effects.moved(leaf, other.place).words(leaf) for other in order] == [
            other.name == "PANEL-A:03" for other in order
        ]


def test_each_exchange_of_the_example_is_counted_as_what_it_does_alone() -> None:
    """The counts by cells are those of every exchange looked at as if it were the only one."""
    site = open_site(SITE)
    survey = site.survey("as-planned")
    side = Judged(site, survey).side
    compared = Compared(side, survey.boxes)
    leaves = list(_leaves(side, compared))
    exchange = _exchange(side, compared, leaves)

    def alone(leaf: Leaf, to: Leaf) -> Harm:
        return Effects(exchange, compared, side).moved(leaf, to.place).harm

    counted = Counter(max(alone(one, other), alone(other, one)) for one, other in combinations(leaves, 2))
    told = site.mistakes("as-planned")
    for tangle in told.tangles:
        counted[tangle.harm] += tangle.pairs
    assert told.swaps == counted


def test_counts_are_of_all_pairs(tmp_path: Path) -> None:
    with TemporaryDirectory() as folder:
        for seed in range(5):
            site = open_site(random_site(Random(seed), Path(folder) / str(seed)))
            mistakes = site.mistakes("as-found")
            cords = len(mistakes.risks)
            leaf_pairs = sum(mistakes.swaps.values()) - sum(one.pairs for one in mistakes.tangles)
            assert leaf_pairs == cords * (cords - 1) // 2
            each = Counter[Harm]()
            for risk in mistakes.risks:
                assert sum(risk.counts.values()) == cords - 1
                each.update(risk.counts)
            assert sum(each.values()) == cords * (cords - 1)


@settings(max_examples=5, deadline=None)
@given(st.randoms(use_true_random=False))
def test_an_exchange_is_harmful_just_when_verify_says_so(rng: Random) -> None:
    """Some exchanges of a random site are made in its sheet and verified against the site as it is.

    Whether a needed frame is carried otherwise must be what the verification finds, which shares no code with it but
    the carriage.
    """
    with TemporaryDirectory() as folder:
        site = open_site(random_site(rng, Path(folder) / "site"))
        survey = site.survey()
        side = Judged(site, survey).side
        compared = Compared(side, survey.boxes)
        leaves = list(_leaves(side, compared))
        exchange = _exchange(side, compared, leaves)
        effects = Effects(exchange, compared, side)
        pairs = list(combinations(leaves, 2))
        for one, other in rng.sample(pairs, min(4, len(pairs))):
            told = [effects.moved(one, other.place), effects.moved(other, one.place)]
            sheet = survey.sheet
            assert sheet is not None
            by_name = {cord.one.name: cord for cord in sheet.cords}
            ends = [
                NewEnd(by_name[mine.name], False, *theirs.place.split(":"))
                for mine, theirs in ((one, other), (other, one))
            ]
            from vlancheck.answering import verified

            comparison = verified(site, survey, survey.repatched(repatched(sheet, ends))).comparison
            assert comparison is not None
            # Toward a hold the verification counts every tag; what hangs at a cord sends those that it needs.
            sent = {frame for leaf in (one, other) for frame in frames_in(leaf.needs)}
            changed = any(
                row.needed and row.kind is not Kind.MOVED and sent.intersection(_frames(row.frame))
                for cause in comparison.causes
                for row in cause.changes
            )
            said = [(effect.harm, effect.lost) for effect in told]
            words = f"{one.name} {one.serves} and {other.name} {other.serves}: {said}"
            if any(effect.lost and not leaf.held for effect, leaf in zip(told, (one, other), strict=True)):
                assert changed, words
            if all(effect.harm is Harm.NONE for effect in told):
                assert not changed, words
