"""The planned survey in, the order in which its boxes come up out, with what to wait for and what to look at."""

from __future__ import annotations

from vlancheck.dot1q.model import DeviceKind
from vlancheck.moves.worksheets import cautions
from vlancheck.moves.worksheets.cords import Holds, cords
from vlancheck.moves.worksheets.scene import Scene
from vlancheck.moves.worksheets.sheet import Blank, Fill, Row, Worksheet
from vlancheck.places import natural, split_place

# What there is to see at a box once it is up; common practice, no source.
_LOOK = {
    DeviceKind.BRIDGE: (
        "the saved configuration came up; uplinks have link; VLANs are there, and spanning tree runs in each; "
        "members of a stack kept their numbers; nothing shut itself"
    ),
    DeviceKind.ROUTER: "its interfaces are up; each gateway answers from its VLAN; the far side answers",
    DeviceKind.THROUGH: "link on both sides",
    DeviceKind.CARRIER_BOX: "its lights alone, as the carrier described them; ask the carrier when one is not so",
    DeviceKind.UNMANAGED: "link on each port in use",
    DeviceKind.HOST: "link on each port; the service it gives answers from a desk",
    DeviceKind.PHONE: "it registers, and calls out and in",
    DeviceKind.ACCESS_POINT: "it is powered and found by its controller; a client joins each network",
    DeviceKind.FIREWALL: "its interfaces are up; rules came up as saved; the far side answers",
    DeviceKind.PANEL: "nothing: it has no power",
}


def power_up(scene: Scene, holds: Holds) -> Worksheet:
    """Return the boxes from the handoff outward; those that no cord joins to it come last."""
    rows = cords(scene, holds)
    held: dict[str, list[str]] = {}
    for row in rows:
        for device in {split_place(place)[0] for place in row.places} if row.hold else ():
            held.setdefault(device, []).append(f"{row.key} {row.why or row.serves}".strip())
    far = max(scene.distance.values(), default=0) + 1
    boxes = sorted(
        (name for name in scene.boxes.devices if scene.boxes.devices[name].kind is not DeviceKind.PANEL),
        key=lambda name: (scene.distance.get(name, far), _turn(scene, name), natural(name)),
    )
    return Worksheet(
        name="power-up",
        title="Power-up and check, from the handoff outward",
        use="One box at a time. The next one waits until the links of this one are there and what is to be seen was "
        "seen.",
        headings=("Box", "Kind", "Wait for these links", "Look at"),
        rows=tuple(
            Row(
                name,
                (name, str(scene.boxes.devices[name].kind), _links(scene, name), _look(scene, name)),
                _part(scene, name),
                f"HOLD: {'; '.join(held[name])}; tell the owner before its power goes or comes" if name in held else "",
            )
            for name in boxes
        ),
        blanks=(Blank("Up at", Fill.WORDS, "up-at"), Blank("Checked", Fill.RESULT, "checked")),
        cautions=(cautions.LIFTING, cautions.LADDER, cautions.POWER, cautions.CARRIER, *cautions.of_cords(rows)),
        signatures=("Power by", "Checked by"),
    )


def _turn(scene: Scene, name: str) -> int:
    """Return when a box comes up among those as far from the handoff: the carrier's first, where frames end last."""
    kind = scene.boxes.devices[name].kind
    ending = (DeviceKind.HOST, DeviceKind.PHONE, DeviceKind.ACCESS_POINT)
    return 0 if kind is DeviceKind.CARRIER_BOX else 2 if kind in ending else 1


def _part(scene: Scene, name: str) -> str:
    distance = scene.distance.get(name)
    if distance is None:
        return "Joined to the handoff by no cord"
    return "At the handoff" if distance == 0 else f"{distance} {'cord' if distance == 1 else 'cords'} from it"


def _links(scene: Scene, name: str) -> str:
    """Return the links to boxes that are up before this one."""
    mine = scene.distance.get(name)
    nearer = [
        f"{split_place(one)[1]} to {other}"
        for there, several in scene.beside.get(name, {}).items()
        for one, other in several
        if mine is not None and scene.distance.get(there, mine + 1) <= mine
    ]
    return "; ".join(nearer) or ("power and its own lights" if mine == 0 else "none is known")


def _look(scene: Scene, name: str) -> str:
    device = scene.boxes.devices[name]
    words = _LOOK[device.kind]
    if name in scene.boxes.absent:
        words = f"there is no capture of it: {words}"
    return words
