"""OpenConfig interfaces and VLANs (openconfig-vlan.yang, switched-vlan) as RFC 7951 writes them in JSON."""

from __future__ import annotations

import json
from typing import Any

import pytest

from dialects.boxes import device_of, fields
from vlancheck import vids
from vlancheck.capture import Line, Section
from vlancheck.dot1q.model import Device
from vlancheck.reader import read


def tree(switched: dict[str, Any], *, prefix: bool = True, vlans: bool = True) -> str:
    """Return the text of a tree with one port."""
    module = (lambda name, word: f"{name}:{word}") if prefix else (lambda name, word: word)
    port = {
        "name": "eth1",
        module("openconfig-if-ethernet", "ethernet"): {
            module("openconfig-vlan", "switched-vlan"): {"config": switched}
        },
    }
    root: dict[str, Any] = {module("openconfig-interfaces", "interfaces"): {"interface": [port]}}
    if vlans:
        root["vlans"] = {"vlan": [{"vlan-id": 10, "config": {"vlan-id": 10}}]}
    return json.dumps(root, indent=1)


def box(switched: dict[str, Any], **more: bool) -> Device:
    """Return the box of a tree with one port."""
    return device_of(tree(switched, **more))


@pytest.mark.parametrize("prefix", [True, False])
def test_module_prefixes_may_be_there_or_not(prefix: bool) -> None:
    """RFC 7951, 4: a member has a prefix where its module differs from that of its parent."""
    assert box({"interface-mode": "ACCESS", "access-vlan": 10}, prefix=prefix).bridge_ports["eth1"].pvid.value == 10


def test_a_trunk_carries_its_list_and_its_native_vlan_untagged() -> None:
    """openconfig-vlan.yang: trunk-vlans is a list of VIDs and ranges `x..y`; native-vlan is that of untagged frames."""
    one = box({"interface-mode": "TRUNK", "native-vlan": 30, "trunk-vlans": [10, "20..22"]}).bridge_ports["eth1"]
    assert vids.text(one.member.sure) == "10,20-22,30"
    assert vids.text(one.untagged.sure) == "30"
    assert one.pvid.value == 30
    assert vids.text(one.admit.sure) == "10,20-22"


def test_what_the_tree_does_not_say_is_not_known() -> None:
    """A trunk without a list, one without a native VLAN, an access port without its VLAN, a tree without VLANs."""
    one = box({"interface-mode": "TRUNK"}).bridge_ports["eth1"]
    assert (one.member.sure, one.member.possible) == (0, -1)
    one = box({"interface-mode": "TRUNK", "trunk-vlans": [10]}).bridge_ports["eth1"]
    assert one.pvid.value not in (None, 1, 10)
    one = box({"interface-mode": "ACCESS"}).bridge_ports["eth1"]
    assert one.pvid.value not in (None, 1)
    assert box({"interface-mode": "ACCESS", "access-vlan": 10}, vlans=False).bridges[""].exists.possible == -1


def test_other_tags_of_an_access_port_are_dropped() -> None:
    """Taken so, and said to be assumed."""
    found = box({"interface-mode": "ACCESS", "access-vlan": 10})
    assert found.bridge_ports["eth1"].admit.possible == 1 << 10
    with pytest.raises(AssertionError):
        fields(found, "eth1")  # whether its own tag is taken is not known


def test_a_tree_without_the_lists_is_said_to_be_none() -> None:
    """It is a note, never a crash."""
    text = '{"openconfig-interfaces:interfaces": {"count": 3}, "interface-mode": 1}'
    reading = read([Section("x.json", "", "", (Line(1, text),), None)], dialects={"x": "openconfig"})
    assert any("none of the lists" in note.message for note in reading.notes)
