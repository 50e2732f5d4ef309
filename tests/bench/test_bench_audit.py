"""`audit` and `verify` of the example as whole processes: `python -m tests.bench.test_bench_audit`, or pytest -s.

Beside them the same Python loading the libraries alone, which no audit can be faster than.  The figures are printed and
never asserted; what is asserted is that the processes answer.
"""

from __future__ import annotations

import resource
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

from vlancheck.pipeline import open_site

LIBRARIES = "import typer, yaml, textfsm, networkx"
PROGRAM = "from vlancheck.cli import main; main()"


def spent(*words: str, times: int = 5) -> tuple[float, set[int]]:
    """Return the processor seconds of the best run of a Python process, and its exit codes."""
    best, codes = float("inf"), set()
    for _ in range(times):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        done = subprocess.run([sys.executable, "-c", *words], stdout=subprocess.DEVNULL, check=False)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        best = min(best, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
        codes.add(done.returncode)
    return best, codes


def test_whole_processes() -> None:
    """Eight boxes, forty cords, four services, four VLANs."""
    site = str(Path(str(files("vlancheck.example") / "site")))
    floor, _ = spent(LIBRARIES)
    audit, audited = spent(PROGRAM, "audit", site)
    verify, verified = spent(PROGRAM, "verify", site)
    print(f"\nlibraries alone {floor:.2f} s, audit {audit:.2f} s, verify {verify:.2f} s of processor time")

    opened = open_site(site)
    assert audited == {opened.audit().exit_code}
    assert verified == {opened.verify().exit_code}


if __name__ == "__main__":
    test_whole_processes()
