"""Single situations, in the notation: each cause, what may be instead of it, and what must not be told."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from vlancheck.notation import parse
from vlancheck.notation.judged import case
from vlancheck.reconciliation.moved import MoveCause, MoveKind, Proof, Reconciled, Sureness

PORTS = "\n".join(
    ["bridge ACC-1 exists=10,20", "port ACC-1:49 member=10,20"]
    + [
        f"port ACC-1:{port} pvid={vid} member={vid} untagged={vid}"
        for port in range(1, 9)
        for vid in [10 + port // 7 * 10]
    ]
)
SERVES = "\n".join(f"serves ACC-1:{port} desk {port}" for port in range(1, 7))


def mac(number: int) -> str:
    return f"02:00:5e:00:00:{number:02x}"


def hears(**seen: str) -> str:
    """Return lines; `p3="3 4"` says that port 3 hears addresses 3 and 4."""
    return "\n".join(
        f"hears ACC-1:{port[1:]} {' '.join(mac(int(one)) for one in macs.split())}" for port, macs in seen.items()
    )


ALL = hears(p1="1", p2="2", p3="3", p4="4", p5="5", p6="6 16")


def reconciled(before: str, after: str, serves: str = SERVES, *, ports: str = PORTS) -> Reconciled:
    """Return what the evidence of two texts says."""
    found = case(parse(f"{ports}\n{serves}\n{after}"), parse(f"{ports}\n{SERVES}\n{before}", file="before")).moves
    assert found is not None
    return found


def told(found: Reconciled) -> list[tuple[MoveKind, tuple[str, ...]]]:
    return [(cause.kind, cause.at) for cause in found.causes]


def only(found: Reconciled, kind: MoveKind) -> MoveCause:
    """Return the one cause of a kind."""
    (cause,) = [cause for cause in found.causes if cause.kind is kind]
    return cause


def test_a_cord_in_a_free_port_of_another_vlan_is_to_be_moved_back() -> None:
    """Port 7 is in another VLAN: harmful, proved by the one address."""
    cause = only(reconciled(ALL, hears(p1="1", p2="2", p3="3", p4="4", p7="5", p6="6 16")), MoveKind.WRONG)

    assert (cause.at, cause.ports, cause.planned) == (("desk 5",), ("ACC-1:7",), ("ACC-1:5",))
    assert (cause.harmful, cause.sure, cause.instead) == (True, Sureness.ONE, ())
    assert [(place, origin.text) for place, origin in cause.before] == [("desk 5", f"hears ACC-1:5 {mac(5)}")]
    assert [(place, origin.text) for place, origin in cause.after] == [("ACC-1:7", f"hears ACC-1:7 {mac(5)}")]


def test_a_cord_in_the_port_of_a_silent_one_may_be_an_exchange() -> None:
    """Of desk 5 nothing is seen: it may be in the other port, out, or where it was with somebody else's device."""
    found = reconciled(ALL, hears(p1="1", p2="2", p3="3", p5="4", p6="6 16"))

    assert only(found, MoveKind.WRONG).instead == (MoveKind.SWAP, MoveKind.CARRIED)
    assert only(found, MoveKind.SILENT).at == ("desk 5",)


def test_life_at_the_port_it_left_makes_it_an_exchange() -> None:
    found = reconciled(ALL, hears(p1="1", p2="2", p3="3", p5="4", p4="99", p6="6 16"))

    cause = only(found, MoveKind.SWAP)
    assert (cause.at, cause.sure) == (("desk 4", "desk 5"), Sureness.CONSISTENT)
    assert MoveKind.WRONG in cause.instead


def test_two_of_a_circle_of_three_are_one_cause() -> None:
    """1 in the port of 3, 3 in that of 6, and nothing of 6: one circle explains what two wrong cords would."""
    found = reconciled(ALL, hears(p3="1", p2="2", p6="3", p4="4", p5="5"))

    assert only(found, MoveKind.CYCLE).at == ("desk 1", "desk 3", "desk 6")
    assert len(found.to_mend) == 1


def test_rows_that_are_exchanged_are_one_cause() -> None:
    """Ports 1 to 3 and 4 to 6."""
    found = reconciled(ALL, hears(p4="1", p5="2", p6="3", p1="4", p2="5", p3="6 16"))

    assert [cause.kind for cause in found.to_mend] == [MoveKind.ROW]
    assert set(only(found, MoveKind.ROW).at) == {f"desk {port}" for port in range(1, 7)}


def test_a_row_of_another_switch_is_one_cause() -> None:
    ports = f"{PORTS}\n{PORTS.replace('ACC-1', 'ACC-2')}"
    after = hears(p1="1", p2="2", p6="6 16") + "\n" + hears(p3="3", p4="4", p5="5").replace("ACC-1", "ACC-2")
    cause = only(reconciled(ALL, after, ports=ports), MoveKind.ROW)

    assert cause.at == ("desk 3", "desk 4", "desk 5")
    assert "ACC-2:3" in cause.words


def test_two_cords_one_off_are_no_row() -> None:
    """They are seen, and so are their neighbours: two cords, two causes."""
    found = reconciled(
        hears(p1="1", p2="2", p3="3", p5="5", p6="6 16"),
        hears(p1="1", p2="2", p4="3", p6="6 16", p7="5"),
        serves="\n".join(line for line in SERVES.splitlines() if "ACC-1:4" not in line),
    )

    assert told(found) == [(MoveKind.WRONG, ("desk 3",)), (MoveKind.WRONG, ("desk 5",))]


def test_a_computer_at_another_desk_is_no_cord() -> None:
    """One of two addresses went, or one goes where somebody else's is as well."""
    one_of_two = reconciled(ALL, hears(p1="1", p2="2", p3="3", p4="4 16", p5="5", p6="6"))
    visitor = reconciled(ALL, hears(p1="1", p2="2", p3="3 4", p5="5", p6="6 16"))

    for found, name in ((one_of_two, "desk 6"), (visitor, "desk 4")):
        assert found.to_mend == ()
        assert only(found, MoveKind.CARRIED).at == (name,)
    assert only(visitor, MoveKind.CARRIED).instead == (MoveKind.SHARED,)


def test_a_cord_that_should_be_out_is_told() -> None:
    """The later sheet has no row for desk 5, and its address is still there."""
    found = reconciled(ALL, ALL, serves="\n".join(SERVES.splitlines()[:4] + SERVES.splitlines()[5:]))

    assert told(found) == [(MoveKind.LEFT, ("desk 5",))]
    assert "still in ACC-1:5" in found.causes[0].words


def test_what_many_ports_show_tells_nothing() -> None:
    """Of groups and of routers together, at two ports before, or at an uplink."""
    groups = "01:00:5e:00:00:fb 33:33:00:00:00:01 00:00:5e:00:01:0a"
    before = f"{ALL}\nhears ACC-1:1 {groups} {mac(50)}\nhears ACC-1:2 {mac(50)}"
    after = f"{ALL}\nhears ACC-1:8 {groups} {mac(50)}"

    assert told(reconciled(before, after)) == []


def test_a_port_with_much_of_several_jacks_leads_on() -> None:
    """No row says so, and no neighbour: what three desks had is behind it, so it is an uplink."""
    found = reconciled(ALL, hears(p8="1 2 3 4 5 6 16"))

    assert found.to_mend == ()


def test_stations_of_radio_cells_come_and_go() -> None:
    """Behind access points only a neighbour's name tells a cord."""
    cells = "serves ACC-1:1 access point hall\nserves ACC-1:2 access point yard"
    names = "hears ACC-1:1 neighbour=ap-1\nhears ACC-1:2 neighbour=ap-2"
    before = case(parse(f"{PORTS}\n{cells}\n{hears(p1='1 2', p2='3')}\n{names}"))
    assert before.moves is None

    def of(after: str) -> Reconciled:
        found = case(
            parse(f"{PORTS}\n{cells}\n{after}"), parse(f"{PORTS}\n{cells}\n{hears(p1='1 2', p2='3')}\n{names}")
        ).moves
        assert found is not None
        return found

    assert of(hears(p2="1 2", p1="3")).to_mend == ()
    swapped = names.replace("ap-1", "ap-0").replace("ap-2", "ap-1").replace("ap-0", "ap-2")
    assert [cause.kind for cause in of(swapped).to_mend] == [MoveKind.SWAP]


def test_newcomers_are_told_where_there_was_a_table_before() -> None:
    found = reconciled(ALL, f"{ALL}\n{hears(p7='77')}")
    assert told(found) == [(MoveKind.NEW, ("ACC-1:7",))]
    assert told(reconciled("", hears(p7="77"))) == [(MoveKind.SILENT, tuple(f"desk {n}" for n in range(1, 7)))]


def test_newcomers_are_told_when_the_core_sees_them_at_its_uplink_too() -> None:
    """Every table on the way to an access port shows the address; only the access port tells where it is."""
    core = "bridge CORE-1 exists=10,20\nport CORE-1:1 member=10,20\nlink CORE-1:1 ACC-1:49"
    core += f"\nhears CORE-1:1 neighbour=ACC-1 port=49\nhears CORE-1:1 {mac(1)}"
    found = reconciled(f"{core}\n{ALL}", f"{core} {mac(77)}\n{ALL}\n{hears(p7='77')}")
    assert told(found) == [(MoveKind.NEW, ("ACC-1:7",))]


def test_states_of_rows() -> None:
    """Known and seen there: proved; something else or a link there: inferred; nothing, or elsewhere: unproven."""
    linked = PORTS.replace("port ACC-1:3 ", "port ACC-1:3 link=yes ")
    found = reconciled(ALL, hears(p1="1", p2="99", p5="4"), ports=linked)

    states = {jack.at: (jack.state, jack.elsewhere) for jack in found.jacks}
    assert states == {
        "desk 1": (Proof.PROVED, ()),
        "desk 2": (Proof.INFERRED, ()),
        "desk 3": (Proof.INFERRED, ()),
        "desk 4": (Proof.UNPROVEN, ("ACC-1:5",)),
        "desk 5": (Proof.UNPROVEN, ()),
        "desk 6": (Proof.UNPROVEN, ()),
    }
    proof = {jack.at: [origin.text for origin in jack.origins] for jack in found.jacks}
    assert proof["desk 1"] == [f"hears ACC-1:1 {mac(1)}"] * 2
    assert proof["desk 6"] == []


def test_nothing_is_proved_by_stale_captures() -> None:
    found = reconciled(ALL, f"{hears(p2='1')}\nstale ACC-1 the same file")

    assert told(found) == []
    assert {jack.state for jack in found.jacks} == {Proof.UNPROVEN}


UPLINKS = """
port CORE-1:1 member=10
port CORE-1:2 member=10
port CORE-1:3 member=20
port ACC-1:49 member=10
port ACC-2:49 member=10
"""
CORDS = "link CORE-1:1 ACC-1:49\nlink CORE-1:2 ACC-2:49\n"


@pytest.mark.parametrize(
    ("heard", "kind", "sure", "harmful"),
    [
        ("hears CORE-1:1 neighbour=ACC-1 port=49", None, None, None),
        ("hears CORE-1:1 neighbour=acc-1.example.net port=49", None, None, None),
        ("hears CORE-1:1 neighbour=ACC-2 port=49", MoveKind.UPLINKS, Sureness.CONSISTENT, None),
        (
            "hears CORE-1:1 neighbour=ACC-2 port=49\nhears CORE-1:2 neighbour=ACC-1 port=49",
            MoveKind.UPLINKS,
            Sureness.SEVERAL,
            False,
        ),
        ("hears CORE-1:3 neighbour=ACC-2 port=49", MoveKind.UPLINK, Sureness.ONE, True),
        ("hears CORE-1:1 neighbour=ACC-2 port=7", None, None, None),
        (
            "hears CORE-1:1 neighbour=ACC-1 port=49\nhears CORE-1:1 neighbour=ACC-2 port=49",
            None,
            None,
            None,
        ),
    ],
)
def test_uplinks_are_held_against_the_sheet(
    heard: str, kind: MoveKind | None, sure: Sureness | None, harmful: bool | None
) -> None:
    """A port that is not the neighbour's is nothing; several neighbours at one port are beyond something."""
    found = case(parse(UPLINKS + CORDS + heard), parse(UPLINKS + CORDS)).moves
    assert found is not None

    assert [(one.kind, one.sure, one.harmful) for one in found.causes] == ([(kind, sure, harmful)] if kind else [])


def test_uplinks_without_rows_are_held_against_the_earlier_survey() -> None:
    """No cord is declared: what was heard before is where they should be."""
    before = parse(f"{UPLINKS}hears CORE-1:1 neighbour=ACC-1 port=49\nhears CORE-1:2 neighbour=ACC-2 port=49")
    same = case(before, before).moves
    other = case(parse(f"{UPLINKS}hears CORE-1:3 neighbour=ACC-2 port=49"), before).moves
    assert same is not None
    assert other is not None

    assert same.causes == ()
    assert [cause.kind for cause in other.causes] == [MoveKind.UPLINK]
    assert [origin.line for _, origin in other.causes[0].before]


def test_the_page_lists_every_cause_and_state_in_order() -> None:
    """docs/reconciliation.md has the words of the program, and no others."""
    text = (Path(__file__).parents[2] / "docs/reconciliation.md").read_text(encoding="utf-8")
    tables = {found[1]: found[2] for found in re.finditer(r"^\| (\w+) \|.*\n\|[-|]+\n((?:\|.*\n)+)", text, re.M)}
    first = text[text.index("| cause | what was seen |") : text.index("Each says how sure")]

    assert re.findall(r"^\| `([^`]+)`", first, re.M) == [kind.value for kind in MoveKind]
    assert re.findall(r"^\| `([^`]+)`", tables["state"], re.M) == [state.value for state in Proof]
    assert all(f"`{sure.value}`" in text for sure in Sureness)
