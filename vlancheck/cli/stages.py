"""What takes long, told on a terminal while it goes on: a line of stderr that is wiped when the stage is done."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock, Timer
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from vlancheck.pipeline import Site


AFTER = 1.0  # seconds that a stage takes before it is told


@contextmanager
def stage(words: str) -> Iterator[None]:
    """Show what is going on when it takes longer than a moment; nothing where stderr is no terminal."""
    if not sys.stderr.isatty():
        yield
        return
    told = f"{words} ..."
    lock, state = Lock(), {"done": False, "shown": False}

    def show() -> None:
        with lock:
            if not state["done"]:
                sys.stderr.write(told)
                sys.stderr.flush()
                state["shown"] = True

    timer = Timer(AFTER, show)
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
        with lock:
            state["done"] = True
            if state["shown"]:
                sys.stderr.write(f"\r{' ' * len(told)}\r")
                sys.stderr.flush()


def read_first(site: Site, *surveys: str) -> None:
    """Read surveys one after the other, each a stage; what is wrong with one is told as ever."""
    from vlancheck import capture

    for name in dict.fromkeys(surveys):
        survey = site.survey(name)
        count = sum(1 for _ in capture.files(survey.files.captures))
        with stage(f"reading {count} capture{'' if count == 1 else 's'} of {name}"):
            assert survey.network is not None
