"""Power over the cords: what a box has, what its ports are to give, and lines that turn it off."""

from pathlib import Path

import pytest

from checks.edge_sites import audited, of, site, verified
from checks.planting import found, planted, told
from vlancheck.checks import run
from vlancheck.findings.finding import Finding
from vlancheck.notation import parse
from vlancheck.notation.judged import case

CLEAN = """
bridge old exists=10
setting old power-budget=740.0
port old:1 pvid=10 member=10 untagged=10
port old:2 pvid=10 member=10 untagged=10
port old:3 pvid=10 member=10 untagged=10
set old:1 power-drawn="on 15.4 W"
set old:2 power-drawn="on 15.4 W"
set old:3 power-drawn="off 0.0 W"
bridge new exists=10
setting new power-budget=40.0
port new:1 pvid=10 member=10 untagged=10
port new:2 pvid=10 member=10 untagged=10
port new:3 pvid=10 member=10 untagged=10
set new:1 power-drawn="off 0.0 W"
set new:2 power-drawn="off 0.0 W"
set new:3 power-drawn="on 6.3 W"
serves old:1 camera yard
serves old:2 camera gate
serves new:3 phone 211
empty old:3
empty new:1
empty new:2
"""
MOVED = (
    ("serves old:1 camera yard", "serves new:1 camera yard"),
    ("serves old:2 camera gate", "serves new:2 camera gate"),
    ("empty new:1", "empty old:1"),
    ("empty new:2", "empty old:2"),
)


def compared(before: str, after: str) -> list[Finding]:
    """Return the findings about a survey after another."""
    return [one for one in run(case(parse(after), parse(before))) if one.code == "P110"]


@pytest.mark.parametrize(("budget", "expected"), [("40.0", 0), ("37.1", 0), ("37.0", 1), ("30.0", 1)])
def test_what_is_moved_to_a_box_is_held_against_what_it_has(budget: str, expected: int) -> None:
    assert told(CLEAN) == []
    after = planted(CLEAN, *MOVED, ("setting new power-budget=40.0", f"setting new power-budget={budget}"))
    made = compared(CLEAN, after)
    assert [one.at for one in made] == [{"new"}] * expected
    for one in made:
        assert f"new has {float(budget):g} W for its ports, and 3 devices draw 37.1 W" in one.headline
        assert {"old:1", "old:2", "new:3"} <= {where.place for where in one.where}


def test_what_left_a_box_draws_nothing_there_any_more() -> None:
    less = ("setting old power-budget=740.0", "setting old power-budget=20.0")
    assert [one.at for one in found(planted(CLEAN, less)) if one.code == "P110"] == [{"old"}]
    assert compared(planted(CLEAN, less), planted(CLEAN, less, *MOVED)) == []


def test_without_a_shown_budget_nothing_is_said() -> None:
    assert compared(CLEAN, planted(CLEAN, *MOVED, ("setting new power-budget=40.0", "setting new model=x"))) == []


@pytest.mark.parametrize("state", ["power-deny", "faulty", "police"])
def test_ports_that_get_none(state: str) -> None:
    text = planted(CLEAN, ('set new:3 power-drawn="on 6.3 W"', f'set new:3 power-drawn="{state} 0.0 W"'))
    (one,) = found(text)
    assert (one.code, one.at, one.severity.value) == ("P110", {"new:3"}, "warning")


def test_several_ports_that_get_none_are_one_finding() -> None:
    ports = [f'port new:{n} member=10\nset new:{n} power-drawn="power-deny 0.0 W"' for n in range(11, 17)]
    (one,) = found("\n".join([CLEAN, *ports]))
    assert (len(one.at), "and 2 more" in one.headline) == (6, True)


OFF = ('set new:3 power-drawn="on 6.3 W"', "set new:3 power=off")


def test_lines_that_turn_power_off() -> None:
    assert [one.severity.value for one in found(planted(CLEAN, OFF))] == ["note"]
    assert [one.severity.value for one in compared(CLEAN, planted(CLEAN, OFF))] == ["warning"]
    assert compared(planted(CLEAN, OFF), planted(CLEAN, OFF)) == [], "as before"
    assert told(planted(CLEAN, OFF, ("serves new:3 phone 211", "serves new:3 printer"))) == []
    assert told(planted(CLEAN, (OFF[0], "set new:3 power=auto"))) == []


IOS = """\
LOFT-3#show running-config
version 15.2
hostname LOFT-3
vtp mode transparent
vlan 10
interface GigabitEthernet1/0/1
 switchport access vlan 10
 switchport mode access
interface GigabitEthernet1/0/2
 switchport access vlan 10
 switchport mode access
end
LOFT-3#show power inline
Available:{}(w)  Used:15.4(w)  Remaining:354.6(w)

Interface Admin  Oper       Power   Device              Class Max
                            (Watts)
--------- ------ ---------- ------- ------------------- ----- ----
Gi1/0/1   auto   on         15.4    Ieee PD             3     30.0
Gi1/0/2   auto   {}
LOFT-3#
"""
STACK = """\
Module   Available     Used     Remaining
          (Watts)     (Watts)    (Watts)
------   ---------   --------   ---------
1           {}       30.8        39.2
2           740.0        0.0       740.0"""
GOOD = IOS.format("370.0", "on         15.4    Ieee PD             3     30.0")
CORDS = "from,to,serves\nPANEL-A:01,LOFT-3:Gi1/0/1,camera yard\nPANEL-A:02,LOFT-3:Gi1/0/2,camera gate\n"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (IOS.format("30.0", "on         15.4    Ieee PD             3     30.0"), "has 30 W for its ports"),
        (IOS.format("370.0", "power-deny 0.0     Ieee PD             3     30.0"), "1/0/2 (denied)"),
        (IOS.format("370.0", "faulty     0.0     n/a                 n/a   30.0"), "1/0/2 (faulty)"),
        (GOOD.replace("1/0/2\n switchport", "1/0/2\n power inline never\n switchport"), "power is turned off"),
    ],
)
def test_ios_texts(tmp_path: Path, text: str, says: str) -> None:
    cords = dict.fromkeys(("as-found", "as-left"), CORDS)
    root = site(tmp_path, {"as-found/LOFT-3.txt": GOOD, "as-left/LOFT-3.txt": text}, cords=cords)
    assert of("P110", audited(root)) == []
    (one,) = of("P110", verified(root))
    assert (one.severity.value, says in one.headline) == ("warning", True)


@pytest.mark.parametrize(("budget", "expected"), [("40.0", 0), ("30.0", 1)])
def test_units_of_a_stack_have_a_budget_each(tmp_path: Path, budget: str, expected: int) -> None:
    head = next(line for line in GOOD.splitlines() if line.startswith("Available"))
    text = GOOD.replace(head, STACK.format(budget))
    made = of("P110", audited(site(tmp_path, {"as-found/LOFT-3.txt": text}, cords={"as-found": CORDS})))
    assert len(made) == expected
    assert all("unit 1 of LOFT-3 has 30 W" in one.headline for one in made)
