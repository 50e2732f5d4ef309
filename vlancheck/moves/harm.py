"""A cord in a port that is not its own in; how much that harms, by what is lost, what hears it, and settings, out."""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Iterable, Iterator
from dataclasses import dataclass
from enum import IntEnum

from vlancheck.changes.side import Side
from vlancheck.dot1q.properties import Property
from vlancheck.moves.compared import Compared
from vlancheck.moves.exchange import Exchange, Way
from vlancheck.site.endpoints import EndpointKind


class Harm(IntEnum):
    """What a mistake does, the least first."""

    NONE = 0  # what is needed is carried as before
    SEEN = 1  # whoever sits there sees it at once
    UNKNOWN = 2  # something unread or missing decides
    SILENT = 3  # nobody notices until the thing is needed
    CARRIER = 4  # frames get to the carrier that must not, or from there
    SITE = 5  # more than the cords themselves: the site is down, or a loop


WORDS = {
    Harm.NONE: "harmless",
    Harm.SEEN: "seen at once by a user",
    Harm.UNKNOWN: "not known",
    Harm.SILENT: "silent until later",
    Harm.CARRIER: "leaks toward the carrier",
    Harm.SITE: "takes the site down",
}

# Somebody sits in front of these and complains; what else hangs on a cord fails when it is needed (common practice).
_WATCHED = frozenset(
    {
        *(EndpointKind.PC, EndpointKind.PHONE, EndpointKind.PAYMENT, EndpointKind.DISPLAY),
        *(EndpointKind.ACCESS_POINT, EndpointKind.SERVER, EndpointKind.PHONE_SYSTEM),
    }
)
_POWERED = frozenset({EndpointKind.PHONE, EndpointKind.ACCESS_POINT, EndpointKind.CAMERA, EndpointKind.DOOR})
# By these a port may shut, or drop all that the box sends.
_SHUTS = frozenset(
    {
        *(Property.STICKY_MAC, Property.STATIC_MAC, Property.MAC_LIMIT, Property.ON_VIOLATION),
        *(Property.AUTHENTICATION, Property.SOURCE_GUARD, Property.FILTER),
    }
)
_OTHER = "the cord it is exchanged with"
_NAMED = 2  # places that are told of those lost


@dataclass(frozen=True, slots=True)
class Leaf:
    """A cord whose far end is walked no further."""

    place: str  # DEVICE:PORT it is in
    name: str  # panel port or jack it leads to; else the port
    label: str  # of the cord
    serves: str  # what hangs there, as written
    kinds: frozenset[EndpointKind]  # what that is
    needs: int  # frames that are needed there (bit 4095: untagged)
    held: str = ""  # why it is a hold


@dataclass(frozen=True, slots=True)
class Effect:
    """What becomes of one cord, and of every other one like it."""

    harm: Harm
    words: Callable[[Leaf], str]  # what becomes of a cord, in one sentence
    lost: bool = False  # something that is needed does not get there any more


def _says(words: str) -> Callable[[Leaf], str]:
    return lambda leaf: words


_HARMLESS = Effect(Harm.NONE, _says(""))


class Effects:
    """Says what becomes of a cord in another port."""

    def __init__(self, exchange: Exchange, compared: Compared, side: Side) -> None:
        """Take what every port sends and hears, and its settings."""
        self._exchange, self._compared, self._side = exchange, compared, side
        self._handoffs, self._held = side.ground.network.handoffs, side.ground.held
        self._known: dict[Hashable, Effect] = {}

    def moved(self, leaf: Leaf, to: str) -> Effect:
        """Return what becomes of a cord that is plugged into the port `to`."""
        here, there = self._exchange.speaker(leaf.place), self._exchange.speaker(to)
        settings = self._compared.number(leaf.place), self._compared.number(to)
        key = here, there, settings, leaf.kinds, leaf.needs, leaf.held
        if key not in self._known:
            self._known[key] = self._moved(leaf, to, here, there)
        return self._known[key]

    def _moved(self, leaf: Leaf, to: str, here: str, there: str) -> Effect:
        if leaf.place in self._handoffs:
            return self._handoff(here, there, leaf)
        before, after = self._ways(here, there, leaf)
        lost, gained = sorted(before - after), sorted(after - before)
        if toward := [way for way in gained if way.third in self._handoffs and _more(way, before)]:
            return Effect(
                Harm.CARRIER, lambda leaf: f"it {_verb(toward[0])} the handoff {self._called(toward[0], leaf)}"
            )
        if onto := [way for way in gained if way.third in self._held and _more(way, before)]:
            why = self._held[onto[0].third]
            return Effect(
                Harm.SILENT, lambda leaf: f"it hears or reaches {self._called(onto[0], leaf)}, a hold ({why})"
            )
        settings = list(self._settings(leaf, to))

        def words(leaf: Leaf) -> str:
            told = [f"hold: {leaf.held}" if leaf.held else "", self._told(lost, gained, leaf)]
            return "; ".join(one for one in (*told, *(words for _, words in settings)) if one)

        if leaf.held:
            return Effect(Harm.SILENT, words, True)
        if here != there and (self._exchange.undecided(here) or self._exchange.undecided(there)) and not lost:
            return Effect(Harm.UNKNOWN, _says("something unread or missing decides what it reaches"))
        if lost:
            return Effect(Harm.SEEN if leaf.kinds & _WATCHED else Harm.SILENT, words, True)
        if gained:
            return Effect(Harm.SILENT, words)
        return Effect(max(harm for harm, _ in settings), words) if settings else _HARMLESS

    def _ways(self, here: str, there: str, leaf: Leaf) -> tuple[frozenset[Way], frozenset[Way]]:
        """Return how a cord's frames get about from its port and from the other one."""
        if here == there:
            return frozenset(), frozenset()
        before, after = (self._exchange.ways(place, leaf.needs) for place in (here, there))
        # The cord it is exchanged with is at the other port before, and at its own port after.
        cord = self._exchange.counts(there)
        return frozenset(self._across(before, there, cord)), frozenset(self._across(after, here, cord))

    def _across(self, ways: Collection[Way], far: str, exchanged: bool) -> Iterator[Way]:
        """Yield ways, those to and from the exchanged cord by themselves; `far` stands for all ports like its own."""
        for way in ways:
            if way.third == far and exchanged:
                yield way._replace(third=_OTHER)
            if way.third != far or not self._exchange.alone(far):
                yield way

    def _handoff(self, here: str, there: str, leaf: Leaf) -> Effect:
        """Return what becomes of the carrier's cord."""
        if here == there:
            return _HARMLESS
        before, after = self._ways(here, there, leaf)
        lost, gained = sorted(before - after), sorted(after - before)
        if lost:
            return Effect(
                Harm.SITE, lambda leaf: f"the carrier's frames no longer get to {self._places(lost, leaf)}", True
            )
        if gained:
            return Effect(Harm.CARRIER, lambda leaf: f"the carrier's frames get to {self._places(gained, leaf)}")
        return Effect(Harm.SITE, _says("the carrier's cord is in another port"))

    def _called(self, way: Way, leaf: Leaf) -> str:
        """Return what people call a way's far end, or one of its class that is not the cord's own: jack or endpoint."""
        if way.third == _OTHER:
            return _OTHER
        anchor = self._side.anchors.get(self._exchange.another(way.third, leaf.place))
        return anchor.name if anchor else way.third

    def _places(self, ways: Iterable[Way], leaf: Leaf) -> str:
        """Return the far ends in words; what frames end at comes first: a router tells more than one desk of many."""
        first = {way.third: way for way in reversed(list(ways))}
        ordered = sorted(first.values(), key=lambda way: (way.third == _OTHER or not self._ends(way.third), way.third))
        return _some([self._called(way, leaf) for way in ordered])

    def _ends(self, place: str) -> bool:
        return self._side.ground.network.only_ends(place)

    def _settings(self, leaf: Leaf, to: str) -> Iterator[tuple[Harm, str]]:
        """Yield what the settings of the other port do to what hangs at the cord."""
        phone = EndpointKind.PHONE in leaf.kinds
        if phone:
            yield Harm.SILENT, "the place it tells for emergency calls may hang on its port"
        if not self._compared.comparable(leaf.place) or not self._compared.comparable(to):
            return
        mine, theirs = self._compared.facts(leaf.place), self._compared.facts(to)
        if mine is theirs:
            return
        for name in mine:
            if mine[name] == theirs[name] or name in ("family", "kind of port", "VLANs", "private VLAN"):
                continue
            words = self._compared.differs(name, leaf.place, to)
            if name in ("power of the box", Property.POWER, Property.SPARE_PAIRS):
                if leaf.kinds & _POWERED:
                    yield Harm.SEEN if leaf.kinds & _WATCHED else Harm.SILENT, words
            elif name in (Property.VOICE, Property.LOCATION):
                if phone:
                    yield Harm.SILENT, words
            elif name in _SHUTS:
                yield Harm.SEEN if leaf.kinds & _WATCHED else Harm.SILENT, words
            else:
                yield Harm.SILENT, words

    def _told(self, lost: list[Way], gained: list[Way], leaf: Leaf) -> str:
        parts = [("loses", lost), ("hears or reaches", gained)]
        return ", ".join(f"{what} {self._places(ways, leaf)}" for what, ways in parts if ways)


def _verb(way: Way) -> str:
    return "reaches" if way.sends else "hears"


def _some(places: list[str]) -> str:
    more = f" and {len(places) - _NAMED} more" if len(places) > _NAMED else ""
    return f"{', '.join(places[:_NAMED])}{more}"


def _more(way: Way, before: Collection[Way]) -> bool:
    """Tell whether frames get that way that did not before."""
    known = 0
    for one in before:
        if (one.third, one.sends, one.frame) == (way.third, way.sends, way.frame):
            known |= one.sent
    return bool(way.sent & ~known)
