"""How the benchmarks take time: the best of a few runs, with the collector of garbage at rest, as `timeit` does it."""

from __future__ import annotations

import gc
import time
from collections.abc import Callable
from typing import TypeVar

T = TypeVar("T")


def timed(what: Callable[[], T], times: int = 5) -> tuple[float, T]:
    """Return the processor seconds of the best run, which other work on the machine does not add to, and its result."""
    best: tuple[float, T] | None = None
    collecting = gc.isenabled()
    gc.disable()
    try:
        for _ in range(times):
            began = time.process_time()
            result = what()
            taken = time.process_time() - began
            if best is None or taken < best[0]:
                best = taken, result
            del result
    finally:
        if collecting:
            gc.enable()
    assert best is not None
    return best
