"""What outlives a switch: two surveys of one closet have the same anchors, whatever box a jack hangs on."""

from __future__ import annotations

from pathlib import Path

import pytest
from closets import closet, router, switch

from vlancheck.errors import SiteError, UsageError
from vlancheck.site.anchors import Anchor, AnchorKind, anchors
from vlancheck.site.boxes import Boxes, Occupancy
from vlancheck.site.lookup import lookup
from vlancheck.site.spots import SpotKind

TEXT = """
devices: {PBX-1: {kind: host}, DESKSW: {kind: unmanaged}, ONU-1: {kind: carrier-box}}
renamed:
  as-left: {ACC-1: ACC-9, "SORT-1:24": "SORT-2:Gi1/0/4", PANEL-A: PANEL-X}
handoffs:
  - {at: "SORT-1:24", carrier: metro, circuit: EX-0001}
services:
  - {name: Records, tag: 310, enters: "SORT-1:24", leaves: ["PANEL-B:07", "ACC-1:9"]}
  - {name: Voice, tag: 320, enters: EX-0001, leaves: ["PBX-1:eth0"]}
vlans: [{vid: 20, reaches: ["PANEL-B:07"], never: ["PANEL-B:08"]}]
holds: [{at: "PANEL-B:08", why: alarm, owner: Facilities}]
"""
FOUND = """
Panel port,Switch,Switch port,Outlet,Label,Serves
PANEL-B:07,ACC-1,7,2.07,C7,PC
PANEL-B:08,ACC-1,8,,C8,alarm
PANEL-A:01,ACC-1,10,,,
,ACC-1,9,,,printer in the closet
PANEL-A:24,SORT-1,24,,C24,
"""
LEFT = """
From,To,Label,Serves
ACC-9:17,PANEL-B:7,K1,PC
ACC-9:18,PANEL-B:8,K2,alarm
ACC-9:19,PANEL-X:1,,
ACC-9:9,printer in the closet,,
SORT-2:4,PANEL-X:24,K3,
"""


def short(place: str) -> str:
    """Return a place without the long words."""
    return place.replace("GigabitEthernet", "").replace("1/0/", "").replace("0/", "")


def found(root: Path) -> Boxes:
    """Return the closet before the move."""
    boxes = [switch("ACC-1", word="GigabitEthernet0/"), switch("SORT-1")]
    return closet(root / "found", "site: a\n" + TEXT, FOUND, boxes)


def left(root: Path) -> Boxes:
    """Return the closet after the move."""
    return closet(
        root / "left",
        TEXT,
        LEFT,
        [switch("ACC-9"), switch("SORT-2")],
        survey="as-left",
        others=[switch("ACC-1", word="GigabitEthernet0/"), switch("SORT-1")],
        other_sheet=FOUND,
    )


@pytest.fixture
def both(tmp_path: Path) -> tuple[Boxes, Boxes]:
    """Return the closet before and after the move."""
    for name in ("found", "left"):
        site = tmp_path / name / "site"
        site.mkdir(parents=True)
        for survey in ("as-found", "as-left"):
            (site / "captures" / survey).mkdir(parents=True)
    return found(tmp_path), left(tmp_path)


def test_two_surveys_meet_at_their_anchors(both: tuple[Boxes, Boxes]) -> None:
    """Circuit, jack, endpoint, then the port by its old name; spelling, panels' new names and boxes do not matter."""
    before, after = both
    word = "GigabitEthernet"
    one = anchors(before, [f"ACC-1:{word}0/{n}" for n in (7, 8, 9, 10, 11)] + [f"SORT-1:{word}1/0/24", "PBX-1:eth0"])
    other = anchors(
        after, [f"ACC-9:{word}1/0/{n}" for n in (17, 18, 9, 19, 11)] + [f"SORT-2:{word}1/0/4", "PBX-1:eth0"]
    )

    kinds = [(anchor.kind.value, short(anchor.name)) for anchor in one.values()]
    assert kinds == [
        ("jack", "PANEL-B:07"),
        ("jack", "PANEL-B:08"),
        ("endpoint", "printer in the closet"),
        ("jack", "PANEL-A:01"),
        ("port", "ACC-1:11"),
        ("circuit", "EX-0001"),
        ("endpoint", "PBX-1:eth0"),
    ]
    same = [mine == theirs for mine, theirs in zip(one.values(), other.values(), strict=True)]
    assert same == [True, True, True, True, False, True, True]  # port 11 of the old box is called 0/11, not 1/0/11
    assert next(iter(one.values())).also == ("2.07", "PC")


def test_a_port_is_known_by_its_name_before(tmp_path: Path) -> None:
    """Where the new box names its ports alike, or a renaming says which port is which."""
    (tmp_path / "site" / "captures" / "as-left").mkdir(parents=True)
    text = "renamed: {as-left: {ACC-1: ACC-9, 'ACC-1:5': 'ACC-9:6'}}\n"
    old = switch("ACC-1", word="gi1/0/")
    boxes = closet(tmp_path, text, boxes=[switch("ACC-9")], survey="as-left", others=[old])
    made = anchors(boxes, [f"ACC-9:GigabitEthernet1/0/{number}" for number in (4, 5, 6)])

    assert [(anchor.key, short(anchor.name)) for anchor in made.values()] == [
        ("acc-1:gi1/0/4", "ACC-9:4"),
        ("acc-1:gi1/0/5", "ACC-9:5"),
        ("acc-1:gi1/0/5", "ACC-9:6"),
    ]


def test_what_two_ports_have_is_no_anchor(tmp_path: Path) -> None:
    """Two printers without a panel port are told apart by their ports."""
    sheet = "Switch,Switch port,Serves\nACC-1,1,printer\nACC-1,2,printer\nACC-1,3,till\n"
    boxes = closet(tmp_path, "site: a\n", sheet, [switch("ACC-1")])
    made = anchors(boxes, [f"ACC-1:GigabitEthernet1/0/{number}" for number in (1, 2, 3)])

    assert [anchor.kind for anchor in made.values()] == [AnchorKind.PORT, AnchorKind.PORT, AnchorKind.ENDPOINT]


def test_a_port_toward_a_declared_endpoint(tmp_path: Path) -> None:
    """The jack on the way, else the endpoint's name; a carrier's name where there is no circuit."""
    text = (
        "devices: {DESKSW: {kind: unmanaged}, HUB: {kind: unmanaged}, ONU: {kind: carrier-box}}\n"
        "links: [['PANEL-B:1', 'DESKSW:1'], ['ACC-1:2', 'HUB:1'], ['ACC-1:3', 'ONU:1']]\n"
        "handoffs: [{at: 'ACC-1:3', carrier: metro}]\n"
    )
    boxes = closet(tmp_path, text, "From,To\nPANEL-B:1,ACC-1:1\n", [switch("ACC-1"), router("RTR-1", 5)])
    made = anchors(boxes, [f"ACC-1:GigabitEthernet1/0/{number}" for number in (1, 2, 3)] + ["RTR-1:wan1"])

    assert [(anchor.kind.value, anchor.name) for anchor in made.values()] == [
        ("jack", "PANEL-B:1"),
        ("endpoint", "HUB:1"),
        ("endpoint", "metro"),
        ("port", "RTR-1:wan1"),
    ]
    assert next(iter(made.values())).also == ("DESKSW",)


def test_zeros_tell_circuits_apart(tmp_path: Path) -> None:
    """EX-01 and EX-1 are two circuits, though panel ports 01 and 1 are one; case does not matter."""
    handoffs = "handoffs: [{at: 'ACC-1:1', circuit: EX-01}, {at: 'ACC-1:2', circuit: EX-1}]\n"
    boxes = closet(tmp_path, handoffs, boxes=[switch("ACC-1")])
    made = anchors(boxes, boxes.handoffs)

    assert [(anchor.kind.value, anchor.key) for anchor in made.values()] == [("circuit", "ex-01"), ("circuit", "ex-1")]


def test_anchors_are_sorted_and_told_apart_by_kind() -> None:
    """A jack and a port of the same name are two places."""
    jack, port = Anchor(AnchorKind.JACK, "a:1", "A:1"), Anchor(AnchorKind.PORT, "a:1", "A:1")

    assert jack != port
    assert jack == Anchor(AnchorKind.JACK, "a:1", "a:01", ("x",))
    assert sorted([port, jack]) == [jack, port]


# ---- renamings -----------------------------------------------------------------------------------------------------


def test_declared_names_follow_the_renamings(both: tuple[Boxes, Boxes]) -> None:
    """The same declaration is placed at the old boxes in one survey and at the new ones in the other."""
    before, after = both

    assert [short(ending.spot.place) for ending in before.placed.services[0].endings] == ["ACC-1:7", "ACC-1:9"]
    assert [short(ending.spot.place) for ending in after.placed.services[0].endings] == ["ACC-9:17", "ACC-9:9"]
    assert [short(place) for place in (*before.handoffs, *after.handoffs)] == ["SORT-1:24", "SORT-2:4"]


def test_new_names_work_in_the_survey_before(tmp_path: Path) -> None:
    """`walk` and `at` may be asked with either name."""
    text = "renamed: {as-left: {ACC-1: ACC-9}}\nvlans: [{vid: 5, reaches: ['ACC-9:7']}]\n"
    (tmp_path / "site" / "captures" / "as-left").mkdir(parents=True)
    (tmp_path / "site" / "captures" / "as-found").mkdir(parents=True)
    boxes = closet(tmp_path, text, boxes=[switch("ACC-1")])

    assert short(boxes.placed.vlans[0].endings[0].spot.place) == "ACC-1:7"


@pytest.mark.parametrize(
    ("renamed", "message"),
    [
        ("{ACC-1: ACC-8}", "there is no device 'ACC-8'"),
        ("{'ACC-1:Gi1/0/7': 'ACC-9:Te9/9'}", "ACC-9 has no port 'Te9/9'"),
        ("{ACC-1: ACC-9}", "ACC-9 has no port 'Fa0/7'"),
    ],
)
def test_a_renaming_that_leads_nowhere_is_an_error(tmp_path: Path, renamed: str, message: str) -> None:
    """The hint names the renaming, so that a port of the old box can be mapped."""
    (tmp_path / "site" / "captures" / "as-left").mkdir(parents=True)
    text = f"renamed: {{as-left: {renamed}}}\nvlans: [{{vid: 5, reaches: ['ACC-1:Fa0/7']}}]\n"
    if "Te9" in renamed:
        text = text.replace("Fa0/7", "Gi1/0/7")
    with pytest.raises(SiteError, match=message) as caught:
        closet(tmp_path, text, boxes=[switch("ACC-9")], survey="as-left")
    assert "is called" in caught.value.hint


# ---- what hangs there ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("PANEL-B:07", SpotKind.PANEL_PORT),
        ("2.07", SpotKind.JACK),
        ("C7", SpotKind.CORD),
        ("ACC-1:7", SpotKind.PORT),
    ],
)
def test_everything_about_a_place(both: tuple[Boxes, Boxes], name: str, kind: SpotKind) -> None:
    """Whatever it is called: its port, cords, panel port, jack, what it serves, services and VLANs."""
    (about,) = lookup(both[0], name)

    assert about.spot.kind is kind
    assert [short(place) for place in about.places] == ["ACC-1:7"]
    assert about.labels == ("C7",)
    assert about.panel is not None
    assert about.jack is not None
    assert about.endpoint is not None
    assert (about.panel.name, about.jack.name, about.endpoint.text) == ("PANEL-B:07", "2.07", "PC")
    assert [row.origins[0].line for row in about.rows] == [2]
    assert [one.declared.name for one in about.services] == ["Records"]
    assert [one.declared.vid for one in about.vlans] == [20]
    assert (about.holds, about.handoff, about.doubts) == ((), None, ())
    assert [one.state for one in about.occupancy] == [Occupancy.OCCUPIED]


def test_holds_and_circuits_are_told(both: tuple[Boxes, Boxes]) -> None:
    """Whom to ask, and which handoff a circuit is."""
    (held,) = lookup(both[1], "K2")
    assert [(hold.why, hold.owner) for hold in held.holds] == [("alarm", "Facilities")]
    assert [one.declared.vid for one in held.vlans] == [20]

    (circuit,) = lookup(both[0], "ex-0001")
    assert circuit.handoff is not None
    assert circuit.handoff.declared.circuit == "EX-0001"
    assert (circuit.spot.kind, [one.declared.name for one in circuit.services]) == (
        SpotKind.CIRCUIT,
        ["Records", "Voice"],
    )


def test_doubts_and_contradictions_are_told(tmp_path: Path) -> None:
    """A place whose rows say too little, or contradict each other, says so; ranges have an answer each."""
    sheet = "From,To,Serves,Label\nPANEL-B:1,ACC-1:1,PC,C1\nPANEL-B:1,ACC-1:2,,\nACC-1:3,?,,\nPANEL-B:5,,fax,\n"
    boxes = closet(tmp_path, "site: a\n", sheet, [switch("ACC-1")])
    one, two, three = lookup(boxes, "ACC-1:1-3")

    assert [clash.name for clash in one.contradictions] == [clash.name for clash in two.contradictions] == ["PANEL-B:1"]
    assert [doubt.origins[0].line for doubt in three.doubts] == [4]
    (cord,) = lookup(boxes, "C1")
    assert (cord.places, [clash.name for clash in cord.contradictions]) == ((), ["PANEL-B:1"])
    (unpatched,) = lookup(boxes, "PANEL-B:5")
    assert unpatched.endpoint is not None
    assert (unpatched.places, unpatched.endpoint.text) == ((), "fax")
    with pytest.raises(UsageError, match="there is no device 'ACC-7'") as caught:
        lookup(boxes, "ACC-7:1")
    assert caught.value.hint == "nearest: ACC-1"
