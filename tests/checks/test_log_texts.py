"""Console logs in which lines are typed, refused and half typed, and messages that a switch logs of its own accord."""

from __future__ import annotations

from pathlib import Path

import pytest

from checks.planting import found, told
from vlancheck.findings.finding import Finding, Severity
from vlancheck.pipeline import open_site

SHOWN = """\
ACC-1#show running-config
version 15.2
hostname ACC-1
!
vtp mode transparent
!
vlan 10,20
!
interface GigabitEthernet1/0/1
 switchport access vlan 10
 switchport mode access
!
interface GigabitEthernet1/0/2
 switchport access vlan 10
 switchport mode access
!
interface GigabitEthernet1/0/23
 switchport mode dynamic desirable
!
interface GigabitEthernet1/0/24
 switchport trunk allowed vlan 10,20
 switchport mode trunk
end
"""
TYPED = """\
ACC-1#configure terminal
Enter configuration commands, one per line.  End with CNTL/Z.
ACC-1(config)#interface Gi1/0/24
"""
REFUSED = f"""\
{TYPED}ACC-1(config-if)#switchport trunk encapsulation dot1q
                                ^
% Invalid input detected at '^' marker.

ACC-1(config-if)#end
"""
REJECTED = f"""\
{TYPED}ACC-1(config-if)#switchport trunk native vlan 20
Command rejected: Gi1/0/24 is not a switching port.
ACC-1(config-if)#end
"""
RETYPED = f"""\
{TYPED}ACC-1(config-if)#switchport mode trunk
Command rejected: An interface whose trunk encapsulation is "Auto" can not be configured to "trunk" mode.
ACC-1(config-if)#end
"""
TAKEN = f"""\
{TYPED}ACC-1(config-if)#switchport trunk allowed vlan add 30
ACC-1(config-if)#exit
ACC-1(config)#no vlan 20^Z
ACC-1#
"""
MISTYPED = """\
ACC-1#shwo vlan
         ^
% Invalid input detected at '^' marker.

"""
PORT, UPLINK = "ACC-1:GigabitEthernet1/0/24", "GigabitEthernet1/0/24"
SITE = """\
site: Foundry Lane library
vlans:
  - vid: 10
    name: desks
    reaches: [{at: "ACC-1:Gi1/0/1", frame: untagged}, {at: "ACC-1:Gi1/0/2", frame: untagged}]
"""


def audited(root: Path, log: str, *others: tuple[str, str]) -> list[Finding]:
    """Return what a log is told, and other captures of the box (file, text)."""
    captures = root / "captures"
    captures.mkdir()
    for name, text in (("ACC-1.log", f"{log}ACC-1#\n"), *others):
        (captures / name).write_text(text, encoding="utf-8")
    (root / "site.yaml").write_text(SITE, encoding="utf-8")
    return [one for one in open_site(root).audit("as-found").findings if one.code[0] in "TU"]


@pytest.mark.parametrize(
    ("log", "codes"),
    [
        (SHOWN, []),
        (SHOWN + REFUSED, [("T104", Severity.WARNING)]),
        (SHOWN + REJECTED, [("T104", Severity.WARNING)]),
        (REFUSED + SHOWN, [("T104", Severity.NOTE)]),
        (RETYPED + SHOWN, []),
        (TAKEN + SHOWN, []),
        (SHOWN + TAKEN, [("T105", Severity.WARNING)]),
        (SHOWN + TAKEN + SHOWN, []),
        (SHOWN + MISTYPED, []),
        (SHOWN + "ACC-1#terminal length 0\nACC-1#show clock\n*11:02:03.004 UTC Mon Mar 1 1993\n", []),
    ],
    ids=[
        "nothing typed",
        "refused behind it",
        "rejected behind it",
        "refused before it",
        "typed again",
        "taken before it",
        "taken behind it",
        "captured again",
        "no line of configuration",
        "other commands",
    ],
)
def test_what_was_typed(tmp_path: Path, log: str, codes: list[tuple[str, Severity]]) -> None:
    assert [(one.code, one.severity) for one in audited(tmp_path, log)] == codes


def test_refused_line_is_told_with_its_port_and_the_answer(tmp_path: Path) -> None:
    (one,) = audited(tmp_path, SHOWN + REFUSED)
    assert one.at == {PORT}
    assert one.headline == f"{PORT} refused `switchport trunk encapsulation dot1q`"
    assert one.where[0].label == "answered: % Invalid input detected at '^' marker."
    assert (one.where[0].origin.line, one.where[0].primary) == (
        REFUSED.splitlines().index("ACC-1(config-if)#switchport trunk encapsulation dot1q") + SHOWN.count("\n") + 1,
        True,
    )


def test_line_that_was_sent_off_half_typed_is_told(tmp_path: Path) -> None:
    (one,) = audited(tmp_path, SHOWN + TAKEN)
    assert "`no vlan 20^Z`" in one.headline
    assert f"`switchport trunk allowed vlan add 30` at {UPLINK}" in one.headline


def test_refused_in_a_log_without_a_configuration(tmp_path: Path) -> None:
    (one,) = audited(tmp_path, REJECTED, ("ACC-1.txt", f"{SHOWN}ACC-1#\n"))
    assert (one.code, one.severity, one.at) == ("T104", Severity.WARNING, {PORT})


NXOS = """\
SW-1# show running-config
version 7.0(3)I7(1)
hostname SW-1
vlan 10
interface Ethernet1/1
  switchport access vlan 10
"""
EOS = """\
SW-1#show running-config
! device: SW-1 (DCS-7050, EOS-4.20.1F)
hostname SW-1
vlan 10
interface Ethernet1/1
   switchport access vlan 10
end
"""
COMWARE = """\
<SW-1>display current-configuration
#
 version 7.1.070, Release 6126
#
 sysname SW-1
#
vlan 10
#
interface Ethernet1/1
 port access vlan 10
#
return
"""
VRP = """\
<SW-1>display current-configuration
#
sysname SW-1
#
vlan batch 10
#
interface Ethernet1/1
 port link-type access
 port default vlan 10
#
return
"""
PROCURVE = """\
SW-1# show running-config
; J9145A Configuration Editor; Created on release #W.15.14.0007
hostname "SW-1"
vlan 10
   name "desks"
   untagged 1-3
   exit
"""


@pytest.mark.parametrize(
    ("shown", "typed", "answer", "place"),
    [
        (
            NXOS,
            ("SW-1(config)# interface Ethernet1/1", "SW-1(config-if)# switchport trnk"),
            "% Invalid command at '^' marker.",
            "SW-1:Ethernet1/1",
        ),
        (
            EOS,
            ("SW-1(config)#interface Ethernet1/1", "SW-1(config-if-Et1/1)#switchport trnk"),
            "% Invalid input",
            "SW-1:Ethernet1/1",
        ),
        (
            COMWARE,
            ("[SW-1]interface Ethernet1/1", "[SW-1-Ethernet1/1]port trunk permt vlan 10"),
            " % Unrecognized command found at '^' position.",
            "SW-1:Ethernet1/1",
        ),
        (
            VRP,
            ("[SW-1]interface Ethernet1/1", "[SW-1-Ethernet1/1]port trunk permt vlan 10"),
            "Error: Unrecognized command found at '^' position.",
            "SW-1:Ethernet1/1",
        ),
        (PROCURVE, ("SW-1(config)# vlan 10", "SW-1(vlan-10)# tagd 24"), "Invalid input: tagd", "SW-1:24"),
    ],
    ids=["cisco_nxos", "arista_eos", "hp_comware", "huawei_vrp", "hp_procurve"],
)
def test_refusals_of_other_families(
    tmp_path: Path, shown: str, typed: tuple[str, str], answer: str, place: str
) -> None:
    box, mark = ("<SW-1>", "") if shown.startswith("<") else ("SW-1#", "")
    log = f"{shown}{box}\n{typed[0]}\n{typed[1]}\n        ^\n{answer}\n{mark}{box}\n"
    (tmp_path / "captures").mkdir()
    (tmp_path / "captures" / "SW-1.log").write_text(log, encoding="utf-8")
    (tmp_path / "site.yaml").write_text("site: Foundry Lane library\n", encoding="utf-8")
    findings = open_site(tmp_path).audit("as-found").findings
    (one,) = [one for one in findings if one.code == "T104"]
    assert (one.at, one.severity) == ({place}, Severity.WARNING)
    assert one.where[0].label == f"answered: {answer.strip()}"


MESSAGES = [
    (
        "%CDP-4-NATIVE_VLAN_MISMATCH: Native VLAN mismatch discovered on {port} (1), with CORE-1 Gi1/0/1 (99).",
        "untagged",
    ),
    ("%SPANTREE-2-BLOCK_PVID_LOCAL: Blocking {port} on VLAN0001. Inconsistent local vlan.", "untagged"),
    ("%SPANTREE-2-RECV_PVID_ERR: Received BPDU with inconsistent peer vlan id 99 on {port} VLAN1.", "untagged"),
    ("%SPANTREE-7-BLOCK_PORT_TYPE: Blocking {port} on VLAN0001. Inconsistent port type.", "tags"),
    ("%SPANTREE-2-BLOCK_BPDUGUARD: Received BPDU on port {port} with BPDU Guard enabled. Disabling port.", "BPDU"),
    ("%PM-4-ERR_DISABLE: bpduguard error detected on {port}, putting {port} in err-disable state", "BPDU"),
    ("%PM-4-ERR_DISABLE: link-flap error detected on {port}, putting {port} in err-disable state", "shut the port"),
    (
        "%EC-5-CANNOT_BUNDLE2: {port} is not compatible with Gi1/0/2 and will be suspended (vlan mask is different)",
        "bundle",
    ),
    (
        "%SW_MATM-4-MACFLAP_NOTIF: Host 0000.5e00.5301 in vlan 10 is flapping between port {port} and port Gi1/0/2",
        "turn",
    ),
]


@pytest.mark.parametrize("message", MESSAGES, ids=lambda message: message[0].split(":")[0])
@pytest.mark.parametrize("where", ["in the log", "between two lines", "behind a prompt"])
def test_message_is_told_at_its_port(tmp_path: Path, message: tuple[str, str], where: str) -> None:
    line = f"*Mar  1 00:04:11.123: {message[0].format(port='Gi1/0/24')}\n"
    match where:
        case "in the log":
            log = f"{SHOWN}ACC-1#show logging\nSyslog logging: enabled\n\nLog Buffer (4096 bytes):\n{line}{line}"
        case "between two lines":
            log = SHOWN.replace("interface GigabitEthernet1/0/2\n", f"{line}interface GigabitEthernet1/0/2\n")
        case _:
            log = f"{SHOWN}ACC-1#\n{line}"
    (one,) = audited(tmp_path, log)
    assert (one.code, one.at, one.severity) == ("U104", {PORT}, Severity.WARNING)
    assert message[1] in one.headline
    assert ("2 times" in one.headline) == (where == "in the log")


@pytest.mark.parametrize(("port", "told_of"), [("Gi1/0/24", False), ("Gi1/0/23", True)])
def test_domain_message_is_told_where_the_mode_is_negotiated_alone(tmp_path: Path, port: str, told_of: bool) -> None:
    message = (
        f"%DTP-5-DOMAINMISMATCH: Unable to perform trunk negotiation on port {port} because of VTP domain mismatch."
    )
    log = f"{SHOWN}ACC-1#show logging\n*Mar  1 00:04:11.123: {message}\n"
    assert [one.code for one in audited(tmp_path, log)] == (["U104"] if told_of else [])


def test_box_of_which_nothing_is_needed_is_a_note() -> None:
    text = "port sw1:1 pvid=10 member=10 untagged=10\nlogged sw1:1 told=shut\nunseen sw1:1\n"
    assert [(one.code, one.severity) for one in found(text)] == [("U104", Severity.NOTE)]


def test_each_sort_at_each_port_is_told_once() -> None:
    text = "port sw1:1 member=10\nport sw1:2 member=10\nlogged sw1:1 told=shut\nlogged sw1:1 told=guarded\n"
    text += "logged sw1:2 told=shut times=4\nlogged sw1 told=instances\n"
    assert [place for code, _, place in told(text) if code == "U104"] == ["sw1:1", "sw1:1", "sw1:2"]
