"""site.yaml: every key is read as written, and whatever is not right is one error with file, line and nearest name."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from closets import declared, folder

from vlancheck import vids
from vlancheck.dot1q.model import DeviceKind
from vlancheck.dot1q.tags import C_TAG, S_TAG, Tag, parse_frame
from vlancheck.errors import SiteError
from vlancheck.site.declaration import read_declaration
from vlancheck.site.frames import SAME

FULL = """
site: Invented yard, hut 3
devices:
  SORT-1: {dialect: cisco_ios}
  ONU-1: {kind: carrier-box, owner: carrier, ports: {lan1: {service: metro, map: {0881: 310}, origin: letter}}}
  PBX-1: {kind: host, frames: [320, 0, untagged]}
links:
  - ["SORT-1:24", "ONU-1:lan1"]
handoffs:
  - {at: "SORT-1:24", carrier: metro, untagged: refused, circuit: "EX-0001", max-frame: 1522}
  - "SORT-1:23"
services:
  - {name: Records, tag: 0310, enters: "SORT-1:24", leaves: [{at: "RTR-1:wan1", frame: untagged}]}
  - {name: Voice, tag: "320-325", enters: ["SORT-1:24", "SORT-1:23"], leaves: [{at: "PBX-1:eth0", frame: same}]}
  - {name: Tunnel, tag: s100, inner: all, enters: "SORT-1:24", leaves: ["EDGE-1:2"], apart: yes}
  - {name: Stack, tag: 100.310, inner: [10, 20-29], enters: "SORT-1:24", leaves: ["EDGE-1:3"]}
vlans:
  - {vid: 20, name: phones, reaches: ["ACC-1:1-12", {at: "ACC-1:13", frame: untagged}], never: ["SORT-1:24"], only: on}
  - {vid: 30}
expected:
  - {at: "PANEL-B:07", gains: 20, why: phone ordered with the move}
  - {at: "PANEL-B:08", loses: untagged, becomes: {20: 30}}
  - {at: "PANEL-B:09", becomes: s20.30}
holds:
  - {at: "PANEL-B:11", why: fire alarm dialler, owner: building services}
  - "PANEL-B:12"
"""


def test_every_key_is_read(tmp_path: Path) -> None:
    """Numbers have leading zeros, stacks have dots, and words are words."""
    site = declared(tmp_path / "s", FULL)

    assert site.name == "Invented yard, hut 3"
    onu, pbx = site.devices["ONU-1"], site.devices["PBX-1"]
    assert (onu.kind, onu.owner) == (DeviceKind.CARRIER_BOX, "carrier")
    assert (onu.carrier_ports["lan1"].rows, onu.carrier_ports["lan1"].said) == ({881: 310}, "letter")
    assert pbx.frames == (parse_frame("320"), parse_frame("0"), ())
    first, second = site.handoffs
    assert (first.at, first.circuit, first.untagged, first.max_frame) == ("SORT-1:24", "EX-0001", "refused", 1522)
    assert (second.at, second.circuit, second.max_frame) == ("SORT-1:23", "", None)
    records, voice, tunnel, stack = site.services
    assert records.tag.only == (Tag(C_TAG, 310),)
    assert [ending.frame for ending in records.leaves] == [()]
    assert voice.tag.vids == vids.parse("320-325")
    assert voice.tag.only is None
    assert [value.text for value in voice.enters] == ["SORT-1:24", "SORT-1:23"]
    assert voice.leaves[0].frame is SAME
    assert tunnel.tag.only == (Tag(S_TAG, 100),)
    assert tunnel.inner is not None
    assert tunnel.inner.every
    assert (tunnel.apart, tunnel.leaves[0].frame) == (True, None)
    assert stack.tag.only == parse_frame("100.310")
    assert stack.inner is not None
    assert vids.text(stack.inner.vids) == "10,20-29"
    phones, bare = site.vlans
    assert [(ending.at, ending.frame, ending.by_vid) for ending in phones.reaches] == [
        ("ACC-1:1-12", (Tag(C_TAG, 20),), True),
        ("ACC-1:13", (), False),
    ]
    assert (phones.only, [value.text for value in phones.never], bare.reaches) == (True, ["SORT-1:24"], ())
    gains, loses, becomes = site.expected
    assert gains.gains is not None
    assert (gains.gains.only, gains.why) == (parse_frame("20"), "phone ordered with the move")
    assert loses.loses is not None
    assert (loses.loses.only, loses.becomes) == ((), ((parse_frame("20"), parse_frame("30")),))
    assert becomes.becomes == ((None, parse_frame("s20.30")),)
    assert [(hold.at, hold.why, hold.owner) for hold in site.holds] == [
        ("PANEL-B:11", "fire alarm dialler", "building services"),
        ("PANEL-B:12", "", ""),
    ]


def test_values_know_their_line(tmp_path: Path) -> None:
    """The origin of a service's ending is its line of site.yaml."""
    site = declared(tmp_path / "s", FULL)
    origin = site.services[0].leaves[0].where.origins[0]

    assert (origin.kind, origin.line, origin.file) == ("site", 13, "site.yaml")
    assert origin.text.startswith("- {name: Records")


def test_scalars_keep_their_meaning(tmp_path: Path) -> None:
    """YAML types nothing: off, 3:15, 0x10, 1e3 and a date are the words that were written."""
    site = declared(
        tmp_path / "s",
        """
        site: off
        links:
          - [SW:3:15, 0x10:1e3]
        handoffs: [2026-03-14:1]
        """,
    )

    assert site.name == "off"
    assert (site.links[0].one, site.links[0].other) == ("SW:3:15", "0x10:1e3")
    assert site.handoffs[0].at == "2026-03-14:1"


def test_all_is_every_frame(tmp_path: Path) -> None:
    """`all` is untagged, priority-tagged and VID 1 to 4094, and no stack."""
    text = "services: [{name: a, tag: [all, s5], enters: 'A:1', leaves: ['B:1']}]"
    tag = declared(tmp_path / "s", text).services[0].tag

    assert len(list(tag.frames())) == 4097
    assert () in tag
    assert parse_frame("0") in tag
    assert parse_frame("4094") in tag
    assert parse_frame("s5") in tag
    assert parse_frame("s6") not in tag


@pytest.mark.parametrize(
    ("text", "line", "message", "hint"),
    [
        ("site: a\n\tlinks: []\n", 2, "a tab stands", "use blanks"),
        ("site: a\nsite: b\n", 2, "'site' stands here and on line 1", "keep one"),
        ("site: a\nservises: []\n", 2, "no key 'servises'", "nearest: services"),
        ("site: [a]\n", 1, "`site` is a list where a word belongs", ""),
        ("devices: [A]\n", 1, "`devices` is a list where a map belongs", "key: value"),
        ("devices:\n  A: {kind: swich}\n", 2, "no kind 'swich'", "known: bridge"),
        ("devices:\n  A: {knd: host}\n", 2, "no key 'knd'", "nearest: kind"),
        ("devices:\n  A: {kind: host, ports: {lan1: {}}}\n", 2, "says what a carrier-box passes", "links"),
        ("devices:\n  A: {kind: router, frames: [5]}\n", 2, "`frames` is for a host", ""),
        ("devices:\n  A: {kind: host}\n  a: {kind: host}\n", 3, "case alone", "keep one"),
        ("devices:\n  'A:1': {kind: host}\n", 2, "no name for a device", "colon"),
        ("devices:\n  A: {kind: carrier-box, ports: {1: {map: {881: 4095}}}}\n", 2, "'4095'; it is a number", ""),
        ("devices:\n  A: {kind: carrier-box, ports: {1: {map: {750: 1, 0750: 2}}}}\n", 2, "750 is mapped twice", ""),
        ("devices:\n  A: {kind: carrier-box, ports: {1: {map: {750: 1, 751: 1}}}}\n", 2, "become 1 at 1", ""),
        ("links: [['A:1']]\n", 1, "two ends, this one has 1", "ONU-1"),
        ("links: {A: B}\n", 1, "`links` is a map where a list belongs", "- item"),
        ("handoffs: [{carrier: x}]\n", 1, "a handoff has no `at`", "DEVICE:PORT"),
        ("handoffs: [{at: 'A:1', untagged: maybe}]\n", 1, "`untagged` is 'maybe'", "refused or accepted"),
        ("handoffs: [{at: 'A:1', max-frame: 9999999999999999999999}]\n", 1, "number from 64 to 16384", ""),
        ("services: [{tag: 5, enters: 'A:1', leaves: ['B:1']}]\n", 1, "a service has no `name`", "name:"),
        ("services: [{name: a, enters: 'A:1', leaves: ['B:1']}]\n", 1, "has no `tag`", "VID"),
        ("services: [{name: a, tag: 4095, enters: 'A:1', leaves: ['B:1']}]\n", 1, "VID 1 to 4094", ""),
        ("services: [{name: a, tag: 0, enters: 'A:1', leaves: ['B:1']}]\n", 1, "VID 0 names no VLAN", "untagged"),
        ("services: [{name: a, tag: 20-10, enters: 'A:1', leaves: ['B:1']}]\n", 1, "'20-10'", "upward"),
        ("services: [{name: a, tag: 10-4095, enters: 'A:1', leaves: ['B:1']}]\n", 1, "'10-4095'", "1 to 4094"),
        ("services: [{name: a, tag: 3:15, enters: 'A:1', leaves: ['B:1']}]\n", 1, "'3:15' is no tag", "100.310"),
        ("services: [{name: a, tag: 5, enters: 'A:1', leaves: [{at: 'B:1', frame: 4095}]}]\n", 1, "1 to 4094", ""),
        (
            "services: [{name: a, tag: 5, enters: 'A:1', leaves: ['B:1'], apart: maybe}]\n",
            1,
            "'maybe'",
            "true or false",
        ),
        (
            "services:\n  - {name: a, tag: 5, enters: 'A:1', leaves: ['B:1']}\n"
            "  - {name: a, tag: 6, enters: 'A:1', leaves: ['B:1']}\n",
            3,
            "'a' on line 2 already",
            "name of its own",
        ),
        ("vlans: [{name: x}]\n", 1, "a VLAN has no `vid`", "number"),
        ("vlans: [{vid: 4095}]\n", 1, "'4095'", ""),
        ("vlans: [{vid: 5, only: true}]\n", 1, "`only` makes the list", ""),
        ("expected: [{at: 'A:1', why: x}]\n", 1, "says what changes", "gains: 20"),
        ("expected: [{at: 'A:1', becomes: {20: 4095}}]\n", 1, "1 to 4094", ""),
        ("holds: [{why: x}]\n", 1, "a hold has no `at`", "jack"),
        ("renamed: {as-lft: {A: B}}\n", 1, "a survey 'as-lft' that is none", "known: as-found"),
        ("renamed: {as-found: {A: 'B:1'}}\n", 1, "A becomes B:1", "a device becomes a device"),
        ("renamed: {as-found: {'A:1': 'B:1', 'A:2': 'b:1'}}\n", 1, "A:1 and A:2 both become", "two new ports"),
        ("renamed: {as-found: {A: B, a: C}}\n", 1, "renamed on line 1 already", "keep one"),
        ("renamed: {as-found: map.csv}\n", 1, "no file map.csv", "old and new"),
        ("surveys: {as-found: {captures: nowhere}}\n", 1, "nowhere, which does not exist", "paths start in"),
        ("surveys: {as-found: {patching: p.csv}}\n", 1, "p.csv, which does not exist", ""),
        ("surveys: {as-found: {taken: yesterday}}\n", 1, "`taken` is 'yesterday'", "2026-03-14 22:40"),
        ("surveys: {as-found: {taken: 2026-02-30 10:00}}\n", 1, "day is out of range", ""),
        ("surveys: {as-found: {photos: x}}\n", 1, "no key 'photos'", "patching"),
        ("links: &a [*a]\n", 1, "an alias contains itself", ""),
        ("- a\n", 1, "the file is a list where a map belongs", ""),
        ("site: 'a\n", 1, "this is not YAML", "quotes"),
        ("site: a\n---\nsite: b\n", 2, "this is not YAML", ""),
        ("site: \x07\n", 1, "this is not YAML", "plain text"),
    ],
)
def test_what_is_not_right_is_one_error_with_its_line(
    tmp_path: Path, text: str, line: int, message: str, hint: str
) -> None:
    """What, file, line and what to do."""
    root = folder(tmp_path / "s", text)
    with pytest.raises(SiteError) as caught:
        read_declaration(root)

    assert message in caught.value.message
    assert hint in caught.value.hint
    assert (caught.value.file, caught.value.line) == (os.path.join(str(root), "site.yaml"), line)


@pytest.mark.parametrize("text", ["", "   \n\n", "# only a remark\n"])
def test_a_declaration_that_declares_nothing_is_an_error(tmp_path: Path, text: str) -> None:
    """An empty file is no declaration; the hint says the least that is one."""
    root = folder(tmp_path / "s", text)
    with pytest.raises(SiteError, match=r"empty|blanks|declares nothing") as caught:
        read_declaration(root)
    assert "site: NAME" in caught.value.hint


def test_deep_nesting_is_an_error(tmp_path: Path) -> None:
    """Neither the YAML library nor the reading of its nodes runs out of stack."""
    root = folder(tmp_path / "s", "links: " + "[" * 20000)
    with pytest.raises(SiteError):
        read_declaration(root)
    root = folder(tmp_path / "s", "links: " + "[" * 5000 + "]" * 5000)
    with pytest.raises(SiteError):
        read_declaration(root)


def test_aliases_are_shared_and_do_not_blow_up(tmp_path: Path) -> None:
    """Twenty doublings of a list stand for a million items, and are one error soon."""
    lines = ["a0: &a0 [x, x]"] + [f"a{n}: &a{n} [*a{n - 1}, *a{n - 1}]" for n in range(1, 24)]
    root = folder(tmp_path / "s", "links:\n" + "\n".join(f"  - {line}" for line in lines) + "\n")
    with pytest.raises(SiteError, match="where a list belongs"):
        read_declaration(root)


def test_a_site_that_is_no_folder_with_a_declaration(tmp_path: Path) -> None:
    """A file, a missing folder, an empty folder, and a folder where the file belongs: each says which it is."""
    (tmp_path / "file").write_text("x", encoding="utf-8")
    (tmp_path / "empty").mkdir()
    (tmp_path / "odd" / "site.yaml").mkdir(parents=True)
    for name, message in (
        ("file", "is a file; a site is a folder"),
        ("missing", "does not exist"),
        ("empty", "there is no site.yaml here"),
        ("odd", "site.yaml is a folder here"),
    ):
        with pytest.raises(SiteError, match=message) as caught:
            read_declaration(tmp_path / name)
        assert caught.value.file == str(tmp_path / name)
        assert caught.value.hint


def test_a_binary_declaration_is_an_error(tmp_path: Path) -> None:
    """The words are of a declaration, not of a capture."""
    root = folder(tmp_path / "s")
    (root / "site.yaml").write_bytes(b"PK\x03\x04rest")
    with pytest.raises(SiteError, match="zip") as caught:
        read_declaration(root)
    assert "capture" not in caught.value.hint


def test_reading_writes_nothing(tmp_path: Path) -> None:
    """A site folder may be read-only: what is in it is the same afterwards."""
    root = folder(tmp_path / "s", FULL, {"as-found.csv": "From,To\nA:1,B:1\n"})
    before = sorted((path, path.stat().st_mtime_ns) for path in root.rglob("*"))
    read_declaration(root)
    assert sorted((path, path.stat().st_mtime_ns) for path in root.rglob("*")) == before


def test_windows_text_is_read(tmp_path: Path) -> None:
    """A declaration saved as Windows-1252, or with a byte-order mark, says the same."""
    root = folder(tmp_path / "s")
    (root / "site.yaml").write_bytes("site: Café\r\n".encode("cp1252"))
    assert read_declaration(root).name == "Café"
    (root / "site.yaml").write_bytes("\ufeffsite: Café\r\n".encode())
    assert read_declaration(root).name == "Café"
