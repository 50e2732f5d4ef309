"""A port in, what it is set to beside VLANs out: the word, the lines, the addresses it keeps."""

from __future__ import annotations

import re
from collections.abc import Mapping

from vlancheck.dot1q.macs import mac_address
from vlancheck.dot1q.model import Port
from vlancheck.dot1q.properties import Property
from vlancheck.evidence import Origins, join
from vlancheck.findings.case import Case
from vlancheck.places import split_place

_OFF = frozenset({"no", "off", "none", "disable", "disabled"})


def word(port: Port | None, which: Property) -> str:
    """Return what a port is set to; "" where no line sets it, or nobody knows to what."""
    fact = port.properties.get(which) if port else None
    return fact.value if fact is not None and isinstance(fact.value, str) else ""


def is_on(port: Port | None, which: Property) -> bool:
    """Tell whether a line sets a port to something that is not off."""
    return word(port, which).casefold() not in _OFF | {""}


def lines(port: Port | None, *which: Property) -> Origins:
    """Return the lines that set a port; where it is named, when none does."""
    if port is None:
        return ()
    return join(*(port.properties[one].origins for one in which if one in port.properties)) or port.origins


def with_bundle(case: Case, place: str, which: Property) -> Port | None:
    """Return the port that says what a place is set to: itself, or the bundle it is in; None where neither says."""
    port = case.port(place)
    if port is None or which in port.properties:
        return port
    bundle = case.port(f"{split_place(place)[0]}:{port.bundle}") if port.bundle else None
    return bundle if bundle is not None and which in bundle.properties else None


def speaks_tree(case: Case, place: str) -> bool | None:
    """Tell whether spanning-tree frames leave a place, where its box speaks any; None where that is not known."""
    for which in (Property.TREE_HERE, Property.BPDU_FILTER):
        port = with_bundle(case, place, which)
        fact = port.properties.get(which) if port else None
        if fact is None or (isinstance(fact.value, str) and is_on(port, which) is (which is Property.TREE_HERE)):
            continue
        return False if isinstance(fact.value, str) and " " not in fact.value else None
    return True


def limit(port: Port | None) -> int | None:
    """Return how many addresses a port takes at most; None where nothing says."""
    found = re.match(r"\d+", word(port, Property.MAC_LIMIT))
    return int(found[0]) if found else None


def addresses(port: Port) -> Mapping[str, Origins]:
    """Return the addresses that were seen at a port, and those it keeps, with the lines."""
    found = dict(kept(port))
    for one in port.seen:
        if one.mac:
            found.setdefault(one.mac, one.origins)
    return found


def kept(port: Port | None, before: Port | None = None) -> Mapping[str, Origins]:
    """Return the addresses that a port keeps as its own, with the lines: written for it, or learned and held.

    `before` is the port in the earlier survey, where it may have learned what it holds now.
    """
    found: dict[str, Origins] = {}
    if port is None:
        return found
    for which in (Property.STATIC_MAC, Property.STICKY_MAC):
        fact = port.properties.get(which)
        for said in word(port, which).split(","):
            mac = mac_address(said.split()[-1]) if said.split() else ""
            if mac and len(said.split()) > 1:  # a line that takes it back
                found.pop(mac, None)
            elif mac and fact is not None:
                found[mac] = tuple(one for one in fact.origins if _names(one.text, mac)) or fact.origins
    if is_on(port, Property.STICKY_MAC):
        for one in (*port.seen, *(before.seen if before else ())):
            if one.mac:
                found.setdefault(one.mac, one.origins)
    return found


def _names(text: str, mac: str) -> bool:
    return mac.replace(":", "") in re.sub(r"[^0-9a-f]", "", text.casefold())
