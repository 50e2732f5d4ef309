"""A browser draws and prints what the file says: no text is wider than it was taken to be, or too small."""

from __future__ import annotations

import base64
import json
import re
from pathlib import Path

from worksheets import browser

from vlancheck.drawing.texts import width
from vlancheck.example import write_site
from vlancheck.pipeline import open_site
from vlancheck.report import draw_svg

from .measuring import BOLD, SIZES, classes, read

_MEASURE = """<script>
const rows = [...document.querySelectorAll('svg text')].map(
  (one) => [one.getAttribute('class').split(' ')[0], one.textContent, one.getComputedTextLength(),
            parseFloat(getComputedStyle(one).fontSize)]);
const out = document.createElement('pre');
out.id = 'measured';
out.textContent = btoa(unescape(encodeURIComponent(JSON.stringify(rows))));
document.body.append(out);
</script>"""


def test_printed_text_is_at_least_nine_points_high(tmp_path: Path) -> None:
    """By itself a drawing is printed at its full size, on one page."""
    browser.needed()
    write_site(tmp_path / "site")
    text = draw_svg.text(open_site(tmp_path / "site").draw("as-left", service="Internet"))
    root = read(text)
    text = text.replace("<svg ", "<svg display=block ", 1)
    page = f"<!DOCTYPE html><meta charset=utf-8><body style='margin: 0'>{text}"
    pages = browser.printed(page, tmp_path)
    wide = float(root.get("width", "").removesuffix("pt"))
    assert abs(pages[0].width - wide) < 2
    words = [word for page in pages for word in page.words]
    assert {"PANEL-B", "lost", "Gi1/0/17"} <= {word.text for word in words}
    assert min(word.bottom - word.top for word in words) >= 9


def test_no_text_is_wider_than_it_was_taken_to_be(tmp_path: Path) -> None:
    browser.needed()
    write_site(tmp_path / "site")
    text = draw_svg.text(open_site(tmp_path / "site").draw_changes())
    root = read(text)
    count = sum(one.tag.endswith("}text") for one in root.iter())
    page = f"<!DOCTYPE html><meta charset=utf-8><body>{text}{_MEASURE}</body>"
    found = re.search(r'<pre id="measured">([^<]+)</pre>', browser.after_script(page, tmp_path))
    assert found is not None
    rows = json.loads(base64.b64decode(found[1]))
    assert len(rows) == count > 100
    for name, words, wide, size in rows:
        assert size == SIZES.get(name, 9.0), (name, words)
        assert wide <= width(words, size, bold=name in BOLD), (name, words)
    assert max(wide for _, _, wide, _ in rows) > 50
    assert "closet" in classes(root)
