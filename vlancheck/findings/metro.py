"""Orders of metro Ethernet services in, the fields that cannot go together out, each with the document that says so.

The numbers of MEF's requirements are those of its published YANG modules, mef-legato-services@2018-07-11.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from vlancheck.site.handoffs import Handoff, L2cpSet, Metro, Mode
from vlancheck.vids import WIRE, text

_PORT_BASED = (Metro.EPL, Metro.EP_LAN, Metro.EP_TREE)
_POINT_TO_POINT = (Metro.EPL, Metro.EVPL)
_LEAST_FRAME = 1522


@dataclass(frozen=True, slots=True)
class Rule:
    """Two fields of one order that cannot both be right."""

    keys: tuple[str, ...]  # of site.yaml, the one to look at first
    broken: Callable[[Handoff], bool]  # tells whether an order breaks it
    words: str  # what does not go together
    source: str  # document and clause


# fmt: off
RULES = (
    Rule(("ce-vlans", "type"), lambda one: one.type in _PORT_BASED and bool(one.ce_vlans) and not one.all_to_one,
         "an {type} takes every CE-VLAN ID, and {ce-vlans} are listed",
         "MEF 6.2, R21, R36 (all-to-one bundling on); MEF 10.3, R82 (all 4094 CE-VLAN IDs)"),
    Rule(("ce-vlans", "type"), lambda one: one.type is not None and one.type not in _PORT_BASED and one.all_to_one,
         "an {type} has CE-VLAN IDs of its own, and all are listed",
         "MEF 6.2, R31, R41, R51 (all-to-one bundling off)"),
    Rule(("preserved", "type"), lambda one: one.type in _PORT_BASED and one.preserved is False,
         "an {type} keeps CE-VLAN IDs, and the order says that they are not preserved",
         "MEF 6.2, R29, R39 and the table of EP-Tree (CE-VLAN ID preservation on)"),
    Rule(("preserved", "ce-vlans"), lambda one: one.type not in _PORT_BASED and one.preserved is False
         and one.ce_vlans.bit_count() > 1,
         "several CE-VLAN IDs ({ce-vlans}) are never translated, and the order says that they are not preserved",
         "MEF 10.3, R25 (more than one CE-VLAN ID at a UNI: preservation enabled)"),
    Rule(("untagged", "ce-vlans"), lambda one: one.untagged_as is not None and one.all_to_one,
         "untagged frames get no CE-VLAN ID where every one of them belongs to the service",
         "MEF 10.3, 9.9 (no default CE-VLAN ID with all-to-one bundling)"),
    Rule(("ends", "type"), lambda one: one.type in _POINT_TO_POINT and len(one.ends) > 1,
         "an {type} has two ends, and the order lists {ends}",
         "MEF 6.2, R25, R33; MEF 10.3, R13 (point-to-point: exactly two end points)"),
    Rule(("mac-limit", "type"), lambda one: one.type is Metro.EPL and one.mac_limit is not None,
         "an EPL has no limit of addresses, and {mac-limit} is ordered",
         "MEF 6.2, R24"),
    Rule(("l2cp-set", "type"), lambda one: one.type in _PORT_BASED and one.l2cp_set is L2cpSet.CTA,
         "CTA is for services of some CE-VLAN IDs, and an {type} takes all",
         "MEF 45.1, 8.1 (CTB or CTB-2 where the service is the port)"),
    Rule(("l2cp-set", "type"), lambda one: one.type is not None and one.type not in _PORT_BASED
         and one.l2cp_set in (L2cpSet.CTB, L2cpSet.CTB_2),
         "{l2cp-set} is for services that take the whole port, and an {type} does not",
         "MEF 45.1, 8.1 (CTA where the service is not all CE-VLAN IDs)"),
    Rule(("l2cp-set", "type"), lambda one: one.type in (Metro.EP_LAN, Metro.EP_TREE)
         and one.l2cp_set is L2cpSet.CTB_2,
         "CTB-2 is for an EPL alone, and this is an {type}",
         "MEF 45.1, 8.1; order form field L2CP ADDR (CTB-2 with EPL only)"),
    Rule(("max-frame",), lambda one: one.max_frame is not None and one.max_frame < _LEAST_FRAME
         and one.mode is not Mode.UNTAGGED,
         "the longest frame is {max-frame} octets; no UNI may have less than 1522",
         "MEF 10.4, 9.8 (UNI maximum service frame size 1522 or more)"),
    Rule(("untagged", "mode"), lambda one: one.mode is Mode.UNTAGGED and one.untagged == "refused",
         "frames come untagged, and untagged frames are refused",
         "common practice, no source"),
)
# fmt: on


def contradictions(orders: Sequence[Handoff]) -> Iterator[tuple[Handoff, tuple[str, ...], str, str]]:
    """Yield order, keys, words and source for everything that cannot be right in the orders of one port."""
    for one in orders:
        for rule in RULES:
            if rule.broken(one):
                yield one, rule.keys, _filled(rule.words, one), rule.source
    for number, one in enumerate(orders):
        for other in orders[:number]:
            if one.all_to_one or other.all_to_one:
                whole, part = (one, other) if one.all_to_one else (other, one)
                words = f"{whole.called} takes every CE-VLAN ID of the port, and {part.called} is at it too"
                yield whole, ("ce-vlans",), words, "MEF 6.2, R22, R37; MEF 10.3, R82 (one service at such a port)"
            elif shared := one.ce_vlans & other.ce_vlans & WIRE:
                words = f"CE-VLAN ID {text(shared)} belongs to {other.called} and to {one.called}"
                source = "MEF 10.3, R76 (a CE-VLAN ID of a port is of one service at most)"
                yield one, ("ce-vlans",), words, source
            elif one.mode is Mode.UNTAGGED and other.mode is Mode.UNTAGGED:
                words = f"{other.called} and {one.called} are both untagged"
                yield one, ("mode",), words, "common practice, no source"


def _filled(words: str, one: Handoff) -> str:
    """Return the words with the values of the order."""
    values = {
        "type": str(one.type or ""),
        "ce-vlans": "all" if one.all_to_one else text(one.ce_vlans),
        "ends": f"{len(one.ends)} beside this one",
        "mac-limit": str(one.mac_limit),
        "max-frame": str(one.max_frame),
        "l2cp-set": str(one.l2cp_set or ""),
    }
    for key, value in values.items():
        words = words.replace("{" + key + "}", value)
    return words
