"""Words about a cord in, the kind of cord out: which of them carry frames, and which are of another trade."""

from __future__ import annotations

import re
from enum import StrEnum
from functools import cache


class CordKind(StrEnum):
    """What a cord is; the order is the one in which words are looked for."""

    POWER = "power"
    STACK = "stack"  # between the stacking ports of switches
    ANALOG = "analog"  # a telephone line: ringing voltage, no frames
    FIBRE_PAIR = "fibre pair"
    COPPER = "copper"  # twisted pair, and copper assemblies between two sockets for modules


# Cords that no frame of a VLAN passes.
NO_FRAMES = frozenset({CordKind.POWER, CordKind.STACK, CordKind.ANALOG})

# Common practice, no source.
WORDS = {
    CordKind.POWER: "power|mains|psu|iec|c5|c13|c14|c15|c19|c20|kettle lead|schuko",
    CordKind.STACK: "stack|stacks|stacking",
    CordKind.ANALOG: "analog|analogue|pots|pstn|rj11|rj-11|rj12|rj-12|fxs|fxo|phone line|telephone line|exchange line",
    CordKind.FIBRE_PAIR: "fibre|fiber|fibre pair|fiber pair|duplex|om1|om2|om3|om4|om5|os1|os2|lc|sc|st|mtp|mpo|mm|sm"
    "|multimode|multi-mode|singlemode|single-mode|aoc",
    CordKind.COPPER: "copper|cat3|cat5|cat5e|cat6|cat6a|cat7|cat7a|cat8|cat 5|cat 5e|cat 6|cat 6a|cat 7|utp|ftp|stp"
    "|sftp|s/ftp|u/utp|f/utp|rj45|rj-45|twisted pair|ethernet|dac|twinax",
}
_FOUND = {
    kind: re.compile(rf"(?<![a-z0-9])(?:{'|'.join(map(re.escape, words.split('|')))})(?![a-z0-9])", re.IGNORECASE)
    for kind, words in WORDS.items()
}

_ADAPTER = re.compile(r"(?<![a-z])(?:ata|adapt[eo]rs?|gateways?|converters?)(?![a-z])", re.IGNORECASE)


@cache
def cord_kind(text: str) -> CordKind | None:
    """Return what kind of cord the words name (`LC-LC OM4`, `Cat 6a`); None for words that nobody placed."""
    return next((kind for kind, words in _FOUND.items() if words.search(text)), None)


def names_kind(text: str, kind: CordKind) -> bool:
    """Tell whether words name a kind of cord, whatever else they name."""
    return _FOUND[kind].search(text) is not None


def says_analog(text: str) -> bool:
    """Tell whether words about what hangs there name an analog line (`analogue fax`, `POTS`) and no adapter."""
    return _FOUND[CordKind.ANALOG].search(text) is not None and _ADAPTER.search(text) is None
