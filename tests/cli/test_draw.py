"""`draw` on the command line: every format by its suffix, and one clear message where it cannot."""

from __future__ import annotations

from pathlib import Path

import pytest

from vlancheck.example import write_site

from .running import run


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("draw") / "site"
    write_site(folder)
    return folder


@pytest.mark.parametrize(
    ("name", "start"),
    [
        ("closet.svg", "<svg "),
        ("CLOSET.SVG", "<svg "),
        ("closet.dot", "graph closet {"),
        ("closet.mmd", "flowchart LR"),
        ("closet.mermaid", "flowchart LR"),
        ("closet.graphml", '<?xml version="1.0"'),
    ],
)
def test_the_suffix_tells_the_format(
    site: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, start: str
) -> None:
    assert run("draw", site, "-o", tmp_path / name) == 0
    assert (tmp_path / name).read_text(encoding="utf-8").startswith(start)
    assert capsys.readouterr().out.endswith("Harrow Lane Library, basement closet, as-found: 12 boxes, 41 lines\n")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("-o", "closet.png"), "closet.png: its name does not tell how to draw"),
        (("-o", "closet"), "closet: its name does not tell how to draw"),
        (("-o", "a.svg", "--diff", "--vlan", "3"), "--diff shows what changed, not one survey"),
        (("-o", "a.svg", "--before", "as-found"), "--before and --after go with --diff"),
        (("-o", "a.svg", "--vlan", "3", "--service", "Internet"), "cannot be shown at once"),
        (("-o", "a.svg", "--vlan", "4095"), "4095 is no VLAN"),
        (("-o", "a.svg", "--service", "Internot"), "no service or VLAN is called 'Internot'"),
        (("-o", "a.svg", "--survey", "as-lost"), "there is no survey 'as-lost'"),
        (("-o", "no/such/folder/a.svg"), "cannot be written"),
    ],
    ids=lambda one: " ".join(one) if isinstance(one, tuple) else "",
)
def test_what_cannot_be_drawn_is_one_message(
    site: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    words: tuple[str, ...],
    said: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("draw", site, *words) == 2
    captured = capsys.readouterr()
    assert said in captured.err
    assert captured.out == ""
    assert [*tmp_path.iterdir()] == []


def test_a_survey_that_cannot_be_read_does_not_keep_another_from_being_drawn(tmp_path: Path) -> None:
    """Only the survey that is asked for must be right; the others tell where boxes lie."""
    write_site(tmp_path / "site")
    (tmp_path / "site/patching/as-left.csv").write_text("one,two\n", encoding="utf-8")
    assert run("draw", tmp_path / "site", "-o", tmp_path / "closet.svg") == 0
    assert run("draw", tmp_path / "site", "-o", tmp_path / "changes.svg", "--diff") == 2
