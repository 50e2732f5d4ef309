"""Plain boxes of every family that has phrases, and the changes that may be wished of them."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from hypothesis import strategies as st

from vlancheck import vids
from vlancheck.capture import load
from vlancheck.dot1q.model import PortKind
from vlancheck.reader import Gathered, load_dialect, read
from vlancheck.reader.loading import dialect_names
from vlancheck.writer import PortPlan, Wish

FOLDER = Path(__file__).parent / "boxes"
FAMILIES = sorted(name for name in dialect_names() if load_dialect(name).phrases)
VIDS = (10, 20, 30, 31, 32, 310, 999, 4094)


def plain_box(family: str) -> tuple[Gathered, str]:
    """Return what the plain box of a family says, and its name."""
    file = FOLDER / f"{family}.txt"
    reading = read(load([file], root=FOLDER), dialects={"LOFT-SW": family}, names={file.name: "LOFT-SW"})
    (device,) = reading.devices
    return reading.gathered[device.name], device.name


@cache
def outer_ports(family: str) -> frozenset[str]:
    """Return the ports of a family's plain box that are not the box's own way into its bridge."""
    gathered, name = plain_box(family)
    ports = gathered.device(name).ports.values()
    return frozenset(port.name for port in ports if port.kind is not PortKind.INSIDE)


def can_say(family: str, plan: PortPlan) -> bool:
    """Tell whether a family has words for a plan: one whose ports go home by themselves has none to tag beside it."""
    home = load_dialect(family).phrases.get("home", ())
    return str(plan.untagged) not in home or not plan.tagged


def port_plans(family: str, ports: list[str]) -> st.SearchStrategy[PortPlan]:
    """Return any plan of any of these ports that carries something; VID 1, the VLAN a new box has, only untagged."""
    untagged = st.sampled_from((None, 1, *VIDS))
    tagged = st.sets(st.sampled_from(VIDS)).map(vids.of)
    plans = st.builds(PortPlan, st.sampled_from(ports), untagged, tagged, st.sampled_from((None, True, False)))
    return plans.map(_plain).filter(lambda plan: (plan.untagged is not None or plan.tagged) and can_say(family, plan))


def wishes(family: str, ports: list[str]) -> st.SearchStrategy[Wish]:
    """Return a wish for one to three outer ports, whose VLANs are made with it."""
    outer = [port for port in ports if port in outer_ports(family)]
    several = st.lists(port_plans(family, outer), min_size=1, max_size=3, unique_by=lambda plan: plan.port)
    return several.map(lambda plans: Wish(create=vids.of(VIDS), ports=tuple(plans)))


def _plain(plan: PortPlan) -> PortPlan:
    bare = 0 if plan.untagged is None else 1 << plan.untagged
    return PortPlan(plan.port, plan.untagged, plan.tagged & ~bare, plan.up)
