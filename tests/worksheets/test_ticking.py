"""The page on a tablet: ticks are kept, come back, are saved as a document, and nothing is lost silently."""

from __future__ import annotations

import html
import json
import re
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from vlancheck.report.worksheets_html import html_page
from vlancheck.site.ticks import SCHEMA

from .browser import after_script, needed
from .nights import example_book, sheet

DRIVER = """<script>
function fill(sheet, number, blank, value) {
  const cell = document.querySelector('#' + sheet + ' tr[data-number="' + number + '"] td[data-blank="' + blank + '"]');
  const field = cell.querySelector("input, select");
  if (field.type === "checkbox") { field.checked = value; } else { field.value = value; }
  field.dispatchEvent(new Event("input", { bubbles: true }));
}
window.onerror = (words) => { document.documentElement.dataset.fault = words; };
%s
const out = document.createElement("pre");
out.id = "saved";
out.textContent = window.vlancheckTicks();
document.body.append(out);
</script></body>"""


@pytest.fixture(autouse=True)
def browser() -> None:
    needed()


def driven(steps: str, folder: Path, before: str = "") -> str:
    """Return the elements of the page after some steps; its policy would not let the driver in, so it is taken out."""
    text = re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*>', before, html_page(example_book()))
    found = after_script(text.replace("</body>", DRIVER % steps), folder)
    assert not re.search("<html[^>]*data-fault", found), found[:300]
    return found


def saved(found: str) -> dict[str, Any]:
    """Return the document that the page would save."""
    (text,) = re.findall(r'<pre id="saved">(.*?)</pre>', found, re.S)
    return dict(json.loads(html.unescape(text)))


def test_ticks_are_saved_with_who_when_what_and_result(tmp_path: Path) -> None:
    keys = [row.key for row in sheet(example_book(), "acceptance").rows]
    phone, other = (keys.index(key) + 1 for key in ("PANEL-A:03", "PANEL-A:04"))
    steps = f"""
    document.getElementById("who").value = "Lee";
    fill("removal", 1, "called", true);
    fill("re-patch", 2, "patched", "pass");
    fill("acceptance", {phone}, "result", "fail");
    fill("acceptance", {phone}, "seen", "no <b>tone</b>");
    fill("acceptance", {other}, "result", "pass");
    fill("acceptance", {other}, "result", "");
    """
    document = saved(driven(steps, tmp_path))
    listed = json.loads((files("vlancheck") / "schemas/ticks.schema.json").read_text(encoding="utf-8"))
    Draft202012Validator(listed).validate(document)
    assert (document["schema"], document["site"]) == (SCHEMA, example_book().site)
    assert (document["before"], document["survey"]) == ("as-found", "as-planned")
    rows = {(tick["sheet"], tick["column"]): tick for tick in document["ticks"]}
    assert len(rows) == len(document["ticks"]) == 4, "a result that is taken back is no tick"
    patched = rows["re-patch", "patched"]
    assert (patched["key"], patched["result"], patched["who"]) == ("PANEL-A:02", "pass", "Lee")
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d", patched["when"])
    failed = rows["acceptance", "result"]
    assert (failed["result"], failed["key"]) == ("fail", "PANEL-A:03")
    assert "one call out and one in" in failed["what"]
    assert rows["acceptance", "seen"]["said"] == "no <b>tone</b>"
    assert rows["acceptance", "seen"]["result"] == "not tested"
    assert rows["removal", "called"]["result"] == "pass"


def test_ticks_come_back_when_the_page_is_opened_again(tmp_path: Path) -> None:
    driven('document.getElementById("who").value = "Lee"; fill("re-patch", 2, "patched", "pass");', tmp_path)
    found = driven("", tmp_path)
    assert [(tick["key"], tick["who"]) for tick in saved(found)["ticks"]] == [("PANEL-A:02", "Lee")]
    assert "1 entries, kept in this browser" in found


def test_a_browser_that_keeps_nothing_is_told(tmp_path: Path) -> None:
    refuses = (
        """<script>Object.defineProperty(window, "localStorage", { get() { throw new Error("no"); } });</script>"""
    )
    found = driven('fill("re-patch", 2, "patched", "pass");', tmp_path, refuses)
    assert "THIS BROWSER KEEPS NOTHING" in found
    assert len(saved(found)["ticks"]) == 1


def test_without_a_name_the_page_asks_for_one(tmp_path: Path) -> None:
    found = driven('fill("re-patch", 2, "patched", "pass");', tmp_path)
    assert "a pass without a name proves nothing" in found


def test_the_policy_lets_the_script_run_and_no_other(tmp_path: Path) -> None:
    text = html_page(example_book())
    assert 'data-file="ready"' in after_script(text, tmp_path)
    refused = text.replace("</body>", "<script>document.body.append('INTRUDER RAN')</script></body>")
    assert "<p>INTRUDER" not in after_script(refused, tmp_path)
    assert after_script(refused, tmp_path).count("INTRUDER RAN") == 1, "its own text, and nothing that it wrote"
