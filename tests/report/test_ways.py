"""What the strips on the page say is what a walk of the same frame says, before and after; each line is in its file."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element

import pytest

from vlancheck.outcome import Report, Sort
from vlancheck.pipeline import Site
from vlancheck.places import natural
from vlancheck.report import walking
from vlancheck.report.page import page

from .parsed import Strip, parsed, part, strips, words

BEFORE, AFTER = "as-found", "as-left"


@pytest.fixture(scope="module")
def report(site: Site) -> Report:
    return site.verify(BEFORE, AFTER)


@pytest.fixture(scope="module")
def root(report: Report) -> Element:
    return parsed(page(report))


# ---- the walk of the same frame ----------------------------------------------------------------------------------


def test_every_strip_is_a_way_of_the_walk(site: Site, root: Element) -> None:
    """Ports, frames on the wires and VLANs inside follow each other in the steps of `walk`, asked by the strip's words.

    In the later survey that may know more: a walk trusts a capture from before the move, and the report does not.
    """

    @cache
    def steps(survey: str, start: str, frame: str) -> list[dict[str, Any]]:
        return list(walking.document(site.survey(survey).walk(start, frame), survey)["steps"])

    seen = {BEFORE: 0, AFTER: 0}
    for name in ("services", "vlans", "jacks"):
        for one in strips(part(root, name)):
            for survey in surveys(one):
                if one.ways:
                    found = steps(survey, one.start or one.ways[0][0], one.ways[0][2])
                    assert follows(found, one), f"{survey}: {one}"
                    seen[survey] += 1
    assert seen[BEFORE] > 50
    assert seen[AFTER] > 50


def surveys(one: Strip) -> tuple[str, ...]:
    """Return the surveys that a row is of."""
    return {"before": (BEFORE,), "after": (AFTER,), "and back": (AFTER,), "as before": (BEFORE, AFTER)}[one.label]


def follows(steps: list[dict[str, Any]], one: Strip) -> bool:
    """Tell whether some step of a walk is the end of a strip, and those that led to it the rest of it."""
    by_number = {step["number"]: step for step in steps}
    for last in steps:
        chain = []
        step = last
        while step is not None:
            if step["what"] in ("enters", "leaves") or (step["what"] == "delivered" and step["name"] and step is last):
                chain.append((step["port"], "out" if step["what"] == "leaves" else "in", step["frame"]))
            step = by_number.get(step["parent"])
        if tuple(reversed(chain)) == one.ways:
            return True
    return False


def test_what_arrives_by_a_strip_is_delivered_by_the_walk(site: Site, root: Element, report: Report) -> None:
    """Of an ending that is carried, the last frame drawn crosses the boundary there."""
    counted = 0
    for verdict in report.verdicts:
        for ending in verdict.endings:
            if ending.state.value == "carried":
                one = next(s for s in strips(drawn(root, verdict.order.name, ending.stop.name)) if s.label != "before")
                walk = site.survey(AFTER).walk(one.start or one.ways[0][0], one.ways[0][2])
                assert (ending.at, one.ways[-1][2]) in {(made.port, made.frame) for made in walk.deliveries}
                counted += 1
    assert counted == 41


def drawn(root: Element, order: str, stop: str) -> Element:
    """Return what the page shows of one ending."""
    for article in (one for name in ("services", "vlans") for one in part(root, name).iter("article")):
        if heading(article) == order:
            for block in article.findall("div[@class='ending']"):
                if [words(one) for one in block.findall("h4/strong")] == [stop]:
                    return block
    raise AssertionError(f"{order}, {stop}")


# ---- before over after -------------------------------------------------------------------------------------------


def test_a_trunk_whose_native_vlan_was_forgotten(root: Element) -> None:
    """Before, the phone trunk came untagged; after, it keeps the tag 30 that it got for the inside."""
    was, now = strips(drawn(root, "Phone trunk", "PBX-1:trunk"))
    assert (was.label, was.word, [way[2] for way in was.ways]) == (
        "before",
        "carried",
        ["330", "30", "30", "untagged", "untagged"],
    )
    assert (now.label, now.word, [way[2] for way in now.ways]) == (
        "after",
        "mismatched",
        ["330", "30", "30", "30", "30"],
    )
    assert was.vids == now.vids == ("30", "30", "")
    assert (was.start, now.start, now.sort) == ("HL-2207", "HL-2207", "dies")
    assert now.end.startswith("arrives in other tags: it arrives as 30 from CORE-1:GigabitEthernet1/0/5")
    assert "captures/as-left/core-1.log:71" in now.end


def test_a_tag_that_a_list_lacks(root: Element) -> None:
    """The strip ends where the tag dies, with the list that lacks it."""
    was, now = strips(drawn(root, "Internet", "RTR-1:GigabitEthernet0/0"))
    assert [port for port, _, _ in was.ways][-1] == "RTR-1:GigabitEthernet0/0"
    assert [port for port, _, _ in now.ways][-1] == "SORT-1:GigabitEthernet0/2"
    assert (now.word, now.sort) == ("dropped", "dies")
    assert now.end == (
        "lost here: CORE-1:GigabitEthernet1/0/1 does not accept the tag 320 captures/as-left/core-1.log:42 "
        "interface GigabitEthernet1/0/1 / switchport trunk allowed vlan 20,30"
    )


def test_what_is_as_before_is_drawn_once(root: Element) -> None:
    (one,) = strips(drawn(root, "Catalogue line", "HV-1:vnet1"))
    assert (one.label, one.word) == ("as before", "carried")
    assert [frame for _, _, frame in one.ways] == ["310", "untagged", "untagged", "untagged"]


def test_a_leak_is_followed_to_where_it_crosses(root: Element) -> None:
    leaks = [one for one in part(root, "vlans").iter("ul") if one.get("class") == "leaks"]
    (item,) = [one for several in leaks for one in several.findall("li")]
    assert words(item).startswith("20 comes out and can be put in at SORT-1:GigabitEthernet0/1 (handoff); it was not")
    last = item.findall("ol/li")[-1]
    assert (last.get("class"), words(last).split(" interface")[0]) == (
        "dies",
        "leaks here: SORT-1:GigabitEthernet0/1 captures/as-left/sort-1.log:41",
    )


# ---- jacks -------------------------------------------------------------------------------------------------------


def test_every_jack_that_changed_has_its_strips(root: Element, report: Report) -> None:
    """Jacks come in their natural order, then the other ends of what changed; nothing is left out."""
    assert report.comparison is not None
    due = {row.anchor for cause in report.comparison.causes for row in cause.told}
    due |= {move.anchor for move in report.comparison.moves}
    names = [heading(one) for one in part(root, "jacks").iter("article")]
    assert sorted(names) == sorted(anchor.name for anchor in due)
    jacks = [name for name in names if name in {anchor.name for anchor in due if anchor.kind == "jack"}]
    assert names[: len(jacks)] == sorted(jacks, key=natural)
    assert len(jacks) == 12
    for article in part(root, "jacks").iter("article"):
        assert [one.label for one in strips(article)][:2] in (["before", "after"], ["as before"]), heading(article)


def heading(article: Element) -> str:
    """Return the name in a heading, without its marks and its kind."""
    found = article.find("h3")
    assert found is not None
    return ((list(found)[-1].tail or "").split(" (")[0]).strip()


def jack(root: Element, name: str) -> Element:
    return next(one for one in part(root, "jacks").iter("article") if heading(one) == name)


def marks(article: Element) -> list[str]:
    """Return the marks of a heading."""
    return [words(one) for one in article.findall("h3/span")]


def test_two_cords_that_were_exchanged(root: Element) -> None:
    """Before, the desk's frames were in VLAN 10 and reached the router; now they are in VLAN 40 and reach cameras."""
    article = jack(root, "PANEL-B:08")
    assert marks(article) == ["needed"]
    assert "its cord: was in ACC-1:ether8, is in ACC-9:GigabitEthernet1/0/9" in words(article)
    was, now = strips(article)
    assert (was.vids[0], was.ways[-1][0]) == ("10", "RTR-1:GigabitEthernet0/0")
    assert (now.vids[0], now.end) == ("40", "PANEL-B:10")


def test_what_is_expected_and_what_somebody_signs_for(root: Element) -> None:
    assert marks(jack(root, "PANEL-A:08")) == ["expected"]
    was, now = strips(jack(root, "PANEL-A:08"))
    assert (was.sort, was.ways, now.word) == ("dies", (), "arrives")
    assert marks(jack(root, "PANEL-A:02")) == ["the same by another port", "to sign: phone"]
    ports = [one.ways[0][0] for one in strips(jack(root, "PANEL-A:02"))]
    assert ports == ["CORE-1:GigabitEthernet1/0/10", "CORE-1:GigabitEthernet1/0/11"]


def test_an_audit_has_rows_of_one_survey(site: Site) -> None:
    root = parsed(page(site.audit(BEFORE)))
    found = [one for name in ("services", "vlans") for one in strips(part(root, name))]
    assert {one.label for one in found} == {""}
    assert not [one for one in root.iter("section") if one.get("id") == "jacks"]


# ---- evidence ----------------------------------------------------------------------------------------------------


def test_every_line_that_is_cited_is_that_line_of_its_file(folder: Path, root: Element) -> None:
    """In the order of the file, under its number, as an editor shows it."""
    appendix = part(root, "evidence")
    headings, lists = appendix.findall("h4"), appendix.findall("ol")
    counted = 0
    for file, several in zip((words(one) for one in headings), lists, strict=True):
        lines = (folder / file).read_text(encoding="utf-8").splitlines()
        numbers = [int(item.get("value", "")) for item in several]
        assert numbers == sorted(set(numbers)), file
        for number, item in zip(numbers, several, strict=True):
            assert " ".join(lines[number - 1].split()).endswith(words(item)), f"{file}:{number}"
            counted += 1
    assert counted > 30


def test_a_citation_leads_to_its_line(root: Element) -> None:
    """Every link to a line says the file and the number under which that line stands."""
    places = {}
    for name, several in zip(part(root, "evidence").findall("h4"), part(root, "evidence").findall("ol"), strict=True):
        places |= {item.get("id"): f"{words(name)}:{item.get('value')}" for item in several if item.get("id")}
    links = [one for one in root.iter("a") if one.get("href", "").startswith("#line-")]
    assert len(links) > 50
    assert [words(one) for one in links] == [places[one.get("href", "")[1:]] for one in links]


def test_every_file_is_listed_with_what_became_of_its_lines(folder: Path, report: Report, root: Element) -> None:
    """Sums are those of the report, and a digest is of the bytes that lie there."""
    files = {one.file: one for one in report.files}
    texts = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    due = [f"{kind}/{survey}" for kind in ("captures", "patching") for survey in (BEFORE, AFTER)]
    assert {*files} == {"site.yaml", *(name for name in texts if name.startswith(tuple(due)))}
    for one in files.values():
        assert one.digest == hashlib.sha256((folder / one.file).read_bytes()).hexdigest()
        assert one.digest in words(part(root, "evidence"))
    later = [one for one in report.files if one.survey == AFTER and one.sort is Sort.CAPTURE]
    reading = report.to_dict()["reading"]
    assert sum(one.read + one.unread for one in later) == reading["read"]
    assert sum(one.passed_over for one in later) == reading["passed_over"]
