"""A port that no capture prints in, the box with that port as its family's defaults make it out."""

from __future__ import annotations

from dataclasses import replace

from vlancheck.dot1q.model import Device
from vlancheck.evidence import Kind, Origin
from vlancheck.reader.facts import Of
from vlancheck.reader.reading import Gathered


def with_unprinted_port(gathered: Gathered, device: Device, port: str) -> Device | None:
    """Return the box with `port` as silence makes it; None where the family's naming does not know such a port."""
    if not gathered.dialect.parts(port):
        return None
    text = f"no capture prints {port} of {device.name}; it is taken as its family's defaults make it"
    settle = f"a capture of {device.name} that prints {port}"
    facts = gathered.facts.copy()
    facts.thing(Of.PORT, port, (Origin(Kind.ASSUMED, text, settle=settle),))
    made = replace(gathered, facts=facts).device(device.name)
    if port not in made.ports:
        return None
    return replace(
        device,
        ports={**device.ports, port: made.ports[port]},
        bridge_ports={**device.bridge_ports, **{n: one for n, one in made.bridge_ports.items() if one.port == port}},
        ends={**device.ends, **{name: end for name, end in made.ends.items() if end.port == port}},
        bridges={**made.bridges, **device.bridges},
    )
