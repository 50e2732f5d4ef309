"""Words about what hangs on a jack in, kinds of endpoints out; and which of them nobody may touch unasked."""

from __future__ import annotations

import re
from collections.abc import Iterable
from enum import StrEnum
from functools import cache


class EndpointKind(StrEnum):
    """What hangs on a jack or a port; the order is the one in which words are looked for."""

    ALARM = "alarm"  # fire, burglar, personal alarm
    LIFT = "lift"
    EMERGENCY = "emergency"  # emergency telephone, refuge point
    MEDICAL = "medical"  # nurse call, monitors
    DOOR = "door"  # entry phones, locks, barriers
    FAX = "fax"
    PAYMENT = "payment"  # card terminals, tills
    PRINTER = "printer"
    CAMERA = "camera"
    ACCESS_POINT = "access-point"
    PHONE = "phone"
    PHONE_SYSTEM = "phone-system"
    SERVER = "server"
    DISPLAY = "display"
    PC = "pc"
    BUILDING = "building"  # heating, meters, controls
    OTHER = "other"  # something, in words nobody placed


# Lines that people's safety hangs on: a row that serves one is a hold until its owner says otherwise
# (common practice, no source).
ON_HOLD = frozenset(
    {EndpointKind.ALARM, EndpointKind.LIFT, EndpointKind.EMERGENCY, EndpointKind.MEDICAL, EndpointKind.DOOR}
)

# Common practice, no source.
_CAUTION = (
    "leave it alone until its owner and whoever watches the line agree to a test;"
    " local codes and licensed people decide"
)

_WORDS = {
    EndpointKind.ALARM: r"alarms?|fire|smoke|intruder|burglar|panic|dialler|dialer|sprinklers?",
    EndpointKind.LIFT: r"lifts?|elevators?",
    EndpointKind.EMERGENCY: r"emergency|refuge|sos",
    EndpointKind.MEDICAL: r"medical|nurse|patient|bedside|infusion|ecg|telemetry",
    EndpointKind.DOOR: r"doors?|entry ?phones?|intercoms?|gates?|barriers?|access control|door ?bells?|locks?"
    r"|turnstiles?",
    EndpointKind.FAX: r"fax(?:es)?|telefax",
    EndpointKind.PAYMENT: r"card (?:terminals?|readers?|machines?)|payments?|eftpos|pos|tills?|cash registers?",
    EndpointKind.PRINTER: r"printers?|printing|mfp|mfd|copiers?|plotters?|scanners?",
    EndpointKind.CAMERA: r"cameras?|cam|cctv|webcams?|nvr",
    EndpointKind.ACCESS_POINT: r"access points?|wap|aps?|wi-?fi|wlan|wireless",
    EndpointKind.PHONE_SYSTEM: r"pbx|phone systems?|voice gateways?|ata",
    EndpointKind.PHONE: r"phones?|tel|telephones?|handsets?|voip|ip-?phones?|dect|extensions?|ext",
    EndpointKind.SERVER: r"servers?|srv|nas|storage|hypervisors?|backup|ups|nics?|vmnic\d*",
    EndpointKind.DISPLAY: r"displays?|screens?|tvs?|projectors?|signage|monitors?",
    EndpointKind.PC: r"pcs?|computers?|workstations?|desktops?|laptops?|notebooks?|desks?|thin ?clients?|docks?|imacs?",
    EndpointKind.BUILDING: r"heating|hvac|bms|meters?|thermostats?|controllers?|plc|ventilation|boilers?",
}
_FOUND = {kind: re.compile(rf"(?<![a-z])(?:{words})(?![a-z])", re.IGNORECASE) for kind, words in _WORDS.items()}
_NETWORK = re.compile(
    r"(?<![a-z])(?:sw|switch|switches|rtr|routers?|gw|gateways?|fw|firewalls?|hubs?|core|dist|onu|nid|cpe|modems?)(?![a-z])",
    re.IGNORECASE,
)


@cache
def endpoint_kinds(text: str) -> tuple[EndpointKind, ...]:
    """Return the kinds that `text` names (`phone 214 + PC` names two), else OTHER; () when it says nothing.

    A word belongs to the first kind that takes it: a `door phone` is a door, a `fire alarm printer` an alarm as well
    as a printer.
    """
    rest = text.casefold().replace("_", " ")
    if not rest.strip(" -\u2013\u2014"):
        return ()
    if EndpointKind.DOOR in _named(rest) or EndpointKind.EMERGENCY in _named(rest) or EndpointKind.LIFT in _named(rest):
        rest = _FOUND[EndpointKind.PHONE].sub(" ", rest)
    return _named(rest) or (EndpointKind.OTHER,)


def caution(kinds: Iterable[EndpointKind]) -> str:
    """Return what must be said where a line that people's safety hangs on is touched; "" for other kinds."""
    return "" if ON_HOLD.isdisjoint(kinds) else _CAUTION


def names_network(name: str) -> bool:
    """Tell whether a box is called like one that passes frames on (`SW-3`, `hub`): it is no endpoint."""
    return _NETWORK.search(name) is not None


def names_endpoint(name: str) -> bool:
    """Tell whether a box is called like an endpoint (`PRINTER-3`, `PC-17`), and not like a network device as well."""
    return endpoint_kinds(name) not in ((), (EndpointKind.OTHER,)) and not names_network(name)


def _named(text: str) -> tuple[EndpointKind, ...]:
    return tuple(kind for kind in EndpointKind if kind in _FOUND and _FOUND[kind].search(text))
