"""Sites on which no check of links, VLANs and bundles may say anything, and what is said once a fault is planted."""

import pytest

from checks.planting import planted, told

ROUTER = """
bridge sw1 exists=1,10,20
port sw1:1 member=1,10,20 pvid=1 untagged=1
port sw1:2 member=10 pvid=10 untagged=10
port sw1:3 member=20 pvid=20 untagged=20
device r1 kind=router
port r1:1
end r1:1.10 on=1 takes=10
end r1:1.20 on=1 takes=20
link sw1:1 r1:1
vlan 10 -> sw1:2 untagged, r1:1 10
vlan 20 -> sw1:3 untagged, r1:1 20
"""

PHONES = """
bridge sw1 exists=1,10,20
port sw1:1 member=10,20 pvid=10 untagged=10
port sw1:9 member=10,20
bridge sw2 exists=1,10,20
port sw2:1 member=10,20 pvid=10 untagged=10
port sw2:9 member=10,20
link sw1:9 sw2:9
serves sw1:1 a phone and a desk
serves sw2:1 a phone and a desk
"""

SHUT = """
bridge sw1 exists=1,10
port sw1:1 member=10 pvid=10 untagged=10
port sw1:8 up=no member=none pvid=1 untagged=1
port sw1:9 member=10
bridge sw2 exists=1,10
port sw2:1 member=10 pvid=10 untagged=10
port sw2:8 member=10 pvid=10 untagged=10
port sw2:9 member=10
link sw1:8 sw2:8
link sw1:9 sw2:9
vlan 10 -> sw1:1 untagged, sw2:1 untagged
"""

TRANSLATED = """
bridge sw1 exists=10,310
port sw1:1 member=10
entry sw1:1 match=310 pop=1 push=10
exit sw1:1 match=10 pop=1 push=310
port sw1:9 member=10
bridge sw2 exists=10
port sw2:1 member=10 pvid=10 untagged=10
port sw2:9 member=10
link sw1:9 sw2:9
handoff sw1:1
service records 310 at sw1:1 -> sw2:1 untagged
"""

BUNDLED = """
bridge sw1 exists=10,20 tree=per-vlan
port sw1:1 member=10,20 bundle=po1 bundle-mode=active
port sw1:2 member=10,20 bundle=po1 bundle-mode=active
port sw1:po1 member=10,20
port sw1:8 member=20 pvid=20 untagged=20
port sw1:9 member=10 pvid=10 untagged=10
bridge sw2 exists=10,20 tree=per-vlan
port sw2:1 member=10,20 bundle=po7 bundle-mode=passive
port sw2:2 member=10,20 bundle=po7 bundle-mode=passive
port sw2:po7 member=10,20
port sw2:8 member=20 pvid=20 untagged=20
port sw2:9 member=10 pvid=10 untagged=10
link sw1:1 sw2:1
link sw1:2 sw2:2
vlan 10 -> sw1:9 untagged, sw2:9 untagged
vlan 20 -> sw1:8 untagged, sw2:8 untagged
"""


@pytest.mark.parametrize(
    "text",
    [ROUTER, PHONES, SHUT, TRANSLATED, BUNDLED],
    ids=["router", "phones", "shut link", "translated at the handoff", "bundle"],
)
def test_clean_site_has_no_finding(text: str) -> None:
    assert told(text) == []


@pytest.mark.parametrize(
    ("text", "old", "new", "codes"),
    [
        (PHONES, "port sw2:9 member=10,20", "port sw2:9 member=10", [("L101", "20", "sw2:9")]),
        (PHONES, "bridge sw2 exists=1,10,20", "bridge sw2 exists=1,10", [("V101", "20", "sw2")]),
        (TRANSLATED, "port sw2:9 member=10", "port sw2:9 member=none", [("L101", "10", "sw2:9")]),
        (BUNDLED, "port sw2:po7 member=10,20", "port sw2:po7 member=10", [("L101", "20", "sw2:po7")]),
        (
            BUNDLED,
            "port sw2:po7 member=10,20",
            "port sw2:po7 member=10 pvid=10 untagged=10",
            [("L103", "10,20", "sw1:po1 sw2:po7")],
        ),
        (BUNDLED, "bridge sw1 exists=10,20 tree=per-vlan", "bridge sw1 exists=10", [("V102", "20", "sw1")]),
    ],
    ids=["voice list", "voice table", "behind a translation", "list of a bundle", "access bundle", "table"],
)
def test_planted_fault_is_found(text: str, old: str, new: str, codes: list[tuple[str, str, str]]) -> None:
    assert told(planted(text, (old, new))) == codes
