"""Switches with the same private VLAN, as each family writes it: invented configurations for the truth table.

VLAN 100 is primary; 101 is isolated, 102 and 103 are communities. Each switch has two ports of each part, in the
order of `PARTS`, and one that leads to another switch.
"""

from __future__ import annotations

from dataclasses import dataclass

PROMISCUOUS, ISOLATED, COMMUNITY_A, COMMUNITY_B, TRUNK = (
    "promiscuous",
    "isolated",
    "community A",
    "community B",
    "trunk",
)
PARTS = (PROMISCUOUS, ISOLATED, COMMUNITY_A, COMMUNITY_B)
VIDS = {PROMISCUOUS: 100, ISOLATED: 101, COMMUNITY_A: 102, COMMUNITY_B: 103}


@dataclass(frozen=True, slots=True)
class Family:
    """How a family writes the switch."""

    dialect: str  # its name
    text: str  # the configuration, with NAME for the switch's name
    ports: tuple[str, ...]  # two promiscuous ones, two isolated, two of each community, then the one to a switch

    def of(self, part: str) -> tuple[str, ...]:
        """Return the ports that play a part."""
        if part == TRUNK:
            return self.ports[-1:]
        first = 2 * PARTS.index(part)
        return self.ports[first : first + 2]

    def named(self, name: str) -> str:
        """Return the configuration of the switch called `name`."""
        return self.text.replace("NAME", name)


def _cisco(head: str, port: str, vlan: str, tail: str) -> str:
    """Return the configuration of two families that write private VLANs alike."""
    lines = [head, f"vlan 100{vlan}", "  private-vlan primary", "  private-vlan association 101-103"]
    for vid, kind in ((101, "isolated"), (102, "community"), (103, "community")):
        lines += [f"vlan {vid}{vlan}", f"  private-vlan {kind}"]
    for number in (1, 2):
        lines += [f"interface {port}{number}", "  switchport mode private-vlan promiscuous"]
        lines += ["  switchport private-vlan mapping 100 101-102", "  switchport private-vlan mapping 100 add 103"]
    for number, vid in enumerate((101, 101, 102, 102, 103, 103), 3):
        lines += [f"interface {port}{number}", "  switchport mode private-vlan host"]
        lines += [f"  switchport private-vlan host-association 100 {vid}"]
    lines += [f"interface {port}24", "  switchport mode trunk", "  switchport trunk allowed vlan 100-103", tail]
    return "\n".join(lines)


def _numbered(prefix: str) -> tuple[str, ...]:
    return tuple(f"{prefix}{number}" for number in (*range(1, 9), 24))


IOS = Family(
    "cisco_ios",
    _cisco("version 15.2\nhostname NAME\nvtp mode transparent", "GigabitEthernet1/0/", "", "end\n"),
    _numbered("GigabitEthernet1/0/"),
)
NXOS = Family(
    "cisco_nxos",
    _cisco("version 7.0(3)I4(1)\nhostname NAME\nfeature private-vlan", "Ethernet1/", "", "").replace(
        "\n  switchport mode", "\n  switchport\n  switchport mode"
    ),
    _numbered("Ethernet1/"),
)


def _general(head: str, port: str, vlan: str, uplink: str, tail: str) -> str:
    """Return the configuration of families whose ports are access, trunk, general or of a private VLAN."""
    lines = [head, f"{vlan} 100", "private-vlan primary", "private-vlan association add 101-103", "exit"]
    for vid, kind in ((101, "isolated"), (102, "community"), (103, "community")):
        lines += [f"{vlan} {vid}", f"private-vlan {kind}", "exit"]
    for number in (1, 2):
        lines += [f"interface {port}{number}", "switchport mode private-vlan promiscuous"]
        lines += ["switchport private-vlan mapping 100 add 101-103", "exit"]
    for number, vid in enumerate((101, 101, 102, 102, 103, 103), 3):
        lines += [f"interface {port}{number}", "switchport mode private-vlan host"]
        lines += [f"switchport private-vlan host-association 100 {vid}", "exit"]
    return "\n".join([*lines, f"interface {port}24", uplink, "exit", tail])


_TAGGED = "switchport mode general\nswitchport general allowed vlan add 100-103 tagged"
OS6 = Family(
    "dell_os6",
    _general(
        '!Current Configuration:\n!System Description "Dell EMC Networking N1524, 6.6.3.10"\n'
        '!System Software Version 6.6.3.10\n!\nconfigure\nvlan 100-103\nexit\nhostname "NAME"',
        "Gi1/0/",
        "vlan",
        f"{_TAGGED}\nswitchport general allowed vlan remove 1",
        "exit\n",
    ),
    _numbered("Gi1/0/"),
)
S300 = Family(
    "cisco_s300",
    _general(
        "config-file-header\nNAME\nv2.4.0.94 / RTESLA2.4_930_181_045\nCLI v1.0\n"
        "file SSD indicator encrypted\n@\nssd-control-start\nssd-control-end cb0a3fdb1f3a1af4e4430033719968c0\n!\n"
        "vlan database\nvlan 100-103\nexit\nhostname NAME",
        "gigabitethernet",
        "interface vlan",
        f"{_TAGGED}\nswitchport general allowed vlan remove 1",
        "",
    ),
    _numbered("gigabitethernet"),
)


def _junos() -> str:
    lines = ["set version 18.4R3.3", "set system host-name NAME"]
    switched = "unit 0 family ethernet-switching"
    for number, vlan in enumerate(("rooms", "rooms", "alone", "alone", "lab", "lab", "staff", "staff"), 1):
        lines += [f"set interfaces ge-0/0/{number} {switched} interface-mode access"]
        lines += [f"set interfaces ge-0/0/{number} {switched} vlan members {vlan}"]
    lines += [f"set interfaces ge-0/0/24 {switched} interface-mode trunk inter-switch-link"]
    lines += [f"set interfaces ge-0/0/24 {switched} vlan members rooms"]
    for vlan, vid, kind in (("alone", 101, "isolated"), ("lab", 102, "community")):
        lines += [f"set vlans {vlan} vlan-id {vid}", f"set vlans {vlan} private-vlan {kind}"]
    lines += ["set vlans rooms vlan-id 100", "set vlans rooms isolated-vlan alone"]
    lines += ["set vlans rooms community-vlans lab", "set vlans rooms community-vlans staff"]
    return "\n".join([*lines, "set vlans staff vlan-id 103", "set vlans staff private-vlan community", ""])


JUNOS = Family("juniper_junos", _junos(), tuple(f"ge-0/0/{number}" for number in (*range(1, 9), 24)))


def _eos() -> str:
    lines = ["! device: NAME (DCS-7050TX, EOS-4.20.1F)", "hostname NAME", "!", "vlan 100", "   name rooms", "!"]
    for vid, kind in ((101, "isolated"), (102, "community"), (103, "community")):
        lines += [f"vlan {vid}", f"   private-vlan {kind} primary vlan 100", "!"]
    for number, vid in enumerate((100, 100, 101, 101, 102, 102, 103, 103), 1):
        lines += [f"interface Ethernet{number}", f"   switchport access vlan {vid}", "!"]
    lines += ["interface Ethernet24", "   switchport mode trunk", "   switchport trunk allowed vlan 100-103", "!"]
    return "\n".join([*lines, "end", ""])


EOS = Family("arista_eos", _eos(), tuple(f"Ethernet{number}" for number in (*range(1, 9), 24)))
FAMILIES = (IOS, NXOS, OS6, S300, JUNOS, EOS)


def _comware() -> str:
    lines = [
        " version 7.1.070, Release 2702",
        "#",
        " sysname NAME",
        "#",
        "vlan 1",
        "#",
        "vlan 100",
        " private-vlan primary",
    ]
    lines += [
        " private-vlan secondary 101 to 103",
        "#",
        "vlan 101",
        " private-vlan isolated",
        "#",
        "vlan 102 to 103",
        "#",
    ]
    for number in (1, 2):
        lines += [f"interface Ten-GigabitEthernet1/0/{number}", " port link-mode bridge", " port link-type hybrid"]
        lines += [" undo port hybrid vlan 1", " port hybrid vlan 100 to 103 untagged", " port hybrid pvid vlan 100"]
        lines += [" port private-vlan 100 promiscuous", "#"]
    for number, vid in enumerate((101, 101, 102, 102, 103, 103), 3):
        lines += [f"interface Ten-GigabitEthernet1/0/{number}", " port link-mode bridge", " port link-type hybrid"]
        lines += [" undo port hybrid vlan 1", f" port hybrid vlan 100 {vid} untagged", f" port hybrid pvid vlan {vid}"]
        lines += [" port private-vlan host", "#"]
    lines += ["interface Ten-GigabitEthernet1/0/24", " port link-mode bridge", " port link-type trunk"]
    return "\n".join(
        [*lines, " undo port trunk permit vlan 1", " port trunk permit vlan 100 to 103", "#", "return", ""]
    )


COMWARE = Family("hp_comware", _comware(), _numbered("Ten-GigabitEthernet1/0/"))  # an isolated VLAN of one switch only
