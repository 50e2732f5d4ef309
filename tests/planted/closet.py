"""One invented closet, written as six families write it, and the faults that are planted in its texts."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from vlancheck import open_site
from vlancheck.outcome import Report
from vlancheck.pipeline import Site

HERE = Path(__file__).parent
FAMILIES = ("cisco_ios", "arista_eos", "hp_procurve", "juniper_junos", "hp_comware", "aruba_aoscx")
DECLARED = """\
site: Toll-keeper's house
surveys:
  as-found: {captures: captures/as-found, patching: patching/as-found.csv}
  as-planned: {captures: captures/as-found, patching: patching/as-found.csv, edits: edits}
devices:
  NID:
    kind: carrier-box
    owner: carrier
    ports:
      lan1:
        service: metro
        origin: letter
        map: {881: 310}
  WAN: {kind: host}
  LAN1: {kind: panel}
links:
  - ["CORE.up", "ACC.up"]
  - ["CORE.rtr", "RTR.lan"]
  - ["CORE.wan", "WAN:eth0"]
  - ["CORE.metro", "NID:lan1"]
handoffs:
  - at: "CORE.metro"
    carrier: metro
    circuit: TK-7
    phone: 555-0142
    nid-port: "NID:lan1"
    untagged: refused
    l2cp: discarded
services:
  - {name: Records, tag: 310, enters: TK-7, leaves: [{at: "WAN:eth0", frame: untagged}]}
vlans:
  - vid: 10
    name: desks
    reaches: [{at: "RTR.lan", frame: 10}, {at: "LAN1:01-02", frame: untagged}]
    never: [TK-7]
  - vid: 20
    name: phones
    reaches: [{at: "RTR.lan", frame: 20}, {at: "LAN1:01", frame: 20}]
    never: [TK-7]
  - vid: 30
    name: doors
    reaches: [{at: "RTR.lan", frame: 30}, {at: "LAN1:03-04", frame: untagged}]
    never: [TK-7]
holds:
  - {at: "LAN1:04", why: intercom of the gate, owner: porter}
"""
SHEET = """\
From,To,Cord,Serves
LAN1:01,ACC.desk,C-1,phone and PC
LAN1:02,ACC.pc,C-2,PC
LAN1:03,ACC.cam,C-3,camera
LAN1:04,ACC.door,C-4,intercom
"""
Edit = tuple[str, str, str, str]  # file, heading, line, what stands there instead
_UPLINK = '- ["CORE.up", "ACC.up"]'
_ROLE = re.compile(r"\b(CORE|ACC|RTR)\.(\w+)")
_MARK = re.compile(r"<(\w+)>")  # a port, by its role at the box that is edited


@cache
def family(name: str) -> Mapping[str, Any]:
    """Return ports, texts and faults of a family; without a router of its own it has the one of another."""
    found: dict[str, Any] = yaml.safe_load((HERE / f"families/{name}.yaml").read_text(encoding="utf-8"))
    found["texts"].setdefault("RTR", family("cisco_ios")["texts"]["RTR"] if name != "cisco_ios" else "")
    return found


def named(text: str, name: str) -> str:
    """Return a text with every `BOX.role` as the port of a family."""
    ports = family(name)["ports"]
    return _ROLE.sub(lambda found: f"{found[1]}:{ports[found[1]][found[2]]}", text)


def texts(name: str) -> dict[str, str]:
    """Return the files of the clean closet of a family: the captures by box, the declaration and the sheet."""
    return {**family(name)["texts"], "declared": named(DECLARED, name), "sheet": named(SHEET, name)}


def planted(name: str, edits: Iterable[Edit]) -> dict[str, str]:
    """Return the files with lines typed otherwise."""
    found = texts(name)
    for file, under, old, new in edits:
        ports = family(name)["ports"].get(file, {})
        heading = f"interface {ports[under]}" if under in ports else under
        if file.startswith("edits/"):
            ports = family(name)["ports"][file.removeprefix("edits/")]
            found[file] = _here(new, name, ports) + "\n"
            continue
        found[file] = _retyped(found[file], heading, _here(old, name, ports), _here(new, name, ports))
    return found


def _here(text: str, name: str, ports: Mapping[str, str]) -> str:
    """Return a line with every `<role>` as the port of the box that is edited."""
    return _MARK.sub(lambda mark: ports[mark[1]], named(text, name))


def _retyped(text: str, heading: str, old: str, new: str) -> str:
    """Return a text with the line `old` under a heading as `new`, or with all that stands under it gone (`*`)."""
    lines = text.split("\n")
    assert not heading or lines.count(heading) == 1, f"{heading!r} does not stand there once"
    start = lines.index(heading) if heading else -1
    end = next((at for at in range(start + 1, len(lines)) if heading and lines[at][:1] != " "), len(lines))
    if old == "*":
        return "\n".join(lines[:start] + ([new] if new else []) + lines[end:])
    (at,) = (at for at in range(start + 1, end) if lines[at].strip() == old)
    indent = lines[at][: len(lines[at]) - len(lines[at].lstrip())]
    return "\n".join(lines[:at] + [indent + line for line in new.split("\n") if line] + lines[at + 1 :])


def ring(name: str) -> tuple[Edit, ...]:
    """Return what makes a second uplink between the two switches of a family."""
    cord: Edit = ("declared", "", _UPLINK, f'{_UPLINK}\n- ["CORE.up2", "ACC.up2"]')
    return (cord, *map(tuple, family(name)["ring"]))


def bundle(name: str) -> tuple[Edit, ...]:
    """Return what makes the two uplinks of a family one bundle."""
    return (*ring(name), *map(tuple, family(name)["bundle"]))


def written(folder: Path, files: Mapping[str, str]) -> Site:
    """Write the closet and open it."""
    for name in ("captures/as-found", "patching", "edits"):
        (folder / name).mkdir(parents=True)
    (folder / "site.yaml").write_text(files["declared"], encoding="utf-8")
    (folder / "patching/as-found.csv").write_text(files["sheet"], encoding="utf-8")
    for box in ("CORE", "ACC", "RTR"):
        (folder / f"captures/as-found/{box.lower()}.txt").write_text(files[box], encoding="utf-8")
    for file in (one for one in files if one.startswith("edits/")):
        (folder / f"{file}.txt").write_text(files[file], encoding="utf-8")
    return open_site(folder)


@cache
def faults() -> Mapping[str, Any]:
    """Return all faults by name: the check, the place, how it is planted, and what is made of it."""
    found: dict[str, Any] = yaml.safe_load((HERE / "faults.yaml").read_text(encoding="utf-8"))
    return found


@dataclass(frozen=True, slots=True)
class Cell:
    """One fault in one family."""

    edits: tuple[Edit, ...]  # what is typed; () where the family cannot have it
    found: tuple[tuple[str, frozenset[str]], ...]  # code and places of every finding
    mend: str  # as the table of faults has it
    why: str  # why it cannot be planted, or is found as something else; "" neither

    def report(self, site: Site) -> Report:
        """Return the answer about the closet; about lines to be pasted, against what they are typed on."""
        return site.verify("as-found", "as-planned") if self.mend == "unpasted" else site.audit()


def cell(fault: str, name: str) -> Cell:
    """Return one fault in one family."""
    row = faults()[fault]
    said: Any = row.get("edits") or family(name)["faults"].get(fault, "not planted yet")
    if isinstance(said, str):
        return Cell((), (), "", said)
    told = said if isinstance(said, dict) else {"edits": said}
    wanted = told.get("found", [[row["code"], row["at"]]])
    found = tuple((code, frozenset(named(at, name).split())) for code, at in wanted)
    edits = (*(bundle(name) if "bundle" in row else ring(name) if "ring" in row else ()), *map(tuple, told["edits"]))
    return Cell(edits, found, told.get("mend", row["mend"]), told.get("why", ""))


@cache
def elsewhere() -> Mapping[str, str]:
    """Return the checks whose faults are not planted here, and why."""
    groups: list[dict[str, Any]] = yaml.safe_load((HERE / "elsewhere.yaml").read_text(encoding="utf-8"))
    return {code: group["why"] for group in groups for code in group["checks"]}
