"""Each fixture of each family is known as its own family by its text alone, with no dialect named anywhere."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from dialects.expected import FIXTURES, read_fixture
from vlancheck.capture import Section, load
from vlancheck.errors import VlancheckError
from vlancheck.reader import dialect_names, load_dialect, read
from vlancheck.reader.reading import source_of

CASES = [(family, file) for family in dialect_names() for file in sorted((FIXTURES / family).glob("*.txt"))]


@pytest.mark.parametrize(("family", "file"), CASES, ids=[f"{family}-{file.stem}" for family, file in CASES])
def test_a_fixture_is_its_own_family(family: str, file: Path) -> None:
    """Every box of the file is of the family whose folder the file is in."""
    assert {box.dialect for box in read_fixture(file).devices} == {family}


# Outputs that say nothing by which their family could be told from the one they are taken for, where they are alone.
ALIKE = {
    ("arista_eos", "show mac address-table", "cisco_ios"),
    ("cisco_nxos", "show vlan brief", "cisco_ios"),
    ("dell_os9", "show running-config interface TenGigabitEthernet 0/1", "cisco_ios"),
    ("huawei_vrp", "display vlan", "hp_comware"),
}


def outputs() -> Iterator[tuple[str, Section]]:
    """Yield each output of each fixture that its family reads."""
    for family in dialect_names():
        for file in sorted((FIXTURES / family).glob("*.*")):
            try:
                sections = [] if file.suffix == ".yaml" else load([file], root=FIXTURES)
            except VlancheckError:
                continue
            yield from ((family, one) for one in sections if one.lines and source_of(load_dialect(family), one))


def test_an_output_alone_is_taken_for_no_other_family() -> None:
    """A heading that several families print is no sign of one of them; an output without a sign is of none."""
    own, other = 0, set()
    for family, section in outputs():
        for box in read([section]).devices:
            if box.dialect == family:
                own += 1
            else:
                other.add((family, section.command, box.dialect))
    assert other == ALIKE
    assert own > 200
