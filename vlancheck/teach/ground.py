"""A survey of a site or a built-in closet in, the ground that exercises stand on out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from importlib.resources import as_file, files
from itertools import pairwise
from random import Random

import networkx as nx

from vlancheck.dot1q.model import DeviceKind, PortKind
from vlancheck.evidence import Cover
from vlancheck.notation import parse
from vlancheck.pipeline import Survey, open_site
from vlancheck.places import natural, split_place
from vlancheck.site.spots import Spots
from vlancheck.vids import WIRE, members, ranges
from vlancheck.walk.start import start
from vlancheck.walk.walk import Walk, walk
from vlancheck.wiring import Link, Network, wire

_STEPS = 80  # a walk with more of them teaches nothing on one screen
_KINDS = frozenset({DeviceKind.BRIDGE, DeviceKind.ROUTER, DeviceKind.HOST, DeviceKind.THROUGH})


@dataclass(frozen=True)
class Ground:
    """A network that exercises are made of."""

    name: str  # what an exercise is found again by
    title: str  # for people
    network: Network  # what is walked
    spots: Spots | None = field(default=None, compare=False)  # jacks, circuits and cords, where a site has them
    survey: Survey | None = field(default=None, compare=False)  # where lines can be typed; None: boxes of no family

    def place(self, text: str) -> str:
        """Return the DEVICE:PORT that `text` means; UsageError with the nearest names when there is none."""
        return start(self.network, self.network.devices, text, (), self.spots)[0]

    @cached_property
    def senders(self) -> tuple[str, ...]:
        """The jacks that frames of exercises start from: boundary ports that are up, of boxes that are known whole."""
        found = (place for place in self.network.boundary if self._known(place))
        return tuple(sorted(found, key=natural))

    @cached_property
    def joined(self) -> nx.MultiGraph[str]:
        """The boxes and their cords."""
        made: nx.MultiGraph[str] = nx.MultiGraph()
        made.add_nodes_from(self.network.devices)
        pairs = ((split_place(one)[0], split_place(other)[0]) for one, other, _ in self.network.links)
        made.add_edges_from(pair for pair in pairs if pair[0] != pair[1])
        return made

    def around(self, device: str) -> tuple[str, ...]:
        """Return a box and all that it is joined to, the nearest first."""
        return tuple(nx.single_source_shortest_path_length(self.joined, device))

    @cached_property
    def _bridges(self) -> set[frozenset[str]]:
        return {frozenset(edge) for edge in nx.bridges(self.joined)}

    def path(self, one: str, other: str) -> tuple[str, ...]:
        """Return the ports by which frames must go from one port to another; () where there is more than one way."""
        here, there = split_place(one)[0], split_place(other)[0]
        if here == there:
            return (one, other) if one != other else ()
        try:
            boxes = nx.shortest_path(self.joined, here, there)
        except nx.NetworkXNoPath:
            return ()
        if any(frozenset(edge) not in self._bridges for edge in pairwise(boxes)):
            return ()
        ports = [one]
        for box, onward in pairwise(boxes):
            out = next(
                place
                for place, far in self.network.peer.items()
                if split_place(place)[0] == box and split_place(far)[0] == onward
            )
            ports += [out, self.network.peer[out]]
        return tuple(dict.fromkeys([*ports, other]))

    def vids(self, place: str) -> tuple[int, ...]:
        """Return VIDs worth sending in a tag at a port: some of each set that its box knows, beside those it lacks."""
        box = self.network.devices[split_place(place)[0]]
        covers: list[Cover] = [bridge.exists for bridge in box.bridges.values()]
        covers += [one.member for one in box.bridge_ports.values()]
        found = {row.match[0].vids for one in box.bridge_ports.values() for row in one.entry if row.match}
        numbers = {low for bits in found for low, high in ranges(bits & WIRE) if low == high}
        for cover in covers:
            if (bits := cover.sure & WIRE).bit_count() <= 64:
                numbers |= set(members(bits))
        return tuple(sorted(numbers))

    def frame(self, place: str, rng: Random) -> str:
        """Return a frame to be sent there, as people write it."""
        if (vids := self.vids(place)) and rng.random() < 0.5:
            return str(rng.choice(vids))
        return "untagged"

    def walk(self, place: str, frame: str, watch: str = "") -> Walk | None:
        """Return the walk of a frame, where all of it is certain and short enough to be told; else None."""
        walked = walk(self.network, place, frame, watch)
        return walked if whole(walked) else None

    def _known(self, place: str) -> bool:
        device, port = split_place(place)
        box = self.network.devices[device]
        found = box.ports[port]
        jack = box.kind in _KINDS and found.kind is PortKind.JACK
        return jack and found.up.value is True and found.link.value is True


def whole(walked: Walk) -> bool:
    """Tell whether nothing of a walk is unproven or goes round, and it is short."""
    return walked.complete and not walked.loops and len(walked.steps) <= _STEPS


@lru_cache(maxsize=1)
def closets() -> tuple[Ground, ...]:
    """Return the built-in closets, the easiest first."""
    return tuple(_closets())


def _closets() -> Iterator[Ground]:
    with as_file(files(__package__) / "closets") as folder:
        for file in sorted(folder.iterdir(), key=lambda file: file.name):
            if file.suffix == ".jot":
                yield closet(file.stem, file.read_text(encoding="utf-8"), file.name)
            elif (file / "site.yaml").exists():
                yield surveyed(file.name, f"closet {file.name}", open_site(file).survey())


def surveyed(name: str, title: str, survey: Survey) -> Ground:
    """Return the ground that a survey of a site is, or a closet of captures; it is read at once."""
    return Ground(name, title, survey.network, survey.boxes.spots, survey)


def closet(name: str, text: str, file: str = "notation") -> Ground:
    """Return the ground that a text in the notation describes."""
    read = parse(text, file=file)
    network = wire(read.devices, [Link(*link) for link in read.links], handoffs=read.handoffs)
    return Ground(name, f"closet {name}", network)
