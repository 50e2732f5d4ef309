"""Exercises about lines: each line is the box's own, read anew from files; what it does agrees with the carriage."""

from __future__ import annotations

import shutil
from importlib.resources import files
from pathlib import Path

import pytest

from vlancheck.capture import Line, Section
from vlancheck.pipeline import open_site
from vlancheck.places import split_place
from vlancheck.reader.pasting import pasted
from vlancheck.teach.drill import make, misreading, run
from vlancheck.teach.exercise import Exercise, Form, Topic
from vlancheck.teach.frames import NOTHING
from vlancheck.teach.ground import closets
from vlancheck.teach.pasting import LEFT_OUT
from vlancheck.teach.typing import slips, typed, written
from vlancheck.walk import carriage
from vlancheck.wiring import Network

from .made import of, out_of

CLOSETS = Path(str(files("vlancheck.teach") / "closets"))


def reached(network: Network, exercise: Exercise) -> bool:
    """Tell whether the frame of an exercise comes out at its second port, by the relation of all frames."""
    sender, target = exercise.spec.places[:2]
    return target in {item.port for item in carriage(network).deliveries(sender, exercise.spec.frame)}


def split(choice: str) -> tuple[str, list[str]]:
    """Return the box and the lines of a choice."""
    device, _, lines = choice.partition(": ")
    return device, lines.split(" / ")


# ---- which line is missing ---------------------------------------------------------------------------------------


def test_of_all_lines_one_makes_it_arrive_by_the_relation_of_all_frames() -> None:
    """Nothing arrives without a line; with each of the wrong ones it does not either, with the right one it does."""
    for one in of(Topic.MISSING):
        assert one.form is Form.CHOICE
        assert set(one.mends) == set(one.choices)
        assert not reached(one.network, one)
        assert [word for word in one.choices if reached(one.mends[word], one)] == [one.right]
        assert reached(one.ground.network, one)


def test_every_choice_is_a_line_that_the_box_takes() -> None:
    """Its own family reads it whole, over what the box has, and the box is then another one."""
    for one in of(Topic.MISSING):
        assert one.ground.survey is not None
        for choice in one.choices:
            device, lines = split(choice)
            assert 1 <= len(lines) <= 2
            gathered = one.ground.survey.reading.gathered[device]
            text = tuple(Line(number, line) for number, line in enumerate(lines, 1))
            _, facts = pasted(gathered, device, [Section("lines", "", "", text, None)])
            assert len(facts.missed) == len(gathered.missed)


def test_lines_are_asked_of_several_families() -> None:
    """The choices are those of boxes of three families."""
    found = set()
    for one in of(Topic.MISSING):
        assert one.ground.survey is not None
        found |= {one.ground.survey.reading.gathered[split(choice)[0]].dialect.name for choice in one.choices}
    assert found == {"cisco_ios", "hp_procurve", "arista_eos"}


# ---- lines are pasted --------------------------------------------------------------------------------------------


def test_what_the_far_end_gets_agrees_with_the_relation_of_all_frames() -> None:
    """Once the lines are there, what comes out of the port is the answer, and no second thing."""
    for one in of(Topic.PASTED):
        sender, at = one.spec.places[:2]
        assert out_of(one.network, sender, one.spec.frame, at) == ({one.right} - {NOTHING})


def test_lines_do_as_the_files_of_a_survey_with_edits_do(tmp_path: Path) -> None:
    """The closet's own files with the lines in a folder of edits make the same answer."""
    for number, one in enumerate(of(Topic.PASTED)[:12]):
        sender, at, said, _ = one.spec.places
        folder = tmp_path / str(number)
        shutil.copytree(CLOSETS / one.ground.name, folder)
        (folder / "edits").mkdir()
        (folder / "edits" / f"{split_place(at)[0]}.txt").write_text(f"{said}\n", encoding="utf-8")
        with (folder / "site.yaml").open("a", encoding="utf-8") as site:
            site.write("surveys:\n  planned: {captures: captures/as-found, edits: edits}\n")
        network = open_site(folder).survey("planned").network
        assert out_of(network, sender, one.spec.frame, at) == ({one.right} - {NOTHING})


def test_lines_change_the_fate_of_some_frames_and_not_of_others() -> None:
    """What was so before is the right answer now and then, as is nothing, and a frame in another form."""
    same = [one for one in of(Topic.PASTED) if one.comes_to(one.ground.network) == one.right]
    assert 0 < len(same) < len(of(Topic.PASTED)) / 2
    assert {"nothing", "untagged"} < {one.right for one in of(Topic.PASTED)}


def test_the_answer_from_before_the_lines_is_met_so() -> None:
    """Who leaves the lines out is told so; the right answer is met with nothing."""
    told = 0
    for one in of(Topic.PASTED):
        before = one.comes_to(one.ground.network)
        assert before is not None
        if before != one.right and one.spec.places[2] == one.spec.places[3]:
            told += 1
            assert misreading(one, before) == LEFT_OUT
    assert told > 10


def test_a_word_that_is_missing_in_a_line_is_told() -> None:
    """Who reads the line as it was meant is told which line that would be; the lines do something else."""
    seen = set()
    for seed in range(12):
        for one in run(closets(), seed, 4, topics=(Topic.PASTED,)):
            _, at, said, meant = one.spec.places
            if said == meant:
                continue
            assert len(said.split()) == len(meant.split()) - 1
            assert one.ground.survey is not None
            wished = typed(one.ground.survey, split_place(at)[0], meant.split("\n"))
            assert wished is not None
            given = one.comes_to(wished.network)
            if given not in (None, one.right):
                assert written(meant.split("\n")) in misreading(one, str(given))
                seen.add(set(meant.split()).difference(said.split()).pop())
    assert {"add", "remove"} <= seen


@pytest.mark.parametrize("lines", ["", "!", "show version", "certainly no line"])
def test_kept_lines_that_do_nothing_make_no_exercise(lines: str) -> None:
    """A file of progress that says other lines than a box takes is passed over."""
    spec = of(Topic.PASTED)[0].spec
    changed = spec._replace(places=(*spec.places[:2], lines, lines))
    assert make(closets(), changed, 1) is None


def test_a_slip_loses_one_word_of_the_last_line() -> None:
    """The line above it stays, and how far it stands to the right."""
    found = list(slips(("interface 1", " allowed vlan add 20")))
    assert found[1] == ("interface 1", " allowed vlan 20")
    assert len(found) == 3
