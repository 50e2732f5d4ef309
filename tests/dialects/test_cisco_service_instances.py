"""Service instances of IOS: chosen by their tags, with rewrites, in bridge domains that VLANs may share."""

from __future__ import annotations

import pytest

from dialects.boxes import came, device_of
from vlancheck import vids
from vlancheck.capture import Line, Section
from vlancheck.dot1q.model import Device
from vlancheck.reader import read, with_lines_pasted
from vlancheck.walk.walk import walk
from vlancheck.wiring import Network

SWITCH = "version 12.2\nhostname cage\nvtp mode transparent\nvlan 10\nvlan 20\n"
ROUTER = "version 16.9\nhostname rim\n"
POP = "rewrite ingress tag pop 1 symmetric"
POP2 = "rewrite ingress tag pop 2 symmetric"
TRUNK = ("switchport trunk allowed vlan none", "switchport mode trunk")


def port(number: int) -> str:
    """Return the name of a port."""
    return f"GigabitEthernet0/{number}"


def flow(number: int, *lines: str) -> str:
    """Return the lines of a service instance, under those of its port."""
    return "\n".join((f" service instance {number} ethernet", *(f"  {line}" for line in lines), " !"))


def interface(number: int, *parts: str) -> str:
    """Return the lines of a port; a part is a line, or the lines of a service instance."""
    return "\n".join((f"interface {port(number)}", *(one if "\n" in one else f" {one}" for one in parts), "!"))


def box(*parts: str, head: str = ROUTER) -> Device:
    """Return the device of some lines."""
    return device_of(head + "\n".join(parts) + "\nend\n")


def possible(found: Device, number: int, frame: str) -> set[tuple[str, str]]:
    """Return where a frame may come out, and how, of which nothing is certain."""
    walked = walk(Network([found], []), f"{found.name}:{port(number)}", frame)
    assert not walked.deliveries
    return {(one.port.partition(":")[2], one.frame) for one in walked.unproven}


# ---- examples that guides work through ----


def test_instances_of_one_domain_whose_tags_differ_exchange_nothing_without_a_rewrite() -> None:
    """ME 3800X and 3600X guide OL-23400-01, p.11-11, Bridge Domains and VLAN Encapsulation: 10 and 99 in 8000."""
    same = [interface(n, flow(1, "encapsulation dot1q 10", "bridge-domain 8000")) for n in (1, 2)]
    other = interface(2, flow(1, "encapsulation dot1q 99", "bridge-domain 8000"))
    assert came(box(*same), port(1), "10") == {(port(2), "10")}
    assert came(box(same[0], other), port(1), "10") == set()
    assert came(box(same[0], other), port(2), "99") == set()


def test_a_rewrite_lets_instances_of_different_tags_exchange_frames() -> None:
    """ME 3800X and 3600X guide OL-23400-01, p.11-11, Rewrite: one tag off on the way in, put back on the way out."""
    found = box(
        interface(1, flow(1, "encapsulation dot1q 10", POP, "bridge-domain 8000")),
        interface(2, flow(1, "encapsulation dot1q 99", POP, "bridge-domain 8000")),
    )
    assert came(found, port(1), "10") == {(port(2), "99")}
    assert came(found, port(2), "99.5") == {(port(1), "10.5")}


def test_instances_of_a_split_horizon_group_exchange_nothing() -> None:
    """ME 3800X and 3600X guide OL-23400-01, p.11-11 and 11-12, Split Horizon: 1 and 2 of one group, 3 of another, 4."""
    groups = {1: " split-horizon group 1", 2: " split-horizon group 1", 3: " split-horizon group 2", 4: ""}
    found = box(
        *(
            interface(n, flow(n, f"encapsulation dot1q {n}", POP, f"bridge-domain 8000{group}"))
            for n, group in groups.items()
        )
    )
    assert came(found, port(1), "1") == {(port(3), "3"), (port(4), "4")}
    assert came(found, port(4), "4") == {(port(1), "1"), (port(2), "2"), (port(3), "3")}


def test_two_instances_of_one_port_exchange_frames() -> None:
    """ME 3800X and 3600X guide OL-23400-01, p.11-12, Hairpinning: 10 and 20 of one port in domain 5000."""
    one, other = (flow(n, f"encapsulation dot1q {n}0", POP, "bridge-domain 5000") for n in (1, 2))
    assert came(box(interface(2, one, other)), port(2), "10") == {(port(2), "20")}


def test_a_frame_leaves_only_where_the_encapsulation_would_take_it_in() -> None:
    """ASR 901 guide OL-23826-09, p.8-12, Filtering: 10 over 20 leaves by the instance of 20, not by that of 30."""
    found = box(
        interface(1, flow(1, "encapsulation dot1q 20", "bridge-domain 19")),
        interface(2, flow(2, "encapsulation dot1q 30", "bridge-domain 19")),
        interface(
            3, flow(3, "encapsulation dot1q 10 second-dot1q 20", "rewrite ingress pop 1 symmetric", "bridge-domain 19")
        ),
    )
    assert came(found, port(3), "10.20") == {(port(1), "20")}
    assert came(found, port(1), "20") == {(port(3), "10.20")}
    assert came(found, port(2), "30") == set()


def test_customers_tags_cross_under_a_service_tag() -> None:
    """ME 3800X and 3600X guide OL-23400-01, p.11-19, QinQ method 1: 1-100 of A under 30, 1-200 of B under 40."""
    found = box(
        interface(1, flow(1, "encapsulation dot1q 1-100", "bridge-domain 5000")),
        interface(
            2,
            flow(1, "encapsulation dot1q 30", POP, "bridge-domain 5000"),
            flow(2, "encapsulation dot1q 40", POP, "bridge-domain 5001"),
        ),
        interface(3, flow(1, "encapsulation dot1q 1-200", "bridge-domain 5001")),
    )
    assert came(found, port(1), "100") == {(port(2), "30.100")}
    assert came(found, port(3), "100") == {(port(2), "40.100")}
    assert came(found, port(2), "40.200") == {(port(3), "200")}
    assert came(found, port(2), "30.200") == set()
    assert came(found, port(1), "101") == set()


def test_a_switchport_takes_off_and_puts_on_the_tag_of_the_domain() -> None:
    """ME 3800X and 3600X guide OL-23400-01, p.11-28, figure 11-10: 20 at the instance is 10 over 20 at the trunk."""
    found = box(
        interface(1, "switchport mode trunk"),
        interface(2, *TRUNK, flow(1, "encapsulation dot1q 20", "bridge-domain 10")),
        head=SWITCH,
    )
    assert came(found, port(2), "20") == {(port(1), "10.20")}
    assert came(found, port(1), "10.20") == {(port(2), "20")}


@pytest.mark.parametrize(
    ("lines", "frame"),
    [
        (("switchport mode trunk",), "10"),
        (("switchport trunk native vlan 10", "switchport mode trunk"), "untagged"),
        (("switchport access vlan 10", "switchport mode access"), "untagged"),
    ],
)
def test_without_a_rewrite_a_frame_that_has_no_tag_left_does_not_leave(lines: tuple[str, ...], frame: str) -> None:
    """ME 3800X and 3600X guide OL-23400-01, p.11-28, figures 11-9 and 11-11: the encapsulation does not fit."""
    found = box(
        interface(1, *lines),
        interface(2, *TRUNK, flow(1, "encapsulation dot1q 10", "bridge-domain 10")),
        head=SWITCH,
    )
    assert came(found, port(1), frame) == set()


def test_a_service_tag_is_pushed_at_a_customers_port_and_left_at_the_network() -> None:
    """ASR 920 Carrier Ethernet guide, p.411: push dot1ad 30 at the customers' ports, dot1ad 30 at the network's."""
    found = box(
        interface(
            1, flow(20, "encapsulation dot1q 20", "rewrite ingress tag push dot1ad 30 symmetric", "bridge-domain 20")
        ),
        interface(2, flow(20, "encapsulation dot1ad 30", "bridge-domain 20")),
    )
    assert came(found, port(1), "20") == {(port(2), "s30.20")}
    assert came(found, port(2), "s30.20") == {(port(1), "20")}
    walked = walk(Network([found], []), f"rim:{port(2)}", "s30.21")
    assert not walked.deliveries


# ---- a switch that sorts ----


def sorting(*rewrites: str) -> Device:
    """Return a switch whose handoff holds two services, which come out at an access port and untagged."""
    records, voice = rewrites
    return box(
        interface(
            1,
            *TRUNK,
            flow(310, "encapsulation dot1q 310", *([records] if records else ()), "bridge-domain 10"),
            flow(320, "encapsulation dot1q 320", *([voice] if voice else ()), "bridge-domain 20"),
        ),
        interface(2, "switchport access vlan 10", "switchport mode access"),
        interface(3, *TRUNK, flow(1, "encapsulation untagged", "bridge-domain 20")),
        head=SWITCH,
    )


def test_services_of_a_handoff_come_out_untagged_at_their_ports() -> None:
    """Each tag of the handoff is taken off and is a bridge domain; what has no instance is dropped."""
    found = sorting(POP, POP)
    assert came(found, port(1), "310") == {(port(2), "untagged")}
    assert came(found, port(1), "320") == {(port(3), "untagged")}
    assert came(found, port(2), "untagged") == {(port(1), "310")}
    assert came(found, port(3), "untagged") == {(port(1), "320")}
    assert came(found, port(1), "330") == came(found, port(1), "untagged") == set()


def test_without_the_rewrite_a_frame_has_a_tag_too_many() -> None:
    """A tag that nobody takes off comes out at the access port; an instance of untagged frames lets it out nowhere."""
    found = sorting("", "")
    assert came(found, port(1), "310") == {(port(2), "310")}
    assert came(found, port(1), "320") == set()
    assert came(found, port(2), "untagged") == set()


# ---- what else instances do ----


def test_the_most_particular_encapsulation_takes_the_frame() -> None:
    """Two tags go before one, one before all the rest; a trunk has what no instance selects."""
    found = box(
        interface(
            1,
            flow(1, "encapsulation dot1q 10", POP, "bridge-domain 101"),
            flow(2, "encapsulation dot1q 10 second-dot1q 20", POP2, "bridge-domain 102"),
            flow(3, "encapsulation default", "bridge-domain 103"),
        ),
        *(interface(n, flow(1, "encapsulation default", f"bridge-domain 10{n - 1}")) for n in (2, 3, 4)),
    )
    assert came(found, port(1), "10.20") == {(port(3), "untagged")}
    assert came(found, port(1), "10.30") == {(port(2), "30")}
    assert came(found, port(1), "77") == {(port(4), "77")}
    assert came(found, port(1), "untagged") == {(port(4), "untagged")}
    mixed = box(
        interface(
            1,
            "switchport trunk allowed vlan 10,20",
            "switchport mode trunk",
            flow(1, "encapsulation dot1q 20", POP, "bridge-domain 30"),
        ),
        interface(2, "switchport mode trunk"),
        "vlan 30",
        head=SWITCH,
    )
    assert came(mixed, port(1), "20") == {(port(2), "30")}
    assert came(mixed, port(1), "10") == {(port(2), "10")}


@pytest.mark.parametrize(
    ("rewrite", "encapsulation", "frame", "inside"),
    [
        ("translate 1-to-1 dot1q 99", "dot1q 10", "10", "99"),
        ("translate 1-to-1 dot1ad 99", "dot1q 10", "10.7", "s99.7"),
        ("translate 1-to-2 dot1q 99 second-dot1q 88", "dot1q 10", "10", "99.88"),
        ("translate 2-to-1 dot1q 99", "dot1q 10 second-dot1q 20", "10.20", "99"),
        ("translate 2-to-2 dot1ad 99 dot1q 88", "dot1q 10 second-dot1q 20", "10.20", "s99.88"),
        ("push dot1q 99", "dot1q 10", "10", "99.10"),
        ("push dot1q 99 second-dot1q 88", "untagged", "untagged", "99.88"),
        ("push dot1q 99", "default", "5", "99.5"),
        ("push dot1q 99 second-dot1q 88", "dot1q 10 second-dot1q 20", "10.20", "99.88.10.20"),
        ("pop 1", "dot1ad 10 dot1q 20-29", "s10.25", "25"),
    ],
)
def test_a_symmetric_rewrite_is_undone_on_the_way_out(
    rewrite: str, encapsulation: str, frame: str, inside: str
) -> None:
    """The way out is the inverse of the way in (ME 3800X and 3600X guide OL-23400-01, p.11-7, for pop)."""
    found = box(
        interface(
            1, flow(1, f"encapsulation {encapsulation}", f"rewrite ingress tag {rewrite} symmetric", "bridge-domain 7")
        ),
        interface(2, flow(1, "encapsulation default", "bridge-domain 7")),
    )
    assert came(found, port(1), frame) == {(port(2), inside)}
    assert came(found, port(2), inside) == {(port(1), frame)}


def test_what_a_push_does_to_other_tags_on_the_way_out_is_unproven() -> None:
    """No document says whether a frame without the pushed tag is dropped, or loses another one."""
    found = box(
        interface(
            1, flow(1, "encapsulation dot1q 10", "rewrite ingress tag push dot1q 99 symmetric", "bridge-domain 7")
        ),
        interface(2, flow(1, "encapsulation default", "bridge-domain 7")),
    )
    assert possible(found, 2, "55.10") == {(port(1), "10")}
    assert came(found, port(2), "untagged") == set()


def test_a_trunk_of_instances_takes_its_domains_from_the_tag() -> None:
    """ASR 920 Carrier Ethernet guide, Trunk EFP Support: one instance, and the tag is the domain."""
    trunk = flow(1, "encapsulation dot1q 12-14", POP, "bridge-domain from-encapsulation").replace(
        "instance 1", "instance trunk 1"
    )
    found = box(
        interface(1, trunk),
        interface(2, flow(1, "encapsulation dot1q 500", POP, "bridge-domain 13")),
        interface(3, trunk.replace("12-14", "13")),
    )
    assert came(found, port(1), "13") == {(port(2), "500"), (port(3), "13")}
    assert came(found, port(1), "15") == came(found, port(1), "12") == set()
    for gone in ("bridge-domain from-encapsulation", POP):
        assert box(interface(1, trunk.replace(gone, "description exit"))).bridge_ports[f"{port(1)}.EFP1"].doubt


def test_the_interface_of_a_domain_hears_frames_without_a_tag_or_with_its_own() -> None:
    """IOS-XE, bridge domain interfaces: without an encapsulation all tags must be off, else just its one is left."""
    edge = interface(1, flow(1, "encapsulation dot1q 100", POP, "bridge-domain 100"))
    bdi = "interface BDI100\n ip address 192.0.2.1 255.255.255.0\n"
    assert came(box(edge, bdi), port(1), "100") == {("BDI100", "untagged")}
    kept = edge.replace(POP, "description exit")
    assert came(box(kept, bdi), port(1), "100") == set()
    told = box(kept, bdi + " encapsulation dot1Q 100\n")
    assert came(told, port(1), "100") == {("BDI100", "untagged")}
    assert came(told, "BDI100", "untagged") == {(port(1), "100")}
    large = box(edge.replace("domain 100", "domain 8000"), bdi.replace("100", "8000"))
    assert came(large, port(1), "100") == {("BDI8000", "untagged")}


def test_a_vlan_interface_is_in_the_domain_of_its_number_and_hears_no_tag() -> None:
    """ME 3800X and 3600X guide OL-23400-01, p.11-25: interface Vlan 100 routes domain 100, both tags off."""
    parts = ("interface Vlan10\n ip address 192.0.2.1 255.255.255.0\n", "encapsulation dot1q 10 second-dot1q 20")
    found = box(interface(1, *TRUNK, flow(1, parts[1], POP2, "bridge-domain 10")), parts[0], head=SWITCH)
    assert came(found, port(1), "10.20") == {("Vlan10", "untagged")}
    kept = box(interface(1, *TRUNK, flow(1, parts[1], POP, "bridge-domain 10")), parts[0], head=SWITCH)
    assert came(kept, port(1), "10.20") == set()


def test_members_may_be_named_under_the_domain() -> None:
    """IOS-XE: bridge-domain N, member PORT service-instance N, for domains of any number."""
    ports = [interface(n, flow(n, f"encapsulation dot1q {n}0", POP)) for n in (1, 2)]
    for number in (10, 9000):
        members = "\n".join((f"bridge-domain {number}", *(f" member {port(n)} service-instance {n}" for n in (1, 2))))
        assert came(box(members, *ports), port(1), "10") == {(port(2), "20")}
        apart = "\n".join(f"{line} split-horizon group 0" if "member" in line else line for line in members.split("\n"))
        assert came(box(apart, *ports), port(1), "10") == set()


def test_an_instance_that_is_shut_carries_nothing() -> None:
    """`shutdown` under a service instance shuts it alone."""
    shut, other = (
        flow(n, f"encapsulation dot1q {n}0", POP, f"bridge-domain {n}0", *more)
        for n, more in ((1, ("shutdown",)), (2, ()))
    )
    ends = interface(
        2,
        flow(1, "encapsulation dot1q 1", POP, "bridge-domain 10"),
        flow(2, "encapsulation dot1q 2", POP, "bridge-domain 20"),
    )
    found = box(interface(1, shut, other), ends)
    assert came(found, port(1), "10") == set()
    assert came(found, port(1), "20") == {(port(2), "2")}


def test_a_bundle_has_instances_as_a_port_does() -> None:
    """ME 3800X and 3600X guide OL-23400-01, p.11-15, EFPs and EtherChannels."""
    found = box(
        "interface Port-channel5\n" + flow(1, "encapsulation dot1q 10", POP, "bridge-domain 7"),
        interface(1, "channel-group 5 mode active"),
        interface(2, flow(1, "encapsulation dot1q 20", POP, "bridge-domain 7")),
    )
    assert came(found, port(2), "20") == {("Port-channel5", "10")}


# ---- what is in doubt ----

ODD = [
    "xconnect 192.0.2.9 7 encapsulation mpls",
    "encapsulation dot1q 10 cos 3",
    "encapsulation dot1q 10 exact",
    "rewrite ingress tag pop 1",
    "rewrite egress tag push dot1q 5",
    "rewrite ingress tag pop 2 symmetric",
    "encapsulation dot1q 10-12\n  rewrite ingress tag pop 1 symmetric",
    "encapsulation default\n  rewrite ingress tag pop 1 symmetric",
    "encapsulation untagged , dot1q 10",
    "no bridge-domain 7",
    "no encapsulation dot1q 10",
    "bridge-domain from-encapsulation",
]


@pytest.mark.parametrize("line", ODD)
def test_what_is_not_modelled_leaves_the_instance_in_doubt(line: str) -> None:
    """Cross connects, rewrites that are not symmetric, encapsulations that look at more, and what does not fit."""
    found = box(interface(1, flow(1, "encapsulation dot1q 10", "bridge-domain 7", line)))
    assert found.bridge_ports[f"{port(1)}.EFP1"].doubt
    assert (
        not box(interface(1, flow(1, "encapsulation dot1q 10", "bridge-domain 7")))
        .bridge_ports[f"{port(1)}.EFP1"]
        .doubt
    )


@pytest.mark.parametrize(
    "line",
    [
        "switchport mode access",
        "switchport access vlan 7",
        "switchport trunk allowed vlan 5",
        "switchport",
        "dot1q tunneling ethertype 0x9100",
        "ethernet dot1ad nni",
        "channel-group 2 mode on",
        "access-session port-control auto",
    ],
)
def test_what_a_port_says_beside_its_instances_may_leave_them_in_doubt(line: str) -> None:
    """Switched ports that are no trunks, other Ethertypes, members of bundles, 802.1X."""
    found = box(interface(1, line, flow(1, "encapsulation dot1q 10", "bridge-domain 7")))
    assert found.bridge_ports[f"{port(1)}.EFP1"].doubt


def test_a_domain_with_lines_that_are_not_modelled_leaves_its_instances_in_doubt() -> None:
    """Pseudowires and EVPN carry frames elsewhere; other domains are as they were."""
    flows = [flow(n, f"encapsulation dot1q {n}", POP, f"bridge-domain {n}") for n in (1, 2)]
    for odd in (
        "bridge-domain 1\n member vfi PAIR",
        "bridge-domain 1\n member evpn-instance 4",
        "l2 vfi PAIR manual\n bridge-domain 1",
    ):
        found = box(odd, interface(1, *flows))
        assert found.bridge_ports[f"{port(1)}.EFP1"].doubt
        assert not found.bridge_ports[f"{port(1)}.EFP2"].doubt


def test_an_instance_of_all_frames_beside_a_trunk_that_carries_vlans_is_in_doubt() -> None:
    """Nothing says which of the two takes a frame."""
    lines = (flow(1, "encapsulation default", "bridge-domain 10"), "switchport mode trunk")
    found = box(interface(1, *lines), head=SWITCH)
    assert found.bridge_ports[f"{port(1)}.EFP1"].doubt
    assert found.bridge_ports[port(1)].doubt
    none = box(interface(1, *lines, "switchport trunk allowed vlan none"), head=SWITCH)
    assert not none.bridge_ports[f"{port(1)}.EFP1"].doubt
    assert port(1) not in none.bridge_ports


def test_whether_a_domain_makes_its_vlan_is_not_known_on_a_switch() -> None:
    """A switch whose VLANs are all captured has those, perhaps the domains, and nothing else."""
    found = box(interface(1, *TRUNK, flow(1, "encapsulation dot1q 10", POP, "bridge-domain 55")), head=SWITCH)
    exists = found.bridges[""].exists
    assert vids.text(exists.sure) == "1,10,20"
    assert vids.text(exists.possible) == "1,10,20,55"


def test_an_instance_whose_number_a_line_takes_away_is_gone() -> None:
    """`no service instance`, typed or not, leaves nothing of it."""
    lines = (flow(1, "encapsulation dot1q 10", POP, "bridge-domain 7"), "no service instance 1 ethernet")
    found = box(interface(1, *lines), interface(2, flow(1, "encapsulation dot1q 20", POP, "bridge-domain 7")))
    assert f"{port(1)}.EFP1" not in found.bridge_ports
    assert came(found, port(2), "20") == set()


# ---- typed lines ----


def section(text: str) -> Section:
    """Return lines without a prompt."""
    lines = tuple(Line(number, line) for number, line in enumerate(text.split("\n"), 1))
    return Section("box.txt", "", "", lines, None)


def after(text: str) -> Device:
    """Return the router of two ports in domain 7 after some lines are typed at it."""
    ports = (interface(n, flow(n, f"encapsulation dot1q {n}0", POP, "bridge-domain 7")) for n in (1, 2))
    printed = "\n".join((ROUTER.rstrip(), *ports, "end", ""))
    (found,) = with_lines_pasted(read([section(printed)]), {"rim": [section(text)]}).devices
    return found


@pytest.mark.parametrize("indent", ["", " ", "   "])
def test_typed_lines_edit_an_instance_however_they_are_indented(indent: str) -> None:
    """Lines under `service instance` are its own, whether people indent them or not."""

    def typed(*lines: str) -> Device:
        return after(
            "\n".join((f"interface {port(1)}", "service instance 1 ethernet", *(indent + one for one in lines)))
        )

    assert came(typed("encapsulation dot1q 11"), port(1), "11") == {(port(2), "20")}
    assert came(typed("bridge-domain 8"), port(1), "10") == set()
    assert came(typed("shutdown"), port(1), "10") == set()
    assert came(typed("no rewrite ingress tag pop 1 symmetric"), port(1), "10") == {(port(2), "20.10")}
    assert came(typed("bridge-domain 7 split-horizon", "exit"), port(1), "10") == {(port(2), "20")}
    assert typed("no bridge-domain 7").bridge_ports[f"{port(1)}.EFP1"].doubt
    assert typed("switchport mode trunk").bridge_ports[f"{port(1)}.EFP1"].doubt


def test_typed_lines_make_and_take_away_instances() -> None:
    """One after another under one port, with and without `exit`."""
    new = (f"service instance {n} ethernet\nencapsulation dot1q {n}\n{POP}\nbridge-domain 7" for n in (30, 40))
    found = after(f"interface {port(1)}\nno service instance 1\n" + "\n".join(new) + "\nexit\ndescription two")
    assert came(found, port(2), "20") == {(port(1), "30"), (port(1), "40")}
    assert found.ports[port(1)].description == "two"


def test_a_port_that_is_set_back_leaves_its_instances_in_doubt() -> None:
    """`default interface` takes away everything; which instances came after it is not followed."""
    found = after(f"default interface {port(1)}")
    assert found.bridge_ports[f"{port(1)}.EFP1"].doubt
    assert not found.bridge_ports[f"{port(2)}.EFP2"].doubt
