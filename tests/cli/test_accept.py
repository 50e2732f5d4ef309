"""`vlancheck accept`: what it prints is what site.yaml takes, and then these findings and no others do not count."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from vlancheck.example import write_site
from vlancheck.pipeline import open_site
from vlancheck.report.page import page

from .running import run

SAID = ("--why", 'known: "ask" Bob\'s crew', "--by", "A. Example")
LATER = ("--survey", "as-left", "--before", "as-found")


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """Return the built-in closet."""
    write_site(tmp_path / "site")
    return tmp_path / "site"


def lines_of(site: Path) -> list[str]:
    return (site / "site.yaml").read_text(encoding="utf-8").splitlines()


def verified(site: Path, capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, dict[str, Any]]:
    capsys.readouterr()
    code = run("verify", site, "--json", *words)
    return code, json.loads(capsys.readouterr().out)


def accepting(site: Path, capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """Let the site accept findings, by what the command prints, and return that."""
    capsys.readouterr()
    assert run("accept", site, *words, *SAID, *LATER) == 0
    printed = capsys.readouterr().out
    with (site / "site.yaml").open("a", encoding="utf-8") as file:
        file.write(f"accepted:\n{printed}")
    return printed


def test_what_is_printed_is_what_the_site_takes(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """These findings are marked, all else of the document is as before; the file of the site is left alone."""
    before = (site / "site.yaml").read_bytes()
    code, was = verified(site, capsys)
    chosen = [one["fingerprint"] for one in was["findings"] if one["code"] in ("L101", "C104", "C102")]
    assert code == 1
    assert len(set(chosen)) == len(chosen) == 4
    printed = accepting(site, capsys, chosen[0], *(mark[:6] for mark in chosen[1:]))
    assert (site / "site.yaml").read_bytes() == before + f"accepted:\n{printed}".encode()

    code, now = verified(site, capsys)
    assert code == 1, "the others still count"
    assert {one["fingerprint"] for one in now["findings"] if one["accepted"]} == set(chosen)
    for one in now["findings"]:
        if one["accepted"]:
            assert (one["accepted"]["by"], one["accepted"]["why"]) == (SAID[3], SAID[1])
            assert (one["accepted"]["in_force"], one["accepted"]["ended"]) == (True, "")
            assert lines_of(site)[one["accepted"]["line"] - 1].endswith(one["fingerprint"])
    for one in (*was["findings"], *now["findings"]):
        one["accepted"] = None
    (old,), (new,) = ([one for one in done["reading"]["files"] if one["file"] == "site.yaml"] for done in (was, now))
    assert old.pop("sha256") != new.pop("sha256"), "the declaration is another file now"
    assert now == was


def test_a_dropped_service_stays_dropped_and_the_text_says_so(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With all errors accepted the exit code is that of what is left open; the verdict stays faulty."""
    _, was = verified(site, capsys)
    accepting(site, capsys, *(one["fingerprint"] for one in was["findings"]))

    code, now = verified(site, capsys, "--fail-on", "note")
    assert (code, now["verdict"]) == (3, "faulty")
    assert [one["state"] for one in now["services"]] == [one["state"] for one in was["services"]]
    run("verify", site, "-o", site / "out.txt")
    told = (site / "out.txt").read_text()
    assert "FAULTY, phones (VLAN 20) leaks to" in " ".join(told.split())
    assert "8 findings accepted." in " ".join(told.split())
    assert "\nFindings\n" not in told
    listed = told.split("\nAccepted, and not counted\n")[1]
    assert listed.count('accepted by A. Example: known: "ask" Bob\'s crew') == 8
    capsys.readouterr()
    run("verify", site)
    lines = capsys.readouterr().out.splitlines()
    assert sum(": accepted: " in line and line.endswith("Bob's crew") for line in lines) == 8
    assert "Accepted, and not counted" in page(open_site(site).verify())


def test_an_acceptance_that_ended_counts_and_says_why(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The last day is before the captures were taken."""
    _, was = verified(site, capsys)
    mark = next(one["fingerprint"] for one in was["findings"] if one["code"] == "C104")
    accepting(site, capsys, mark, "--until", "2026-03-01")

    _, now = verified(site, capsys)
    (one,) = (one for one in now["findings"] if one["accepted"])
    assert one["accepted"]["in_force"] is False
    ended = one["accepted"]["ended"]
    assert ended.startswith("it was accepted until 2026-03-01, and this survey was taken on 2026-03-")
    run("verify", site, "-o", site / "out.txt")
    assert f"no longer accepted, since {ended} (" in " ".join((site / "out.txt").read_text().split())


def test_gone_is_told_where_the_survey_can_tell(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The clean survey has no such finding any more: a note at the line of the entry, and nothing else changes."""
    _, was = verified(site, capsys)
    mark = next(one["fingerprint"] for one in was["findings"] if one["code"] == "L101")
    accepting(site, capsys, mark)
    capsys.readouterr()

    assert run("audit", site, "--json") == 3
    (one,) = json.loads(capsys.readouterr().out)["findings"]
    assert (one["code"], one["severity"]) == ("G101", "note")
    assert lines_of(site)[one["where"][0]["line"] - 1] == f"- finding: {mark}"
    assert run("audit", site, "--without", "ACC-2", "--json") in (1, 3)
    assert "G101" not in capsys.readouterr().out


def test_what_cannot_be_accepted_is_one_message(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Unknown, too short, accepted already, no reason, no date, a file that is there."""
    _, was = verified(site, capsys)
    mark = was["findings"][0]["fingerprint"]

    def refused(*words: str | Path) -> str:
        capsys.readouterr()
        assert run("accept", site, *words, *LATER) == 2
        done = capsys.readouterr()
        assert done.out == ""
        return done.err

    assert "'ffff' is no fingerprint of a finding of as-left" in refused("ffff", *SAID)
    assert "is no fingerprint" in refused(mark[:3], *SAID)
    assert "a reason and a name" in refused(mark, "--why", " ", "--by", "A")
    assert "--until is 'soon'" in refused(mark, *SAID, "--until", "soon")
    assert "not overwritten" in refused(mark, *SAID, "-o", site / "site.yaml")
    accepting(site, capsys, mark)
    assert f"{mark} is accepted already, at site.yaml:" in refused(mark, *SAID).replace(f"{site}/", "")
