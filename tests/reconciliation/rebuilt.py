"""Random closets that were rebuilt: what hangs where, where it is said to be, and what the captures show of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from random import Random

from vlancheck.findings.case import Case
from vlancheck.notation import parse
from vlancheck.notation.judged import case
from vlancheck.reconciliation.moved import MoveCause, MoveKind, Reconciled

SWITCHES = ("ACC-1", "ACC-2")
PORTS = 16  # access ports of each switch
HANDOFF = "carrier"

Cords = Mapping[str, str]  # what hangs at the end of a cord -> DEVICE:PORT


@dataclass(frozen=True)
class Rebuilt:
    """A closet before and after."""

    vlans: Mapping[str, int]  # access port DEVICE:PORT -> its VLAN
    macs: Mapping[str, tuple[str, ...]]  # what hangs at the end of a cord -> its addresses
    before: Cords  # where the cords were
    planned: Cords  # where the later sheet has them
    now: Cords  # where they are
    unseen: frozenset[str] = frozenset()  # what said nothing in the later survey
    also: Mapping[str, tuple[str, ...]] = field(default_factory=dict)  # DEVICE:PORT -> further addresses seen there
    uplinks: tuple[tuple[str, str], ...] = (("CORE-1:1", "ACC-1:49"), ("CORE-1:2", "ACC-2:49"))  # as they are now

    @property
    def free(self) -> list[str]:
        """Return the access ports that no cord was or should be in."""
        used = {*self.before.values(), *self.planned.values(), *self.now.values()}
        return [place for place in self.vlans if place not in used]

    def cases(self) -> Case:
        """Return the later survey, judged and compared."""
        earlier = self._text(self.before, self.before, frozenset(), Rebuilt.uplinks)
        return case(parse(self._text(self.planned, self.now, self.unseen, self.uplinks)), parse(earlier))

    def reconciled(self) -> Reconciled:
        """Return what the evidence says."""
        found = self.cases().moves
        assert found is not None
        return found

    def _text(self, said: Cords, there: Cords, unseen: frozenset[str], uplinks: Iterable[tuple[str, str]]) -> str:
        lines = ["bridge CORE-1 exists=10,20,310", "port CORE-1:1 member=10,20", "port CORE-1:2 member=10,20"]
        lines += [f"port {place} member=310" for place in ("CORE-1:10", "CORE-1:11")]
        lines += ["port CORE-1:12 pvid=310 member=310 untagged=310"]
        for name in SWITCHES:
            lines += [f"bridge {name} exists=10,20", f"port {name}:49 member=10,20"]
        for place, vid in self.vlans.items():
            lines.append(f"port {place} pvid={vid} member={vid} untagged={vid}")
        lines += ["link CORE-1:1 ACC-1:49", "link CORE-1:2 ACC-2:49", f"handoff {said[HANDOFF]}"]
        lines += [f'serves {place} "{name}"' for name, place in said.items()]
        for name, place in there.items():
            if name not in unseen:
                lines.append(f"hears {place} {' '.join(self.macs[name])}")
                if place.startswith("ACC"):  # and at the uplink, where it tells nothing
                    lines.append(f"hears CORE-1:{SWITCHES.index(place[:5]) + 1} {' '.join(self.macs[name])}")
        lines += [f"hears {place} {' '.join(macs)}" for place, macs in self.also.items() if there is self.now]
        for one, other in uplinks:
            for mine, far in ((one, other), (other, one)):
                lines.append(f"hears {mine} neighbour={far.partition(':')[0]} port={far.partition(':')[2]}")
        return "\n".join(lines)


def rebuilt(rng: Random) -> Rebuilt:
    """Draw a closet in which everything is where the later sheet has it; some cords were moved as planned."""
    places = [f"{name}:{port}" for name in SWITCHES for port in range(1, PORTS + 1)]
    vlans = {place: rng.choice((10, 10, 20)) for place in places}
    used = [place for place in places if rng.random() < 0.8]
    before = {f"desk {place}": place for place in used} | {HANDOFF: "CORE-1:10"}
    count = 0
    macs = {}
    for name in before:
        several = rng.choice((1, 1, 2, 3))
        macs[name] = tuple(f"02:00:5e:00:{one >> 8:02x}:{one & 255:02x}" for one in range(count, count + several))
        count += several
    planned = dict(before)
    for _ in range(rng.choice((0, 0, 1, 3))):
        one, other = rng.sample(sorted(set(planned) - {HANDOFF}), 2)
        planned[one], planned[other] = planned[other], planned[one]
    return Rebuilt(vlans, macs, before, planned, dict(planned))


# ---- what people do to it --------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Planted:
    """A closet in which one thing was done, and what that is."""

    closet: Rebuilt
    kind: MoveKind
    moved: frozenset[str]  # what is not where it should be


def row_shifted(closet: Rebuilt, rng: Random) -> Planted | None:
    """Put at least three cords, one port after the other, so many ports up or down; what was there falls out."""
    name = rng.choice(SWITCHES)
    offset = rng.choice((-2, -1, 1, 1, 2))
    mine = sorted((port_of(place), cord) for cord, place in closet.planned.items() if place.startswith(name))
    fits = [one for one in mine if 1 <= one[0] + offset <= PORTS]
    if len(fits) < 3:
        return None
    length = rng.randint(3, len(fits))
    start = rng.randint(0, len(fits) - length)
    row = fits[start : start + length]
    now = dict(closet.planned)
    targets = {port + offset for port, _ in row}
    fallen = [cord for port, cord in mine if port in targets and (port, cord) not in row]
    left = [port for port, _ in row if port not in targets]
    for cord in fallen:
        if left and rng.random() < 0.5:
            now[cord] = f"{name}:{left.pop(0)}"
        else:
            del now[cord]
    for port, cord in row:
        now[cord] = f"{name}:{port + offset}"
    moved = {cord for _, cord in row} | {cord for cord in fallen if cord in now}
    return Planted(replace(closet, now=now), MoveKind.ROW, frozenset(moved))


def swapped(closet: Rebuilt, rng: Random) -> Planted | None:
    return _round(closet, rng, 2, MoveKind.SWAP)


def three_cycle(closet: Rebuilt, rng: Random) -> Planted | None:
    return _round(closet, rng, 3, MoveKind.CYCLE)


def wrong_port(closet: Rebuilt, rng: Random) -> Planted | None:
    """Put one cord into a free port."""
    if not closet.free:
        return None
    cord = rng.choice(desks(closet))
    now = {**closet.planned, cord: rng.choice(closet.free)}
    return Planted(replace(closet, now=now), MoveKind.WRONG, frozenset({cord}))


def handoff_moved(closet: Rebuilt, rng: Random) -> Planted | None:
    """Put the carrier's cord into a free port."""
    now = {**closet.planned, HANDOFF: rng.choice(("CORE-1:11", "CORE-1:12", *closet.free[:1]))}
    return Planted(replace(closet, now=now), MoveKind.HANDOFF, frozenset({HANDOFF}))


def uplinks_exchanged(closet: Rebuilt, rng: Random) -> Planted | None:
    (one, far), (other, beyond) = Rebuilt.uplinks
    return Planted(
        replace(closet, uplinks=((one, beyond), (other, far))),
        MoveKind.UPLINKS,
        frozenset({"ACC-1:49 to CORE-1:1", "ACC-2:49 to CORE-1:2"}),
    )


def shared(closet: Rebuilt, rng: Random) -> Planted | None:
    """Put one cord with several addresses and another one into a small switch, and that into one port."""
    several = [name for name in desks(closet) if len(closet.macs[name]) > 1]
    if not several:
        return None
    cord = rng.choice(several)
    other = rng.choice([name for name in desks(closet) if name != cord])
    now = {**closet.planned, cord: closet.planned[other]}
    return Planted(replace(closet, now=now), MoveKind.SHARED, frozenset({cord, other}))


def doubled(closet: Rebuilt, rng: Random) -> Planted | None:
    """Lead a second cord from a desk to a free port of the same switch, which learns there what it learns here."""
    cord = rng.choice(desks(closet))
    free = [place for place in closet.free if place[:5] == closet.planned[cord][:5]]
    if not free:
        return None
    return Planted(replace(closet, also={free[0]: closet.macs[cord]}), MoveKind.DOUBLE, frozenset({cord}))


EDITS: tuple[Callable[[Rebuilt, Random], Planted | None], ...] = (
    row_shifted,
    swapped,
    three_cycle,
    wrong_port,
    handoff_moved,
    uplinks_exchanged,
    shared,
    doubled,
)


def _round(closet: Rebuilt, rng: Random, length: int, kind: MoveKind) -> Planted:
    chosen = rng.sample(desks(closet), length)
    places = [closet.planned[cord] for cord in chosen]
    now = {**closet.planned, **dict(zip(chosen, places[1:] + places[:1], strict=True))}
    return Planted(replace(closet, now=now), kind, frozenset(chosen))


def desks(closet: Rebuilt) -> list[str]:
    """Return the cords that lead to desks."""
    return sorted(set(closet.planned) - {HANDOFF})


def port_of(place: str) -> int:
    return int(place.partition(":")[2])


def explains(cause: MoveCause, kind: MoveKind) -> bool:
    """Tell whether a cause is of a kind, or says that it may be."""
    return kind in (cause.kind, *cause.instead)
