"""Ports toward a carrier held against its order: each fault planted in a clean site, and what must stay quiet."""

import pytest

from checks.planting import found, planted, told
from vlancheck.checks import run
from vlancheck.notation import parse
from vlancheck.notation.judged import case

CLEAN = """
bridge sort exists=1,20,310,320-322 tree=one-tree
port sort:1 member=310,320-322
port sort:2 pvid=310 member=310 untagged=310
port sort:3 member=320-322
port sort:4 pvid=20 member=20 untagged=20
port sort:5 pvid=20 member=20 untagged=20
set sort:1 speed=nonegotiate
device nid kind=carrier-box owner=carrier
port nid:lan1
port nid:lan2
link sort:1 nid:lan1
handoff sort:1
ordered sort:1 circuit=EX-0001 carrier=metro nid-port=lan1 mode=tagged ce-vlans=0310 max-frame=1522 l2cp=discarded
ordered sort:1 circuit=EX-0002 carrier=metro type=EVP-LAN ce-vlans=0320-0322 preserved=yes ends="Mill St":0320-0322
service records 310 at sort:1 -> sort:2 untagged
service branch 320-322 at sort:1 -> sort:3 same
vlan 20 -> sort:4 untagged, sort:5 untagged
"""
PORT = "port sort:1 member=310,320-322"
ORDER = (
    "ordered sort:1 circuit=EX-0001 carrier=metro nid-port=lan1 mode=tagged ce-vlans=0310 max-frame=1522 l2cp=discarded"
)
OTHER = (
    "ordered sort:1 circuit=EX-0002 carrier=metro type=EVP-LAN ce-vlans=0320-0322 preserved=yes "
    'ends="Mill St":0320-0322'
)
LINK = "link sort:1 nid:lan1"
SERVICE = "service records 310 at sort:1 -> sort:2 untagged"


def test_clean_site_is_clean() -> None:
    assert told(CLEAN) == []


@pytest.mark.parametrize(
    ("old", "new", "codes"),
    [
        (PORT, "port sort:1 member=301,320-322", [("E103", "301,310", "sort:1")]),
        (PORT, "port sort:1 member=311,320-322", [("E103", "310-311", "sort:1")]),
        (PORT, "port sort:1 member=31,320-322", [("E103", "31,310", "sort:1")]),
        (SERVICE, "service records 301 at sort:1 -> sort:2 untagged", [("E103", "301", "sort:1")]),
        (LINK, "link sort:1 nid:lan2", [("E105", "none", "sort:1")]),
        (OTHER, OTHER.replace('"Mill St":0320-0322', '"Mill St":0320'), [("E106", "321-322", "sort:1")]),
        (OTHER, OTHER.replace("preserved=yes", "preserved=no"), [("E101", "none", "sort:1")]),
        (OTHER, OTHER.replace("EVP-LAN", "EP-LAN"), [("E101", "none", "sort:1")]),
        (OTHER, f"{OTHER} l2cp-set=CTB", [("E101", "none", "sort:1")]),
        (
            OTHER,
            OTHER.replace("0320-0322 p", "0310,0320-0322 p"),
            [("E101", "none", "sort:1"), ("E106", "310", "sort:1")],
        ),
        (ORDER, ORDER.replace("1522", "1518"), [("E107", "none", "sort:1")]),
        (ORDER, ORDER.replace("circuit=EX-0001 ", ""), [("E110", "none", "sort:1")]),
        (ORDER, ORDER.replace("carrier=metro ", ""), [("E110", "none", "sort:1")]),
        (ORDER, ORDER.replace("discarded", "shuts"), [("E108", "none", "sort:1")]),
        (ORDER, f"{ORDER} preserved=no", [("E104", "none", "sort:1")]),
        (ORDER, f"{ORDER} preserved=yes map=881:310", [("E104", "none", "sort:1")]),
    ],
    ids=[
        "digits swapped",
        "off by one",
        "digit missing",
        "declared wrong",
        "one port off",
        "ends unequal",
        "bundling not preserved",
        "list of a port service",
        "addresses of a port service",
        "one CE-VLAN in two services",
        "too short for a tag",
        "no circuit",
        "nobody to call",
        "shuts at our BPDUs",
        "not preserved",
        "preserved and mapped",
    ],
)
def test_planted_fault_is_the_finding(old: str, new: str, codes: list[tuple[str, str, str]]) -> None:
    text = planted(CLEAN, (old, new))
    if "service records 301" in new:
        text = planted(text, (PORT, "port sort:1 member=301,320-322"))
        text = planted(
            text, ("port sort:2 pvid=310 member=310 untagged=310", "port sort:2 pvid=301 member=301 untagged=301")
        )
        text = text.replace("exists=1,20,310", "exists=1,20,301")
    assert told(text) == codes


def test_wrong_tag_names_the_slip_and_carries_the_loss() -> None:
    (one,) = found(planted(CLEAN, (PORT, "port sort:1 member=301,320-322")))
    assert "301 where 310 is meant (two digits are swapped)" in one.headline
    assert (one.severity.value, len(one.effects)) == ("error", 1)
    assert one.effects[0].startswith("records: sort:2 is dropped")


@pytest.mark.parametrize(
    ("mode", "port", "codes"),
    [
        ("tagged", "pvid=310 member=310 untagged=310", [("E102", "none", "sw1:1")]),
        ("untagged", "member=310", [("E102", "none", "sw1:1")]),
        ("untagged", "pvid=310 member=310 untagged=310", []),
        ("tunnel", "member=310", []),
    ],
)
def test_mode(mode: str, port: str, codes: list[tuple[str, str, str]]) -> None:
    tag = "untagged" if mode == "untagged" else "310"
    text = f"""
    bridge sw1 exists=1,310
    port sw1:1 {port}
    port sw1:2 pvid=310 member=310 untagged=310
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro mode={mode}
    service records {tag} at sw1:1 -> sw1:2 untagged
    """
    assert told(text) == codes


ROUTER = """
device rtr kind=router
port rtr:wan
end rtr:wan.705 on=wan takes=705
port rtr:lan
end rtr:lan on=lan
handoff rtr:wan
ordered rtr:wan circuit=EX-0001 carrier=metro mode=tagged ce-vlans=0750
"""


def test_router_at_the_handoff() -> None:
    assert told(ROUTER) == [("E103", "705,750", "rtr:wan")]
    assert told(ROUTER.replace("=705", "=750")) == []
    assert told(ROUTER.replace("takes=705", "takes=0,untagged")) == [("E102", "none", "rtr:wan")]


GUARDED = ("set sort:1 speed=nonegotiate", "set sort:1 speed=nonegotiate bpdu-guard=yes")


@pytest.mark.parametrize(
    ("l2cp", "more", "severities"),
    [
        (" l2cp=passed", "", ["warning"]),
        (" l2cp=peered", "", ["warning"]),
        ("", "", ["note"]),
        (" l2cp=discarded", "", []),
        (" l2cp=passed", " bpdu-filter=yes", []),
    ],
)
def test_guard_toward_a_carrier(l2cp: str, more: str, severities: list[str]) -> None:
    text = planted(CLEAN, (ORDER, ORDER.replace(" l2cp=discarded", l2cp)), (GUARDED[0], GUARDED[1] + more))
    made = found(text)
    assert [(one.code, one.severity.value) for one in made] == [("E108", severity) for severity in severities]
    assert all("ask the carrier" in one.settled_by and "L2CP" in one.settled_by for one in made)


@pytest.mark.parametrize(
    ("tree", "here", "severities"),
    [
        ("one-tree", "", ["warning"]),
        ("?", "", ["note"]),
        ("off", "", []),
        ("one-tree", "tree-here=off", []),
        ("one-tree", "tree-here=?", ["note"]),
        ("one-tree", "bpdu-filter=yes", []),
        ("one-tree", "bpdu-filter=no", ["warning"]),
        ("one-tree", 'bpdu-filter="until a BPDU arrives"', ["note"]),
    ],
)
def test_port_of_the_carrier_shuts_at_a_bpdu_that_leaves_ours(tree: str, here: str, severities: list[str]) -> None:
    text = f"""
    bridge sw1 exists=310 tree={tree}
    port sw1:1 member=310
    port sw1:2 pvid=310 member=310 untagged=310
    {f"set sw1:1 {here}" if here else ""}
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro l2cp=shuts
    service records 310 at sw1:1 -> sw1:2 untagged
    """
    assert [(one.code, one.severity.value) for one in found(text)] == [("E108", severity) for severity in severities]


def test_two_ways_that_no_tree_sees() -> None:
    text = """
    bridge sw1 exists=310 tree=one-tree
    port sw1:1 member=310
    port sw1:2 member=310
    port sw1:3 pvid=310 member=310 untagged=310
    handoff sw1:1 sw1:2
    ordered sw1:1 circuit=EX-0001 carrier=metro l2cp=discarded
    ordered sw1:2 circuit=EX-0002 carrier=metro l2cp=discarded
    service records 310 at sw1:1 sw1:2 -> sw1:3 untagged
    """
    assert told(text) == [("E108", "none", "sw1:1 sw1:2")]
    assert told(text.replace("EX-0002 carrier=metro l2cp=discarded", "EX-0002 carrier=metro l2cp=passed")) == []


@pytest.mark.parametrize(("size", "codes"), [("1500", ["E107"]), ("1504", []), ("1522", ["E107"]), ("9000", [])])
def test_frame_on_its_way_wears_every_pushed_tag(size: str, codes: list[str]) -> None:
    text = f"""
    bridge sw1 exists=340
    port sw1:1 pvid=340 member=340 untagged=340
    entry sw1:1 push=340
    port sw1:2 member=340
    bridge sw2 exists=340
    port sw2:1 member=340
    port sw2:2 member=340
    link sw1:2 sw2:1
    set sw1:2 max-frame={size}
    handoff sw1:1
    service tunnel 100 at sw1:1 -> sw2:2 340.100
    """
    made = found(text)
    assert [one.code for one in made] == codes
    for one in made:
        assert "has 1526 octets at sw1:2 (2 tags)" in one.headline
        assert bool(one.settled_by) is (size == "1522"), "1522 may count the whole frame, or what is in it"


def test_addresses_of_the_carriers_side_do_not_count() -> None:
    text = planted(CLEAN, (ORDER, f"{ORDER} mac-limit=1"))
    ours = "\nhears sort:2 0000.5e00.5301 vid=310"
    assert told(text + ours) == []
    assert told(text + "\nhears sort:1 0000.5e00.5301 0000.5e00.5302 vid=310") == []
    assert told(text + "\nhears sort:2 0000.5e00.5301 0000.5e00.5302 vid=310") == [("E109", "none", "sort:1")]


def test_port_of_the_carriers_box_is_where_it_was() -> None:
    before = planted(CLEAN, (ORDER, ORDER.replace(" nid-port=lan1", "")))
    after = planted(before, (LINK, "link sort:1 nid:lan2"))
    made = [one.code for one in run(case(parse(after), parse(before)))]
    assert made == ["E105"]
    assert [one.code for one in run(case(parse(before), parse(before)))] == []


@pytest.mark.parametrize(
    ("now", "codes"),
    [("speed=nonegotiate", []), ("speed=auto", ["E111"]), ("max-frame=1600", ["E111"]), ("speed=1000", ["E111"])],
)
def test_negotiation_is_carried_over(now: str, codes: list[str]) -> None:
    after = planted(CLEAN, ("set sort:1 speed=nonegotiate", f"set sort:1 {now}"))
    made = run(case(parse(after), parse(CLEAN)))
    assert [one.code for one in made] == codes
    assert all("negotiates" in one.settled_by for one in made)


@pytest.mark.parametrize(
    "line",
    [
        "hears sort:1 neighbour=unknown",
        "unseen sort:4",
        'setting sort "bundle-alone"=down',
    ],
)
def test_handoff_is_left_alone(line: str) -> None:
    """No neighbour is asked for at a handoff, and none that speaks there changes anything."""
    assert told(f"{CLEAN.strip()}\n{line}") == []


def test_handoff_without_an_order_is_left_alone() -> None:
    text = planted(CLEAN, (ORDER, "# no order"), (OTHER, "# no order"))
    assert told(text) == []


def test_order_fields_that_go_together() -> None:
    """Every type with the fields that its definition asks for."""
    for fields in (
        "type=EPL ce-vlans=all preserved=yes l2cp-set=CTB-2 ends=far:all",
        "type=EP-LAN ce-vlans=all preserved=yes l2cp-set=CTB mac-limit=100",
        "type=EVPL ce-vlans=0310 preserved=no map=881:310 l2cp-set=CTA max-frame=1522",
        "type=EVP-Tree ce-vlans=0310-0311 preserved=yes untagged=0310",
    ):
        text = f"""
        bridge sw1 exists=310-311
        port sw1:1 member=310-311
        port sw1:2 member=310-311
        handoff sw1:1
        ordered sw1:1 circuit=EX-0001 carrier=metro {fields}
        service records 310-311 at sw1:1 -> sw1:2 same
        """
        assert "E101" not in {code for code, _, _ in told(text)}, fields


@pytest.mark.parametrize(
    ("fields", "source"),
    [
        ("type=EPL ce-vlans=0310", "MEF 6.2, R21"),
        ("type=EVPL ce-vlans=all", "MEF 6.2, R31"),
        ("type=EP-LAN preserved=no", "MEF 6.2, R29"),
        ("ce-vlans=0310-0311 preserved=no", "MEF 10.3, R25"),
        ("ce-vlans=all untagged=0310", "MEF 10.3, 9.9"),
        ("type=EVPL ends=one:0310;two:0310 ce-vlans=0310", "MEF 6.2, R25"),
        ("type=EPL mac-limit=5", "MEF 6.2, R24"),
        ("type=EPL l2cp-set=CTA", "MEF 45.1, 8.1"),
        ("type=EVPL l2cp-set=CTB", "MEF 45.1, 8.1"),
        ("type=EP-Tree l2cp-set=CTB-2", "MEF 45.1, 8.1"),
        ("max-frame=1518", "MEF 10.4, 9.8"),
        ("mode=untagged untagged=refused", "common practice"),
    ],
)
def test_order_fields_that_do_not(fields: str, source: str) -> None:
    text = f"""
    bridge sw1 exists=310
    port sw1:1 member=310
    handoff sw1:1
    ordered sw1:1 circuit=EX-0001 carrier=metro {fields}
    """
    (one,) = [one for one in found(text) if one.code == "E101"]
    assert any(source in where.label for where in one.where)
    assert one.settled_by.startswith("ask the carrier")
