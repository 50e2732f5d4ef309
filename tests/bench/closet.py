"""Configurations of a mixed closet for the benchmarks: one 48-port access switch in each of several families."""

from __future__ import annotations

from collections.abc import Callable, Iterable

VIDS = range(10, 40)
PORTS = range(1, 49)


def _ios(name: str) -> Iterable[str]:
    yield from ("version 15.2", "no service pad", f"hostname {name}", "!", "vtp mode transparent", "!")
    for vid in VIDS:
        yield from (f"vlan {vid}", f" name floor-{vid}", "!")
    for port in PORTS:
        yield from (f"interface GigabitEthernet1/0/{port}", f" description desk {name}-{port}")
        yield from (f" switchport access vlan {10 + port % 20}", " switchport mode access")
        yield from (" switchport voice vlan 39", " spanning-tree portfast", "!")
    yield from ("interface TenGigabitEthernet1/1/1", " switchport trunk allowed vlan 10-39", " switchport mode trunk")
    yield from ("!", "interface Vlan10", " ip address 10.10.0.2 255.255.255.0", "!", "end")


def _eos(name: str) -> Iterable[str]:
    yield from (f"hostname {name}", "!", "spanning-tree mode mstp", "!", "vlan 10-39", "!")
    for port in PORTS:
        yield from (f"interface Ethernet{port}", f"   description desk {name}-{port}")
        yield from (f"   switchport access vlan {10 + port % 20}", "   spanning-tree portfast", "!")
    yield from ("interface Ethernet49", "   switchport trunk allowed vlan 10-39", "   switchport mode trunk", "!")
    yield from ("interface Management1", "   ip address 10.10.0.3/24", "!", "end")


def _junos(name: str) -> Iterable[str]:
    yield from ("set version 20.4R3.8", f"set system host-name {name}")
    for port in PORTS:
        at = f"set interfaces ge-0/0/{port - 1}"
        yield from (
            f'{at} description "desk {name}-{port}"',
            f"{at} unit 0 family ethernet-switching interface-mode access",
        )
        yield f"{at} unit 0 family ethernet-switching vlan members floor-{10 + port % 20}"
    yield "set interfaces xe-0/1/0 unit 0 family ethernet-switching interface-mode trunk"
    yield "set interfaces xe-0/1/0 unit 0 family ethernet-switching vlan members all"
    yield from (f"set vlans floor-{vid} vlan-id {vid}" for vid in VIDS)


def _procurve(name: str) -> Iterable[str]:
    yield from ("; J9772A Configuration Editor; Created on release #YA.16.10", f'hostname "{name}"')
    for port in PORTS:
        yield from (f"interface {port}", f'   name "desk {name}-{port}"', "   exit")
    yield from ("vlan 1", '   name "DEFAULT_VLAN"', "   no untagged 1-48", "   untagged 49-52", "   exit")
    for vid in VIDS:
        ports = ",".join(str(port) for port in PORTS if 10 + port % 20 == vid)
        yield from (f"vlan {vid}", f'   name "floor-{vid}"', *([f"   untagged {ports}"] if ports else []))
        yield from ("   tagged 49", "   no ip address", "   exit")


def _comware(name: str) -> Iterable[str]:
    yield from ("#", " version 7.1.070, Release 6127", "#", f" sysname {name}", "#")
    for vid in VIDS:
        yield from (f"vlan {vid}", f" name floor-{vid}", "#")
    for port in PORTS:
        yield from (
            f"interface GigabitEthernet1/0/{port}",
            f" description desk {name}-{port}",
            " port link-mode bridge",
        )
        yield from (f" port access vlan {10 + port % 20}", " stp edged-port", "#")
    yield from ("interface Ten-GigabitEthernet1/0/49", " port link-mode bridge", " port link-type trunk")
    yield from (" undo port trunk permit vlan 1", " port trunk permit vlan 10 to 39", "#", "return")


def _vrp(name: str) -> Iterable[str]:
    yield from ("!Software Version V200R019C10SPC500", "#", f"sysname {name}", "#", "vlan batch 10 to 39", "#")
    for port in PORTS:
        yield from (
            f"interface GigabitEthernet0/0/{port}",
            f" description desk {name}-{port}",
            " port link-type access",
        )
        yield from (f" port default vlan {10 + port % 20}", " stp edged-port enable", "#")
    yield from (
        "interface XGigabitEthernet0/0/1",
        " port link-type trunk",
        " port trunk allow-pass vlan 10 to 39",
        "#",
        "return",
    )


def _aoscx(name: str) -> Iterable[str]:
    yield from ("!Version ArubaOS-CX FL.10.10.1000", f"hostname {name}", "vlan 1,10-39")
    for port in PORTS:
        yield from (f"interface 1/1/{port}", f"    description desk {name}-{port}", "    no shutdown")
        yield from ("    no routing", f"    vlan access {10 + port % 20}")
    yield from (
        "interface 1/1/49",
        "    no shutdown",
        "    no routing",
        "    vlan trunk native 1",
        "    vlan trunk allowed 10-39",
    )


def _exos(name: str) -> Iterable[str]:
    yield from (
        "#",
        "# Module devmgr configuration.",
        "#",
        f'configure snmp sysName "{name}"',
        "#",
        "# Module vlan configuration.",
        "#",
    )
    yield from ("configure vlan default delete ports all", "configure vlan default delete ports 1-52")
    for vid in VIDS:
        yield from (f'create vlan "floor-{vid}"', f"configure vlan floor-{vid} tag {vid}")
    yield from (f'configure ports {port} display-string "desk-{port}"' for port in PORTS)
    for vid in VIDS:
        ports = ",".join(str(port) for port in PORTS if 10 + port % 20 == vid)
        yield f"configure vlan floor-{vid} add ports 49 tagged"
        yield from (f"configure vlan floor-{vid} add ports {ports} untagged",) if ports else ()


FAMILIES: dict[str, Callable[[str], Iterable[str]]] = {
    "cisco_ios": _ios,
    "arista_eos": _eos,
    "juniper_junos": _junos,
    "hp_procurve": _procurve,
    "hp_comware": _comware,
    "huawei_vrp": _vrp,
    "aruba_aoscx": _aoscx,
    "extreme_exos": _exos,
}
