"""A configuration that was cut proves no VLAN absent: each fixture is read up to each of its lines."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from dialects.expected import FIXTURES
from vlancheck import vids
from vlancheck.capture import Section, load
from vlancheck.errors import VlancheckError
from vlancheck.evidence import Kind
from vlancheck.reader import dialect_names, load_dialect, read
from vlancheck.reader.reading import source_of

# Families whose configuration has no last line of its own and goes on with VLANs after the first ports or VLANs.
NO_END = {
    "dell_os10": "VLAN interfaces, before its ports",
    "dlink_ds": "a list of commands",
    "hp_procurve": "VLANs stand at its end",
    "juniper_junos": "VLANs stand at its end",
}


def configurations(family: str) -> Iterator[Section]:
    """Yield the configurations among the fixtures of a family."""
    for file in sorted((FIXTURES / family).glob("*.txt")):
        try:
            sections = load([file], root=FIXTURES)
        except VlancheckError:
            continue
        for section in sections:
            source = source_of(load_dialect(family), section) if section.lines else None
            if source is not None and source.evidence is Kind.LINE and not source.parts:
                yield section


def lost(family: str, section: Section) -> list[str]:
    """Return the cuts by which a VLAN that the whole text makes is surely not there."""
    whole = exists(family, section)
    found = []
    for number in range(1, len(section.lines)):
        there = exists(family, replace(section, lines=section.lines[:number]))
        for key in whole.keys() & there.keys():
            if gone := whole[key][0] & ~there[key][1] & vids.WIRE:
                found.append(f"{section.file}:{section.lines[number - 1].number}: no VLAN {vids.text(gone)}")
    return found


def exists(family: str, section: Section) -> dict[tuple[str, str], tuple[int, int]]:
    """Return the VLANs that surely and perhaps exist, for each bridge of each device."""
    try:
        devices = read([section], names={section.file: "X"}, dialects={"X": family}).devices
    except VlancheckError:
        return {}
    bridges = ((box.name, name, bridge.exists) for box in devices for name, bridge in box.bridges.items())
    return {(box, name): (cover.sure, cover.possible) for box, name, cover in bridges}


@pytest.mark.parametrize("family", [name for name in dialect_names() if name not in NO_END])
def test_a_cut_configuration_proves_no_vlan_absent(family: str) -> None:
    """What is not in the text may stand in what was not captured."""
    assert [cut for section in configurations(family) for cut in lost(family, section)] == []


@pytest.mark.parametrize("family", NO_END)
def test_a_family_without_a_last_line_is_still_one(family: str) -> None:
    """The list above holds no family of which a cut text is told from a whole one."""
    assert any(lost(family, section) for section in configurations(family))


def test_the_last_line_makes_a_configuration_whole() -> None:
    """With it, a VLAN that no line makes is surely absent: `end` and `return` are printed last (from memory)."""
    for family, stem in (("dell_os9", "loft-tor"), ("ruckus_fastiron", "larder"), ("hp_comware", "larder")):
        section = next(one for one in configurations(family) if one.file.endswith(f"{family}/{stem}.txt"))
        for _, possible in exists(family, section).values():
            assert possible > 0, family
            assert not possible >> 999 & 1, family
