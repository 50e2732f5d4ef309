"""A frame, where it is sent and a place it is to be heard at in; how it goes there, or where it is lost, out."""

from __future__ import annotations

from dataclasses import dataclass, replace

from vlancheck.dot1q.tags import Frame, format_frame, parse_frame
from vlancheck.verdicts.ground import Ground
from vlancheck.verdicts.orders import batch_of
from vlancheck.verdicts.reasons import Hop, Reason
from vlancheck.verdicts.verdict import EndingVerdict, Verdict, Way


@dataclass(frozen=True, slots=True)
class Course:
    """How one frame goes toward one place in one survey."""

    sender: str  # DEVICE:PORT where it is sent
    frame: str  # as sent
    to: str  # DEVICE:PORT where it is to be heard
    path: tuple[Hop, ...]  # the ports it passes, or passes until it is lost
    arrives: str = ""  # as it arrives; "" when it does not, or nobody can tell
    lost: bool = False  # it does not arrive, whatever the unread parts do
    reason: Reason | None = None  # why it does not arrive, or nobody can tell


def course(ground: Ground, sender: str, frame: Frame, to: str) -> Course:
    """Return how a frame of at most two tags goes from `sender` toward `to`, both boundary ports."""
    found = ground.carried.arriving(sender, batch_of(frame), to, ())
    path = ground.reasons.path(sender, frame, to)
    sent = format_frame(frame)
    if found.other:
        return Course(sender, sent, to, path, format_frame(found.shown[0]))
    if found.maybe:
        return Course(sender, sent, to, path, reason=ground.reasons.undecided(sender, frame, to))
    return Course(sender, sent, to, path, lost=True, reason=ground.reasons.lost(sender, frame, to))


def followed(ground: Ground, verdict: Verdict) -> Verdict:
    """Return a verdict with the way of each leak, and the way back to where an order enters that is not proved."""
    endings = tuple(_back(ground, one) for one in verdict.endings)
    leaks = tuple(replace(one, path=ground.reasons.path(one.sender, one.sent, one.to)) for one in verdict.leaks)
    return replace(verdict, endings=endings, leaks=leaks)


def _back(ground: Ground, ending: EndingVerdict) -> EndingVerdict:
    """Return an ending with its way back, where the way in does not tell what is wrong already."""
    inward, back = ending.inward, ending.back
    if inward is None or back is None or inward.way is not Way.PROVED or back.way is Way.PROVED:
        return ending
    return replace(ending, path_back=ground.reasons.path(back.sender, parse_frame(back.frame), back.at))
