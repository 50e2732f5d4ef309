"""A line comes out as a person saw it on the screen."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vlancheck.capture.clean import clean

IOS = "\b" * 9 + " " * 8 + "\b" * 9  # what follows ` --More-- ` when a key is pressed


@pytest.mark.parametrize(
    ("sent", "seen"),
    [
        pytest.param("\x1b[1;32mroot@b0\x1b[0m:~# ", "root@b0:~# ", id="colours"),
        pytest.param("\x1b]0;root@b0: ~\x07root@b0:~# ip a", "root@b0:~# ip a", id="window title"),
        pytest.param("]0;root@b0: ~\x07root@b0:~# ip a", "root@b0:~# ip a", id="window title without its escape"),
        pytest.param("\x1b]0;never ended", "never ended", id="title that never ends"),
        pytest.param("\x1b[?2004hroot@b0:~# ls\x1b[?2004l", "root@b0:~# ls", id="modes"),
        pytest.param("SORT-1#shw\b \bow vlan", "SORT-1#show vlan", id="erased letter"),
        pytest.param("SORT-1#show vlxn\b\ban", "SORT-1#show vlan", id="overwritten letters"),
        pytest.param("SORT-1#show vlan\b\b\b\b", "SORT-1#show vlan", id="cursor moved back before return"),
        pytest.param("SORT-1#show nothing\r\x1b[KSORT-1#show vlan", "SORT-1#show vlan", id="line erased"),
        pytest.param("SORT-1#show nothing\x1b[7D\x1b[Kvlan", "SORT-1#show vlan", id="cursor left and erase"),
        pytest.param("SORT-1#sow\x1b[2D\x1b[@h", "SORT-1#show", id="letter inserted"),
        pytest.param("SORT-1#shhow\x1b[3D\x1b[P", "SORT-1#show", id="letter deleted"),
        pytest.param("lines 1-23\x1b[m\x1b[K\r\x1b[K name x", " name x", id="page number erased"),
        pytest.param(":\x1b[K\r\x1b[Kroot@b0:~# ls", "root@b0:~# ls", id="colon erased"),
        pytest.param("name x\x1b[2J\x1b[H", "name x", id="screen cleared behind a line"),
        pytest.param("\x1b[36madd\x1b[m bridge\x1b[33m=\x1b[mb1", "add bridge=b1", id="coloured words"),
        pytest.param("\x07SORT-1#show\x07 vlan", "SORT-1#show vlan", id="bell"),
        pytest.param("banner\x0cpage\x85two", "banner page two", id="form feed and next line"),
        pytest.param("switchport\u00a0mode\u2003access\u200b", "switchport mode access", id="blanks of a web page"),
        pytest.param("a\u2028b\u2029c\x1cd", "a b c d", id="separators that other programs split at"),
        pytest.param("\tname desk", "\tname desk", id="tab"),
        pytest.param("   switchport mode access   ", "   switchport mode access   ", id="plain text is not touched"),
        pytest.param("[admin@CORE] > /exp\r[admin@CORE] > /export", "[admin@CORE] > /export", id="prompt drawn anew"),
        pytest.param("vlan 10\rvlan 20", "vlan 10 vlan 20", id="a damaged line end loses no text"),
        pytest.param("50%\r75%\r100%", "50% 75% 100%", id="progress"),
        pytest.param("vlan 10\r", "vlan 10", id="line end"),
        pytest.param("\x1b[99999999999999999999C\x1b[D", "", id="a number nobody means"),
        pytest.param("\x1b", "", id="lone escape"),
    ],
)
def test_terminal_sequences(sent: str, seen: str) -> None:
    """What moves the cursor moves it, what has no width goes, what is no text becomes a blank."""
    assert clean(sent) == seen


@pytest.mark.parametrize(
    ("sent", "seen"),
    [
        pytest.param(f" --More-- {IOS} switchport mode access", " switchport mode access", id="backspaces"),
        pytest.param(f" --More-- {IOS}interface Gi1/0/1", "interface Gi1/0/1", id="backspaces, no indentation"),
        pytest.param("--More--" + "\b" * 8 + "vlan 24", "vlan 24", id="backspaces without blanks"),
        pytest.param(" --More--         interface Gi1/0/1", "interface Gi1/0/1", id="blanks alone"),
        pytest.param(" --More--          switchport mode access", " switchport mode access", id="blanks, indentation"),
        pytest.param("--More--\r        \rvlan 24", "vlan 24", id="carriage returns"),
        pytest.param("--More--\r\x1b[K vlan 24", " vlan 24", id="carriage return and erase"),
        pytest.param("\x1b[7m--More--\x1b[m\r\x1b[K name x", " name x", id="reverse video"),
        pytest.param("--More--(12%)\r             \r name x", " name x", id="per cent"),
        pytest.param("--More-- or (q)uit\r" + " " * 18 + "\r name x", " name x", id="or quit"),
        pytest.param("<--- More --->\r              \r name x", " name x", id="arrows"),
        pytest.param("---(more 56%)---\r" + " " * 40 + "\r name x", " name x", id="round brackets"),
        pytest.param("  ---- More ----\x1b[16D" + " " * 16 + "\x1b[16D name x", " name x", id="cursor left"),
        pytest.param("  ---- More ----\x1b[42D" + " " * 42 + "\x1b[42D name x", " name x", id="cursor further left"),
        pytest.param("  ---- More ----[16D" + " " * 16 + "[16D name x", " name x", id="cursor left without escapes"),
        pytest.param("  ---- More ----" + " " * 17 + "name x", " name x", id="cursor left lost altogether"),
        pytest.param(
            "-- MORE --, next page: Space, next line: Enter, quit: Control-C\r" + " " * 64 + "\r   untagged 1-4",
            "   untagged 1-4",
            id="next page",
        ),
        pytest.param(
            "--More--, next page: Space, next line: Return key, quit: Control-c\r" + " " * 70 + "\r name x",
            " name x",
            id="return key",
        ),
        pytest.param("More: <space>,  Quit: q or CTRL+Z, One line: <return> \r\x1b[K name x", " name x", id="space"),
        pytest.param("Press any key to continue (Q to quit)\r" + " " * 40 + "\r name x", " name x", id="any key"),
        pytest.param("Press <SPACE> to continue or <Q> to quit:\r\x1b[K name x", " name x", id="press space"),
        pytest.param("----More (q=Quit, space/return=Continue)----\r\x1b[K name x", " name x", id="long"),
        pytest.param("-- [Q quit|D dump|down]\r\x1b[K2 ether2", "2 ether2", id="dump"),
    ],
)
def test_pager_prompts_leave_the_line_they_interrupted(sent: str, seen: str) -> None:
    """The text after the prompt keeps its own indentation."""
    assert clean(sent) == seen


@pytest.mark.parametrize(
    "sent",
    [
        " --More-- ",
        f" --More-- {IOS}",
        "--More-- or (q)uit",
        "<--- More --->",
        "-- MORE --, next page: Space, next line: Enter, quit: Control-C",
        "---- More ----",
        "  ---- More ----\x1b[16D                \x1b[16D",
        "---(more)---",
        "More: <space>,  Quit: q, One line: <return>",
        "Press any key to continue (Q to quit)",
        "CTRL+C ESC q Quit SPACE n Next Page ENTER Next Entry a All",
        "-- [Q quit|D dump|right|down]",
    ],
)
def test_a_line_of_pager_debris_alone_is_empty(sent: str) -> None:
    """Nothing is left of it."""
    assert clean(sent) == ""


@pytest.mark.parametrize(
    "text",
    [" description -- more -- to come", "vlan 10 name more", "! --More-- is printed after a page", "no more"],
)
def test_text_that_speaks_of_more_is_no_pager(text: str) -> None:
    """A pager prompt stands at the start of its line."""
    assert clean(text) == text


def test_a_long_command_is_put_together_from_its_redraws() -> None:
    """A device that scrolls a long command to the left redraws it behind a `$`; the whole command comes out."""
    prompt, command = "SORT-1#", "show interfaces GigabitEthernet1/0/1 switchport | include VLAN"
    sent = prompt + command[:30]
    shown = 30
    while shown < len(command):
        tail = command[shown - 19 : shown]
        sent += "\b" * (29 if shown > 30 else 30) + "$" + tail + " " * 10 + "\b" * 10 + command[shown : shown + 9]
        shown += 9

    assert clean(sent) == prompt + command


def test_a_scrolled_command_without_its_redraws_stays_as_it_is() -> None:
    """What was never sent cannot be put together."""
    assert clean("SORT-1#$witchport | include VLAN") == "SORT-1#$witchport | include VLAN"


def test_a_screen_addressed_by_row_and_column() -> None:
    """A device that addresses the cursor echoes a command on one row and goes on below it."""
    here = "\x1b[24;1H"
    sent = f"{here}HP-1# {here}\x1b[24;7H\x1b[?25hshow vlans\x1b[24;17H\x1b[24;0H\x1bE{here}\x1b[2K{here}\x1b[?25h"

    assert clean(sent) == "HP-1# show vlans"
    assert clean(f"{sent}\x1b[1;24r{here} Status") == "HP-1# show vlans\n Status"


@settings(deadline=None)
@given(st.text(alphabet="ab \b\r\x1b[;0123456789HKDCP$E-#>\x07\x9b", max_size=60))
def test_the_result_is_clean_and_cleaning_it_again_changes_nothing(sent: str) -> None:
    """No control character is left, whatever was sent."""
    seen = clean(sent)

    assert all(character.isprintable() for row in seen.split("\n") for character in row)
    assert [clean(row) for row in seen.split("\n")] == seen.split("\n")


@settings(deadline=None)
@given(st.text(alphabet=st.characters(codec="ascii", categories=["L", "N", "P", "S", "Zs"]), max_size=60))
def test_plain_text_is_not_touched(text: str) -> None:
    """A line without control characters and pager prompts comes out as it is."""
    low = text.lower()
    if not any(word in low for word in ("more", "press", "quit")):
        assert clean(text) == text
