"""`vlancheck drill` as a learner meets it: in a terminal, line by line, on paper, with a file of progress."""

from __future__ import annotations

import fcntl
import json
import os
import pty
import re
import signal
import struct
import subprocess
import sys
import termios
import time
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest

from vlancheck.cli.drill import About
from vlancheck.errors import UsageError
from vlancheck.report import drill_paper, drilling
from vlancheck.teach.answers import read
from vlancheck.teach.drill import run
from vlancheck.teach.exercise import CALLED, Exercise, Form, Topic
from vlancheck.teach.ground import Ground, closet, closets
from vlancheck.teach.mistakes import Mistake
from vlancheck.teach.pasting import LEFT_OUT
from vlancheck.wiring import Network

# Whoever runs the tests in the background turned Ctrl-C off: the program turns it on again.
_START = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler); "
_START += "from vlancheck.cli import main; main()"

PROGRAM = [sys.executable, "-c", _START, "drill"]


def drill(*words: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    """Run a drill with lines on its standard input."""
    return subprocess.run([*PROGRAM, *words], input=typed, capture_output=True, text=True, check=False)


def one_of(form: Form) -> Exercise:
    """Return an exercise that is answered so."""
    return next(one for one in run(closets(), 1, 12) if one.form is form)


def answer(exercise: Exercise) -> str:
    """Return the right answer as it is typed."""
    return "abcdefgh"[exercise.choices.index(exercise.right)] if exercise.choices else exercise.right


class Terminal:
    """A drill in a pseudo-terminal of 80 columns."""

    def __init__(self, *words: str) -> None:
        """Start it."""
        self.screen, theirs = pty.openpty()
        fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self.program = subprocess.Popen(
            [*PROGRAM, *words], stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True
        )
        os.close(theirs)
        self.shown = ""
        self.mark = 0  # how much was shown when something was typed last

    def until(self, words: str) -> None:
        """Read until what came after the last typing ends with `words`; at the end of the program, all."""
        deadline = time.monotonic() + 60
        while not (words and self.shown[self.mark :].endswith(words)):
            assert time.monotonic() < deadline, self.shown
            try:
                part = os.read(self.screen, 65536)
            except OSError:  # Linux: the other side is closed
                return
            if not part:
                return
            self.shown += part.decode().replace("\r\n", "\n")

    def type(self, text: str) -> None:
        """Type something."""
        self.mark = len(self.shown)
        os.write(self.screen, text.encode())

    def end(self) -> int:
        """Wait for the end and return the exit code."""
        self.until("")
        os.close(self.screen)
        return self.program.wait(timeout=60)


def test_a_session_in_a_terminal_keeps_to_80_columns() -> None:
    """All is asked, answered rightly once and wrongly once; something that is no answer is asked again."""
    exercises = run(closets(), 4, 3)
    terminal = Terminal("--seed", "4", "--count", "3")
    terminal.until(drilling.PROMPT)
    terminal.type(f"{answer(exercises[0])}\n")
    terminal.until(drilling.PROMPT)
    terminal.type("#!\n")
    terminal.until(drilling.PROMPT)
    assert "That is no answer" in terminal.shown
    second = exercises[1]
    wrong = {Form.FRAME: "4000", Form.PORTS: second.ground.senders[0]}.get(second.form, "a")
    if read(second, wrong) == second.right:
        wrong = {Form.PORTS: "nobody"}.get(second.form, "b")
    terminal.type(f"{wrong}\n")
    terminal.until(drilling.PROMPT)
    terminal.type("\x04")  # end of input

    assert terminal.end() == 0
    shown = terminal.shown
    assert shown.count("Right.") == shown.count("Wrong: ") == shown.count("Right is: ") == 1
    assert "Right: 1 of 2; 1 not answered." in shown
    assert f"wrong: 1, {CALLED[second.spec.topic]} ({second.spec.topic})" in shown
    assert max(map(len, shown.splitlines())) <= 80
    assert "(802.1Q" in shown


WORDS = ("--topic", "missing", "--topic", "pasted", "--topic", "read")
LINES = (Topic.MISSING, Topic.PASTED, Topic.READ)


def wrongly(exercise: Exercise) -> str:
    """Return a wrong answer as it is typed."""
    if exercise.choices:
        return next(letter for letter in "abcd" if letter != answer(exercise))
    if exercise.form is Form.VIDS:
        return "none" if exercise.right != "none" else "1"
    return next(word for word in ("untagged", "nothing") if word != exercise.right)


@pytest.mark.parametrize("right", [True, False], ids=["rightly", "wrongly"])
def test_lines_and_displays_are_asked_in_a_terminal(right: bool) -> None:
    """Each of the three kinds is asked, shown as it is typed or printed, answered and explained within 80 columns."""
    exercises = run(closets(), 2, 6, topics=LINES)
    assert {one.spec.topic for one in exercises} == set(LINES)
    terminal = Terminal("--seed", "2", "--count", "6", *WORDS)
    for one in exercises:
        terminal.until(drilling.PROMPT)
        terminal.type(f"{answer(one) if right else wrongly(one)}\n")

    assert terminal.end() == 0
    shown = terminal.shown
    assert max(map(len, shown.splitlines())) <= 80
    assert shown.count("Right.") == (6 if right else 0)
    assert shown.count("Wrong: ") == shown.count("Right is: ") == (0 if right else 6)
    assert f"Right: {6 if right else 0} of 6." in shown
    assert shown.count("Before the lines:") == shown.count("After them:") > 0
    for one in exercises:
        assert all(f"    {line}".rstrip() in shown for line in one.printed)
    for one in exercises:
        if one.printing:
            before = shown[: shown.index(f"    {one.printed[0]}")]
            assert f"{one.printing}: has VLAN" not in before[before.rindex("\n--- ") :]
    assert "Traceback" not in shown


def test_a_line_that_was_not_read_is_met_so() -> None:
    """Who answers as if no line had been pasted is told that."""
    one = next(
        one
        for one in run(closets(), 5, 8, topics=(Topic.PASTED,))
        if len(one.misread) == 1 and one.comes_to(one.ground.network) != one.right
    )
    before = str(one.comes_to(one.ground.network))
    assert f"Wrong: {LEFT_OUT}." in drilling.verdict(one, before).replace("\n", " ")


def test_topics_are_listed() -> None:
    """Each with what it is about, and nothing is asked."""
    done = drill("--topics")
    assert (done.returncode, done.stderr) == (0, "")
    assert [line.split()[0] for line in done.stdout.splitlines()] == [one.value for one in Topic]
    assert all(CALLED[one] in done.stdout for one in Topic)


def test_ctrl_c_ends_it_with_the_result_and_130(tmp_path: Path) -> None:
    """What was answered before is kept."""
    kept = tmp_path / "mine.json"
    terminal = Terminal("--seed", "4", "--count", "2", "--progress", str(kept))
    terminal.until(drilling.PROMPT)
    terminal.type(f"{answer(run(closets(), 4, 2)[0])}\n")
    terminal.until(drilling.PROMPT)
    os.killpg(terminal.program.pid, signal.SIGINT)

    assert terminal.end() == 130
    assert "Right: 1 of 1; 1 not answered." in terminal.shown
    assert "Traceback" not in terminal.shown
    assert sum(one["right"] for one in json.loads(kept.read_text())["topics"]) == 1


def test_without_a_terminal_it_works_line_by_line() -> None:
    """All right answers in lines: all are right, and the same seed prints the same bytes."""
    exercises = run(closets(), 9, 6)
    typed = "".join(f"{answer(one)}\n" for one in exercises)
    done = [drill("--seed", "9", "--count", "6", typed=typed) for _ in range(2)]
    assert done[0].returncode == 0
    assert done[0].stdout == done[1].stdout
    assert done[0].stdout.endswith("\nRight: 6 of 6.\n")
    assert done[0].stderr == ""


def test_no_input_ends_it_politely() -> None:
    """One question and the result."""
    done = drill("--count", "1", "--seed", "1")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.endswith("Right: 0 of 0; 1 not answered.\n")


def test_what_was_wrong_comes_again_until_it_is_right(tmp_path: Path) -> None:
    """The file keeps it, the next run has it, and a right answer takes it out."""
    kept = str(tmp_path / "mine.json")
    words = ("--topic", "tag", "--count", "1", "--progress", kept)
    first = drill("--seed", "1", *words, typed="4000\n")
    question = re.findall(r"\S+ frame.*?is sent into \S+", first.stdout, re.S)[0]
    (again,) = json.loads(Path(kept).read_text())["again"]
    second = drill("--seed", "2", *words, typed="4000\n")
    assert question in second.stdout
    (made,) = run(closets(), 1, 1, topics=(Topic.TAG,))
    assert [again["frame"], *again["places"]] == [made.spec.frame, *made.spec.places]
    drill("--seed", "3", *words, typed=f"{made.right}\n")
    document = json.loads(Path(kept).read_text())
    assert document["again"] == []
    assert document["topics"][0] == {"topic": "tag", "right": 1, "wrong": 2}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("{", "is no JSON"),
        ("[]", "has not exactly the fields"),
        ('{"schema": "vlancheck/walk/1", "topics": [], "again": []}', "schema is"),
        (
            '{"schema": "vlancheck/drill/1", "topics": [{"topic": "x", "right": 0, "wrong": 0}], "again": []}',
            "no topic",
        ),
        (
            '{"schema": "vlancheck/drill/1", "topics": [{"topic": "tag", "right": -1, "wrong": 0}], "again": []}',
            "count",
        ),
        ('{"schema": "vlancheck/drill/1", "topics": 3, "again": []}', "no list"),
        (
            '{"schema": "vlancheck/drill/1", "topics": [], "again": '
            '[{"topic": "tag", "ground": 1, "places": [], "frame": ""}]}',
            "are words",
        ),
    ],
)
def test_a_broken_file_is_one_error_and_stays(tmp_path: Path, text: str, told: str) -> None:
    """Exit code 2 before anything is asked; the file is as it was."""
    kept = tmp_path / "mine.json"
    kept.write_text(text, encoding="utf-8")
    done = drill("--progress", str(kept))
    assert done.returncode == 2
    assert done.stdout == ""
    assert str(kept) in done.stderr
    assert told in done.stderr
    assert kept.read_text(encoding="utf-8") == text


def test_a_file_that_cannot_be_text_or_read_is_one_error(tmp_path: Path) -> None:
    """Bytes that are no UTF-8, and a folder."""
    (tmp_path / "bytes").write_bytes(b"\xff\xfe")
    for name in ("bytes", "."):
        done = drill("--progress", str(tmp_path / name))
        assert (done.returncode, done.stdout) == (2, "")
        assert done.stderr.startswith("vlancheck: ")
        assert "Traceback" not in done.stderr


def test_wishes_that_cannot_be_met_are_told() -> None:
    """`-o` without a sheet, a site that is not there."""
    for words in (("-o", "x.html"), ("nowhere-at-all",)):
        done = drill(*words)
        assert (done.returncode, done.stdout) == (2, "")


def test_topics_of_the_command_are_those_of_the_layer() -> None:
    """The list of the command line is the closed one."""
    assert [one.value for one in About] == [one.value for one in Topic]


# ---- typed answers -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "read_as"),
    [
        ("310", "310"),
        (" Tag 310. ", "310"),
        ("VLAN 310", "310"),
        ("a frame tagged 310", "310"),
        ("UNTAGGED", "untagged"),
        ("no tag", "untagged"),
        ("s100.310", "s100.310"),
        ("nothing", "nothing"),
        ("0", "0"),
    ],
)
def test_frames_are_read_as_people_write_them(typed: str, read_as: str) -> None:
    """The words for a frame, in any case."""
    assert read(one_of(Form.FRAME), typed) == read_as


@pytest.mark.parametrize(
    ("typed", "read_as"),
    [
        ("10", "10"),
        ("VLAN 10, 20", "10,20"),
        ("vlans 20 and 10", "10,20"),
        ("10 11;12", "10-12"),
        ("10-12, 30", "10-12,30"),
        ("None.", "none"),
        ("nothing", "none"),
    ],
)
def test_vlans_are_read_as_people_write_them(typed: str, read_as: str) -> None:
    """In any order, with commas, blanks or words between them; a run with a dash."""
    assert read(with_vlans(), typed) == read_as


@pytest.mark.parametrize("typed", ["4095", "0", "ten", "20-10", ","])
def test_what_is_no_vlan_is_told(typed: str) -> None:
    """With what would be one."""
    with pytest.raises(UsageError) as told:
        read(with_vlans(), typed)
    assert told.value.hint


def with_vlans() -> Exercise:
    """Return an exercise that is answered with VLANs."""
    return next(one for one in run(closets(), 1, 12, topics=(Topic.READ,)) if one.form is Form.VIDS)


def test_ports_are_read_as_people_write_them() -> None:
    """In any order, with commas or blanks, a box named once, a bare number where there is one box."""
    one = next(one for one in run(closets()[:1], 1, 6) if one.form is Form.PORTS)
    for typed in ("reading:2, reading:24", "READING:24 reading:2", "24,2", "reading:2 and 24", "2;2;24"):
        assert read(one, typed) == "reading:2, reading:24"
    assert read(one, "None") == "nobody"


@pytest.mark.parametrize(
    ("form", "typed"),
    [
        (Form.FRAME, "4095"),
        (Form.FRAME, "x"),
        (Form.PORTS, "mars:1"),
        (Form.PORTS, ","),
        (Form.CHOICE, "h"),
        (Form.CHOICE, "it"),
    ],
)
def test_what_is_no_answer_is_told(form: Form, typed: str) -> None:
    """With what would be one."""
    with pytest.raises(UsageError) as told:
        read(one_of(form), typed)
    assert told.value.hint


def test_a_choice_is_a_letter_or_how_it_begins() -> None:
    """Upper case and brackets do not matter."""
    one = one_of(Form.CHOICE)
    for letter, choice in zip("abcd", one.choices, strict=False):
        assert read(one, f" {letter.upper()}) ") == choice
        assert read(one, choice) == choice


# ---- paper -------------------------------------------------------------------------------------------------------


def test_a_sheet_has_all_questions_and_the_answers_apart(tmp_path: Path) -> None:
    """One file without anything from elsewhere, the same bytes for the same seed, on either paper."""
    pages = []
    for name, size in (("one", "a4"), ("two", "a4"), ("three", "letter")):
        out = tmp_path / f"{name}.html"
        done = drill("--paper", "--seed", "3", "--count", "8", "--size", size, "-o", str(out))
        assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
        pages.append(out.read_bytes().decode())
    assert pages[0] == pages[1] != pages[2]
    assert "size: A4" in pages[0]
    assert "size: letter" in pages[2]
    assert not re.search(r"https?://|<script|src=|@import", pages[0])
    questions, answers = pages[0].split('class="key"')
    assert "break-before: page" in questions
    assert questions.count("<svg") == questions.count("<article") == answers.count("<article") == 8
    for number, one in enumerate(run(closets(), 3, 8), 1):
        assert one.question in questions
        assert f"<h2>{number}. " in answers
        assert one.right in answers
        assert "802.1Q" not in questions.split("</style>")[1]


def test_a_sheet_has_lines_and_displays_as_they_are(tmp_path: Path) -> None:
    """What is typed or printed stands with the question, before and after with the answer; twice the same bytes."""
    out = tmp_path / "sheet.html"
    pages = []
    for _ in range(2):
        done = drill("--paper", "--seed", "2", "--count", "6", *WORDS, "-o", str(out))
        assert (done.returncode, done.stderr) == (0, "")
        pages.append(out.read_text(encoding="utf-8"))
    assert pages[0] == pages[1]
    questions, answers = pages[0].split('class="key"')
    for one in run(closets(), 2, 6, topics=LINES):
        assert not one.printed or "\n".join(one.printed) in questions
        assert one.question in questions
        assert one.right in answers
    assert "After them:" in answers
    assert "After them:" not in questions


def test_a_drawing_has_every_box_and_cord_inside_it() -> None:
    """Boxes do not lie on each other, and nothing is outside of the drawing."""
    for one in run(closets(), 3, 12):
        svg = drill_paper.drawing(one)
        boxes = [(float(r.get("x", "")), float(r.get("y", ""))) for r in svg.iter("rect")]
        assert len(set(boxes)) == len(one.boxes)
        shown = set(one.boxes)
        cords = [link for link in one.network.links if {p.partition(":")[0] for p in link[:2]} <= shown]
        assert len(list(svg.iter("line"))) == len(cords)
        width, height = map(float, svg.get("viewBox", "").split()[2:])
        for part in svg.iter("text"):
            assert 0 <= float(part.get("x", "")) <= width
            assert 0 <= float(part.get("y", "")) <= height


def test_a_cord_from_a_box_to_itself_is_drawn_nowhere() -> None:
    """It is told in the list; exercises about such a box are made all the same."""
    text = "bridge sw tree=off\nport sw:1 pvid=10 member=10 untagged=10\nport sw:2 member=10\nport sw:5 member=10\n"
    ground = closet("x", f"{text}port sw:3 pvid=20 member=20\nport sw:4 pvid=30 member=30\nlink sw:3 sw:4\n")
    exercises = run([ground], 1, 4)
    assert exercises
    assert all(not list(drill_paper.drawing(one).iter("line")) for one in exercises)
    assert "cord to sw:4" in drilling.question(exercises[0], 1, 4)


def test_hostile_names_are_shown_and_do_nothing() -> None:
    """Marks of HTML are text on the sheet; control characters reach neither the sheet nor the terminal."""
    bad = 's<script>alert("x")</script>&\x1b[2J'
    text = "port sw:1 pvid=10 member=10 untagged=10\nport sw:2 member=10\nport sw:3 pvid=10 member=10 untagged=10\n"
    ground = closet("x", text)
    box = ground.network.devices["sw"]

    ground = Ground(bad, bad, Network([replace(box, name=bad.replace(":", ""))], []))
    exercises = run([ground], 1, 6)
    assert exercises
    page = drill_paper.page(exercises, 1, "a4")
    assert "<script" not in page
    assert "&lt;script&gt;" in page
    assert "\x1b" not in page
    for number, one in enumerate(exercises, 1):
        told = drilling.question(one, number, 6) + drilling.verdict(one, one.right) + drilling.verdict(one, "?")
        assert "\x1b" not in told
        assert ElementTree.tostring(drill_paper.drawing(one)).count(b"<script") == 0


def test_the_page_of_the_drill_has_every_topic_and_mistake() -> None:
    """The tables of docs/drill.md are the lists of the program."""
    text = (Path(__file__).parents[2] / "docs/drill.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| `([\w-]+)` \|", text, re.M)
    assert rows == [*(one.value for one in Topic), *(one.word for one in Mistake)]
    assert all(f"| `{one.word}` | {one.sentence} |" in text for one in Mistake)
