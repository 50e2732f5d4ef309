"""What a port is set to for speed and duplex in, whether it negotiates and with what out."""

from __future__ import annotations

import re
from dataclasses import dataclass

from vlancheck.dot1q.model import Device, Port
from vlancheck.dot1q.properties import Property
from vlancheck.evidence import Origins
from vlancheck.findings.settings import lines, word

_SLOW = 100  # Mbit/s up to which a set speed ends negotiation (above, copper negotiates anyhow; common practice)


@dataclass(frozen=True, slots=True)
class Pace:
    """Speed and duplex as a port is told."""

    speed: str  # as written; "" no line
    duplex: str  # as written; "" no line
    origins: Origins  # the lines, or where the port is named

    @property
    def no_negotiation(self) -> bool:
        """Tell whether a line says in words that nothing is negotiated."""
        return "noneg" in re.sub(r"[^a-z]", "", f"{self.speed} {self.duplex}".casefold())

    @property
    def forced(self) -> bool:
        """Tell whether a line sets what both ends would settle otherwise."""
        return self.no_negotiation or self._half_or_full or bool(self.rate and self.rate <= _SLOW)

    @property
    def rate(self) -> int | None:
        """Return the one speed that is set, Mbit/s; None where it is negotiated, or nothing is set."""
        found = re.fullmatch(r"(\d+)\s*(?:m|mbps|-?full|-?half)?", self.speed.strip().casefold())
        return int(found[1]) if found else None

    @property
    def told(self) -> str:
        """Return it in words."""
        said = [f"speed {self.speed}" if self.speed else "", f"duplex {self.duplex}" if self.duplex else ""]
        return " and ".join(one for one in said if one) or "nothing, so that it negotiates"

    @property
    def full(self) -> bool | None:
        """Tell whether duplex is set to full; None where it is not set."""
        both = f"{self.speed} {self.duplex}".casefold()
        return None if not self._half_or_full else "full" in both

    @property
    def _half_or_full(self) -> bool:
        both = f"{self.speed} {self.duplex}".casefold()
        return "auto" not in both and ("full" in both or "half" in both)


def pace(port: Port) -> Pace:
    """Return what lines set a port to."""
    found = (word(port, Property.SPEED), word(port, Property.DUPLEX))
    return Pace(*found, lines(port, Property.SPEED, Property.DUPLEX))


def states_pace(device: Device) -> bool:
    """Tell whether lines of a box set the speed or duplex of some port, so that one without such lines negotiates."""
    several = device.ports.values()
    return any(which in port.properties for port in several for which in (Property.SPEED, Property.DUPLEX))
