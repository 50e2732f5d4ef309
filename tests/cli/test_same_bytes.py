"""The same input gives the same bytes, however Python orders its sets."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from vlancheck.example import write_site


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
