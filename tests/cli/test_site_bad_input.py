"""Declarations, sheets and folders that are not right, through the command line: one message, the right exit code."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from .test_commands import run

DECLARED = """\
site: Mill Lane surgery
vlans:
  - {vid: 10, name: desks, reaches: [{at: "PANEL-A:01", frame: untagged}, {at: "PANEL-A:02", frame: untagged}]}
  - {vid: 20, name: phones, reaches: [{at: "PANEL-A:04", frame: untagged}, {at: "PANEL-A:05", frame: untagged}]}
"""
SHEET = """\
From,To,Cord label,Serves
PANEL-A:01,ACC-1:1,C-01,PC reception
PANEL-A:02,ACC-1:2,C-02,PC office
PANEL-A:04,ACC-1:4,C-04,printer
PANEL-A:05,ACC-1:5,C-05,printer office
"""
SURVEYS = {"as-found": "09:12:41 CET Sat Mar 14 2026", "as-left": "22:40:05 CET Sat Mar 14 2026"}


def switch(clock: str, name: str = "ACC-1") -> str:
    access = "".join(
        f"interface GigabitEthernet0/{port}\n switchport mode access\n switchport access vlan {vid}\n!\n"
        for port, vid in ((1, 10), (2, 10), (4, 20), (5, 20))
    )
    return (
        f"{name}#show clock\n{clock}\n{name}#show running-config\nhostname {name}\n!\nvtp mode transparent\n!\n"
        f"vlan 10,20\n!\n{access}end\n{name}#\n"
    )


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """Return a site with two surveys of one switch, proven clean."""
    folder = tmp_path / "site"
    (folder / "patching").mkdir(parents=True)
    (folder / "site.yaml").write_text(DECLARED)
    for survey, clock in SURVEYS.items():
        (folder / "captures" / survey).mkdir(parents=True)
        (folder / "captures" / survey / "acc-1.txt").write_text(switch(clock))
        (folder / "patching" / f"{survey}.csv").write_text(SHEET)
    return folder


Asked = Callable[[Path], list[str | Path]]
COMMANDS: dict[str, Asked] = {
    "audit": lambda site: ["audit", site],
    "verify": lambda site: ["verify", site],
    "at": lambda site: ["at", site, "PANEL-A:01"],
}


@pytest.fixture(params=COMMANDS)
def asked(request: pytest.FixtureRequest) -> Asked:
    """Return the words of one command, given a site."""
    return COMMANDS[request.param]


def tree(folder: Path) -> dict[str, bytes | None]:
    """Return every file under a folder with its bytes."""
    return {str(path): path.read_bytes() if path.is_file() else None for path in sorted(folder.rglob("*"))}


def refused(words: list[str | Path], *says: str) -> None:
    """Require one message on standard error that says all of `says`, nothing else, and exit code 2."""
    done = run(*words)
    message, _, advice = done.stderr.partition("\n")

    assert (done.returncode, done.stdout) == (2, "")
    assert message.startswith("vlancheck: ")
    assert len(advice.splitlines()) <= 1, done.stderr
    for one in says:
        assert one in done.stderr


def sheets(site: Path, data: str | bytes) -> None:
    """Write the patch sheet of both surveys."""
    for survey in SURVEYS:
        (site / "patching" / f"{survey}.csv").write_bytes(data.encode() if isinstance(data, str) else data)


def test_the_site_of_these_tests_is_clean(site: Path, asked: Asked) -> None:
    """What they break was right before; nothing is written into the folder."""
    before = tree(site)
    done = run(*asked(site))

    assert (done.returncode, done.stderr) == (0, "")
    assert tree(site) == before


# ---- site.yaml -----------------------------------------------------------------------------------------------------

BAD_DECLARATIONS = [
    ("a tab", "site: x\nvlans:\n\t- {vid: 10}\n", 3, "tab"),
    ("a key twice", DECLARED + "site: y\n", 5, "line 1"),
    ("an unknown key", DECLARED + "vlnas: []\n", 5, "vlans"),
    ("an unknown key of a service", "site: x\nservices:\n  - {name: a, tga: 310, enters: EX-1}\n", 3, "tag"),
    ("a list where a map belongs", "site: x\ndevices: [ACC-1, ACC-2]\n", 2, "list where a map belongs"),
    ("a service that is a list", "site: x\nservices:\n  - [a, b]\n", 3, "list where a map belongs"),
    ("an ending on a box nobody knows", DECLARED.replace("PANEL-A:02", "ACC-7:1"), 3, "ACC-7"),
    ("an ending at a panel port nobody knows", DECLARED.replace("PANEL-A:02", "PANEL-A:99"), 3, "PANEL-A:05"),
    ("an ending at a port the switch cannot have", DECLARED.replace("PANEL-A:02", "ACC-1:xyz"), 3, "xyz"),
]


@pytest.mark.parametrize(
    ("text", "line", "says"), [row[1:] for row in BAD_DECLARATIONS], ids=[r[0] for r in BAD_DECLARATIONS]
)
def test_a_declaration_that_is_not_right(site: Path, asked: Asked, text: str, line: int, says: str) -> None:
    """File and line, and what to do about it."""
    (site / "site.yaml").write_text(text)

    refused(asked(site), f"site.yaml:{line}: ", says)


def test_an_ending_on_a_box_that_only_the_other_survey_has(site: Path) -> None:
    """It is known, and nothing shows what it carries now: never a pass."""
    (site / "captures/as-found/acc-2.txt").write_text(switch(SURVEYS["as-found"], "ACC-2"))
    moved = SHEET.replace("ACC-1:4", "ACC-2:4").replace("ACC-1:5", "ACC-2:5")
    sheets(site, moved)
    audited, verified = run("audit", site), run("verify", site)

    assert (audited.returncode, audited.stderr) == (0, "")
    assert verified.returncode in (1, 3)
    assert verified.stderr == ""
    assert "carried: desks (VLAN 10)" in verified.stdout
    assert "carried: phones" not in verified.stdout


# ---- patch sheets --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("command", ["audit", "verify"])
def test_one_port_in_two_rows_is_a_finding(site: Path, command: str) -> None:
    """An error at the rows; what hangs on the port is unproven."""
    sheets(site, SHEET + "PANEL-A:09,ACC-1:1,C-09,PC\n")
    done = run(command, site)
    survey = "as-found" if command == "audit" else "as-left"

    assert (done.returncode, done.stderr) == (1, "")
    assert f"patching/{survey}.csv:2: error W101" in done.stdout
    assert "PANEL-A:01 and PANEL-A:09" in done.stdout
    assert "unproven: desks" in done.stdout


def test_at_tells_a_port_in_two_rows(site: Path) -> None:
    """The line says that the rows contradict each other."""
    sheets(site, SHEET + "PANEL-A:09,ACC-1:1,C-09,PC\n")
    done = run("at", site, "PANEL-A:01")

    assert done.stdout.count("\n") == 1
    assert "contradiction: ACC-1:GigabitEthernet0/1 is used by 2 cords" in done.stdout


@pytest.mark.parametrize("command", ["audit", "verify"])
def test_a_cord_with_one_end_is_listed(site: Path, command: str) -> None:
    """At its row; nothing is made of it, and nothing declared hangs on it."""
    sheets(site, SHEET + "PANEL-A:09,,C-09,PC\n")
    done = run(command, site)
    survey = "as-found" if command == "audit" else "as-left"

    assert (done.returncode, done.stderr) == (0, "")
    assert f"patching/{survey}.csv:6: note W102" in done.stdout
    assert "PANEL-A:09" in done.stdout


@pytest.mark.parametrize("command", ["audit", "verify"])
def test_a_cord_with_one_end_at_an_ending_is_no_pass(site: Path, command: str) -> None:
    """The desk was declared, and the sheet does not say where it is patched to."""
    sheets(site, SHEET.replace("PANEL-A:02,ACC-1:2", "PANEL-A:02,"))
    done = run(command, site)

    assert done.returncode in (1, 3)
    assert done.stderr == ""
    assert "carried: desks" not in done.stdout
    assert "row 3: the cord has one end, PANEL-A:02" in done.stdout


@pytest.mark.parametrize(
    "data",
    [
        SHEET.replace(",", ";"),
        SHEET.replace(",", "\t").replace("\n", "\r\n"),
        SHEET.replace("PC reception", "Empfang Köhler – Büro").encode("cp1252"),
        SHEET.encode("utf-16"),
    ],
    ids=["semicolons", "tabs and CRLF", "Windows-1252", "UTF-16"],
)
def test_a_sheet_from_any_spreadsheet_is_read(site: Path, asked: Asked, data: str | bytes) -> None:
    """The same answer as from the plain one."""
    sheets(site, data)
    done = run(*asked(site))

    assert (done.returncode, done.stderr) == (0, "")
    if "PANEL-A:01" in asked(site):
        assert "C-01" in done.stdout
        assert "ACC-1:GigabitEthernet0/1 VLAN 10 untagged" in done.stdout


def test_a_windows_sheet_keeps_its_letters(site: Path) -> None:
    """Umlauts and dashes come out as they were written."""
    sheets(site, SHEET.replace("PC reception", "Empfang Köhler – Büro").encode("cp1252"))
    done = run("at", site, "PANEL-A:01")

    assert "Empfang Köhler – Büro" in done.stdout


@pytest.mark.parametrize("command", ["audit", "verify"])
def test_a_column_that_nobody_knows_is_listed(site: Path, command: str) -> None:
    """The cords stand in the others, so the answer is the same; that the column is not read is said."""
    sheets(site, SHEET.replace("Serves", "Frobnication"))
    done = run(command, site, "--json")
    notes = json.loads(done.stdout)["notes"]
    survey = "as-found" if command == "audit" else "as-left"

    assert done.returncode == 0
    assert [note for note in notes if note.startswith(f"patching/{survey}.csv: ") and "'Frobnication'" in note]


def test_a_sheet_whose_headings_nobody_knows(site: Path, asked: Asked) -> None:
    """Nothing says which column is which end: the file, and which headings are known."""
    sheets(site, "Frob,Nitz,Quux\nPANEL-A:01,ACC-1:1,C-01\n")

    refused(asked(site), "patching/as-", "heading")


# ---- folders and surveys -------------------------------------------------------------------------------------------


def test_a_site_that_is_a_file(site: Path, asked: Asked) -> None:
    """The file is named, and what a site is."""
    refused(asked(site / "site.yaml"), "site.yaml: ", "a site is a folder")


def test_a_site_that_is_empty(tmp_path: Path, asked: Asked) -> None:
    """It has no site.yaml; the least one is shown, and none is written."""
    empty = tmp_path / "empty"
    empty.mkdir()

    refused(asked(empty), str(empty), "site.yaml")
    assert tree(empty) == {}


def test_a_site_that_is_not_there(tmp_path: Path, asked: Asked) -> None:
    """The path is named, and not made."""
    refused(asked(tmp_path / "nowhere"), "nowhere")
    assert not (tmp_path / "nowhere").exists()


def test_a_site_without_captures_is_unproven(tmp_path: Path) -> None:
    """Nothing was captured yet: the survey is there, and nothing is proven."""
    (tmp_path / "site.yaml").write_text("site: x\n")
    done = run("audit", tmp_path)

    assert done.returncode == 3
    assert "UNPROVEN" in done.stdout


def test_a_read_only_site_is_read(site: Path, asked: Asked) -> None:
    """Nothing is ever written into it."""
    paths = [site, *site.rglob("*")]
    before = tree(site)
    modes = {path: path.stat().st_mode for path in paths}
    for path in paths:
        path.chmod(0o555 if path.is_dir() else 0o444)
    try:
        done = run(*asked(site))
    finally:
        for path, mode in modes.items():
            path.chmod(mode)

    assert (done.returncode, done.stderr) == (0, "")
    assert tree(site) == before


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["audit", "--survey", "as-fuond"], "as-found"),
        (["verify", "--after", "as-lfet"], "as-left"),
        (["verify", "--before", "2019"], "known: as-found, as-left"),
        (["at", "--survey", "2019"], "known: as-found, as-left"),
    ],
)
def test_a_survey_that_does_not_exist(site: Path, words: list[str], says: str) -> None:
    """The nearest name, or those there are."""
    command, *options = words
    place: list[str | Path] = ["PANEL-A:01"] if command == "at" else []

    refused([command, site, *place, *options], "there is no survey", says)


# ---- output --------------------------------------------------------------------------------------------------------


def test_output_to_where_nothing_can_be_written(site: Path, tmp_path: Path, asked: Asked) -> None:
    """A folder that is none, a folder in the file's place: what was there stays, and nothing is left beside it."""
    (tmp_path / "report").mkdir()
    (tmp_path / "report/old.txt").write_text("old\n")
    before = tree(tmp_path)
    for out in (tmp_path / "no/such/report.txt", site / "site.yaml/report.txt", tmp_path / "report"):
        refused([*asked(site), "-o", out], str(out), "cannot be written")

    assert tree(tmp_path) == before


def test_an_error_of_the_input_leaves_an_older_report(site: Path, tmp_path: Path, asked: Asked) -> None:
    """The report of yesterday is not emptied for an answer that never came."""
    out = tmp_path / "report.txt"
    out.write_text("of yesterday\n")
    (site / "site.yaml").write_text(DECLARED + "site: y\n")

    refused([*asked(site), "-o", out], "site.yaml:5: ")
    assert out.read_text() == "of yesterday\n"


def test_a_report_replaces_an_older_one_whole(site: Path, tmp_path: Path, asked: Asked) -> None:
    """No line of the old one is left, and no other file beside it."""
    out = tmp_path / "report.json"
    out.write_text("x" * 100_000)
    done = run(*asked(site), "--json", "-o", out)

    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert json.loads(out.read_text())["schema"].startswith("vlancheck/")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["report.json", "site"]


def test_several_sites_of_which_one_is_not_right(site: Path, tmp_path: Path) -> None:
    """The good one is answered, the bad one named once; exit code 2."""
    done = run("audit", site, tmp_path / "nowhere")

    assert done.returncode == 2
    assert "Mill Lane surgery, as-found: CLEAN" in done.stdout
    assert done.stderr.count("vlancheck: ") == 1
    assert "nowhere" in done.stderr
