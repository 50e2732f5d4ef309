"""Input that is not right, through the command line: one message with file and line, the right exit code.

What a declaration, a frame on the command line or a single capture can have wrong is in test_commands.py; here are the
values and files inside a site, and what a capture says that no switch would.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from vlancheck.cli.app import app

from .test_commands import SITE, site, switch

__all__ = ["site"]  # the fixture of a site of two switches

COULD_NOT_RUN, UNPROVEN = 2, 3
VIDS = ["0", "4095", "4096", "-1", "10-5", "1-"]
WHERE = "captures/as-found/B-1.txt"


def run(*words: str | Path) -> Result:
    """Run the program in this process and require that it ended by itself."""
    done = CliRunner().invoke(app, [str(word) for word in words])
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    assert "Traceback" not in done.output
    return done


@pytest.mark.parametrize("vid", VIDS)
def test_a_trunk_with_a_vid_that_is_none(site: Path, vid: str) -> None:
    """The line is unread, said with its place, and what it decides is unproven; nothing is guessed from it."""
    (site / WHERE).write_text(switch("B-1", allowed=vid))
    unread, walked = run("read", site / WHERE, "--unread"), run("walk", site, "A-1:1", "untagged")

    assert unread.exit_code == walked.exit_code == UNPROVEN
    assert f"B-1.txt:14: switchport trunk allowed vlan {vid}" in unread.stdout
    assert f"{WHERE}:14" in walked.stdout
    assert "delivered  B-1" not in walked.stdout


@pytest.mark.parametrize("vid", VIDS)
def test_an_access_port_with_a_vid_that_is_none(site: Path, vid: str) -> None:
    """The line is unread with a reason that names the value, and what is sent into the port is unproven."""
    (site / WHERE).write_text(switch("B-1").replace("access vlan 10", f"access vlan {vid}"))
    unread, walked = run("read", site / WHERE, "--unread"), run("walk", site, "B-1:1", "untagged")

    assert unread.exit_code == walked.exit_code == UNPROVEN
    assert f"B-1.txt:10: switchport access vlan {vid}  B-1:GigabitEthernet0/1 ('{vid}' " in unread.stdout
    assert f"{WHERE}:10" in walked.stdout
    assert "delivered" not in walked.stdout


@pytest.mark.parametrize("vid", VIDS)
@pytest.mark.parametrize(
    "declared",
    [
        'services:\n  - {{name: desks, tag: "{}", enters: "A-1:1", leaves: ["B-1:1"]}}\n',
        'vlans:\n  - {{vid: "{}", name: desks, reaches: ["A-1:1"]}}\n',
    ],
)
def test_a_declared_vid_that_is_none(site: Path, declared: str, vid: str) -> None:
    """The line of the declaration and the value are named."""
    (site / "site.yaml").write_text(SITE + declared.format(vid))
    done = run("verify", site)

    assert done.exit_code == COULD_NOT_RUN
    assert done.stderr.count("vlancheck: ") == 1
    assert "site.yaml:5:" in done.stderr
    assert vid in done.stderr


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "the file is empty"),
        (b"\x7fELF" + bytes(60), "is a program, not text"),
        (None, "there is no device 'B-1'"),
    ],
)
def test_a_capture_of_a_site_that_is_not_there_or_no_text(site: Path, data: bytes | None, says: str) -> None:
    """Every command that needs the site stops with the same message."""
    if data is None:
        (site / WHERE).unlink()
    else:
        (site / WHERE).write_bytes(data)
    for words in (("walk", site, "A-1:1", "untagged"), ("audit", site), ("carriage", site)):
        done = run(*words)
        assert (done.exit_code, done.stdout) == (COULD_NOT_RUN, "")
        assert says in done.stderr
        assert ("site.yaml:3:" if data is None else f"{WHERE}:") in done.stderr


@pytest.mark.parametrize(
    ("data", "says"), [(b"", "empty"), (b"# nothing\n", "declares nothing"), (b"\x7fELF" + bytes(60), "not text")]
)
def test_a_declaration_that_is_no_text(site: Path, data: bytes, says: str) -> None:
    """What the least declaration is, is said."""
    (site / "site.yaml").write_bytes(data)
    done = run("audit", site)

    assert done.exit_code == COULD_NOT_RUN
    assert says in done.stderr
    assert "site: NAME" in done.stderr


def test_an_output_cut_at_a_page_is_unproven(site: Path) -> None:
    """An output that ends at the question for another page is said with its line, and proves nothing."""
    text = switch("B-1")
    (site / WHERE).write_text(text[: text.index(" switchport mode trunk")] + " --More-- \n")
    read, walked = run("read", site / WHERE), run("walk", site, "A-1:1", "untagged")

    assert read.exit_code == walked.exit_code == UNPROVEN
    assert "the output ends in the middle" in read.stderr
    assert "B-1.txt:" in read.stderr
    assert "unproven" in walked.stdout


@pytest.mark.parametrize("document", ['"x"', "3", "null", "[1, 2]", '[{"ifname":', "[{]"])
def test_json_that_is_no_list_of_objects(tmp_path: Path, document: str) -> None:
    """The command's output, its line and what it should be are named; nothing is read from it."""
    path = tmp_path / "host.txt"
    path.write_text(f"root@host:~# bridge -j vlan show\n{document}\nroot@host:~# \n")
    done = run("read", path)

    assert done.exit_code == UNPROVEN
    assert "host.txt:2: bridge vlan is not what it should be" in done.stderr
    assert "capture it again" in done.stderr


def test_a_port_that_does_not_exist(site: Path) -> None:
    """Whichever command is asked of it."""
    for words in (("walk", site, "A-1:Gi0/9", "untagged"), ("carriage", site, "--at", "A-1:Gi0/9")):
        done = run(*words)
        assert done.exit_code == COULD_NOT_RUN
        assert "there is no port 'A-1:GigabitEthernet0/9'" in done.stderr


def test_a_socket_with_two_cords_in_the_sheet_is_unproven(site: Path) -> None:
    """Both rows are named, and neither is believed."""
    (site / "site.yaml").write_text("site: test closet\n")
    (site / "patching").mkdir()
    (site / "patching/as-found.csv").write_text("From,To\nA-1:Gi0/2,B-1:Gi0/2\nA-1:Gi0/2,B-1:Gi0/1\n")
    done = run("walk", site, "A-1:1", "untagged")

    assert done.exit_code == UNPROVEN
    assert "patching/as-found.csv:2:" in done.stdout
    assert "patching/as-found.csv:3:" in done.stdout
    assert "is used by 2 cords" in done.stdout
    assert "delivered" not in done.stdout


def test_two_captures_that_disagree_are_named(site: Path) -> None:
    """Both lines, and what to do."""
    (site / "captures/as-found/again.txt").write_text(switch("B-1", allowed="20"))
    done = run("read", site / "captures")

    assert done.exit_code == UNPROVEN
    assert "two captures of B-1 disagree" in done.stderr
    for line in ("B-1.txt:14 has 'switchport trunk allowed vlan 10,20'", "again.txt:14 has"):
        assert line in done.stderr


def test_a_sites_capture_that_is_only_a_prompt(site: Path) -> None:
    """The box is not there, which is said where it is first needed; `read` says why."""
    (site / WHERE).write_text("B-1#\nB-1#show running-config\nB-1#\n")
    walked, read = run("walk", site, "A-1:1", "untagged"), run("read", site / WHERE)

    assert (walked.exit_code, read.exit_code) == (COULD_NOT_RUN, UNPROVEN)
    assert "site.yaml:3: there is no device 'B-1'" in walked.stderr
    assert "B-1.txt:1: the capture holds a prompt and no output" in read.stderr
