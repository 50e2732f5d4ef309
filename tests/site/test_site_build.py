"""What is declared is placed at the ports of a survey: by port, panel port, jack, cord, circuit or sub-interface."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from closets import SAID, closet, router, switch
from hypothesis import given, settings
from hypothesis import strategies as st

from vlancheck.dot1q.model import Device, DeviceKind, Port, PortKind
from vlancheck.dot1q.tags import parse_frame
from vlancheck.errors import SiteError
from vlancheck.evidence import UNKNOWN, Kind
from vlancheck.places import split_place
from vlancheck.site.boxes import Boxes, Occupancy
from vlancheck.site.frames import SAME
from vlancheck.site.spots import SpotKind
from vlancheck.wiring import Link, wire

SHEET = """
Panel port,Switch,Switch port,Outlet,Label,Serves,Hold
PANEL-B:07,ACC-1,7,2.07,C-07,PC reception,
PANEL-B:08,ACC-1,8,2.08,C-08,phone,
PANEL-B:09,,,2.09,,,
PANEL-B:11,ACC-1,11,,C-11,fire alarm dialler,
PANEL-B:12,ACC-1,12,,C-12,lift phone,no
PANEL-B:13,ACC-1,13,,C-13,printer,ask Facilities
PANEL-B:14,ACC-1,14,,C-14,till,x
"""


def service(leaves: str, enters: str = "ACC-1:24", more: str = "") -> str:
    """Return a site.yaml with one service."""
    return f"services:\n  - {{name: one, tag: 310, enters: '{enters}', leaves: {leaves}}}\n{more}"


def ended(boxes: Boxes) -> list[tuple[str, object]]:
    """Return place and frame of every ending of the first service."""
    return [(ending.spot.place, ending.frame) for ending in boxes.placed.services[0].endings]


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("ACC-1:7", SpotKind.PORT),
        ("acc-1:gi1/0/7", SpotKind.PORT),
        ("PANEL-B:07", SpotKind.PANEL_PORT),
        ("panel-b:7", SpotKind.PANEL_PORT),
        ("2.07", SpotKind.JACK),
        ("C-07", SpotKind.CORD),
        ("c-07", SpotKind.CORD),
    ],
)
def test_a_place_has_many_names(tmp_path: Path, name: str, kind: SpotKind) -> None:
    """A port, a panel port, a jack and a cord label stand for the same port."""
    boxes = closet(tmp_path, service(f"['{name}']"), SHEET, [switch("ACC-1")])
    (ending,) = boxes.placed.services[0].endings

    assert (ending.spot.place, ending.spot.kind) == ("ACC-1:GigabitEthernet1/0/7", kind)
    assert (ending.spot.absent, ending.spot.doubt) == (False, ())


def test_a_panel_port_without_a_cord_is_a_place(tmp_path: Path) -> None:
    """Nothing is patched there, which is an answer; a panel port that its panel cannot have is an error."""
    boxes = closet(tmp_path, service("['PANEL-B:09', '2.09', 'PANEL-B:23']"), SHEET, [switch("ACC-1")])
    assert [ending.spot.places for ending in boxes.placed.services[0].endings] == [(), (), ()]
    assert [ending.spot.name for ending in boxes.placed.services[0].endings] == ["PANEL-B:09", "2.09", "PANEL-B:23"]

    with pytest.raises(SiteError, match="PANEL-B has no port 'lan7'") as caught:
        closet(tmp_path, service("['PANEL-B:lan7']"), SHEET, [switch("ACC-1")])
    assert "PANEL-B:07" in caught.value.hint


def test_ranges_are_an_ending_for_each_port(tmp_path: Path) -> None:
    """A range of ports or of panel ports; a place named twice is one ending."""
    boxes = closet(tmp_path, service("['ACC-1:1-3', 'ACC-1:2', 'PANEL-B:07-08']"), SHEET, [switch("ACC-1")])

    assert [place.rpartition("/")[2] for place, _ in ended(boxes)] == ["1", "2", "3", "7", "8"]


def test_a_sub_interface_is_its_port_and_its_tag(tmp_path: Path) -> None:
    """Its frame may be left out or be `untagged`, which is what the interface sees; another tag is an error."""
    leaves = "['RTR-1:wan1.310', {at: 'RTR-1:wan1.320', frame: untagged}, {at: 'RTR-1:wan1.330', frame: 330}]"
    boxes = closet(tmp_path, service(leaves), boxes=[switch("ACC-1"), router("RTR-1", 310, 320, 330)])
    assert ended(boxes) == [("RTR-1:wan1", parse_frame(tag)) for tag in ("310", "320", "330")]
    assert boxes.placed.services[0].endings[0].spot.interface == "wan1.310"

    with pytest.raises(SiteError, match=r"RTR-1:wan1\.310 takes frames with the tag 310"):
        closet(
            tmp_path,
            service("[{at: 'RTR-1:wan1.310', frame: 311}]"),
            boxes=[switch("ACC-1"), router("RTR-1", 310)],
        )


def test_frames_at_plain_ports_stay_as_declared(tmp_path: Path) -> None:
    """Not said, the same, untagged; a VLAN's own VID where it says none, and a sub-interface's tag before that."""
    more = "vlans: [{vid: 20, reaches: ['ACC-1:4', 'RTR-1:wan1.310'], never: ['ACC-1:5-6']}]\n"
    leaves = "['ACC-1:1', {at: 'ACC-1:2', frame: same}, {at: 'ACC-1:3', frame: untagged}]"
    boxes = closet(tmp_path, service(leaves, more=more), boxes=[switch("ACC-1"), router("RTR-1", 310)])

    assert [frame for _, frame in ended(boxes)] == [None, SAME, ()]
    (vlan,) = boxes.placed.vlans
    assert [ending.frame for ending in vlan.endings] == [parse_frame("20"), parse_frame("310")]
    assert [spot.place.rpartition("/")[2] for spot in vlan.never] == ["5", "6"]


@pytest.mark.parametrize(
    ("text", "message", "hint"),
    [
        (service("['RTR-9:wan1']"), "there is no device 'RTR-9'", "nearest: RTR-1"),
        (service("['ACC-1:Te1/0/7']"), "ACC-1 has no port 'Te1/0/7'", "nearest"),
        (service("['ACC-1:Gi1/0/97']"), "ACC-1 has no port 'Gi1/0/97'", "nearest"),
        (service("['ACC-1:0-3']"), "ACC-1 has no port '0'", ""),
        (service("['ACC-1']"), "'ACC-1' is a device", "write DEVICE:PORT; its ports"),
        (service("['C-77']"), "'C-77' is no port", "C-07"),
        (service("['ACC-1:']"), "'ACC-1:' is no port", "DEVICE:PORT"),
        (service("['UP-1']"), "'UP-1' joins ACC-1:GigabitEthernet1/0/24 and CORE-1", "the one that is meant"),
        (service("['ACC-1:1']", enters="ACC-1:1-3"), "'ACC-1:1-3' is a range of 3 ports", "one by one"),
        ("handoffs: [{at: 'ACC-1:x'}]\n", "ACC-1 has no port 'x'", ""),
        ("vlans: [{vid: 5, never: ['NIL:1']}]\n", "there is no device 'NIL'", ""),
        ("expected: [{at: 'NIL:1', gains: 5}]\n", "there is no device 'NIL'", ""),
        ("holds: ['NIL:1']\n", "there is no device 'NIL'", ""),
        ("links: [['ACC-1:1', 'ACC-1']]\n", "ACC-1 stands without a port", "DEVICE:PORT"),
        ("links: [['ACC-1:1', 'nothing']]\n", "'nothing' is no port", "DEVICE:PORT"),
        ("links: [['ACC-1:1', 'NIL:4']]\n", "there is no device 'NIL'", "known: "),
        ("links: [['ACC-1:1', '?']]\n", "'?' is no port: it says '?'", ""),
        ("devices: {X: {owner: me}}\n", "X is in no capture, and nothing says what it is", "kind:"),
        ("devices: {X: {kind: bridge}}\n", "X cannot be built from its declaration alone", "capture"),
        ("devices: {X: {kind: through}}\n", "media converter with 0 ports", "links"),
        ("handoffs: [{at: 'ACC-1:1', circuit: c}, {at: 'ACC-1:2', circuit: C}]\n", "circuit C is at", "one handoff"),
    ],
)
def test_a_name_that_is_no_place_is_one_error(tmp_path: Path, text: str, message: str, hint: str) -> None:
    """With file, line and the nearest name."""
    sheet = "From,To,Label\nACC-1:7,PANEL-B:07,C-07\nACC-1:24,CORE-1:1,UP-1\n"
    with pytest.raises(SiteError) as caught:
        closet(tmp_path, text, sheet, [switch("ACC-1"), switch("CORE-1"), router("RTR-1", 310)])

    assert message in caught.value.message
    assert hint in caught.value.hint
    assert (Path(caught.value.file).name, caught.value.line > 0) == ("site.yaml", True)


def test_handoffs_circuits_and_names_with_several_meanings(tmp_path: Path) -> None:
    """A circuit is the port of its handoff; a name that means two places is asked about."""
    text = "handoffs: [{at: 'ACC-1:24', circuit: EX-0001}, 'ACC-1:23', {at: 'ACC-1:24', circuit: EX-0002}]\n"
    boxes = closet(tmp_path, text + "holds: [ex-0001]\n", SHEET, [switch("ACC-1")])
    assert boxes.handoffs == ("ACC-1:GigabitEthernet1/0/24", "ACC-1:GigabitEthernet1/0/23")
    assert boxes.placed.holds[0].places == ("ACC-1:GigabitEthernet1/0/24",)

    sheet = "Panel port,Switch port,Outlet,Label\nPANEL-B:07,ACC-1:7,7,8\nPANEL-B:08,ACC-1:8,8,9\n"
    with pytest.raises(SiteError, match="'8' may mean the jack 8 and the cord 8"):
        closet(tmp_path, "holds: ['8']\n", sheet, [switch("ACC-1")])


def test_holds_are_declared_written_or_taken_for_one(tmp_path: Path) -> None:
    """A row that serves an alarm is held though nobody wrote it; a lift phone is not where the cell says no."""
    boxes = closet(
        tmp_path, "holds: [{at: 'PANEL-B:07', why: front desk, owner: Facilities}]\n", SHEET, [switch("ACC-1")]
    )

    assert [(hold.name, hold.why, hold.owner, hold.assumed) for hold in boxes.placed.holds] == [
        ("PANEL-B:07", "front desk", "Facilities", False),
        ("PANEL-B:11", "fire alarm dialler", "", True),
        ("PANEL-B:13", "printer", "ask Facilities", False),
        ("PANEL-B:14", "till", "", False),
    ]
    assert [place.rpartition("/")[2] for hold in boxes.placed.holds for place in hold.places] == ["7", "11", "13", "14"]
    assert [origin.kind for origin in boxes.placed.holds[1].origins] == [Kind.SHEET, Kind.ASSUMED]


def test_contradictions_reach_the_places_that_rest_on_them(tmp_path: Path) -> None:
    """An ending named by its panel port knows that its rows contradict each other."""
    sheet = "From,To,Label\nPANEL-B:07,ACC-1:7,C1\nPANEL-B:07,ACC-1:9,C2\nPANEL-B:08,ACC-1:8,C3\n"
    boxes = closet(tmp_path, service("['PANEL-B:07', 'ACC-1:9', 'C2', 'PANEL-B:08']"), sheet, [switch("ACC-1")])
    spots = [ending.spot for ending in boxes.placed.services[0].endings]

    assert [
        (spot.name.rpartition("/")[2], len(spot.places), [origin.line for origin in spot.doubt]) for spot in spots
    ] == [
        ("PANEL-B:07", 0, [2, 3]),
        ("9", 1, [2, 3]),
        ("C2", 0, [2, 3]),
        ("PANEL-B:08", 1, []),
    ]


# ---- boxes and ports that nobody captured --------------------------------------------------------------------------


def test_a_port_that_the_capture_does_not_print_is_assumed(tmp_path: Path) -> None:
    """Nothing of it is proven, and its origin says so."""
    boxes = closet(tmp_path, service("['ACC-1:12']"), boxes=[switch("ACC-1", 8), switch("B", 24)])
    port = boxes.devices["ACC-1"].bridge_ports["GigabitEthernet1/0/12"]

    assert ended(boxes)[0][0] == "ACC-1:GigabitEthernet1/0/12"
    assert port.pvid.value is UNKNOWN
    assert port.doubt[0].kind is Kind.ASSUMED
    assert "no capture prints GigabitEthernet1/0/12 of ACC-1" in port.doubt[0].text
    assert boxes.devices["ACC-1"].ports["GigabitEthernet1/0/12"].origins == port.doubt


def test_the_familys_defaults_make_a_port_where_they_can(tmp_path: Path) -> None:
    """A reader that knows the defaults is asked first."""
    asked = []

    def default_port(device: Device, name: str) -> Device | None:
        asked.append((device.name, name))
        if name.endswith("13"):
            return None
        return replace(device, ports={**device.ports, name: Port(name=name, description="a default")})

    boxes = closet(
        tmp_path, service("['ACC-1:12', 'ACC-1:13', 'ACC-1:12']"), boxes=[switch("ACC-1", 8)], default_port=default_port
    )

    assert asked == [("ACC-1", "GigabitEthernet1/0/24")] + [
        ("ACC-1", f"GigabitEthernet1/0/{number}") for number in (12, 13)
    ]
    ports = boxes.devices["ACC-1"].ports
    assert ports["GigabitEthernet1/0/12"].description == "a default"
    assert ports["GigabitEthernet1/0/13"].origins[0].kind is Kind.ASSUMED


def test_a_router_port_that_is_not_printed_is_an_end(tmp_path: Path) -> None:
    """Whether it takes a frame is not known."""
    boxes = closet(tmp_path, service("['RTR-1:wan2']"), boxes=[switch("ACC-1"), router("RTR-1", 310)])
    assert boxes.devices["RTR-1"].ends["wan2"].up.value is UNKNOWN


def test_a_device_of_another_survey_is_absent_here(tmp_path: Path) -> None:
    """Its endings are unproven, and no error; so is a port that only the other survey's box has."""
    text = service("['ACC-2:7', 'ACC-1:Te1/1/1']", more="handoffs: ['ACC-2:24']\n")
    boxes = closet(
        tmp_path,
        text,
        boxes=[switch("ACC-1")],
        others=[switch("ACC-2"), switch("ACC-1", 2, "TenGigabitEthernet1/1/")],
    )
    (absent, moved) = boxes.placed.services[0].endings

    assert (absent.spot.place, absent.spot.absent) == ("ACC-2:7", True)
    assert "ACC-2 is in no capture of as-found" in boxes.absent["ACC-2"][0].text
    assert boxes.absent["ACC-2"][0].settle == "a capture of ACC-2"
    assert boxes.devices["ACC-2"].bridge_ports["7"].doubt, "whether it takes a frame or passes it on is not known"
    assert boxes.handoffs == ("ACC-2:24",)
    assert moved.spot.place == "ACC-1:TenGigabitEthernet1/1/1"
    assert boxes.devices["ACC-1"].bridge_ports["TenGigabitEthernet1/1/1"].doubt


def test_other_surveys_are_asked_only_when_needed(tmp_path: Path) -> None:
    """A survey that knows all its names reads no other."""
    from closets import declared

    from vlancheck.site.build import Elsewhere, build

    def elsewhere() -> Elsewhere:
        raise AssertionError("asked")

    boxes = build(declared(tmp_path / "s", service("['ACC-1:7']")), [switch("ACC-1")], elsewhere=elsewhere)
    assert ended(boxes) == [("ACC-1:GigabitEthernet1/0/7", None)]


def test_a_sub_interface_that_this_survey_has_lost_keeps_its_tag(tmp_path: Path) -> None:
    """The fault that is looked for must not stop the run."""
    boxes = closet(
        tmp_path,
        service("['RTR-1:wan1.310']"),
        boxes=[switch("ACC-1"), router("RTR-1", 320)],
        others=[router("RTR-1", 310, 320)],
    )
    assert ended(boxes) == [("RTR-1:wan1", parse_frame("310"))]


def test_a_jack_that_only_another_sheet_names(tmp_path: Path) -> None:
    """Nothing is patched there where this sheet names its panel; else nobody knows."""
    other = "From,To,Label,Jack\nPANEL-B:17,ACC-1:7,C9,2.17\nPANEL-C:1,ACC-1:8,,\n"
    text = "holds: ['PANEL-B:17', 'PANEL-C:1', '2.17', C9]\n"
    text += "vlans: [{vid: 5, never: ['PANEL-B:17', 'PANEL-C:1', '2.17']}]\n"
    boxes = closet(tmp_path, text, "From,To\nPANEL-B:01,ACC-1:1\n", [switch("ACC-1")], other_sheet=other)

    assert [hold.places for hold in boxes.placed.holds] == [(), (), (), ()]
    assert [(spot.name, spot.absent) for spot in boxes.placed.vlans[0].never] == [
        ("PANEL-B:17", False),
        ("PANEL-C:1", True),
        ("2.17", False),
    ]


def test_boxes_that_only_the_sheet_or_the_declaration_names(tmp_path: Path) -> None:
    """A sheet's box is absent; a declared one has the ports that cords, sheet and handoffs name, and no other."""
    text = service(
        "['PBX-1:eth0', 'DIST-3:1', 'EDGE-1:2']", more="devices: {PBX-1: {kind: host}, EDGE-1: {kind: router}}\n"
    )
    sheet = "From,To\nACC-1:1,PBX-1:eth0\nACC-1:2,DIST-3:1\nACC-1:3,PRINTER-4:lan\nACC-1:4,PHONE-SW1:8\nACC-1:5,SW-9\n"
    boxes = closet(tmp_path, text, sheet, [switch("ACC-1")])

    assert [(cord.one.rpartition("/")[2], cord.other) for cord in boxes.cords] == [
        ("1", "PBX-1:eth0"),
        ("2", "DIST-3:1"),
        ("4", "PHONE-SW1:8"),
    ]
    assert (list(boxes.absent), list(boxes.devices["PBX-1"].ports)) == (["DIST-3", "PHONE-SW1"], ["eth0"])
    assert [doubt.why for doubt in boxes.doubts] == ["'SW-9' stands without a port"]
    assert boxes.devices["EDGE-1"].ends["2"].up.value is UNKNOWN
    assert boxes.endpoints["ACC-1:GigabitEthernet1/0/3"].text == "PRINTER-4:lan"

    with pytest.raises(SiteError, match="PBX-1 has no port 'eht0'") as caught:
        closet(tmp_path, text.replace("PBX-1:eth0", "PBX-1:eht0"), sheet, [switch("ACC-1")])
    assert caught.value.hint == "nearest: eth0"


def test_declared_boxes_are_built_from_what_is_declared(tmp_path: Path) -> None:
    """A carrier's box has its rows, a captured one its owner and kind."""
    text = """
        devices:
          ONU-1: {kind: carrier-box, owner: carrier, ports: {lan1: {service: metro, map: {881: 310}, origin: letter}}}
          ACC-1: {owner: carrier, kind: unmanaged}
          PANEL-B: {kind: panel}
          MC-1: {kind: through}
        links: [['ACC-1:1', 'MC-1:a'], ['MC-1:b', 'ONU-1:lan1'], ['PANEL-B:3', 'ACC-1:3']]
        """
    boxes = closet(tmp_path, text, boxes=[switch("ACC-1")])

    assert "metro" in boxes.devices["ONU-1"].ports
    assert (boxes.devices["ACC-1"].owner, boxes.devices["ACC-1"].kind) == ("carrier", DeviceKind.UNMANAGED)
    assert list(boxes.devices["MC-1"].ports) == ["a", "b"]
    assert "PANEL-B" not in boxes.devices
    assert boxes.spots.find("PANEL-B:3")[0].place == "ACC-1:GigabitEthernet1/0/3"


# ---- occupancy -----------------------------------------------------------------------------------------------------


def test_occupancy(tmp_path: Path) -> None:
    """A row, a link, a captured link or MAC is something; a sheet that names the device makes the rest empty."""
    sheet = "From,To\nACC-1:1,PANEL-B:01\nACC-1:2,spare\nACC-1:3,spare\nACC-1:4,?\n"
    text = "devices: {D: {kind: unmanaged}}\nlinks: [['ACC-1:5', 'D:1']]\nhandoffs: ['ACC-1:6']\n"
    boxes = closet(
        tmp_path,
        text,
        sheet,
        [switch("ACC-1", p1=False, p3=True, p8=True, p9=False), switch("ACC-2", p1=False, p2=True)],
    )

    def state(place: str) -> str:
        device, port = split_place(place)
        return boxes.occupancy(f"{device}:GigabitEthernet1/0/{port}").state.value

    assert [state(f"ACC-1:{number}") for number in (1, 5, 6)] == ["occupied"] * 3
    assert [state(f"ACC-1:{number}") for number in (3, 8)] == ["occupied"] * 2  # a capture shows a link
    assert [state(f"ACC-1:{number}") for number in (2, 7, 9)] == ["empty"] * 3
    assert state("ACC-1:4") == "unknown"
    assert [state(f"ACC-2:{number}") for number in (1, 2, 3)] == ["empty", "occupied", "unknown"]
    why = boxes.occupancy("ACC-1:GigabitEthernet1/0/7").origins[0]
    assert (why.kind, why.line) == (Kind.SHEET, 2)
    assert "no row names ACC-1:GigabitEthernet1/0/7" in why.text
    assert boxes.occupancy("ACC-2:GigabitEthernet1/0/3").origins[0].settle.startswith("a patch sheet that names ACC-2")
    with pytest.raises(KeyError):
        boxes.occupancy("ACC-1:none")


def test_a_mac_or_a_bundle_occupies(tmp_path: Path) -> None:
    """A MAC that a capture shows is something; a bundle is occupied when a member is."""
    from closets import declared, sheet_of

    from vlancheck.site.build import build

    bundled = switch("ACC-1")
    ports = dict(bundled.ports)
    for number in (1, 2):
        name = f"GigabitEthernet1/0/{number}"
        ports[name] = replace(ports[name], bundle="Po1")
    device = replace(bundled, ports={**ports, "Po1": Port(name="Po1")})
    boxes = build(
        declared(tmp_path / "s", "site: a\n"),
        [device],
        sheet_of(tmp_path, "From,To\nACC-1:2,PANEL-B:2\n"),
        seen={"ACC-1:GigabitEthernet1/0/9": SAID},
    )

    assert boxes.occupancy("ACC-1:GigabitEthernet1/0/9").origins == SAID
    assert boxes.occupancy("ACC-1:Po1").state is Occupancy.OCCUPIED
    assert boxes.occupancy("ACC-1:GigabitEthernet1/0/1").state is Occupancy.EMPTY


def test_a_device_named_without_its_port_leaves_its_free_ports_unknown(tmp_path: Path) -> None:
    """The cord may be in any of them."""
    sheet = "Panel port,Switch,Switch port\nPANEL-B:1,ACC-1,1\nPANEL-B:2,ACC-1,?\n"
    boxes = closet(tmp_path, "site: a\n", sheet, [switch("ACC-1")])

    assert boxes.occupancy("ACC-1:GigabitEthernet1/0/1").state is Occupancy.OCCUPIED
    assert boxes.occupancy("ACC-1:GigabitEthernet1/0/9").state is Occupancy.UNKNOWN


# ---- more names ----------------------------------------------------------------------------------------------------


def test_panel_ports_without_a_panel(tmp_path: Path) -> None:
    """A sheet may name its panel ports alone: they are names of places, and ends of links."""
    text = "devices: {D: {kind: unmanaged}}\nlinks: [['B08', 'D:1']]\nvlans: [{vid: 5, reaches: [b7]}]\n"
    boxes = closet(tmp_path, text, "Panel port,Switch port\nB07,ACC-1:7\nB08,ACC-1:8\n", [switch("ACC-1")])

    assert boxes.placed.vlans[0].endings[0].spot.place == "ACC-1:GigabitEthernet1/0/7"
    assert [(cord.one.rpartition("/")[2], cord.other) for cord in boxes.cords] == [("8", "D:1")]


def test_a_panel_port_between_two_ports_is_the_one_at_its_switch_side(tmp_path: Path) -> None:
    """The carrier's tray: our port in front of it, the carrier's box behind it; its cord alone names both."""
    text = "devices: {ONU: {kind: carrier-box}}\nhandoffs: ['TRAY:1']\nholds: [C1]\n"
    sheet = "From,To,Label\nTRAY:1,ONU:lan1,C2\nACC-1:24,TRAY:1,C1\n"
    boxes = closet(tmp_path, text, sheet, [switch("ACC-1")])

    assert boxes.handoffs == ("ACC-1:GigabitEthernet1/0/24",)
    assert boxes.placed.holds[0].places == ("ACC-1:GigabitEthernet1/0/24", "ONU:lan1")
    assert boxes.spots.find("ACC-1 port 24")[0].place == "ACC-1:GigabitEthernet1/0/24"


def test_a_renamed_port_is_known_in_any_form(tmp_path: Path) -> None:
    """The renaming says 24 and the service Gi1/0/24: the other survey's box knows that they are one port."""
    text = (
        "renamed: {as-left: {'SORT-1:24': 'SORT-2:4'}}\nvlans: [{vid: 5, reaches: ['SORT-1:Gi1/0/24', 'SORT-1:3']}]\n"
    )
    (tmp_path / "site" / "captures" / "as-left").mkdir(parents=True)
    boxes = closet(tmp_path, text, boxes=[switch("SORT-2")], survey="as-left", others=[switch("SORT-1")])
    renamed, absent = (ending.spot for ending in boxes.placed.vlans[0].endings)

    assert (renamed.place, renamed.absent) == ("SORT-2:GigabitEthernet1/0/4", False)
    assert (absent.place, absent.absent) == ("SORT-1:3", True)


def test_a_switchs_own_interface_is_always_there(tmp_path: Path) -> None:
    """Nothing is plugged into it, and frames end at it all the same."""
    device = switch("ACC-1", 2)
    device = replace(device, ports={**device.ports, "Vlan5": Port(name="Vlan5", kind=PortKind.INSIDE, origins=SAID)})
    boxes = closet(tmp_path, "site: a\n", "From,To\nACC-1:1,PANEL-B:1\n", [device])

    assert boxes.occupancy("ACC-1:Vlan5").state is Occupancy.OCCUPIED
    assert boxes.occupancy("ACC-1:Vlan5").origins == SAID


NAMES = st.one_of(
    st.sampled_from(["ACC-1:7", "PANEL-B:07", "2.07", "C-07", "ACC-1:1-3", "RTR-1:wan1.310", "X:1", "ACC-1", "?", "-"]),
    st.text(st.sampled_from("ACX-1:/.07 Gi,?"), min_size=1, max_size=12),
)


@settings(max_examples=150, deadline=None)
@given(at=NAMES, other=NAMES, row=st.tuples(NAMES, NAMES))
def test_any_name_is_a_place_or_one_error(
    tmp_path_factory: pytest.TempPathFactory, at: str, other: str, row: tuple[str, str]
) -> None:
    """Whatever stands in site.yaml and in a sheet: boxes, or an error that names site.yaml and a line."""
    text = f"links:\n  - {json.dumps([at, other])}\nvlans:\n  - {{vid: 5, reaches: [{json.dumps(at)}]}}\n"
    sheet = f"From;To;Label;Jack\nACC-1:7;PANEL-B:07;C-07;2.07\n{row[0]};{row[1]};;\n"
    caught: SiteError | None = None
    boxes: Boxes | None = None
    try:
        boxes = closet(tmp_path_factory.mktemp("c"), text, sheet, [switch("ACC-1"), router("RTR-1", 310)])
    except SiteError as error:
        caught = error
    assert caught is None or (caught.line in (2, 4) and caught.message)
    assert (boxes is None) == (caught is not None)
    if boxes is not None:
        for place in [place for cord in boxes.cords for place in (cord.one, cord.other)] + [*boxes.doubted]:
            device, port = split_place(place)
            assert port in boxes.devices[device].ports
        wire(boxes.devices.values(), [Link(cord.one, cord.other) for cord in boxes.cords], handoffs=boxes.handoffs)
