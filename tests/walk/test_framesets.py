"""Sets of frames with two tags, against Python's own sets of pairs."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from vlancheck.dot1q.forward import INNER, OUTER
from vlancheck.vids import members
from vlancheck.walk.framesets import PAIR, Pairs

Explicit = frozenset[tuple[int, int]]
BITS = st.integers(0, 31)


def made(rectangles: list[tuple[int, int]]) -> Pairs:
    """Return the union of rectangles that may overlap."""
    value: Pairs = ()
    for outer, inner in rectangles:
        if outer and inner:
            value = PAIR.join(value, ((outer, inner),))
    return value


def frames(value: Pairs) -> Explicit:
    """Return the frames one by one."""
    return frozenset((o, i) for outer, inner in value for o in members(outer) for i in members(inner))


VALUES = st.lists(st.tuples(BITS, BITS), max_size=4)


@given(VALUES, VALUES)
def test_the_algebra_is_that_of_sets(one: list[tuple[int, int]], other: list[tuple[int, int]]) -> None:
    """Union, difference and intersection; and equal sets are equal values."""
    left, right = made(one), made(other)
    expected = {(o, i) for outer, inner in one for o in members(outer) for i in members(inner)}

    assert frames(left) == expected
    assert frames(PAIR.join(left, right)) == frames(left) | frames(right)
    assert frames(PAIR.without(left, right)) == frames(left) - frames(right)
    assert frames(PAIR.meet(left, right)) == frames(left) & frames(right)
    assert (left == right) == (frames(left) == frames(right))
    assert PAIR.join(left, right) == PAIR.join(right, left)
    assert PAIR.join(PAIR.without(left, right), PAIR.meet(left, right)) == left
    assert bool(PAIR.without(left, left)) is False


@given(VALUES, BITS)
def test_a_symbol_restricts_its_own_tag(one: list[tuple[int, int]], mask: int) -> None:
    """OUTER by the first VID, INNER by the second."""
    value = made(one)

    assert frames(PAIR.restrict(value, OUTER, mask)) == {(o, i) for o, i in frames(value) if mask >> o & 1}
    assert frames(PAIR.restrict(value, INNER, mask)) == {(o, i) for o, i in frames(value) if mask >> i & 1}
    assert PAIR.restrict(value, INNER, -1) == value
