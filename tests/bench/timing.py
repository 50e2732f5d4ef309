"""How the benchmarks take time: the best of a few runs, with the collector of garbage at rest, as `timeit` does it."""

from __future__ import annotations

import gc
import time
from collections.abc import Callable
from typing import TypeVar

T = TypeVar("T")


def timed(what: Callable[[], T], times: int = 5) -> tuple[float, T]:
    """Return the seconds of the best run, and what it returned."""
    best: tuple[float, T] | None = None
    collecting = gc.isenabled()
    gc.disable()
    try:
        for _ in range(times):
            began = time.perf_counter()
            result = what()
            taken = time.perf_counter() - began
            if best is None or taken < best[0]:
                best = taken, result
            del result
    finally:
        if collecting:
            gc.enable()
    assert best is not None
    return best
