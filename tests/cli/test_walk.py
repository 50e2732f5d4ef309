"""`walk --explain` and `walk --step` of the built-in site and of families whose words differ."""

from __future__ import annotations

import fcntl
import io
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
from contextlib import suppress
from pathlib import Path

import pytest

from vlancheck import open_site
from vlancheck.example import write_site
from vlancheck.notation import parse
from vlancheck.report import explaining, stepping
from vlancheck.walk import walk
from vlancheck.wiring import Link, wire

from .running import run

# Whoever runs the tests in the background turned Ctrl-C off: the program turns it on again.
START = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler); "
START += "from vlancheck.cli import main; main()"

EVIDENCE = re.compile(r"\S+:\d+: |default: |assumed: ")


@pytest.fixture(scope="module")
def closet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the built-in site."""
    folder = tmp_path_factory.mktemp("walk") / "closet"
    write_site(folder)
    return folder


@pytest.fixture
def two_families(tmp_path: Path) -> Path:
    """Return a site of a box that says `untagged` and one that says `pvid`, with a cord between them."""
    captures = tmp_path / "captures/as-found"
    captures.mkdir(parents=True)
    (captures / "pro.txt").write_text(
        "; J9000A Configuration Editor; Created on release #W.15.08\n\n"
        'hostname "PRO-1"\nvlan 1\n   name "DEFAULT_VLAN"\n   no untagged 1-2\n   exit\n'
        "vlan 30\n   untagged 1\n   tagged 2\n   exit\n",
        encoding="utf-8",
    )
    (captures / "vrp.txt").write_text(
        "#\nsysname VRP-1\n#\nvlan batch 30\n#\ninterface GigabitEthernet0/0/1\n port link-type trunk\n"
        " port trunk allow-pass vlan 30\n#\ninterface GigabitEthernet0/0/2\n port link-type access\n"
        " port default vlan 30\n#\nreturn\n",
        encoding="utf-8",
    )
    (tmp_path / "site.yaml").write_text(
        'site: two families\nlinks: [["PRO-1:2", "VRP-1:GigabitEthernet0/0/1"]]\n', encoding="utf-8"
    )
    return tmp_path


def test_each_hop_is_explained_in_both_words(two_families: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """PVID, member set and untagged set stand beside what each box calls them, with frame, clause and line."""
    run("walk", two_families, "PRO-1:1", "untagged", "--explain")
    shown = capsys.readouterr().out
    hops = [re.sub(r"\s+", " ", hop) for hop in shown.split("\n\n")]

    assert "goes in before untagged on the cord after VLAN 30 inside PRO-1" in hops[1]
    assert "plainly the frame has no tag, so it is put in VLAN 30, the port's own" in hops[1]
    assert "rule pvid-in (802.1Q 6.9.1): a frame without a VID takes the PVID" in hops[1]
    assert "802.1Q PVID this box untagged (hp_procurve)" in hops[1]
    assert re.search(r"decided captures/as-found/pro.txt:9: vlan 30 / untagged 1", hops[1])
    assert "802.1Q member set this box tagged, untagged (hp_procurve)" in hops[2]
    assert "this box port trunk allow-pass vlan, port hybrid tagged vlan (huawei_vrp)" in hops[3]
    assert "after untagged on the cord" in hops[4]
    assert "this box port default vlan" in hops[4]


def test_every_hop_of_the_walk_is_explained_within_the_width(
    closet: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """All that is no evidence keeps to 80 columns, and no step of the document is left out."""
    monkeypatch.setenv("COLUMNS", "80")
    run("walk", closet, "SORT-1:Gi0/1", "330", "--json")
    steps = json.loads(capsys.readouterr().out)["steps"]
    run("walk", closet, "SORT-1:Gi0/1", "330", "--explain")
    shown = capsys.readouterr().out.splitlines()

    assert [line for line in shown if len(line) > 80 and not EVIDENCE.search(line)] == []
    assert [line.split()[:2] for line in shown if re.match(r" *\d+  \S", line)] == [
        [str(step["number"]), step["port"]] for step in steps[1:]
    ]
    assert sum("before" in line for line in shown) == sum("decided" in line for line in shown) + sum(
        not step["evidence"] for step in steps[1:]
    )
    assert any("rewritten-in" in line for line in shown)


def stepped(
    closet: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], typed: str
) -> tuple[int, str]:
    """Return exit code and output of a walk by step with lines typed."""
    monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
    code = run("walk", closet, "SORT-1:Gi0/1", "330", "--step")
    return code, capsys.readouterr().out


def test_answers_of_the_walk_itself_are_all_right(
    closet: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Whoever knows the walk predicts every hop; whoever says the opposite none."""
    survey = open_site(closet).survey()
    hops = [hop for hop in stepping.hops(survey.walk("SORT-1:Gi0/1", "330"), survey.network.devices) if hop.asked]
    right = "".join(f"{min(hop.right)}\n" for hop in hops)
    wrong = "".join("7\n" if "lost" in hop.right else "lost\n" for hop in hops)

    code, shown = stepped(closet, monkeypatch, capsys, right)
    assert (code, len(hops) > 5) == (0, True)
    assert f"{len(hops)} of {len(hops)} as predicted." in shown
    assert "delivered  PBX-1:trunk  untagged" in shown
    code, shown = stepped(closet, monkeypatch, capsys, wrong)
    assert f"0 of {len(hops)} as predicted." in shown
    assert "No: VLAN 30 inside SORT-1." in shown


def test_answers_may_be_left_out_wrong_or_end(
    closet: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """An empty line tells the hop, what is no answer is asked again, q and the end of the input end politely."""
    code, shown = stepped(closet, monkeypatch, capsys, "\nsideways\n VLAN 30\n")
    assert code == 0
    assert "'sideways' is no answer here." in shown
    assert "Yes." in shown
    assert shown.endswith("Ended before the walk did: 1 of 1 as predicted.\n")
    code, shown = stepped(closet, monkeypatch, capsys, "q\nnever read\n")
    assert shown.endswith("Ended before the walk did: 0 of 0 as predicted.\n")
    code, shown = stepped(closet, monkeypatch, capsys, "")
    assert code == 0
    assert "330 arrives at SORT-1:GigabitEthernet0/1. In which VLAN is it inside" in shown


@pytest.mark.parametrize(
    ("said", "inside", "read"),
    [
        ("30", True, "30"), ("VLAN 030", True, "30"), ("untagged", True, ""), ("lost", True, "lost"),
        ("u", False, "untagged"), ("tagged 310", False, "310"), ("S100.310", False, "s100.310"), ("l", False, "lost"),
        ("unknown", False, "unproven"), ("310 or so", False, ""), ("9999", False, ""), ("９", True, ""),
    ],
)  # fmt: skip
def test_answers_are_read_as_people_write_them(said: str, inside: bool, read: str) -> None:
    """A VLAN's number inside a box, a frame on a cord, and words for the rest."""
    hop = stepping.Hop((), "asked", "", inside, frozenset())
    assert stepping.read_answer(said, hop) == read


@pytest.mark.parametrize("more", [["--json"], ["--explain"], ["-o", "walk.txt"]])
def test_a_talk_goes_with_no_other_form(closet: Path, capsys: pytest.CaptureFixture[str], more: list[str]) -> None:
    """It is refused in one clear line, and nothing is written."""
    assert run("walk", closet, "SORT-1:Gi0/1", "330", "--step", *more) == 2
    told = capsys.readouterr()
    assert (told.out, told.err.startswith("vlancheck: --step is a talk at the keyboard")) == ("", True)


@pytest.mark.parametrize("frame", ["untagged", "0", "30", "310", "340", "s100.310", "340.20"])
def test_every_walk_of_the_site_can_be_explained_and_asked(closet: Path, frame: str) -> None:
    """From every boundary port: each step is told once, and what is right can be typed."""
    asked = 0
    for name in ("as-found", "as-left"):
        survey = open_site(closet).survey(name)
        devices = survey.network.devices
        for port in survey.network.boundary:
            walked = survey.walk(port, frame)
            shown = explaining.text(walked, devices, name)
            heads = [int(line.split()[0]) for line in shown.splitlines() if re.match(r" *\d+  \S", line)]
            hops = stepping.hops(walked, devices)
            told = sorted(step.number for hop in hops for step in hop.steps)

            assert heads == told == [step.number for step in walked.steps[1:]]
            for hop in hops:
                assert bool(hop.asked) == bool(hop.right)
                assert {stepping.read_answer(answer, hop) for answer in hop.right} == hop.right
                asked += bool(hop.asked)
    assert asked > 20


def test_a_box_without_vlans_is_told_and_not_asked_about() -> None:
    """A media converter puts nothing into a VLAN that anybody could name."""
    text = parse(
        "device conv kind=through\nport conv:1 pvid=1 member=1 untagged=1 tpids=none\n"
        "port conv:2 pvid=1 member=1 untagged=1 tpids=none\n"
        "port sw1:1 member=10\nport sw1:2 pvid=10 member=10 untagged=10\nlink conv:2 sw1:1\n"
    )
    network = wire(text.devices, [Link(*pair) for pair in text.links])
    hops = stepping.hops(walk(network, "conv:1", "10"), network.devices)

    assert [hop.asked for hop in hops if hop.steps[0].port == "conv:1"] == [""]
    assert [sorted(hop.right) for hop in hops if hop.asked] == [["10"], ["untagged"]]


def test_at_a_terminal_of_80_columns_answers_stand_behind_their_question(closet: Path) -> None:
    """What a learner sees: the question, the answer as typed, the verdict, the hop, and Ctrl-D as an end."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    command = [sys.executable, "-c", START, "walk", str(closet)]
    env = {name: value for name, value in os.environ.items() if name not in ("COLUMNS", "LINES")} | {"TERM": "xterm"}
    with subprocess.Popen(
        [*command, "SORT-1:Gi0/1", "330", "--step"], stdin=theirs, stdout=theirs, stderr=theirs, env=env
    ) as running:
        os.close(theirs)
        shown = b""
        for prompt, typed in ((b"a VID, or lost > ", b"30\n"), (b"or lost > ", b"lost\n"), (b"or lost > ", b"\x04")):
            before = len(shown)
            while prompt not in shown[before:]:
                shown += os.read(ours, 4096)
            os.write(ours, typed)
        with suppress(OSError):  # how Linux says that the other end is closed
            while part := os.read(ours, 4096):
                shown += part
    os.close(ours)
    lines = shown.decode().replace("\r\n", "\n").splitlines()

    assert running.returncode == 0
    assert lines[lines.index("  a VID, or lost > 30") + 1] == "Yes."
    assert lines[lines.index("  untagged, a tag such as 310, or lost > lost") + 1] == "No: 30 on the cord."
    assert lines[-1] == "Ended before the walk did: 1 of 2 as predicted."
    assert [line for line in lines if len(line) > 80 and not EVIDENCE.search(line)] == []


@pytest.mark.parametrize("typed", [b"30\r\n\xff\xfe\nq\n", b"30\n\x00\n"])
def test_what_no_keyboard_types_is_no_answer(closet: Path, typed: bytes) -> None:
    """Bytes that are no text are asked about again, without a traceback."""
    command = [sys.executable, "-c", START, "walk", str(closet)]
    done = subprocess.run([*command, "SORT-1:Gi0/1", "330", "--step"], input=typed, capture_output=True, check=False)

    assert (done.returncode, done.stderr) == (0, b"")
    assert b"is no answer here." in done.stdout
    assert done.stdout.decode().endswith("1 of 1 as predicted.\n")


def test_an_interrupt_while_a_prediction_is_awaited_ends_with_130(closet: Path) -> None:
    """Ctrl-C leaves at once, without a traceback."""
    command = [sys.executable, "-c", START, "walk", str(closet)]
    with subprocess.Popen(
        [*command, "SORT-1:Gi0/1", "330", "--step"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "COLUMNS": "80"},
    ) as running:
        assert running.stdout is not None
        shown = b""
        while b"lost > " not in shown:
            shown += os.read(running.stdout.fileno(), 4096)
        time.sleep(0.1)  # until it waits for a line
        running.send_signal(signal.SIGINT)
        _, complaint = running.communicate(timeout=20)

    assert (running.returncode, complaint.decode()) == (130, "vlancheck: interrupted\n")
