"""Lines nobody read: where they are told, and how."""

import pytest

from checks.planting import found

SITE = """
bridge sw1 exists=10,20
port sw1:1 member=10 pvid=10 untagged=10
port sw1:po1 member=10
port sw1:2 bundle=po1
port sw1:3 member=20 pvid=20 untagged=20
bridge sw2 exists=10
port sw2:po1 member=10
port sw2:1 bundle=po1
port sw2:2 member=10 pvid=10 untagged=10
bridge sw3 exists=10
port sw3:1 member=10 pvid=10 untagged=10
link sw1:2 sw2:1
vlan 10 -> sw1:1 untagged, sw2:2 untagged
"""


@pytest.mark.parametrize(
    ("line", "at", "severity"),
    [
        ('unread sw1:1 text="vlan odd" matters=yes', "sw1:1", "warning"),
        ('unread sw1:2 text="vlan odd" matters=yes', "sw1:2", "warning"),
        ('unread sw2:1 text="vlan odd" matters=yes', "sw2:1", "warning"),
        ('unread sw2:po1 text="vlan odd" matters=yes', "sw2:po1", "warning"),
        ('unread sw1 text="vlan odd" matters=yes', "sw1", "note"),
        ('unread sw1:gone text="vlan odd" matters=yes', "sw1", "note"),
    ],
    ids=["ending", "on the way", "member of a bundle", "bundle", "device", "under no port of the device"],
)
def test_line_where_something_declared_passes(line: str, at: str, severity: str) -> None:
    assert found(SITE) == ()
    (one,) = found(SITE + line)
    assert (one.code, one.at, one.severity.value) == ("U101", {at}, severity)
    assert one.settled_by
    assert one.where[0].origin.text == "vlan odd"


@pytest.mark.parametrize(
    "line",
    [
        'unread sw1:1 text="banner odd"',
        'unread sw1:3 text="vlan odd" matters=yes',
        'unread sw3 text="vlan odd" matters=yes',
        'unread sw3:1 text="vlan odd" matters=yes',
    ],
    ids=["no sensitive word", "port beside the way", "device beside the way", "port of that device"],
)
def test_line_that_touches_nothing_declared_is_not_told(line: str) -> None:
    assert found(SITE + line) == ()


def test_each_line_is_a_finding() -> None:
    made = found(SITE + 'unread sw1:1 text="vlan odd" matters=yes\nunread sw1:1 text="vlan even" matters=yes')
    assert [one.where[0].origin.text for one in made] == ["vlan even", "vlan odd"]


def test_lost_frames_do_not_hang_on_a_line_nobody_read() -> None:
    text = SITE.replace("port sw1:po1 member=10", "port sw1:po1 member=none")
    made = {one.code: one for one in found(text + 'unread sw1:2 text="vlan odd" matters=yes')}
    assert made["U101"].effects == ()
    assert made["L101"].effects
