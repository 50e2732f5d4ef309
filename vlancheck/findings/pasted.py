"""A plan in, the lists of VLANs that a line to be pasted makes anew out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from vlancheck.dot1q.model import BridgePort
from vlancheck.evidence import Cover, Origin, Origins, State, join
from vlancheck.findings.case import Case
from vlancheck.places import split_place
from vlancheck.vids import WIRE

_ALL = 4000  # VIDs from which on a list is no list


@dataclass(frozen=True, slots=True)
class MadeAnew:
    """A list of tagged VLANs of one port before and after lines were pasted."""

    place: str  # DEVICE:PORT
    before: int  # bitset of the VIDs it had
    after: int  # bitset of the VIDs it has
    line: Origin  # the pasted line that did it
    was: Origins  # the lines that made the list before
    perhaps: str = ""  # why it is not known whether it has `after`; "" it has

    @property
    def lost(self) -> int:
        """Return the VIDs that it has no longer."""
        return self.before & ~self.after


def replaced(case: Case) -> Iterator[MadeAnew]:
    """Yield the lists of which one pasted line sets a part and takes the rest out."""
    for place, was, now in _pasted(case):
        before, after = _tagged(was), _tagged(now)
        lost = before & ~now.member.possible
        if not lost or before.bit_count() >= _ALL or (lost.bit_count() == 1 and after & ~before):
            continue
        for line in _new(was.member, now.member):
            taken = _by(now.member, line, State.OUT) & lost
            if taken == lost and _by(now.member, line, State.IN) & after:
                yield MadeAnew(place, before, after, line, _lines(was.member, before))
                break


def opened(case: Case) -> Iterator[MadeAnew]:
    """Yield the lists that a pasted line turns into all VLANs, or perhaps does."""
    for place, was, now in _pasted(case):
        before = _tagged(was)
        if before.bit_count() >= _ALL:
            continue
        for line, state in product(_new(was.member, now.member), (State.IN, State.UNKNOWN)):
            after = _by(now.member, line, state) & ~now.untagged.sure
            if (after & ~before).bit_count() >= _ALL:
                perhaps = _reason(now.member, line) if state is State.UNKNOWN else ""
                yield MadeAnew(place, before, after, line, _lines(was.member, before), perhaps)
                break


def _pasted(case: Case) -> Iterator[tuple[str, BridgePort, BridgePort]]:
    """Yield the ports that pasted lines change, as they were and as they will be."""
    if case.earlier is None:
        return
    for place in sorted(case.typed):
        was, now = _bridge_port(case.earlier, case.was(place)), _bridge_port(case, place)
        if was is not None and now is not None:
            yield place, was, now


def _bridge_port(case: Case, place: str) -> BridgePort | None:
    device, port = split_place(place)
    box = case.network.devices.get(device)
    here = [one for one in box.bridge_ports.values() if one.port == port] if box else []
    return here[0] if len(here) == 1 and not here[0].select and not here[0].doubt else None


def _tagged(port: BridgePort) -> int:
    return port.member.sure & ~port.untagged.possible & WIRE


def _new(was: Cover, now: Cover) -> list[Origin]:
    """Return the captured lines behind a set that are not behind what it was."""
    old = {one for _, _, origins in was.parts for one in origins}
    return [one for one in join(*(origins for _, _, origins in now.parts)) if one.file and one not in old]


def _by(cover: Cover, line: Origin, state: State) -> int:
    found = 0
    for bits, held, origins in cover.parts:
        if held is state and line in origins:
            found |= bits
    return found & WIRE


def _reason(cover: Cover, line: Origin) -> str:
    """Return the sentence that says why VIDs are unknown by a line."""
    unsure = [origins for _, state, origins in cover.parts if state is State.UNKNOWN and line in origins]
    found = [one.text for one in join(*unsure) if not one.file]
    return found[0] if found else "what the line does is not known"


def _lines(cover: Cover, vids: int) -> Origins:
    return join(*(origins for bits, _, origins in cover.parts if bits & vids))
