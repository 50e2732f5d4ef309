"""What a verdict asks of a survey besides its carriage: what is plugged in, held and declared at a port."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from vlancheck.dot1q.model import DeviceKind, PortKind
from vlancheck.dot1q.tags import Frame
from vlancheck.evidence import Origins
from vlancheck.places import split_place
from vlancheck.site.boxes import Occupancy, Occupied
from vlancheck.verdicts.arriving import Carried
from vlancheck.verdicts.reasons import Reason, Reasons
from vlancheck.walk.carriage import carriage
from vlancheck.wiring.network import NOT_WALKED, Network


def _plugged(_: str) -> Occupied:
    return Occupied(Occupancy.OCCUPIED, ())


@dataclass(frozen=True, slots=True)
class CarrierTags:
    """What a carrier's box does beyond a handoff: which of its tags become which at our cord."""

    device: str  # the box
    rows: Mapping[int, int]  # carrier's VID -> VID at our cord
    said: str  # `letter`, `capture`, `test`, `order` or ""
    origins: Origins = ()  # where it is declared


@dataclass(frozen=True)
class Ground:
    """One survey, for judging."""

    network: Network  # everything joined
    occupancy: Callable[[str], Occupied] = _plugged  # whether something is plugged into a DEVICE:PORT
    held: Mapping[str, str] = field(default_factory=dict)  # DEVICE:PORT -> why it is a hold
    carriers: Mapping[str, CarrierTags] = field(default_factory=dict)  # handoff -> the carrier's box beyond it
    carried: Carried = field(init=False)  # what arrives where
    reasons: Reasons = field(init=False)  # why not

    def __post_init__(self) -> None:
        object.__setattr__(self, "carried", Carried(carriage(self.network), self.network))
        object.__setattr__(self, "reasons", Reasons(self.network))

    def judged_at(self, place: str) -> str:
        """Return the boundary port at which frames for `place` are judged; "" when its cord leads on.

        A bundle acts for its members, and a box where frames end for the port it is plugged into.
        """
        place = self.network.stands_for.get(place, place)
        if self.network.ends_at(place):
            return place
        far = self.network.peer.get(place, "")
        return far if far and self.network.only_ends(far) else ""

    def inside(self, place: str) -> bool:
        """Tell whether no cord can go into a port: it is a box's own interface, or a carrier's side."""
        return self.network.port(place).kind is PortKind.INSIDE

    def has_address(self, place: str) -> bool:
        """Tell whether a box's own interface has an address of its own."""
        device, port = split_place(place)
        box = self.network.devices[device]
        return f"address:{port}" in box.settings or any(end.address for end in box.ends.values() if end.port == port)

    def open_leak(self, sender: str, frame: Frame, place: str, plugged: Occupied) -> Reason:
        """Return why it is not sure that a frame that may come out at `place` is a leak."""
        if plugged.state is Occupancy.UNKNOWN and plugged.origins:
            first = plugged.origins[0]
            return Reason(first.text, place, evidence=plugged.origins, settled_by=first.settle)
        return self.reasons.undecided(sender, frame, place)

    def beyond_sight(self, place: str) -> bool:
        """Tell whether a port belongs to a box that nobody walks: what gets there was judged at our port before it."""
        kind = self.network.devices[split_place(place)[0]].kind
        return kind in NOT_WALKED or (kind is DeviceKind.CARRIER_BOX and self.inside(place))
