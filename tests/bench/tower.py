"""A building as a site folder: 40 switches of 48 ports round a core, 2,000 cords, tables of addresses, two surveys."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from random import Random

SWITCHES, PORTS = 40, 48
VIDS = (10, 20, 30, 40, 50)
SERVES = ("PC", "PC", "phone + PC", "printer", "camera", "access point", "till")
At = tuple[int, int]  # switch, port; or panel and its port
BEFORE, AFTER = "09:12:41.007 CET Sat Mar 14 2026", "23:40:05.120 CET Sat Mar 14 2026"


def write_tower(root: Path, switches: int = SWITCHES, seed: int = 3) -> Path:
    """Write the site and return its folder; in the later survey a row of cords is one port off, and two are swapped."""
    rng = Random(seed)
    vlan = {(switch, port): rng.choice(VIDS[:4]) for switch in range(1, switches + 1) for port in range(1, PORTS + 1)}
    now = {at: at for at in vlan}  # jack -> where its cord is in the later survey
    for port in range(20, 30):
        now[7, port] = (7, port + 1)
    now[7, 30] = (7, 20)
    now[8, 3], now[9, 4] = (9, 4), (8, 3)
    for survey, clock, cords in (("as-found", BEFORE, {at: at for at in vlan}), ("as-left", AFTER, now)):
        folder = root / "captures" / survey
        folder.mkdir(parents=True)
        behind = {port: jack for jack, port in cords.items()}
        for switch in range(1, switches + 1):
            text = "\n".join(_access(switch, vlan, behind, clock)) + "\n"
            (folder / f"acc-{switch:02}.log").write_text(text, encoding="utf-8")
        (folder / "core-1.log").write_text("\n".join(_core(clock, switches)) + "\n", encoding="utf-8")
    (root / "patching").mkdir()
    for survey in ("as-found", "as-planned", "as-left"):
        (root / f"patching/{survey}.csv").write_text("\n".join(_sheet(vlan)) + "\n", encoding="utf-8")
    (root / "site.yaml").write_text(_declared(vlan), encoding="utf-8")
    return root


def _access(
    switch: int, vlan: dict[At, int], behind: dict[tuple[int, int], tuple[int, int]], clock: str
) -> Iterator[str]:
    name = f"ACC-{switch}"
    yield from (f"{name}#show clock", clock, f"{name}#show running-config", f"hostname {name}", "!")
    yield from ("vtp mode transparent", "!", "vlan 10,20,30,40,50", "!")
    for port in range(1, PORTS + 1):
        yield from (f"interface GigabitEthernet1/0/{port}", f" switchport access vlan {vlan[switch, port]}")
        yield from (" switchport mode access", " switchport voice vlan 50", " spanning-tree portfast", "!")
    yield from (
        "interface TenGigabitEthernet1/1/1",
        " switchport trunk allowed vlan 10-50",
        " switchport mode trunk",
        "!",
    )
    yield from ("end", f"{name}#show mac address-table", "          Mac Address Table")
    yield from ("-------------------------------------------", "", "Vlan    Mac Address       Type        Ports")
    yield "----    -----------       --------    -----"
    for port in range(1, PORTS + 1):
        of, number = behind[switch, port]
        yield f"  {vlan[switch, port]}    0200.{of:04x}.{number:04x}    DYNAMIC     Gi1/0/{port}"
    yield f"{name}#"


def _core(clock: str, switches: int) -> Iterator[str]:
    yield from ("CORE-1#show clock", clock, "CORE-1#show running-config", "hostname CORE-1", "!")
    yield from ("vtp mode transparent", "!", "vlan 10,20,30,40,50,310", "!")
    for switch in range(1, switches + 1):
        yield from (f"interface TenGigabitEthernet1/0/{switch}", " switchport trunk allowed vlan 10-50")
        yield from (" switchport mode trunk", "!")
    yield from ("interface GigabitEthernet2/0/1", " switchport trunk allowed vlan 310", " switchport mode trunk", "!")
    yield from ("interface GigabitEthernet2/0/2", " switchport access vlan 310", " switchport mode access", "!")
    for number, vid in enumerate(VIDS, 3):
        yield from (f"interface GigabitEthernet2/0/{number}", f" switchport access vlan {vid}")
        yield from (" switchport mode access", "!")
    yield from ("end", "CORE-1#")


def _sheet(vlan: dict[At, int]) -> Iterator[str]:
    rng = Random(5)
    yield "From,To,Cord,Kind,Length,Serves"
    yield "ONU-1:lan1,CORE-1:Gi2/0/1,U-000,fibre pair,1 m,"
    yield "WAN-1:eth0,CORE-1:Gi2/0/2,U-001,cat6,1 m,"
    for number, vid in enumerate(VIDS, 3):
        yield f"SRV-{vid}:eth0,CORE-1:Gi2/0/{number},S-{number:03},cat6,1 m,"
    for switch in sorted({switch for switch, _ in vlan}):
        yield f"CORE-1:Te1/0/{switch},ACC-{switch}:Te1/1/1,U-{switch + 1:03},fibre pair,5 m,"
    for number, (switch, port) in enumerate(vlan, 1):
        serves = f"{rng.choice(SERVES)} {number}"
        yield f"PANEL-{switch:02}:{port:02},ACC-{switch}:Gi1/0/{port},C-{number:04},cat6,2 m,{serves}"


def _declared(vlan: dict[At, int]) -> str:
    reaches = {vid: [at for at, one in vlan.items() if one == vid] for vid in VIDS[:4]}
    lines = ["site: Corn Exchange, all floors", "devices:", "  ONU-1: {kind: carrier-box, owner: carrier}"]
    lines += [f"  {name}: {{kind: host}}" for name in ("WAN-1", *(f"SRV-{vid}" for vid in VIDS))]
    lines += ['handoffs: [{at: "CORE-1:Gi2/0/1", carrier: metro, circuit: CX-1, untagged: refused}]', "services:"]
    lines += ['  - {name: internet, tag: 310, enters: CX-1, leaves: [{at: "WAN-1:eth0", frame: untagged}]}', "vlans:"]
    for vid, ports in reaches.items():
        places = ", ".join(f'{{at: "PANEL-{switch:02}:{port:02}", frame: untagged}}' for switch, port in ports)
        lines.append(
            f'  - {{vid: {vid}, name: floor-{vid}, reaches: [{{at: "SRV-{vid}:eth0", frame: untagged}}, {places}]}}'
        )
    return "\n".join(lines) + "\n"
