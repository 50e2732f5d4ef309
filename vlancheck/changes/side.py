"""One of two surveys, as a comparison asks for it: boundary ports by what outlives the switch."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from vlancheck.dot1q.tags import TAGS, UNTAGGED
from vlancheck.evidence import Origins
from vlancheck.places import split_place
from vlancheck.site.anchors import Anchor, AnchorKind
from vlancheck.site.boxes import Occupancy
from vlancheck.verdicts.ground import Ground

EVERY_FRAME = TAGS | UNTAGGED


def _no_port(_: Anchor) -> str:
    return ""


@dataclass(frozen=True)
class Side:
    """A survey in a comparison."""

    ground: Ground  # network, carriage, reasons, occupancy
    anchors: Mapping[str, Anchor]  # boundary port DEVICE:PORT -> what it is known by
    needed: Mapping[str, int] = field(default_factory=dict)  # boundary port -> needed frames (bit 4095: untagged)
    was: Callable[[str], str] = str  # DEVICE:PORT -> its name before the renamings of this survey
    gone: Callable[[Anchor], str] = _no_port  # why nobody knows where an anchor is; "" when it is known to be nowhere

    @cached_property
    def place(self) -> Mapping[Anchor, str]:
        """The boundary port of every anchor."""
        return {anchor: place for place, anchor in self.anchors.items()}

    def plugged(self, place: str) -> bool:
        """Tell whether something is known to be plugged into a port, or it needs no cord."""
        return self.ground.occupancy(place).state is Occupancy.OCCUPIED

    def speakers(self, anchor: Anchor) -> tuple[str, ...]:
        """Return who speaks for an anchor's port: anchors with the same ones may be exchanged without a change."""
        return self.ground.carried.carriage.speakers(self.place[anchor])

    def counts(self, anchor: Anchor) -> bool:
        """Tell whether an anchor is a place of its own in any survey: a bare port counts only with something in it."""
        return anchor.kind is not AnchorKind.PORT or self.plugged(self.place[anchor])

    def named_at(self, place: str) -> Origins:
        """Return where the text names a port."""
        return self.ground.network.port(place).origins


def told_first(anchor: Anchor, *sides: Side) -> tuple[bool, bool, bool, str]:
    """Return what sorts those first that tell people most: boxes where frames end, and handoffs last."""
    ends = any(side.ground.network.only_ends(side.place[anchor]) for side in sides if anchor in side.place)
    return not ends, anchor.kind is AnchorKind.CIRCUIT, anchor.kind is AnchorKind.JACK, anchor.key


def same_port(old: str, new: str) -> bool:
    """Tell whether a port is the one it was; of a box that was replaced, by the number at the end of its name."""
    if old.casefold() == new.casefold():
        return True
    (device, port), (other, name) = split_place(old), split_place(new)
    if device.casefold() != other.casefold():
        return False
    ends = [int(found[0]) for one in (port, name) if (found := re.search(r"\d+$", one))]
    return len(ends) == 2 and ends[0] == ends[1]
