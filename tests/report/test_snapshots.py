"""Every form of one small report, whole, as it was last looked at: a closet in which a tag and a list are forgotten.

After a change of a form that is meant: `VLANCHECK_WRITE_SNAPSHOTS=1 pytest tests/report/test_snapshots.py`, then review
what git shows as changed.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from vlancheck.outcome import Report
from vlancheck.report.documents import document

from .sites import report

SNAPSHOTS = Path(__file__).parent / "snapshots"
BEFORE = """\
bridge SORT-1 exists=20,310,320
port SORT-1:1 member=310,320
port SORT-1:2 member=20,310,320
bridge ACC-1 exists=20,310,320
port ACC-1:1 member=20,310,320
port ACC-1:2 pvid=310 member=310 untagged=310
port ACC-1:3 pvid=320 member=320 untagged=320
port ACC-1:4 pvid=20 member=20 untagged=20
port ACC-1:5 doubt=yes pvid=20 member=20 untagged=20
unread ACC-1:5 text="switchport vlan frobnicate 20" matters=yes
link SORT-1:2 ACC-1:1
handoff SORT-1:1
service "Booking line" 310 at SORT-1:1 -> ACC-1:2 untagged
service "Ticket line" 320 at SORT-1:1 -> ACC-1:3 untagged
vlan 20 -> ACC-1:4 untagged, ACC-1:5 untagged
"""
FORMS = (".html", ".md", ".sarif", ".junit.xml", ".csv", ".jsonl", ".json", ".txt")


@pytest.fixture(scope="module")
def made() -> Report:
    """Return what is said after a list was pasted without one VLAN."""
    after = BEFORE.replace("port ACC-1:1 member=20,310,320", "port ACC-1:1 member=20,310")
    return report(after, BEFORE, site="Ferry office, rear closet")


@pytest.mark.parametrize("ending", FORMS)
def test_a_form_is_as_it_was_last_looked_at(made: Report, ending: str) -> None:
    file = SNAPSHOTS / f"ferry-office{ending}"
    data = document(made, ending)
    if os.environ.get("VLANCHECK_WRITE_SNAPSHOTS") == "1":
        file.parent.mkdir(exist_ok=True)
        file.write_bytes(data)
    assert data.decode() == file.read_bytes().decode()


def test_no_snapshot_is_left_over() -> None:
    assert {path.name for path in SNAPSHOTS.iterdir()} == {f"ferry-office{ending}" for ending in FORMS}
