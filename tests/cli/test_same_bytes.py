"""The same input gives the same bytes, however Python orders its sets."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from vlancheck.example import write_site
from vlancheck.report.documents import ENDINGS


@pytest.mark.parametrize(
    "words",
    [
        ("audit", "--without-each"),
        ("verify", "--json"),
        ("alike",),
        ("alike", "--json"),
        ("mistakes", "--json"),
        ("mend",),
        ("carriage", "--json"),
    ],
    ids=" ".join,
)
def test_no_order_is_by_chance(tmp_path: Path, words: tuple[str, ...]) -> None:
    write_site(tmp_path / "site")
    command, *options = words
    outputs = set()
    for seed in ("0", "1", "7"):
        program = "from vlancheck.cli import main; main()"
        line = [sys.executable, "-c", program, command, "site", *options]
        environment = {**os.environ, "PYTHONHASHSEED": seed}
        done = subprocess.run(line, capture_output=True, check=False, cwd=tmp_path, env=environment)
        assert done.returncode in (0, 1, 3), done.stderr
        outputs.add(done.stdout)
    assert len(outputs) == 1


def test_every_form_of_a_report_has_the_same_bytes(tmp_path: Path) -> None:
    """Each written three times, in processes with other orders of sets."""
    write_site(tmp_path / "site")
    program = """
import sys
from pathlib import Path
from vlancheck.pipeline import open_site
from vlancheck.report.documents import ENDINGS, document
report = open_site("site").verify(mends=True)
for ending in ENDINGS:
    Path(sys.argv[1] + ending).write_bytes(document(report, ending, "site"))
"""
    program += """
from vlancheck.report.walk_pcapng import pcapng_file
survey = open_site("site").survey("as-left")
walked = survey.walk("SORT-1:Gi0/1", "320")
Path(sys.argv[1] + ".pcapng").write_bytes(pcapng_file(walked, survey.network, "site", "as-left"))
"""
    for seed in ("0", "1", "7"):
        environment = {**os.environ, "PYTHONHASHSEED": seed}
        line = [sys.executable, "-c", program, f"report-{seed}"]
        done = subprocess.run(line, capture_output=True, check=False, cwd=tmp_path, env=environment)
        assert done.returncode == 0, done.stderr
    made = sorted(path.name for path in tmp_path.glob("report-0.*"))
    assert len(made) == len(ENDINGS) + 1
    for name in made:
        several = {(tmp_path / name.replace("report-0", f"report-{seed}")).read_bytes() for seed in ("0", "1", "7")}
        assert len(several) == 1, name


@pytest.mark.parametrize("name", ["closet.svg", "closet.dot", "closet.mmd", "closet.graphml"])
def test_no_order_in_a_drawing_is_by_chance(tmp_path: Path, name: str) -> None:
    write_site(tmp_path / "site")
    outputs = set()
    for seed in ("0", "1", "7"):
        program = "from vlancheck.cli import main; main()"
        line = [sys.executable, "-c", program, "draw", "site", "-o", name, "--vlan", "10"]
        environment = {**os.environ, "PYTHONHASHSEED": seed}
        done = subprocess.run(line, capture_output=True, check=False, cwd=tmp_path, env=environment)
        assert done.returncode == 0, done.stderr
        outputs.add((done.stdout, (tmp_path / name).read_bytes()))
    assert len(outputs) == 1
