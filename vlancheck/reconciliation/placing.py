"""Two surveys in, for each jack what was known of it before, where it should be and where that is now out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from vlancheck.evidence import Kind, Origins
from vlancheck.places import split_place
from vlancheck.reconciliation.sightings import Index, Sighted, of_box
from vlancheck.site.anchors import Anchor, AnchorKind

_MOST = 2  # jacks found behind one port; more, and it leads to another switch that nobody named
_SILENCE = (Kind.ASSUMED, Kind.DEFAULT)

Tokens = dict[str, Origins]  # address, or `~` and a name -> lines that show it


@dataclass(slots=True)
class Hung:
    """What hung at one jack, endpoint, circuit or port before, and where it is seen now."""

    anchor: Anchor  # what it is known by
    planned: str = ""  # DEVICE:PORT of the later survey where its cord should be; "" nowhere
    stayed: str = ""  # DEVICE:PORT of the later survey that is the one where it was before; "" none
    known: Tokens = field(default_factory=dict)  # what was seen there before, or is said to hang there
    home: Tokens = field(default_factory=dict)  # of that, what is seen where it should be
    away: dict[str, Tokens] = field(default_factory=dict)  # DEVICE:PORT -> what is seen there, and nowhere else
    several: dict[str, dict[str, Origins]] = field(default_factory=dict)  # what is seen at several ports -> lines

    @property
    def name(self) -> str:
        """Return the name for people."""
        return self.anchor.name

    @property
    def observed(self) -> bool:
        """Tell whether anything of it is seen anywhere."""
        return bool(self.home or self.away or self.several)

    def before(self, tokens: Tokens) -> Origins:
        """Return the lines of the earlier survey that show some of it."""
        return tuple(origin for token in tokens for origin in self.known.get(token, ())[:1])


class Placing:
    """Finds what hung where, and where it is now."""

    def __init__(self, before: Sighted, after: Sighted) -> None:
        """Take both surveys."""
        self.before, self.after = before, after
        self.was, self.now = Index(before), Index(after)
        self.hung: dict[Anchor, Hung] = {}
        for anchor in after.side.place:
            if anchor.kind is not AnchorKind.PORT:
                self.hung[anchor] = Hung(anchor, self._planned(anchor))
        self._remember()
        self._say()
        self.leading = frozenset(self._leading())
        for one in self.hung.values():
            self._look(one)
        self.jacks = {one.planned: one for one in self.hung.values() if one.planned}  # what should be at a port

    def linked(self, place: str) -> Origins:
        """Return the lines that show a link at a port of the later survey; of a bundle, at any of its members."""
        device, name = split_place(place)
        box = self.after.devices.get(device)
        for port in box.ports.values() if box else ():
            shown = tuple(one for one in port.link.origins if one.kind not in _SILENCE)
            if name in (port.name, port.bundle) and port.link.value is True and shown:
                return shown
        return ()

    def unknown_at(self, place: str) -> Tokens:
        """Return what is seen at a port and was seen nowhere before."""
        shown = self.now.at.get(place, {})
        return {token: shown[token] for token in shown if token not in self.known_before}

    @cached_property
    def known_before(self) -> frozenset[str]:
        """Everything that the earlier survey shows anywhere, or that is said to hang somewhere."""
        said = {token for one in self.hung.values() for token in one.known}
        return frozenset({*self.was.places, *self.was.passing, *said})

    # ---- before ------------------------------------------------------------------------------------------------

    def _remember(self) -> None:
        """Keep what the earlier survey shows at one port alone, under what that port is known by."""
        side = self.before.side
        for token in self.was.places:
            if (found := self.was.alone(token)) is None:
                continue
            place, origins = found
            anchor = side.anchors.get(side.ground.judged_at(place))
            if anchor is None:
                continue
            if anchor not in self.hung:
                self.hung[anchor] = Hung(anchor, self._planned(anchor))
            self.hung[anchor].stayed = self._now_called.get(side.was(place).casefold(), "")
            self.hung[anchor].known[token] = origins

    def _planned(self, anchor: Anchor) -> str:
        """Return where the later survey has a cord; where nothing says so, it should be where it was."""
        side = self.after.side
        place = side.place.get(anchor)
        if place is not None:
            return self.after.at_switch(place)
        old = self.before.side.place.get(anchor)
        if old is None or not side.gone(anchor):
            return ""
        return self._now_called.get(self.before.at_switch(old).casefold(), "")

    @cached_property
    def _now_called(self) -> Mapping[str, str]:
        """The ports of the later survey by the names they had before."""
        side = self.after.side
        return {
            side.was(f"{name}:{port}").casefold(): f"{name}:{port}"
            for name, box in self.after.devices.items()
            for port in box.ports
        }

    def _say(self) -> None:
        """Keep of boxes that are endpoints what the sheet says: they speak under their own names."""
        places: dict[str, list[Hung]] = {}
        for anchor, place in self.after.side.place.items():
            if anchor in self.hung and self.after.side.ground.network.only_ends(place):
                places.setdefault(split_place(place)[0], []).append(self.hung[anchor])
        said = {place: row.origins for row in self.after.rows for place in row.places}
        for several in places.values():
            for one in several:
                place = self.after.side.place[one.anchor]
                exact, bare = of_box(place)
                for token in (exact, bare) if len(several) == 1 else (exact,):
                    one.known.setdefault(token, said.get(place, ()))

    # ---- after -------------------------------------------------------------------------------------------------

    def _leading(self) -> Iterator[str]:
        """Yield the ports behind which so much of several jacks is seen that they lead to a switch."""
        behind: dict[str, set[Anchor]] = {}
        for one in self.hung.values():
            for token in one.known:
                found = self.now.last(token)
                if len(found) == 1 and (place := next(iter(found))) != one.planned:
                    behind.setdefault(place, set()).add(one.anchor)
        yield from (place for place, anchors in behind.items() if len(anchors) > _MOST)

    def _look(self, one: Hung) -> None:
        """Find out where what hung at a jack is seen now."""
        for token in one.known:
            found = {place: lines for place, lines in self.now.last(token).items() if place not in self.leading}
            if one.planned in found:
                one.home[token] = found[one.planned]
            roams = not token.startswith("~") and any(map(self.after.roams, (one.planned, *found)))
            if len({split_place(place)[0] for place in found}) == 1 and len(found) > 1:
                one.several[token] = found
            elif len(found) == 1 and one.planned not in found and not roams:
                place, lines = next(iter(found.items()))
                one.away.setdefault(place, {})[token] = lines
        if len(one.away) > _MOST:
            one.away.clear()  # its port led to a switch before, and nobody said so
