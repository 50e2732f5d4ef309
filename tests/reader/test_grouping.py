"""What stands before the first prompt of a console log: a login is no device, configuration is never lost."""

from __future__ import annotations

from pathlib import Path

import pytest

from vlancheck import capture, reader
from vlancheck.reader import NoteKind, Reading

LOG = """\
SW-1#show running-config
hostname SW-1
!
interface GigabitEthernet0/1
 switchport mode access
 switchport access vlan 10
!
end
SW-1#
"""
GREETINGS = [
    "Trying 192.0.2.1...\nConnected to 192.0.2.1.\nEscape character is '^]'.\n\n",
    "User Access Verification\n\nUsername: plum\nPassword: \n",
    "login as: plum\nplum@192.0.2.1's password:\nLast login: Sat Mar 14 22:40:05 2026 from 192.0.2.9\n",
    "*****************************\n*  Authorised staff only    *\n*****************************\n\nPassword:\n",
    "Leave this switch alone unless you were sent.\nWhoever was not sent\nis asked to go home.\n",
]
DOUBTED = [
    "hostname SW-2\n",
    "ip routing\nno ip domain-lookup\n",
    "Password: \nsnmp-server location cellar\n",
    "Authorised staff only.\nvlan 20\n",
    "Vlan 20 is for the printers.\n",
    "Port 3 Up Forwarding\n",
    "set system name x;\n",
    "!\nclock timezone UTC 0\n",
]


def read(folder: Path, text: str) -> Reading:
    """Return what is read of one console log."""
    path = folder / "log.txt"
    path.write_text(text, encoding="utf-8")
    return reader.read(capture.load([path], root=folder))


@pytest.mark.parametrize("greeting", GREETINGS)
def test_a_login_is_not_a_device(tmp_path: Path, greeting: str) -> None:
    """Nothing is noted of it, and the device behind it is read as it is without it."""
    reading = read(tmp_path, greeting + LOG)
    assert [device.name for device in reading.devices] == ["SW-1"]
    assert reading.devices[0].bridge_ports["GigabitEthernet0/1"].pvid.value == 10
    assert reading.notes == ()


@pytest.mark.parametrize("text", DOUBTED)
def test_what_may_be_configuration_is_noted(tmp_path: Path, text: str) -> None:
    """A line that may be configuration, of a family that nobody knows, keeps its note with file and line."""
    (note,) = read(tmp_path, text + LOG).notes
    assert (note.kind, note.file, note.line) == (NoteKind.UNKNOWN_DIALECT, "log.txt", 1)


def test_a_login_with_no_prompt_after_it_is_noted(tmp_path: Path) -> None:
    """A file that holds nothing else is no capture, which has to be said."""
    (note,) = read(tmp_path, GREETINGS[1]).notes
    assert (note.kind, note.file) == (NoteKind.UNKNOWN_DIALECT, "log.txt")


def test_configuration_before_the_first_prompt_is_read(tmp_path: Path) -> None:
    """A log may begin in the middle of an output: its configuration makes the device it names."""
    saved = "hostname SW-9\ninterface GigabitEthernet0/1\n switchport mode access\n switchport access vlan 30\nend\n"
    devices = {device.name: device for device in read(tmp_path, saved + LOG).devices}
    assert sorted(devices) == ["SW-1", "SW-9"]
    assert devices["SW-9"].bridge_ports["GigabitEthernet0/1"].pvid.value == 30


def test_a_clock_that_was_read_is_no_output_that_was_not(tmp_path: Path) -> None:
    """The time of a capture comes from such an output; one that states no time is told like any other command."""
    assert read(tmp_path, "SW-1#show clock\n22:40:05.000 UTC Sat Mar 14 2026\n" + LOG).notes == ()
    (note,) = read(tmp_path, "SW-1#show clock\n% Invalid input detected\n" + LOG).notes
    assert (note.kind, note.line) == (NoteKind.OTHER_COMMAND, 1)
