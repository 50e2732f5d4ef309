"""Reading text with evidence, whole, beside stock TextFSM parsing the same lines, in the same run.

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

from .closet import FAMILIES
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


def _anew(sections: list[Section]) -> Reading:
    """Return what the project reads, from numbered lines to devices, with nothing remembered of an earlier run."""
    for name in ("cisco_ios", *FAMILIES):
        for source in load_dialect(name).sources:
            for template in source.templates:
                template.forget()
    return read(sections)


def _section(name: str, text: str) -> Section:
    return Section(f"{name}.txt", "", "", tuple(Line(at, line) for at, line in enumerate(text.split("\n"), 1)), None)


def test_reading_beside_stock_textfsm() -> None:
    """Print lines a second of both, and check that they find the same access ports."""
    texts = [configuration(number) for number in range(SWITCHES)]
    sections = [_section(f"acc-{number}", text) for number, text in enumerate(texts)]
    count = sum(len(section.lines) for section in sections)
    stock_time, theirs = timed(lambda: stock(texts))
    whole_time, reading = timed(lambda: _anew(sections))
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


def test_reading_a_mixed_closet() -> None:
    """Print lines a second over eight families, and family by family; what is asserted is that every line is read."""
    sections: dict[str, list[Section]] = {}
    for family, write in FAMILIES.items():
        names = [f"{family.split('_')[1].upper()}-{number}" for number in range(SWITCHES // 5)]
        sections[family] = [_section(name, "\n".join(write(name))) for name in names]
    together = [section for row in zip(*sections.values(), strict=True) for section in row]
    count = sum(len(section.lines) for section in together)
    spent, reading = timed(lambda: _anew(together))
    print(f"\nreading a closet of {len(sections)} families, {count} lines: {count / spent:9.0f} lines/s")
    for family, mine in sections.items():
        spent, _ = timed(lambda mine=mine: _anew(mine))  # type: ignore[misc]
        print(f"  {family:20} {sum(len(section.lines) for section in mine) / spent:9.0f} lines/s")
    assert {device.dialect for device in reading.devices} == set(FAMILIES)
    assert [line for device in reading.devices for line in device.unread] == []


if __name__ == "__main__":
    test_reading_beside_stock_textfsm()
    test_reading_a_mixed_closet()
