"""The commands as a user runs them: exit codes, what stands where, and every way of going wrong."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

SITE = """\
site: test closet
links:
  - ["A-1:Gi0/2", "B-1:gi0/2"]
"""


def switch(name: str, *, allowed: str = "10,20") -> str:
    return f"""{name}#show running-config
hostname {name}
!
vtp mode transparent
!
vlan 10,20
!
interface GigabitEthernet0/1
 switchport mode access
 switchport access vlan 10
!
interface GigabitEthernet0/2
 switchport mode trunk
 switchport trunk allowed vlan {allowed}
!
end
{name}#
"""


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """Return a site of two switches on one trunk."""
    folder = tmp_path / "site"
    (folder / "captures/as-found").mkdir(parents=True)
    (folder / "site.yaml").write_text(SITE)
    for name in ("A-1", "B-1"):
        (folder / f"captures/as-found/{name}.txt").write_text(switch(name))
    return folder


def run(*words: str | Path, cwd: Path | None = None, **more: str) -> subprocess.CompletedProcess[str]:
    """Run the program and require that no traceback shows."""
    command = [sys.executable, "-c", "from vlancheck.cli import main; main()", *map(str, words)]
    done = subprocess.run(command, capture_output=True, text=True, cwd=cwd, env={**os.environ, **more}, check=False)
    assert "Traceback" not in done.stdout + done.stderr
    return done


def test_demo_writes_a_site_and_verifies_it(tmp_path: Path) -> None:
    """The demo runs twice, and never overwrites what somebody changed, neither the site nor the page."""
    first, again = run("demo", cwd=tmp_path), run("demo", cwd=tmp_path)

    assert first.returncode == again.returncode == 0
    assert first.stdout == again.stdout
    shown = first.stdout.splitlines()[:24]
    assert all(len(line) <= 80 or ":" in line for line in shown)
    assert any("FAULTY" in line for line in shown)
    assert any("1 dropped, 1 mismatched" in line for line in shown)
    assert any("vlancheck verify vlancheck-demo" in line for line in shown)
    files = {line.split(":")[0].strip() for line in shown if line.strip().startswith("captures/")}
    assert {"captures/as-left/core-1.log", "captures/as-left/sort-1.log"} <= files, "both ends' lines"
    page = tmp_path / "vlancheck-demo/report.html"
    page.write_text(page.read_text() + "mine")
    refused = run("demo", cwd=tmp_path)
    assert refused.returncode == 2
    assert "report.html: is there already and differs" in refused.stderr
    assert page.read_text().endswith("mine")
    declared = tmp_path / "vlancheck-demo/site.yaml"
    declared.write_text("site: mine\n")
    refused = run("demo", cwd=tmp_path)
    assert refused.returncode == 2
    assert "differs" in refused.stderr
    assert declared.read_text() == "site: mine\n"


def test_walk_tells_each_hop_with_its_line(site: Path) -> None:
    """Short names of ports are understood, and the deciding line stands behind the hop."""
    done = run("walk", site, "A-1:1", "untagged")

    assert done.returncode == 0
    assert "DELIVERED untagged" in done.stdout
    assert (
        "captures/as-found/A-1.txt:14: interface GigabitEthernet0/2 / switchport trunk allowed vlan 10,20"
        in done.stdout
    )


def test_walk_as_a_document(site: Path) -> None:
    """The document holds the same walk."""
    done = run("walk", site, "A-1:Gi0/1", "untagged", "--json")
    document = json.loads(done.stdout)

    assert document["schema"] == "vlancheck/walk/1"
    assert document["deliveries"] == [{"port": "B-1:GigabitEthernet0/1", "frame": "untagged", "interface": None}]
    assert document["complete"] is True


def test_an_unread_line_at_the_uplink_leaves_the_walk_unproven(site: Path) -> None:
    """A line about VLANs that no pattern takes is an open question, exit code 3, never a pass."""
    text = switch("B-1").replace(" switchport mode trunk\n", " switchport mode trunk\n switchport vlan frobnicate 10\n")
    (site / "captures/as-found/B-1.txt").write_text(text)
    done = run("walk", site, "A-1:1", "untagged")

    assert done.returncode == 3
    assert "switchport vlan frobnicate 10" in done.stdout
    assert "unproven" in done.stdout
    read = run("read", site / "captures", "--unread")
    assert read.returncode == 3
    assert "switchport vlan frobnicate 10" in read.stdout


def test_carriage_lists_where_frames_are_heard(site: Path) -> None:
    """One sender or all, as text or as a document."""
    one = run("carriage", site, "--at", "A-1:1")
    document = json.loads(run("carriage", site, "--json").stdout)

    assert one.returncode == 0
    assert "delivered  B-1:GigabitEthernet0/1  untagged" in one.stdout
    assert [sender["port"] for sender in document["senders"]] == ["A-1:GigabitEthernet0/1", "B-1:GigabitEthernet0/1"]


def test_read_shows_fields_with_their_lines(site: Path) -> None:
    """A port is 802.1Q fields, each with who set it; a port nobody has is an error."""
    done = run("read", site / "captures", "--at", "A-1:Gi0/1")

    assert done.returncode == 0
    assert "pvid      10" in done.stdout
    assert "vlan 20" not in done.stdout
    missing = run("read", site / "captures", "--at", "A-1:Gi9/9")
    assert missing.returncode == 2
    assert "has no port" in missing.stderr


def test_read_prints_the_notation(site: Path) -> None:
    """What `--format jot` prints is read again as the same boxes; anonymous text keeps no name."""
    from vlancheck.notation import parse

    done = run("read", site / "captures", "--format", "jot")
    private = run("read", site / "captures", "--format", "jot", "--anonymous")

    assert (done.returncode, private.returncode) == (0, 0)
    assert [device.name for device in parse(done.stdout).devices] == ["A-1", "B-1"]
    assert len(parse(private.stdout).devices) == 2
    assert "A-1" not in private.stdout


def test_cords_may_stand_in_a_patch_sheet(site: Path) -> None:
    """The same link from patching/as-found.csv carries the same frame, with the sheet's row as evidence."""
    (site / "site.yaml").write_text("site: test closet\n")
    (site / "patching").mkdir()
    (site / "patching/as-found.csv").write_text("From,To,Cord label\nA-1:Gi0/2,B-1:Gi0/2,U-01\n")
    done = run("walk", site, "A-1:1", "untagged")

    assert done.returncode == 0
    assert "delivered  B-1:GigabitEthernet0/1  untagged" in done.stdout


def test_a_switchs_own_vlan_interface_is_read(tmp_path: Path) -> None:
    """`interface Vlan10` is a port inside the box, named with its VID."""
    path = tmp_path / "x.txt"
    path.write_text(switch("SW-1").replace("end\n", "interface Vlan10\n description desks\n!\nend\n"))
    done = run("read", path)

    assert (done.returncode, done.stderr) == (0, "")
    assert "Vlan10" in done.stdout


def test_output_is_written_whole_or_not_at_all(site: Path, tmp_path: Path) -> None:
    """A file is replaced when the report is done; what cannot be written is one message."""
    out = tmp_path / "walk.txt"
    done = run("walk", site, "A-1:1", "untagged", "-o", out)

    assert (done.returncode, done.stdout) == (0, "")
    assert "DELIVERED" in out.read_text()
    refused = run("walk", site, "A-1:1", "untagged", "-o", tmp_path / "no/such/walk.txt")
    assert refused.returncode == 2
    assert "cannot be written" in refused.stderr


BAD_SITES = [
    ('site: x\nlinks:\n  - ["A-1:Gi0/2"]\n', "two ends", 3),
    ('site: x\nlinks:\n  - ["A-1:Gi0/2", "B-1:Gi0/97"]\n', "has no port", 3),
    ('site: x\nlinks:\n  - ["A-1:Gi0/2", "C-1:Gi0/2"]\n', "C-1", 3),
    ("site: x\nlinks:\n  - [A-1:2, B-1:2]\n  - [A-1:2, B-1:1]\n", "A-1:GigabitEthernet0/2", 4),
    ("site: x\nsite: y\n", "site", 2),
    ("site: x\nlinsk: []\n", "links", 2),
    ("site: x\nlinks: yes\n", "list", 2),
    ("site: x\n\tlinks: []\n", "tab", 2),
]


@pytest.mark.parametrize(("text", "says", "line"), BAD_SITES)
def test_a_declaration_that_is_not_right(site: Path, text: str, says: str, line: int) -> None:
    """One message with file and line, exit code 2."""
    (site / "site.yaml").write_text(text)
    done = run("walk", site, "A-1:1", "untagged")

    assert done.returncode == 2
    assert f"site.yaml:{line}:" in done.stderr
    assert says in done.stderr


@pytest.mark.parametrize("frame", ["4095", "4096", "-1", "10-5", "1-", "s", "10.x", ""])
def test_a_frame_that_is_none(site: Path, frame: str) -> None:
    """What is no frame is said, and how to write one."""
    done = run("walk", site, "A-1:1", "--", frame)

    assert done.returncode == 2


@pytest.mark.parametrize(
    ("data", "says"),
    [(b"", "empty"), (b"\x7fELF" + bytes(60), "not text"), (b"\x89PNG\r\n\x1a\n" + bytes(60), "")],
)
def test_a_capture_that_cannot_be_used(tmp_path: Path, data: bytes, says: str) -> None:
    """One message with the file's name, exit code 2."""
    path = tmp_path / "x.txt"
    path.write_bytes(data)
    done = run("read", path)

    assert done.returncode == 2
    assert "x.txt" in done.stderr
    assert says in done.stderr


def test_what_is_not_there(tmp_path: Path, site: Path) -> None:
    """A missing path, site, survey, device: exit code 2 and the name."""
    assert "nowhere" in run("read", tmp_path / "nowhere").stderr
    assert run("walk", tmp_path / "nowhere", "A:1", "untagged").returncode == 2
    survey = run("walk", site, "A-1:1", "untagged", "--survey", "as-fuond")
    assert (survey.returncode, "as-found" in survey.stderr) == (2, True)
    device = run("walk", site, "A-2:1", "untagged")
    assert (device.returncode, "A-1" in device.stderr) == (2, True)
    assert run("walk", site).returncode == 2


def test_a_capture_that_is_only_a_prompt_is_said(tmp_path: Path) -> None:
    """Nothing was captured: exit code 3, and why."""
    path = tmp_path / "x.txt"
    path.write_text("SW-1#\nSW-1#\n")
    done = run("read", path)

    assert done.returncode == 3
    assert "x.txt" in done.stderr


def test_two_captures_that_disagree_are_not_guessed(site: Path) -> None:
    """The second capture of one box differs: said with both files, and what rests on it is unproven."""
    (site / "captures/as-found/again.txt").write_text(switch("B-1", allowed="20"))
    done = run("walk", site, "A-1:1", "untagged")

    assert done.returncode == 3
    assert "unproven" in done.stdout


def test_a_closed_pipe_is_quiet(site: Path) -> None:
    """`| head` ends the program without a word."""
    command = f"{sys.executable} -c 'from vlancheck.cli import main; main()' read {site / 'captures'} | head -1"
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=False)

    assert done.stderr == ""


def test_an_interrupt_is_130(tmp_path: Path) -> None:
    """Ctrl-C while it works ends it with one line, also where the tests themselves run in the background."""
    code = "import signal, time; signal.signal(signal.SIGINT, signal.default_int_handler); "
    code += "import vlancheck.cli.guard as g; g.guarded(lambda: time.sleep(30))()"
    running = subprocess.Popen([sys.executable, "-c", code], stderr=subprocess.PIPE, text=True)
    time.sleep(1.5)
    running.send_signal(signal.SIGINT)
    _, said = running.communicate(timeout=20)

    assert running.returncode == 130
    assert said == "vlancheck: interrupted\n"


def test_an_internal_fault_leaves_its_details_in_a_file(tmp_path: Path) -> None:
    """A short apology, exit code 4, details in a file with secrets masked."""
    code = "import vlancheck.cli.guard as g\ndef f(): raise RuntimeError('snmp-server community hunter2 RO')\n"
    command = [sys.executable, "-c", f"{code}g.guarded(f)()"]
    env = {**os.environ, "TMPDIR": str(tmp_path)}
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=env)

    assert done.returncode == 4
    assert "Traceback" not in done.stderr
    details = next(tmp_path.glob("vlancheck-*.txt")).read_text()
    assert "RuntimeError" in details
    assert "hunter2" not in details.split("RuntimeError")[-1]
