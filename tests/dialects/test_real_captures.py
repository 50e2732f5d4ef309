"""Real text, where a folder of it is at hand: nothing crashes, and tables say what the library's parse of them says.

The folder is named by VLANCHECK_CAPTURES, else `shared/captures` beside the checkout; in it, one folder a family.
Where our reading of a table and the parse of ntc-templates differ, the difference stands in
`real_captures_differences.txt` beside this file, with the reason.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from vlancheck import vids
from vlancheck.capture import Line, Section, load
from vlancheck.errors import VlancheckError
from vlancheck.evidence import Cover
from vlancheck.reader import Reading, dialect_names, load_dialect, read
from vlancheck.reader.reading import source_of

ROOT = Path(os.environ.get("VLANCHECK_CAPTURES") or Path(__file__).parents[3] / "shared" / "captures")
DIFFERENCES = Path(__file__).parent / "real_captures_differences.txt"
pytestmark = pytest.mark.skipif(
    not ROOT.is_dir(), reason="no folder of real captures; name one in VLANCHECK_CAPTURES to run this"
)
FILES = sorted(path for path in ROOT.rglob("*") if path.is_file()) if ROOT.is_dir() else []


def test_every_capture_is_read_without_a_crash() -> None:
    """A file is read, or refused with one clear error."""
    read_at_all = 0
    for file in FILES:
        try:
            reading = read(load([file], root=ROOT))
        except VlancheckError:
            continue
        read_at_all += bool(reading.devices)
    assert read_at_all > 40


def tables() -> Iterator[tuple[str, str, Path]]:
    """Yield family, command and file of every table that we read and the library parses."""
    for family in dialect_names():
        folder = ROOT / family / "networktocode__ntc-templates"
        for one in sorted(folder.iterdir()) if folder.is_dir() else ():
            command = one.name.replace("_", " ")
            if any(word in command for word in ("vlan", "switchport", "mac")):
                yield from ((family, command, file) for file in sorted(one.glob("*.raw")))


def box(family: str, command: str, file: Path) -> Reading | None:
    """Return what is read of one table; None where the family has no source for its command."""
    text = file.read_text(encoding="utf-8", errors="replace").split("\n")
    section = Section(file.name, "SW", command, tuple(Line(n, line) for n, line in enumerate(text, 1)), Line(0, ""))
    if source_of(load_dialect(family), section) is None:
        return None
    return read([section], names={file.name: "SW"}, dialects={"SW": family})


def told() -> dict[str, str]:
    """Return the differences that are known, and why: FILE: difference -> reason."""
    rows = [line.split("  # ", 1) for line in DIFFERENCES.read_text(encoding="utf-8").splitlines() if line[:1] != "#"]
    return {row[0]: row[1] for row in rows if len(row) == 2}


def test_tables_say_what_the_library_parses() -> None:
    """VLAN tables, switchport states and addresses, item by item."""
    from ntc_templates.parse import parse_output

    found: list[str] = []
    compared = 0
    for family, command, file in tables():
        if (reading := box(family, command, file)) is None:
            continue
        try:
            theirs = parse_output(platform=family, command=command, data=file.read_text("utf-8", errors="replace"))
        except Exception as error:  # the library has no template of this command
            found.append(f"{file.name}: no parse ({type(error).__name__})")
            continue
        compared += 1
        found += [f"{file.name}: {one}" for one in differences(command, reading, theirs)]
    assert compared >= 20
    known = told()
    assert sorted(set(found) - set(known)) == []
    assert sorted(set(known) - set(found)) == [], "a difference that is no longer there"


def differences(command: str, reading: Reading, theirs: list[dict[str, Any]]) -> Iterator[str]:
    """Yield what one of the two readings of a table has and the other has not."""
    gathered = reading.gathered["SW"]
    (device,) = reading.devices
    if "switchport" in command:
        mine = {
            (name, str(port.shown.bridge_port.pvid.value), vids.text(port.shown.bridge_port.member.sure & vids.WIRE))
            for name, port in device.ports.items()
            if port.shown
        }
        for row in theirs:
            name = gathered.dialect.canonical(row["interface"])
            if "egress_rule" in row:  # one row a VLAN, whatever the mode
                want = name, str(row["native_vlan"]), vids.text(vids.of(map(int, row["vlan_id"])))
            elif row["mode"].split(" (")[0] in ("static access", "access", "trunk"):
                want = name, *_carried(row)
            else:
                continue
            if want not in mine:
                have = [one[1:] for one in mine if one[0] == name]
                yield f"{name} is {have}, the library has {want[1:]}"
    elif "mac" in command:
        mine_macs = {(one.mac, one.vid) for port in device.ports.values() for one in port.seen}
        theirs_macs = {_address(row) for row in theirs if "dynamic" in str(row.get("type", "dynamic")).casefold()}
        yield from (f"{mac} in {vid} is not read" for mac, vid in sorted(theirs_macs - mine_macs, key=str))
        yield from (f"{mac} in {vid} is not parsed" for mac, vid in sorted(mine_macs - theirs_macs, key=str))
    else:
        cover = next((gathered.facts.device.facts[one] for one in _SETS if one in gathered.facts.device.facts), None)
        mine_vids = vids.text(cover.sure) if isinstance(cover, Cover) else "none"
        usable = [row for row in theirs if "unsup" not in str(row.get("status", ""))]
        numbers = [str(row["vlan_id"] if "vlan_id" in row else row["tag"]) for row in usable]
        theirs_vids = vids.text(vids.of(int(number) for number in numbers if number.isdecimal()))
        if mine_vids != theirs_vids:
            yield f"VLANs {mine_vids}, the library has {theirs_vids}"


_SETS = ("shown-vlans", "vlans", "listed-vlans")


def _carried(row: dict[str, Any]) -> tuple[str, str]:
    """Return PVID and VLANs of a port, from the library's columns."""
    listed = row["trunking_vlans"] if isinstance(row["trunking_vlans"], list) else [row["trunking_vlans"]]
    allowed = vids.parse(",".join("1-4094" if one in ("ALL", "all") else one.lower() for one in listed) or "none")
    if row["native_vlan"] == "None":
        return "None", vids.text(allowed)
    if "trunk" in row["mode"]:
        native = int(row["native_vlan"] or 1)
        return str(native if allowed >> native & 1 else None), vids.text(allowed)
    access, voice = int(row.get("access_vlan", row["native_vlan"])), row.get("voice_vlan", "none")
    return str(access), vids.text(1 << access | (1 << int(voice) if str(voice).isdecimal() else 0))


def _address(row: dict[str, Any]) -> tuple[str, int | None]:
    mac = row.get("destination_address") or row.get("mac_address") or row.get("mac")
    digits = "".join(one for one in str(mac).lower() if one in "0123456789abcdef")
    vid = str(row.get("vlan_id", ""))
    return ":".join(digits[at : at + 2] for at in range(0, 12, 2)), int(vid) if vid.isdecimal() else None
