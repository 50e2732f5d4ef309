"""Boxes with captured live states in, boxes with those that still count out, and the jacks that showed no link.

A live state (link, operational mode, what spanning tree blocks) counts while port, cord, far end and lines are as they
were when it was captured; after that, the lines of the configuration alone say what a port does.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace

from vlancheck.dot1q.model import ALL_FORWARD, LINK_ASSUMED, BridgePort, Device, Port, PortKind
from vlancheck.evidence import Fact, Kind, Origin, Origins


def only_valid(
    devices: Mapping[str, Device], linked: Collection[str], moved: Mapping[str, str]
) -> tuple[dict[str, Device], dict[str, Origins]]:
    """Return the boxes without live states that say nothing, and the jacks without link with the lines that show it.

    A link state counts on cords between devices and at handoffs (`linked`); a jack without link is not seen, never a
    loss, since desks are off at night.  It counts no longer where the cord changed after it was captured (`moved`:
    DEVICE:PORT -> what changed).  So does what a port was shown to do: where it counts, it takes the place of what the
    lines ask for, which is kept beside it as `configured`.  What spanning tree was shown to do counts nowhere any more
    once something changed at a cord between devices, since the tree may now be another one; a path cost that was shown
    counts while its own cord is the same, since it is made of the speed there.
    """
    other_tree = any(place in linked for place in moved)
    made: dict[str, Device] = {}
    unseen: dict[str, Origins] = {}
    for device in devices.values():
        ports: dict[str, Port] = {}
        shown: dict[str, BridgePort] = {}
        for port in device.ports.values():
            place = f"{device.name}:{port.name}"
            if place in moved and port.tree.shown_costs:
                port = ports[port.name] = replace(port, tree=replace(port.tree, shown_costs=()))
            if port.shown is not None:
                ports[port.name] = _settled(device, port, moved.get(place, ""), shown, other_tree=other_tree)
                port = ports[port.name]
            if port.link.value is not False or port.kind is PortKind.INSIDE:
                continue
            if place in moved:
                text = f"the link state was captured before {moved[place]}; the link is taken as up"
                ports[port.name] = replace(port, link=Fact(True, (Origin(Kind.ASSUMED, text), *port.link.origins)))
            elif place not in linked:
                unseen[place] = port.link.origins
                ports[port.name] = replace(port, link=LINK_ASSUMED)
        bridge_ports = {**device.bridge_ports, **shown}
        made[device.name] = (
            replace(device, ports={**device.ports, **ports}, bridge_ports=bridge_ports) if ports else device
        )
    return made, unseen


def _settled(
    device: Device, port: Port, changed: str, shown: dict[str, BridgePort], *, other_tree: bool = False
) -> Port:
    """Return a port as its lines make it, or put into `shown` what it was shown to do, and return it so."""
    assert port.shown is not None
    if changed:
        return replace(port, shown=None)
    now = port.shown.bridge_port
    lines = device.bridge_ports.get(now.name)
    tree = lines.forwarding if lines else ALL_FORWARD
    shown[now.name] = replace(now, forwarding=tree) if other_tree else now
    negotiation = port.shown.negotiation
    if other_tree and negotiation is not None:
        variants = {name: replace(one, forwarding=tree) for name, one in negotiation.variants.items()}
        negotiation = replace(negotiation, variants=variants)
    asked = [lines, *(port.negotiation.variants.values() if port.negotiation else ())]
    same = next((one for one in asked if one is not None and _does(one) == _does(now)), asked[0])
    return replace(port, negotiation=negotiation, configured=same)


def _does(port: BridgePort) -> object:
    """Return what a bridge port does with tags, whatever spanning tree makes of it."""
    covers = (port.admit, port.member, port.untagged & port.member)
    return port.pvid.value, *((cover.sure, cover.possible) for cover in covers)


def as_shown(device: Device) -> Device:
    """Return a box whose ports do what they were shown to do, as long as nothing around them changed."""
    shown: dict[str, BridgePort] = {}
    ports = {p.name: replace(_settled(device, p, "", shown), shown=None) for p in device.ports.values() if p.shown}
    return replace(device, ports={**device.ports, **ports}, bridge_ports={**device.bridge_ports, **shown})


def surroundings(
    cords: Iterable[tuple[str, str]], typed: Mapping[str, str], bundles: Mapping[str, str]
) -> dict[str, str]:
    """Return the ports around which something changed, and what: where lines are typed, their far ends, their bundles.

    `typed` says of a port (DEVICE:PORT) what is typed there, `bundles` in which bundle a port is.
    """
    found = dict(typed)
    for one, other in cords:
        for mine, theirs in ((one, other), (other, one)):
            if mine in typed or bundles.get(mine, "") in typed:
                found.setdefault(theirs, f"lines are planned at its far end, {mine}")
    for port, bundle in bundles.items():
        if port in found:
            found.setdefault(bundle, found[port])
    return found
