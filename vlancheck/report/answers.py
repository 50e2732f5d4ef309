"""A report in, the five things that people ask first out, each answered in a sentence with the places behind it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from vlancheck.open_answers import open_answers
from vlancheck.outcome import Report
from vlancheck.report import wording
from vlancheck.report.wording import several
from vlancheck.verdicts.reasons import Reason
from vlancheck.verdicts.verdict import Certainty, EndingVerdict, Leak, State, Verdict

_WRONG = (State.DROPPED, State.MISMATCHED)
_CARRIER = "handoff"  # begins what is said of a leak toward a carrier


@dataclass(frozen=True, slots=True)
class Answer:
    """One question and its answer."""

    question: str  # as people ask it
    word: str  # the answer in a word or two
    tone: str  # `good`, `bad`, `doubt` or `mild`
    words: str  # the answer in a sentence
    places: tuple[str, ...] = ()  # what is behind it, a line each, the worst first
    part: str = ""  # name of the part of the page that tells all of it


def answers(report: Report) -> tuple[Answer, ...]:
    """Return the five answers of a report."""
    return (_arrives(report), _stops(report), _toward_carrier(report), _changed(report), _unproven(report))


def _arrives(report: Report) -> Answer:
    question = "Does everything ordered arrive?"
    verdicts = report.verdicts
    if not verdicts:
        return Answer(question, "not known", "doubt", "Nothing is declared, so that nothing can be proved.")
    wrong = [one for one in verdicts if any(ending.state in _WRONG for ending in one.endings)]
    endings = [ending for one in verdicts for ending in one.endings]
    carried = sum(ending.state is State.CARRIED for ending in endings)
    words = f"{carried} of {len(endings)} endings of {len(verdicts)} services and VLANs are carried."
    if wrong:
        return Answer(question, "no", "bad", words, tuple(map(_state, wrong)), "services")
    open_ = [one for one in verdicts if any(ending.state is not State.CARRIED for ending in one.endings)]
    if open_ or any(one.questions for one in verdicts):
        asked = [one for one in verdicts if one in open_ or one.questions]
        return Answer(question, "not all proved", "doubt", words, tuple(map(_state, asked)), "services")
    return Answer(question, "yes", "good", words, (), "services")


def _state(verdict: Verdict) -> str:
    return f"{wording.title(verdict)}: {verdict.headline}"


def _stops(report: Report) -> Answer:
    question = "What does not, and where does it stop?"
    spots: dict[str, list[str]] = {}
    for verdict in report.verdicts:
        for ending in verdict.endings:
            if ending.state in _WRONG:
                names = spots.setdefault(_spot(ending), [])
                if wording.title(verdict) not in names:
                    names.append(wording.title(verdict))
    if not spots:
        return Answer(question, "nothing", "good", "Nothing that was ordered is lost or comes out in other tags.")
    words = f"Frames stop, or change their tags, at {len(spots)} place{'s' if len(spots) > 1 else ''}."
    told = tuple(f"{', '.join(names)}: {spot}" for spot, names in spots.items())
    return Answer(question, f"{len(spots)}", "bad", words, told, "findings")


def _spot(ending: EndingVerdict) -> str:
    """Return why an ending is not carried, and the line behind it."""
    reason = ending.reason
    if reason is None:
        return f"{ending.stop.name}, and nothing says why"
    return f"{reason.words}{_line(reason)}"


def _line(reason: Reason) -> str:
    first = next((origin for origin in reason.evidence if origin.file), None)
    return f" ({first.place})" if first is not None else ""


def _toward_carrier(report: Report) -> Answer:
    question = "Does anything reach the carrier that must not?"
    leaks = [(one, leak) for one in report.verdicts for leak in one.leaks if leak.what.startswith(_CARRIER)]
    proved = [_leaked(one, leak) for one, leak in leaks if leak.certainty is Certainty.PROVED]
    perhaps = [_leaked(one, leak) for one, leak in leaks if leak.certainty is Certainty.POSSIBLE]
    if proved:
        return Answer(question, "yes", "bad", f"{len(proved)} of what is declared does.", tuple(proved), "services")
    if perhaps:
        words = "Nothing is proved to; of this nobody knows."
        return Answer(question, "perhaps", "doubt", words, tuple(perhaps), "services")
    if not report.verdicts:
        return Answer(question, "not known", "doubt", "Nothing is declared, so that nothing is watched.")
    words = "Of all that is declared, nothing crosses a handoff where it should not."
    return Answer(question, "no", "good", words, (), "services")


def _leaked(verdict: Verdict, leak: Leak) -> str:
    return f"{wording.title(verdict)}: {leak.frame} at {leak.at}"


def _changed(report: Report) -> Answer:
    question = "What changed since before the move?"
    if (found := report.comparison) is None:
        return Answer(question, "not compared", "mild", "This is one survey alone: vlancheck verify compares two.")
    needed = [cause for cause in found.causes if cause.needed and not cause.expected]
    others = len(found.causes) - len(needed)
    sign = sum(bool(move.sign) for move in found.moves)
    words = f"{several(len(found.moves), 'cord')} moved, {sign} of them to sign; {several(others, 'other cause')}."
    if needed:
        told = tuple(cause.place.words for cause in needed)
        words = f"{several(len(needed), 'cause')} changed what is needed. {words}"
        return Answer(question, "needed frames", "bad", words, told, "changes")
    if found.open or report.not_yet:
        words = f"Nothing that is needed, as far as it can be compared. {words}"
        return Answer(question, "not all compared", "doubt", words, (), "changes")
    return Answer(question, "nothing needed", "good", words, (), "changes")


def _unproven(report: Report) -> Answer:
    question = "What is still unproven, and what would prove it?"
    told = [(one.what, one.settled_by) for one in open_answers(report)]
    if not told:
        return Answer(question, "nothing", "good", "Every answer rests on lines that were read.")
    lines = tuple(dict.fromkeys(f"{what} - settled by: {settled}" if settled else what for what, settled in told))
    words = f"{several(len(lines), 'answer')} {'rests' if len(lines) == 1 else 'rest'} on what nobody captured or read."
    return Answer(question, str(len(lines)), "doubt", words, lines, "unproven")


def shown(places: Sequence[str], most: int) -> Iterator[str]:
    """Yield the first places, and how many there are beyond them."""
    yield from places[:most]
    if len(places) > most:
        yield f"and {len(places) - most} more"
