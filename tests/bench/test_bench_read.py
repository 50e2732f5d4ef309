"""Reading IOS text with evidence, whole, beside stock TextFSM parsing the same lines, in the same run.

`pytest -s tests/bench` or `python -m tests.bench.test_bench_read`.  Figures are printed and never asserted; what is
asserted is that both find the same access ports.

Stock TextFSM gets a small template of its own with one state, which reads five kinds of line; the whole read
matches the full dialect, replays facts, evaluates their meaning and keeps the lines behind every field.
"""

from __future__ import annotations

import io

import textfsm

from vlancheck.capture import Line, Section
from vlancheck.reader import Reading, load_dialect, read

from .timing import timed

SWITCHES, PORTS = 40, 48
STOCK = r"""Value Filldown PORT (\S+)
Value ACCESS (\d+)
Value VOICE (\d+)
Value ALLOWED (\S+)
Value MODE (\S+)

Start
  ^interface ${PORT}$$ -> Continue.Clear
  ^ switchport access vlan ${ACCESS}
  ^ switchport voice vlan ${VOICE}
  ^ switchport trunk allowed vlan ${ALLOWED}
  ^ switchport mode ${MODE} -> Record
"""


def configuration(switch: int) -> str:
    """Return the configuration of an access switch with 48 desks, 2 uplinks in a bundle and 30 VLANs."""
    lines = ["version 15.2", "no service pad", f"hostname ACC-{switch}", "!", "vtp mode transparent", "!"]
    lines += ["spanning-tree mode rapid-pvst", "spanning-tree extend system-id", "!"]
    for vid in range(10, 40):
        lines += [f"vlan {vid}", f" name floor-{vid}", "!"]
    for bundle in ["interface Port-channel1"]:
        lines += [bundle, " switchport trunk allowed vlan 10-39", " switchport mode trunk", "!"]
    for port in range(1, PORTS + 1):
        lines += [
            f"interface GigabitEthernet1/0/{port}",
            f" description desk {switch}-{port}",
            f" switchport access vlan {10 + (port + switch) % 20}",
            " switchport mode access",
            " switchport voice vlan 39",
            " spanning-tree portfast",
            " spanning-tree bpduguard enable",
            "!",
        ]
    for port in (1, 2):
        lines += [
            f"interface TenGigabitEthernet1/1/{port}",
            " switchport trunk allowed vlan 10-39",
            " switchport mode trunk",
            " channel-group 1 mode active",
            "!",
        ]
    lines += ["interface Vlan10", " ip address 10.10.0.2 255.255.255.0", "!", "ip default-gateway 10.10.0.1"]
    return "\n".join([*lines, "line vty 0 4", " login", "!", "end"])


def stock(texts: list[str]) -> set[tuple[int, str, str]]:
    """Return (switch, port, access VLAN) as stock TextFSM finds them."""
    found = set()
    for number, text in enumerate(texts):
        machine = textfsm.TextFSM(io.StringIO(STOCK))
        for port, access, _, _, mode in machine.ParseText(text):
            if mode == "access":
                found.add((number, port, access))
    return found


def whole(sections: list[Section]) -> Reading:
    """Return what the project reads, from numbered lines to devices, with nothing remembered of an earlier run."""
    for source in load_dialect("cisco_ios").sources:
        for template in source.templates:
            template.forget()
    return read(sections)


def test_reading_beside_stock_textfsm() -> None:
    """Print lines a second of both, and check that they find the same access ports."""
    texts = [configuration(number) for number in range(SWITCHES)]
    sections = [
        Section(f"acc-{number}.txt", "", "", tuple(Line(at, line) for at, line in enumerate(text.split("\n"), 1)), None)
        for number, text in enumerate(texts)
    ]
    count = sum(len(section.lines) for section in sections)
    stock_time, theirs = timed(lambda: stock(texts))
    whole_time, reading = timed(lambda: whole(sections))
    again_time, _ = timed(lambda: read(sections))
    print(
        f"\nreading IOS text: {SWITCHES} switches of {PORTS} ports, {count} lines\n"
        f"  stock TextFSM, five kinds of line                 {count / stock_time:9.0f} lines/s\n"
        f"  whole read with evidence, nothing remembered      {count / whole_time:9.0f} lines/s\n"
        f"  whole read with evidence, lines seen before       {count / again_time:9.0f} lines/s"
    )
    mine = {
        (int(device.name.removeprefix("ACC-")), port.name, str(port.pvid.value))
        for device in reading.devices
        for port in device.bridge_ports.values()
        if port.name.startswith("Gigabit")
    }
    assert mine == theirs


if __name__ == "__main__":
    test_reading_beside_stock_textfsm()
