"""What a learner has answered so far, as a value and as a document; the file itself is read and written elsewhere."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from vlancheck.errors import UsageError
from vlancheck.teach.exercise import Exercise, Spec, Topic

SCHEMA = "vlancheck/drill/1"
_KEPT = 200  # exercises that are asked again


@dataclass(frozen=True)
class Progress:
    """How many answers of each topic were right and wrong, and what is asked again."""

    right: Mapping[Topic, int] = field(default_factory=dict)  # right answers
    wrong: Mapping[Topic, int] = field(default_factory=dict)  # wrong ones
    again: tuple[Spec, ...] = ()  # answered wrongly, and not rightly since; the oldest first

    def after(self, answered: Iterable[tuple[Exercise, bool]]) -> Progress:
        """Return the progress with more answers."""
        right, wrong, again = dict(self.right), dict(self.wrong), list(self.again)
        for exercise, good in answered:
            counts = right if good else wrong
            counts[exercise.spec.topic] = counts.get(exercise.spec.topic, 0) + 1
            if exercise.spec in again:
                again.remove(exercise.spec)
            if not good:
                again.append(exercise.spec)
        return Progress(right, wrong, tuple(again[-_KEPT:]))

    def document(self) -> dict[str, Any]:
        """Return the progress as JSON fields; the schema only grows."""
        return {
            "schema": SCHEMA,
            "topics": [
                {"topic": one.value, "right": self.right.get(one, 0), "wrong": self.wrong.get(one, 0)} for one in Topic
            ],
            "again": [
                {"topic": one.topic.value, "ground": one.ground, "places": list(one.places), "frame": one.frame}
                for one in self.again
            ],
        }


def progress(document: object, file: str) -> Progress:
    """Return what a document says; UsageError with `file` and what is wrong where it is no such document."""
    fields = _fields(document, ("schema", "topics", "again"), "the whole", file)
    if fields["schema"] != SCHEMA:
        raise _wrong(f"schema is {fields['schema']!r}, not {SCHEMA!r}", file)
    right: dict[Topic, int] = {}
    wrong: dict[Topic, int] = {}
    for number, one in enumerate(_list(fields["topics"], "topics", file), 1):
        row = _fields(one, ("topic", "right", "wrong"), f"topics, number {number}", file)
        topic = _topic(row["topic"], file)
        for name, counts in (("right", right), ("wrong", wrong)):
            count = row[name]
            if not isinstance(count, int) or isinstance(count, bool) or count < 0:
                raise _wrong(f"topics, number {number}: {name} is no count", file)
            counts[topic] = count
    again = []
    for number, one in enumerate(_list(fields["again"], "again", file), 1):
        row = _fields(one, ("topic", "ground", "places", "frame"), f"again, number {number}", file)
        places = _list(row["places"], f"again, number {number}: places", file)
        if not all(isinstance(word, str) for word in (row["ground"], row["frame"], *places)):
            raise _wrong(f"again, number {number}: ground, places and frame are words", file)
        again.append(Spec(_topic(row["topic"], file), row["ground"], tuple(places), row["frame"]))
    return Progress(right, wrong, tuple(again))


def _fields(value: object, names: tuple[str, ...], what: str, file: str) -> dict[str, Any]:
    if not isinstance(value, dict) or set(value) != set(names):
        raise _wrong(f"{what} has not exactly the fields {', '.join(names)}", file)
    return value


def _list(value: object, what: str, file: str) -> list[Any]:
    if not isinstance(value, list):
        raise _wrong(f"{what} is no list", file)
    return value


def _topic(value: object, file: str) -> Topic:
    try:
        return Topic(value)  # type: ignore[arg-type]
    except ValueError as error:
        raise _wrong(f"{value!r} is no topic", file) from error


def _wrong(message: str, file: str) -> UsageError:
    return UsageError(f"is no progress of a drill: {message}", file=file, hint="name a new file, or delete this one")
