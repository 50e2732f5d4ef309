"""A walk hop by hop at the keyboard: a prediction is asked for first, then the truth is told."""

from __future__ import annotations

import io
import sys
from typing import TYPE_CHECKING

from vlancheck.cli.output import emit

if TYPE_CHECKING:
    from vlancheck.pipeline import Survey
    from vlancheck.report.stepping import Hop
    from vlancheck.walk import Walk

QUIT = ("q", "quit", "exit")


def step_through(survey: Survey, walk: Walk, width: int) -> None:
    """Go through a walk, one question a hop, until it ends, the input ends, or the reader has had enough."""
    from vlancheck.report import stepping, walking
    from vlancheck.report.textpage import Page

    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="replace")
    emit(f"{walking.called(walk.frame)} is sent at {walk.port}, survey {survey.name}.")
    emit("At each hop: what happens? Enter alone tells it, q ends.\n")
    devices, asked, right = survey.network.devices, 0, 0
    for hop in stepping.hops(walk, devices):
        if hop.asked:
            said = _answer(hop, width)
            if said is None:
                emit(f"\nEnded before the walk did: {right} of {asked} as predicted.")
                return
            if said:
                asked, right = asked + 1, right + (said in hop.right)
                emit("Yes." if said in hop.right else f"No: {stepping.truth(hop)}.")
        page = Page(width)
        stepping.told(page, walk, hop, devices)
        emit(f"{page.text}\n")
    page = Page(width)
    for line in walking.outcome(walk):
        page.prose(line, 0, 11)
    emit(f"{page.text}\n\n{right} of {asked} as predicted.")


def _answer(hop: Hop, width: int) -> str | None:
    """Return a readable answer, "" for none given, None when there is no more."""
    from vlancheck.report import stepping
    from vlancheck.report.textpage import Page

    page = Page(width)
    page.prose(hop.asked)
    emit(page.text)
    while True:
        sys.stdout.write(f"  {hop.choices} > ")
        sys.stdout.flush()
        line = sys.stdin.readline()
        if not sys.stdin.isatty():
            sys.stdout.write("\n")  # nobody else ends the line
        if not line or line.strip().lower() in QUIT:
            return None
        if not line.strip():
            return ""
        if said := stepping.read_answer(line, hop):
            return said
        emit(f"  {line.strip()!r} is no answer here.")
