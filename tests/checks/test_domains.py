"""VTP domains: a revision that overwrites, and links that do not become trunks between two of them."""

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


def status(name: str, domain: str, mode: str, revision: int) -> str:
    """Return what `show vtp status` prints."""
    return (
        f"{name}#show vtp status\nVTP Version capable             : 1 to 3\nVTP version running             : 2\n"
        f"VTP Domain Name                 : {domain}\nVTP Pruning Mode                : Disabled\n"
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


def audited(root: Path, *texts: tuple[str, str]) -> list[Finding]:
    """Return what is found at switches (name, text) on one link, apart from how they are set at all."""
    (root / "captures").mkdir()
    for name, text in texts:
        (root / "captures" / f"{name}.txt").write_text(text, encoding="utf-8")
    (root / "site.yaml").write_text(SITE, encoding="utf-8")
    return [one for one in open_site(root).audit("as-found").findings if one.code in ("V104", "N101", "N102")]


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
