"""What is written in a family's phrases is read back as what was wished, and its undo gives back what was."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vlancheck.reader.signs import bridge_port_sign, port_sign
from vlancheck.writer import edit, plan_of
from writer.boxes import FAMILIES, plain_box, wishes


def test_every_family_with_phrases_has_a_box() -> None:
    """None is left out of the properties below."""
    assert {"cisco_ios", "hp_procurve"} <= set(FAMILIES)
    for family in FAMILIES:
        gathered, name = plain_box(family)
        assert len(gathered.device(name).bridge_ports) >= 4, family
        assert not gathered.missed, family


@pytest.mark.parametrize("family", FAMILIES)
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_what_is_written_is_read_back_and_its_undo_gives_back_what_was(family: str, data: st.DataObject) -> None:
    """Random plans of random ports, two after another, and both taken back."""
    gathered, name = plain_box(family)
    before = gathered.device(name)
    ports = [port.port for port in before.bridge_ports.values()]
    wish = data.draw(wishes(family, ports))
    first = edit(gathered, name, wish)
    for plan in wish.ports:
        found = plan_of(first.after, plan.port)
        assert (found.untagged, found.tagged) == (plan.untagged, plan.tagged)
        assert plan.up in (None, found.up)
    planned = {plan.port for plan in wish.ports}
    for key, other in before.bridge_ports.items():
        if other.port not in planned:
            assert bridge_port_sign(first.after.bridge_ports[key]) == bridge_port_sign(other)
            assert port_sign(first.after.ports[other.port]) == port_sign(before.ports[other.port])
    assert first.exact
    second = edit(first.facts, name, data.draw(wishes(family, ports)))
    assert second.exact
