"""Ports that are said to be alike are: their cords exchanged, not one frame fares otherwise."""

from __future__ import annotations

from itertools import combinations

from changes.edits import Surveyed
from changes.test_verify_agrees import Survey
from reference.wirings import drawn

from vlancheck.changes.difference import differences
from vlancheck.dot1q.tags import C_TAG
from vlancheck.notation import parse
from vlancheck.notation.judged import case
from vlancheck.reconciliation.carrying import carries_alike

EVERY = (1 << 4096) - 2  # untagged frames and every VID in a tag
WIRINGS = 400


def test_cords_of_alike_ports_can_be_exchanged() -> None:
    """Numbered wirings with odd boxes; the comparison of both ways round, which a reference agrees with, says so."""
    alike = 0
    for number in range(WIRINGS):
        found, _ = drawn(21, number, unknowns=False)
        before = Survey(Surveyed(found, {}))
        for one, other in combinations(before.network.boundary, 2):
            if not carries_alike(before.side.ground, one, other, EVERY):
                continue
            alike += 1
            after = Survey(Surveyed(found, {one: other, other: one}))
            wrong = [
                difference
                for difference in differences(before.side, after.side)
                if difference.tpids == (C_TAG,) and difference.value & EVERY and difference.sender.name in (one, other)
            ]
            assert wrong == [], f"wiring {number}: {one} {other}"
    assert alike > 10


BOXES = """
bridge A exists=10
port A:1 pvid=10 member=10 untagged=10
port A:2 member=10
port A:3 pvid=10 member=10,20 untagged=10
port A:4 up=no pvid=10 member=10 untagged=10
bridge B exists=10
port B:1 pvid=10 member=10 untagged=10
port B:2 member=10
port B:9 pvid=10 member=10 untagged=10
bridge C exists=10
port C:1 pvid=10 member=10 untagged=10
link A:2 B:2
"""


def test_what_sets_ports_apart() -> None:
    """The frames that are needed count; on another bridge, so does where they get to."""
    ground = case(parse(BOXES)).ground
    untagged = 1 << 4095

    assert carries_alike(ground, "A:1", "A:3", untagged) is True
    assert carries_alike(ground, "A:1", "A:3", untagged | 1 << 20) is False
    assert carries_alike(ground, "A:1", "A:4", untagged) is False
    assert carries_alike(ground, "A:1", "A:99", untagged) is None
    assert carries_alike(ground, "A:1", "B:1", untagged) is True
    assert carries_alike(ground, "A:1", "C:1", untagged) is False


def test_nobody_knows_what_ports_in_doubt_carry() -> None:
    """Nor whether ports of two bridges reach the same, where one of those they reach is in doubt."""
    ground = case(parse(f"{BOXES}port A:5 doubt=yes pvid=10 member=10 untagged=10")).ground

    assert carries_alike(ground, "A:1", "A:5", 1 << 4095) is None
    assert carries_alike(ground, "A:1", "B:1", 1 << 4095) is None
    assert carries_alike(ground, "A:1", "A:3", 1 << 4095) is True
