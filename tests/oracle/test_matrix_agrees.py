"""The 90 frames of Open vSwitch's own published VLAN test, walked through the model; no switch is needed.

Published in openvswitch/ovs, commit d6a632a9, tests/ofproto-dpif.at, "ofproto-dpif - VLAN handling"; the rows stand in
ovs_vlan_handling.tsv and are proved on the switch itself by test_ovs_matrix.py.  The bridge is written as
`ovs-vsctl --format=json list ...` prints it and read by the project's own reader.

Every row is walked and compared, but the model carries no priority code point (PCP), which leaves out two things:

* the PCP of a tag that leaves (37 rows with PCP 1): the tag is compared by its VID;
* a frame in the port's own VLAN with PCP 1 that leaves a port of priority-tags=if-nonzero with a tag of VID 0
  (`0.p1`, 27 copies in 10 of those 37 rows): the model has one frame where the switch has two by PCP, the untagged one.
  That a copy leaves there is compared, its tag is not; every other copy of the row is compared in full.
"""

from __future__ import annotations

import json
import uuid
from collections import Counter
from collections.abc import Iterable

import pytest

from vlancheck import capture, reader
from vlancheck.dot1q.tags import Tag, format_frame
from vlancheck.walk.walk import walk
from vlancheck.wiring import Network, wire

from .test_ovs_matrix import WIRING, _expected, _name, rows
from .wirings import C_TPID, Port

BRIDGE = WIRING.bridges[0]
PORTS = (Port(BRIDGE.name), *BRIDGE.ports)  # the local port, which has the bridge's name, comes with every bridge
EMPTY = ["set", []]
Copy = tuple[str, str]  # port, frame as written


def _id(*words: str) -> list[str]:
    return ["uuid", str(uuid.uuid5(uuid.NAMESPACE_OID, " ".join(words)))]


def _set(members: Iterable[object]) -> object:
    """Return a set as the database prints it: the one member alone, else all in a list."""
    held = list(members)
    return held[0] if len(held) == 1 else ["set", held]


def _map(**pairs: str | None) -> object:
    return ["map", sorted([key.replace("_", "-"), value] for key, value in pairs.items() if value is not None)]


def _table(rows: list[dict[str, object]]) -> str:
    headings = sorted(rows[0])
    return json.dumps({"data": [[row[column] for column in headings] for row in rows], "headings": headings})


def _port(port: Port) -> dict[str, object]:
    return {
        "_uuid": _id("port", port.name),
        "bond_fake_iface": False,
        "cvlans": _set(port.cvlans),
        "external_ids": _map(),
        "fake_bridge": False,
        "interfaces": _id("interface", port.name),
        "lacp": EMPTY,
        "name": port.name,
        "other_config": _map(priority_tags=port.priority_tags, qinq_ethtype=port.qinq_ethtype),
        "protected": port.protected,
        "tag": EMPTY if port.tag is None else port.tag,
        "trunks": _set(port.trunks),
        "vlan_mode": port.vlan_mode or EMPTY,
    }


def _interface(port: Port) -> dict[str, object]:
    return {
        "_uuid": _id("interface", port.name),
        "admin_state": "up",
        "error": EMPTY,
        "ingress_policing_rate": 0,
        "link_state": "up",
        "name": port.name,
        "type": "internal" if port.name == BRIDGE.name else "",
    }


def printed() -> str:
    """Return the console text of the four tables of the published test's bridge."""
    bridge = {
        "_uuid": _id("bridge", BRIDGE.name),
        "controller": EMPTY,
        "fail_mode": "standalone",
        "mcast_snooping_enable": False,
        "mirrors": EMPTY,
        "name": BRIDGE.name,
        "ports": _set(_id("port", port.name) for port in PORTS),
        "rstp_enable": False,
        "stp_enable": False,
    }
    switch = {"_uuid": _id("switch"), "bridges": _id("bridge", BRIDGE.name), "other_config": _map(vlan_limit="0")}
    tables = {
        "bridge": _table([bridge]),
        "port": _table([_port(port) for port in PORTS]),
        "interface": _table([_interface(port) for port in PORTS]),
        "open_vswitch": _table([switch]),
    }
    prompt = "root@lab:~# "
    return "".join(f"{prompt}ovs-vsctl --format=json list {name}\n{text}\n" for name, text in tables.items()) + prompt


@pytest.fixture(scope="module")
def network(tmp_path_factory: pytest.TempPathFactory) -> Network:
    """Return what the reader makes of the printed tables."""
    folder = tmp_path_factory.mktemp("matrix")
    path = folder / "lab.txt"
    path.write_text(printed(), encoding="utf-8")
    reading = reader.read(capture.load([path], root=folder))
    assert not reading.notes
    (device,) = reading.devices
    assert not device.unread
    assert set(device.bridge_ports) == {port.name for port in PORTS}
    return wire([device], [])


def _walked(network: Network, row: dict[str, str]) -> set[Copy]:
    frame = () if row["vid"] == "none" else (Tag(C_TPID, int(row["vid"])),)
    found = walk(network, f"lab:{_name(row['in_port'])}", frame)
    assert found.complete
    return {(delivery.port.removeprefix("lab:"), delivery.frame) for delivery in found.deliveries}


def _published(row: dict[str, str]) -> tuple[set[Copy], set[str]]:
    """Return the copies of a row without their PCP, and the ports that a copy leaves with a tag of VID 0."""
    copies: set[Copy] = set()
    by_priority: set[str] = set()
    for port, tags in _expected(row["expected"]):
        if tags == ((C_TPID, 0, 1),):
            by_priority.add(port)
        else:
            copies.add((port, format_frame(tuple(Tag(tpid, vid) for tpid, vid, _ in tags))))
    return copies, by_priority


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"{row['in_port']}-{row['vid']}-{row['pcp']}")
def test_published_row_is_walked(network: Network, row: dict[str, str]) -> None:
    """Every copy that the published row names, and no other, leaves the model."""
    copies, by_priority = _published(row)
    walked = _walked(network, row)
    assert {copy for copy in walked if copy[0] not in by_priority} == copies
    assert {copy for copy in walked if copy[0] in by_priority} == {(port, "untagged") for port in by_priority}


def test_no_row_is_left_out() -> None:
    """What is compared in full and what is not is counted, and a VID 0 leaves only where the port's setting says so."""
    kinds: Counter[str] = Counter()
    copies = 0
    for row in rows():
        inside, by_priority = _published(row)
        copies += len(inside) + len(by_priority)
        assert by_priority <= {port.name for port in PORTS if port.priority_tags == "if-nonzero"}
        kinds["PCP 0" if row["pcp"] == "0" else "PCP 1, some with VID 0" if by_priority else "PCP 1"] += 1
        kinds["copies not compared by tag"] += len(by_priority)
    assert copies == 416
    assert kinds == {"PCP 0": 53, "PCP 1": 27, "PCP 1, some with VID 0": 10, "copies not compared by tag": 27}
