"""The 90 frames of Open vSwitch's own published VLAN test, traced here: proves the harness, not the product."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from .actions import TagPcp
from .ovs import Ovs
from .wirings import C_TPID, Bridge, Port, Wiring

pytestmark = pytest.mark.oracle

TABLE = Path(__file__).with_name("ovs_vlan_handling.tsv")
# The ports of that test; "ofproto-dpif - VLAN handling" in tests/ofproto-dpif.at of openvswitch/ovs.
WIRING = Wiring(
    (
        Bridge(
            "br0",
            (
                Port("p1", trunks=(10, 12)),
                Port("p2", tag=10),
                Port("p3", tag=12, priority_tags="if-nonzero"),
                Port("p4", tag=12),
                Port("p5", "native-tagged", tag=10),
                Port("p6", "native-tagged", tag=10, trunks=(10, 12)),
                Port("p7", "native-untagged", tag=12),
                Port("p8", "native-untagged", tag=12, trunks=(10, 12), priority_tags="if-nonzero"),
                Port("p9", "dot1q-tunnel", tag=10, qinq_ethtype="802.1q"),
                Port("p10", "dot1q-tunnel", tag=10, cvlans=(10, 12), qinq_ethtype="802.1q"),
                Port("p11", "dot1q-tunnel", tag=12, qinq_ethtype="802.1q"),
                Port("p12", "dot1q-tunnel", tag=12, qinq_ethtype="802.1q", priority_tags="if-nonzero"),
            ),
        ),
    )
)


def rows() -> list[dict[str, str]]:
    """Return the table's rows; comment lines are left out."""
    with TABLE.open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader((line for line in table if not line.startswith("#")), delimiter="\t"))


@pytest.fixture(scope="module")
def matrix(ovs: Ovs) -> Ovs:
    """Return the switch with the ports of the published test."""
    ovs.build(WIRING)
    return ovs


def test_table_is_whole() -> None:
    assert len({(row["in_port"], row["vid"], row["pcp"]) for row in rows()}) == 90


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"{row['in_port']}-{row['vid']}-{row['pcp']}")
def test_published_row(matrix: Ovs, row: dict[str, str]) -> None:
    tags: tuple[TagPcp, ...] = () if row["vid"] == "none" else ((C_TPID, int(row["vid"]), int(row["pcp"])),)
    copies = matrix.trace_with_pcp("br0", _name(row["in_port"]), tags)
    assert len(copies) == len(set(copies)), "a port got the same copy twice"
    assert {(port, worn) for (_, port), worn in copies} == _expected(row["expected"])


def _name(number: str) -> str:
    """Return our port name for the table's number; 100 is the local port."""
    return "br0" if number == "100" else f"p{number}"


def _expected(text: str) -> set[tuple[str, tuple[TagPcp, ...]]]:
    """Read `10.p0 -> 1,5; 10.p0/11.p0 -> 100; untagged -> 2` or `drop`."""
    if text == "drop":
        return set()
    pairs = (part.split(" -> ") for part in text.split("; "))
    return {(_name(number), _tags(worn)) for worn, numbers in pairs for number in numbers.split(",")}


def _tags(text: str) -> tuple[TagPcp, ...]:
    if text == "untagged":
        return ()
    return tuple((C_TPID, int(vid), int(pcp)) for vid, pcp in (tag.split(".p") for tag in text.split("/")))
