"""Where a walk starts: a port in any form, or a sub-interface, which stands for its port and its tag."""

from __future__ import annotations

from collections.abc import Mapping

from vlancheck.dot1q.model import NO_TAG, BridgePort, Device, End, TagMatch
from vlancheck.dot1q.tags import C_TAG, Frame, Tag
from vlancheck.errors import UsageError
from vlancheck.places import split_place
from vlancheck.site.places import PlaceError, find_device, find_place
from vlancheck.site.spots import Spots
from vlancheck.vids import first
from vlancheck.walk.walk import as_frame
from vlancheck.wiring.network import Network


def start(
    network: Network, devices: Mapping[str, Device], text: str, frame: str | Frame, spots: Spots | None = None
) -> tuple[str, Frame]:
    """Return the port and the frame that a walk from `text` with `frame` starts with.

    With `spots`, a jack, a panel port, a circuit, a cord or a MAC stands for the port it leads to.

    Raises UsageError, with the nearest names, when there is no such port or the frame cannot be read.
    """
    sent = as_frame(frame)
    try:
        place = find_place(devices, text)
    except PlaceError as error:
        if (found := _sub_interface(devices, text) or _spot(spots, text)) is None:
            raise UsageError(error.message, hint=error.hint) from error
        place, tags = found
        sent = tags + sent
    return network.stands_for.get(place, place), sent


def _spot(spots: Spots | None, text: str) -> tuple[str, Frame] | None:
    """Return the port that a jack, a panel port, a circuit, a cord or a MAC leads to; None when `text` names none."""
    try:
        found = spots.find(text) if spots else ()
    except PlaceError as error:
        raise UsageError(error.message, hint=error.hint) from error
    if not found:
        return None
    if len(found) > 1 or len(found[0].places) > 1:
        places = [place for spot in found for place in spot.places]
        raise UsageError(f"{text!r} stands for several ports", hint=f"write one of {', '.join(places[:12])}")
    if not found[0].places:
        raise UsageError(f"nothing is patched at {found[0].name}", hint="a walk starts at a port")
    return found[0].places[0], found[0].frame


def _sub_interface(devices: Mapping[str, Device], text: str) -> tuple[str, Frame] | None:
    device, name = split_place(text)
    try:
        box = devices[find_device(devices, device)]
    except PlaceError:
        return None
    found: End | BridgePort | None = box.ends.get(name) or box.bridge_ports.get(name)
    if found is None:
        return None
    tags = tuple(tag for level in found.select if (tag := _tag(level, found.tpids)) is not None)
    return f"{box.name}:{found.port}", tags


def _tag(level: TagMatch, tpids: frozenset[int]) -> Tag | None:
    """Return the one tag that a level selects; None for "no tag" and for a choice of several."""
    if level.vids < 0 or level.vids.bit_count() != 1 or level.vids >> NO_TAG & 1:
        return None
    counted = level.tpids or tpids or frozenset({C_TAG})
    return Tag(min(counted), first(level.vids))
