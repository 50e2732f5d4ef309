"""Reconciling two surveys of a large site beside scipy's assignment, in the same run.

`pytest -s tests/bench` or `python -m tests.bench.test_bench_moves`.  Figures are printed and never asserted; what is
asserted is that both find every cord at the same port.
"""

from __future__ import annotations

from collections.abc import Mapping
from random import Random

import numpy as np
from scipy.optimize import linear_sum_assignment

from vlancheck.changes.side import Side
from vlancheck.dot1q.model import Bridge, BridgePort, Device, Port, Seen
from vlancheck.evidence import Cover, Fact, Kind, Origin, assumed
from vlancheck.reconciliation.moved import MoveKind, Proof
from vlancheck.reconciliation.reconcile import reconcile
from vlancheck.reconciliation.sightings import Row, Sighted
from vlancheck.site.anchors import Anchor, AnchorKind
from vlancheck.verdicts.ground import Ground
from vlancheck.vids import span
from vlancheck.wiring import Link, Network

from .timing import timed

SWITCHES, JACKS, ADDRESSES = 40, 50, 3  # access switches, jacks of each, addresses behind each jack
SHIFTED = range(10, 30)  # ports of the first switch whose cords are one port off
WHY = assumed("drawn for a benchmark")
EDGE = Cover.of(1 << 10, WHY)
TRUNK = Cover.of(span(10, 19), WHY)

Cords = Mapping[str, str]  # jack -> DEVICE:PORT


def survey(planned: Cords, now: Cords, file: str) -> Sighted:
    """Return a survey in which every switch has learned every address, at the port that leads there."""
    seen: dict[str, list[Seen]] = {}
    for line, (jack, place) in enumerate(sorted(now.items()), 1):
        home = place.partition(":")[0]
        for number in range(ADDRESSES):
            mac = address(jack, number)
            where = [place, f"CORE:{home[1:]}", *(f"S{far}:99" for far in range(SWITCHES) if f"S{far}" != home)]
            for at in where:
                seen.setdefault(at, []).append(Seen(mac=mac, origins=(Origin(Kind.SHOW, mac, file, line),)))
    names = {"CORE": range(SWITCHES)} | {f"S{number}": (*range(1, JACKS + 3), 99) for number in range(SWITCHES)}
    devices = {name: _switch(name, ports, seen) for name, ports in names.items()}
    links = [Link(f"CORE:{number}", f"S{number}:99", WHY) for number in range(SWITCHES)]
    anchors = {place: Anchor(AnchorKind.JACK, jack, jack) for jack, place in planned.items()}
    side = Side(Ground(Network(devices.values(), links)), anchors, dict.fromkeys(anchors, 1 << 4095))
    rows = tuple(Row(jack, (place,), WHY) for jack, place in planned.items())
    return Sighted(side, devices, tuple(links), rows)


def address(jack: str, number: int) -> str:
    switch, port = map(int, jack.split("-"))
    return f"02:00:5e:{switch:02x}:{port:02x}:{number:02x}"


def _switch(name: str, ports: range | tuple[int, ...], seen: Mapping[str, list[Seen]]) -> Device:
    trunks = {str(port) for port in ports if name == "CORE" or port == 99}
    return Device(
        name=name,
        bridges={"": Bridge(exists=TRUNK)},
        ports={str(port): Port(name=str(port), seen=tuple(seen.get(f"{name}:{port}", ()))) for port in ports},
        bridge_ports={
            str(port): BridgePort(
                name=str(port),
                port=str(port),
                pvid=Fact(None if str(port) in trunks else 10, WHY),
                admit=TRUNK if str(port) in trunks else EDGE,
                member=TRUNK if str(port) in trunks else EDGE,
                untagged=Cover.of(0, WHY) if str(port) in trunks else EDGE,
            )
            for port in ports
        },
    )


def peer(before: Cords, now: Cords, rng: Random) -> dict[str, str]:
    """Return where scipy's assignment puts every jack: the ports that share most addresses with it."""
    jacks, places = sorted(before), sorted(now.values())
    rng.shuffle(places)
    holds = {place: {address(jack, number) for number in range(ADDRESSES)} for jack, place in now.items()}
    column = {mac: number for number, place in enumerate(places) for mac in holds[place]}
    shared = np.zeros((len(jacks), len(places)))
    for row, jack in enumerate(jacks):
        for number in range(ADDRESSES):
            shared[row, column[address(jack, number)]] += 1
    rows, columns = linear_sum_assignment(shared, maximize=True)
    return {jacks[row]: places[found] for row, found in zip(rows, columns, strict=True)}


def test_reconciling_a_large_site() -> None:
    """A row one port off, two cords exchanged, and everything else as planned."""
    planned = {f"{switch}-{port}": f"S{switch}:{port}" for switch in range(SWITCHES) for port in range(1, JACKS + 1)}
    now = {**planned, "5-7": planned["9-7"], "9-7": planned["5-7"]}
    now |= {f"0-{port}": f"S0:{port + 1}" for port in SHIFTED}
    now["0-30"] = "S0:10"
    before, after = survey(planned, planned, "before.log"), survey(planned, now, "after.log")
    mine, found = timed(lambda: reconcile(before, after), 3)
    theirs, where = timed(lambda: peer(planned, now, Random(5)), 3)
    print(
        f"\n{SWITCHES} switches, {len(planned)} cords, {ADDRESSES * len(planned)} addresses in each of the tables:"
        f" reconciled in {mine:.2f} s; scipy's assignment of cords to ports alone {theirs:.2f} s"
    )

    assert [cause.kind for cause in found.to_mend] == [MoveKind.ROW, MoveKind.SWAP]
    seen = {jack.at: jack.elsewhere[0] if jack.elsewhere else jack.port for jack in found.jacks}
    assert seen == where == now
    assert sum(jack.state is Proof.PROVED for jack in found.jacks) == len(planned) - len(SHIFTED) - 3


if __name__ == "__main__":
    test_reconciling_a_large_site()
