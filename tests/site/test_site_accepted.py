"""`accepted:` of site.yaml: entries as written, and every entry that is not right."""

from __future__ import annotations

from pathlib import Path

import pytest
from closets import declared, folder

from vlancheck.errors import SiteError
from vlancheck.places import fingerprint
from vlancheck.site.declaration import read_declaration

MARK = fingerprint("U103", ["ACC-1:1"])
ENTRY = f"{{finding: {MARK}, code: U103, why: known, by: A. Example"


def test_an_entry_is_read_with_all_that_it_says(tmp_path: Path) -> None:
    (one,) = declared(
        tmp_path / "s",
        f"""\
        site: test
        surveys: {{as-found: {{}}, as-left: {{}}}}
        accepted:
          - finding: {MARK}
            code: U103
            at: "ACC-1:1"
            why: saved on Monday
            by: A. Example
            until: 2026-03-31
            severity: note
            times: 2
            survey: as-left
        """,
    ).accepted

    assert (one.finding, one.code, one.at) == (MARK, "U103", ("ACC-1:1",))
    assert (one.why, one.by) == ("saved on Monday", "A. Example")
    assert (one.until, one.severity, one.times, one.surveys) == ("2026-03-31", "note", 2, ("as-left",))
    assert (one.where.file.endswith("site.yaml"), one.where.line) == (True, 4)
    assert one.called == "U103 at ACC-1:1"


def test_a_fingerprint_of_digits_alone_is_text(tmp_path: Path) -> None:
    """What YAML would take for a number keeps its zeros."""
    text = "accepted: [{finding: 0012345678901e23, code: U103, why: known, by: A}]"
    (one,) = declared(tmp_path / "s", text).accepted
    assert one.finding == "0012345678901e23"
    assert (one.at, one.until, one.severity, one.times, one.surveys) == ((), "", "warning", 1, ())


def test_the_list_may_be_a_file_of_its_own(tmp_path: Path) -> None:
    root = folder(tmp_path / "s", "site: test\naccepted: accepted.yaml\n")
    (root / "accepted.yaml").write_text(f"# from the audit\n- {ENTRY}}}\n", encoding="utf-8")
    (one,) = read_declaration(root).accepted
    assert one.where.origins[0].place == "accepted.yaml:2", "a path in the site, wherever the site is"


@pytest.mark.parametrize(
    ("item", "words"),
    [
        (f"{{finding: {MARK}, code: U103, by: A}}", "an accepted finding has no `why`"),
        (f"{{finding: {MARK}, code: U103, why: known}}", "an accepted finding has no `by`"),
        (f"{{finding: {MARK}, why: known, by: A}}", "an accepted finding has no `code`"),
        ("{code: U103, why: known, by: A}", "an accepted finding has no `finding`"),
        ("{finding: 3fa9, code: U103, why: known, by: A}", "`finding` is '3fa9'"),
        (f"{{finding: {MARK}, code: unsaved, why: known, by: A}}", "`code` is 'unsaved'"),
        (f'{ENTRY}, at: "ACC-1:2"}}', f"{MARK} is not the fingerprint of U103 at ACC-1:2"),
        (f"{ENTRY}, until: 2026-02-30}}", "`until` is '2026-02-30'"),
        (f"{ENTRY}, until: next week}}", "`until` is 'next week'"),
        (f"{ENTRY}, severity: bad}}", "`severity` is 'bad'"),
        (f"{ENTRY}, times: 0}}", "`times` is '0'; it is a number from 1 to 1000"),
        (f"{ENTRY}, survey: as-lost}}", "there is no survey 'as-lost'"),
        (f"{ENTRY}, reason: known}}", "an accepted finding has no key 'reason'"),
        (MARK, "an accepted finding is the word"),
    ],
)
def test_an_entry_that_is_not_right_is_refused_at_its_line(tmp_path: Path, item: str, words: str) -> None:
    with pytest.raises(SiteError) as caught:
        declared(tmp_path / "s", f"site: test\naccepted:\n  - {item}\n")
    assert words in caught.value.message
    assert caught.value.line == 3
    assert caught.value.hint or "times" in words or "word" in words


def test_a_finding_is_accepted_once(tmp_path: Path) -> None:
    text = f"surveys: {{as-found: {{}}, as-left: {{}}}}\naccepted:\n  - {ENTRY}, survey: as-found}}\n  - {ENTRY}"
    assert len(declared(tmp_path / "s", f"{text}, survey: as-left}}\n").accepted) == 2
    with pytest.raises(SiteError) as caught:
        declared(tmp_path / "s", f"{text}}}\n")
    assert (caught.value.line, "accepted already" in caught.value.message) == (4, True)


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(SiteError) as caught:
        declared(tmp_path / "s", "site: test\naccepted: acepted.yaml\n")
    assert (caught.value.line, "acepted.yaml, which is not there" in caught.value.message) == (2, True)
