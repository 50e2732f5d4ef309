"""Exercises: one right answer each, found again by another route; wrong answers and the rule behind them; levels."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import permutations
from pathlib import Path
from random import Random
from typing import Any

import pytest

from vlancheck.dot1q.rules import Rule
from vlancheck.example import write_site
from vlancheck.pipeline import open_site
from vlancheck.places import natural
from vlancheck.teach.drill import make, mistake, run
from vlancheck.teach.exchanges import ALIKE, UNLIKE, make_alike, stations
from vlancheck.teach.exercise import LEVELS, Exercise, Form, Spec, Topic
from vlancheck.teach.frames import NOBODY, NOTHING
from vlancheck.teach.ground import closet, closets, surveyed
from vlancheck.teach.mistakes import Mistake, mistaken
from vlancheck.walk import carriage
from vlancheck.walk.flood import What
from vlancheck.walk.walk import walk
from vlancheck.wiring import Link, Network, wire

from .made import PER_RUN, SEEDS, heard, many, of, out_of


def test_every_topic_comes_as_often_as_any_other() -> None:
    """The distribution over topics is even, and every level is met."""
    counted = Counter(one.spec.topic for one in many())
    levels = Counter(one.level for one in many())
    print(f"topics: {dict(counted)}; levels: {dict(sorted(levels.items()))}")
    assert set(counted) == set(Topic)
    assert max(counted.values()) - min(counted.values()) <= len(SEEDS)
    assert set(levels) == set(range(1, LEVELS + 1))


@pytest.mark.parametrize("topic", Topic)
def test_every_topic_comes_at_every_level_where_it_can(topic: Topic) -> None:
    """At each level an exercise is found soon; what is compared at two ports is never of level 1."""
    for level in range(2 if topic is Topic.ALIKE else 1, LEVELS + 1):
        begun = [(seed, start) for seed in range(20) for start in (level, level - 1, 1) if start]
        runs = (run(closets(), seed, 8, level=start, topics=(topic,)) for seed, start in begun)
        assert any(one.level == level for found in runs for one in found), level


def test_no_comparison_of_two_ports_is_of_level_1() -> None:
    """All pairs of all closets, with every frame that is drawn there."""
    levels = Counter(
        made.level
        for ground in closets()
        for pair in permutations(stations(ground), 2)
        for frame in ("untagged", *map(str, ground.vids(pair[0])))
        if (made := make_alike(ground, Spec(Topic.ALIKE, ground.name, pair, frame), Random(1)))
    )
    assert min(levels) == 2
    assert set(levels) == {2, 3, 4, 5}


def test_the_right_answer_is_what_the_question_comes_to() -> None:
    """Asked again of a network that is built anew, every question comes to the same one answer."""
    for one in many():
        # What a display shows of spanning tree is invented: a network that is wired anew would settle it otherwise.
        build = Network if one.spec.topic is Topic.READ else wire
        links = [Link(*link) for link in one.network.links]
        again = build(one.network.devices.values(), links, handoffs=one.network.handoffs)
        assert one.comes_to(again) == one.right


def test_a_choice_has_exactly_one_right_answer() -> None:
    """The right answer is there once, no two choices are the same."""
    for one in many():
        if one.form is Form.CHOICE:
            assert one.choices.count(one.right) == 1
            assert len(set(one.choices)) == len(one.choices) >= 2
        else:
            assert one.choices == ()


def test_who_hears_it_agrees_with_the_relation_of_all_frames() -> None:
    """The ports of the answer are those of the carriage."""
    for one in of(Topic.HEARS):
        ports = sorted({port for port, _ in heard(one, one.spec.places[0])}, key=natural)
        assert one.right == (", ".join(ports) or NOBODY)


def test_whether_it_arrives_agrees_with_the_relation_of_all_frames() -> None:
    """It arrives where the carriage delivers it, in that form; where not, no other choice is a loss of the walk."""
    for one in of(Topic.FATE):
        sender, target = one.spec.places
        found = {frame for port, frame in heard(one, sender) if port == target}
        said = {f"it arrives {'untagged' if frame == 'untagged' else f'tagged {frame}'}" for frame in found}
        assert one.right in said if said else one.right.startswith("it dies at ")
        losses = {f"it dies at {loss.port}: {loss.rule.sentence}" for loss in one.walk.losses}
        assert not (losses | said) & set(one.choices) - {one.right}


def test_the_tag_agrees_with_a_plug_in_the_port() -> None:
    """Where a port leads out of the plan, what leaves it is what the carriage delivers there."""
    seen = 0
    for one in of(Topic.TAG):
        sender, at = one.spec.places
        seen += at in one.network.boundary
        found = out_of(one.network, sender, one.spec.frame, at)
        assert one.right == (found.pop() if found else NOTHING)
        assert not found
    assert seen


def test_alike_agrees_with_the_relation_of_all_frames() -> None:
    """Two ports are alike where the carriage tells the same of both; both answers come."""
    for one in of(Topic.ALIKE):
        first, second = one.spec.places
        other = {first: second, second: first}
        theirs = {(other.get(port, port), frame) for port, frame in heard(one, second)}
        assert one.right == (ALIKE if heard(one, first) == theirs else UNLIKE)
    assert {one.right for one in of(Topic.ALIKE)} == {ALIKE, UNLIKE}


def test_who_notices_agrees_with_cords_that_are_moved() -> None:
    """With a box of one PC at each jack, moved in earnest, the PCs that hear others are those of the answer."""
    for one in of(Topic.SWAPPED):
        places = one.spec.places
        moved = (places[1], places[0], *places[2:])
        before, after = contacts(one, places), contacts(one, moved)
        noticed = [place for number, place in enumerate(places) if before[number] != after[number]]
        assert one.right == (", ".join(sorted(noticed, key=natural)) or NOBODY)


def contacts(exercise: Exercise, places: tuple[str, ...]) -> list[set[tuple[int, bool]]]:
    """Return for each PC whom it hears (False) and who hears it (True), once PC n is plugged into place n."""
    pcs = closet(
        "pcs",
        "".join(f"device pc{n} kind=host\nport pc{n}:lan\nend pc{n}:lan takes=untagged\n" for n in range(len(places))),
    )
    links = [Link(*link) for link in exercise.network.links]
    links += [Link(place, f"pc{number}:lan") for number, place in enumerate(places)]
    boxes = [*exercise.network.devices.values(), *pcs.network.devices.values()]
    network = wire(boxes, links, handoffs=exercise.network.handoffs)
    found: list[set[tuple[int, bool]]] = [set() for _ in places]
    for number in range(len(places)):
        for item in carriage(network).deliveries(f"pc{number}:lan", "untagged"):
            if item.port.startswith("pc"):
                other = int(item.port.partition(":")[0][2:])
                found[number].add((other, True))
                found[other].add((number, False))
    return found


def test_a_run_never_gets_easier_and_never_repeats() -> None:
    """Difficulty does not fall within a run; the same question is not asked twice."""
    for seed in SEEDS:
        exercises = run(closets(), seed, PER_RUN)
        assert [one.difficulty for one in exercises] == sorted(one.difficulty for one in exercises)
        assert len({one.spec for one in exercises}) == len(exercises) == PER_RUN


def test_a_seed_makes_the_same_run_and_another_one_another() -> None:
    """The same wishes give the same questions with their choices in the same order."""
    told = [[(one.question, one.choices) for one in run(closets(), seed, PER_RUN)] for seed in (5, 5, 6)]
    assert told[0] == told[1] != told[2]


@pytest.mark.parametrize("topic", Topic)
def test_topics_and_levels_are_kept_to(topic: Topic) -> None:
    """Only what is asked for is asked, from the level on."""
    for one in run(closets(), 1, 4, level=3, topics=(topic,)):
        assert one.spec.topic is topic
        assert one.level >= 3


def test_what_was_wrong_comes_again() -> None:
    """An exercise is made anew from what is kept of it, and is in the next run."""
    wrong = run(closets(), 1, 3)[0].spec
    assert wrong in {one.spec for one in run(closets(), 99, 3, again=[wrong])}


@pytest.mark.parametrize("topic", Topic)
def test_what_is_kept_of_another_site_makes_nothing(topic: Topic) -> None:
    """A kept exercise of ports that are gone, or of another ground, is passed over."""
    spec = of(topic)[0].spec
    assert make(closets(), spec, 1) is not None
    assert make(closets(), replace_spec(spec, ground="elsewhere"), 1) is None
    assert make(closets(), replace_spec(spec, places=_gone(spec)), 1) is None
    assert make(closets(), replace_spec(spec, places=spec.places[:-1] if topic is not Topic.SWAPPED else ()), 1) is None


def _gone(spec: Spec) -> tuple[str, ...]:
    """Return the words of an exercise with a port that is gone in place of the first one."""
    first = 1 if spec.topic is Topic.READ else 0
    return (*spec.places[:first], "gone:1", *spec.places[first + 1 :])


def replace_spec(spec: Spec, **changes: Any) -> Spec:
    """Return what an exercise is made of, with other parts."""
    return spec._replace(**changes)


def test_a_site_makes_exercises_of_every_topic(tmp_path: Path) -> None:
    """The built-in site does, in a survey; who hears what agrees with its carriage."""
    write_site(tmp_path / "site")
    survey = open_site(tmp_path / "site").survey("as-found")
    made = run([surveyed("site", "site", survey)], 1, 16)
    assert {one.spec.topic for one in made} == set(Topic)
    relation = survey.carriage()
    for one in made:
        if one.spec.topic is Topic.HEARS:
            ports = {item.port for item in relation.deliveries(one.spec.places[0], one.spec.frame)}
            assert one.right == (", ".join(sorted(ports, key=natural)) or NOBODY)


# ---- mistakes ----------------------------------------------------------------------------------------------------

WRONGLY = {
    Mistake.TAKES_TAGS: ("port s:1 pvid=10 member=10 untagged=10 admit=none\nport s:2 member=10", "10", "s:2"),
    Mistake.PORT_WINS: ("port s:1 pvid=10 member=10,20 untagged=10\nport s:2 member=10", "20", "s:2"),
    Mistake.PVID_ONE: ("port s:1 pvid=10 member=10 untagged=10\nport s:2 member=1", "untagged", "s:2"),
    Mistake.NEEDS_NO_VLAN: ("bridge s exists=20\nport s:1 pvid=10 member=10\nport s:2 member=10", "10", "s:2"),
    Mistake.SENDS_ALL: ("port s:1 pvid=10 member=10\nport s:2 member=20", "10", "s:2"),
    Mistake.TREE_OPEN: ("port s:1 pvid=10 member=10\nport s:2 member=10 forwarding=none", "10", "s:2"),
    Mistake.NO_ISOLATION: ("port s:1 member=10 isolation=g\nport s:2 member=10 isolation=g", "10", "s:2"),
    Mistake.ALWAYS_UP: ("port s:1 member=10\nport s:2 member=10 up=no", "10", "s:2"),
}
FORMS = {
    Mistake.KEEPS_TAG: ("port s:1 member=10\nport s:2 member=10 untagged=10", "untagged", "10"),
    Mistake.LOSES_TAG: ("port s:1 member=10\nport s:2 member=10", "10", "untagged"),
    Mistake.NO_TRANSLATION: (
        "port s:1 member=10\nport s:2 member=10\nexit s:2 match=10 pop=1 push=30", "30", "10",
    ),
}  # fmt: skip


@pytest.mark.parametrize("wrong", WRONGLY)
def test_a_mistake_lets_a_frame_through_that_dies(wrong: Mistake) -> None:
    """In the network as somebody takes it who has one rule wrong, the frame comes out; in the true one it does not."""
    text, frame, target = WRONGLY[wrong]
    network = closet("x", text).network
    assert target not in {one.port for one in walk(network, "s:1", frame).deliveries}
    assert target in {one.port for one in walk(mistaken(network, wrong), "s:1", frame).deliveries}


@pytest.mark.parametrize("wrong", FORMS)
def test_a_mistake_changes_how_a_frame_comes_out(wrong: Mistake) -> None:
    """It arrives in either network, in another form."""
    text, true, taken = FORMS[wrong]
    network = closet("x", text).network
    assert [one.frame for one in walk(network, "s:1", "10").deliveries] == [true]
    assert [one.frame for one in walk(mistaken(network, wrong), "s:1", "10").deliveries] == [taken]


def test_the_pvid_of_the_other_end_is_a_mistake() -> None:
    """An untagged frame on a cord gets the PVID of the port where it arrives."""
    text = "port a:1 pvid=10 member=10 untagged=10\nport a:2 pvid=10 member=10 untagged=10\n"
    text += "bridge b tree=off\nbridge a tree=off\n"
    text += "port b:1 pvid=20 member=20 untagged=20\nport b:2 member=10\nport b:3 member=20\nlink a:2 b:1\n"
    network = closet("x", text).network
    assert [one.port for one in walk(network, "a:1", "untagged").deliveries] == ["b:3"]
    taken = mistaken(network, Mistake.FAR_PVID)
    assert [one.port for one in walk(taken, "a:1", "untagged").deliveries] == ["b:2"]


def test_every_mistake_is_tried_above() -> None:
    """No mistake is left out of the tables."""
    assert {*WRONGLY, *FORMS, Mistake.FAR_PVID} == set(Mistake)


def test_a_wrong_answer_is_met_with_the_mistake_that_gives_it() -> None:
    """Of an access port that gets a tag: who thinks it arrives lets the port take it."""
    text = "bridge s exists=10\nport s:1 pvid=10 member=10 untagged=10 admit=none\n"
    text += "port s:2 member=10\nport s:3 member=10\n"
    ground = closet("one", text)
    found = [one for seed in range(30) for one in run([ground], seed, 4, topics=(Topic.HEARS,))]
    one = next(one for one in found if one.spec.places == ("s:1",) and one.spec.frame == "10")
    assert one.right == NOBODY
    assert mistake(one, "s:2, s:3") is Mistake.TAKES_TAGS
    assert mistake(one, "s:1") is None


def test_mistakes_explain_many_wrong_choices_and_never_the_right_answer() -> None:
    """What a named mistake comes to is the answer that was given, in a walk of the changed model."""
    named = 0
    for one in many():
        for choice in one.choices:
            if choice != one.right and (found := mistake(one, choice)) is not None:
                named += 1
                if one.arrives is None:
                    assert one.comes_to(mistaken(one.network, found)) == choice
                else:
                    assert not one.arrives(mistaken(one.network, found))
                    assert one.arrives(mistaken(one.mends[choice], found))
    assert named > 20


def test_told_steps_lead_from_the_sender_and_have_rules() -> None:
    """The explanation begins where the frame is sent, each step after the one that caused it."""
    for one in many():
        assert one.told[0].what is What.SENT
        numbers = {step.number for step in one.told}
        assert all(step.parent in numbers or step.parent == 0 for step in one.told)
        assert all(isinstance(step.rule, Rule) for step in one.told)
        assert replace(one).difficulty == one.difficulty >= 1
