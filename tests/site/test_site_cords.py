"""Cords are followed through panels to the ports they join; rows that contradict each other leave nothing proven."""

from __future__ import annotations

from pathlib import Path

import pytest
from closets import closet, sheet_of, switch
from hypothesis import given, settings
from hypothesis import strategies as st

from vlancheck.errors import SiteError
from vlancheck.evidence import UNKNOWN
from vlancheck.places import split_place
from vlancheck.site.boxes import Boxes, Occupancy
from vlancheck.site.endpoints import EndpointKind
from vlancheck.site.sheet import Clash

PLAIN = "site: test\n"


def links(boxes: Boxes) -> list[tuple[str, str]]:
    """Return the links between devices with short port names."""
    return [(short(cord.one), short(cord.other)) for cord in boxes.cords]


def short(place: str) -> str:
    """Return a place without the long word."""
    return place.replace("GigabitEthernet1/0/", "")


def clashes(boxes: Boxes) -> list[tuple[Clash, str, tuple[str, ...]]]:
    """Return what contradicts, and the ports it puts in doubt."""
    return [(one.clash, one.name, tuple(short(place) for place in one.places)) for one in boxes.contradictions]


def test_a_chain_through_two_panels_is_one_link(tmp_path: Path) -> None:
    """Each panel port has two sides; the rows of all cords are the evidence."""
    boxes = closet(
        tmp_path,
        PLAIN,
        """
        From,To,Label,Kind
        ACC-1:24,PANEL-A:1,C1,cat6
        PANEL-A:1,PANEL-B:1,T1,permanent
        PANEL-B:01,CORE-1:3,C2,cat6
        """,
        [switch("ACC-1"), switch("CORE-1")],
    )

    assert links(boxes) == [("ACC-1:24", "CORE-1:3")]
    (cord,) = boxes.cords
    assert [origin.line for origin in cord.origins] == [2, 3, 4]
    assert cord.chain is not None
    assert (cord.chain.passed, cord.chain.labels) == (("PANEL-A:1", "PANEL-B:1"), ("C1", "T1", "C2"))
    assert boxes.contradictions == ()


def test_a_jack_is_where_a_chain_ends(tmp_path: Path) -> None:
    """A port whose cord leads to a panel port and no further has a jack there, and what the row says hangs on it."""
    boxes = closet(
        tmp_path,
        PLAIN,
        "Panel port,Switch,Switch port,Outlet,Serves\nPANEL-B:07,ACC-1,7,2.07,phone + PC\n",
        [switch("ACC-1")],
    )

    assert boxes.cords == ()
    (chain,) = boxes.chains
    assert [short(port) for port in chain.ports] == ["ACC-1:7"]
    assert (chain.outermost(chain.ports[0]), boxes.panels["PANEL-B:07"].jack) == ("PANEL-B:07", "2.07")
    endpoint = boxes.endpoints["ACC-1:GigabitEthernet1/0/7"]
    assert (endpoint.at, endpoint.text) == ("PANEL-B:07", "phone + PC")
    assert endpoint.kinds == (EndpointKind.PHONE, EndpointKind.PC)


def test_links_of_the_declaration_may_go_behind_a_panel(tmp_path: Path) -> None:
    """The desk switch is corded to the jack side, since the row in the sheet has the switch side."""
    boxes = closet(
        tmp_path,
        "devices: {DESKSW: {kind: unmanaged}}\nlinks: [['PANEL-B:12', 'DESKSW:1'], ['2.13', 'DESKSW:2']]\n",
        "Panel port,Switch port,Outlet\nPANEL-B:12,ACC-1:12,\nPANEL-B:13,ACC-1:13,2.13\n",
        [switch("ACC-1")],
    )

    assert links(boxes) == [("ACC-1:12", "DESKSW:1"), ("ACC-1:13", "DESKSW:2")]
    assert {origin.kind.value for origin in boxes.cords[0].origins} == {"site", "sheet"}


def test_a_link_of_ranges(tmp_path: Path) -> None:
    """A range is one where no port has that name, and both ends have as many."""
    text = "devices: {DESKSW: {kind: unmanaged}}\nlinks: [['ACC-1:1-3', 'DESKSW:1-3']]\n"
    boxes = closet(tmp_path, text, boxes=[switch("ACC-1")])
    assert links(boxes) == [("ACC-1:1", "DESKSW:1"), ("ACC-1:2", "DESKSW:2"), ("ACC-1:3", "DESKSW:3")]

    with pytest.raises(SiteError, match="do not match"):
        closet(tmp_path, "links: [['ACC-1:1-3', 'CORE-1:1-2']]\n", boxes=[switch("ACC-1"), switch("CORE-1")])


def test_the_same_link_twice_is_one_link(tmp_path: Path) -> None:
    """In site.yaml, in the sheet, either way round."""
    boxes = closet(
        tmp_path,
        "links:\n  - ['ACC-1:24', 'CORE-1:1']\n  - ['CORE-1:Gi1/0/1', 'ACC-1:24']\n",
        "From,To,Label\nCORE-1:1,ACC-1:24,C7\n",
        [switch("ACC-1"), switch("CORE-1")],
    )

    assert links(boxes) == [("ACC-1:24", "CORE-1:1")]
    assert [origin.line for origin in boxes.cords[0].origins] == [2, 3, 2]
    assert boxes.contradictions == ()


def test_two_links_of_the_declaration_at_one_port_are_an_error(tmp_path: Path) -> None:
    """Both lines are named."""
    text = "links:\n  - ['ACC-1:24', 'CORE-1:1']\n  - ['ACC-1:24', 'CORE-1:2']\n"
    with pytest.raises(SiteError, match=r"GigabitEthernet1/0/24 has a link already, on line 2") as caught:
        closet(tmp_path, text, boxes=[switch("ACC-1"), switch("CORE-1")])
    assert caught.value.line == 3
    with pytest.raises(SiteError, match="both ends of this link are"):
        closet(tmp_path, "links: [['ACC-1:24', 'ACC-1:Gi1/0/24']]\n", boxes=[switch("ACC-1")])


def test_a_link_against_the_sheet_is_a_contradiction(tmp_path: Path) -> None:
    """It is a finding with both lines, and none of the three ports is linked."""
    boxes = closet(
        tmp_path,
        "links: [['ACC-1:24', 'CORE-1:1']]\n",
        "From,To\nACC-1:24,CORE-1:2\n",
        [switch("ACC-1"), switch("CORE-1")],
    )

    assert boxes.cords == ()
    assert clashes(boxes) == [(Clash.PORT_TWICE, "ACC-1:GigabitEthernet1/0/24", ("ACC-1:24", "CORE-1:1", "CORE-1:2"))]
    (clash,) = boxes.contradictions
    assert [[origin.file.rpartition("/")[2] for origin in row] for row in clash.rows] == [["site.yaml"], ["sheet.csv"]]
    assert clash.message == "ACC-1:GigabitEthernet1/0/24 is used by 2 cords, to CORE-1:GigabitEthernet1/0/1 and " + (
        "CORE-1:GigabitEthernet1/0/2"
    )


@pytest.mark.parametrize(
    ("rows", "found"),
    [
        (
            "PANEL-B:07,ACC-1:7,,\nPANEL-B:07,ACC-1:9,,",
            [(Clash.PORT_TWICE, "PANEL-B:07", ("ACC-1:7", "ACC-1:9"))],
        ),
        (
            "PANEL-B:07,ACC-1:7,,\nPANEL-B:08,ACC-1:7,,",
            [(Clash.PORT_TWICE, "ACC-1:GigabitEthernet1/0/7", ("ACC-1:7",))],
        ),
        (
            "PANEL-B:07,ACC-1:7,C1,\nPANEL-B:07,ACC-1:9,C1,",
            [
                (Clash.PORT_TWICE, "PANEL-B:07", ("ACC-1:7", "ACC-1:9")),
                (Clash.THREE_ENDS, "C1", ("ACC-1:7", "ACC-1:9")),
            ],
        ),
        (
            "PANEL-B:07,ACC-1:7,C1,\nPANEL-B:08,ACC-1:8,c1,",
            [(Clash.LABEL_TWICE, "C1", ("ACC-1:7", "ACC-1:8"))],
        ),
        (
            "PANEL-B:07,ACC-1:7,C1,\nACC-1:7,PANEL-B:7,C2,",
            [(Clash.TWO_LABELS, "PANEL-B:07 to ACC-1:GigabitEthernet1/0/7", ())],
        ),
        (
            "PANEL-B:07,ACC-1:7,,\nACC-1:7,spare,,",
            [(Clash.FREE_AND_USED, "ACC-1:GigabitEthernet1/0/7", ("ACC-1:7",))],
        ),
        (
            "PANEL-B:07,ACC-1:7,,\nPANEL-B:07,free,,",
            [(Clash.FREE_AND_USED, "PANEL-B:07", ("ACC-1:7",))],
        ),
        (
            "PANEL-B:07,ACC-1:7,,2.07\nPANEL-B:08,ACC-1:8,,2.07",
            [(Clash.JACK_TWICE, "2.07", ("ACC-1:7", "ACC-1:8"))],
        ),
        (
            "PANEL-B:07,ACC-1:7,,2.07\nPANEL-B:07,PC,,2.08",
            [(Clash.JACK_TWICE, "PANEL-B:07", ("ACC-1:7",))],
        ),
    ],
)
def test_contradictions_are_values_and_their_ports_are_in_doubt(
    tmp_path: Path, rows: str, found: list[tuple[Clash, str, tuple[str, ...]]]
) -> None:
    """Both rows are named; whatever hangs together with them is unproven, and nothing else is."""
    boxes = closet(tmp_path, PLAIN, f"From,To,Label,Jack\nPANEL-C:1,ACC-1:1,,\n{rows}\n", [switch("ACC-1")])

    assert clashes(boxes) == found
    assert all([origin.line for row in one.rows for origin in row] == [3, 4] for one in boxes.contradictions)
    doubted = {place for _, _, places in found for place in places}
    for name, bridge_port in boxes.devices["ACC-1"].bridge_ports.items():
        assert bool(bridge_port.doubt) == (short(f"ACC-1:{name}") in doubted)
    for place in boxes.doubted:
        assert boxes.occupancy(place).state is Occupancy.UNKNOWN
        settles = [origin.settle for origin in boxes.devices["ACC-1"].bridge_ports[split_place(place)[1]].doubt]
        assert settles[0].startswith("trace the cord at")


def test_contradictions_show_in_the_sheet_alone(tmp_path: Path) -> None:
    """Without any capture a sheet is checked already."""
    sheet = sheet_of(tmp_path, "From,To\nPANEL-B:07,ACC-1:7\nPANEL-B:07,ACC-1:9\nACC-1:1,PANEL-B:08\n")

    assert [(one.clash, one.places) for one in sheet.contradictions] == [(Clash.PORT_TWICE, ("ACC-1:7", "ACC-1:9"))]


@pytest.mark.parametrize(
    "rows",
    [
        "PANEL-B:07,ACC-1:7\nPANEL-B:07,PBX-1:eth0",  # a network port and a host: the two sides
        "PANEL-B:07,ACC-1:7\nPANEL-B:07 jack,CORE-1:7",  # a side that is written
        "PANEL-B:07,ACC-1:7\nPANEL-B:07,PANEL-C:1",  # a network port and another panel
        "PANEL-B:07,ACC-1:7\nPANEL-B:07,PC 4",
        "PANEL-B:07 back,PC 4\nPANEL-B:07,ACC-1:7",
    ],
)
def test_two_rows_of_a_panel_port_may_be_its_two_sides(tmp_path: Path, rows: str) -> None:
    """They lead to different sorts of things, or say the side."""
    text = "devices: {PBX-1: {kind: host}}\n"
    boxes = closet(tmp_path, text, f"From,To\n{rows}\n", [switch("ACC-1"), switch("CORE-1")])

    assert boxes.contradictions == ()
    assert len(boxes.chains) == 1
    assert len(boxes.chains[0].strands) == 2


def test_a_ring_of_panel_cords_ends(tmp_path: Path) -> None:
    """Cords that lead back to where they start are a chain without ports."""
    boxes = closet(tmp_path, PLAIN, "From,To,Kind\nPANEL-A:1,PANEL-B:1,cat6\nPANEL-A:1,PANEL-B:1,permanent\n")
    assert [chain.ports for chain in boxes.chains] == [()]


def test_rows_that_name_an_impossible_port_are_doubts(tmp_path: Path) -> None:
    """A typing error in a sheet stops nothing, and nothing is made of the row."""
    boxes = closet(
        tmp_path,
        "devices: {PBX-1: {kind: host}}\n",
        "From,To\nACC-1:Te9/9,PANEL-B:07\nACC-1:8,PANEL-B:08\nPBX-1,PANEL-B:09\n",
        [switch("ACC-1")],
    )

    assert [(doubt.origins[0].line, doubt.boxes) for doubt in boxes.doubts] == [(2, ("ACC-1",)), (4, ("PBX-1",))]
    assert "no port 'Te9/9'" in boxes.doubts[0].why
    assert "stands without a port" in boxes.doubts[1].why
    assert [short(port) for chain in boxes.chains for port in chain.ports] == ["ACC-1:8"]
    assert boxes.occupancy("ACC-1:GigabitEthernet1/0/9").state is Occupancy.UNKNOWN


# ---- random plants of cords ----------------------------------------------------------------------------------------


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_random_chains_join_the_ports_they_were_made_of(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    """Ports joined through any number of panel ports, rows in any order and either way round: the same links."""
    root = tmp_path_factory.mktemp("closet")
    chains = data.draw(st.lists(st.integers(0, 3), min_size=1, max_size=5))
    rows: list[tuple[str, str]] = []
    wanted = set()
    panel = 0
    for number, hops in enumerate(chains, 1):
        stations = [f"ACC-1:{number}"]
        for _ in range(hops):
            panel += 1
            stations += [f"PANEL-A:{panel} front", f"PANEL-A:{panel} back"]
        stations.append(f"CORE-1:{number}")
        rows += zip(stations[::2], stations[1::2], strict=True)
        wanted.add(frozenset((f"ACC-1:{number}", f"CORE-1:{number}")))
    rows = [pair if data.draw(st.booleans()) else (pair[1], pair[0]) for pair in data.draw(st.permutations(rows))]
    text = "From,To\n" + "".join(f"{one},{other}\n" for one, other in rows)
    boxes = closet(root, PLAIN, text, [switch("ACC-1"), switch("CORE-1")])

    assert {frozenset(pair) for pair in links(boxes)} == wanted
    assert (boxes.contradictions, boxes.doubts) == ((), ())
    assert sum(len(chain.strands) for chain in boxes.chains) == len(rows)


@settings(max_examples=60, deadline=None)
@given(pairs=st.lists(st.tuples(st.integers(1, 6), st.integers(1, 6)), max_size=8))
def test_a_port_is_linked_only_where_no_row_says_otherwise(
    tmp_path_factory: pytest.TempPathFactory, pairs: list[tuple[int, int]]
) -> None:
    """Random rows: a link for each pair whose ports no other row uses, a contradiction for every port used twice."""
    root = tmp_path_factory.mktemp("closet")
    text = "From,To\n" + "".join(f"ACC-1:{one},CORE-1:{other}\n" for one, other in pairs)
    boxes = closet(root, PLAIN, text, [switch("ACC-1"), switch("CORE-1")])
    rows = set(pairs)
    alone = {
        pair
        for pair in rows
        if not any(other != pair and (other[0] == pair[0] or other[1] == pair[1]) for other in rows)
    }

    assert set(links(boxes)) == {(f"ACC-1:{one}", f"CORE-1:{other}") for one, other in alone}
    twice = {f"ACC-1:{one}" for one, _ in rows if sum(pair[0] == one for pair in rows) > 1}
    twice |= {f"CORE-1:{other}" for _, other in rows if sum(pair[1] == other for pair in rows) > 1}
    assert {short(one.name) for one in boxes.contradictions} == twice
    clashing = rows - alone
    assert {short(place) for place in boxes.doubted} == {f"ACC-1:{one}" for one, _ in clashing} | {
        f"CORE-1:{other}" for _, other in clashing
    }
    for place in boxes.doubted:
        device, port = split_place(place)
        assert boxes.devices[device].bridge_ports[port].doubt
        assert boxes.devices[device].bridge_ports[port].pvid.value is not UNKNOWN
