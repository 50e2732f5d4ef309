"""Bytes become text whatever encoding a logging program chose, or one error says why not."""

from __future__ import annotations

import codecs
import gzip

import pytest

from vlancheck.capture.decoding import decode
from vlancheck.errors import CaptureError

TEXT = "hostname SORT-1\r\n description Büro Süd\r\n"


@pytest.mark.parametrize(
    "data",
    [
        pytest.param(TEXT.encode("utf-8"), id="utf-8"),
        pytest.param(TEXT.encode("utf-8-sig"), id="utf-8 with mark"),
        pytest.param(TEXT.encode("cp1252"), id="windows-1252"),
        pytest.param(codecs.BOM_UTF16_LE + TEXT.encode("utf-16-le"), id="utf-16-le with mark"),
        pytest.param(codecs.BOM_UTF16_BE + TEXT.encode("utf-16-be"), id="utf-16-be with mark"),
        pytest.param(codecs.BOM_UTF32_LE + TEXT.encode("utf-32-le"), id="utf-32-le with mark"),
        pytest.param(codecs.BOM_UTF32_BE + TEXT.encode("utf-32-be"), id="utf-32-be with mark"),
        pytest.param(TEXT.encode("utf-16-le"), id="utf-16-le without mark"),
        pytest.param(TEXT.encode("utf-16-be"), id="utf-16-be without mark"),
    ],
)
def test_every_encoding_gives_the_same_text(data: bytes) -> None:
    """Encoding and byte-order mark leave no trace."""
    assert decode(data, "a.txt") == TEXT


def test_each_line_may_have_its_own_encoding() -> None:
    """Logs are joined: a line that is not UTF-8 does not spoil the others."""
    joined = "name Süd\n".encode() + "name West-Süd\n".encode("cp1252")

    assert decode(joined, "a.txt") == "name Süd\nname West-Süd\n"


def test_marks_inside_joined_files_go() -> None:
    """Files joined end to end keep no mark in the middle, where it would hide the first word of a line."""
    assert decode("vlan 10\n".encode("utf-8-sig") * 2, "a.txt") == "vlan 10\nvlan 10\n"


def test_a_file_cut_inside_a_character_is_read() -> None:
    """The last odd byte of a cut UTF-16 file is dropped."""
    assert decode((codecs.BOM_UTF16_LE + "vlan 10".encode("utf-16-le"))[:-1], "a.txt") == "vlan 1"


def test_telnet_line_ends_are_no_binary_data() -> None:
    """Telnet sends a bare carriage return as CR NUL (RFC 854)."""
    assert decode(b"vlan 10\r\x00\nvlan 20\r\x00\n", "a.txt") == "vlan 10\r\nvlan 20\r\n"


def test_other_scripts_stay() -> None:
    """Text that is no western script is text."""
    assert decode("описание Щит-1\n".encode(), "a.txt") == "описание Щит-1\n"


@pytest.mark.parametrize(
    ("data", "message", "hint"),
    [
        pytest.param(b"", "empty", "again", id="empty"),
        pytest.param(b" \r\n\t\n", "nothing but blanks", "again", id="blank"),
        pytest.param(codecs.BOM_UTF8, "nothing but blanks", "again", id="only a mark"),
        pytest.param(gzip.compress(b"vlan 10"), "gzip", "unpack it first", id="gzip"),
        pytest.param(b"PK\x03\x04\x14\x00\x00\x00", "zip", "unpack it first", id="zip"),
        pytest.param(b"BZh91AY&SY\x00", "bzip2", "unpack it first", id="bzip2"),
        pytest.param(b"sort-1.txt".ljust(257, b"\x00") + b"ustar\x00", "tar", "unpack it first", id="tar"),
        pytest.param(b"\x7fELF\x02\x01\x01\x00", "a program", "plain text", id="elf"),
        pytest.param(b"\x89PNG\r\n\x1a\n\x00\x00", "PNG", "plain text", id="png"),
        pytest.param(b"%PDF-1.7\n", "PDF", "plain text", id="pdf"),
        pytest.param(b"vlan 10\n\x00\x00\x07\x13\x88vlan", "not text", "plain text", id="zeros"),
        pytest.param(bytes(range(1, 32)) * 9, "not text", "plain text", id="controls"),
        pytest.param(b"\xff\xfe\x00\xd8v\x00", "UTF-16", "UTF-8", id="utf-16 mark before other data"),
    ],
)
def test_what_is_no_text_is_refused_with_a_hint(data: bytes, message: str, hint: str) -> None:
    """One error with the file, what it is and what to do."""
    with pytest.raises(CaptureError) as caught:
        decode(data, "captures/a.txt")

    assert caught.value.file == "captures/a.txt"
    assert message in caught.value.message
    assert hint in caught.value.hint


def test_text_that_begins_like_an_archive_is_text() -> None:
    """Three letters are no archive."""
    assert decode(b"BZh-SORT-1#show vlan\n", "a.txt") == "BZh-SORT-1#show vlan\n"
