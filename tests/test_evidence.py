"""Covers as values: who decided a VID survives every operation, sets may be infinite, order does not matter."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vlancheck.evidence import Cover, Origins, State, assumed, default, join
from vlancheck.vids import EVERY, of

A, B = assumed("a"), assumed("b")
WHO = st.sampled_from([A, B, default("c", "from memory"), ()])
FAR = 5001  # a relay VID that no tag can carry
ASKED = (0, 1, 2, 3, 4094, 4095, FAR)
SETS = st.sets(st.sampled_from(ASKED)).map(of).flatmap(lambda bits: st.sampled_from([bits, ~bits]))
WRITES = st.lists(st.tuples(SETS, st.sampled_from(State), WHO), min_size=1, max_size=5)


@dataclass
class Plain:
    """A cover as a dictionary."""

    said: dict[int, tuple[State, Origins]]  # VID -> what holds, and who says so


def both(writes: list[tuple[int, State, Origins]]) -> tuple[Cover, Plain]:
    """Build a cover and its plain twin."""
    cover, said = Cover.of(0, A), dict.fromkeys(ASKED, (State.OUT, A))
    for bits, state, who in writes:
        cover = cover.write(bits, state, who)
        said |= {vid: (state, who) for vid in ASKED if bits >> vid & 1}
    return cover, Plain(said)


def same(cover: Cover, plain: Plain) -> None:
    """Compare why, sure and possible of every VID asked."""
    for vid, (state, who) in plain.said.items():
        assert cover.why(vid) == (state, who)
        assert cover.sure >> vid & 1 == (state is State.IN)
        assert cover.possible >> vid & 1 == (state is not State.OUT)


def disjoint(cover: Cover) -> None:
    """The parts share no VID and together hold all, infinite ones too."""
    seen = 0
    for bits, _, _ in cover.parts:
        assert bits
        assert not bits & seen
        seen |= bits
    assert seen == EVERY


@given(WRITES)
def test_writes(writes: list[tuple[int, State, Origins]]) -> None:
    """The last writer owns a VID, whether it wrote a few or all but a few."""
    cover, plain = both(writes)

    same(cover, plain)
    disjoint(cover)


def _decided(
    one: tuple[State, Origins], other: tuple[State, Origins], by: State, otherwise: State
) -> tuple[State, Origins]:
    """Decide by Kleene's rules: `by` where either says so, `otherwise` where both do, else unknown."""
    for wanted in (by, State.UNKNOWN):
        for state, who in (one, other):
            if state is wanted:
                return wanted, who
    return otherwise, join(one[1], other[1])


FLIPPED = {State.IN: State.OUT, State.OUT: State.IN, State.UNKNOWN: State.UNKNOWN}
OPERATIONS: list[tuple[str, Callable[[Cover, Cover], Cover], Callable[..., tuple[State, Origins]]]] = [
    ("union", lambda one, other: one | other, lambda a, b: _decided(a, b, State.IN, State.OUT)),
    ("intersection", lambda one, other: one & other, lambda a, b: _decided(a, b, State.OUT, State.IN)),
    (
        "difference",
        lambda one, other: one.minus(other),
        lambda a, b: _decided(a, (FLIPPED[b[0]], b[1]), State.OUT, State.IN),
    ),
]


@pytest.mark.parametrize(("operation", "expected"), [one[1:] for one in OPERATIONS], ids=[one[0] for one in OPERATIONS])
@given(one=WRITES, other=WRITES)
def test_operations(
    operation: Callable[[Cover, Cover], Cover],
    expected: Callable[..., tuple[State, Origins]],
    one: list[tuple[int, State, Origins]],
    other: list[tuple[int, State, Origins]],
) -> None:
    """The result names the side that decided, or both where both had to agree."""
    (mine, my_table), (theirs, their_table) = both(one), both(other)
    result = operation(mine, theirs)

    same(result, Plain({vid: expected(my_table.said[vid], their_table.said[vid]) for vid in ASKED}))
    disjoint(result)


@given(WRITES, st.randoms())
def test_equality_asks_what_is_said_not_how_it_is_stored(writes: list[tuple[int, State, Origins]], rng: object) -> None:
    """Parts in another order, and parts cut in two, are the same cover; another reason is another cover."""
    cover, _ = both(writes)
    cut = [(bits & half, state, who) for bits, state, who in cover.parts for half in (1, ~1) if bits & half]
    rng.shuffle(cut)  # type: ignore[attr-defined]
    twin = Cover(tuple(cut))

    assert twin == cover
    assert hash(twin) == hash(cover)
    assert cover.write(2, State.IN, B) != cover.write(2, State.IN, ())
    assert cover.write(0, State.IN, B) is cover


@given(WRITES)
def test_doubt_and_reasons(writes: list[tuple[int, State, Origins]]) -> None:
    """A doubt makes every VID unknown and comes first; a further reason changes no state and comes last."""
    cover, plain = both(writes)

    same(cover.doubted(B), Plain({vid: (State.UNKNOWN, join(B, who)) for vid, (_, who) in plain.said.items()}))
    same(cover.because(B), Plain({vid: (state, join(who, B)) for vid, (state, who) in plain.said.items()}))


@pytest.mark.parametrize(
    ("bits", "only"), [(0, None), (1 << 7, 7), (1, 0), (1 << FAR, FAR), (6, None), (EVERY, None), (~0 << 3, None)]
)
def test_the_only_vid(bits: int, only: int | None) -> None:
    """There is one only where exactly one VID is in."""
    assert Cover.of(bits, A).single() == only
    assert Cover.unknown(A).single() is None


def test_absence_has_a_reason_of_its_own() -> None:
    """What is in and what is out may have been said by different lines."""
    cover = Cover.of(of((10, 20)), A, out=B)

    assert cover.why(10) == (State.IN, A)
    assert cover.why(30) == cover.why(FAR) == (State.OUT, B)
    assert Cover.of(EVERY, A).why(FAR) == (State.IN, A)
    assert Cover.unknown(B).why(FAR) == (State.UNKNOWN, B)
    assert (Cover.unknown(B).sure, Cover.unknown(B).possible) == (0, EVERY)
