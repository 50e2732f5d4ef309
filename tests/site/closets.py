"""Small closets for tests: a folder with a declaration and sheets, switches straight from the model."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path
from textwrap import dedent

from vlancheck import vids
from vlancheck.dot1q.model import NO_TAG, Bridge, BridgePort, Device, DeviceKind, End, Port, TagMatch
from vlancheck.evidence import Cover, Fact, Kind, Origin, assumed
from vlancheck.site.build import Boxes, Elsewhere, build
from vlancheck.site.declaration import Declaration, read_declaration
from vlancheck.site.reading import read_sheet
from vlancheck.site.sheet import Sheet

SAID = assumed("the test says so")


def folder(root: Path, declared: str = "site: test\n", sheets: dict[str, str] | None = None) -> Path:
    """Write a site folder and return it."""
    root.mkdir(exist_ok=True)
    (root / "site.yaml").write_text(dedent(declared), encoding="utf-8")
    for name, text in (sheets or {}).items():
        (root / "patching").mkdir(exist_ok=True)
        (root / "patching" / name).write_text(dedent(text).lstrip("\n"), encoding="utf-8")
    return root


def declared(root: Path, text: str) -> Declaration:
    """Return what a site.yaml of this text declares."""
    return read_declaration(folder(root, text))


def sheet_of(root: Path, text: str) -> Sheet:
    """Return what a patch sheet of this text says."""
    path = root / "sheet.csv"
    path.write_text(dedent(text).lstrip("\n"), encoding="utf-8")
    return read_sheet(path, "sheet.csv")


def closet(
    root: Path,
    text: str,
    sheet: str = "",
    boxes: Iterable[Device] = (),
    *,
    survey: str = "as-found",
    others: Iterable[Device] = (),
    other_sheet: str = "",
    default_port: Callable[[Device, str], Device | None] | None = None,
) -> Boxes:
    """Return the boxes of a closet; `others` and `other_sheet` are of another survey."""
    devices = {device.name: device for device in others}
    sheets = (sheet_of(root, other_sheet),) if other_sheet else ()
    return build(
        declared(root / "site", text),
        boxes,
        sheet_of(root, sheet) if sheet else None,
        survey=survey,
        elsewhere=lambda: Elsewhere(devices, sheets),
        default_port=default_port,
    )


def switch(name: str, ports: int = 24, word: str = "GigabitEthernet1/0/", **links: bool) -> Device:
    """Return a switch that admits every VLAN at every port; `links` are captured link states, `p7=True`."""
    every = Cover.of(vids.WIRE, SAID)
    names = [f"{word}{number}" for number in range(1, ports + 1)]
    made = {port: Port(name=port) for port in names}
    for number, up in links.items():
        port = f"{word}{number.removeprefix('p')}"
        shown = Origin(Kind.SHOW, f"{port} {'up' if up else 'down'}", file="log.txt", line=9)
        made[port] = replace(made[port], link=Fact(up, (shown,)))
    return Device(
        name=name,
        bridges={"": Bridge(exists=Cover.of(vids.EVERY, SAID))},
        ports=made,
        bridge_ports={
            port: BridgePort(
                name=port, port=port, pvid=Fact(1, SAID), admit=every, member=every, untagged=Cover.of(2, SAID)
            )
            for port in names
        },
    )


def router(name: str, *tags: int, port: str = "wan1") -> Device:
    """Return a router with a sub-interface for every tag."""
    ends = {
        f"{port}.{tag}": End(
            name=f"{port}.{tag}", port=port, select=(TagMatch(1 << tag), TagMatch(1 << NO_TAG)), origins=SAID
        )
        for tag in tags
    }
    return Device(name=name, kind=DeviceKind.ROUTER, ports={port: Port(name=port)}, ends=ends)
