"""One thing that is to be made right in; changes that may do it out, none of them believed before it is tried."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice, pairwise, product

from vlancheck.dot1q.tags import C_TAG, parse_frame
from vlancheck.findings.case import Case
from vlancheck.mend.amendment import KEEP, Amendment, CordChange, PortChange, all_joined
from vlancheck.mend.carrying import How, bridge_at, carried_at, how
from vlancheck.mend.routes import Goal, Routes
from vlancheck.mend.wants import About, Want
from vlancheck.places import split_place
from vlancheck.site.boxes import Boxes
from vlancheck.site.repatched import cord_end
from vlancheck.verdicts.orders import OrderKind
from vlancheck.verdicts.reasons import Hop
from vlancheck.verdicts.verdict import EndingVerdict, Leak, State, Verdict
from vlancheck.vids import WIRE, first, members

_CHOICES, _TOGETHER, _JOINED = 2, 12, 6  # ways to one ending, endings and choices of ways that are looked at together
_MADE = 32  # VLANs that one change makes, at most: more come from a list that nobody meant
_WRONG = (State.DROPPED, State.MISMATCHED)


@dataclass(frozen=True)
class Candidates:
    """Thinks of changes for one survey."""

    case: Case  # as it is judged
    boxes: Boxes  # its boxes and cords
    routes: Routes  # ways through it

    def of(self, want: Want) -> Iterator[Amendment]:
        """Yield changes that may make something right, each once."""
        seen: list[Amendment] = []
        for one in self._of(want):
            if not one.empty and len(one.create) <= _MADE and one not in seen:
                seen.append(one)
                yield one

    def _of(self, want: Want) -> Iterator[Amendment]:
        yield from self._cords(want)
        yield from self._as_before(want)
        match want.key[0]:
            case About.ENDING:
                assert want.verdict is not None
                assert want.ending is not None
                yield from self._ending(want.verdict, want.ending)
            case About.LEAK:
                assert want.leak is not None
                yield from self._leak(want.leak)
            case About.FINDING:
                yield from self._finding(want)

    # ---- cords ----------------------------------------------------------------------------------------------------

    def _cords(self, want: Want) -> Iterator[Amendment]:
        """Yield cords back in the ports they were in, exchanged with what is there now."""
        moves = self.case.comparison.moves if self.case.comparison else ()
        now = {self.case.was(place).casefold(): place for place in self._every_place()}
        for move in moves:
            target = now.get(move.before.casefold(), "")
            if target and target != move.after and {move.after, target} & self._about(want):
                yield from self._exchanged(move.after, target)
        if want.verdict is not None and want.ending is not None:
            # Two endings at ports that are not theirs, and one of them is right where the other one is.
            for other in self._misplaced():
                mine = self._at_port(want.verdict, want.ending, want.ending.at)
                if not mine and self._at_port(want.verdict, want.ending, other.at):
                    yield from self._exchanged(want.ending.at, other.at)

    def _misplaced(self) -> Iterator[EndingVerdict]:
        """Yield the endings that are not carried and whose own port does not do what is declared."""
        for verdict in self.case.verdicts:
            for ending in verdict.endings:
                if ending.at and ending.state in _WRONG and not self._at_port(verdict, ending, ending.at):
                    yield ending

    def _at_port(self, verdict: Verdict, ending: EndingVerdict, place: str) -> bool:
        """Tell whether a port carries an order as it is declared at one of its endings; so do those with a cord on."""
        vids = self._relay_vids(verdict)
        frame = self._frame(ending.frame, vids)
        if not vids or frame is None or place in self.case.network.peer:
            return True
        return how(self.case.network, place, first(vids)) is frame

    def _about(self, want: Want) -> set[str]:
        """Return the ports that a want is about, and those at which its frames are lost."""
        found = set(want.places)
        if want.ending is not None:
            ways = (want.ending.inward, want.ending.back)
            found |= {way.reason.place for way in ways if way is not None and way.reason is not None}
        if want.leak is not None:
            found |= {hop.port for hop in self._leaking(want.leak)}
        return found | {self.case.network.peer[place] for place in found if place in self.case.network.peer}

    def _every_place(self) -> Iterator[str]:
        for name, box in self.case.devices.items():
            yield from (f"{name}:{port}" for port in box.ports)

    def _exchanged(self, place: str, target: str) -> Iterator[Amendment]:
        """Yield the cord in one port moved to another, and the one that is there moved back."""
        mine, theirs = cord_end(self.boxes, place), cord_end(self.boxes, target)
        if mine is None or (theirs is not None and theirs.cord is mine.cord):
            return
        ends = [(place, target, mine)] + ([(target, place, theirs)] if theirs is not None else [])
        yield Amendment(
            cords=tuple(
                CordChange(one.socket.name, one.cord.label, here, there, one.to(there), self._ask(here))
                for here, there, one in sorted(ends, key=lambda end: end[0])
            )
        )

    def _ask(self, place: str) -> str:
        """Return who must be asked before the cord in a port is touched."""
        held = self.case.ground.held.get(self.case.network.stands_for.get(place, place), "")
        if held:
            return f"a hold ({held}): ask its owner first, and let the owner test it afterwards"
        handoff = place in self.case.network.handoffs
        return "a handoff: ask the carrier whether its port may change" if handoff else ""

    # ---- ports as they were ---------------------------------------------------------------------------------------

    def _as_before(self, want: Want) -> Iterator[Amendment]:
        """Yield ports set as they were in the earlier survey, one alone and all together."""
        earlier = self.case.earlier
        if earlier is None:
            return
        found: dict[str, PortChange] = {}
        for place in sorted(self._about(want), key=lambda place: (place not in want.places, place)):
            was, now = carried_at(earlier.network, self.case.was(place)), carried_at(self.case.network, place)
            if was is None or now is None:
                continue
            if (was.untagged, was.tagged) != (now.untagged, now.tagged):
                bare = was.untagged if was.untagged != now.untagged else KEEP
                found[place] = PortChange(was.tagged & ~now.tagged, now.tagged & ~was.tagged, bare)
        for place, change in found.items():
            yield Amendment(ports={place: change})
        if len(found) > 1:
            yield Amendment(ports=found)

    # ---- endings --------------------------------------------------------------------------------------------------

    def _ending(self, verdict: Verdict, ending: EndingVerdict) -> Iterator[Amendment]:
        """Yield ways to an ending: those that also lead to all others that fail at the same place come first."""
        mine = list(self._ways(verdict, ending))
        spots = self._spots(ending)
        others = [
            list(islice(self._ways(verdict, one), _CHOICES))
            for verdict in self.case.verdicts
            for one in verdict.endings
            if one is not ending and one.state in _WRONG and spots & self._spots(one)
        ]
        several = [one for one in dict.fromkeys(map(tuple, others)) if one]
        if several and mine:
            choices = islice(product(mine[:_CHOICES], *several[:_TOGETHER]), _JOINED)
            yield from (joined for chosen in choices if (joined := all_joined(chosen)) is not None)
        yield from mine

    def _spots(self, ending: EndingVerdict) -> set[str]:
        """Return the ports at which an ending's frames are lost, and those at the other end of their cords."""
        ways = [way for way in (ending.inward, ending.back) if way is not None and way.reason is not None]
        found = {way.reason.place for way in ways if way.reason is not None} - {""}
        return found | {self.case.network.peer[place] for place in found if place in self.case.network.peer}

    def _ways(self, verdict: Verdict, ending: EndingVerdict) -> Iterator[Amendment]:
        way = ending.inward or ending.back
        if way is None:
            return
        vids = self._relay_vids(verdict)
        if not vids:
            return
        sender = Goal(way.sender, self._frame(way.frame, vids))
        yield from self.routes.amendments(sender, Goal(ending.at, self._frame(ending.frame, vids)), vids)

    def _relay_vids(self, verdict: Verdict) -> int:
        """Return the VIDs in which the frames of an order are to be relayed."""
        order = verdict.order
        if order.kind is OrderKind.VLAN:
            return 1 << order.vid
        found = 0
        for vid in self.case.relay_vids(order):
            found |= 1 << vid
        for batch in order.batches if not found else ():
            if batch.shape and batch.shape[0].tpid == C_TAG:
                found |= batch.shape[0].vids
        return found & WIRE

    def _frame(self, text: str, vids: int) -> How | None:
        """Return how frames are at a port; None where that does not follow from what is declared."""
        try:
            frame = parse_frame(text)
        except ValueError:
            return None
        if not frame:
            return How.UNTAGGED
        return How.TAGGED if frame[0].tpid == C_TAG and vids >> frame[0].vid & 1 else None

    # ---- leaks ----------------------------------------------------------------------------------------------------

    def _leak(self, leak: Leak) -> Iterator[Amendment]:
        """Yield links made to agree on what is untagged, and VLANs taken out of ports on the way of a leak."""
        hops = self._leaking(leak)
        for out, into in reversed(list(pairwise(hops))):
            joined = self.case.network.peer.get(out.port) == into.port
            if joined and out.vid is not None and into.vid is not None and out.vid != into.vid:
                yield Amendment(ports={into.port: PortChange(untagged=out.vid)})
                yield Amendment(ports={out.port: PortChange(untagged=into.vid)})
        for hop in reversed(hops):
            if hop.vid is not None and WIRE >> hop.vid & 1:
                now = how(self.case.network, hop.port, hop.vid)
                if now is How.TAGGED:
                    yield Amendment(ports={hop.port: PortChange(drop=1 << hop.vid)})
                elif now is How.UNTAGGED:
                    yield Amendment(ports={hop.port: PortChange(untagged=None)})

    def _leaking(self, leak: Leak) -> tuple[Hop, ...]:
        """Return the hops of a leak, the port where it comes out or goes in last."""
        hops = self.case.ground.reasons.path(leak.sender, leak.sent, leak.to)
        return hops if hops and hops[-1].port == leak.at else tuple(reversed(hops))

    # ---- findings -------------------------------------------------------------------------------------------------

    def _finding(self, want: Want) -> Iterator[Amendment]:
        """Yield VLANs made where they are missing, and ends of a link made to agree."""
        finding = want.finding
        assert finding is not None
        vids = finding.vids & WIRE
        for place in sorted(finding.at):
            device = split_place(place)[0]
            for bridge in self.case.network.devices[device].bridges.values() if vids and self._known(device) else ():
                if missing := vids & ~bridge.exists.sure:
                    yield Amendment(frozenset((device, vid) for vid in members(missing)))
        ports = [place for place in sorted(finding.at) if self._bridged(place)]
        for place in ports:
            if self.case.network.port(place).up.value is False:
                yield Amendment(ports={place: PortChange(enable=True)})
        for place in ports:
            if (lacking := self._lacking(place, vids)) and vids:
                yield Amendment(ports={place: PortChange(add=lacking)})
        for place in ports:
            far = self.case.network.peer.get(place)
            theirs = self._untagged(far) if far in ports else None
            if theirs is not None and theirs != self._untagged(place):
                yield Amendment(ports={place: PortChange(untagged=theirs)})

    def _known(self, device: str) -> bool:
        return device in self.case.network.devices

    def _bridged(self, place: str) -> bool:
        device, port = split_place(place)
        known = self._known(device) and port in self.case.network.devices[device].ports
        return known and bridge_at(self.case.network, place) is not None

    def _lacking(self, place: str, vids: int) -> int:
        found = 0
        for vid in members(vids):
            if how(self.case.network, place, vid) is How.NOT:
                found |= 1 << vid
        return found

    def _untagged(self, place: str) -> int | None:
        now = carried_at(self.case.network, place)
        return now.untagged if now is not None else None
