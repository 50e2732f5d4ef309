"""Which cautions belong on a sheet, by what its rows are about; local codes and licensed people decide in all of them.

Common practice, no source, where nothing else is named.
"""

from __future__ import annotations

from collections.abc import Iterable

from vlancheck.moves.worksheets.cords import CordRow
from vlancheck.site.cordkinds import CordKind, says_analog
from vlancheck.site.endpoints import EndpointKind
from vlancheck.site.fibre import LASER

DECIDE = "Local codes, the owner and licensed people decide; this sheet decides nothing."
HOLD = (
    "A row marked HOLD is nobody's to move unasked. Fire-alarm, lift, medical, door and emergency lines: ask the owner "
    "and whoever watches the line first, write down how long it was out of service, and let the owner test it."
)
# IEC 60825-2 speaks of the closed system alone (from memory).
FIBRE = f"Fibre: {LASER}."
# Idle and ringing voltages of exchange lines: from memory.
ANALOG = (
    "Analog lines carry about 48 V DC, and about 90 V AC while they ring: no bare ends in the hand, none of it in a "
    "thunderstorm, and never into a data port."
)
LIFTING = "Two people lift a chassis, and neither by its fan or supply handles; the heaviest goes lowest."
LADDER = "A ladder stands on four feet and is held; nobody leans over a rack with one foot in the air."
POWER = (
    "Whoever is licensed for it works on power. Supplies and batteries may be live when everything is dark; the earth "
    "comes off last and goes on first."
)
SNAG = "A cord that is trapped behind a chassis pulls its neighbours: look behind it before it slides out."
CARRIER = "The carrier's box and fibre are the carrier's: look at its lights, and ask; type nothing into it."


def of_cords(rows: Iterable[CordRow]) -> tuple[str, ...]:
    """Return the cautions for people who handle these cords."""
    several = list(rows)
    found = [HOLD, DECIDE] if any(row.hold for row in several) else []
    if any(row.kind is CordKind.FIBRE_PAIR for row in several):
        found.append(FIBRE)
    if any(_rings(row) for row in several):
        found.append(ANALOG)
    if any(row.kind is CordKind.POWER for row in several):
        found.append(POWER)
    return tuple(found)


def _rings(row: CordRow) -> bool:
    """Tell whether a telephone line may be in a cord: it is analog, or a fax or a line in series is at its end."""
    lines = {EndpointKind.FAX, EndpointKind.ALARM, EndpointKind.LIFT, EndpointKind.EMERGENCY, EndpointKind.DOOR}
    return row.kind is CordKind.ANALOG or says_analog(row.serves) or not lines.isdisjoint(row.kinds)
