"""VTP: revisions that overwrite, links between two domains, clients that hear nobody, and VLANs that are pruned."""

from __future__ import annotations

from pathlib import Path

import pytest

from checks.planting import found, planted, told
from vlancheck.findings.finding import Finding, Severity
from vlancheck.pipeline import open_site

SPARE = "setting SPARE-1 vtp-mode=server vtp-domain=quay vtp-revision=40"
SITE_BOX = "setting ACC-1 vtp-mode=server vtp-domain=quay vtp-revision=12"
BOMB = f"""
bridge SPARE-1 exists=1
{SPARE}
port SPARE-1:1 member=1 pvid=1 untagged=1
bridge ACC-1 exists=1,10,20
{SITE_BOX}
port ACC-1:1 member=10 pvid=10 untagged=10
port ACC-1:2 member=10 pvid=10 untagged=10
vlan 10 -> ACC-1:1 untagged, ACC-1:2 untagged
"""


@pytest.mark.parametrize(
    ("swaps", "vids"),
    [
        ((), "10,20"),
        (((SPARE, SPARE.replace("server", "client")),), "10,20"),
        (((SITE_BOX, SITE_BOX.replace("server", "client")),), "10,20"),
        (((SITE_BOX, "setting ACC-1 vtp-mode-shown=server vtp-revision=0"),), "10,20"),
        ((("bridge SPARE-1 exists=1", "bridge SPARE-1 exists=1,20,30"),), "10"),
        ((("bridge SPARE-1 exists=1", "bridge SPARE-1 exists=1,10,20,30"),), ""),
        (((SPARE, SPARE.replace("quay", "hill")),), ""),
        (((SPARE, SPARE.replace("server", "transparent")),), ""),
        (((SITE_BOX, SITE_BOX.replace("server", "off")),), ""),
        (((SPARE, SPARE.replace("40", "12")),), ""),
        (((SPARE, SPARE.replace("40", "3")),), ""),
        (((SPARE, "setting SPARE-1 vtp-mode=server vtp-domain=quay"),), ""),
        (((SPARE, f"{SPARE} vtp-version=3"),), ""),
        (((SITE_BOX, "setting ACC-1 vtp-mode=server vtp-revision=12"),), ""),
    ],
    ids=[
        "server",
        "client with the higher one",
        "client with the lower one",
        "no domain yet",
        "some of them",
        "lacks none",
        "another domain",
        "transparent",
        "off",
        "same revision",
        "lower revision",
        "revision not captured",
        "version 3",
        "domain not captured",
    ],
)
def test_higher_revision_with_fewer_vlans(swaps: tuple[tuple[str, str], ...], vids: str) -> None:
    assert told(planted(BOMB, *swaps)) == ([("V104", vids, "ACC-1 SPARE-1")] if vids else [])


def test_a_mode_that_was_shown_counts_beside_the_line() -> None:
    text = planted(BOMB, (SPARE, "setting SPARE-1 vtp-mode-shown=transparent vtp-domain=quay vtp-revision=40"))
    assert told(text) == []


def test_higher_revision_whose_vlans_nobody_captured_is_a_note() -> None:
    (one,) = found(planted(BOMB, ("bridge SPARE-1 exists=1", "bridge SPARE-1 exists=1,?2-4094")))
    assert (one.code, one.severity, one.vids) == ("V104", Severity.NOTE, 1 << 10)
    assert one.settled_by == "show vlan brief, on SPARE-1"


def test_new_box_that_only_learns_is_quiet() -> None:
    text = planted(BOMB, (SPARE, SPARE.replace("40", "3")), ("bridge SPARE-1 exists=1", "bridge SPARE-1 exists=1,10"))
    assert told(text) == []


def test_all_that_lose_are_one_finding() -> None:
    more = BOMB + "bridge ACC-2 exists=1,30\nport ACC-2:1 member=30 pvid=30 untagged=30\nempty ACC-2:1\n"
    more += SITE_BOX.replace("ACC-1", "ACC-2") + "\n"
    (one,) = found(more)
    assert (one.at, one.severity) == ({"ACC-1", "ACC-2", "SPARE-1"}, Severity.WARNING)
    assert "ACC-1 and 1 more" in one.headline


# ---- texts of switches -------------------------------------------------------------------------------------------


def status(name: str, domain: str, mode: str, revision: int, pruning: str = "Disabled") -> str:
    """Return what `show vtp status` prints."""
    return (
        f"{name}#show vtp status\nVTP Version capable             : 1 to 3\nVTP version running             : 2\n"
        f"VTP Domain Name                 : {domain}\nVTP Pruning Mode                : {pruning}\n"
        f"VTP Traps Generation            : Disabled\nDevice ID                       : 0200.5e00.0100\n\n"
        f"Feature VLAN:\n--------------\nVTP Operating Mode                : {mode}\n"
        f"Maximum VLANs supported locally   : 255\nNumber of existing VLANs          : 7\n"
        f"Configuration Revision            : {revision}\n"
    )


def table(name: str, *vids: int) -> str:
    rows = "".join(f"{vid:<4} {f'name-{vid}':<32} active\n" for vid in (1, *vids))
    head = f"VLAN Name                             Status    Ports\n---- {'-' * 32} --------- {'-' * 31}\n"
    return f"{name}#show vlan brief\n\n{head}{rows}"


def box(name: str, uplink: str, after: str, lines: str = "") -> str:
    return (
        f"{name}#show running-config\nversion 15.2\nhostname {name}\n!\n{lines}spanning-tree mode rapid-pvst\n!\n"
        "interface GigabitEthernet1/0/1\n switchport access vlan 10\n switchport mode access\n!\n"
        f"interface GigabitEthernet1/0/24\n{uplink}!\nend\n{after}{name}#\n"
    )


HAND, LEFT = " switchport mode trunk\n", " switchport mode dynamic desirable\n"
SITE = """\
site: Sailmakers Row archive
links:
  - ["ACC-1:Gi1/0/24", "CORE-1:Gi1/0/24"]
vlans:
  - {vid: 10, name: desks, reaches: [{at: "ACC-1:Gi1/0/1", frame: untagged}, {at: "CORE-1:Gi1/0/1", frame: untagged}]}
"""


CODES = ("V104", "V105", "V106", "V107", "N101", "N102")


def audited(root: Path, *texts: tuple[str, str], site: str = SITE) -> list[Finding]:
    """Return what these checks find at switches (name, text) on one link."""
    (root / "captures").mkdir()
    for name, text in texts:
        (root / "captures" / f"{name}.txt").write_text(text, encoding="utf-8")
    (root / "site.yaml").write_text(site, encoding="utf-8")
    return [one for one in open_site(root).audit("as-found").findings if one.code in CODES]


@pytest.mark.parametrize(
    ("spare", "codes"),
    [
        (("quay", "Server", 40), ["V104"]),
        (("quay", "Client", 40), ["V104"]),
        (("quay", "Transparent", 0), []),
        (("hill", "Server", 40), []),
        (("", "Server", 0), []),
    ],
    ids=["server", "client", "made transparent", "another domain", "fresh"],
)
def test_spare_switch_in_the_same_survey(tmp_path: Path, spare: tuple[str, str, int], codes: list[str]) -> None:
    acc = box("ACC-1", HAND, table("ACC-1", 10) + status("ACC-1", "quay", "Server", 12))
    core = box("CORE-1", HAND, table("CORE-1", 10) + status("CORE-1", "quay", "Server", 12))
    bench = box("SPARE-1", HAND, table("SPARE-1") + status("SPARE-1", *spare))
    findings = audited(tmp_path, ("ACC-1", acc), ("CORE-1", core), ("SPARE-1", bench))
    assert [one.code for one in findings] == codes
    assert all(one.at == {"ACC-1", "CORE-1", "SPARE-1"} and one.vids == 1 << 10 for one in findings)


@pytest.mark.parametrize(
    ("uplinks", "domains", "modes", "codes"),
    [
        ((HAND, HAND), ("quay", "hill"), ("Server", "Server"), []),
        ((LEFT, HAND), ("quay", "hill"), ("Server", "Server"), ["N102"]),
        ((HAND, LEFT), ("quay", "hill"), ("Server", "Transparent"), ["N102"]),
        ((LEFT, LEFT), ("quay", "hill"), ("Client", "Server"), ["N102"]),
        ((LEFT, LEFT), ("quay", "quay"), ("Server", "Server"), ["N101"]),
        ((LEFT, LEFT), ("quay", "hill"), ("Transparent", "Transparent"), ["N101"]),
        ((LEFT, LEFT), ("quay", ""), ("Server", "Server"), ["N101"]),
    ],
    ids=["by hand", "one end", "other end", "both", "same domain", "transparent", "no domain yet"],
)
def test_negotiated_between_domains(
    tmp_path: Path, uplinks: tuple[str, str], domains: tuple[str, str], modes: tuple[str, str], codes: list[str]
) -> None:
    texts = []
    for name, uplink, domain, mode in zip(("ACC-1", "CORE-1"), uplinks, domains, modes, strict=True):
        texts.append((name, box(name, uplink, table(name, 10) + status(name, domain, mode, 0))))
    findings = audited(tmp_path, *texts)
    assert [one.code for one in findings] == codes
    if codes == ["N102"]:
        assert findings[0].severity is Severity.ERROR
        assert findings[0].at == {
            f"{name}:GigabitEthernet1/0/24"
            for name, uplink in zip(("ACC-1", "CORE-1"), uplinks, strict=True)
            if uplink == LEFT
        }


def test_domain_of_a_line_counts(tmp_path: Path) -> None:
    acc = box("ACC-1", LEFT, table("ACC-1", 10), "vtp domain quay\n")
    core = box("CORE-1", LEFT, table("CORE-1", 10), "vtp domain hill\nvtp mode client\n")
    assert [one.code for one in audited(tmp_path, ("ACC-1", acc), ("CORE-1", core))] == ["N102"]


# ---- clients, pruning, and trees ---------------------------------------------------------------------------------

CLIENT = "setting sw1 vtp-mode=client vtp-domain=quay"
UPLINK = "port sw1:2 member=10,99 pvid=99 untagged=99"
LINKED = f"""
bridge sw1 exists=1,10,99 tree=per-vlan
{CLIENT}
port sw1:1 member=10 pvid=10 untagged=10
{UPLINK}
bridge sw2 exists=1,10,99 tree=per-vlan
setting sw2 vtp-mode=transparent vtp-domain=quay
port sw2:1 member=10 pvid=10 untagged=10
port sw2:2 member=1,10,99 pvid=99 untagged=99
link sw1:2 sw2:2
vlan 10 -> sw1:1 untagged, sw2:1 untagged
"""


@pytest.mark.parametrize(
    ("swaps", "codes"),
    [
        ((), ["V105"]),
        (((CLIENT, CLIENT.replace("client", "server")),), []),
        (((CLIENT, "setting sw1 vtp-mode-shown=client vtp-domain=quay"),), ["V105"]),
        (((CLIENT, f"{CLIENT} vtp-version=3"),), []),
        (((CLIENT, "setting sw1 hostname=sw1"),), []),
        (((UPLINK, "port sw1:2 member=10,99 pvid=? untagged=99"),), []),
        (((UPLINK, "port sw1:2 member=10,99"),), []),
        ((("link sw1:2 sw2:2", "empty sw1:2"),), []),
    ],
    ids=[
        "client",
        "server",
        "shown",
        "version 3",
        "mode not captured",
        "untagged VLAN not known",
        "1 off its list",
        "no uplink",
    ],
)
def test_client_that_hears_nobody(swaps: tuple[tuple[str, str], ...], codes: list[str]) -> None:
    assert [code for code, _, _ in told(planted(LINKED, *swaps)) if code == "V105"] == codes


def test_client_with_one_trunk_in_vlan_1_is_quiet() -> None:
    text = LINKED + "port sw1:3 member=1,10 pvid=1 untagged=1\nport sw2:3 member=1,10 pvid=1 untagged=1\n"
    assert "V105" not in [code for code, _, _ in told(text + "link sw1:3 sw2:3\n")]


PRUNES = "setting sw1 vtp-mode=server vtp-domain=quay vtp-pruning=yes"
FAR = "setting sw2 vtp-mode=transparent vtp-domain=quay"


@pytest.mark.parametrize(
    ("swaps", "severity"),
    [
        (((CLIENT, PRUNES),), Severity.WARNING),
        (((CLIENT, PRUNES), (FAR, FAR.replace("transparent", "off"))), Severity.WARNING),
        (((CLIENT, PRUNES), (FAR, FAR.replace("transparent", "server"))), None),
        (((CLIENT, PRUNES), (FAR, "setting sw2 hostname=sw2")), None),
        (((CLIENT, f"{PRUNES}\ndevice sw1 dialect=one"), (FAR, "device sw2 dialect=other")), Severity.WARNING),
        (((CLIENT, f"{PRUNES}\ndevice sw1 dialect=one"), (FAR, "device sw2 dialect=one")), None),
        (((CLIENT, f"{PRUNES} vtp-pruning-lists=yes"),), Severity.NOTE),
        (((CLIENT, PRUNES.replace("server", "transparent")),), None),
        (((CLIENT, "setting sw1 vtp-mode=server vtp-domain=quay"),), None),
        (((CLIENT, PRUNES), ("vlan 10 -> sw1:1 untagged, sw2:1 untagged", "empty sw1:1 sw2:1")), None),
    ],
    ids=[
        "transparent",
        "off",
        "it asks",
        "nobody knows",
        "another family",
        "same family",
        "lists",
        "does not prune itself",
        "no pruning",
        "not needed",
    ],
)
def test_pruned_toward_one_that_never_asks(swaps: tuple[tuple[str, str], ...], severity: Severity | None) -> None:
    findings = [one for one in found(planted(LINKED, *swaps)) if one.code == "V106"]
    assert [(one.severity, one.vids, one.at) for one in findings] == (
        [(severity, 1 << 10, {"sw1:2"})] if severity else []
    )


@pytest.mark.parametrize(
    ("table_", "tree", "limit", "codes"),
    [
        ("1,10-99", "per-vlan", "tree-limit=64", ["V107"]),
        ("1,10-72", "per-vlan", "tree-limit=64", []),
        ("1,10-73", "per-vlan", "tree-limit=64", ["V107"]),
        ("1,10-99", "mst", "tree-limit=64", []),
        ("1,10-99", "?", "tree-limit=64", []),
        ("1,10-19,?20-99", "per-vlan", "tree-limit=64", []),
        ("1,10-999", "per-vlan", "hostname=sw1", []),
    ],
    ids=["more", "as many", "one more", "one tree for many", "not known", "VLANs not known", "limit not known"],
)
def test_trees_run_out(table_: str, tree: str, limit: str, codes: list[str]) -> None:
    text = f"bridge sw1 exists={table_} tree={tree}\nport sw1:1 member=10\nport sw1:2 member=10\nsetting sw1 {limit}\n"
    assert [one.code for one in found(text)] == codes


def test_trees_run_out_by_the_log() -> None:
    text = "bridge sw1 exists=1,10 tree=per-vlan\nport sw1:1 member=10\nport sw1:2 member=10\n"
    assert told(f"{text}logged sw1 told=instances\n") == [("V107", "none", "sw1")]


@pytest.mark.parametrize(
    ("uplink", "mode", "codes"),
    [
        (f"{HAND} switchport trunk native vlan 99\n", "Client", ["V105"]),
        (" switchport access vlan 10\n switchport mode access\n", "Client", ["V105"]),
        (HAND, "Client", []),
        (f"{HAND} switchport trunk allowed vlan 10\n", "Client", []),
        (f"{HAND} switchport trunk native vlan 99\n", "Server", []),
    ],
    ids=["another native", "access", "native 1", "1 not allowed", "server"],
)
def test_client_before_the_power_goes(tmp_path: Path, uplink: str, mode: str, codes: list[str]) -> None:
    acc = box("ACC-1", uplink, table("ACC-1", 10, 99) + status("ACC-1", "quay", mode, 12))
    core = box("CORE-1", uplink, table("CORE-1", 10, 99) + status("CORE-1", "quay", "Server", 12))
    assert [one.code for one in audited(tmp_path, ("ACC-1", acc), ("CORE-1", core))] == codes


EOS = """\
CORE-1#show running-config
! device: CORE-1 (DCS-7050, EOS-4.20.1F)
hostname CORE-1
spanning-tree mode rapid-pvst
vlan 10
interface Ethernet1
   switchport access vlan 10
interface Ethernet24
   switchport mode trunk
end
CORE-1#
"""
PASSING = """\
ACC-1#show interfaces trunk

Port        Mode             Encapsulation  Status        Native vlan
Gi1/0/24    on               802.1q         trunking      1

Port        Vlans allowed on trunk
Gi1/0/24    1-4094

Port        Vlans allowed and active in management domain
Gi1/0/24    1,10

Port        Vlans in spanning tree forwarding state and not pruned
Gi1/0/24    1,10
"""


@pytest.mark.parametrize(
    ("far", "more", "codes"),
    [
        (("Transparent", "quay"), "", ["V106"]),
        (("Server", "quay"), "", []),
        (None, "", ["V106"]),
        (("Transparent", "quay"), PASSING, []),
    ],
    ids=["transparent", "it asks", "another family", "shown to pass"],
)
def test_pruning(tmp_path: Path, far: tuple[str, str] | None, more: str, codes: list[str]) -> None:
    acc = box("ACC-1", HAND, table("ACC-1", 10) + status("ACC-1", "quay", "Server", 12, "Enabled") + more)
    core = box("CORE-1", HAND, table("CORE-1", 10) + status("CORE-1", far[1], far[0], 12)) if far else EOS
    global_names = SITE if far else SITE.replace("CORE-1:Gi1/0/", "CORE-1:Ethernet")
    findings = audited(tmp_path, ("ACC-1", acc), ("CORE-1", core), site=global_names)
    assert [one.code for one in findings] == codes
    assert all(one.at == {"ACC-1:GigabitEthernet1/0/24"} and one.vids == 1 << 10 for one in findings)


def test_model_says_how_many_trees(tmp_path: Path) -> None:
    version = "ACC-1#show version\ncisco WS-C2960-24TT-L (PowerPC405) processor (revision B0) with 65536K bytes\n"
    acc = box("ACC-1", HAND, table("ACC-1", *range(10, 160)) + version)
    core = box("CORE-1", HAND, table("CORE-1", *range(10, 160)))
    assert [(one.code, one.at) for one in audited(tmp_path, ("ACC-1", acc), ("CORE-1", core))] == [("V107", {"ACC-1"})]


def test_log_says_that_trees_ran_out(tmp_path: Path) -> None:
    message = "%SPANTREE_VLAN_SW-2-MAX_INSTANCE: Platform limit of 64 STP instances exceeded. No instance for VLAN74."
    acc = box("ACC-1", HAND, table("ACC-1", 10) + f"ACC-1#show logging\n*Mar  1 00:04:11.123: {message}\n")
    core = box("CORE-1", HAND, table("CORE-1", 10))
    (one,) = audited(tmp_path, ("ACC-1", acc), ("CORE-1", core))
    assert (one.code, one.at) == ("V107", {"ACC-1"})
