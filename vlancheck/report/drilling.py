"""Exercises in, what is shown of them in a terminal out: the question, the explanation of its answer, the result."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from vlancheck.report import walking
from vlancheck.report.markup import clean
from vlancheck.report.planned import plan
from vlancheck.report.textpage import Page
from vlancheck.teach.answers import LETTERS
from vlancheck.teach.drill import first_hop, misreading
from vlancheck.teach.exercise import CALLED, Exercise, Topic
from vlancheck.walk.walk import Step

PROMPT = "answer: "
_PRINTED = 76  # characters of a printed line that fit


def opening(exercises: Sequence[Exercise], seed: int) -> str:
    """Return what is said before the first exercise."""
    page = Page()
    many = f"{len(exercises)} exercise" + ("" if len(exercises) == 1 else "s")
    page.prose(f"{many}, seed {seed}. Every answer is computed by the walk. The end of the input ends the drill.")
    return page.text + "\n"


def topics() -> str:
    """Return the topics that can be asked for, each with what it is about."""
    page = Page()
    for topic in Topic:
        page.put(f"{topic.value:9}{CALLED[topic]}")
    return page.text + "\n"


def question(exercise: Exercise, number: int, count: int) -> str:
    """Return an exercise as it is asked."""
    page = Page()
    page.put()
    page.put(f"--- {number} of {count}, level {exercise.level}: {CALLED[exercise.spec.topic]} ---")
    page.prose(clean(exercise.ground.title))
    for name, whole, rows in plan(exercise.drawn, exercise.listed):
        page.prose(clean(f"{name}: {whole}"), 2, 4)
        for row in rows:
            page.prose(clean(f"{', '.join(row.ports)}: {row.does}"), 4, 8)
    for line in ("", *exercise.printed) if exercise.printed else ():
        if len(line) <= _PRINTED:
            page.put(clean(f"    {line}".rstrip()))
        else:
            page.prose(clean(line), 4, 16)
    page.put()
    page.prose(clean(exercise.question))
    for letter, choice in zip(LETTERS, exercise.choices, strict=False):
        page.prose(clean(f"{letter}  {choice}"), 2, 5)
    return page.text + "\n"


def no_answer(message: str, hint: str) -> str:
    """Return what is said of something that is no answer."""
    page = Page()
    page.prose(clean(f"That is no answer: {message}. {hint[:1].upper()}{hint[1:]}."))
    return page.text + "\n"


def wanted(how: str) -> str:
    """Return what is said where nothing was typed."""
    page = Page()
    page.prose(f"Write {how}.")
    return page.text + "\n"


def verdict(exercise: Exercise, given: str) -> str:
    """Return what is said of an answer, and why the right one is right."""
    page = Page()
    if given == exercise.right:
        page.put("Right.")
    else:
        page.prose(clean(f"Wrong: {reason(exercise, given)}."))
        page.prose(clean(f"Right is: {exercise.right}."))
    for line in explanation(exercise):
        page.prose(line.strip(), len(line) - len(line.lstrip()), 7) if line else page.put()
    return page.text.rstrip("\n") + "\n"


def reason(exercise: Exercise, given: str) -> str:
    """Return the one rule that somebody has wrong who gives this answer, else what happens at the first hop."""
    if found := misreading(exercise, given):
        return found
    hop = first_hop(exercise)
    return f"no one rule taken wrongly gives that. The first hop, {hop.port}: {hop.rule.sentence} ({hop.rule.clause})"


def explanation(exercise: Exercise) -> list[str]:
    """Return the steps of the walk that explain the answer, with rule, clause and line."""
    told = [clean(line) for line in walking.steps(_renumbered(exercise.told))]
    if not exercise.before:
        return told
    before = [clean(line) for line in walking.steps(_renumbered(exercise.before))]
    return ["Before the lines:", *before, "After them:", *told]


def result(answered: Sequence[tuple[Exercise, bool]], asked: int) -> str:
    """Return how many answers were right, and the wrong ones by topic."""
    page = Page()
    page.put()
    right = sum(good for _, good in answered)
    left = asked - len(answered)
    page.put(f"Right: {right} of {len(answered)}" + (f"; {left} not answered" if left else "") + ".")
    wrong = Counter(exercise.spec.topic for exercise, good in answered if not good)
    for topic in Topic:
        if wrong[topic]:
            page.put(f"  wrong: {wrong[topic]}, {CALLED[topic]} ({topic.value})")
    return page.text + "\n"


def _renumbered(told: Sequence[Step]) -> list[Step]:
    numbers = {step.number: number for number, step in enumerate(told, 1)}
    return [replace(step, number=numbers[step.number], parent=numbers.get(step.parent, 0)) for step in told]
