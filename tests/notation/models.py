"""Random boxes with every field of the model, and what is left of a box when its origins are taken away."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any

from hypothesis import strategies as st

from vlancheck.dot1q.model import (
    ADMIN_ASSUMED,
    NO_TAG,
    Bridge,
    BridgePort,
    Device,
    DeviceKind,
    End,
    Entered,
    Foreign,
    Logged,
    Negotiation,
    Port,
    PortKind,
    PrivateKind,
    PrivatePart,
    PrivateRole,
    PrivateVlan,
    Push,
    Rewrite,
    TagMatch,
    Told,
    Unread,
)
from vlancheck.dot1q.properties import Property
from vlancheck.dot1q.tags import C_TAG, S_TAG
from vlancheck.dot1q.tree import BridgeTree, Given, PortTree
from vlancheck.evidence import UNKNOWN, Cover, Fact, State, assumed
from vlancheck.notation.fields import TREES
from vlancheck.vids import EVERY, of, span

SAID = assumed("the test says so")


def bare(value: Any) -> Any:
    """Return `value` without its origins; of a doubt only whether there is one."""
    if isinstance(value, Cover):
        return ("cover", value.sure, value.possible)
    if isinstance(value, Fact):
        return ("fact", value.value)
    if isinstance(value, Mapping):
        return {key: bare(one) for key, one in value.items()}
    if is_dataclass(value) and not isinstance(value, type):
        kept = [one.name for one in fields(value) if not one.name.endswith(("origins", "origin"))]
        return {name: bool(value.doubt) if name == "doubt" else bare(getattr(value, name)) for name in kept}
    return tuple(bare(one) for one in value) if isinstance(value, tuple) else value


TEXTS = st.one_of(
    st.text("ab1/.-_ \"\\#=,:>?!é\n\u2028'", max_size=8), st.sampled_from(["none", "all", "?", "->", "=>"])
)
NAMES = st.one_of(
    st.sampled_from(["1", "2", "3", "Gi1/0/1", "ether1", "vlan10", "po1"]),
    TEXTS.filter(lambda name: bool(name) and name == name.strip()),
)
SET = st.one_of(TEXTS, st.just(UNKNOWN)).map(lambda value: Fact(value, SAID))  # what a property is set to
DEVICE_NAMES = st.one_of(st.sampled_from(["sw1", "SW-2", "Ä 1"]), NAMES.filter(lambda name: ":" not in name))

VIDS = st.one_of(st.sampled_from([1, 10, 20, 4094]), st.integers(1, 4094), st.sampled_from([0, 4095, 4096, 70000]))
RUNS = st.tuples(VIDS, st.integers(0, 40)).map(lambda run: span(run[0], run[0] + run[1]))
BITS = st.lists(RUNS, max_size=3).map(lambda runs: sum_of(runs))
MAYBE_INFINITE = st.builds(lambda bits, flip: ~bits if flip else bits, BITS, st.booleans())
TPIDS = st.one_of(st.sampled_from([C_TAG, S_TAG, 0x9100]), st.integers(0, 0xFFFF))
TPID_SETS = st.frozensets(TPIDS, max_size=3)


def sum_of(sets: list[int]) -> int:
    """Return the union of bitsets."""
    union = 0
    for one in sets:
        union |= one
    return union


@st.composite
def covers(draw: st.DrawFn) -> Cover:
    """Draw a cover of any state, plain ones more often."""
    if draw(st.booleans()):
        return Cover.of(draw(BITS), SAID)
    cover = draw(st.sampled_from([Cover.of(0, SAID), Cover.of(EVERY, SAID), Cover.unknown(SAID)]))
    for bits, state in draw(st.lists(st.tuples(MAYBE_INFINITE, st.sampled_from(State)), max_size=3)):
        cover = cover.write(bits, state, SAID)
    return cover


def facts(values: st.SearchStrategy[Any]) -> st.SearchStrategy[Fact[Any]]:
    """Draw facts, some of them unknown."""
    return st.one_of(values, st.just(UNKNOWN)).map(lambda value: Fact(value, SAID))


UPS = facts(st.booleans())
MATCHED = st.one_of(
    VIDS.map(lambda vid: 1 << vid), MAYBE_INFINITE, st.sampled_from([EVERY, 1 << NO_TAG, ~(1 << NO_TAG), 0])
)
MATCHES = st.builds(
    TagMatch, MATCHED, st.one_of(st.none(), st.sampled_from([C_TAG, S_TAG]).map(lambda t: frozenset({t})), TPID_SETS)
)
SELECTS = st.one_of(
    st.just(()),
    st.lists(MATCHES, max_size=3).map(tuple),
    st.lists(MATCHES, max_size=2).map(lambda levels: (*levels, TagMatch(1 << NO_TAG))),
)
PUSHES = st.builds(Push, VIDS, st.one_of(st.none(), TPIDS))
ROWS = st.builds(
    Rewrite,
    match=st.lists(MATCHES, max_size=2).map(tuple),
    pop=st.integers(0, 3),
    push=st.lists(PUSHES, max_size=2).map(tuple),
    drop=st.booleans(),
    sure=st.booleans(),
    origins=st.just(SAID),
)
TABLES = st.one_of(st.just(()), st.lists(ROWS, max_size=2).map(tuple))
GIVENS = st.lists(
    st.builds(
        Given, st.integers(0, 65535), st.one_of(st.just(EVERY), st.lists(st.integers(0, 4094), min_size=1).map(of))
    ),
    max_size=3,
).map(tuple)
BRIDGE_TREES = st.builds(
    BridgeTree,
    address=facts(st.sampled_from(["02:00:5e:00:00:01", "02:00:5e:00:00:02"])),
    priorities=GIVENS,
    costs=facts(st.sampled_from(["short", "long"])),
    region=facts(st.one_of(st.none(), TEXTS)),
    instances=GIVENS,
)
PORT_TREES = st.builds(PortTree, costs=GIVENS, priorities=GIVENS, number=facts(st.integers(0, 4095)))
PRIVATES = st.one_of(
    st.none(),
    st.builds(
        PrivateVlan,
        st.sampled_from(PrivateRole),
        st.one_of(st.none(), VIDS),
        st.one_of(st.none(), VIDS),
        BITS,
        st.just(SAID),
    ),
)
PARTS = st.builds(PrivatePart, st.one_of(st.none(), st.sampled_from(PrivateKind)), BITS, st.just(SAID))


@st.composite
def bridge_ports(draw: st.DrawFn, name: str, port: str, bridge: str) -> BridgePort:
    """Draw a bridge port; half of them plain."""
    member = draw(covers())
    plain = {
        "name": name,
        "port": port,
        "bridge": bridge,
        "pvid": draw(facts(st.one_of(st.none(), VIDS))),
        "admit": member if draw(st.booleans()) else draw(covers()),
        "member": member,
        "untagged": draw(covers()),
    }
    if draw(st.booleans()):
        return BridgePort(**plain)
    return BridgePort(
        **plain,
        select=draw(SELECTS),
        entry=draw(TABLES),
        exit=draw(TABLES),
        tpids=draw(TPID_SETS),
        sends=draw(TPIDS),
        foreign=draw(st.sampled_from(Foreign)),
        tpid_origins=SAID,
        up=draw(UPS),
        forwarding=draw(covers()),
        private=draw(PRIVATES),
        isolation=draw(st.frozensets(TEXTS, max_size=2)),
        doubt=draw(st.sampled_from([(), SAID])),
    )


@st.composite
def negotiations(draw: st.DrawFn, port: str, names: st.SearchStrategy[str]) -> Negotiation:
    """Draw a negotiation whose outcomes are variants of `port`, most of them under its own name."""
    outcomes = draw(st.lists(TEXTS, min_size=1, max_size=3, unique=True))
    own = st.one_of(st.just(port), names)
    variants = {one: draw(bridge_ports(draw(own), draw(own), draw(TEXTS))) for one in outcomes}
    return Negotiation(
        protocol=draw(TEXTS),
        mode=draw(TEXTS),
        outcomes=draw(st.dictionaries(TEXTS, st.sampled_from(outcomes), max_size=3)),
        alone=draw(st.sampled_from(outcomes)),
        variants=variants,
        origins=SAID,
    )


def asked(port: BridgePort) -> BridgePort:
    """Return a bridge port as far as a `configured` line tells it."""
    return replace(port, entry=(), exit=(), up=ADMIN_ASSUMED)


@st.composite
def ports(draw: st.DrawFn, name: str) -> Port:
    """Draw a port; half of them plain."""
    if draw(st.booleans()):
        return Port(name=name)
    return Port(
        name=name,
        kind=draw(st.sampled_from(PortKind)),
        up=draw(UPS),
        link=draw(UPS),
        bundle=draw(st.one_of(st.just(""), NAMES)),
        bundle_mode=draw(TEXTS),
        negotiation=draw(st.one_of(st.none(), negotiations(name, NAMES))),
        description=draw(TEXTS),
        properties=draw(st.dictionaries(st.sampled_from(Property), SET, max_size=3)),
        configured=draw(st.one_of(st.none(), bridge_ports(name, name, "").map(asked))),
        tree=draw(PORT_TREES),
        origins=SAID,
    )


@st.composite
def devices(draw: st.DrawFn, name: str) -> Device:
    """Draw a box whose parts name only parts that it has."""
    bridge_names = draw(st.one_of(st.just([""]), st.lists(st.one_of(st.just(""), NAMES), max_size=3, unique=True)))
    bridges = {
        one: Bridge(
            name=one,
            exists=draw(covers()),
            active=draw(covers()),
            spanning_tree=draw(facts(st.sampled_from(TREES))),
            private=draw(st.dictionaries(VIDS, PARTS, max_size=2)),
            tree=draw(BRIDGE_TREES),
        )
        if draw(st.booleans())
        else Bridge(name=one, exists=Cover.of(EVERY, SAID))
        for one in bridge_names
    }
    port_names = draw(st.lists(NAMES, max_size=4, unique=True))
    # a part is named like its port, or like anything else
    stand = st.sampled_from(port_names).flatmap(lambda port: st.tuples(st.one_of(st.just(port), NAMES), st.just(port)))
    parts = st.lists(stand, max_size=4, unique_by=lambda part: part[0]) if port_names else st.just([])
    relays = draw(parts) if bridges else []
    return Device(
        name=name,
        kind=draw(st.one_of(st.just(DeviceKind.BRIDGE), st.sampled_from(DeviceKind))),
        dialect=draw(TEXTS),
        owner=draw(st.one_of(st.sampled_from(["", "carrier"]), TEXTS)),
        bridges=bridges,
        ports={one: draw(ports(one)) for one in port_names},
        bridge_ports={one: draw(bridge_ports(one, port, draw(st.sampled_from(bridge_names)))) for one, port in relays},
        ends={one: draw(_ends(one, port)) for one, port in draw(parts)},
        unread=tuple(draw(st.lists(_unread(name), max_size=2))),
        logged=tuple(draw(st.lists(_logged(port_names), max_size=2))),
        entered=tuple(draw(st.lists(_entered(port_names), max_size=2))),
        settings=draw(st.dictionaries(TEXTS, facts(TEXTS), max_size=2)),
        lines=draw(st.integers(0, 5000)),
        passed_over=draw(st.integers(0, 50)),
    )


def _ends(name: str, port: str) -> st.SearchStrategy[End]:
    plain = st.just(End(name=name, port=port))
    return st.one_of(
        plain,
        st.builds(
            End,
            name=st.just(name),
            port=st.just(port),
            select=SELECTS,
            tpids=TPID_SETS,
            up=UPS,
            address=st.booleans(),
            origins=st.just(SAID),
        ),
    )


def _unread(device: str) -> st.SearchStrategy[Unread]:
    return st.builds(
        Unread,
        origin=st.sampled_from([(), SAID]),
        device=st.just(device),
        port=st.one_of(st.just(""), NAMES),
        matters=st.booleans(),
        why=TEXTS,
    )


def _logged(ports: list[str]) -> st.SearchStrategy[Logged]:
    return st.builds(
        Logged,
        told=st.sampled_from(Told),
        port=st.sampled_from(["", *ports]),
        times=st.integers(1, 9),
        origins=st.just(SAID),
    )


def _entered(ports: list[str]) -> st.SearchStrategy[Entered]:
    return st.builds(
        Entered,
        port=st.sampled_from(["", *ports]),
        answer=TEXTS,
        captured=st.sampled_from([True, False, None]),
        origins=st.just(SAID),
    )


@st.composite
def networks(draw: st.DrawFn) -> tuple[list[Device], list[tuple[str, str]], list[str]]:
    """Draw boxes, links and handoffs; a port may be linked to itself."""
    names = draw(st.lists(DEVICE_NAMES, max_size=3, unique=True))
    boxes = [draw(devices(name)) for name in names]
    places = [f"{box.name}:{port}" for box in boxes for port in box.ports]
    mixed = draw(st.permutations(places))
    links, free = [], list(mixed)
    for _ in range(draw(st.integers(0, len(places) // 2))):
        one = free.pop()
        links.append((one, one if draw(st.integers(0, 9)) == 0 or not free else free.pop()))
        if not free:
            break
    handoffs = draw(st.lists(st.sampled_from(places), max_size=2, unique=True)) if places else []
    return boxes, links, handoffs
