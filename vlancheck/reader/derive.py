"""Joins between the things of one device: facts of one become facts of another.

inherit  {as: bridge, of: bridge, by: bridge}   facts of the bridge that a port's fact `bridge` names, as bridge.X
lift     {fact: native, to: parent, as: native-below}   a port's fact becomes a fact of the port its fact `to` names
adopt    {of: bridge, members: ports, by: uuid, as: bridge}   ports whose fact `by` is listed get the lister's name
private-vlans {kind: private, named: associated, rows: [pairs]}   which VLANs make up a private VLAN (`private`)
stack    {over: lower, vid: vid, tpid: tpid, as: stack, base: base}   VLAN interfaces on VLAN interfaces: all tags
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Protocol

from vlancheck.dot1q.model import PrivateKind
from vlancheck.evidence import Fact, join
from vlancheck.reader.facts import Entity, Facts, Of, Row
from vlancheck.reader.params import Parameters
from vlancheck.reader.private import COMMUNITIES, ITSELF, OF_ROWS, OF_SETS, PRIMARY, SECONDARIES, PrivateVlans

Parts = Callable[[str], Mapping[str, str]]  # a port's name -> the parts its class of names gives it


class Step(Protocol):
    """What every join does."""

    def __call__(self, facts: Facts, parts: Parts) -> None:
        """Write the joined facts; `parts` takes a port's name apart."""


@dataclass(frozen=True, slots=True)
class Inherit:
    """Read another thing's facts under a prefix; carried out where facts are looked up, not here."""

    prefix: str  # `as`
    of: Of  # kind of the other thing
    by: str  # fact that names it
    doubts: bool  # what leaves the other port in doubt leaves this one in doubt too

    def __call__(self, facts: Facts, parts: Parts) -> None:
        """Do nothing: looking up is enough."""


@dataclass(frozen=True, slots=True)
class Lift:
    """Give a fact of a port to the port it stands on."""

    facts: tuple[str, ...]  # facts to give, the first that is there
    to: str  # fact that names the other port; `device`
    name: str  # `as`

    def __call__(self, facts: Facts, parts: Parts) -> None:
        """Write the joined facts."""
        ports = facts.entities[Of.PORT]
        for port in list(ports.values()):
            value = next((port.facts[fact] for fact in self.facts if fact in port.facts), None)
            if value is None:
                continue
            if self.to == "device":
                facts.device.facts.setdefault(self.name, value)
            elif (other := _named(port, self.to, parts)) in ports:
                ports[other].facts[self.name] = value


@dataclass(frozen=True, slots=True)
class Adopt:
    """Tell the listed ports who lists them."""

    of: Of  # kind of thing that lists
    members: str  # its fact, rows with a column `word`
    by: str  # fact of a port that is looked for in the list; "" the port's name
    name: str  # `as`

    def __call__(self, facts: Facts, parts: Parts) -> None:
        """Write the joined facts."""
        ports = facts.entities[Of.PORT]
        found: dict[str, Entity] = {
            _named(port, self.by, parts) if self.by else port.key: port for port in ports.values()
        }
        for lister in facts.entities[self.of].values():
            rows = lister.facts.get(self.members)
            for row in rows if isinstance(rows, tuple) else ():
                if (port := found.get(str(row.columns.get("word")))) is not None:
                    port.facts[self.name] = Fact(lister.key, row.origins)


@dataclass(frozen=True, slots=True)
class Stack:
    """Gather the tags of VLAN interfaces that stand on one another, and the port at the bottom."""

    over: str  # fact that names the interface below
    vid: str  # fact that holds the tag's VID
    tpid: str  # fact that holds the tag's TPID; "" none
    name: str  # `as`: rows with columns `vid` and `tpid`, outermost first
    base: str  # name of the port at the bottom

    def __call__(self, facts: Facts, parts: Parts) -> None:
        """Write the joined facts; interfaces that stand on one another in a ring are left without."""
        ports = facts.entities[Of.PORT]
        for port in list(ports.values()):
            rows: list[Row] = []
            seen: set[str] = set()
            at, origins = port, port.origins
            while (below := _named(at, self.over, parts)) and at.key not in seen:
                seen.add(at.key)
                vid, tpid = at.facts.get(self.vid), at.facts.get(self.tpid)
                if not isinstance(vid, Fact) or not isinstance(vid.value, int):
                    rows = []
                    break
                word = tpid.value if isinstance(tpid, Fact) and isinstance(tpid.value, str) else ""
                lower = at.facts[self.over]
                origins = join(vid.origins, lower.origins if isinstance(lower, Fact) else ())
                rows.insert(0, Row({"vid": 1 << vid.value, "tpid": word}, origins))
                at = ports.get(below, Entity(below))
            if rows and at.key not in seen:
                port.facts[self.name] = tuple(rows)
                port.facts[self.base] = Fact(at.key, origins)


def make_step(name: str, params: Parameters) -> Step:
    """Return the join called `name`; raise DialectError for a name or a parameter that is not known."""
    match name:
        case "inherit":
            of = Of(params.choice("of", list(Of)))
            return Inherit(params.word("as"), of, params.word("by"), params.flag("doubts", default=False))
        case "lift":
            return Lift(tuple(map(str, params.words("fact"))), params.word("to"), params.word("as"))
        case "adopt":
            of = Of(params.choice("of", list(Of)))
            return Adopt(of, params.word("members"), params.word("by", ""), params.word("as"))
        case "stack":
            words = (params.word("over"), params.word("vid"), params.word("tpid", ""))
            return Stack(*words, params.word("as"), params.word("base"))
        case "private-vlans":
            kinds = [one for one in PrivateKind if one is not PrivateKind.PRIMARY]
            unsaid = PrivateKind(params.choice("unsaid", kinds)) if params.has("unsaid") else None
            rows = tuple(map(str, params.words("rows")))
            sets = tuple(map(str, params.words("sets")))
            return PrivateVlans(params.word("kind"), params.word("named"), rows, sets, unsaid)
    raise params.unknown("join", name, ("inherit", "lift", "adopt", "stack", "private-vlans"))


def puts(step: Step) -> tuple[tuple[Of, str], ...]:
    """Return the facts a join writes, with what they belong to."""
    if isinstance(step, Lift | Adopt):
        to_device = isinstance(step, Lift) and step.to == "device"
        return ((Of.DEVICE if to_device else Of.PORT, step.name),)
    if isinstance(step, PrivateVlans):
        of_vlans = tuple((Of.VLAN, fact) for fact in (ITSELF, PRIMARY, SECONDARIES, COMMUNITIES))
        of_ports = [f"{rows}-{word}" for rows in step.rows for word in OF_ROWS]
        of_ports += [f"{name}-{word}" for name in step.sets for word in OF_SETS]
        return (*of_vlans, *((Of.PORT, fact) for fact in of_ports))
    return ((Of.PORT, step.name), (Of.PORT, step.base)) if isinstance(step, Stack) else ()


def _named(port: Entity, fact: str, parts: Parts) -> str:
    if fact.startswith("name."):
        return parts(port.key).get(fact.removeprefix("name."), "")
    value = port.facts.get(fact)
    return value.value if isinstance(value, Fact) and isinstance(value.value, str) else ""
