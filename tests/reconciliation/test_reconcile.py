"""One thing done to a random closet is the one cause that is told; where everything fits, nothing is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from random import Random

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from vlancheck.reconciliation.moved import MoveKind, Proof, Sureness
from vlancheck.reconciliation.shifted import numbered

from .rebuilt import EDITS, HANDOFF, Planted, Rebuilt, explains, rebuilt, swapped, three_cycle

RANDOM = st.randoms(use_true_random=False)
FEW = settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
EACH = pytest.mark.parametrize("edit", EDITS, ids=lambda edit: edit.__name__)

Edit = Callable[[Rebuilt, Random], Planted | None]


@FEW
@given(RANDOM)
def test_nothing_is_told_where_the_evidence_fits(rng: Random) -> None:
    """Whatever was moved as planned, and however little was seen: what was not seen is to be tested by hand."""
    closet = rebuilt(rng)
    share = rng.choice((0, 0.3, 0.9))
    hidden = frozenset(name for name in closet.now if name != HANDOFF and rng.random() < share)
    found = replace(closet, unseen=hidden).reconciled()

    assert {cause.kind for cause in found.causes} <= {MoveKind.SILENT}
    states = {jack.at: jack.state for jack in found.jacks}
    assert {name for name in closet.now if states[name] is Proof.PROVED} == set(closet.now) - hidden
    captured = {closet.planned[name][:5] for name in set(closet.now) - hidden}
    silent = {name for cause in found.causes for name in cause.at}
    assert silent == {name for name in hidden if closet.planned[name][:5] in captured}


@EACH
@FEW
@given(RANDOM)
def test_what_was_done_is_the_one_cause(edit: Edit, rng: Random) -> None:
    """All of it is seen: its kind, all that it moved, and nothing else."""
    planted = _planted(edit, rng)
    found = planted.closet.reconciled()

    assert [cause.kind for cause in found.to_mend] == [planted.kind], [cause.words for cause in found.to_mend]
    (cause,) = found.to_mend
    assert set(cause.at) == planted.moved
    assert cause.instead == ()
    assert cause.before
    assert cause.after
    assert cause.sure is not Sureness.CONSISTENT


@EACH
@FEW
@given(RANDOM)
def test_of_what_is_half_seen_what_was_done_is_among_the_fewest_causes(edit: Edit, rng: Random) -> None:
    """Some said nothing since: one cause is told, and what was done is that, or said to be one that may be instead."""
    planted = _planted(edit, rng)
    closet = planted.closet
    hidden = frozenset(name for name in closet.now if rng.random() < 0.4)
    seen = (planted.moved & {*closet.now}) - hidden
    if planted.kind is MoveKind.UPLINKS:
        seen = planted.moved
    assume(len(seen) > (planted.kind is MoveKind.SHARED))
    found = replace(closet, unseen=hidden).reconciled()

    told = Counter(name for cause in found.to_mend for name in cause.at)
    assert seen <= set(told)
    assert set(told.values()) == {1}
    if planted.kind is MoveKind.ROW and len(seen) == 2 and found.to_mend[0].kind is MoveKind.SWAP:
        return  # two that were seen in each other's ports: nothing is left for a row to explain
    if planted.kind is MoveKind.ROW and not _seen_as_row(planted, seen):
        return  # of those that went along the row one alone was seen: they are told cord by cord
    assert [explains(cause, planted.kind) for cause in found.to_mend] == [True], found.to_mend


def _seen_as_row(planted: Planted, seen: set[str]) -> bool:
    """Tell whether two cords, and more than by any other, were seen that went by the offset most of a row went by."""

    def offset(name: str) -> object:
        was, now = numbered(planted.closet.planned[name]), numbered(planted.closet.now[name])
        return (was.row, now.row, now.number - was.number) if was and now else name

    (most, _), *_ = Counter(map(offset, sorted(planted.moved & {*planted.closet.now}))).most_common(1)
    found = Counter(map(offset, seen))
    return found[most] > 1 and all(count < found[most] for went, count in found.items() if went != most)


@FEW
@given(RANDOM)
def test_the_moved_are_unproven_and_the_others_are_proved(rng: Random) -> None:
    planted = _planted(three_cycle, rng)
    found = planted.closet.reconciled()

    elsewhere = {jack.at: jack.elsewhere for jack in found.jacks if jack.state is Proof.UNPROVEN}
    assert elsewhere == {name: (planted.closet.now[name],) for name in planted.moved}
    assert {jack.state for jack in found.jacks if jack.at not in planted.moved} == {Proof.PROVED}


@FEW
@given(RANDOM)
def test_an_exchange_is_harmless_exactly_when_the_ports_carry_the_same(rng: Random) -> None:
    planted = _planted(swapped, rng)
    (cause,) = planted.closet.reconciled().to_mend
    vids = {planted.closet.vlans[planted.closet.planned[name]] for name in planted.moved}

    assert cause.harmful is (len(vids) > 1)


def _planted(edit: Edit, rng: Random) -> Planted:
    planted = edit(rebuilt(rng), rng)
    assume(planted is not None)
    assert planted is not None
    return planted
