"""What is in doubt between two ports leaves an ending unproven; what is in doubt elsewhere does not."""

import pytest

from vlancheck.notation import parse
from vlancheck.notation.judged import case
from vlancheck.verdicts.verdict import State, Verdict

TEXT = """
bridge sw1 exists=10
port sw1:1 member=10 pvid=10 untagged=10
port sw1:2 member=10 {one}
port sw1:3 member=10 {side}
bridge sw2 exists=10
port sw2:1 {other}
port sw2:2 member=10 pvid=10 untagged=10
bridge sw3 exists=10
port sw3:1 member=10
port sw3:2 member=10 pvid=10 untagged=10
link sw1:2 sw2:1
link sw1:3 sw3:1
vlan 10 -> sw1:1 untagged, sw2:2 untagged
"""


def judged(one: str = "", side: str = "", other: str = "member=10") -> Verdict:
    """Return the verdict on the VLAN."""
    return case(parse(TEXT.format(one=one, side=side, other=other))).verdicts[0]


@pytest.mark.parametrize(
    ("words", "state"),
    [
        ({}, State.CARRIED),
        ({"one": "doubt=yes"}, State.UNPROVEN),
        ({"other": "member=10 doubt=yes"}, State.UNPROVEN),
        ({"side": "doubt=yes"}, State.CARRIED),
        ({"other": "member=none"}, State.DROPPED),
        ({"other": "member=none", "side": "doubt=yes"}, State.DROPPED),
        ({"other": "up=yes", "side": "doubt=yes"}, State.DROPPED),
    ],
    ids=["clear", "this end", "far end", "branch", "lost", "lost, branch in doubt", "no bridging there"],
)
def test_doubt_counts_on_the_way(words: dict[str, str], state: State) -> None:
    assert {ending.state for ending in judged(**words).endings} == {state}


def test_place_is_named_where_nothing_is_bridged() -> None:
    for ending in judged(other="up=yes").endings:
        assert ending.reason is not None
        assert (ending.reason.words, ending.reason.place) == ("no frame is bridged at sw2:1", "sw2:1")
        assert ending.reason.evidence
