"""The report in every form: all of it is there, as the form's standard says, and no text becomes anything else."""

from __future__ import annotations

import csv
import io
import json
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit
from xml.etree import ElementTree

import pytest
from cli.running import run
from jsonschema import Draft4Validator
from markdown_it import MarkdownIt
from markdown_it.token import Token
from openpyxl import load_workbook

from vlancheck.errors import UsageError
from vlancheck.example import write_site
from vlancheck.outcome import Report
from vlancheck.pipeline import open_site
from vlancheck.report import wording
from vlancheck.report.documents import ENDINGS, document, ending_of
from vlancheck.report.markup import clean, one_line
from vlancheck.report.records import Record, records
from vlancheck.report.report_xlsx import BLANKS
from vlancheck.site.rows import unguarded
from vlancheck.verdicts.verdict import Certainty, State

from .sites import hostile_report, reports, write_closet

REPORTS = dict(reports())
HOSTILE = {
    "markup": "</code></td><script>alert('x')</script><img src=x onerror=alert(1)>&amp;<!-- -->&#60;b",
    "markdown": "**bold** _it_ `tick` [link](javascript:alert(1)) ![i](x) | cell | ~~gone~~ # head <https://example.net>",
    "links": "https://example.net www.example.net [a](0) {0} {{1}} }",
    "item": "- item",
    "number": "1. item",
    "line": "===",
    "cdata": "]]> <![CDATA[ x ]]> <?pi?>",
    "equals": "=cmd|' /C calc'!A0",
    "plus": "+1+1",
    "minus": "-1+1",
    "at": "@SUM(A1:A9)",
    "quote": "'=1+1",
    "controls": "a\x1b[31mb\x07c\x7f\u202ed\u2066e\x85f",
    "backslash": "\\[x\\](y) \\| \\`",
    "fence": "``` ```` `",
}
PLAIN = "harmless"


def text(made: Report, ending: str) -> str:
    return document(made, ending).decode()


@pytest.fixture(scope="module")
def closet(tmp_path_factory: pytest.TempPathFactory) -> tuple[Report, Path]:
    folder = write_closet(tmp_path_factory.mktemp("closet") / "site")
    return open_site(folder).verify(), folder


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[Report, Path]:
    folder = tmp_path_factory.mktemp("demo")
    write_site(folder)
    return open_site(folder).verify(mends=True), folder


# ---- SARIF -------------------------------------------------------------------------------------------------------


@cache
def oasis() -> Draft4Validator:
    """Return the validator of the OASIS schema."""
    file = Path(__file__).parent / "standards/sarif-schema-2.1.0.json"
    return Draft4Validator(json.loads(file.read_text(encoding="utf-8")))


def run_of(made: Report, folder: str = "") -> dict[str, Any]:
    """Return the only run of a document that the OASIS schema takes."""
    found = json.loads(document(made, ".sarif", folder))
    assert [f"{list(fault.absolute_path)}: {fault.message[:200]}" for fault in oasis().iter_errors(found)] == []
    assert found["version"] == "2.1.0"
    (one,) = found["runs"]
    return dict(one)


def test_the_oasis_schema_refuses_what_is_none() -> None:
    """The validation can fail."""
    found = json.loads(text(REPORTS["every state"], ".sarif"))
    assert oasis().is_valid(found)
    for change in ({"level": "fatal"}, {"message": "text"}, {"ruleIndex": -2}, {"zzz": 1}):
        bad = json.loads(json.dumps(found))
        bad["runs"][0]["results"][0] |= change
        assert not oasis().is_valid(bad), change


@pytest.mark.parametrize("name", REPORTS)
def test_sarif_is_as_the_standard_says_and_has_everything(name: str) -> None:
    made = REPORTS[name]
    found = run_of(made)
    rules = [rule["id"] for rule in found["tool"]["driver"]["rules"]]
    assert len(set(rules)) == len(rules)
    assert all(rules[one["ruleIndex"]] == one["ruleId"] for one in found["results"])
    assert {one["ruleId"] for one in found["results"]} == set(rules)
    told = [(one["ruleId"], one["level"], one["partialFingerprints"]["place/v1"]) for one in found["results"]]
    assert told[: len(made.findings)] == [(one.code, one.severity.value, one.fingerprint) for one in made.findings]
    for one, finding in zip(found["results"], made.findings, strict=False):
        status = None if finding.accepted is None else "rejected" if finding.counts else "accepted"
        assert [each["status"] for each in one.get("suppressions", ())] == ([status] if status else [])
    wanted = Counter(
        ending.state.value
        for verdict in made.verdicts
        for ending in verdict.endings
        if ending.state in (State.DROPPED, State.MISMATCHED, State.UNPROVEN)
    )
    for verdict in made.verdicts:
        wanted.update("leaked" if one.certainty is Certainty.PROVED else "unproven" for one in verdict.leaks)
        wanted["unproven"] += len(verdict.questions)
    assert Counter(rule for rule, _, _ in told[len(made.findings) :]) == +wanted
    for one in found["results"][len(made.findings) :]:
        still_open = one["ruleId"] == "unproven"
        assert (one.get("kind", "fail"), one["level"]) == (("open", "none") if still_open else ("fail", "error"))


def test_what_is_accepted_is_marked_so() -> None:
    """Somebody's name and reason are in every form for people and programs, and nothing fails for it."""
    made = REPORTS["accepted"]
    assert made.accepted
    words = "accepted by A. Example until 2026-03-31, and nothing says when this survey was taken: until Monday"
    (one,) = [one for one in run_of(made)["results"] if "suppressions" in one]
    assert one["suppressions"][0] == {"kind": "external", "status": "accepted", "justification": words}
    assert words in text(made, ".csv")
    assert "## Accepted, and not counted" in text(made, ".md")
    assert words.split(" until")[0] in text(made, ".md")
    assert suites(made).attrib["failures"] == "0"
    assert [row.state for row in records(made) if row.record == "finding"] == [
        f"accepted {finding.severity.value}" for finding in made.findings
    ]


def test_rules_are_the_manual_pages(demo: tuple[Report, Path]) -> None:
    from vlancheck.checks import checks

    pages = {check.code: check for check in checks()}
    met = 0
    for rule in run_of(demo[0])["tool"]["driver"]["rules"]:
        if rule["id"] in pages:
            met += 1
            assert rule["shortDescription"]["text"] == pages[rule["id"]].name
            assert unescaped(rule["help"]["text"]) == pages[rule["id"]].manual.strip()
            assert " ".join(pages[rule["id"]].manual.split()).startswith(unescaped(rule["fullDescription"]["text"]))
    assert met >= 6


def test_every_place_of_sarif_is_a_line_that_is_there(demo: tuple[Report, Path], closet: tuple[Report, Path]) -> None:
    """Paths lead from the folder of the site to a file, and the snippet stands in the line."""
    for made, folder in (demo, closet):
        seen = 0
        for place in physical(run_of(made, folder.as_posix())):
            where = place["artifactLocation"]
            assert where["uriBaseId"] == "SITE"
            parts = urlsplit(where["uri"])
            assert (parts.scheme, parts.netloc, parts.query, parts.fragment) == ("", "", "", "")
            assert not where["uri"].startswith("/")
            lines = (folder / unquote(where["uri"])).read_text(encoding="utf-8").splitlines()
            if "region" in place:
                seen += 1
                snippet = place["region"]["snippet"]["text"].split("\n")[0].strip()
                assert snippet in " ".join(lines[place["region"]["startLine"] - 1 :][:1]) or "***" in snippet
        assert seen > 20


def physical(node: Any) -> Iterator[dict[str, Any]]:
    """Yield every physical location."""
    for key, below in node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ():
        if key == "physicalLocation":
            yield below
        yield from physical(below)


def test_the_way_of_what_is_dropped_is_a_flow(demo: tuple[Report, Path], closet: tuple[Report, Path]) -> None:
    """Its hops are the ports of the path, in order, and its end is the place where the copy dies."""
    flows = 0
    for made, _ in (demo, closet):
        found = [one for one in run_of(made)["results"] if one["ruleId"] in ("dropped", "mismatched")]
        bad = [
            ending
            for verdict in made.verdicts
            for ending in verdict.endings
            if ending.state in (State.DROPPED, State.MISMATCHED)
        ]
        by_place = {one["codeFlows"][0]["message"]["text"]: one for one in found if "codeFlows" in one}
        assert len(by_place) == sum(bool(ending.path) for ending in bad)
        for ending in bad:
            if not ending.path:
                continue
            one = next(one for words, one in by_place.items() if f" at {ending.stop.name}, {ending.frame}:" in words)
            (flow,) = one["codeFlows"][0]["threadFlows"]
            steps = flow["locations"]
            assert [step["executionOrder"] for step in steps] == list(range(1, len(steps) + 1))
            hops = [step for step in steps if not step["nestingLevel"] and step.get("importance") != "essential"]
            names = [step["location"]["logicalLocations"][0]["fullyQualifiedName"] for step in hops]
            assert names == [hop.port for hop in ending.path]
            assert ending.reason is not None
            last = [step for step in steps if step.get("importance") == "essential"]
            assert last[0]["location"]["message"]["text"] == ending.reason.words
            flows += 1
    assert flows >= 4


def unescaped(message: str) -> str:
    """Return a message as a viewer shows it; asserts that it has no placeholder and no link."""
    bare = message.replace("{{", "").replace("}}", "")
    assert "{" not in bare
    assert "}" not in bare
    assert not re.search(r"(?<!\\)\](?=\()", message)
    return message.replace("{{", "{").replace("}}", "}").replace("\\](", "](")


@pytest.mark.parametrize("name", HOSTILE)
def test_no_text_of_sarif_is_a_link_or_a_placeholder(name: str) -> None:
    words = HOSTILE[name]
    found = run_of(hostile_report(words))
    calm = run_of(hostile_report(PLAIN))
    messages = [node["text"] for node in dicts(found) if "text" in node and "startLine" not in node]
    assert any(clean(words) in message or clean(words) in unescaped_or(message) for message in messages)
    assert shape(found) == shape(calm)
    for one in physical(found):
        assert re.fullmatch(r"[A-Za-z0-9._~!$&'()*+,;=:@/%-]+", one["artifactLocation"]["uri"])
    results = [one["message"]["text"] for one in found["results"]]
    assert all(unescaped(message) for message in results)


def unescaped_or(message: str) -> str:
    return message.replace("{{", "{").replace("}}", "}").replace("\\](", "](")


def dicts(node: Any) -> Iterator[dict[str, Any]]:
    if isinstance(node, dict):
        yield node
    for below in node.values() if isinstance(node, dict) else node if isinstance(node, list) else ():
        yield from dicts(below)


def shape(node: Any) -> Any:
    """Return a document without its texts."""
    if isinstance(node, dict):
        return {key: shape(below) for key, below in node.items()}
    return [shape(one) for one in node] if isinstance(node, list) else type(node)


# ---- JUnit -------------------------------------------------------------------------------------------------------

# What the elements of JUnit XML may have, after the schema of the Apache Ant tasks that first wrote it: attributes, and
# elements below.  Output beside a case is of the later forms.
ATTRIBUTES = {
    "testsuites": {"name", "tests", "failures", "errors", "time"},
    "testsuite": {"name", "tests", "failures", "errors", "skipped", "time"},
    "testcase": {"classname", "name", "time"},
    "failure": {"message", "type"},
    "skipped": {"message"},
    "system-out": set(),
}
BELOW = {"testsuites": {"testsuite"}, "testsuite": {"testcase"}, "testcase": {"failure", "skipped", "system-out"}}


def suites(made: Report) -> ElementTree.Element:
    """Return the root of a document whose elements and numbers are right."""
    root = ElementTree.fromstring(document(made, ".junit.xml"))
    assert root.tag == "testsuites"
    for node in root.iter():
        assert set(node.attrib) == ATTRIBUTES[node.tag]
        assert {child.tag for child in node} <= BELOW.get(node.tag, set())
        if node.tag in BELOW and node.tag != "testcase":
            cases = list(node.iter("testcase"))
            assert int(node.attrib["tests"]) == len(cases)
            for key, tag in (("failures", "failure"), ("skipped", "skipped")):
                if key in node.attrib:
                    assert int(node.attrib[key]) == sum(case.find(tag) is not None for case in cases)
            assert (node.attrib["errors"], node.attrib["time"]) == ("0", "0")
        if node.tag == "testcase":
            assert len(node) <= 1
            assert node.attrib["name"]
    return root


@pytest.mark.parametrize("name", REPORTS)
def test_junit_has_a_case_for_everything(name: str) -> None:
    made = REPORTS[name]
    root = suites(made)
    titles = [wording.title(one) for one in made.verdicts]
    by_name = [suite.attrib["name"] for suite in root]
    assert by_name[: len(titles) + 1] == [*titles, "findings"]
    for suite, verdict in zip(root, made.verdicts, strict=False):
        wanted = []
        for ending in verdict.endings:
            if ending.state is State.CARRIED:
                wanted.append("pass")
            else:
                wanted.append("skipped" if ending.state in (State.UNPROVEN, State.NOT_YET) else "failure")
        wanted += ["failure" if leak.certainty is Certainty.PROVED else "skipped" for leak in verdict.leaks]
        wanted += ["skipped"] * len(verdict.questions)
        assert [case[0].tag if len(case) else "pass" for case in suite] == wanted
        for case, ending in zip(suite, verdict.endings, strict=False):
            if len(case) and ending.reason:
                assert ending.reason.words in case[0].attrib["message"]
    cases = list(root[len(titles)])[: len(made.findings)]
    told = [(case.attrib["classname"].split()[0], case[0].tag) for case in cases]
    assert told == [
        (one.code, "failure" if one.severity.value == "error" and one.counts else "system-out") for one in made.findings
    ]
    assert root.attrib["failures"] != "0" or made.verdict != "faulty"
    assert any(suite.attrib["skipped"] != "0" for suite in root) >= (made.verdict == "unproven")


def test_junit_skips_what_is_not_yet_done_and_what_cannot_be_compared(closet: tuple[Report, Path]) -> None:
    _, folder = closet
    made = open_site(folder).verify(only=["PANEL-A:01"])
    assert made.not_yet
    root = suites(made)
    waiting = next(suite for suite in root if suite.attrib["name"] == "not yet done")
    assert [case[0].attrib["message"] for case in waiting] == [one.why for one in made.not_yet]
    whole, _ = closet
    assert whole.comparison is not None
    compared = [suite for suite in suites(whole) if suite.attrib["name"].startswith("compared")]
    assert sum(len(suite) for suite in compared) == len(whole.comparison.open)


@pytest.mark.parametrize("name", HOSTILE)
def test_no_text_of_junit_is_an_element(name: str) -> None:
    found, calm = suites(hostile_report(HOSTILE[name])), suites(hostile_report(PLAIN))
    assert [node.tag for node in found.iter()] == [node.tag for node in calm.iter()]
    told = [
        *(value for node in found.iter() for value in node.attrib.values()),
        *(node.text or "" for node in found.iter()),
    ]
    assert sum(one_line(HOSTILE[name]) in one for one in told) > 5


# ---- CSV and workbook --------------------------------------------------------------------------------------------


def csv_rows(made: Report) -> list[list[str]]:
    """Return the rows of a CSV file as RFC 4180 reads them."""
    data = document(made, ".csv")
    assert data.startswith(b"\xef\xbb\xbf")
    found = data.decode("utf-8-sig")
    assert found.endswith("\r\n")
    assert found.replace("\r\n", "").count("\n") == found.replace("\r\n", "").count("\r") == 0
    rows = list(csv.reader(io.StringIO(found, newline=""), strict=True))
    assert len({len(row) for row in rows}) == 1
    return rows


@pytest.mark.parametrize("name", [*REPORTS, *HOSTILE])
def test_csv_and_workbook_have_every_row_and_no_formula(name: str) -> None:
    made = hostile_report(HOSTILE[name]) if name in HOSTILE else REPORTS[name]
    due = list(records(made))
    head, *rows = csv_rows(made)
    assert head == [field.replace("_", " ") for field in Record.__slots__]
    assert [[unguarded(cell) for cell in row] for row in rows] == [list(one.cells(Record.__slots__)) for one in due]
    assert not [cell for row in rows for cell in row if cell[:1] in ("=", "+", "-", "@", "\t", "\r", "\n")]

    book = load_workbook(io.BytesIO(document(made, ".xlsx")))
    assert book.sheetnames == ["endings", "findings", "changes"]
    told = 0
    for tab in book:
        for row in tab.iter_rows():
            assert all(cell.data_type in ("s", "n") for cell in row)
            assert all(cell.data_type == "s" and cell.quotePrefix for cell in row if cell.value is not None)
        told += tab.max_row - 1
    assert told == len(due)
    if name in HOSTILE:
        cells = {str(cell.value) for tab in book for row in tab.iter_rows() for cell in row}
        assert one_line(HOSTILE[name]) in cells
        assert any(one_line(HOSTILE[name]) == unguarded(cell) for row in rows for cell in row)


def test_rows_are_what_the_report_says(demo: tuple[Report, Path]) -> None:
    made, _ = demo
    due = list(records(made))
    count = Counter(one.record for one in due)
    assert count["ending"] == sum(len(one.endings) for one in made.verdicts)
    assert count["leak"] == sum(len(one.leaks) for one in made.verdicts)
    assert count["question"] == sum(len(one.questions) for one in made.verdicts)
    assert count["finding"] == len(made.findings)
    assert made.comparison is not None
    changes = sum(len(one.changes) for one in made.comparison.causes)
    assert count["change"] == changes + len(made.comparison.moves) + len(made.comparison.missing)
    assert count["open"] == len(made.comparison.open)
    lost = next(one for one in due if one.record == "ending" and one.state == "dropped" and one.name == "Internet")
    assert (lost.tag, lost.port, lost.file) == ("320", "RTR-1:GigabitEthernet0/0", "captures/as-left/core-1.log")
    assert "switchport trunk allowed vlan 20,30" in lost.text
    assert lost.line.isdecimal()


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_workbook_is_laid_out_for_paper(demo: tuple[Report, Path], paper: str) -> None:
    book = load_workbook(io.BytesIO(document(demo[0], ".xlsx", paper=paper)))
    for tab in book:
        assert tab.freeze_panes == "A2"
        assert tab.auto_filter.ref == tab.dimensions
        assert tab.print_title_rows == "$1:$1"
        assert tab.page_setup.orientation == "landscape"
        (area,) = [ref.replace("$", "") for ref in tab.print_area.split("!")[1:]]
        assert area.startswith("A1:")
        assert area.endswith(str(tab.max_row))
        last = [cell.value for row in tab[area][:1] for cell in row]
        assert last[-len(BLANKS) :] == [heading for heading, _ in BLANKS]
        widths = [tab.column_dimensions[cell.column_letter].width for cell in tab[area][0]]
        assert sum(widths) < 170, "letters on the long side of the paper, so that they stay 9 points high or more"
    sizes = {tab.page_setup.paperSize for tab in book}
    assert {int(size) for size in sizes} == {{"a4": 9, "letter": 1}[paper]}


# ---- Markdown ----------------------------------------------------------------------------------------------------


def tokens(markdown: str) -> list[Token]:
    """Return what a reader of CommonMark with tables and strikethrough makes of a text."""
    several = MarkdownIt("commonmark").enable(["table", "strikethrough"]).parse(markdown)
    return [token for outer in several for token in (outer, *(outer.children or ()))]


@pytest.mark.parametrize("name", HOSTILE)
def test_no_text_of_markdown_is_markup(name: str) -> None:
    """The same elements as with harmless words, no HTML, link or image, and the words as they were."""
    found, calm = tokens(text(hostile_report(HOSTILE[name]), ".md")), tokens(text(hostile_report(PLAIN), ".md"))
    kept = [one.type for one in found if one.type not in ("text", "text_special")]
    assert kept == [one.type for one in calm if one.type not in ("text", "text_special")]
    assert not {"html_block", "html_inline", "link_open", "image"} & set(kept)
    words = "".join(one.content if one.type != "inline" else "\n" for one in found)
    assert words.count(one_line(HOSTILE[name])) > 8
    bare = re.sub("`[^`]*`", "", text(hostile_report("https://example.net www.example.net"), ".md"))
    assert "example.net" in bare
    assert not re.search(r"https://|www\.", bare), "nothing for those that make links of addresses"


def test_markdown_has_findings_changes_and_what_to_type(demo: tuple[Report, Path]) -> None:
    made, _ = demo
    found = text(made, ".md")
    words = "".join(one.content if one.type != "inline" else "\n" for one in tokens(found))
    assert wording.sentence(made) in words
    for finding in made.findings:
        assert finding.headline in words
        assert finding.fingerprint in words
        for where in finding.where:
            assert (where.origin.place or where.origin.text) in words
    for verdict in made.verdicts:
        assert verdict.headline in words
    assert made.mends
    assert "## To mend it" in found
    for mend in made.mends:
        for step in mend.steps:
            assert all(line in found for line in step.lines)
    assert made.comparison is not None
    assert all(cause.place.words in words for cause in made.comparison.causes)


# ---- lines -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [*HOSTILE, "new line"])
def test_a_record_stays_one_line(name: str) -> None:
    """No name makes a second line in a file of lines, and no control character is at work."""
    words = HOSTILE.get(name, "two\nlines.txt:1: error X999 forged")
    made = replace(hostile_report(HOSTILE.get(name, PLAIN)), site=words, survey=words, notes=(words,))
    calm = hostile_report(PLAIN)
    for ending in (".txt", ".jsonl", ".json"):
        found = text(made, ending)
        assert not re.search("[\x00-\x08\x0b-\x1f]", found.replace("\\u", "")), ending
        if ending != ".json":
            assert found.count("\n") == text(calm, ending).count("\n"), ending
            assert found.endswith("\n")
    for line in text(made, ".jsonl").splitlines():
        assert json.loads(line)["schema"] == "vlancheck/records/1"


def test_json_is_the_document_of_verify(demo: tuple[Report, Path]) -> None:
    made, _ = demo
    assert json.loads(document(made, ".json")) == made.to_dict()


# ---- the command -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("ending", [ending for ending in ENDINGS if ending != ".xlsx"])
def test_a_report_is_the_same_wherever_the_site_is(closet: tuple[Report, Path], tmp_path: Path, ending: str) -> None:
    """Files of the site are named from its folder, so that no path of somebody's machine is in a report."""
    moved = open_site(write_closet(tmp_path / "elsewhere")).verify()
    assert document(moved, ending) == document(closet[0], ending)
    assert str(closet[1]).encode() not in document(closet[0], ending)


def test_names_say_the_form() -> None:
    assert [ending_of(Path(f"a.b{ending}")) for ending in ENDINGS] == list(ENDINGS)
    assert ending_of(Path("CHECKS.JUNIT.XML")) == ".junit.xml"
    assert ending_of(Path("x.XML")) == ".xml"
    assert document(REPORTS["every state"], ".xml") == document(REPORTS["every state"], ".junit.xml")
    for name in ("report.pdf", "report", ".html.bak", "report."):
        with pytest.raises(UsageError) as told:
            ending_of(Path(name))
        assert all(ending in told.value.hint for ending in ENDINGS)


def test_the_command_takes_the_surveys_that_are_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = write_closet(tmp_path / "site")
    site = open_site(folder)
    out = tmp_path / "report.json"

    def made(*words: str) -> dict[str, Any]:
        out.unlink(missing_ok=True)
        assert run("report", folder, "-o", out, *words) in (0, 1, 3)
        assert capsys.readouterr().out.startswith(f"{tmp_path}")
        return dict(json.loads(out.read_text(encoding="utf-8")))

    def same(found: dict[str, Any], due: Report) -> bool:
        return (found["survey"], found.get("before", "")) == (due.survey, due.before) and found == due.to_dict()

    assert same(made(), site.verify("as-found", "as-left"))
    assert same(made("--survey", "as-left"), site.audit("as-left"))
    assert same(made("--before", "as-left", "--after", "as-found"), site.verify("as-left", "as-found"))
    assert same(made("--after", "as-left"), site.verify("as-found", "as-left"))
    for path in [*(folder / "captures/as-left").iterdir(), folder / "patching/as-left.csv"]:
        path.unlink()
    (folder / "captures/as-left").rmdir()
    assert same(made(), open_site(folder).audit("as-found"))


def test_the_exit_code_is_that_of_the_answer(closet: tuple[Report, Path], tmp_path: Path) -> None:
    made, folder = closet
    assert run("report", folder, "-o", tmp_path / "a.md") == made.exit_code == 1
    clean_site = tmp_path / "empty"
    clean_site.mkdir()
    (clean_site / "site.yaml").write_text("site: nothing declared\n", encoding="utf-8")
    (clean_site / "captures/as-found").mkdir(parents=True)
    (clean_site / "captures/as-found/a.txt").write_text("hostname A\ninterface Gi0/1\n", encoding="utf-8")
    assert run("report", clean_site, "-o", tmp_path / "b.xml") == 3
    root = ElementTree.fromstring((tmp_path / "b.xml").read_bytes())
    assert [suite.attrib["skipped"] for suite in root if suite.attrib["skipped"] != "0"] == ["1"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("-o", "report.pdf"), "report.pdf: a report is not written to .pdf files"),
        (("-o", "report"), "the name does not say what to write"),
        (("-o", "r.md", "--survey", "as-built"), "there is no survey 'as-built'"),
        (("-o", "r.md", "--survey", "as-found", "--after", "as-left"), "--survey is one state"),
        (("-o", "no/r.md"), "cannot be written"),
    ],
)
def test_what_cannot_be_done_is_said_and_nothing_is_written(
    words: tuple[str, ...],
    told: str,
    closet: tuple[Report, Path],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("report", closet[1], *words) == 2
    assert told in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []
