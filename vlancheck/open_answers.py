"""A report comes in, everything it leaves open goes out: what, where, and what would settle it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from vlancheck.outcome import Report
from vlancheck.verdicts.reasons import Reason
from vlancheck.verdicts.verdict import Certainty, State


@dataclass(frozen=True, slots=True)
class Open:
    """Something that nothing read so far decides."""

    what: str  # in a sentence
    settled_by: str  # a capture, a test or a question; "" nothing named settles it
    place: str = ""  # DEVICE:PORT where it stays open; "" nowhere in particular


def open_answers(report: Report) -> Iterator[Open]:
    """Yield what is unproven: endings, possible leaks, questions, findings in doubt, places that cannot be compared."""
    for verdict in report.verdicts:
        title = verdict.order.title
        for ending in verdict.endings:
            if ending.state is State.UNPROVEN:
                words = f"{title} at {ending.stop.name}, {ending.frame}"
                yield _because(words, ending.reason, ending.stop.place or "")
        for leak in verdict.leaks:
            if leak.certainty is Certainty.POSSIBLE:
                yield _because(f"{title}, perhaps {leak.frame} at {leak.at}", leak.reason, leak.at)
        yield from (Open(f"{title}: {one.words}", one.settled_by, one.place or "") for one in verdict.questions)
    for finding in report.findings:
        if finding.settled_by:
            yield Open(f"{finding.code}: {finding.headline}", finding.settled_by, min(finding.at, default=""))
    for anchor, reason in report.comparison.open if report.comparison else ():
        yield Open(f"{anchor.name} cannot be compared: {reason}", "")


def _because(words: str, why: Reason | None, place: str) -> Open:
    if why is None:
        return Open(words, "", place)
    return Open(f"{words}: {why.words}", why.settled_by, why.place or place)
