"""Ports at which a server says which VLAN users are in."""

from pathlib import Path

import pytest

from checks.edge_sites import audited, of, site, verified
from checks.planting import found, planted
from vlancheck.checks import run
from vlancheck.findings.finding import Finding
from vlancheck.notation import parse
from vlancheck.notation.judged import case

CLEAN = """
bridge sw1 exists=10,20,30
port sw1:1 pvid=10 member=10 untagged=10
port sw1:2 pvid=10 member=10 untagged=10
set sw1:1 authentication=dot1x
"""
SET = "set sw1:1 authentication=dot1x"


def compared(before: str, after: str) -> list[Finding]:
    """Return the findings about a survey after another."""
    return [one for one in run(case(parse(after), parse(before))) if one.code == "P114"]


@pytest.mark.parametrize(
    ("word", "expected"),
    [("dot1x", True), ("mab", True), ("auto", True), ("force-authorized", False), ("no", False), ("?", False)],
)
def test_who_logs_in(word: str, expected: bool) -> None:
    made = found(planted(CLEAN, (SET, f"set sw1:1 authentication={word}")))
    assert [(one.code, one.severity.value) for one in made] == ([("P114", "note")] if expected else [])
    for one in made:
        assert "which numbers and names of VLANs" in one.settled_by


def test_one_note_a_box() -> None:
    more = "".join(f"port sw1:{n} member=10\nset sw1:{n} authentication=mab\n" for n in range(11, 16))
    (one,) = found(CLEAN + more)
    assert (len(one.at), "and 2 more" in one.headline) == (6, True)


@pytest.mark.parametrize(
    ("exists", "severity"),
    [("10,20,30", "note"), ("10,20,30,40", "note"), ("10,20", "warning"), ("10,20,?30", "note")],
)
def test_vlans_that_the_box_has_no_longer(exists: str, severity: str) -> None:
    swap = ("bridge sw1 exists=10,20,30", f"bridge sw1 exists={exists}")
    (one,) = compared(CLEAN, planted(CLEAN, swap))
    assert one.severity.value == severity
    assert ("has VLAN 30 no longer" in one.headline) == (severity == "warning")


IOS = """\
version 15.2
hostname LOFT-3
vtp mode transparent
vlan 10,20
interface GigabitEthernet1/0/1
 switchport access vlan 10
 switchport mode access
 authentication port-control auto
 mab
 dot1x pae authenticator
end
"""


def test_ios_lines(tmp_path: Path) -> None:
    without = IOS.replace(" authentication port-control auto\n", "")
    assert of("P114", audited(site(tmp_path / "clean", {"as-found/LOFT-3.txt": without}))) == []
    after = IOS.replace("vlan 10,20\n", "vlan 10\n")
    root = site(tmp_path / "set", {"as-found/LOFT-3.txt": IOS, "as-left/LOFT-3.txt": after})
    (one,) = of("P114", audited(root))
    assert (one.severity.value, one.at) == ("note", {"LOFT-3:GigabitEthernet1/0/1"})
    (one,) = of("P114", verified(root))
    assert (one.severity.value, "has VLAN 20 no longer" in one.headline) == ("warning", True)
