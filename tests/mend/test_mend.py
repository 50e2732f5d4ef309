"""Faults planted in captures are mended by lines that, typed at a planned survey, make the audit clean again."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from vlancheck import open_site
from vlancheck.mend.proposal import Sureness, described
from vlancheck.reader.signs import port_signs

from .closets import CORE, IOS, PROCURVE, closet, replaced, typed

Texts = tuple[str, str]
G = "interface GigabitEthernet1/0/"


def core(port: str, old: str, new: str) -> Callable[[Texts], Texts]:
    return lambda texts: (replaced(texts[0], f"{G}{port}", f" {old}", f" {new}" if new else ""), texts[1])


def acc(port: str, old: str, new: str) -> Callable[[Texts], Texts]:
    return lambda texts: (texts[0], replaced(texts[1], f"{G}{port}", f" {old}", f" {new}" if new else ""))


LIST, ONE, NONE = (f"switchport trunk allowed vlan {text}" for text in ("10,20", "10", "310"))
FAULTS: dict[str, tuple[Callable[[Texts], Texts], str]] = {
    "not allowed on the uplink, near end": (core("1", LIST, ONE), "CORE: GigabitEthernet1/0/1: tagged also VLAN 20"),
    "not allowed on the uplink, far end": (acc("49", LIST, ONE), "ACC: GigabitEthernet1/0/49: tagged also VLAN 20"),
    "not in the database": (
        lambda texts: (texts[0], texts[1].replace("vlan 20\n name gauges\n!\n", "")),
        "ACC: make VLAN 20",
    ),
    "service not in the database": (
        lambda texts: (texts[0].replace("vlan 310\n name records\n!\n", ""), texts[1]),
        "CORE: make VLAN 310",
    ),
    "access VLAN of another jack": (
        acc("2", "switchport access vlan 10", "switchport access vlan 20"),
        "ACC: GigabitEthernet1/0/2: untagged VLAN 10",
    ),
    "shut": (
        acc("3", "switchport mode access", "switchport mode access\n shutdown"),
        "ACC: GigabitEthernet1/0/3: enabled",
    ),
    "uplink shut": (
        core("1", "switchport mode trunk", "switchport mode trunk\n shutdown"),
        "CORE: GigabitEthernet1/0/1: enabled",
    ),
    "router's port lacks a VLAN": (core("2", LIST, ONE), "CORE: GigabitEthernet1/0/2: tagged also VLAN 20"),
    "service not allowed at the handoff": (
        core("24", NONE, "switchport trunk allowed vlan 311"),
        "CORE: GigabitEthernet1/0/24: tagged also VLAN 310",
    ),
    "a VLAN of the inside at the handoff": (
        core("24", NONE, "switchport trunk allowed vlan 10,310"),
        "CORE: GigabitEthernet1/0/24: VLAN 10 no longer",
    ),
    "service at the wrong VLAN": (
        core("3", "switchport access vlan 310", "switchport access vlan 20"),
        "CORE: GigabitEthernet1/0/3: untagged VLAN 310",
    ),
    "uplink left as access": (
        acc("49", "switchport mode trunk", "switchport mode access\n switchport access vlan 10"),
        "ACC: GigabitEthernet1/0/49: tagged also VLAN 10,20, nothing untagged",
    ),
}


@pytest.mark.parametrize("name", FAULTS)
def test_a_planted_fault_is_mended(name: str, tmp_path: Path) -> None:
    """The change proposed is the one that takes the fault back, and the audit with its lines typed is clean."""
    plant, wanted = FAULTS[name]
    site = closet(tmp_path, core=plant((CORE, IOS))[0], acc=plant((CORE, IOS))[1])
    assert site.audit("as-found").exit_code == 1
    found = site.mend()
    assert [line for mend in found.mends for line in described(mend.amendment)] == [wanted]
    assert found.unmended == ()
    report = typed(site, tmp_path).audit("as-planned")
    assert (report.verdict, report.exit_code) == ("clean", 0)


@pytest.mark.parametrize("name", FAULTS)
def test_undo_gives_back_the_box(name: str, tmp_path: Path) -> None:
    """What takes a change back makes every port of the box what it was before."""
    plant, _ = FAULTS[name]
    site = closet(tmp_path, core=plant((CORE, IOS))[0], acc=plant((CORE, IOS))[1])
    mends = site.mend().mends
    before = {box.name: port_signs(box) for box in site.survey("as-found").reading.devices}
    for step in (step for mend in mends for step in mend.steps):
        assert step.lines
        assert step.exact
        (tmp_path / f"edits/{step.device}.txt").write_text("\n".join([*step.lines, *step.undo, ""]))
    planned = open_site(tmp_path).survey("as-planned").reading.devices
    assert {box.name: port_signs(box) for box in planned} == before


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(names=st.lists(st.sampled_from(sorted(FAULTS)), min_size=2, max_size=4, unique=True))
def test_several_faults_at_once(names: list[str], tmp_path_factory: pytest.TempPathFactory) -> None:
    """Whatever faults meet, the lines proposed for all of them together leave nothing wrong, and lead to no leak."""
    texts = (CORE, IOS)
    for name in names:
        try:
            texts = FAULTS[name][0](texts)
        except AssertionError:  # two faults of one line
            continue
    folder = tmp_path_factory.mktemp("closet") / "site"
    site = closet(folder, core=texts[0], acc=texts[1])
    assert site.audit("as-found").exit_code == 1
    assert site.mend().unmended == ()
    assert typed(site, folder).audit("as-planned").exit_code == 0


def test_a_family_with_lists_of_ports(tmp_path: Path) -> None:
    """A switch whose VLANs list ports gets its own lines."""
    text = PROCURVE.replace("   untagged 3\n   tagged 25\n", "   untagged 3\n")
    site = closet(tmp_path, "hp_procurve", acc=text)
    (mend,) = site.mend().mends
    assert [(step.device, step.lines) for step in mend.steps] == [("ACC", ("vlan 20", "   tagged 25", "   exit"))]
    assert mend.sureness is Sureness.CERTAIN
    assert typed(site, tmp_path).audit("as-planned").exit_code == 0


def test_cords_in_each_others_ports_are_moved(tmp_path: Path) -> None:
    """Two jacks whose cords are exchanged get their cords back, and no port is changed."""
    site = closet(tmp_path)
    rows = (tmp_path / "patching/as-found.csv").read_text()
    swapped = rows.replace("LAN1:02,", "LAN1:xx,").replace("LAN1:03,", "LAN1:02,").replace("LAN1:xx,", "LAN1:03,")
    (tmp_path / "patching/as-found.csv").write_text(swapped)
    site = open_site(tmp_path)
    (mend,) = site.mend().mends
    assert {(step.cord.name, step.cord.after) for step in mend.steps if step.cord} == {
        ("LAN1:02", "ACC:GigabitEthernet1/0/2"),
        ("LAN1:03", "ACC:GigabitEthernet1/0/3"),
    }
    assert not mend.amendment.ports


def test_a_hold_is_asked_for_first(tmp_path: Path) -> None:
    """The cord of a hold is never moved without its owner."""
    site = closet(tmp_path)
    rows = (tmp_path / "patching/as-found.csv").read_text()
    swapped = rows.replace("LAN1:02,", "LAN1:xx,").replace("LAN1:03,", "LAN1:02,").replace("LAN1:xx,", "LAN1:03,")
    (tmp_path / "patching/as-found.csv").write_text(swapped)
    declared = (tmp_path / "site.yaml").read_text()
    hold = "holds:\n  - {at: 'LAN1:03', why: sluice alarm, owner: water board}\n"
    (tmp_path / "site.yaml").write_text(declared + hold)
    site = open_site(tmp_path)
    (mend,) = site.mend().mends
    assert mend.sureness is Sureness.ASK
    assert any(step.cord and "ask its owner first" in step.cord.ask for step in mend.steps)


def test_a_carriers_box_gets_no_line(tmp_path: Path) -> None:
    """A capture of a box that belongs to the carrier is read, and nothing is proposed for it."""
    plant, _ = FAULTS["not allowed on the uplink, far end"]
    site = closet(tmp_path, acc=plant((CORE, IOS))[1])
    declared = (tmp_path / "site.yaml").read_text()
    (tmp_path / "site.yaml").write_text(declared.replace("devices:\n", "devices:\n  ACC: {owner: carrier}\n"))
    site = open_site(tmp_path)
    found = site.mend()
    assert not any("ACC" in mend.amendment.devices for mend in found.mends)
    assert any("belongs to its carrier" in one.why for one in found.unmended)


def test_the_management_path_is_told(tmp_path: Path) -> None:
    """Where logging in depends on a port that is changed, the lines come with a rollback, and its restart is told."""
    plant, _ = FAULTS["not allowed on the uplink, far end"]
    text = plant((CORE, IOS))[1]
    own = "interface Vlan10\n ip address 192.0.2.9 255.255.255.0\n!\nend\n"
    site = closet(tmp_path, acc=text.replace("end\n", own))
    (mend,) = site.mend().mends
    (step,) = mend.steps
    assert mend.management
    assert (step.first, step.keep, step.restarts) == (("do reload in 10",), ("do reload cancel",), True)


def test_nothing_to_mend(tmp_path: Path) -> None:
    """A clean closet has no proposals."""
    found = closet(tmp_path).mend()
    assert (found.mends, found.unmended, found.questions) == ((), (), ())


def test_a_list_that_loses_its_last_vlan_says_so(tmp_path: Path) -> None:
    """What an empty list means depends on the release: the line that says none is written."""
    spare = f"{G}23\n switchport trunk native vlan 999\n switchport trunk allowed vlan 10\n switchport mode trunk\n!\n"
    site = closet(tmp_path, core=CORE.replace(f"{G}24\n", f"{spare}{G}24\n"))
    declared = (tmp_path / "site.yaml").read_text()
    second = "handoffs:\n  - {at: 'CORE:Gi1/0/23', carrier: metro, circuit: LK-8}\n"
    (tmp_path / "site.yaml").write_text(declared.replace("handoffs:\n", second))
    site = open_site(tmp_path)
    (mend,) = site.mend().mends
    assert " switchport trunk allowed vlan none" in mend.steps[0].lines
    assert not any("remove" in line for line in mend.steps[0].lines)
    assert typed(site, tmp_path).audit("as-planned").exit_code == 0


def test_guards_stay_and_the_carrier_is_asked(tmp_path: Path) -> None:
    """A guard at a handoff is never turned off: what the carrier does with BPDUs is asked, by the name of the set."""
    guarded = replaced(
        CORE, f"{G}24", " switchport nonegotiate", " switchport nonegotiate\n spanning-tree bpduguard enable"
    )
    found = closet(tmp_path, core=guarded).mend()
    assert found.mends == ()
    assert any("L2CP" in settled for _, settled in found.questions)


def test_a_line_does_not_mend_what_a_log_told(tmp_path: Path) -> None:
    """What a log tells of stays told when something else at the same box is changed."""
    plant, wanted = FAULTS["not allowed on the uplink, near end"]
    log = "%SW_MATM-4-MACFLAP_NOTIF: Host 0200.5e00.0001 in vlan 10 is flapping between port Gi1/0/1 and port Gi1/0/2\n"
    text = f"CORE#show running-config\n{plant((CORE, IOS))[0]}CORE#\n{log}CORE#\n"
    site = closet(tmp_path, core=text)
    assert "U104" in [one.code for one in site.audit("as-found").findings]
    mends = site.mend().mends
    assert [line for mend in mends for line in described(mend.amendment)] == [wanted]
    assert not any(words.startswith("U104") for mend in mends for words in mend.rights)
    told = [one.fingerprint for one in site.audit("as-found").findings if one.code == "U104"]
    assert not any(mark in mend.fingerprints for mend in mends for mark in told)
    assert "U104" in [one.code for one in typed(site, tmp_path).audit("as-planned").findings]
