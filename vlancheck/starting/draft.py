"""What a pile of logs says comes in, the text of `site.yaml` and of a patch sheet to fill in goes out.

Everything is a draft: what a capture says is written down with the line that says it, what is only likely stands behind
a `#`, and every chapter says what to check.
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from vlancheck.dot1q.model import BridgePort, Device, Port, PortKind
from vlancheck.starting.cords import Guess
from vlancheck.vids import WIRE

_CARRIER = re.compile(r"carrier|metro|hand-?off|\b(?:nid|onu|wan|isp)\b|circuit|provider|demarc|telco", re.I)


@dataclass(frozen=True, slots=True)
class Pile:
    """What the captures are, and what could not be used of them."""

    name: str  # of the site
    devices: tuple[Device, ...]  # by name
    files: tuple[tuple[str, str], ...]  # device -> where its captures are, in words
    notes: tuple[str, ...]  # what was not used, and why
    cords: tuple[Guess, ...]  # between them


def declaration(pile: Pile) -> str:
    """Return the text of `site.yaml`."""
    parts = [_head(pile), _surveys(), _boxes(pile), _links(pile), _handoffs(pile), _services(), _vlans(pile), _rest()]
    return "\n".join("\n".join(part) + "\n" for part in parts)


def patch_sheet(pile: Pile) -> str:
    """Return a patch sheet with a row for each place of a cord, filled in where a neighbour told it."""
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(["from", "from port", "to", "to port", "label", "kind", "length", "serves", "hold", "note"])
    done: set[str] = set()
    for guess in pile.cords:
        if guess.known and ":" in guess.one and ":" in guess.other:
            rows.writerow([*_split(guess.one), *_split(guess.other), "", "", "", "", "", f"check: {guess.said[0]}"])
            done |= {guess.one, guess.other}
    for device in pile.devices:
        bundles = {port.bundle for port in device.ports.values() if port.bundle}
        for port in device.ports.values():
            place = f"{device.name}:{port.name}"
            if port.kind is PortKind.JACK and port.name not in bundles and place not in done:
                note = f"description: {port.description}" if port.description else ""
                rows.writerow([device.name, port.name, "", "", "", "", "", "", "", note])
    return out.getvalue()


# ---- chapters ----------------------------------------------------------------------------------------------------


def _head(pile: Pile) -> Iterator[str]:
    yield "# A draft: what a capture says is written down, what is only likely stands behind a #. Check every line."
    yield f"site: {_quoted(pile.name)}"
    yield ""
    yield "# What was read:"
    for device, where in pile.files:
        box = next(one for one in pile.devices if one.name == device)
        unread = f", {box.unread_lines} lines unread (vlancheck read --unread)" if box.unread_lines else ""
        yield f"#   {device}: {box.dialect}, {where}{unread}"
    if pile.notes:
        yield "# What was not used:"
        yield from (f"#   {_comment(note)}" for note in pile.notes)


def _surveys() -> Iterator[str]:
    yield "surveys:"
    yield "  as-found: {captures: captures/as-found}"
    yield "  # Fill in patching-to-fill-in.csv, save it as patching/as-found.csv, and take the links out below."
    yield "  # When was it captured?  taken: 2026-03-14 22:40"


def _boxes(pile: Pile) -> Iterator[str]:
    yield "# Boxes that captures cannot tell: carrier's boxes, unmanaged switches, servers, panels, phone systems."
    unknown = [guess for guess in pile.cords if guess.sure and not guess.known]
    if unknown:
        yield "# These spoke up as neighbours and are not captured:"
    for guess in unknown:
        yield f"#   {_comment(guess.other)} at {guess.one}: {_comment(guess.said[0])}"
    yield "# devices:"
    yield "#   ONU-1: {kind: carrier-box, owner: carrier}"
    yield "#   DESK-SW: {kind: unmanaged}"


def _links(pile: Pile) -> Iterator[str]:
    whole = [guess for guess in pile.cords if guess.known and ":" in guess.one and ":" in guess.other]
    yield "# Cords that neighbours or descriptions name. Trace each: a table may be old, and a description older."
    yield "links:" if whole else "# links:"
    for guess in whole:
        yield f"  - [{_quoted(guess.one)}, {_quoted(guess.other)}]  # {_comment('; '.join(guess.said))}"
    likely = [guess for guess in pile.cords if guess.known and guess not in whole]
    if likely:
        yield "  # One port is not told; trace it, write it down, then take the mark away:"
    for guess in likely:
        yield f"  # - [{_quoted(guess.one)}, {_quoted(guess.other)}]  # {_comment('; '.join(guess.said))}"


def _handoffs(pile: Pile) -> Iterator[str]:
    yield "# Where the carrier's tags enter, with the circuit from the order."
    yield "# handoffs:"
    found = False
    for device, port in _jacks(pile.devices):
        if _CARRIER.search(port.description):
            found = True
            place = _quoted(f"{device.name}:{port.name}")
            yield f"#   - {{at: {place}, carrier: NAME, circuit: NUMBER}}  # description: {_comment(port.description)}"
    if not found:
        yield '#   - {at: "SORT-1:24", carrier: NAME, circuit: NUMBER}  # no description speaks of a carrier'


def _services() -> Iterator[str]:
    yield "# What was ordered: the carrier's tag, where it enters, where it must come out and how."
    yield "# services:"
    yield '#   - {name: NAME, tag: 310, enters: "SORT-1:24", leaves: [{at: "RTR-1:wan1", frame: untagged}]}'


def _vlans(pile: Pile) -> Iterator[str]:
    ports: dict[int, list[str]] = {}
    for device in pile.devices:
        for one in device.bridge_ports.values():
            vid = one.pvid.value
            port = device.ports.get(one.port)
            if port and port.kind is PortKind.JACK and isinstance(vid, int) and vid != 1 and _desk(one, port):
                ports.setdefault(vid, []).append(f"{device.name}:{port.name}")
    several = {vid: places for vid, places in sorted(ports.items()) if len(places) > 1}
    yield "# VLANs with two or more ports of their own, as they are now. Are these all that must hear each other?"
    yield "vlans:" if several else "# vlans:"
    for vid, places in several.items():
        yield f"  - vid: {vid}"
        yield f"    name: {_quoted(f'VLAN {vid}')}  # what is it for?"
        yield "    reaches:"
        yield from (f"      - {{at: {_quoted(place)}, frame: untagged}}" for place in places)
    alone = [f"{vid} ({places[0]})" for vid, places in sorted(ports.items()) if len(places) == 1]
    if alone:
        yield f"  # with one port only: {', '.join(alone)}"


def _rest() -> Iterator[str]:
    yield "# Rows that nobody may touch without their owner: fire, lift, medical, door, emergency and alarm lines."
    yield "# Ask who owns each before a cord is moved; local codes and licensed practice come first."
    yield "# holds:"
    yield '#   - {at: "PANEL-B:11", why: fire alarm dialler, owner: building services}'


# ---- words -------------------------------------------------------------------------------------------------------


def _desk(one: BridgePort, port: Port) -> bool:
    """Tell whether a port looks like a desk's: open, an untagged VLAN, at most one tagged one for a phone."""
    tagged = one.member.sure & ~one.untagged.sure & WIRE
    return not (one.doubt or port.bundle or port.up.value is False) and tagged.bit_count() <= 1


def _jacks(devices: Sequence[Device]) -> Iterable[tuple[Device, Port]]:
    for device in devices:
        for port in device.ports.values():
            if port.kind is PortKind.JACK:
                yield device, port


def _split(place: str) -> tuple[str, str]:
    device, _, port = place.partition(":")
    return device, port


def _quoted(text: str) -> str:
    """Return a text as YAML takes it whatever is in it."""
    return json.dumps(text, ensure_ascii=False)


def _comment(text: str) -> str:
    """Return a text on one line, as a comment needs it."""
    return " ".join(text.split())
