"""A carrier's box that translates tags, beyond the handoff."""

from pathlib import Path

import pytest

import vlancheck
from vlancheck.outcome import Report
from vlancheck.report import auditing
from vlancheck.verdicts.verdict import State

SWITCH = """SORT-1#show running-config
version 15.2
hostname SORT-1
!
vlan 310,1314
!
interface GigabitEthernet0/1
 switchport mode trunk
 switchport trunk allowed vlan 310,1314
!
interface GigabitEthernet0/2
 switchport mode access
 switchport access vlan 1314
!
end
SORT-1#
"""

SITE = """site: Rope Walk Bakery, cellar
devices:
  ONU-1: {{kind: carrier-box, owner: carrier, ports: {{lan1: {ports}}}}}
links:
  - ["SORT-1:Gi0/1", "ONU-1:lan1"]
handoffs:
  - {{at: "SORT-1:Gi0/1", circuit: RW-1}}
services:
  - {{name: tills, tag: 1314, enters: RW-1, leaves: [{{at: "SORT-1:Gi0/2", frame: untagged}}]}}
"""


def audited(folder: Path, ports: str) -> Report:
    """Return the audit of a small site whose carrier's box has the customer port `ports`."""
    captures = folder / "captures/as-found"
    captures.mkdir(parents=True)
    (captures / "sort-1.log").write_text(SWITCH)
    (folder / "site.yaml").write_text(SITE.format(ports=ports))
    return vlancheck.open_site(folder).audit()


@pytest.mark.parametrize("said", ["letter", "capture", "test"])
def test_with_a_row_it_is_carried_and_the_row_is_named(tmp_path: Path, said: str) -> None:
    report = audited(tmp_path, f"{{service: metro, map: {{881: 1314}}, origin: {said}}}")

    assert [one.state for one in report.services] == [State.CARRIED]
    assert f"the carrier's 881 -> 1314 at ONU-1, by {said}" in auditing.text(report)
    assert report.to_dict()["services"][0]["carrier"] == [
        {"device": "ONU-1", "theirs": 881, "ours": 1314, "said": said}
    ]
    assert report.exit_code == 0


@pytest.mark.parametrize("ports", ["{service: metro}", "{service: metro, map: {881: 310}, origin: letter}"])
def test_without_a_row_it_is_carried_from_our_port_and_a_question_stays(tmp_path: Path, ports: str) -> None:
    report = audited(tmp_path, ports)

    (service,) = report.services
    assert service.state is State.UNPROVEN
    assert [ending.state for ending in service.endings] == [State.CARRIED], "from our port inward"
    (question,) = service.questions
    assert "ONU-1" in question.words
    assert "ask the carrier" in question.settled_by
    assert report.exit_code == 3
