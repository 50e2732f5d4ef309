"""The shared leaves: sets of VIDs, frames as people write them, covers with their three values."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vlancheck import vids
from vlancheck.dot1q.tags import Tag, format_frame, parse_frame, tag_bytes
from vlancheck.evidence import Cover, State, assumed

SETS = st.integers(min_value=0, max_value=vids.WIRE).map(lambda bits: bits & vids.WIRE)


def test_ranges_as_the_management_model_writes_them() -> None:
    """IEEE Std 802.1Q's YANG, vid-range-type: ascending, not overlapping; its sample has 594 VIDs."""
    sample = "1,10-100,250,500-1000"

    assert vids.parse(sample).bit_count() == 594
    assert vids.text(vids.parse(sample)) == sample
    assert vids.text(vids.WIRE) == "1-4094"
    assert vids.text(~vids.of([5])) == "0-4,6-"
    assert vids.text(1 << 5000) == "5000"


@given(SETS)
def test_a_set_written_is_the_set_read(bits: int) -> None:
    """Nothing is lost on the way."""
    assert vids.parse(vids.text(bits)) == bits
    assert vids.of(vids.members(bits)) == bits


@pytest.mark.parametrize("written", ["0", "4095", "4096", "-1", "10-5", "1-", "a", "", "1,,2", "1-2-3"])
def test_what_is_no_set_is_refused(written: str) -> None:
    """VIDs run from 1 to 4094 (IEEE Std 802.1Q, Table 9-2), ranges forward."""
    with pytest.raises(ValueError, match=r"VID|within|backwards"):
        vids.parse(written)


@pytest.mark.parametrize(
    ("written", "octets"),
    [
        ("untagged", ""),
        ("100", "8100 0064"),
        ("s13.3", "88a8 000d 8100 0003"),
        ("13@9100", "9100 000d"),
        ("0", "8100 0000"),
    ],
)
def test_tags_as_octets(written: str, octets: str) -> None:
    """IEEE Std 802.1Q, 9.5 and 9.6: TPID, then priority, DEI and VID; priorities are 0 here."""
    assert tag_bytes(parse_frame(written)) == bytes.fromhex(octets)
    assert format_frame(parse_frame(written)) == written


@given(st.lists(st.tuples(st.sampled_from([0x8100, 0x88A8, 0x9100]), st.integers(0, 4094)), max_size=4))
def test_a_frame_written_is_the_frame_read(tags: list[tuple[int, int]]) -> None:
    """Any stack, outermost first."""
    frame = tuple(Tag(*tag) for tag in tags)

    assert parse_frame(format_frame(frame)) == frame


ONE, OTHER, THIRD = assumed("one"), assumed("other"), assumed("third")
WRITES = st.lists(
    st.tuples(st.integers(0, 63), st.sampled_from(State), st.sampled_from([ONE, OTHER, THIRD])), max_size=6
)


def built(writes: list[tuple[int, State, object]]) -> tuple[Cover, dict[int, tuple[State, object]]]:
    """Return a cover and the same as a plain table, the last writer owning each VID."""
    cover, table = Cover.of(0, ONE), dict.fromkeys(range(8), (State.OUT, ONE))
    for bits, state, origins in writes:
        cover = cover.write(bits, state, origins)  # type: ignore[arg-type]
        table |= {vid: (state, origins) for vid in range(6) if bits >> vid & 1}
    return cover, table


@given(WRITES)
def test_the_last_writer_owns_a_vid(writes: list[tuple[int, State, object]]) -> None:
    """Every VID has what holds for it and who decided it; the sets follow."""
    cover, table = built(writes)

    for vid, expected in table.items():
        assert cover.why(vid) == expected
    assert cover.sure & 255 == vids.of(vid for vid, (state, _) in table.items() if state is State.IN)
    assert cover.possible & 255 == vids.of(vid for vid, (state, _) in table.items() if state is not State.OUT)
    assert cover.why(9000) == (State.OUT, ONE)


RANK = {State.OUT: 0, State.UNKNOWN: 1, State.IN: 2}


@given(WRITES, WRITES)
def test_algebra_of_three_values(one: list[tuple[int, State, object]], other: list[tuple[int, State, object]]) -> None:
    """Union and intersection by Kleene's rules, difference as intersection with the complement."""
    (mine, table), (theirs, other_table) = built(one), built(other)
    for vid in range(8):
        a, b = RANK[table[vid][0]], RANK[other_table[vid][0]]
        assert RANK[(mine | theirs).why(vid)[0]] == max(a, b)
        assert RANK[(mine & theirs).why(vid)[0]] == min(a, b)
        assert RANK[mine.minus(theirs).why(vid)[0]] == min(a, 2 - b)
        assert RANK[mine.doubted(THIRD).why(vid)[0]] == 1
