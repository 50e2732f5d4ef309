"""A night's work on a building of 40 switches and 2,000 cords: `python -m tests.bench.test_bench_night`, or pytest -s.

Beside it stands what Python takes to go through the same files once with the csv module and a search in every line: no
reading can be faster.  The figures are printed and never asserted; what is asserted is what was found.
"""

from __future__ import annotations

import csv
import re
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TypeVar

from vlancheck.moves.harm import Harm
from vlancheck.pipeline import open_site

from .tower import SWITCHES, write_tower

T = TypeVar("T")
_FEWER = 16  # switches of the site in which much has changed
_WORDS = re.compile(r"vlan|switchport|interface")


def test_a_night() -> None:
    """Reading both surveys, verification with reconciliation, alike ports, slips of the hand, worksheets."""
    with TemporaryDirectory() as folder:
        root = write_tower(Path(folder) / "site")
        took: dict[str, float] = {}

        def timed(what: str, work: Callable[[], T]) -> T:
            start = time.process_time()
            made = work()
            took[what] = time.process_time() - start
            return made

        timed("floor", lambda: _floor(root))
        site = open_site(root)
        timed("reading", lambda: [site.survey(name).network for name in ("as-found", "as-left")])
        report = timed("verify", lambda: site.verify("as-found", "as-left"))
        alikeness = timed("alike", lambda: site.alike("as-found"))
        slips = timed("mistakes", lambda: site.mistakes("as-found"))
        book = timed("sheets", lambda: site.worksheets("as-found", "as-left"))
        wrong = open_site(_pasted_wrong(write_tower(Path(folder) / "wrong", _FEWER)))
        for name in ("as-found", "as-left"):
            assert wrong.survey(name).network.links
        other = timed(f"verify with a switch of {_FEWER} pasted wrong", lambda: wrong.verify("as-found", "as-left"))
        print("\n" + ", ".join(f"{what} {seconds:.2f} s" for what, seconds in took.items()))
        print(f"all but the floor {sum(took.values()) - took['floor']:.1f} s of processor time")

        assert len(site.survey().reading.devices) == SWITCHES + 1
        assert report.findings
        assert other.comparison is not None
        assert other.comparison.causes
        assert alikeness.free > 0
        assert {Harm.NONE, Harm.SITE} <= {*slips.swaps}
        assert book.sheets


def _pasted_wrong(root: Path) -> Path:
    """Put what was in one VLAN of a switch into another, in the later survey."""
    log = root / "captures/as-left/acc-01.log"
    text = log.read_text(encoding="utf-8")
    log.write_text(text.replace("switchport access vlan 10\n", "switchport access vlan 20\n"), encoding="utf-8")
    return root


def _floor(root: Path) -> int:
    found = 0
    for path in sorted(root.rglob("*.log")):
        found += sum(1 for line in path.read_text(encoding="utf-8").splitlines() if _WORDS.search(line))
    for path in sorted(root.rglob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            found += sum(1 for _ in csv.reader(file))
    return found


if __name__ == "__main__":
    test_a_night()
