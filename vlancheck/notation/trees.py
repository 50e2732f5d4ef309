"""Fields of bridges and ports about their spanning tree: text in, model out, and back again."""

from __future__ import annotations

from vlancheck import vids
from vlancheck.dot1q.macs import mac_address
from vlancheck.dot1q.tree import (
    ADDRESS_UNKNOWN,
    COSTS_UNKNOWN,
    NO_REGION,
    NO_VLAN,
    NUMBER_UNKNOWN,
    BridgeTree,
    Given,
    PortTree,
)
from vlancheck.evidence import UNKNOWN, Origins
from vlancheck.notation.anonymous import Renaming
from vlancheck.notation.fields import Fields
from vlancheck.notation.words import quoted_name, said
from vlancheck.vids import EVERY

TABLES = ("short", "long")


def bridge_tree(fields: Fields) -> BridgeTree:
    """Return what a `bridge` line says of the place of a bridge in its trees."""
    return BridgeTree(
        address=fields.fact("address", _address, ADDRESS_UNKNOWN),
        priorities=_givens(fields, "priority"),
        costs=fields.fact("costs", _table, COSTS_UNKNOWN),
        region=fields.fact("region", lambda text: said(text, fields.line), NO_REGION),
        instances=_givens(fields, "instances"),
        without=fields.cover("without", NO_VLAN),
    )


def port_tree(fields: Fields) -> PortTree:
    """Return what a `port` line says of the part of a port in the trees of its bridge."""
    return PortTree(
        costs=_givens(fields, "cost"),
        priorities=_givens(fields, "port-priority"),
        number=fields.fact("port-number", _number, NUMBER_UNKNOWN),
    )


def bridge_words(tree: BridgeTree, names: Renaming) -> list[str]:
    """Return the fields of a bridge's tree."""
    region, address = tree.region.value, tree.address.value
    named = ""
    if region is not None:
        named = "region=?" if region is UNKNOWN else f"region={quoted_name(names.region(region))}"
    return [
        f"address={names.address(address)}" if address is not UNKNOWN else "",
        _words("priority", tree.priorities),
        f"costs={tree.costs.value}" if tree.costs.value is not UNKNOWN else "",
        named,
        _words("instances", tree.instances),
    ]


def port_words(tree: PortTree) -> list[str]:
    """Return the fields of a port's tree; a cost that a capture shows is written as one that is set."""
    everyone = any(one.instances == EVERY for one in tree.costs)  # a line for all stands before what is shown
    return [
        _words("cost", tree.costs if everyone else (*tree.shown_costs, *tree.costs)),
        _words("port-priority", tree.priorities),
        f"port-number={tree.number.value}" if tree.number.value is not UNKNOWN else "",
    ]


def _givens(fields: Fields, key: str) -> tuple[Given, ...]:
    because = fields.line.origins
    return fields.read(key, lambda text: tuple(_given(item, because) for item in text.split(";")), ())


def _given(text: str, because: Origins) -> Given:
    several, slash, number = text.rpartition("/")
    return Given(_number(number), _instances(several) if slash else EVERY, because)


def _instances(text: str) -> int:
    bits = 0
    for item in text.split(","):
        low, dash, high = item.partition("-")
        bits |= vids.span(_number(low), _number(high if dash else low))
    return bits


def _number(text: str) -> int:
    if not (text.isascii() and text.isdecimal() and len(text) < 10):
        raise ValueError(f"{text!r} is not a number; write NUMBER, or VLANS/NUMBER, several with ; between them")
    return int(text)


def _address(text: str) -> str:
    if not (found := mac_address(text)):
        raise ValueError(f"{text!r} is no MAC address")
    return found


def _table(text: str) -> str:
    if text not in TABLES:
        raise ValueError(f"there is no table of path costs {text!r}; known: {', '.join(TABLES)}, ?")
    return text


def _words(key: str, several: tuple[Given, ...]) -> str:
    shown = [
        str(one.number) if one.instances == EVERY else f"{vids.text(one.instances)}/{one.number}" for one in several
    ]
    return f"{key}={';'.join(shown)}" if shown else ""
