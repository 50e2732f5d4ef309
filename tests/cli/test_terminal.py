"""`audit` and `verify` of the built-in site in a terminal of 80 and of 120 columns, and where there is none."""

from __future__ import annotations

import fcntl
import json
import os
import pty
import re
import struct
import subprocess
import sys
import termios
from pathlib import Path

import pytest

from vlancheck.example import write_site

from .test_commands import run

COLOUR = re.compile(r"\x1b\[[0-9;]*m")
STAGE = re.compile(r"[^\n\r]*? \.\.\.\r *\r")  # what takes long is told, and wiped again
FILE = re.compile(r"(?:\S*/)?(?:site\.yaml|(?:captures|patching)/\S+\.\w+)")
QUOTED = ("assumed: ", "default: ", "note: ")  # evidence that is no line of a file, and remarks on files
ONE_FINDING = re.compile(rf"(?:{FILE.pattern}:\d+: )?(?:error|warning|note) [A-Z]\d+ \S")


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with the built-in site in `closet`."""
    folder = tmp_path_factory.mktemp("home")
    write_site(folder / "closet")
    return folder


def in_terminal(home: Path, *words: str, columns: int = 80, **more: str) -> tuple[int, str]:
    """Run the program in a pseudo-terminal and return its exit code and all that it shows."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
    plain = {name: value for name, value in os.environ.items() if name not in ("NO_COLOR", "COLUMNS", "LINES")}
    command = [sys.executable, "-c", "from vlancheck.cli import main; main()", *words]
    env = {**plain, "TERM": "xterm", **more}
    running = subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=theirs, cwd=home, env=env)
    os.close(theirs)
    shown = b""
    while True:
        try:
            part = os.read(ours, 65536)
        except OSError:  # Linux: the other side is closed
            break
        if not part:
            break
        shown += part
    os.close(ours)
    text = STAGE.sub("", shown.decode().replace("\r\n", "\n"))
    assert "Traceback" not in text
    return running.wait(), text


def files(text: str) -> set[str]:
    """Return the files that a text names."""
    return set(FILE.findall(COLOUR.sub("", text)))


@pytest.mark.parametrize("command", ["audit", "verify"])
@pytest.mark.parametrize("columns", [80, 120])
def test_prose_keeps_to_the_width_and_evidence_stays_whole(home: Path, command: str, columns: int) -> None:
    """A line of a file is copied and pasted, so it is never wrapped; all else is."""
    code, shown = in_terminal(home, command, "closet", columns=columns)
    document = json.loads(run(command, "closet", "--json", cwd=home).stdout)
    lines = COLOUR.sub("", shown).splitlines()
    prose = [line for line in lines if not FILE.search(line) and not line.strip().startswith(QUOTED)]

    assert code == (1 if document["verdict"] == "faulty" else 3 if document["verdict"] == "unproven" else 0)
    assert [line for line in prose if len(line) > columns] == []
    assert len(prose) > 10
    assert max(map(len, prose)) > 60
    for finding in document["findings"]:
        for where in finding["where"]:
            if where["file"] and where["line"]:
                assert any(f"{where['file']}:{where['line']}: " in line for line in lines), where


@pytest.mark.parametrize("command", [("audit", "closet", "--survey", "as-left"), ("verify", "closet")])
def test_no_path_is_broken(home: Path, command: tuple[str, ...]) -> None:
    """Every file that is named in a narrow terminal is one of the site's, by its whole path."""
    narrow = files(in_terminal(home, *command, columns=40)[1])
    wide = files(in_terminal(home, *command, columns=200)[1])

    assert narrow == wide
    assert wide
    for name in wide:
        assert (home / name).is_file() or (home / "closet" / name).is_file(), name


def test_words_are_the_same_at_any_width(home: Path) -> None:
    """Only the blanks differ."""
    shown = [in_terminal(home, "verify", "closet", columns=columns)[1].split() for columns in (60, 80, 120)]

    assert shown[0] == shown[1] == shown[2]


@pytest.mark.parametrize("command", ["audit", "verify"])
def test_colours_show_in_a_terminal_alone(home: Path, tmp_path: Path, command: str) -> None:
    """Not where NO_COLOR is set, not in a dumb terminal, not in a pipe and not in a file."""
    out = tmp_path / "report.txt"
    code, shown = in_terminal(home, command, "closet")
    without = [
        in_terminal(home, command, "closet", NO_COLOR="1"),
        in_terminal(home, command, "closet", TERM="dumb"),
    ]
    written = in_terminal(home, command, "closet", "-o", str(out))

    assert COLOUR.search(shown)
    assert COLOUR.search(in_terminal(home, command, "closet", NO_COLOR="")[1])
    assert without == [(code, COLOUR.sub("", shown))] * 2
    assert written == (code, "")
    assert "\x1b" not in out.read_text(encoding="utf-8")
    assert "\x1b" not in run(command, "closet", cwd=home, TERM="xterm").stdout


def test_a_document_in_a_terminal_has_no_colours(home: Path) -> None:
    """It is JSON wherever it goes."""
    code, shown = in_terminal(home, "verify", "closet", "--json")

    assert json.loads(shown)["schema"] == "vlancheck/report/1"
    assert code == run("verify", "closet", cwd=home).returncode


@pytest.mark.parametrize("command", ["audit", "verify"])
def test_without_a_terminal_a_finding_is_one_line(home: Path, command: str) -> None:
    """`file:line: severity CODE ...`, in the order of the document; the last line is the answer."""
    document = json.loads(run(command, "closet", "--json", cwd=home).stdout)
    done = run(command, "closet", cwd=home)
    lines = done.stdout.splitlines()
    found = [line for line in lines if ONE_FINDING.match(line)]

    assert len(found) == len(document["findings"])
    for line, finding in zip(found, document["findings"], strict=True):
        assert f"{finding['severity']} {finding['code']} {finding['headline']}" in line
        primary = next((one for one in finding["where"] if one["primary"]), None)
        if primary and primary["file"] and primary["line"]:
            place = line.removeprefix("closet/")  # from where the program ran, so that an editor finds the file
            assert place.startswith(f"{primary['file'].removeprefix('closet/')}:{primary['line']}: ")
            assert (home / line.partition(":")[0]).is_file()
    assert len(lines) == len(found) + len(document["services"]) + len(document["vlans"]) + 1
    assert lines[-1].startswith(document["site"])
