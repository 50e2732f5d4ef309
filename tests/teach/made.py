"""Exercises of many seeds, made once, and the relation of all frames, by which they are found again."""

from __future__ import annotations

from functools import cache

from vlancheck.teach.drill import run
from vlancheck.teach.exercise import Exercise, Topic
from vlancheck.teach.ground import closets
from vlancheck.walk import carriage
from vlancheck.wiring import Network

SEEDS = range(25)
PER_RUN = 12


@cache
def many() -> tuple[Exercise, ...]:
    """Return the exercises of many seeds."""
    return tuple(exercise for seed in SEEDS for exercise in run(closets(), seed, PER_RUN))


def of(topic: Topic) -> list[Exercise]:
    """Return the exercises of one topic."""
    found = [one for one in many() if one.spec.topic is topic]
    assert len(found) >= len(SEEDS)
    return found


def heard(exercise: Exercise, port: str) -> set[tuple[str, str]]:
    """Return where a frame comes out by the relation of all frames, which follows no single one."""
    return {(one.port, one.frame) for one in carriage(exercise.network).deliveries(port, exercise.spec.frame)}


def out_of(network: Network, sender: str, frame: str, at: str) -> set[str]:
    """Return what comes out of a port by the relation of all frames, once its cord is cut and it is at the boundary."""
    found = carriage(cut(network, at)).deliveries(sender, frame)
    return {item.frame for item in found if item.port == at}


def cut(network: Network, at: str) -> Network:
    """Return the network without the cord in a port; what is settled stays so."""
    links = [link for link in network.links if at not in link[:2]]
    return Network(network.devices.values(), links, handoffs=network.handoffs)
