"""What is inked is where the walk goes, no more and no less, and what changed between two surveys is told."""

from __future__ import annotations

from pathlib import Path
from xml.etree.ElementTree import Element

import pytest
from report.sites import open_closet, write_closet

from vlancheck.dot1q.tags import format_frame
from vlancheck.drawing.picture import MarkSort, Standing
from vlancheck.errors import UsageError
from vlancheck.example import write_site
from vlancheck.pipeline import Site, Survey, open_site
from vlancheck.report import draw_svg
from vlancheck.verdicts.verdict import Verdict
from vlancheck.walk.flood import What
from vlancheck.walk.walk import Walk

from .measuring import classes, having, read


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Site:
    folder = tmp_path_factory.mktemp("inked") / "site"
    write_site(folder)
    return open_site(folder)


def asked(survey: Survey, verdict: Verdict) -> list[Walk]:
    """Return the walks of everything that a verdict was judged by."""
    ways = [way for ending in verdict.endings for way in (ending.inward, ending.back) if way is not None]
    sent = {(way.sender, way.frame) for way in ways}
    sent |= {(leak.sender, format_frame(leak.sent)) for leak in (*verdict.leaks, *verdict.notes) if leak.sender}
    return [survey.walk(*one) for one in sorted(sent)]


def on_cords(walks: list[Walk]) -> dict[str, bool]:
    """Return the ports at whose cords a walk shows a frame, and whether for certain."""
    found: dict[str, bool] = {}
    for walked in walks:
        for step in walked.steps:
            ports = [step.port] if step.what in (What.ENTERS, What.LEAVES, What.DELIVERED) else []
            if step.what is What.SENT and any(
                one.parent == step.number and one.port != step.port for one in walked.steps
            ):
                ports = [step.port]
            for port in ports:
                found[port] = found.get(port, False) or (step.certain or step.what is What.SENT)
    return found


def inked(root: Element, name: str, kind: str, which: str) -> set[str]:
    """Return what of a kind carries an ink: ports, or lines as both their ends."""
    return {
        one.get("data-port") or f"{one.get('data-from')} {one.get('data-to')}"
        for one in having(root, kind)
        if name in one.get(which, "").split()
    }


@pytest.mark.parametrize("name", ["as-found", "as-planned", "as-left"])
def test_what_is_inked_is_what_is_walked(example: Site, name: str) -> None:
    survey = example.survey(name)
    root = read(draw_svg.text(example.draw(name, inks=True)))
    ports = {one.get("data-port", "") for one in having(root, "socket")}
    devices = {port for port in ports if not port.startswith("PANEL-")}
    chains = {chain: frozenset(chain.ports) for chain in survey.boxes.chains}
    told = example.audit(name).verdicts
    keys = {
        word
        for one in root.iter()
        for which in ("data-carries", "data-unproven")
        for word in one.get(which, "").split()
    }
    assert len(told) == 8
    for verdict in told:
        key = f"{verdict.order.kind.value}-{verdict.order.name.lower().replace(' ', '-')}"
        assert key in keys
        walked = on_cords(asked(survey, verdict))
        for which, sure in (("data-carries", True), ("data-unproven", False)):
            expected = {port for port, certain in walked.items() if certain is sure and port in devices}
            assert inked(root, key, "socket", which) & devices == expected, (verdict.order.name, which)
        # A panel's port is inked where its cord's other end is; a line where one of its ends is.
        corded = {node for chain, ends in chains.items() if ends & {*walked} for node in chain.passed}
        shown = inked(root, key, "socket", "data-carries") | inked(root, key, "socket", "data-unproven")
        assert shown - devices == corded
        lines = inked(root, key, "line", "data-carries") | inked(root, key, "line", "data-unproven")
        assert len(lines) == sum(1 for ends in chains.values() if ends & {*walked})


def test_every_hop_and_every_delivery_of_a_service_is_inked(example: Site) -> None:
    """The path that a report shows, and what the whole relation delivers, are on the inked way."""
    survey = example.survey()
    carriage = survey.carriage()
    for verdict in example.audit().services:
        drawing = example.draw(service=verdict.order.name)
        assert drawing.picture.ink is not None
        keys = {row.whole: row.key for box in drawing.picture.boxes for row in box.sockets}
        sockets = drawing.picture.ink.sockets
        for ending in verdict.endings:
            assert {keys[hop.port] for hop in ending.path if hop.certain} <= {
                key for key, sure in sockets.items() if sure
            }
            assert ending.inward is not None
            out = carriage.deliveries(ending.inward.sender, ending.inward.frame)
            assert {keys[one.port] for one in out if one.port in keys} <= {*sockets}


def test_a_vlan_that_only_unread_boxes_may_take_is_unproven(example: Site) -> None:
    """Nobody declared VLAN 2, and no switch has it; what the carrier's box does with it is not known."""
    ink = example.draw(vlan=2).picture.ink
    assert ink is not None
    assert ink.words == "nothing was declared of it"
    assert {*ink.lines.values()} == {False}
    assert {*ink.lines} == {("ONU-1:lan1", "SORT-1:GigabitEthernet0/1")}


def test_a_service_is_found_by_its_tag(example: Site) -> None:
    by_tag, by_name = example.draw(vlan=310).picture.ink, example.draw(service="catalogue line").picture.ink
    assert by_tag is not None
    assert by_name is not None
    assert (by_tag.lines, by_tag.sockets, by_tag.marks) == (by_name.lines, by_name.sockets, by_name.marks)


def test_an_undeclared_vlan_goes_where_its_frames_are_walked(tmp_path: Path) -> None:
    folder = write_closet(tmp_path / "site")
    declared = (folder / "site.yaml").read_text(encoding="utf-8")
    start, end = declared.index("vlans:"), declared.index("holds:")
    (folder / "site.yaml").write_text(declared[:start] + declared[end:], encoding="utf-8")
    site = open_site(folder)
    ink = site.draw(vlan=20).picture.ink
    assert ink is not None
    survey = site.survey()
    members = ("ACC-1:GigabitEthernet0/2", "ACC-1:GigabitEthernet0/4", "ACC-1:GigabitEthernet0/6")
    walked = on_cords([survey.walk(port, "untagged") for port in members])
    assert {*walked} >= {*members}
    drawn = {key for key in ink.sockets if not key.startswith("panel")}
    assert drawn >= {*walked}
    assert "SORT-1:GigabitEthernet0/4" not in drawn


def test_where_it_dies_is_marked_in_words(example: Site) -> None:
    root = read(draw_svg.text(example.draw("as-left", service="Internet")))
    marked = {one.get("data-port"): text.text for one in having(root, "marked") for text in having(one, "shown")}
    assert marked == {
        "SORT-1:GigabitEthernet0/1": "enters here",
        "CORE-1:GigabitEthernet1/0/1": "lost here",
    }
    said = " ".join(one.text or "" for one in having(root, "said"))
    assert "lost here: CORE-1:GigabitEthernet1/0/1" in said
    assert "does not accept the tag 320" in said


def test_what_is_unproven_is_dashed_and_said(tmp_path: Path) -> None:
    site = open_site(open_closet(tmp_path / "site"))
    inks = [site.draw(vlan=vlan).picture.ink for vlan in (20, 30)]
    assert inks[0] is not None
    assert {*inks[0].sockets.values(), *inks[0].lines.values()} == {False}
    assert inks[1] is not None  # nobody can be asked: no port is known where frames of it end
    assert {mark.sort for mark in inks[1].marks} == {MarkSort.UNPROVEN}
    root = read(draw_svg.text(site.draw(vlan=20)))
    doubted = having(root, "unproven")
    assert any("socket" in classes(one) for one in doubted)
    assert "stroke-dasharray" in draw_svg.STYLE.split(".line.unproven path")[1].split("}")[0]
    assert any("unproven" in (one.text or "") for one in having(root, "said"))


def test_nothing_is_told_by_colour_alone() -> None:
    """What carries is thicker, what is unproven dashed; before is dashed, after thick."""
    rules = {rule.split("{")[0].strip(): rule.split("{")[1] for rule in draw_svg.STYLE.split("}") if "{" in rule}
    assert "stroke-width: 2.6" in rules[".closet.inked .line.carries path"]
    assert "stroke-width: 0.7" in rules[".closet.inked .line path"]
    assert "dasharray" in rules[".closet.inked .line.unproven path"]
    assert "dasharray" in rules[".closet.changes .line.before path"]
    assert "dasharray" not in rules[".closet.changes .line.after path"]


def test_what_is_asked_for_must_be_there(example: Site) -> None:
    for vlan in (0, 4095, -1):
        with pytest.raises(UsageError, match="is no VLAN"):
            example.draw(vlan=vlan)
    with pytest.raises(UsageError, match="no service or VLAN is called"):
        example.draw(service="Internat")


# ---- two surveys ---------------------------------------------------------------------------------------------------


def test_changes_are_those_of_the_sheets(example: Site) -> None:
    """ACC-1 was replaced by ACC-9, port for port; two pairs of cords are in each other's ports."""
    drawing = example.draw_changes()
    assert drawing.picture.changes == (
        "ACC-1 is called ACC-9",
        "cord C-036 was PANEL-B:08 – ACC-1:ether8, is PANEL-B:08 – ACC-9:GigabitEthernet1/0/9",
        "cord C-037 was PANEL-B:09 – ACC-1:ether9, is PANEL-B:09 – ACC-9:GigabitEthernet1/0/8",
        "cord C-022 was PANEL-A:02 – CORE-1:GigabitEthernet1/0/10, is PANEL-A:02 – CORE-1:GigabitEthernet1/0/11",
        "cord C-023 was PANEL-A:03 – CORE-1:GigabitEthernet1/0/11, is PANEL-A:03 – CORE-1:GigabitEthernet1/0/10",
    )
    root = read(draw_svg.text(drawing))
    count = {
        word: len([one for one in having(root, word) if "id" in one.attrib and "line" in classes(one)])
        for word in Standing
    }
    assert count == {Standing.KEPT: 37, Standing.BEFORE: 4, Standing.AFTER: 4}
    assert [one.text for one in having(root, "words") if "was ACC-1" in (one.text or "")] == ["switch, was ACC-1"]


def test_a_survey_does_not_differ_from_itself(example: Site) -> None:
    picture = example.draw_changes("as-left", "as-left").picture
    assert picture.changes == ()
    assert {line.standing for line in picture.lines} == {Standing.KEPT}
    assert {row.standing for box in picture.boxes for row in box.sockets} == {Standing.KEPT}
