"""A state that was shown proves nothing of a port's VLANs: each output of each fixture is read without the others.

A link, power, a neighbour or an address says that a port is there.  What it does with frames rests on lines that say
so; without one the port is in doubt, and no interface is taken for one that ends frames.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from dialects.expected import FIXTURES
from vlancheck.capture import Section, load
from vlancheck.dot1q.model import BridgePort, PortKind
from vlancheck.errors import VlancheckError
from vlancheck.evidence import Kind
from vlancheck.reader import dialect_names, load_dialect, read
from vlancheck.reader.reading import source_of


def outputs() -> Iterator[tuple[str, Path, Section]]:
    """Yield each captured output of each fixture that shows what was, not what the box is told to do."""
    for family in dialect_names():
        for file in sorted((FIXTURES / family).glob("*.*")):
            if file.suffix == ".yaml":
                continue
            try:
                sections = load([file], root=FIXTURES)
            except VlancheckError:
                continue
            for section in sections:
                source = source_of(load_dialect(family), section)
                if section.command and source is not None and source.evidence is not Kind.LINE:
                    yield family, file, section


ALL = list(outputs())
ROUTED = {"show interfaces switchport": {"GigabitEthernet0/3"}}  # there it says `Switchport: Disabled`


def rests_on_a_line(port: BridgePort) -> bool:
    """Tell whether a line that was captured says which VLAN untagged frames are in, or which leave."""
    covers = (port.member, port.admit)
    found = [*port.pvid.origins, *(one for cover in covers for _, _, by in cover.parts for one in by)]
    return any(one.file for one in found)


@pytest.mark.parametrize(
    ("family", "file", "section"), ALL, ids=[f"{one[0]}-{one[1].stem}-{one[2].command[:40]}" for one in ALL]
)
def test_what_was_shown_alone_proves_no_vlan(family: str, file: Path, section: Section) -> None:
    """Every port is in doubt, or a line of this output says what it carries."""
    for box in read([section], names={section.file: "X"}, dialects={"X": family}).devices:
        for name, port in box.bridge_ports.items():
            inside = box.ports[port.port].kind is PortKind.INSIDE
            assert inside or port.doubt or rests_on_a_line(port), f"{name} is taken for certain"
        proven = {end.name for end in box.ends.values() if end.up.value is True and not end.address}
        assert proven <= ROUTED.get(section.command, set()), "an interface of which nothing but its state was shown"


def test_there_are_outputs_to_read() -> None:
    assert len(ALL) > 60
    assert len({family for family, _, _ in ALL}) > 12
