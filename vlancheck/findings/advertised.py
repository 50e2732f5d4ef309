"""A survey in, the switches that give each other their VLANs by VTP out: mode, domain and revision of each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from vlancheck.dot1q.model import Device
from vlancheck.evidence import Origins, join
from vlancheck.findings.case import Case
from vlancheck.places import split_place
from vlancheck.wiring.network import Link

_ALONE = frozenset({"transparent", "off"})  # modes of a switch whose VLANs are its own
_SHARED = frozenset({"server", "client"})


@dataclass(frozen=True, slots=True)
class Sharing:
    """How a switch takes part in sharing VLANs."""

    device: str  # its name
    mode: str  # `server`, `client`, `transparent`, `off`; "" not captured
    domain: str | None  # its domain; "" it was shown to have none, None not captured
    revision: int | None  # of its configuration; None not captured
    version: str  # of the protocol; "" not captured
    origins: Origins  # the lines that say so

    @property
    def shares(self) -> bool:
        """Tell whether it surely takes the VLANs of others; version 3 does so from a primary server alone."""
        return self.mode in _SHARED and self.version != "3"

    @property
    def alone(self) -> bool:
        """Tell whether its VLANs are surely its own."""
        return self.mode in _ALONE


def sharing(case: Case) -> dict[str, Sharing]:
    """Return how each switch that says anything of it takes part, by device."""
    found = {}
    for device in case.devices.values():
        if (one := _sharing(device)) is not None:
            found[device.name] = one
    return found


def kept_apart(case: Case, link: Link, known: Mapping[str, Sharing]) -> tuple[Sharing, Sharing] | None:
    """Return both ends of a link of which the modes are not negotiated, since their domains differ; None where not."""
    one, other = (known.get(split_place(place)[0]) for place in (link.one, link.other))
    if one is None or other is None or not one.domain or not other.domain or one.domain == other.domain:
        return None
    return None if one.alone and other.alone else (one, other)


def _sharing(device: Device) -> Sharing | None:
    said = {key: device.settings[key] for key in _KEYS if key in device.settings}
    if not said:
        return None
    word = {key: str(fact.value) for key, fact in said.items()}
    modes = [word[key] for key in ("vtp-mode", "vtp-mode-shown") if key in word]
    mode = next((one for one in modes if one in _ALONE), modes[0] if modes else "")
    shown = "vtp-mode-shown" in word
    return Sharing(
        device.name,
        mode,
        word.get("vtp-domain", "" if shown else None),
        int(word["vtp-revision"]) if word.get("vtp-revision", "").isdecimal() else None,
        word.get("vtp-version", ""),
        join(*(fact.origins for fact in said.values())),
    )


_KEYS = ("vtp-revision", "vtp-domain", "vtp-mode", "vtp-mode-shown", "vtp-version")
