"""JUnit XML is as a published schema of it says; `standards/README.md` says whose."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest
from xmlschema import XMLSchema

from vlancheck.example import write_site
from vlancheck.pipeline import open_site
from vlancheck.report.documents import document

from .sites import hostile_report, reports, write_closet

SCHEMA = XMLSchema(Path(__file__).parent / "standards/junit-10.xsd")


def faults(data: bytes) -> list[str]:
    """Return what a document has that the schema does not, or lacks."""
    return [str(one.reason) for one in SCHEMA.iter_errors(ElementTree.fromstring(data))]


def test_every_report_is_as_the_schema_says() -> None:
    """The examples of all checks, and texts that would be markup."""
    several = [made for _, made in reports()] + [hostile_report(words) for words in ("<b>&amp;", "]]>", "\x1b[31m")]
    assert [fault for made in several for fault in faults(document(made, ".junit.xml"))] == []


def test_folders_are_as_the_schema_says(tmp_path: Path) -> None:
    """The built-in closet and a small one, also while a night goes on."""
    write_site(tmp_path / "demo")
    demo, closet = open_site(tmp_path / "demo"), open_site(write_closet(tmp_path / "closet"))
    several = [demo.audit(), demo.verify(), closet.verify(), closet.verify(only=["PANEL-A:01"])]
    assert [fault for made in several for fault in faults(document(made, ".junit.xml"))] == []


@pytest.mark.parametrize(
    ("good", "bad"),
    [
        (b"<testsuites ", b'<testsuites skipped="0" '),
        (b"testcase", b"case"),
        (b' name="findings"', b""),
        (b' time="0"', b' time="soon"'),
    ],
)
def test_what_the_form_does_not_have_is_noticed(tmp_path: Path, good: bytes, bad: bytes) -> None:
    data = document(open_site(write_closet(tmp_path)).verify(), ".junit.xml")
    assert faults(data) == []
    changed = data.replace(good, bad)
    assert changed != data
    assert faults(changed) != []
