"""A site folder with access switches and panels, made from what a test says of its cords and ports."""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from pathlib import Path

DECLARED = """\
site: Tannery Row, first floor
vlans:
  - {vid: 10, name: desks, reaches: [{at: "PANEL-A:01", frame: untagged}]}
"""
Row = tuple[str, str, str, str]  # panel port, port, what hangs there, note


def switch(name: str, ports: Mapping[int, Sequence[str]], uplink: str = "") -> str:
    """Return the console log of a switch whose ports have the lines given; `uplink` is the list of its port 24."""
    text = "".join(
        f"interface GigabitEthernet1/0/{port}\n" + "".join(f" {line}\n" for line in lines) + "!\n"
        for port, lines in ports.items()
    )
    if uplink:
        text += f"interface GigabitEthernet1/0/24\n switchport mode trunk\n switchport trunk allowed vlan {uplink}\n!\n"
    return (
        f"{name}#show running-config\nhostname {name}\n!\nvtp mode transparent\n!\nvlan 10,20,30\n!\n"
        f"{text}end\n{name}#\n"
    )


def access(vid: int, *more: str) -> tuple[str, ...]:
    """Return the lines of an access port."""
    return ("switchport mode access", f"switchport access vlan {vid}", *more)


def write(root: Path, logs: Mapping[str, str], rows: Sequence[Row], declared: str = DECLARED) -> Path:
    """Write a site with one survey and return its folder."""
    (root / "captures/as-found").mkdir(parents=True)
    for name, text in logs.items():
        (root / f"captures/as-found/{name}.txt").write_text(text, encoding="utf-8")
    (root / "patching").mkdir()
    with (root / "patching/as-found.csv").open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file)
        out.writerow(("From", "To", "Cord label", "Serves", "Note"))
        out.writerows((one, other, f"C-{n:02}", serves, note) for n, (one, other, serves, note) in enumerate(rows))
    (root / "site.yaml").write_text(declared, encoding="utf-8")
    return root


def long_cords(root: Path) -> Path:
    """Write a site whose cords cross the whole width of the cabinet, and may be shorter."""
    rows = [(f"PANEL-A:{n:02}", f"ACC-1:{23 - n}", f"PC desk {n}", "") for n in range(1, 9)]
    log = switch("ACC-1", {port: access(10, "spanning-tree portfast") for port in range(1, 24)})
    return write(root, {"acc-1": log}, rows, DECLARED + "cabinet: {PANEL-A: 12, ACC-1: 11}\n")
