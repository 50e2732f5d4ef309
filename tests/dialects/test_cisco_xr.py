"""What is particular to IOS XR: circuits chosen by their tags, rewrites, bridge domains, cross connects."""

from __future__ import annotations

from dialects.boxes import came, device_of
from vlancheck.dot1q.model import Device
from vlancheck.walk.walk import walk
from vlancheck.wiring import Network

HEAD = "!! IOS XR Configuration 7.3.2\nhostname edge\n"


def circuit(name: str, *lines: str) -> str:
    """Return the lines of a sub-interface of layer 2; `name` is PORT.UNIT of a slot."""
    return "\n".join((f"interface GigabitEthernet0/0/0/{name} l2transport", *(f" {line}" for line in lines), "!"))


def domain(*names: str, more: str = "") -> str:
    """Return the lines of a bridge domain of some circuits."""
    inner = "".join(f"   interface GigabitEthernet0/0/0/{name}\n   !\n" for name in names)
    return f"l2vpn\n bridge group G\n  bridge-domain D\n{inner}{more}  !\n !\n!"


def box(*parts: str, head: str = HEAD) -> Device:
    """Return the router of some lines."""
    return device_of(head + "\n".join(parts) + "\nend\n")


def port(number: int) -> str:
    """Return the name of a main interface."""
    return f"GigabitEthernet0/0/0/{number}"


POP = "rewrite ingress tag pop 1 symmetric"


def test_a_rewrite_lets_circuits_of_different_tags_share_a_domain() -> None:
    """ASR 9000 L2VPN guide: a symmetric pop puts the tag of the encapsulation back on the way out."""
    found = box(
        circuit("1.10", "encapsulation dot1q 10", POP),
        circuit("2.20", "encapsulation dot1q 20", POP),
        circuit("3.1", "encapsulation untagged"),
        domain("1.10", "2.20", "3.1"),
    )
    assert came(found, port(1), "10") == {(port(2), "20"), (port(3), "untagged")}
    assert came(found, port(3), "untagged") == {(port(1), "10"), (port(2), "20")}
    assert came(found, port(1), "11") == set()


def test_without_a_rewrite_a_frame_keeps_its_tag_wherever_it_leaves() -> None:
    """ASR 9000 guide, egress EFP filtering: a frame may leave by a port not configured for its tag (asr-9000, p.41)."""
    parts = (
        circuit("1.10", "encapsulation dot1q 10"),
        circuit("2.20", "encapsulation dot1q 20"),
        domain("1.10", "2.20"),
    )
    assert came(box(*parts), port(1), "10") == {(port(2), "10")}


def test_a_strict_egress_filter_lets_out_only_what_would_be_taken_in() -> None:
    """ASR 9000 command reference 6.1.x, ethernet egress-filter; a sub-interface's own line goes before the global."""
    parts = (
        circuit("1.10", "encapsulation dot1q 10"),
        circuit("2.20", "encapsulation dot1q 20"),
        circuit("3.20", "encapsulation dot1q 20", "ethernet egress-filter disabled"),
        domain("1.10", "2.20", "3.20"),
        "ethernet egress-filter strict",
    )
    assert came(box(*parts), port(1), "10") == {(port(3), "10")}


def test_the_most_particular_encapsulation_takes_the_frame() -> None:
    """ASR 9000 Carrier Ethernet model: the longest match wins, and default takes what is left."""
    found = box(
        circuit("1.1", "encapsulation dot1q 10"),
        circuit("1.2", "encapsulation dot1q 10 second-dot1q 20", "rewrite ingress tag pop 2 symmetric"),
        circuit("1.3", "encapsulation default"),
        circuit("2.1", "encapsulation untagged"),
        circuit("3.1", "encapsulation default"),
        domain("1.2", "2.1"),
        domain("1.1", "1.3", "3.1").replace("bridge-domain D", "bridge-domain REST"),
    )
    assert came(found, port(1), "10.20") == {(port(2), "untagged")}
    assert came(found, port(2), "untagged") == {(port(1), "10.20")}
    assert (port(3), "10.30") in came(found, port(1), "10.30")
    assert (port(3), "99") in came(found, port(1), "99")


def test_push_and_translate_are_undone_on_the_way_out() -> None:
    """VPN and Ethernet command reference, rewrite ingress tag; symmetric: the reverse is done on egress."""
    found = box(
        circuit("1.10", "encapsulation dot1q 10", "rewrite ingress tag push dot1ad 100 symmetric"),
        circuit("2.1", "encapsulation dot1ad 100"),
        circuit("3.30", "encapsulation dot1q 30", "rewrite ingress tag translate 1-to-1 dot1ad 100 symmetric"),
        domain("1.10", "2.1", "3.30"),
    )
    assert came(found, port(1), "10") == {(port(2), "s100.10"), (port(3), "30.10")}
    assert came(found, port(2), "s100.10") == {(port(1), "10"), (port(3), "30.10")}


def test_what_a_push_does_to_other_tags_on_the_way_out_is_unproven() -> None:
    """No document says whether a frame without the pushed tag is dropped, sent as it is, or loses another tag."""
    found = box(
        circuit("1.10", "encapsulation dot1q 10", "rewrite ingress tag push dot1q 100 symmetric"),
        circuit("2.1", "encapsulation dot1q 55"),
        domain("1.10", "2.1"),
    )
    walked = walk(Network([found], []), f"edge:{port(2)}", "55.7")
    assert not walked.deliveries
    assert {one.frame for one in walked.unproven} == {"7", "55.7"}


def test_a_cross_connect_of_two_circuits_carries_frames_and_one_with_a_neighbour_is_in_doubt() -> None:
    """L2VPN guide: p2p with two interfaces switches locally; `neighbor` is a pseudowire, which is not followed."""
    lines = "l2vpn\n xconnect group G\n  p2p A\n   interface {}\n   interface {}.5\n  !\n  p2p B\n   interface {}.6\n   neighbor ipv4 192.0.2.9 pw-id 6\n   !\n  !\n !\n!"  # noqa: E501
    found = box(
        f"interface {port(1)}\n l2transport\n !\n!",
        circuit("2.5", "encapsulation dot1q 5", POP),
        circuit("2.6", "encapsulation dot1q 6", POP),
        lines.format(port(1), port(2), port(2)),
    )
    assert came(found, port(1), "70") == {(port(2), "5.70")}
    assert came(found, port(2), "5.70") == {(port(1), "70")}
    assert found.bridge_ports[f"{port(2)}.6"].doubt


def test_a_tunnel_or_an_unknown_line_leaves_the_circuits_of_its_domain_in_doubt() -> None:
    """VFIs, EVPN and lines that are not modelled carry frames elsewhere, or not at all."""
    for more in ("   vfi V\n    neighbor 192.0.2.9 pw-id 1\n", "   evi 7\n   !\n", "   etree\n    leaf\n"):
        found = box(
            circuit("1.10", "encapsulation dot1q 10", POP),
            circuit("2.10", "encapsulation dot1q 10", POP),
            domain("1.10", more=more),
            domain("2.10").replace("bridge-domain D", "bridge-domain E"),
        )
        assert found.bridge_ports[f"{port(1)}.10"].doubt
        assert not found.bridge_ports[f"{port(2)}.10"].doubt


def test_circuits_of_a_split_horizon_group_exchange_nothing() -> None:
    """L2VPN guide: attachment circuits of split horizon group 2 do not send to each other."""
    text = domain("1.1", "2.1", "3.1").replace("0/1.1\n", "0/1.1\n    split-horizon group\n")
    text = text.replace("0/2.1\n", "0/2.1\n    split-horizon group\n")
    found = box(*(circuit(f"{n}.1", "encapsulation dot1q 1") for n in (1, 2, 3)), text)
    assert came(found, port(1), "1") == {(port(3), "1")}


def test_the_routed_interface_of_a_domain_hears_frames_without_a_tag_alone() -> None:
    """L2VPN guide, integrated routing and bridging: the BVI is a routed interface, with no tags of its own."""
    found = box(
        circuit("1.10", "encapsulation dot1q 10", POP),
        circuit("2.20", "encapsulation dot1q 20"),
        domain("1.10", "2.20", more="   routed interface BVI1\n   !\n"),
        "interface BVI1\n ipv4 address 10.10.0.1 255.255.255.0\n!",
    )
    assert ("BVI1", "untagged") in came(found, port(1), "10")
    assert came(found, port(2), "20") == {(port(1), "10.20")}


def test_a_circuit_in_no_domain_relays_nothing_where_the_whole_text_is_there() -> None:
    """Of a part of the configuration nothing says where a circuit belongs."""
    lone = circuit("1.10", "encapsulation dot1q 10")
    assert not box(lone).bridge_ports[f"{port(1)}.10"].doubt
    assert came(box(lone), port(1), "10") == set()
    assert box(lone, head="hostname edge\n").bridge_ports[f"{port(1)}.10"].doubt


def test_what_is_not_modelled_leaves_the_circuit_in_doubt() -> None:
    """A rewrite of one direction, a pop whose tag on the way out is not one VID, another Ethertype."""
    for line in ("encapsulation dot1q 10\n rewrite ingress tag pop 1", f"encapsulation dot1q 10-12\n {POP}",
                 "encapsulation dot1q 10 ingress source-mac 0000.5e00.5301"):  # fmt: skip
        found = box(circuit("1.10", line), domain("1.10"))
        assert found.bridge_ports[f"{port(1)}.10"].doubt, line
    text = f"interface {port(1)}\n dot1q tunneling ethertype 0x9100\n!"
    found = box(text, circuit("1.10", "encapsulation dot1q 10 second-dot1q 20"), domain("1.10"))
    assert found.bridge_ports[f"{port(1)}.10"].doubt


def test_a_later_encapsulation_or_rewrite_replaces_the_one_before() -> None:
    """A sub-interface has one encapsulation and one rewrite; a line that is pasted later takes their place."""
    found = box(
        circuit("1.10", "encapsulation dot1q 10 second-dot1q 20 exact", "encapsulation dot1q 30",
                "rewrite ingress tag push dot1q 5 second-dot1q 6 symmetric", POP),
        circuit("2.1", "encapsulation dot1q 7", "encapsulation untagged"),
        domain("1.10", "2.1"),
    )  # fmt: skip
    assert came(found, port(1), "30.9") == {(port(2), "9")}
    assert came(found, port(2), "untagged") == {(port(1), "30")}
