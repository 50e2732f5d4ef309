"""What a bridge or port says of its spanning tree in, words and JSON fields with the deciding lines out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from vlancheck import vids
from vlancheck.dot1q.model import Bridge
from vlancheck.dot1q.tree import Given, PortTree
from vlancheck.evidence import UNKNOWN, Fact, Kind, Origins, State
from vlancheck.report import origins


def bridge_lines(bridge: Bridge) -> Iterator[str]:
    """Yield the tree that a bridge speaks, and its place in it as far as lines say."""
    known = bridge.spanning_tree.value is not UNKNOWN and bridge.spanning_tree.value != "unknown"
    if not known and not bridge.tree.without.sure:
        return
    yield f"tree      {bridge.spanning_tree.value}  <- {origins.short(bridge.spanning_tree.origins)}"
    for name, value, by in of_bridge(bridge):
        yield f"    {name:9} {value}  <- {origins.short(by)}"


def port_lines(tree: PortTree) -> Iterator[str]:
    """Yield what lines and captures say of the part of a port in the trees of its bridge."""
    for name, value, by in of_port(tree):
        yield f"tree      {name} {value}  <- {origins.short(by)}"


def bridge_documents(bridge: Bridge) -> list[dict[str, Any]]:
    """Return the same of a bridge as JSON fields."""
    spoken = bridge.spanning_tree.value
    mode = ("mode", "unknown" if spoken is UNKNOWN else spoken, bridge.spanning_tree.origins)
    return [_document(*one) for one in (mode, *of_bridge(bridge))]


def port_documents(tree: PortTree) -> list[dict[str, Any]]:
    """Return the same of a port as JSON fields."""
    return [_document(*one) for one in of_port(tree)]


def _document(name: str, value: str, by: Origins) -> dict[str, Any]:
    return {"name": name, "value": value, "evidence": origins.documents(by)}


def of_bridge(bridge: Bridge) -> Iterator[tuple[str, str, Origins]]:
    """Yield what is known of the place of a bridge in its trees: what, value, evidence."""
    tree = bridge.tree
    yield from _known("address", tree.address)
    yield from _numbers("priority", tree.priorities)
    yield from _known("costs", tree.costs)
    yield from _known("region", tree.region)
    yield from _numbers("instance", tree.instances)
    for bits, state, by in tree.without.parts:
        if state is State.IN:
            yield "none in", vids.text(bits), by


def of_port(tree: PortTree) -> Iterator[tuple[str, str, Origins]]:
    """Yield what is known of the part of a port in the trees of its bridge, defaults apart: what, value, evidence."""
    yield from _numbers("cost", tree.costs)
    yield from _numbers("cost shown", tree.shown_costs)
    yield from _numbers("priority", (one for one in tree.priorities if not _usual(one)))
    yield from _known("number", tree.number)


def _usual(one: Given) -> bool:
    """Tell whether a number is the one without a line, whatever line makes the row hold that says so."""
    return bool(one.origins) and one.origins[0].kind is Kind.DEFAULT


def _known(name: str, fact: Fact[str] | Fact[str | None] | Fact[int]) -> Iterator[tuple[str, str, Origins]]:
    if fact.value is not UNKNOWN and fact.value is not None:
        yield name, str(fact.value), fact.origins


def _numbers(name: str, several: Iterable[Given]) -> Iterator[tuple[str, str, Origins]]:
    for one in several:
        of = "" if one.instances == vids.EVERY else f" in {vids.text(one.instances)}"
        yield name, f"{one.number}{of}", one.origins
