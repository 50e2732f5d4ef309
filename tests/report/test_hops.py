"""The way of an order in a line: boxes, tags that change, and where it dies, leaks or is not proven."""

from __future__ import annotations

import pytest

from vlancheck.report.hops import Mark, Told, short, told

from .sites import EVERY_STATE, report

CHAIN = """
bridge SORT-1 exists=30,310
port SORT-1:Gi0/1 member=310
port SORT-1:Gi0/2 member=310
bridge CORE-1 exists=30,310
port CORE-1:GigabitEthernet1/0/1 member=310
port CORE-1:GigabitEthernet1/0/5 pvid=310 member=310 untagged=310
link SORT-1:Gi0/2 CORE-1:GigabitEthernet1/0/1
handoff SORT-1:Gi0/1
service line 310 at SORT-1:Gi0/1 -> CORE-1:GigabitEthernet1/0/5 untagged
"""
SIXTH = "port CORE-1:GigabitEthernet1/0/6 pvid=310 member=310 untagged=310\n"
TWO = CHAIN.replace("1/0/5 untagged\n", "1/0/5 untagged, CORE-1:GigabitEthernet1/0/6 untagged\n") + SIXTH
UNSEEN = "unseen CORE-1:GigabitEthernet1/0/6\n"
DIES = "port CORE-1:GigabitEthernet1/0/1 member=30"
WHOLE = "port CORE-1:GigabitEthernet1/0/1 member=310"
CASES = {
    "carried": (CHAIN, "SORT-1 > CORE-1"),
    "carried to two": (TWO, "SORT-1 > CORE-1; 2 places"),
    "dies on the way": (CHAIN.replace(WHOLE, DIES), "SORT-1 x dies at CORE-1:Gi1/0/1, short of CORE-1:Gi1/0/5"),
    "dies in the box it is in": (
        CHAIN.replace("Gi0/2 member=310", "Gi0/2 member=30"),
        "SORT-1 x dies at its Gi0/2, short of CORE-1:Gi1/0/5",
    ),
    "dies at one of two": (
        TWO.replace("1/0/6 pvid=310 member=310 untagged=310", "1/0/6 pvid=310 member=30 untagged=30"),
        "SORT-1 > CORE-1 x dies at its Gi1/0/6, short of CORE-1:Gi1/0/6; 1 dropped, 1 carried",
    ),
    "dies on the way back": (
        CHAIN.replace("1/0/5 pvid=310 member=310", "1/0/5 pvid=30 member=310"),
        "SORT-1 > CORE-1 x dies at CORE-1:Gi1/0/1 on the way back from CORE-1:Gi1/0/5",
    ),
    "arrives in other tags": (
        CHAIN.replace("1/0/5 pvid=310 member=310 untagged=310", "1/0/5 member=310"),
        "SORT-1 > CORE-1 # arrives as 310 at CORE-1:Gi1/0/5",
    ),
    "not proven": (
        CHAIN.replace("1/0/5 pvid", "1/0/5 doubt=yes pvid"),
        "SORT-1 ? unproven from CORE-1:Gi1/0/5",
    ),
    "leaks": (
        CHAIN + SIXTH + "port SORT-1:Gi0/9 pvid=310 member=310 untagged=310\n",
        "SORT-1 > CORE-1 ! leaks to CORE-1:Gi1/0/6 and 1 more",
    ),
    "may leak": (CHAIN + SIXTH + UNSEEN, "SORT-1 > CORE-1 ? may leak to CORE-1:Gi1/0/6"),
}


@pytest.mark.parametrize("name", CASES)
def test_an_order_in_a_line(name: str) -> None:
    """The way, the mark with its place, and the counts where there is more than one ending."""
    text, words = CASES[name]
    made = report(text)
    assert told(made.verdicts[0], made.devices).words == words


def test_every_state_has_its_mark() -> None:
    """A leak to what somebody owns stands before what dies."""
    made = report(EVERY_STATE)
    lines = {one.order.name: told(one, made.devices) for one in made.verdicts}
    assert lines["dropped"].marks[0].said == "! leaks to SORT-1:2 (service lab)"
    assert lines["dropped"].marks[1].said == "x dies at its 1"
    assert lines["mismatched"].marks[0].said == "# arrives as 330"
    assert lines["unproven"].marks[0].said == "? unproven from SORT-1:5"
    assert lines["exposed"].marks[0].said == "! leaks to SORT-1:Vlan350 (interface)"
    assert lines["lab"].marks[0].said == "! leaks to SORT-1:2 (hears SORT-1:1)"


def test_a_tag_that_changes_is_on_its_arrow() -> None:
    """Of a service every change, of a VLAN only another tag than its own."""
    text = CHAIN.replace(
        "member=310\nport SORT-1:Gi0/2 member=310", "member=310\nport SORT-1:Gi0/2 pvid=310 untagged=310 member=310"
    )
    text = text.replace(WHOLE, "port CORE-1:GigabitEthernet1/0/1 pvid=310 member=310 untagged=310")
    made = report(text)
    assert told(made.verdicts[0], made.devices).words == "SORT-1 =untagged> CORE-1"
    vlan = text[: text.index("service")] + "vlan 310 -> SORT-1:Gi0/1 310, CORE-1:GigabitEthernet1/0/5 untagged\n"
    made = report(vlan)
    assert "=" not in told(made.verdicts[0], made.devices).words


def test_a_line_that_is_too_long_loses_its_way_before_its_mark() -> None:
    hops = ("HL-2207", "> SORT-1", "> CORE-1", "> ACC-9")
    one = Told(hops, (Mark("x dies at its 9", ", short of PANEL-B:08", "x dies at ACC-9:9"),), "1 dropped, 2 carried")
    assert (
        one.brief(99) == "HL-2207 > SORT-1 > CORE-1 > ACC-9 x dies at its 9, short of PANEL-B:08; 1 dropped, 2 carried"
    )
    assert one.brief(76) == "HL-2207 > SORT-1 > CORE-1 > ACC-9 x dies at its 9, short of PANEL-B:08"
    assert one.brief(50) == "HL-2207 > SORT-1 > CORE-1 > ACC-9 x dies at its 9"
    assert one.brief(45) == "HL-2207 > 2 hops > ACC-9 x dies at its 9"
    assert one.brief(38) == "HL-2207 > 3 hops x dies at its 9"
    assert one.brief(20) == "x dies at ACC-9:9, short of PANEL-B:08", "the box is named where the way is not shown"


def test_a_short_name_is_one_that_the_program_takes() -> None:
    """Where it would mean another port, the whole name stays."""
    devices = report(CHAIN + "bridge X exists=1\nport X:GigabitEthernet0/1 pvid=1\nport X:Gigantic0/1 pvid=1\n").devices
    assert short("CORE-1:GigabitEthernet1/0/5", devices) == "CORE-1:Gi1/0/5"
    assert short("SORT-1:Gi0/1", devices) == "SORT-1:Gi0/1"
    assert short("X:GigabitEthernet0/1", devices) == "X:GigabitEthernet0/1"
    assert short("PANEL-A:07", devices) == "PANEL-A:07"
    assert short("X:GigabitEthernet7/7", devices) == "X:GigabitEthernet7/7"
