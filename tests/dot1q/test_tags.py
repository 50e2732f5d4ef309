"""Tags as octets and as text: published encodings, reserved VIDs, what is refused."""

from __future__ import annotations

import pytest

from vlancheck.dot1q.tags import C_TAG, S_TAG, Tag, format_frame, parse_frame, tag_bytes

VECTORS = [  # IEEE Std 802.1Q, 9.4 to 9.6: TPID, then PCP (3 bits), DEI (1 bit), VID (12 bits)
    ("81 00 60 64", "100", [(3, 0)]),
    ("88 a8 b0 0d 81 00 00 03", "s13.3", [(5, 1), (0, 0)]),
    ("91 00 00 0d", "13@9100", [(0, 0)]),
    ("92 00 00 0d", "13@9200", [(0, 0)]),
    ("81 00 e0 00", "0", [(7, 0)]),
]


@pytest.mark.parametrize(("octets", "written", "priorities"), VECTORS, ids=[vector[1] for vector in VECTORS])
def test_octets_of_a_frame(octets: str, written: str, priorities: list[tuple[int, int]]) -> None:
    """The octets are the published ones once priority and drop eligibility are put in: we write both as 0."""
    made = bytearray(tag_bytes(parse_frame(written)))
    for place, (pcp, dei) in enumerate(priorities):
        assert made[4 * place + 2] >> 4 == 0
        made[4 * place + 2] |= pcp << 5 | dei << 4

    assert bytes(made) == bytes.fromhex(octets)


def test_ethertypes() -> None:
    """C-tag 81-00 and S-tag 88-A8 (IEEE Std 802.1Q-2022, 5.5 and 5.6)."""
    assert parse_frame("7") == (Tag(C_TAG, 7),) == (Tag(0x8100, 7),)
    assert parse_frame("s7") == (Tag(S_TAG, 7),) == (Tag(0x88A8, 7),)
    assert parse_frame("c7") == parse_frame("7@8100") == parse_frame("7@0x8100") == parse_frame("7")
    assert parse_frame("7@88A8") == parse_frame("S7")


@pytest.mark.parametrize("vid", [0, 1, 4094])
def test_vids_a_tag_may_carry(vid: int) -> None:
    """0 is the null VID of a priority tag, 1 to 4094 are VLANs (Table 9-2)."""
    assert parse_frame(str(vid)) == (Tag(C_TAG, vid),)
    assert parse_frame(f" {vid:05d} ") == (Tag(C_TAG, vid),)


@pytest.mark.parametrize("written", ["4095", "4096", "s4095", "10.4095", "-1", "", ".", "10.", "x", "s", "s100@9100"])
def test_what_is_no_frame(written: str) -> None:
    """0xFFF is never in a tag (Table 9-2); the message names what was wrong."""
    with pytest.raises(ValueError, match=r"tag|TPID"):
        parse_frame(written)


@pytest.mark.parametrize(("written", "depth"), [("untagged", 0), ("Untagged", 0), ("s100.310", 2), ("1.2.3.4.5", 5)])
def test_depth(written: str, depth: int) -> None:
    """Outermost first, any number of tags."""
    frame = parse_frame(written)

    assert len(frame) == depth
    assert format_frame(frame) == written.lower()
