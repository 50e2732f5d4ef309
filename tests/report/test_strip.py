"""A strip has every port of a way in its order, in the box it belongs to, and between boxes the stack of tags."""

from __future__ import annotations

from xml.etree.ElementTree import Element

import pytest

from vlancheck.dot1q.tags import C_TAG, S_TAG, Tag, format_frame
from vlancheck.report.markup import element
from vlancheck.report.strip import stack, strip
from vlancheck.verdicts.reasons import Hop

from .parsed import frame

HOPS = (
    Hop("A:1", "in", "10", 10, True),
    Hop("A:2", "out", "s20.10", 20, True),
    Hop("B:1", "in", "s20.10", 20, False),
)


def told(drawn: Element) -> list[tuple[str, str]]:
    """Return the parts of a strip: what sort each is, and its words."""
    return [(part.get("class", ""), " ".join("".join(part.itertext()).split())) for part in drawn]


def test_a_frame_that_dies() -> None:
    """Who sent it, what it wore, where it came in, and what became of it; nothing after that."""
    drawn = strip(HOPS, "JACK:7", element("li", "lost here", class_="dies"))
    assert told(drawn) == [
        ("start", "JACK:7"),
        ("wire", "C 10"),
        ("box", "A VLAN 10 in 1 out 2"),
        ("wire", "S 20 C 10"),
        ("box", "B VLAN 20 unproven in 1"),
        ("dies", "lost here"),
    ]


def test_a_frame_that_no_port_takes() -> None:
    """What was sent is drawn all the same."""
    assert told(strip((), "JACK", sent="s5.6")) == [("start", "JACK"), ("wire", "S 5 C 6")]


def test_the_port_where_tags_become_others_is_told_in_words() -> None:
    drawn = strip(HOPS, turns="A:2")
    assert told(drawn)[2] == ("wire turns", "S 20 C 10 other tags")


def test_two_boxes_that_are_one_in_name_only() -> None:
    """A frame that leaves a box and comes back to it by another cord is in it twice."""
    hops = (HOPS[0], HOPS[1], Hop("A:3", "in", "s20.10", 7, True), Hop("A:4", "out", "untagged", 7, True))
    assert [words for sort, words in told(strip(hops)) if sort == "box"] == [
        "A VLAN 10 in 1 out 2",
        "A VLAN 7 in 3 out 4",
    ]


@pytest.mark.parametrize(
    "tags",
    [
        (),
        (Tag(C_TAG, 0),),
        (Tag(C_TAG, 4094),),
        (Tag(S_TAG, 100),),
        (Tag(S_TAG, 100), Tag(C_TAG, 310)),
        (Tag(C_TAG, 100), Tag(S_TAG, 310), Tag(0x9100, 5)),
    ],
)
def test_every_stack_is_told_by_letters_and_the_outermost_first(tags: tuple[Tag, ...]) -> None:
    """What is drawn, read without its colours and forms, is the frame again."""
    drawn = element("li", stack(format_frame(tags)))
    assert frame(drawn) == format_frame(tags)
    assert len([one for one in drawn.iter("span") if one.get("class", "").startswith("tag")]) == len(tags)
