"""VLANs that typed lines make and delete at a box that showed its table of VLANs, in families that have both."""

from __future__ import annotations

import pytest

from vlancheck.capture import Section
from vlancheck.capture.console import sections
from vlancheck.capture.lines import numbered
from vlancheck.evidence import State
from vlancheck.reader import read, with_lines_pasted

IOS = """\
SW-1#show running-config
version 15.2
hostname SW-1
interface GigabitEthernet1/0/1
 switchport access vlan 20
 switchport mode access
end
SW-1#show vlan brief

VLAN Name                             Status    Ports
---- -------------------------------- --------- -------------------------------
1    default                          active
20   cameras                          active    Gi1/0/1
SW-1#
"""
EOS = """\
SW-1#show running-config
! device: SW-1 (DCS-7050, EOS-4.20.1F)
hostname SW-1
vlan 20
   name cameras
interface Ethernet1
   switchport access vlan 20
end
SW-1#show vlan
VLAN  Name                             Status    Ports
----- -------------------------------- --------- -------------------------------
1     default                          active
20    cameras                          active    Et1
SW-1#
"""
VRP = """\
<SW-1>display current-configuration
#
sysname SW-1
#
vlan batch 20
#
interface GigabitEthernet0/0/1
 port link-type access
 port default vlan 20
#
return
<SW-1>
"""
JUNOS = """\
admin@SW-1> show configuration | display set
set version 18.1R3
set system host-name SW-1
set vlans cameras vlan-id 20
set interfaces ge-0/0/1 unit 0 family ethernet-switching vlan members cameras
set interfaces ge-0/0/2 unit 0 family ethernet-switching
admin@SW-1>
"""


def text(name: str, written: str) -> list[Section]:
    return sections(name, numbered(written))


@pytest.mark.parametrize(
    ("box", "makes", "deletes"),
    [
        (IOS, "vlan 30\n", "no vlan 20\n"),
        (EOS, "vlan 30\n", "no vlan 20\n"),
        (VRP, "vlan 30\n", "undo vlan 20\n"),
        (JUNOS, "set vlans guests vlan-id 30\n", "delete vlans cameras\n"),
    ],
    ids=["cisco_ios", "arista_eos", "huawei_vrp", "juniper_junos"],
)
def test_typed_lines_count_after_what_was_shown(box: str, makes: str, deletes: str) -> None:
    reading = read(text("box.txt", box))
    before = reading.devices[0].bridges[""].exists
    assert (before.why(20)[0], before.why(30)[0] is State.IN) == (State.IN, False)
    after = with_lines_pasted(reading, {"SW-1": text("SW-1.txt", makes + deletes)}).devices[0].bridges[""].exists
    assert after.why(30)[0] is State.IN
    assert after.why(20)[0] is not State.IN
    assert after.why(1)[0] is before.why(1)[0]


def test_a_line_that_deletes_what_was_never_captured_is_known() -> None:
    unknown = IOS[: IOS.index("SW-1#show vlan")]
    after = with_lines_pasted(read(text("box.txt", unknown)), {"SW-1": text("SW-1.txt", "no vlan 30\n")})
    exists = after.devices[0].bridges[""].exists
    state, origins = exists.why(30)
    assert state is State.OUT
    assert [one.place for one in origins] == ["SW-1.txt:1"]
    assert exists.why(31)[0] is State.UNKNOWN
