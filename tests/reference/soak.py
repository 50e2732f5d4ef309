"""Compare product and reference on as many frames as asked for: `python -m tests.reference.soak --frames 10000000`.

Wirings are numbered within a seed; `--only NUMBER` runs one again.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from random import Random

from vlancheck.dot1q.tags import Frame
from vlancheck.wiring import Network

from .agreement import Reference, Truth, Whole, carriage_differs, shown, walk_differs
from .wirings import Wiring, drawn, frame

FRAMES_A_WIRING = 12
Answers = Callable[[Reference, str, Frame], Iterator[str]]  # what differs of one frame
Compare = Callable[[Network], Answers]


def by_walk(network: Network) -> Answers:
    """Compare frames walked one by one."""
    return lambda reference, port, sent: walk_differs(reference, network, port, sent)


def by_carriage(network: Network) -> Answers:
    """Compare what the whole relation says of frames."""
    whole = Whole(network)
    return lambda reference, port, sent: carriage_differs(reference, whole, port, sent)


class Disagreement(AssertionError):
    """Product and reference differ; the message says where, and how to see it again."""


def run(frames: int, seed: int, *, unknowns: bool, start: int = 0, compare: Compare = by_walk) -> Counter[str]:
    """Compare `frames` frames over the wirings of `seed` from number `start` on; count what happened in them.

    Raises Disagreement at the first wiring in which a frame differs.
    """
    counts: Counter[str] = Counter()
    number = start
    while counts["frames"] < frames:
        counts += one_wiring(seed, number, unknowns=unknowns, compare=compare)
        number += 1
    return counts


def one_wiring(seed: int, number: int, *, unknowns: bool, compare: Compare = by_walk) -> Counter[str]:
    """Compare the frames of one wiring; raises Disagreement with everything that differs in it."""
    wiring, rng = drawn(seed, number, unknowns=unknowns)
    counts, differences = compared(wiring, rng, FRAMES_A_WIRING, compare)
    if differences:
        again = f"python -m tests.reference.soak --seed {seed} --only {number}" + (" --unknowns" if unknowns else "")
        again += " --carriage" if compare is by_carriage else ""
        raise Disagreement("\n".join([*differences, f"again: {again}", shown(wiring)]))
    return counts


def compared(wiring: Wiring, rng: Random, frames: int, compare: Compare) -> tuple[Counter[str], list[str]]:
    """Return what happened to `frames` random frames of `wiring`, and what differs."""
    network = Network(wiring.devices, wiring.links, handoffs=wiring.handoffs)
    reference = Reference(wiring)
    differs = compare(network)
    counts = Counter(wirings=1)
    boundary = reference.open.boundary()
    differences: list[str] = [] if list(network.boundary) == boundary else [f"boundary: {boundary}, {network.boundary}"]
    for _ in range(frames if boundary else 0):
        port, sent = rng.choice(boundary), frame(rng)
        differences += differs(reference, port, sent)
        counts.update(features(reference.truth(port, sent)))
    return counts, differences


def features(truth: Truth) -> Iterator[str]:
    """Yield what is remarkable in a frame's fate."""
    yield "frames"
    yield "delivered" if truth.deliveries else "not delivered"
    if any(interface for _, _, interface in truth.deliveries):
        yield "taken by an interface"
    if truth.unproven:
        yield "unproven"
    for name, (certain, possible) in (("loop", truth.cycle), ("growing", truth.growing)):
        if possible:
            yield name if certain else f"{name}, perhaps"
    yield from {rule for _, _, rule in truth.losses}


def main() -> int:
    """Run until the frames are done or something differs; return 1 if it does."""
    parser = argparse.ArgumentParser(prog="python -m tests.reference.soak", description=__doc__)
    parser.add_argument("--frames", type=int, default=200_000, help="frames to compare, half of them with unknowns")
    parser.add_argument("--seed", type=int, default=1, help="another seed is another set of wirings")
    parser.add_argument("--carriage", action="store_true", help="compare the whole relation instead of the walk")
    parser.add_argument("--only", type=int, help="number of the one wiring to run")
    parser.add_argument("--unknowns", action="store_true", help="with --only: the wiring that has unknown facts")
    asked = parser.parse_args()
    compare = by_carriage if asked.carriage else by_walk
    began = time.perf_counter()
    counts: Counter[str] = Counter()
    try:
        if asked.only is not None:
            counts = one_wiring(asked.seed, asked.only, unknowns=asked.unknowns, compare=compare)
        else:
            for unknowns in (False, True):
                counts += run(asked.frames // 2, asked.seed, unknowns=unknowns, compare=compare)
    except Disagreement as disagreement:
        print(disagreement)
        return 1
    print(f"{time.perf_counter() - began:.0f} s, no difference:")
    for name, count in sorted(counts.items()):
        print(f"{count:10} {name}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
