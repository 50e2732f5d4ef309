"""On the page, a VLAN or a service is chosen and inked as its ways say: tried in a browser, without any script."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from worksheets.browser import after_script, needed

from vlancheck import open_site
from vlancheck.example import write_site
from vlancheck.report.page import page

SCRIPT = """
<script>
const told = [];
for (const box of document.querySelectorAll('input[name=ink]')) {
  box.checked = true;
  const inked = [...document.querySelectorAll('.line')].filter(
    (line) => getComputedStyle(line.querySelector('path')).strokeWidth === '2.6px').map((line) => line.id);
  const words = [...document.querySelectorAll('.mark[data-ink]')].filter(
    (word) => getComputedStyle(word).display !== 'none').map((word) => word.textContent);
  told.push(box.value + ' | ' + inked.sort().join(' ') + ' | ' + words.sort().join(','));
}
document.body.textContent = told.join('\\n');
</script>
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """The built-in site, and its page with the drawing in it."""
    folder = tmp_path_factory.mktemp("site")
    write_site(folder)
    site = open_site(folder)
    return folder, page(site.verify(), site.draw("as-left", inks=True, before="as-found"))


def test_the_choice_is_there_and_nothing_runs(made: tuple[Path, str]) -> None:
    """One choice for each thing declared and one for nothing, every id once, and no script."""
    text = made[1]
    report = open_site(made[0]).audit("as-left")
    assert len(re.findall(r'<input[^>]*name="ink"', text)) == len(report.verdicts) + 1
    ids = re.findall(r'\sid="([^"]+)"', text)
    assert len(ids) == len(set(ids))
    assert "<script" not in text


def test_a_page_without_a_drawing_has_no_choice(made: tuple[Path, str]) -> None:
    assert 'name="ink"' not in page(open_site(made[0]).verify())


def test_what_is_chosen_is_inked(made: tuple[Path, str], tmp_path: Path) -> None:
    """In a browser: the lines inked are those that carry the choice, and its words are shown and no others."""
    needed()
    loose = re.sub(r"<meta[^>]*Content-Security-Policy[^>]*>", "", made[1])
    told = after_script(loose.replace("</body>", f"{SCRIPT}</body>"), tmp_path)
    shown = {
        key: (lines.split(), words.split(",") if words else [])
        for key, lines, words in re.findall(r"^(?:.*<body>)?([\w-]+) \| ([^|]*) \| ([^|<\n]*)", told, re.M)
    }
    drawing = open_site(made[0]).draw("as-left", inks=True, before="as-found")
    inks = {ink.key: ink for ink in drawing.picture.inks}
    assert set(shown) == {"none", *inks}
    assert shown["none"] == ([], [])
    for key, ink in inks.items():
        certain = sum(ink.lines.values())
        assert len(shown[key][0]) == len(ink.lines), key
        assert certain <= len(ink.lines)
        assert sorted(set(shown[key][1])) == sorted({mark.sort.value for mark in ink.marks}), key


def test_the_choice_says_what_the_report_says(made: tuple[Path, str]) -> None:
    """A capture from before the move proves nothing in the drawing either."""
    site = open_site(made[0])
    drawing = site.draw("as-left", inks=True, before="as-found")
    told = [verdict.headline for verdict in site.verify().verdicts]
    assert [ink.words for ink in drawing.picture.inks] == told
    assert "1 dropped, 2 unproven, 2 carried" in told
