"""What was ordered of a carrier, as site.yaml writes it: every field read, every wrong one refused with its line."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from closets import declared, folder

from vlancheck.errors import SiteError
from vlancheck.site.declaration import read_declaration
from vlancheck.site.handoffs import L2cp, L2cpSet, Metro, Mode
from vlancheck.vids import WIRE, parse

WHOLE = """
    site: test
    handoffs:
      - at: "A:1"
        carrier: metro
        circuit: EX-0001
        owner: service desk
        phone: 555-0142
        nid-port: "ONU-1:lan1"
        type: EVP-LAN
        evc: EVC-7
        mode: tagged
        ce-vlans: [0750, 0760-0762]
        preserved: no
        map: {0881: 0750}
        untagged: 0750
        max-frame: 01526
        l2cp: shuts
        l2cp-set: CTB-2
        mac-limit: 250
        ends: [{name: Mill Street, ce-vlans: 750}]
"""


def test_every_field_is_read(tmp_path: Path) -> None:
    """With leading zeros, as a form has them."""
    (one,) = declared(tmp_path / "s", WHOLE).handoffs

    assert (one.carrier, one.circuit, one.owner, one.phone) == ("metro", "EX-0001", "service desk", "555-0142")
    assert (one.nid_port, one.type, one.evc, one.mode) == ("ONU-1:lan1", Metro.EVP_LAN, "EVC-7", Mode.TAGGED)
    assert (one.ce_vlans, one.preserved, dict(one.map)) == (parse("750,760-762"), False, {881: 750})
    assert (one.untagged, one.untagged_as, one.max_frame) == ("accepted", 750, 1526)
    assert (one.l2cp, one.l2cp_set, one.mac_limit) == (L2cp.SHUTS, L2cpSet.CTB_2, 250)
    assert [(end.name, end.ce_vlans) for end in one.ends] == [("Mill Street", 1 << 750)]


@pytest.mark.parametrize(
    ("written", "vids"),
    [
        ("0750", parse("750")),
        ("0750-", parse("750")),
        ("'0750 -'", parse("750")),
        ("0750-0759", parse("750-759")),
        ("'0750 - 0759'", parse("750-759")),
        ("'0001,4094'", parse("1,4094")),
        ("[0750-0752, 0010]", parse("10,750-752")),
        ("all", WIRE),
        ("ALL", WIRE),
    ],
)
def test_ce_vlans_as_a_form_writes_them(tmp_path: Path, written: str, vids: int) -> None:
    """Four digits, a range, a range that is left open, a list, or all of them."""
    (one,) = declared(tmp_path / "s", f"site: a\nhandoffs: [{{at: 'A:1', ce-vlans: {written}}}]\n").handoffs

    assert one.ce_vlans == vids
    assert one.all_to_one is (vids == WIRE)


@pytest.mark.parametrize(
    ("field", "message", "hint"),
    [
        ("ce-vlans: 4095", "no tag carries 4095", "1 to 4094"),
        ("ce-vlans: 0000", "`ce-vlans` is '0000'", "0750"),
        ("ce-vlans: 0759-0750", "'0759-0750'", "upward"),
        ("ce-vlans: 0750-4095", "no tag carries 4095", "ask for it"),
        ("ce-vlans: 07500", "no tag carries 7500", "1 to 4094"),
        ("ce-vlans: 99999999999999", "`ce-vlans` is '99999999999999'", "0750-0759"),
        ("ce-vlans: \u0667\u0665", "`ce-vlans` is", "0750"),
        ("ce-vlans: some", "`ce-vlans` is 'some'", "or all"),
        ("ce-vlans: []", "`ce-vlans` is an empty list", "leave it out"),
        ("ce-vlans: {a: b}", "`ce-vlans` is a map where a word belongs", ""),
        ("mode: trunk", "`mode` is 'trunk'", "tagged, untagged or tunnel"),
        ("type: E-Line", "`type` is 'E-Line'", "EVP-Tree"),
        ("l2cp: eaten", "`l2cp` is 'eaten'", "passed, discarded, peered or shuts"),
        ("l2cp-set: CTC", "`l2cp-set` is 'CTC'", "CTA, CTB or CTB-2"),
        ("preserved: E", "`preserved` is 'E'", "true or false"),
        ("untagged: 4095", "`untagged` is '4095'; it is a number from 1 to 4094", ""),
        ("untagged: some", "`untagged` is 'some'", "the CE-VLAN ID that they get"),
        ("mac-limit: 0", "`mac-limit` is '0'", ""),
        ("map: {881: 4095}", "the VID here is '4095'", ""),
        ("map: {881: 310, 0881: 311}", "881 is mapped twice", "keep one"),
        ("map: {881: 310, 882: 310}", "become 310 here", "one of them"),
        ("ends: [Mill Street]", "an item of `ends` is the word 'Mill Street' where a map belongs", ""),
        ("ends: [{name: Mill Street}]", "the end 'Mill Street' has no `ce-vlans`", "as the order lists"),
        ("ends: [{ce-vlans: 0750}]", "an item of `ends` has no `name`", "other end"),
        ("ends: [{name: a, ce-vlan: 1}]", "an item of `ends` has no key 'ce-vlan'", "ce-vlans"),
        ("cevlans: 0750", "a handoff has no key 'cevlans'", "ce-vlans"),
        ("phone: [1, 2]", "`phone` is a list where a word belongs", ""),
    ],
)
def test_wrong_field_is_one_error_with_its_line(tmp_path: Path, field: str, message: str, hint: str) -> None:
    """What, file, line and what to do."""
    root = folder(tmp_path / "s", f"site: a\nhandoffs:\n  - at: 'A:1'\n    {field}\n")
    with pytest.raises(SiteError) as caught:
        read_declaration(root)

    assert message in caught.value.message
    assert hint in caught.value.hint
    assert (caught.value.file, caught.value.line) == (os.path.join(str(root), "site.yaml"), 4)


def test_several_services_of_one_port_are_several_handoffs(tmp_path: Path) -> None:
    """Each with a circuit of its own."""
    text = "site: a\nhandoffs: [{at: 'A:1', circuit: X-1}, {at: 'A:1', circuit: X-2}, 'A:2']\n"
    assert [one.called for one in declared(tmp_path / "s", text).handoffs] == ["circuit X-1", "circuit X-2", "A:2"]
