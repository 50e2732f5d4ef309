"""No text, however long its lines, takes more than its length deserves."""

from __future__ import annotations

import time

import pytest

from vlancheck.capture.console import sections
from vlancheck.capture.lines import numbered
from vlancheck.capture.pager import lines_with_prompts

LENGTH = 40_000
MOST = 10.0  # seconds of this process alone; an expression that tries every pair of places would need minutes

UNITS = [
    *(" ", "a", "-", "\x08", "\r", "\x1b", "\x1b[", "\x1b]0;", "\x1b[1;1H", "\x1b[9D ", "\x1b[4000C", "\x1b[1@"),
    *("--More--", "more: <space>", "press any key to continue", "[16D ", "CTRL+C ESC q Quit SPACE n Next Page "),
    *("password ", "key ", "snmp community ", "radius ", "radius key ", "snmp auth md5 ", "$1$", "%^%#", "://a:"),
    *('"', "'", "[", "(", "<", "a@", "a.1 ", "a-", "AAAA", "0A1B2C3D ", "x=", "/snmp community name", "a:", "{"),
    *('name="', "auth-key ", "a_", "cipher ", "description ", "-----BEGIN ", "snmp-server host a ", "encrypted "),
    *("show ", "# ", "> ", "sudo -x ", "bridge -x ", "[a@a ", "SW#", "x\x08$", "\x08\x08\x08$", "\x1b[1;1Hx\x1b[2;1Hy"),
    *("by RouterOS 10:00:00 ", "Jan 1 ", "1:11 ", "\u2028", "é", "\x1bE", "vrrp authentication "),
]


@pytest.mark.parametrize("head", ["", "SW#", "set ", "snmp ", '"password": ', "! Last configuration change at "])
def test_long_lines_take_no_long_time(head: str) -> None:
    """One long line of each repeated piece is read in well under a second or two."""
    for unit in UNITS:
        line = (head + unit * LENGTH)[:LENGTH]
        start = time.process_time()
        sections("a.txt", numbered(line + "\nx\n"), paged=lines_with_prompts(line))

        assert time.process_time() - start < MOST, unit


@pytest.mark.parametrize("unit", [*UNITS, "key-string", "/snmp community", "password=\\", "{master:0}", "[edit]"])
def test_many_lines_take_no_long_time(unit: str) -> None:
    """Nor do many equal lines: nothing looks at all lines for each line."""
    text = (unit + "\n") * 10_000
    start = time.process_time()
    sections("a.txt", numbered(text), paged=lines_with_prompts(text))

    assert time.process_time() - start < 2 * MOST
