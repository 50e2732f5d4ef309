"""What one port of a random bridge may look like: a random generator in, the bridge ports that stand on it out.

A shape is drawn once and may be put on both ends of a link, so that frames often get across.  VIDs come from a small
pool so that they meet.  Every choice lists the plain case first: hypothesis shrinks towards it.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

from vlancheck.dot1q.model import (
    NO_TAG,
    BridgePort,
    End,
    Foreign,
    PrivateRole,
    PrivateVlan,
    Push,
    Rewrite,
    TagMatch,
)
from vlancheck.dot1q.tags import C_TAG, S_TAG
from vlancheck.evidence import UNKNOWN, Cover, Fact, State, assumed
from vlancheck.vids import EVERY, WIRE, of

POOL = (10, 20, 30, 1)  # VIDs that configurations and frames have in common
RELAYS = (5001, 5002)  # relay VIDs that no tag can carry
OLD_TAG = 0x9100  # a TPID in use before S-tags had one
TPIDS = (C_TAG, S_TAG, OLD_TAG)
WHY = assumed("drawn at random")
ONLY_UNTAGGED = 1 << NO_TAG

Shape = tuple[BridgePort, ...]  # names are what follows the port's name


def chance(rng: Random, share: float) -> bool:
    """Draw True in `share` of the cases."""
    return rng.random() > 1 - share


def subset(rng: Random, pool: tuple[int, ...] = POOL, share: float = 0.6) -> int:
    """Draw a set of VIDs."""
    return of(vid for vid in pool if not chance(rng, 1 - share))


def bridge_port(
    pvid: int | None, admit: int, member: int, untagged: int, *, name: str = "", **more: object
) -> BridgePort:
    """Return a bridge port whose sets are certain."""
    covers = (Cover.of(admit, WHY), Cover.of(member, WHY), Cover.of(untagged, WHY))
    return BridgePort(
        name=name,
        port="",
        pvid=Fact(pvid, WHY),
        admit=covers[0],
        member=covers[1],
        untagged=covers[2],
        **more,  # type: ignore[arg-type]
    )


def shape(rng: Random) -> Shape:
    """Draw what stands on a port."""
    maker = rng.choice(_MAKERS)
    made = maker(rng)
    if chance(rng, 0.12):
        made = tuple(replace(one, **_tpids(rng)) for one in made)  # type: ignore[arg-type]
    return made


def private_shapes(rng: Random) -> list[Shape]:
    """Draw the ports of a bridge with a private VLAN: primary 10, isolated 20, community 30 (RFC 5517)."""
    return [(_private(rng.choice(_ROLES)),) for _ in range(rng.randint(2, 4))]


def ends(rng: Random, port: str) -> list[End]:
    """Draw the interfaces that end frames at a port of a router or host."""
    last = TagMatch(ONLY_UNTAGGED)
    kinds = [
        End(name=port, port=port),
        End(name=f"{port}.0", port=port, select=(last,)),
        *(End(name=f"{port}.{vid}", port=port, select=(TagMatch(1 << vid), last)) for vid in POOL),
        End(name=f"{port}.10.20", port=port, select=(TagMatch(1 << 10), TagMatch(1 << 20), last)),
        End(
            name=f"{port}.s10",
            port=port,
            select=(TagMatch(of((10, 20)), frozenset({S_TAG})), TagMatch(EVERY & ~ONLY_UNTAGGED), last),
            tpids=frozenset({C_TAG, S_TAG}),
        ),
    ]
    kept = [kinds[0]] if not chance(rng, 0.7) else [one for one in kinds if chance(rng, 0.45)] or [kinds[1]]
    return [replace(end, up=Fact(False, WHY)) if chance(rng, 0.08) else end for end in kept]


def troubled(rng: Random, one: BridgePort) -> BridgePort:
    """Draw what else may hold of a bridge port: shut, blocked, isolated."""
    if chance(rng, 0.03):
        one = replace(one, up=Fact(False, WHY))
    if chance(rng, 0.08):
        one = replace(one, forwarding=Cover.of(~subset(rng, share=0.4), WHY))
    if chance(rng, 0.15):
        one = replace(one, isolation=frozenset(group for group in ("a", "b") if chance(rng, 0.6)))
    if chance(rng, 0.06):
        one = replace(one, entry=(Rewrite((TagMatch(subset(rng)),), drop=True), *one.entry))
    if chance(rng, 0.06):
        one = replace(one, exit=(Rewrite((TagMatch(subset(rng)),), drop=True), *one.exit))
    return one


def doubtful(rng: Random, one: BridgePort) -> BridgePort:
    """Draw which facts of a bridge port nobody knows."""
    for field in ("admit", "member", "untagged", "forwarding"):
        if chance(rng, 0.12):
            unknown = subset(rng, share=0.5) if chance(rng, 0.7) else EVERY
            one = replace(one, **{field: getattr(one, field).write(unknown, State.UNKNOWN, WHY)})
    if chance(rng, 0.06):
        one = replace(one, pvid=Fact(UNKNOWN, WHY))
    if chance(rng, 0.06):
        one = replace(one, up=Fact(UNKNOWN, WHY))
    if chance(rng, 0.05):
        one = replace(one, doubt=WHY)
    for table in ("entry", "exit"):
        rows = tuple(replace(row, sure=False) if chance(rng, 0.25) else row for row in getattr(one, table))
        if chance(rng, 0.06):
            rows = (replace(_row(rng), sure=False), *rows)
        one = replace(one, **{table: rows})
    return one


# ---- the makers ---------------------------------------------------------------------------------------------------


def _access(rng: Random) -> Shape:
    bit = 1 << (vid := rng.choice(POOL))
    return (bridge_port(vid, bit if chance(rng, 0.5) else 0, bit, bit),)


def _trunk(rng: Random) -> Shape:
    native = rng.choice((None, *POOL))
    allowed = WIRE if not chance(rng, 0.5) else subset(rng)
    bare = 0 if native is None or chance(rng, 0.2) else 1 << native
    pvid = native if native is not None and (allowed >> native & 1 or chance(rng, 0.5)) else None
    return (bridge_port(pvid, allowed if not chance(rng, 0.15) else allowed & ~bare, allowed, bare),)


def _hybrid(rng: Random) -> Shape:
    """Any sets at all: several untagged VIDs, a PVID the port is no member of, ingress filtering off."""
    pvid = rng.choice((*POOL, None))
    return (bridge_port(pvid, subset(rng) if not chance(rng, 0.2) else WIRE, subset(rng), subset(rng, share=0.4)),)


def _tunnel(rng: Random) -> Shape:
    bit = 1 << (vid := rng.choice(POOL))
    if chance(rng, 0.3):
        return (bridge_port(vid, 0, bit, bit, tpids=frozenset()),)
    return (bridge_port(vid, bit, bit, bit, entry=(Rewrite(push=(Push(vid),)),)),)


def _translating(rng: Random) -> Shape:
    allowed = subset(rng, share=0.8)
    inward = tuple(_swap(rng) for _ in range(rng.randint(1, 2)))
    outward = tuple(replace(row, match=(TagMatch(1 << row.push[0].vid),), push=(Push(_vid(row)),)) for row in inward)
    way = rng.choice(("both", "in", "out", "apart"))
    if way == "apart":
        outward = (_swap(rng),)
    entry, exit_ = () if way == "out" else inward, () if way == "in" else outward
    return (bridge_port(rng.choice((None, *POOL)), allowed, allowed, 0, entry=entry, exit=exit_),)


def _stacking(rng: Random) -> Shape:
    """Put an outer tag on some VIDs and take it off again at departure."""
    outer = rng.choice(POOL)
    entry = (Rewrite((TagMatch(subset(rng)),), push=(Push(outer),)),)
    exit_ = (Rewrite((TagMatch(1 << outer),), pop=1),) if not chance(rng, 0.3) else ()
    allowed = subset(rng) | 1 << outer
    return (bridge_port(rng.choice((None, *POOL)), allowed, allowed, 0, entry=entry, exit=exit_),)


def _double(rng: Random) -> Shape:
    """Turn two tags into one relay VID and back."""
    outer, inner, relay = rng.choice(POOL), rng.choice(POOL), rng.choice((*POOL, *RELAYS))
    bit = 1 << relay
    entry = (Rewrite((TagMatch(1 << outer), TagMatch(1 << inner)), pop=2, push=(Push(relay),)),)
    exit_ = (Rewrite((TagMatch(bit),), pop=1, push=(Push(outer, rng.choice((None, S_TAG))), Push(inner, C_TAG))),)
    others = subset(rng, share=0.3)
    return (bridge_port(None, bit | others, bit | others, 0, entry=entry, exit=exit_),)


def _any_rows(rng: Random) -> Shape:
    """Rows of any kind on sets of any kind."""
    entry = tuple(_row(rng) for _ in range(rng.randint(0, 2)))
    exit_ = tuple(_row(rng) for _ in range(rng.randint(0, 2)))
    allowed = subset(rng, (*POOL, *RELAYS), 0.8)
    untagged = subset(rng, share=0.3)
    return (bridge_port(rng.choice((*POOL, None)), allowed, allowed, untagged, entry=entry, exit=exit_),)


def _unaware(rng: Random) -> Shape:
    return (bridge_port(1, 0, 2, 2, tpids=frozenset()),)


def _service_trunk(rng: Random) -> Shape:
    allowed = subset(rng, share=0.8)
    foreign = rng.choice((Foreign.PAYLOAD, Foreign.DROP))
    pvid = rng.choice((None, *POOL))
    bare = 0 if pvid is None else 1 << pvid
    return (bridge_port(pvid, allowed, allowed, bare, tpids=frozenset({S_TAG}), sends=S_TAG, foreign=foreign),)


def _divided(rng: Random) -> Shape:
    """Several bridge ports on one port, told apart by their tags: sub-interfaces, service instances, units."""
    made: list[BridgePort] = []
    for vid in POOL:
        if not chance(rng, 0.5):
            continue
        relay = rng.choice((vid, *RELAYS, *POOL))
        two_deep = chance(rng, 0.25)
        inner = rng.choice(POOL)
        levels = (TagMatch(1 << vid), TagMatch(1 << inner)) if two_deep else (TagMatch(1 << vid),)
        tags = (Push(vid), Push(inner, C_TAG)) if two_deep else (Push(vid),)
        made.append(
            bridge_port(
                None,
                1 << relay,
                1 << relay,
                1 << relay,
                name=f".{vid}",
                select=levels,
                entry=(Rewrite(pop=len(levels), push=(Push(relay),)),),
                exit=(Rewrite(push=tags),),
            )
        )
    if chance(rng, 0.3):
        made.append(bridge_port(10, 0, 1 << 10, 1 << 10, name=".u", select=(TagMatch(ONLY_UNTAGGED),)))
    if chance(rng, 0.2):
        bits = subset(rng)
        made.append(bridge_port(None, bits, bits, 0, name=".0-range", select=(TagMatch(bits),)))
    if not made or chance(rng, 0.4):
        made.append(rng.choice((_access, _trunk, _hybrid))(rng)[0])
    return tuple(made)


_ROLES = (PrivateRole.ISOLATED, PrivateRole.COMMUNITY, PrivateRole.PROMISCUOUS, PrivateRole.TRUNK)


def _private(role: PrivateRole) -> BridgePort:
    primary, isolated, community = 10, 20, 30
    every = of((primary, isolated, community))
    match role:
        case PrivateRole.ISOLATED:
            made, second = bridge_port(isolated, 0, 1 << primary, 1 << primary), isolated
        case PrivateRole.COMMUNITY:
            made, second = bridge_port(community, 0, of((primary, community)), of((primary, community))), community
        case PrivateRole.PROMISCUOUS:
            made, second = bridge_port(primary, 0, every, every), None
        case PrivateRole.TRUNK:
            made, second = bridge_port(None, every, every, 0), None
    return replace(made, private=PrivateVlan(role, primary, second))


_MAKERS = (
    _trunk,
    _trunk,
    _trunk,
    _access,
    _access,
    _hybrid,
    _tunnel,
    _translating,
    _stacking,
    _double,
    _any_rows,
    _unaware,
    _service_trunk,
    _divided,
)


# ---- rows and tags --------------------------------------------------------------------------------------------------


def _swap(rng: Random) -> Rewrite:
    return Rewrite((TagMatch(1 << rng.choice(POOL)),), pop=1, push=(Push(rng.choice(POOL)),))


def _vid(row: Rewrite) -> int:
    """Return the VID that a row of `_swap` matches."""
    return row.match[0].vids.bit_length() - 1


def _row(rng: Random) -> Rewrite:
    match = tuple(_level(rng) for _ in range(rng.randint(0, 2)))
    push = tuple(
        Push(rng.choice((*POOL, 0) if number else (*POOL, *RELAYS)), rng.choice((None, *TPIDS)))
        for number in range(rng.randint(0, 2))
    )
    return Rewrite(match, pop=rng.choice((1, 0, 2)), push=push, drop=chance(rng, 0.1))


def _level(rng: Random) -> TagMatch:
    vids = rng.choice((subset(rng), EVERY, ~subset(rng), subset(rng, (0, *POOL)) | ONLY_UNTAGGED, ONLY_UNTAGGED))
    return TagMatch(vids, frozenset({rng.choice(TPIDS)}) if chance(rng, 0.15) else None)


def _tpids(rng: Random) -> dict[str, object]:
    return {
        "tpids": frozenset(tpid for tpid in TPIDS if not chance(rng, 0.4)),
        "sends": rng.choice(TPIDS),
        "foreign": rng.choice((Foreign.PAYLOAD, Foreign.DROP)),
    }
