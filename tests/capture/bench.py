"""How many lines a second are read: `python tests/capture/bench.py`."""

from __future__ import annotations

import time

from vlancheck.capture.console import sections
from vlancheck.capture.decoding import decode
from vlancheck.capture.lines import numbered
from vlancheck.capture.pager import lines_with_prompts

PORTS = 25_000
PAGE = " --More-- " + "\b" * 9 + " " * 8 + "\b" * 9


def configuration() -> str:
    """Return an invented configuration of many ports."""
    head = "hostname SORT-1\nenable secret 5 $1$plum$pearpearpear\nsnmp-server community plum RO 10\n"
    return head + "".join(
        f"interface GigabitEthernet1/0/{port}\n description desk {port}\n switchport access vlan {port % 90 + 10}\n"
        " switchport mode access\n switchport voice vlan 300\n authentication port-control auto\n"
        " spanning-tree portfast\n!\n"
        for port in range(1, PORTS)
    )


def measure(name: str, text: str) -> None:
    """Print the best of five runs from bytes to sections."""
    data = text.encode()
    best = float("inf")
    for _ in range(5):
        start = time.perf_counter()
        decoded = decode(data, "a.log")
        lines = numbered(decoded)
        sections("a.log", lines, paged=lines_with_prompts(decoded))
        best = min(best, time.perf_counter() - start)
    print(f"{name:28} {len(lines) / best:10,.0f} lines/s")


if __name__ == "__main__":
    plain = configuration()
    log = f"SORT-1#show running-config\n{plain}SORT-1#\n"
    paged = "".join((PAGE if n % 24 == 23 else "") + row + "\r\n" for n, row in enumerate(log.split("\n")))
    measure("saved configuration", plain)
    measure("console log", log)
    measure("console log, CRLF", log.replace("\n", "\r\n"))
    measure("console log, pages, CRLF", paged)
    measure("with letters beyond ASCII", plain.replace("desk", "Büro"))
