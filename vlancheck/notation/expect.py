"""A text in jot in, the differences between what it expects and what a walk finds out, as sentences."""

from __future__ import annotations

from collections.abc import Iterable
from typing import assert_never

from vlancheck.notation.claims import Claim, Copy, Expectation
from vlancheck.notation.parsing import Notation
from vlancheck.walk.walk import Walk, walk
from vlancheck.wiring import Link, wire


def check(notation: Notation) -> list[str]:
    """Return a sentence for every expectation that does not come true, with its file and line.

    `expect` is the whole truth of its frame: other deliveries, unproven copies that no `unproven` line names and
    a frame that grows are differences.  The other claims ask only for what they name.
    """
    links = [Link(one, other) for one, other in notation.links]
    network = wire(notation.devices, links, handoffs=notation.handoffs)
    walks: dict[tuple[str, str], Walk] = {}
    found = []
    for expectation in notation.expectations:
        key = expectation.port, expectation.frame
        if key not in walks:
            walks[key] = walk(network, *key)
        named = {
            copy
            for other in notation.expectations
            if other.claim is Claim.UNPROVEN and (other.port, other.frame) == key
            for copy in other.copies
        }
        if difference := _difference(expectation, walks[key], named):
            line = expectation.origins[0] if expectation.origins else None
            place = f"{line.file}:{line.line}: " if line else ""
            found.append(f"{place}{expectation.frame} from {expectation.port}: {difference}")
    return found


def _difference(expectation: Expectation, walked: Walk, named: set[Copy]) -> str:
    """Return what is not as expected; "" when all is."""
    match expectation.claim:
        case Claim.EXPECT:
            return _whole_truth(expectation, walked, named)
        case Claim.UNPROVEN:
            missing = set(expectation.copies) - _unproven(walked)
            return _told("expected unproven", missing, "unproven", _unproven(walked)) if missing else ""
        case Claim.LOST:
            assert expectation.rule is not None
            if any((loss.port, loss.rule) == (expectation.at, expectation.rule) for loss in walked.losses):
                return ""
            losses = sorted({f"at {loss.port} by {loss.rule.word}" for loss in walked.losses})
            wanted = f"at {expectation.at} by {expectation.rule.word}"
            return f"expected lost {wanted}; lost {', '.join(losses) or 'nowhere'}"
        case Claim.LOOP:
            return "" if any(loop.certain and not loop.growing for loop in walked.loops) else _no_loop("loop", walked)
        case Claim.GROWING:
            return "" if any(loop.certain and loop.growing for loop in walked.loops) else _no_loop("grow", walked)
        case _:
            assert_never(expectation.claim)


def _whole_truth(expectation: Expectation, walked: Walk, named: set[Copy]) -> str:
    if any(loop.growing and loop.certain for loop in walked.loops):
        return "it grows, so that nothing is known of its copies"
    told = {copy for copy in expectation.copies if copy.interface is not None}
    delivered = set()
    for one in walked.deliveries:
        exact = Copy(one.port, one.frame, one.interface)
        delivered.add(exact if exact in told else Copy(one.port, one.frame))
    if delivered != set(expectation.copies):
        return _told("expected", expectation.copies, "came out", delivered)
    if left := _unproven(walked) - named:
        return _told("expected, whole", expectation.copies, "unproven as well", left)
    return ""


def _unproven(walked: Walk) -> set[Copy]:
    return {Copy(one.port, one.frame) for one in walked.unproven}


def _no_loop(what: str, walked: Walk) -> str:
    found = ["grows" if loop.growing else "loops" for loop in walked.loops if loop.certain]
    found += ["may grow" if loop.growing else "may loop" for loop in walked.loops if not loop.certain]
    return f"expected to {what}; it {' and '.join(dict.fromkeys(found)) or 'does neither loop nor grow'}"


def _told(wanted: str, copies: Iterable[Copy], found: str, others: Iterable[Copy]) -> str:
    return f"{wanted} {_list(copies)}; {found} {_list(others)}"


def _list(copies: Iterable[Copy]) -> str:
    shown = [
        f"{one.port} {one.frame}" + (f" to {one.interface}" if one.interface else "")
        for one in sorted(set(copies), key=str)
    ]
    return ", ".join(shown) or "nothing"
