"""`vlancheck drill`: exercises about a site or about built-in closets, in a terminal or on paper."""

from __future__ import annotations

import json
import sys
from enum import StrEnum
from pathlib import Path
from random import SystemRandom
from typing import TYPE_CHECKING, Annotated

import typer

from vlancheck.cli.guard import OK
from vlancheck.cli.output import emit, emit_json, hint
from vlancheck.errors import UsageError

if TYPE_CHECKING:
    from vlancheck.teach.exercise import Exercise
    from vlancheck.teach.ground import Ground
    from vlancheck.teach.progress import Progress


class About(StrEnum):
    """Topics that can be asked for."""

    tag = "tag"
    fate = "fate"
    hears = "hears"
    missing = "missing"
    swapped = "swapped"
    alike = "alike"
    pasted = "pasted"
    read = "read"


class Size(StrEnum):
    """What the paper is."""

    a4 = "a4"
    letter = "letter"


def drill(
    site: Annotated[Path | None, typer.Argument(help="Folder of the site; left out: built-in closets.")] = None,
    level: Annotated[int, typer.Option(min=1, max=5, help="The level to begin with.")] = 1,
    topic: Annotated[list[About] | None, typer.Option(help="Only this; repeatable.")] = None,
    seed: Annotated[int | None, typer.Option(min=0, help="The same exercises again.")] = None,
    count: Annotated[int, typer.Option(min=1, max=200, help="How many exercises.")] = 10,
    progress: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Keep what was right and wrong there; what was wrong comes again."),
    ] = None,
    survey: Annotated[str, typer.Option(metavar="NAME", help="Which state of the site.")] = "as-found",
    paper: Annotated[bool, typer.Option("--paper", help="A sheet to print, with a key, instead of questions.")] = False,
    out: Annotated[Path | None, typer.Option("-o", "--output", metavar="FILE", help="Where the sheet goes.")] = None,
    size: Annotated[Size, typer.Option(help="What the sheet is printed on.")] = Size.a4,
    topics: Annotated[bool, typer.Option("--topics", help="List the topics, and end.")] = False,
) -> int:
    """Ask how tags travel: exercises whose answers the walk computes and explains.

    \b
        vlancheck drill
        vlancheck drill my-site --level 2 --topic fate --count 5
        vlancheck drill --seed 7 --progress mine.json
        vlancheck drill --seed 7 --paper -o sheet.html

    The end of the input ends it.  Exit codes: 0 done, 2 could not run, 130 interrupted.
    """
    from vlancheck.report import drill_paper, drilling
    from vlancheck.teach.drill import run
    from vlancheck.teach.exercise import Topic

    if topics:
        emit(drilling.topics())
        return OK
    if out is not None and not paper:
        raise UsageError("-o is for a sheet", hint="say --paper as well")
    known = _kept(progress)
    used = SystemRandom().randrange(100_000) if seed is None else seed
    wanted = tuple(dict.fromkeys(Topic(one.value) for one in topic)) if topic else tuple(Topic)
    exercises = run(_grounds(site, survey), used, count, level=level, topics=wanted, again=known.again)
    if not exercises:
        raise UsageError("no exercise of that sort can be made here", hint="ask for a lower level or other topics")
    if len(exercises) < count:
        hint(f"note: only {len(exercises)} exercises of that sort can be made here")
    if paper:
        emit(drill_paper.page(exercises, used, size.value), out)
        return OK
    return _ask_all(exercises, used, known, progress)


def _grounds(site: Path | None, survey: str) -> tuple[Ground, ...]:
    from vlancheck.pipeline import open_site
    from vlancheck.teach.ground import closets, surveyed

    if site is None:
        return closets()
    opened = open_site(site)
    return (surveyed(f"{opened.name}/{survey}", f"{opened.name}, {survey}", opened.survey(survey)),)


def _kept(file: Path | None) -> Progress:
    from vlancheck.teach.progress import Progress, progress

    if file is None or not file.exists():
        return Progress()
    try:
        return progress(json.loads(file.read_text(encoding="utf-8")), str(file))
    except OSError as error:
        raise UsageError(f"cannot be read: {error.strerror}", file=str(file)) from error
    except ValueError as error:
        raise UsageError("is no JSON", file=str(file), hint="name a new file, or delete this one") from error


def _ask_all(exercises: tuple[Exercise, ...], seed: int, known: Progress, file: Path | None) -> int:
    """Ask one exercise after the other; what was answered is told and kept whatever ends it."""
    from vlancheck.report import drilling

    answered: list[tuple[Exercise, bool]] = []
    emit(drilling.opening(exercises, seed))
    try:
        for number, exercise in enumerate(exercises, 1):
            emit(drilling.question(exercise, number, len(exercises)))
            given = _ask(exercise)
            if given is None:
                break
            answered.append((exercise, given == exercise.right))
            emit(drilling.verdict(exercise, given))
    except KeyboardInterrupt:
        _end(exercises, answered, known, file)
        raise
    _end(exercises, answered, known, file)
    return OK


def _ask(exercise: Exercise) -> str | None:
    """Return the answer that is typed in; None at the end of the input.  What is no answer is asked again."""
    from vlancheck.report.drilling import PROMPT, no_answer, wanted
    from vlancheck.teach.answers import asked, read

    while True:
        sys.stdout.write(PROMPT)
        sys.stdout.flush()
        line = sys.stdin.readline()
        if not line or not sys.stdin.isatty():
            emit("")  # nobody's return key ended the line of the prompt
        if not line:
            return None
        if not line.strip():
            emit(wanted(asked(exercise)))
            continue
        try:
            return read(exercise, line)
        except UsageError as error:
            emit(no_answer(error.message, error.hint or f"write {asked(exercise)}"))


def _end(
    exercises: tuple[Exercise, ...], answered: list[tuple[Exercise, bool]], known: Progress, file: Path | None
) -> None:
    from vlancheck.report import drilling

    emit(drilling.result(answered, len(exercises)))
    if file is not None:
        emit_json(known.after(answered).document(), file)
