"""Connectivity and the exact relation beside scipy's connectivity, in the same run.

`pytest -s tests/bench` or `python -m tests.bench.test_bench_carriage`.  Figures are printed and never asserted; what is
asserted is that all find the same.
"""

from __future__ import annotations

from collections import Counter
from random import Random

import numpy as np
import pytest
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from vlancheck.dot1q.forward import World
from vlancheck.walk import carriage, walk
from vlancheck.walk.connectivity import components
from vlancheck.walk.layout import Layout
from vlancheck.walk.pieces import Pieces
from vlancheck.walk.plant import Plant

from .fabric import Fabric, fabric
from .timing import timed

SWITCHES, ACCESS, UPLINKS, VLANS = 1000, 24, 2000, 500
WIDTH = VLANS + 2  # VIDs 2 to 501


def peer(drawn: Fabric) -> tuple[int, np.ndarray]:
    """Return scipy's components of the (switch, VLAN) product graph, built from the uplinks' bitsets."""
    octets = (WIDTH + 7) // 8
    packed = b"".join(carried.to_bytes(octets, "little") for *_, carried in drawn.uplinks)
    table = np.frombuffer(packed, dtype=np.uint8).reshape(len(drawn.uplinks), octets)
    link, vid = np.nonzero(np.unpackbits(table, axis=1, bitorder="little"))
    ends = np.array([(one, other) for one, other, _ in drawn.uplinks])
    rows, columns = ends[link, 0] * WIDTH + vid, ends[link, 1] * WIDTH + vid
    size = SWITCHES * WIDTH
    graph = coo_matrix((np.ones(len(rows), dtype=np.int8), (rows, columns)), shape=(size, size))
    count, labels = connected_components(graph, directed=False)
    return int(count), labels


def compare(title: str, share: float, used: int | None) -> None:
    """Print the figures of one fabric, and check that they are figures of the same answer."""
    drawn = fabric(7, switches=SWITCHES, access=ACCESS, uplinks=UPLINKS, vlans=VLANS, share=share, used=used)
    held = [drawn.vlans] * SWITCHES
    scipy_time, (count, labels) = timed(lambda: peer(drawn))
    plain_time, plain = timed(lambda: components(held, drawn.uplinks))
    plant_time, plant = timed(lambda: Plant(drawn.network, World.SURE), 1)
    layout_time, layout = timed(lambda: Layout(plant))
    pieces_time, pieces = timed(lambda: Pieces(layout))
    print(
        f"\n{title}: {SWITCHES} switches, {SWITCHES * ACCESS} access ports, {UPLINKS} uplinks, {VLANS} VLANs\n"
        f"  scipy's connected_components, its matrix included       {scipy_time * 1e3:7.1f} ms\n"
        f"  plain connectivity                                      {plain_time * 1e3:7.1f} ms"
        f"   {scipy_time / plain_time:.1f} times faster than scipy\n"
        f"  exact relation by class, from ports taken by likeness   {pieces_time * 1e3:7.1f} ms"
        f"   {pieces_time / scipy_time:.2f} times scipy's\n"
        f"    and to take the ports by likeness                     {layout_time * 1e3:7.1f} ms"
        f"   {(pieces_time + layout_time) / scipy_time:.2f} times scipy's together\n"
        f"    (plain sets from covers, before all that, once        {plant_time * 1e3:7.1f} ms)\n"
        f"    classes of senders: {len(pieces.classes)}, pieces: {len(pieces.pieces)}"
    )
    assert plain.count == pieces_count(pieces) == count - 2 * SWITCHES  # VIDs 0 and 1 of the graph stand alone
    same_classes(drawn, pieces, labels)
    same_as_walks(drawn)


def pieces_count(pieces: Pieces) -> int:
    """Return how many (piece, VID) there are."""
    return sum(next(iter(piece.values())).bit_count() for piece in pieces.pieces)


def same_classes(drawn: Fabric, pieces: Pieces, labels: np.ndarray) -> None:
    """Check that two access ports are of one class exactly when scipy has their (switch, VLAN) in one component."""
    first = {}
    for switch, vids in enumerate(drawn.access):
        for number, vid in enumerate(vids, 1):
            first[f"S{switch}:e{number}"] = int(labels[switch * WIDTH + vid])
    seen: Counter[int] = Counter()
    for groups in pieces.classes.values():
        (label,) = {first[place] for group in groups for place in group.places}
        seen[label] += 1
    assert set(seen.values()) == {1}
    assert sum(len(group.places) for groups in pieces.classes.values() for group in groups) == SWITCHES * ACCESS


def same_as_walks(drawn: Fabric) -> None:
    """Check the relation of a few senders with walks of single frames."""
    rng = Random(1)
    relation = carriage(drawn.network)
    for port in rng.sample(drawn.network.boundary, 5):
        assert relation.deliveries(port, "untagged") == walk(drawn.network, port, "untagged").deliveries


CASES = {
    "each VLAN on 60% of the uplinks, 6 VLANs at the ports of a switch": (0.6, 6),
    "each VLAN on 60% of the uplinks, any VLAN at any port": (0.6, None),
    "every VLAN on every uplink": (1.0, 6),
}


@pytest.mark.parametrize("title", CASES)
def test_beside_scipy(title: str) -> None:
    """The figures are printed with `-s`."""
    compare(title, *CASES[title])


if __name__ == "__main__":
    for name, case in CASES.items():
        compare(name, *case)
