"""The facts of a box and what it is to become come in, the lines to be typed and their undo go out.

Nothing is written that its family's own reader does not read back as what was wished, and nothing else changed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from vlancheck import vids
from vlancheck.capture import Line, Section
from vlancheck.dot1q.model import Bridge, BridgePort, Device
from vlancheck.evidence import State
from vlancheck.reader import Gathered
from vlancheck.reader.facts import Of
from vlancheck.reader.pasting import pasted
from vlancheck.reader.signs import bridge_port_sign, port_signs
from vlancheck.reader.statements import NOTHING_THERE
from vlancheck.reader.unprinted import with_unprinted_port
from vlancheck.writer.phrases import Phrases, Said, say_port
from vlancheck.writer.plan import PortEdit, PortPlan, Wish, WriteError, plan_of


@dataclass(frozen=True, slots=True)
class Edit:
    """Lines for one device, proved by reading them over its facts."""

    device: str  # its name
    lines: tuple[str, ...]  # to be typed
    undo: tuple[str, ...]  # what takes them back
    exact: bool  # the undo gives back all that the model knows of the box
    after: Device  # the box with the lines typed at it
    facts: Gathered  # its facts then


def edit(gathered: Gathered, name: str, wish: Wish) -> Edit:
    """Return the lines that make the device `name`, of which `gathered` is known, what `wish` says, and their undo.

    Raises WriteError when the family has no phrase for it, or does not read back what was wished.
    """
    before = _with_ports(gathered, gathered.device(name), wish.ports)
    try:
        lines, after, facts = _proved(gathered, before, wish, anew=False)
    except WriteError as first:
        try:
            lines, after, facts = _proved(gathered, before, wish, anew=True)
        except WriteError:
            raise first from None
    back = _backwards(before, wish)
    undo: tuple[str, ...] = ()
    for anew in (False, True):
        try:
            undo = _lines(facts, after, back, anew=anew)
            undone, _ = _typed(facts, name, undo)
        except WriteError:
            continue
        if _same(before, undone, but=()):
            return Edit(name, lines, undo, True, after, facts)
    return Edit(name, lines, undo, False, after, facts)


def _proved(gathered: Gathered, before: Device, wish: Wish, *, anew: bool) -> tuple[tuple[str, ...], Device, Gathered]:
    """Return lines, the box with them typed at it and its facts; WriteError when that is not what was wished."""
    lines = _lines(gathered, before, wish, anew=anew)
    after, facts = _typed(gathered, before.name, lines)
    _prove(before, after, wish)
    return lines, after, facts


def _with_ports(gathered: Gathered, device: Device, plans: Sequence[PortPlan]) -> Device:
    """Return the box with the ports that no capture prints as the family's defaults make them."""
    for plan in plans:
        if plan.port not in device.ports:
            found = with_unprinted_port(gathered, device, plan.port)
            if found is None:
                raise WriteError(f"{device.name} has no port {plan.port}")
            device = found
    return device


def _lines(gathered: Gathered, device: Device, wish: Wish, *, anew: bool) -> tuple[str, ...]:
    """Return the lines; with `anew`, those that make a port whatever it was, in case something unseen is in the way."""
    phrases = Phrases(gathered.dialect, _said(gathered, device, wish))
    if missing := wish.create & ~_everywhere(device):
        phrases.say("vlan", missing)
    for plan in wish.ports:
        say_port(phrases, None if anew else _plan(device, plan.port), plan)
    for one in wish.edits:
        if phrases.has("members"):
            raise WriteError(f"{gathered.dialect.name} lists all ports of a VLAN anew, and {one.port} is no plain one")
        if one.allow:
            phrases.say("allow", one.allow, one.port)
        if one.forbid:
            phrases.say("forbid", one.forbid, one.port)
    if phrases.has("members"):
        phrases.say("members", _touched(device, wish.ports, bare=phrases.speaks("members", "{untagged}")))
    if wish.delete:
        phrases.say("no-vlan", wish.delete)
    return phrases.finished()


def _everywhere(device: Device) -> int:
    """Return the VLANs that every bridge of a box has for sure."""
    exists = -1 if device.bridges else 0
    for bridge in device.bridges.values():
        exists &= bridge.exists.sure
    return exists


def _plan(device: Device, port: str) -> PortPlan | None:
    try:
        return plan_of(device, port)
    except WriteError:
        return None


def _said(gathered: Gathered, device: Device, wish: Wish) -> Said:
    names: dict[int, str] = {}
    for entity in gathered.facts.entities[Of.VLAN].values():
        bits = gathered.facts.names().get(entity.key, 0)
        if bits and not bits & (bits - 1):
            names.setdefault(vids.first(bits), entity.key)
    plans = {port: plan for port in device.bridge_ports if (plan := _plan(device, port)) is not None}
    plans |= {plan.port: plan for plan in wish.ports}
    tagged: dict[int, tuple[str, ...]] = {}
    untagged: dict[int, tuple[str, ...]] = {}
    for port, plan in plans.items():
        for vid in vids.members(plan.tagged):
            tagged[vid] = (*tagged.get(vid, ()), port)
        if plan.untagged is not None:
            untagged[plan.untagged] = (*untagged.get(plan.untagged, ()), port)
    return Said(names, next(iter(device.bridges), ""), tagged, untagged)


def _touched(device: Device, plans: Sequence[PortPlan], *, bare: bool) -> int:
    """Return the VIDs whose lists of ports the plans change; with `bare`, they list untagged ports too."""
    touched = 0
    for plan in plans:
        now = _plan(device, plan.port) or PortPlan(plan.port)
        touched |= now.tagged ^ plan.tagged
        if bare and now.untagged != plan.untagged:
            touched |= vids.of(vid for vid in (now.untagged, plan.untagged) if vid is not None)
    return touched


def _typed(gathered: Gathered, name: str, lines: Sequence[str]) -> tuple[Device, Gathered]:
    if not lines:
        return gathered.device(name), gathered
    text = tuple(Line(number, line) for number, line in enumerate(lines, 1))
    after, facts = pasted(gathered, name, [Section(f"lines for {name}", "", "", text, None)])
    for missed in facts.missed:
        if missed in gathered.missed or (missed.why == NOTHING_THERE and not missed.matters):
            continue
        raise WriteError(f"{gathered.dialect.name} does not read {missed.line.text!r}")
    return after, facts


def _prove(before: Device, after: Device, wish: Wish) -> None:
    """Raise WriteError unless `after` is what is wished, and nothing else is changed."""
    for plan in wish.ports:
        found = plan_of(after, plan.port)
        if (found.untagged, found.tagged) != (plan.untagged, plan.tagged) or plan.up not in (None, found.up):
            raise WriteError(f"the lines make {found} where {plan} is wished")
    for change in wish.edits:
        asked, made = (
            [bridge_port_sign(one) for one in ports] for ports in (_edited(before, change), _at(after, change.port))
        )
        if asked != made:
            raise WriteError(f"the lines do not make {change} and nothing else")
    there = [bridge.exists for bridge in after.bridges.values()]
    if any(wish.create & ~exists.sure or wish.delete & exists.possible for exists in there):
        raise WriteError(f"the lines do not make the VLANs of {after.name} as wished")
    if not _same(before, after, but=_named(wish), vlans=False):
        raise WriteError(f"the lines change more of {after.name} than was wished")


def _named(wish: Wish) -> list[str]:
    return [*(plan.port for plan in wish.ports), *(change.port for change in wish.edits)]


def _at(device: Device, port: str) -> list[BridgePort]:
    return [one for one in device.bridge_ports.values() if one.port == port]


def _edited(device: Device, wished: PortEdit) -> list[BridgePort]:
    """Return the bridge ports of a port as an edit of its lists is to make them."""
    return [edited(one, wished) for one in _at(device, wished.port)]


def edited(port: BridgePort, wished: PortEdit) -> BridgePort:
    """Return a bridge port with its lists edited."""
    member = port.member.write(wished.allow, State.IN, ()).write(wished.forbid, State.OUT, ())
    admit = port.admit.write(wished.allow, State.IN, ()).write(wished.forbid, State.OUT, ())
    return replace(port, member=member, admit=admit)


def _same(before: Device, after: Device, *, but: Sequence[str], vlans: bool = True) -> bool:
    """Tell whether two states of a box say the same, but for some ports."""
    one, other = (_sign(box, but, vlans=vlans) for box in (before, after))
    return one == other


def _sign(box: Device, but: Sequence[str], *, vlans: bool) -> object:
    return (
        {port: sign for port, sign in port_signs(box).items() if port not in but},
        {name: _vlans(one) for name, one in box.bridges.items()} if vlans else {},
    )


def _vlans(bridge: Bridge) -> object:
    return bridge.exists.sure, bridge.exists.possible, bridge.active.sure, bridge.active.possible


def _backwards(before: Device, wish: Wish) -> Wish:
    """Return the wish that takes another back."""
    absent = -1
    for bridge in before.bridges.values():
        absent &= ~bridge.exists.possible
    ports = tuple(plan for wished in wish.ports if (plan := _plan(before, wished.port)) is not None)
    edits = tuple(
        PortEdit(one.port, one.forbid & _carried(before, one.port), one.allow & ~_carried(before, one.port))
        for one in wish.edits
    )
    return Wish(create=wish.delete & _everywhere(before), delete=wish.create & absent, ports=ports, edits=edits)


def _carried(device: Device, port: str) -> int:
    carried = 0
    for one in _at(device, port):
        carried |= one.member.sure
    return carried
