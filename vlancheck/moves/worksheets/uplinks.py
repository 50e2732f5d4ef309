"""The planned survey in, the sheet of the cords between boxes out: what each end carries, and how."""

from __future__ import annotations

from vlancheck.dot1q.model import NO_TAG, BridgePort, Device, DeviceKind, End
from vlancheck.evidence import UNKNOWN, Kind
from vlancheck.moves.worksheets import cautions, order
from vlancheck.moves.worksheets.cords import CordRow, Holds, Role, cords
from vlancheck.moves.worksheets.scene import Scene
from vlancheck.moves.worksheets.sheet import Blank, Fill, Row, Worksheet
from vlancheck.places import split_place
from vlancheck.site.cordkinds import CordKind
from vlancheck.vids import WIRE, text
from vlancheck.wiring.network import NOT_WALKED

_FIBRE = (
    " Where a fibre link stays dark, the two fibres are exchanged at one end alone, and the colour of the connectors "
    "and the sort of the fibre are held against the optics, before any line is typed."
)  # common practice, no source
_PARTS = {Role.HANDOFF: "The handoff", Role.ROUTER: "Routers and firewalls", Role.UPLINK: "Between boxes"}


def uplinks(scene: Scene, holds: Holds) -> Worksheet:
    """Return a row for every cord between boxes that pass frames on, or to a router or the handoff."""
    among = [row for row in cords(scene, holds) if row.role in _PARTS]
    rows = order.removal(scene, among)[::-1]
    fibre = any(row.kind is CordKind.FIBRE_PAIR for row in rows)
    return Worksheet(
        name="uplinks",
        title="Uplinks, routers and the handoff",
        use="From the handoff inward. What each end is set to carry, by the captures and the lines to be pasted; what "
        f"says unproven is not decided by them.{_FIBRE if fibre else ''}",
        headings=("Cord", "One end", "It carries", "Other end", "It carries", "Bundle", "Spanning tree"),
        rows=tuple(_row(scene, row) for row in rows),
        blanks=(Blank("Both ends read", Fill.TICK, "read"),),
        cautions=cautions.of_cords(rows),
        signatures=("Read by",),
        wide=True,
    )


def carries(scene: Scene, place: str) -> str:
    """Return what a port takes and sends: tagged VLANs and the untagged one, or what its interfaces take."""
    device, _ = split_place(place)
    network = scene.network
    box = network.devices.get(device)
    if box is None or device in scene.boxes.absent:
        return "unproven: no capture of this box"
    if box.kind in NOT_WALKED:
        return "not known: nobody can look into this box"
    at = network.stands_for.get(place, place)
    port = split_place(at)[1]
    ports = [one for one in box.bridge_ports.values() if one.port == port]
    said = [_carried(box, one) for one in ports]
    if box.kind is DeviceKind.CARRIER_BOX:
        said = [f"declared, the carrier's to confirm: {one}" for one in said]
    taken = _taken([one for one in box.ends.values() if one.port == port])
    return "; ".join([*said, *taken]) or "nothing is known of it"


def _taken(ends: list[End]) -> list[str]:
    """Return what a router's or a host's interfaces at a port take."""
    if not ends:
        return []
    tags = 0
    for end in ends:
        tags |= end.select[0].vids & WIRE if end.select else 0
    bare = any(not end.select or end.select[0].vids >> NO_TAG & 1 for end in ends)
    parts = [f"takes tagged {text(tags)}"] if tags else []
    return [", ".join([*parts, *(["untagged"] if bare and parts else ["takes untagged"] if bare else [])])]


def _row(scene: Scene, row: CordRow) -> Row:
    one, other = (*row.places, "", "")[:2]
    spelled = [one or row.one, other or row.other]
    told = [carries(scene, place) if place else "a handoff" for place in (one, other)]
    bundles = [_bundle(scene, place) for place in (one, other) if place]
    trees = [_tree(scene, place) for place in (one, other) if place]
    cells = (row.cord, spelled[0], told[0], spelled[1], told[1], _once(bundles) or "none", _once(trees))
    return Row(row.key, cells, _PARTS[row.role], row.hold)


def _carried(box: Device, port: BridgePort) -> str:
    """Return what one bridge port carries; of VLANs only those that the bridge has."""
    there = box.bridges[port.bridge].exists
    sure = port.member.sure & ~port.untagged.possible & there.sure & WIRE
    maybe = port.member.possible & ~port.untagged.sure & there.possible & WIRE & ~sure
    bare = port.untagged.sure & port.member.sure & there.sure & WIRE
    parts = [f"tagged {text(sure)}"] if sure else []
    if port.pvid.value is UNKNOWN:
        parts.append("untagged: unproven")
    elif port.pvid.value is None:
        parts.append("untagged refused")
    else:
        out = "" if bare >> port.pvid.value & 1 else " in only"
        parts.append(f"untagged (native) {port.pvid.value}{out}")
    if port.doubt:
        parts.append("unproven: an unread line may change it")
    elif maybe:
        parts.append(f"unproven: {text(maybe)}")
    return ", ".join(parts)


def _bundle(scene: Scene, place: str) -> str:
    device, name = split_place(place)
    box = scene.boxes.devices.get(device)
    port = box.ports.get(name) if box else None
    if port is None or not port.bundle:
        return ""
    return f"{device}: {port.bundle}" + (f" ({port.bundle_mode})" if port.bundle_mode else "")


def _tree(scene: Scene, place: str) -> str:
    device, _ = split_place(place)
    box = scene.network.devices.get(device)
    if box is None or box.kind in (*NOT_WALKED, DeviceKind.CARRIER_BOX) or not box.bridges or not box.bridge_ports:
        return ""
    at = split_place(scene.network.stands_for.get(place, place))[1]
    parts = list(dict.fromkeys(str(bridge.spanning_tree.value) for bridge in box.bridges.values()))
    words = "/".join("unknown" if part == str(UNKNOWN) else part for part in parts)
    for port in box.bridge_ports.values():
        if port.port == at:
            there = port.member.possible & box.bridges[port.bridge].exists.possible & WIRE
            if blocked := there & ~port.forwarding.possible:
                words += f", blocked for {text(blocked)}"
            elif open_ := there & port.forwarding.possible & ~port.forwarding.sure:
                words += f", unproven for {text(open_)}"
            elif all(one.kind is Kind.ASSUMED for _, _, by in port.forwarding.parts for one in by):
                words += ", its state was not captured"
    return f"{device}: {words}"


def _once(words: list[str]) -> str:
    return "; ".join(dict.fromkeys(word for word in words if word))
