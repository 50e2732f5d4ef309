"""Faults planted in the text of six families: one finding each, at its place, and what is proposed mends it."""

from __future__ import annotations

from pathlib import Path

import pytest

from vlancheck import open_site
from vlancheck.checks import checks
from vlancheck.reader.signs import port_signs
from vlancheck.report import mends

from .closet import FAMILIES, bundle, cell, elsewhere, family, faults, planted, ring, written

PLANTED = [(fault, name) for fault in faults() for name in FAMILIES if cell(fault, name).edits]


@pytest.mark.parametrize("uplinks", ["one", "ring", "bundle"])
@pytest.mark.parametrize("name", FAMILIES)
def test_a_clean_closet_has_no_finding(name: str, uplinks: str, tmp_path: Path) -> None:
    """Nothing is found where nothing is planted, and nothing is proposed."""
    edits = {"one": (), "ring": ring(name), "bundle": bundle(name)}[uplinks]
    site = written(tmp_path, planted(name, edits))
    report = site.audit()
    assert (report.findings, report.notes, report.verdict, report.exit_code) == ((), (), "clean", 0)
    assert site.mend().mends == ()


@pytest.mark.parametrize(("fault", "name"), PLANTED)
def test_a_planted_fault_is_one_finding_at_its_place(fault: str, name: str, tmp_path: Path) -> None:
    """Nothing else is a cause: all that goes wrong is listed as an effect of that finding."""
    wanted = cell(fault, name)
    report = wanted.report(written(tmp_path, planted(name, wanted.edits)))
    assert {(one.code, one.at or frozenset(one.places)) for one in report.findings} == set(wanted.found)
    assert len(report.findings) == len(wanted.found)


@pytest.mark.parametrize(("fault", "name"), PLANTED)
def test_what_is_proposed_mends_it(fault: str, name: str, tmp_path: Path) -> None:
    """The lines, typed at the box, make the audit clean; taken back, they leave every port what it was."""
    wanted = cell(fault, name)
    site = written(tmp_path, planted(name, wanted.edits))
    before = {box.name: port_signs(box) for box in site.survey("as-found").reading.devices}
    found = site.mend()
    if wanted.mend in ("left", "nothing", "unpasted"):
        assert (wanted.mend == "left") == bool(found.unmended)
        assert found.unmended or not found.mends
        return
    assert found.mends
    assert found.unmended == ()
    for file, data in mends.files(found).items():
        if not file.startswith("undo-"):
            (tmp_path / "edits" / file).write_bytes(data)
    report = open_site(tmp_path).audit("as-planned")
    assert (report.verdict, report.exit_code) == ("clean", 0)
    steps = [step for mend in found.mends for step in mend.steps]
    assert all(step.lines for step in steps)
    if wanted.mend == "forward":
        assert not all(step.exact for step in steps)
        return
    assert all(step.exact for step in steps)
    for device in {step.device for step in steps}:
        own = [step for step in steps if step.device == device]
        lines = [line for step in own for line in step.lines] + [line for step in reversed(own) for line in step.undo]
        (tmp_path / f"edits/{device}.txt").write_text("\n".join([*lines, ""]), encoding="utf-8")
    planned = open_site(tmp_path).survey("as-planned").reading.devices
    assert {box.name: port_signs(box) for box in planned} == before


def test_every_fault_has_a_cell_in_every_family() -> None:
    """A fault that a family does not have says why, and a family has none that the table does not know."""
    for name in FAMILIES:
        assert set(family(name)["faults"]) <= set(faults())
        assert all(cell(fault, name).edits or cell(fault, name).why for fault in faults())


def test_every_check_is_planted_or_says_why_not() -> None:
    """No check is left out of the matrix, and none is told of twice."""
    codes = {row["code"] for row in faults().values()}
    assert codes | set(elsewhere()) == {check.code for check in checks()}
    assert codes.isdisjoint(elsewhere())
