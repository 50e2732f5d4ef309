"""Wirings of odd boxes with anything seen anywhere: there is always an answer, and a survey fits itself."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from changes.edits import Surveyed
from changes.test_verify_agrees import Survey
from reference.wirings import Wiring, drawn

from vlancheck.changes.side import Side
from vlancheck.dot1q.model import Device, Seen
from vlancheck.evidence import assumed
from vlancheck.reconciliation.moved import Reconciled
from vlancheck.reconciliation.reconcile import reconcile
from vlancheck.reconciliation.sightings import Row, Sighted
from vlancheck.wiring import Link

WIRINGS = 150
SAID = assumed("drawn")


def seen_anywhere(wiring: Wiring, rng: Random, speakers: float = 0.2) -> Wiring:
    """Return the wiring with addresses of a small pool, and a share of neighbours, behind its ports."""
    named = [(device.name, rng.choice([*device.ports, ""])) for device in wiring.devices] + [("phone-7", "")]

    def shown() -> Seen:
        if rng.random() < speakers:
            name, port = rng.choice(named)
            return Seen(neighbour=name, neighbour_port=port, origins=SAID)
        return Seen(mac=f"02:00:5e:00:00:{rng.randrange(24):02x}", origins=SAID)

    def heard(device: Device) -> Device:
        ports = {
            name: replace(port, seen=tuple(shown() for _ in range(rng.choice((0, 1, 1, 2)))))
            for name, port in device.ports.items()
        }
        return replace(device, ports=ports)

    return wiring._replace(devices=tuple(map(heard, wiring.devices)))


def sighted(wiring: Wiring, names: dict[str, str]) -> Sighted:
    survey = Survey(Surveyed(wiring, names))
    side: Side = survey.side
    rows = tuple(Row(side.anchors[place].name, (place,), SAID) for place in survey.network.boundary)
    links = tuple(Link(*link) for link in wiring.links)
    return Sighted(side, {device.name: device for device in wiring.devices}, links, rows)


def test_there_is_always_an_answer() -> None:
    told = 0
    for number in range(WIRINGS):
        found, rng = drawn(33, number, unknowns=True)
        earlier, later = seen_anywhere(found, rng), seen_anywhere(found, rng)
        before = sighted(earlier, {})
        places = sorted(before.side.anchors)
        mixed = dict(zip(places, rng.sample(places, len(places)), strict=True)) if rng.random() < 0.5 else {}
        made: Reconciled = reconcile(before, sighted(later, mixed))
        told += len(made.to_mend)
        assert len(made.jacks) == len(places)
        assert all(cause.words and cause.at for cause in made.causes)

        quiet = sighted(seen_anywhere(found, rng, 0), {})  # else neighbours may contradict the sheet both times
        assert reconcile(quiet, quiet).to_mend == ()
    assert told > WIRINGS // 2
