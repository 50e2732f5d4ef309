"""Small sites for reports: texts in jot that are judged, and a folder with captures before and after a rebuild."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from checks.test_manual import BEFORE, jot, sections

from vlancheck.changes.ways import beside, with_ways
from vlancheck.checks import checks, run
from vlancheck.notation import parse
from vlancheck.notation.judged import case, side_of
from vlancheck.outcome import FileRead, Report, Sort
from vlancheck.verdicts.course import followed

EVERY_STATE = """
bridge SORT-1 exists=10,310,320,330,340,350
port SORT-1:24 member=310,320,330,340,350
port SORT-1:1 pvid=310 member=310 untagged=310
port SORT-1:2 pvid=310 member=310 untagged=310
port SORT-1:3 pvid=330 member=330
port SORT-1:4 pvid=350 member=350 untagged=350
port SORT-1:8 pvid=1 member=1-4094 untagged=1
port SORT-1:9 pvid=1 member=1-4094 untagged=1
port SORT-1:5 doubt=yes pvid=340 member=340 untagged=340
port SORT-1:Vlan350 kind=inside pvid=350 member=350 untagged=350
setting SORT-1 "address:Vlan350"=192.0.2.1
handoff SORT-1:24
service lab 310 at SORT-1:24 -> SORT-1:1 untagged, SORT-1:2 untagged
apart lab
service dropped 320 at SORT-1:24 -> SORT-1:1 untagged
service mismatched 330 at SORT-1:24 -> SORT-1:3 untagged
service unproven 340 at SORT-1:24 -> SORT-1:5 untagged
service exposed 350 at SORT-1:24 -> SORT-1:4 untagged
empty SORT-1:8
unseen SORT-1:9
"""

SEEN = """
bridge ACC-1 exists=10,20
port ACC-1:1 pvid=10 member=10 untagged=10
port ACC-1:2 pvid=20 member=20 untagged=20
serves ACC-1:1 PC reception
serves ACC-1:2 camera stairs
"""  # what each of two surveys shows behind the ports comes after it

HOSTILE_SITE = """
bridge sw1 exists=10,20
port sw1:1 member=10,20
port sw1:2 pvid=10 member=10 untagged=10
port "sw1:WORDS" pvid=20 member=20 untagged=20
unread sw1:2 text="WORDS" why="WORDS" matters=yes
handoff sw1:1
service "WORDS" 10 at sw1:1 -> sw1:2 untagged
service second 20 at sw1:1 -> "sw1:WORDS" untagged
"""  # texts come from names and lines: WORDS stands for one that is hostile

LOOP = """
bridge A exists=10
port A:1 pvid=10 member=10 untagged=10
port A:2 member=10
port A:3 member=10
bridge B exists=10
port B:2 member=10
port B:3 member=10
link A:2 B:2
link A:3 B:3
vlan 10 -> A:1 untagged
"""

ONE_WAY = """
bridge A exists=10
port A:1 pvid=10 member=10 untagged=10
port A:2 member=10 admit=none
bridge B exists=10
port B:1 member=10
port B:2 pvid=10 member=10 untagged=10
link A:2 B:1
handoff A:1
service line untagged at A:1 -> B:2 untagged
"""

ACCEPTED = """\
port A:1 pvid=10 member=10 untagged=10
port A:2 pvid=10 member=10 untagged=10
vlan 10 -> A:1 untagged, A:2 untagged
setting A unsaved:1=yes
accepted U103 A:1 by="A. Example" why="until Monday" until=2026-03-31
"""

DECLARATION = """\
site: Ferry office, rear closet

devices:
  ONU-1: {kind: carrier-box, owner: carrier, ports: {lan1: {service: metro, map: {881: 310}, origin: letter}}}
  DESKSW: {kind: unmanaged}
  PANEL-A: {kind: panel}

handoffs:
  - {at: "SORT-1:Gi0/1", carrier: metro, circuit: FO-0001}

services:
  - {name: Booking line, tag: 310, enters: FO-0001, leaves: [{at: "ACC-1:Gi0/3", frame: untagged}]}
  - {name: Ticket line, tag: 320, enters: FO-0001, leaves: [{at: "PANEL-A:04", frame: untagged}]}

vlans:
  - {vid: 20, name: desks, reaches: [{at: "PANEL-A:01-03", frame: untagged}], never: [FO-0001]}

holds:
  - {at: "PANEL-A:02", why: lift telephone, owner: lift company}
"""

SHEET = """\
From,To,Cord,Serves
ONU-1:lan1,SORT-1:Gi0/1,C-1,
SORT-1:Gi0/2,ACC-1:Gi0/1,C-2,
ACC-1:Gi0/2,PANEL-A:01,C-3,PC one
ACC-1:{lift},PANEL-A:02,C-4,lift telephone
ACC-1:Gi0/6,PANEL-A:03,C-5,PC two
ACC-1:Gi0/3,PANEL-A:05,C-6,booking server
SORT-1:Gi0/4,PANEL-A:04,C-7,ticket printer
"""

CAPTURE = """\
{name}#show running-config
hostname {name}
!
vtp mode transparent
!
vlan 20,310,320
!
{ports}end
{name}#
"""


SHOWN = """\
show mac address-table
Vlan    Mac Address       Type        Ports
----    -----------       --------    -----
  20    0200.5e00.0001    DYNAMIC     Gi0/2
 310    0200.5e00.0001    DYNAMIC     Gi0/1
ACC-1#show lldp neighbors
Device ID           Local Intf     Hold-time  Capability      Port ID
SORT-1              Gi0/1          120        B               Gi0/2
ACC-1#
"""


def write_closet(folder: Path) -> Path:
    """Write a site with two surveys into `folder` and return it: in the later one a tag and a desk are lost."""
    before = {"SORT-1": _sort(), "ACC-1": _acc(lift="Gi0/4", allowed="20,310")}
    after = {"SORT-1": _sort(odd=" switchport vlan frobnicate 320\n"), "ACC-1": _acc(lift="Gi0/5", allowed="20")}
    (folder / "patching").mkdir(parents=True)
    (folder / "site.yaml").write_text(DECLARATION, encoding="utf-8")
    for survey, lift, texts in (("as-found", "Gi0/4", before), ("as-left", "Gi0/5", after)):
        (folder / f"patching/{survey}.csv").write_text(SHEET.format(lift=lift), encoding="utf-8")
        (folder / f"captures/{survey}").mkdir(parents=True)
        for name, text in texts.items():
            (folder / f"captures/{survey}/{name}.txt").write_text(text, encoding="utf-8")
    return folder


def open_closet(folder: Path) -> Path:
    """Write a site of which much is open into `folder`: a switch without its VLANs, a box without captures."""
    (folder / "captures/as-found").mkdir(parents=True)
    (folder / "captures/as-found/ACC-3.txt").write_text(
        "ACC-3#show running-config\nhostname ACC-3\n!\n"
        + _access("Gi0/1", 20)
        + _access("Gi0/2", 20)
        + _trunk("Gi0/3", "20,30")
        + "end\nACC-3#\n",
        encoding="utf-8",
    )
    (folder / "patching").mkdir()
    (folder / "patching/as-found.csv").write_text(
        "from,from port,to,to port\nACC-3,Gi0/3,FAR-1,1\nFAR-1,2,DESK-9,\n", encoding="utf-8"
    )
    (folder / "site.yaml").write_text(
        "site: open closet\n"
        "vlans:\n"
        "  - {vid: 20, name: desks, reaches: "
        '[{at: "ACC-3:Gi0/1", frame: untagged}, {at: "ACC-3:Gi0/2", frame: untagged}]}\n'
        '  - {vid: 30, name: far, reaches: [{at: "ACC-3:Gi0/3", frame: 30}, {at: "FAR-1:2", frame: 30}]}\n',
        encoding="utf-8",
    )
    return folder


def _sort(odd: str = "") -> str:
    ports = _trunk("Gi0/1", "310,320") + _trunk("Gi0/2", "20,310,320") + _access("Gi0/4", 320, odd)
    return CAPTURE.format(name="SORT-1", ports=ports)


def _acc(lift: str, allowed: str) -> str:
    ports = _trunk("Gi0/1", allowed) + _access("Gi0/2", 20) + _access("Gi0/3", 310) + _access("Gi0/6", 20)
    return CAPTURE.format(name="ACC-1", ports=ports + _access(lift, 20)).removesuffix("\n") + SHOWN


def _trunk(port: str, allowed: str) -> str:
    return f"interface {port}\n switchport mode trunk\n switchport trunk allowed vlan {allowed}\n!\n"


def _access(port: str, vid: int, odd: str = "") -> str:
    return f"interface {port}\n switchport mode access\n switchport access vlan {vid}\n{odd}!\n"


def report(text: str, before: str = "", site: str = "a site", file: str = "site.jot") -> Report:
    """Return the report on a text in jot, after an earlier one where there is one."""
    judged = case(parse(text, file=file), parse(before, file=f"before-{file}") if before else None)
    verdicts, comparison = judged.verdicts, judged.comparison
    if comparison is not None and (was := judged.earlier) is not None:
        sides = side_of(was), side_of(judged)
        verdicts = tuple(beside(sides[0], was.verdicts, sides[1], verdicts))
        comparison = with_ways(comparison, *sides)
    return Report(
        site=site,
        survey="as-left" if before else "as-found",
        verdicts=tuple(followed(judged.ground, one) for one in verdicts),
        findings=run(judged),
        devices=judged.devices,
        before="as-found" if before else "",
        comparison=comparison,
        moves=judged.moves,
    )


def reports() -> Iterator[tuple[str, Report]]:
    """Yield reports by name: the sites above, and both examples of every check's manual page."""
    yield "every state", report(EVERY_STATE)
    yield "a loop", report(LOOP)
    yield "one way", report(ONE_WAY)
    yield "seen elsewhere", report(f"{SEEN}hears ACC-1:2 02:00:5e:00:00:01", f"{SEEN}hears ACC-1:1 02:00:5e:00:00:01")
    yield "accepted", report(ACCEPTED)
    yield "nothing declared", report("port A:1 pvid=1 member=1 untagged=1")
    for check in checks():
        page = sections(check)
        before = jot(page[BEFORE]) if BEFORE in page else ""
        for heading in ("Example", "Instead"):
            yield f"{check.code} {heading}", report(jot(page[heading]), before)


def hostile_report(words: str) -> Report:
    """Return a verification in which `words` stand wherever a user's text may."""
    quoted = words.replace("\\", "\\\\").replace('"', '\\"')
    before = HOSTILE_SITE.replace("WORDS", quoted)
    after = before.replace("pvid=20 member=20 untagged=20", "pvid=10 member=10 untagged=10")
    made = report(after, before, site=words, file=words)
    assert made.findings
    assert made.comparison is not None
    assert made.comparison.causes
    files = (FileRead(words, words, Sort.CAPTURE, (words,), 3, 1, 1, 1, words, "0" * 64),)
    return replace(made, notes=(words,), not_seen=(words,), before=words, survey=words, files=files)
