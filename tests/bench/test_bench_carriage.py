"""Connectivity and the exact relation beside scipy's connectivity, in the same run: `pytest -s tests/bench`.

Figures are printed and never asserted; what is asserted is that both find the same.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TypeVar

import numpy as np
import pytest
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from wiring.boxes import access, bridge_port, switch

from vlancheck.dot1q.forward import World
from vlancheck.walk import walk
from vlancheck.walk.layout import Layout
from vlancheck.walk.pieces import Pieces, components
from vlancheck.walk.walk import plant
from vlancheck.wiring import Network

from .fabric import Fabric, fabric

T = TypeVar("T")


def timed(what: Callable[[], T], times: int = 3) -> tuple[float, T]:
    """Return the best of a few runs in seconds, and what the last one returned."""
    best, result = float("inf"), None
    for _ in range(times):
        began = time.perf_counter()
        result = what()
        best = min(best, time.perf_counter() - began)
    assert result is not None
    return best, result


def peer(drawn: Fabric, switches: int, width: int) -> int:
    """Return how many components the (switch, VLAN) product graph has, by scipy, its construction included."""
    ones, others = [], []
    octets = (width + 8) // 8 + 1
    for one, other, carried in drawn.uplinks:
        bits = np.unpackbits(np.frombuffer(carried.to_bytes(octets, "little"), dtype=np.uint8), bitorder="little")
        vids = np.flatnonzero(bits)
        ones.append(one * width + vids)
        others.append(other * width + vids)
    rows, columns = np.concatenate(ones), np.concatenate(others)
    graph = coo_matrix((np.ones(len(rows), dtype=np.int8), (rows, columns)), shape=(switches * width, switches * width))
    count, _ = connected_components(graph.tocsr(), directed=False)
    return int(count)


@pytest.mark.parametrize("share", [0.6, 1.0])
def test_connectivity_beside_scipy(share: float) -> None:
    """1,000 switches with 24 access ports each, 2,000 uplinks, 500 VLANs."""
    switches, vlans = 1000, 500
    width = vlans + 2
    drawn = fabric(7, switches=switches, access=24, uplinks=2000, vlans=vlans, share=share)
    held = [drawn.vlans] * switches
    scipy_time, theirs = timed(lambda: peer(drawn, switches, width))
    plain_time, ours = timed(lambda: components(held, drawn.uplinks))
    layout = Layout(plant(drawn.network, World.SURE))
    exact_time, speeches = timed(lambda: Pieces(layout).speeches(), 1)
    print(
        f"\nshare {share}: scipy {scipy_time:.3f} s, plain connectivity {plain_time:.3f} s "
        f"({scipy_time / plain_time:.1f} times faster), exact relation by class {exact_time:.3f} s "
        f"({exact_time / scipy_time:.2f} times scipy)"
    )

    assert ours.count == theirs - 2 * switches  # VIDs 0 and 1 of the product graph stand alone
    assert len(speeches) > 0


def test_single_walks() -> None:
    """20,000 walks of one frame on a small wiring, through the Python interface."""
    boxes = [
        switch(name, access("1", 10), access("2", 20), bridge_port("t", member="10,20"), bridge_port("u", member="10"))
        for name in ("A", "B", "C")
    ]
    network = Network(boxes, [("A:t", "B:t"), ("B:u", "C:u")])
    began = time.perf_counter()
    found = [walk(network, "A:1", "untagged").deliveries for _ in range(20_000)]
    print(f"\n20,000 walks: {time.perf_counter() - began:.2f} s")

    ports = {tuple(delivery.port for delivery in deliveries) for deliveries in found}
    assert ports == {("A:u", "B:1", "C:1", "C:t")}
