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


def in_terminal(home: Path, *words: str, columns: int = 80, rows: int = 24, **more: str) -> tuple[int, str]:
    """Run the program in a pseudo-terminal and return its exit code and all that it shows."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
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
    code, shown = in_terminal(home, command, "closet", "--full", columns=columns)
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


@pytest.mark.parametrize(
    "command",
    [("audit", "closet", "--survey", "as-left", "--full"), ("verify", "closet", "--full"), ("verify", "closet")],
)
def test_no_path_is_broken(home: Path, command: tuple[str, ...]) -> None:
    """Every file that is named in a narrow terminal is one of the site's, by its whole path."""
    narrow = files(in_terminal(home, *command, columns=40 if "--full" in command else 60)[1])
    wide = files(in_terminal(home, *command, columns=200)[1])

    assert narrow == wide or "--full" not in command
    assert narrow
    assert narrow <= wide
    for name in wide:
        assert (home / name).is_file() or (home / "closet" / name).is_file(), name


def test_words_are_the_same_at_any_width(home: Path) -> None:
    """Only the blanks differ."""
    shown = [in_terminal(home, "verify", "closet", "--full", columns=columns)[1].split() for columns in (60, 80, 120)]

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


# ---- one screen --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("columns", "rows"), [(80, 24), (120, 24), (120, 40), (80, 60), (60, 24), (80, 10)])
@pytest.mark.parametrize("command", ["audit", "verify"])
def test_a_report_is_one_screen(home: Path, command: str, columns: int, rows: int) -> None:
    """It leaves the last row to the cursor; a terminal of fewer rows than 24 is taken as one of 24."""
    code, shown = in_terminal(home, command, "closet", columns=columns, rows=rows)
    lines = COLOUR.sub("", shown).splitlines()

    assert code == run(command, "closet", cwd=home).returncode
    assert len(lines) < max(rows, 24)
    assert max(map(len, lines)) <= columns
    assert "".join(line for line in lines[-3:] if line.startswith("next")) != ""
    document = json.loads(run(command, "closet", "--json", cwd=home).stdout)
    for order in (*document["services"], *document["vlans"]):
        if order["state"] != "carried":
            assert any(line[2:].startswith(order["state"]) and order["name"] in line for line in lines), order["name"]


def test_a_terminal_that_has_no_size_is_one_of_24_rows(home: Path) -> None:
    assert in_terminal(home, "verify", "closet", columns=0, rows=0) == in_terminal(home, "verify", "closet")


def test_the_command_that_shows_more_is_the_one_that_was_typed(home: Path) -> None:
    """With the options that decide what is looked at; it can be typed as it stands."""
    typed = ("audit", "closet", "--survey", "as-left", "--without", "PBX-1")
    shown = COLOUR.sub("", in_terminal(home, *typed, columns=120)[1])
    assert f": vlancheck {' '.join(typed)} --full\n" in shown
    assert in_terminal(home, *typed, "--full")[0] == 1
    planned = COLOUR.sub("", in_terminal(home, "verify", "closet", "--after", "as-planned", "--only", "PANEL-A")[1])
    assert "rows not yet done: add --full\n" in planned


def test_all_of_it_is_printed_where_it_is_asked_for(home: Path) -> None:
    """On a terminal as before; in a pipe instead of a line for each finding; with mends, since these fit no screen."""
    whole = COLOUR.sub("", in_terminal(home, "verify", "closet", "--full")[1])
    piped = run("verify", "closet", "--full", cwd=home).stdout
    mended = COLOUR.sub("", in_terminal(home, "verify", "closet", "--mends")[1])

    assert whole == piped
    assert len(whole.splitlines()) > 100
    assert "\nTo mend it\n" in mended
    assert mended.replace(mended[mended.index("\nTo mend it\n") :], "") in whole


def test_several_sites_are_a_screen_each(home: Path) -> None:
    code, shown = in_terminal(home, "audit", "closet", "closet")
    one = in_terminal(home, "audit", "closet")
    assert code == one[0]
    assert shown == f"{one[1]}\n{one[1]}"


def test_what_a_run_of_watch_shows_fits_a_screen(home: Path) -> None:
    """With what is told around it: what changed, a blank line, and how it goes on."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    plain = {name: value for name, value in os.environ.items() if name not in ("NO_COLOR", "COLUMNS", "LINES")}
    command = [sys.executable, "-c", "from vlancheck.cli import main; main()", "verify", "closet", "--watch"]
    shown = b""
    with subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=theirs, cwd=home, env=plain) as running:
        os.close(theirs)
        while b"Ctrl-C ends it" not in shown:
            shown += os.read(ours, 65536)
        running.kill()
    os.close(ours)
    lines = COLOUR.sub("", STAGE.sub("", shown.decode().replace("\r\n", "\n"))).splitlines()
    assert lines[-1] == "watching closet: a change of its files runs this again; Ctrl-C ends it"
    assert lines[-2].startswith("next ")
    assert len(lines) <= 24 - 3
