"""What a learner typed in, the answer it stands for out, in the one form in which answers are compared."""

from __future__ import annotations

import re

from vlancheck import vids
from vlancheck.dot1q.tags import format_frame, parse_frame
from vlancheck.errors import UsageError
from vlancheck.places import natural, split_place
from vlancheck.teach.exercise import Exercise, Form
from vlancheck.teach.frames import NOBODY, NOTHING

LETTERS = "abcdefgh"
_NONE = frozenset({"nothing", "nobody", "none", "no port", "no ports", "no one", "-", "nowhere", "no frame"})
_UNTAGGED = frozenset({"untagged", "u", "no tag", "without a tag", "without tag", "bare", "an untagged frame"})
_BEFORE_TAG = re.compile(r"^(?:a frame )?(?:tagged|tag|vlans?|vids?)\s*", re.IGNORECASE)
_BETWEEN = re.compile(r"[,;\s]+|\band\b", re.IGNORECASE)


def read(exercise: Exercise, text: str) -> str:
    """Return the answer that `text` gives; UsageError, with what would be one, where it gives none."""
    said = " ".join(text.split())
    match exercise.form:
        case Form.FRAME:
            return _frame(said)
        case Form.PORTS:
            return _ports(exercise, said)
        case Form.VIDS:
            return _vids(said)
        case Form.CHOICE:
            return _choice(exercise, said)


def asked(exercise: Exercise) -> str:
    """Return how an exercise is to be answered."""
    match exercise.form:
        case Form.FRAME:
            return "a frame (310, untagged, s100.310), or nothing"
        case Form.PORTS:
            return "ports as DEVICE:PORT, with commas between them, or nobody"
        case Form.VIDS:
            return "VLANs (10, 20-30), or none"
        case Form.CHOICE:
            return "a letter, " + " or ".join((", ".join(LETTERS[: len(exercise.choices) - 1]), _last(exercise)))


def _frame(said: str) -> str:
    word = said.casefold().rstrip(".")
    if word in _NONE:
        return NOTHING
    if word in _UNTAGGED:
        return "untagged"
    try:
        return format_frame(parse_frame(_BEFORE_TAG.sub("", said.rstrip("."))))
    except ValueError as error:
        raise UsageError(str(error), hint="or write untagged, or nothing") from error


def _ports(exercise: Exercise, said: str) -> str:
    if said.casefold().rstrip(".") in _NONE:
        return NOBODY
    found: set[str] = set()
    device = exercise.boxes[0] if len(exercise.boxes) == 1 else ""
    try:
        found.add(exercise.ground.place(said))  # a port's name may have a blank in it
    except UsageError:
        for part in _BETWEEN.split(said):
            if part:
                place = exercise.ground.place(part if ":" in part or not device else f"{device}:{part}")
                device = split_place(place)[0]
                found.add(place)
    if not found:
        raise UsageError("no port is named", hint=f"write {asked(exercise)}")
    return ", ".join(sorted(found, key=natural))


def _vids(said: str) -> str:
    words = _BEFORE_TAG.sub("", said.rstrip("."))
    if words.casefold() in _NONE:
        return vids.text(0)
    try:
        return vids.text(vids.parse(",".join(word for word in _BETWEEN.split(words) if word)))
    except ValueError as error:
        raise UsageError(str(error), hint="write VLANs (10, 20-30), or none") from error


def _choice(exercise: Exercise, said: str) -> str:
    word = said.casefold().strip("().: ")
    if len(word) == 1 and word in LETTERS[: len(exercise.choices)]:
        return exercise.choices[LETTERS.index(word)]
    hits = [one for one in exercise.choices if word and one.casefold().startswith(word)]
    if len(hits) != 1:
        raise UsageError(f"{said!r} is none of the answers", hint=f"write {asked(exercise)}")
    return hits[0]


def _last(exercise: Exercise) -> str:
    return LETTERS[len(exercise.choices) - 1]
