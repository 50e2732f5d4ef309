"""Small boxes for tests, built straight from the model."""

from __future__ import annotations

from vlancheck import vids
from vlancheck.dot1q.model import Bridge, BridgePort, Device, Port
from vlancheck.evidence import Cover, Fact, assumed

SAID = assumed("the test says so")


def bridge_port(name: str, *, pvid: int | None = None, member: str = "none", untagged: str = "none") -> BridgePort:
    """Return a bridge port on the port of the same name that admits what it sends."""
    sent = Cover.of(vids.parse(member), SAID)
    bare = Cover.of(vids.parse(untagged), SAID)
    return BridgePort(name=name, port=name, pvid=Fact(pvid, SAID), admit=sent, member=sent, untagged=bare)


def access(name: str, vid: int) -> BridgePort:
    """Return a bridge port that is untagged in one VLAN."""
    return bridge_port(name, pvid=vid, member=str(vid), untagged=str(vid))


def switch(name: str, *bridge_ports: BridgePort, bundles: dict[str, tuple[str, str]] | None = None) -> Device:
    """Return a switch with every VLAN; `bundles` maps a member port to its bundle and mode."""
    bundles = bundles or {}
    ports = {bp.port: Port(name=bp.port) for bp in bridge_ports}
    for member, (bundle, mode) in bundles.items():
        ports[member] = Port(name=member, bundle=bundle, bundle_mode=mode)
    return Device(
        name=name,
        bridges={"": Bridge(exists=Cover.of(vids.EVERY, SAID))},
        ports=ports,
        bridge_ports={bp.name: bp for bp in bridge_ports},
    )
