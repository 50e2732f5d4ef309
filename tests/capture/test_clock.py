"""The time of a capture is the one its text states."""

from __future__ import annotations

import pytest

from vlancheck.capture.console import sections
from vlancheck.capture.lines import numbered


def taken(text: str) -> list[str]:
    """Return the time of each section."""
    return [one.taken for one in sections("a.log", numbered(text))]


@pytest.mark.parametrize(
    ("text", "time"),
    [
        ("SW#show clock\n*22:40:05.123 CET Sat Mar 14 2026\n", "2026-03-14 22:40:05 CET"),
        ("SW#show clock\n22:40:05 Mar 14 2026\n", "2026-03-14 22:40:05"),
        ("SW#show clock\nSat Mar 14 22:40:05 2026\n", "2026-03-14 22:40:05"),
        ("SW#show clock\n10:40:05 pm CET Sat Mar 14 2026\n", "2026-03-14 22:40:05 CET"),
        ("<HUB>display clock\n2026-03-14 22:40:05+01:00\nSaturday\n", "2026-03-14 22:40:05 +01:00"),
        ("<HUB>display clock\n22:40:05 UTC Sat 03/14/2026\n", "2026-03-14 22:40:05 UTC"),
        ("root@b0:~# date\nSat Mar 14 22:40:05 CET 2026\n", "2026-03-14 22:40:05 CET"),
        ("root@b0:~# date\nSat 14 Mar 2026 22:40:05 CET\n", "2026-03-14 22:40:05 CET"),
        ("anna@EX-1> show system uptime\nCurrent time: 2026-03-14 22:40:05 CET\n", "2026-03-14 22:40:05 CET"),
        ("# 2026-03-14 22:40:05 by RouterOS 7.12\n/interface bridge\n", "2026-03-14 22:40:05"),
        ("# mar/14/2026 22:40:05 by RouterOS 6.49\n/interface bridge\n", "2026-03-14 22:40:05"),
        ("!Command: show running-config\n!Time: Sat Mar 14 22:40:05 2026\n", "2026-03-14 22:40:05"),
        ("! Last configuration change at 22:40:05 CET Sat Mar 14 2026 by anna\n", "2026-03-14 22:40:05 CET"),
        ("## Last commit: 2026-03-14 22:40:05 CET by anna\nversion 20;\n", "2026-03-14 22:40:05 CET"),
        ("!Last configuration was saved at 2026-03-14 22:40:05 by anna\n", "2026-03-14 22:40:05"),
    ],
)
def test_the_forms_of_a_time(text: str, time: str) -> None:
    """Whatever the order of its parts, a time comes out in one form, with its zone as written."""
    assert taken(text) == [time]


@pytest.mark.parametrize(
    "text",
    [
        "vlan 10\n name desk\n",
        "Gi1/0/1 last input 22:40:05, Sat Mar 14 22:40:05 2026\n",
        "! Last configuration change at 25:61:05 CET Sat Mar 44 2026\n",
        "! Last configuration change at noon\n",
    ],
)
def test_no_time_is_made_up(text: str) -> None:
    """A time that is not the capture's, or that cannot be, is none."""
    assert taken(text) == [""]


@pytest.mark.parametrize(
    "head", ["=~=~=~= plum log 2026.03.14 22:40:05 =~=~=~=", "Script started on 2026-03-14 22:40:05+01:00 [TERM=xterm]"]
)
def test_the_head_of_a_log_holds_for_all_of_it(head: str) -> None:
    """A terminal program states when it began; a clock on the device is nearer."""
    log = f"{head}\nSW#show vlan\n1\nHUB#show clock\n22:41:00 CET Sat Mar 14 2026\n"
    times = taken(log)

    assert [time[:19] for time in times] == ["2026-03-14 22:40:05", "2026-03-14 22:40:05", "2026-03-14 22:41:00"]


def test_a_clock_holds_for_the_other_outputs_of_its_device() -> None:
    """The nearest clock before, else the first after; a clock of another device says nothing."""
    log = """SW#show vlan
1
SW#show clock
10:00:00 CET Sat Mar 14 2026
SW#show running-config
! Last configuration change at 09:00:00 CET Fri Mar 13 2026
SW#show clock
11:00:00 CET Sat Mar 14 2026
SW#show vlan
1
HUB#show vlan
1
"""

    assert taken(log) == [
        "2026-03-14 10:00:00 CET",
        "2026-03-14 10:00:00 CET",
        "2026-03-14 10:00:00 CET",
        "2026-03-14 11:00:00 CET",
        "2026-03-14 11:00:00 CET",
        "",
    ]
