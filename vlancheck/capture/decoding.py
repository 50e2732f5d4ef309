"""The bytes of a capture file come in, its text goes out, or one error that says why it is no text."""

from __future__ import annotations

import codecs

from vlancheck.errors import CaptureError

# The first bytes of files that people put beside their captures by mistake.
_ARCHIVES = (
    (b"\x1f\x8b", "a gzip archive"),
    (b"PK\x03\x04", "a zip archive or an office document"),
    (b"PK\x05\x06", "an empty zip archive"),
    (b"BZh", "a bzip2 archive"),
    (b"\xfd7zXZ\x00", "an xz archive"),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive"),
    (b"\x28\xb5\x2f\xfd", "a zstd archive"),
    (b"Rar!\x1a\x07", "a rar archive"),
)
_OTHERS = (
    (b"\x7fELF", "a program"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"%PDF-", "a PDF document"),
    (b"{\\rtf", "an RTF document"),
    (b"\xd0\xcf\x11\xe0", "an office document"),
    (b"SQLite format 3\x00", "a database"),
    (b"\xd4\xc3\xb2\xa1", "a packet capture"),
    (b"\xa1\xb2\xc3\xd4", "a packet capture"),
    (b"\x0a\x0d\x0d\x0a", "a packet capture"),
)
# UTF-32 before UTF-16: the little-endian mark of the one begins with that of the other.
_MARKS = (
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_SAMPLE = 8192  # bytes looked at to tell text from other data
_CONTROLS = bytes(set(range(32)) - set(b"\t\n\v\f\r\b\a\x1b\x0e\x0f\x00"))  # what a terminal log has no use for


def decode(data: bytes, file: str) -> str:
    """Return the text of a capture file: UTF-8, UTF-16 or UTF-32 by mark, UTF-16 by its zeros, else Windows-1252.

    A log is often put together from several sources, so each line that is not UTF-8 is taken as Windows-1252 on
    its own.  Raises CaptureError for a file that is empty, an archive, or not text.
    """
    text = _text(data, file).replace("\ufeff", "")  # marks also stand inside files that were joined
    if not text.strip():
        what = "the file is empty" if not data else "the file holds nothing but blanks"
        raise CaptureError(what, file=file, hint="capture it again, or take the file away")
    return text


def _text(data: bytes, file: str) -> str:
    if mark := next((pair for pair in _MARKS if data.startswith(pair[0])), None):
        return _wide(data[len(mark[0]) :], mark[1], file)
    _refuse_other_kinds(data, file)
    if encoding := _unmarked_utf16(data):
        return _wide(data, encoding, file)
    data = data.replace(b"\r\x00", b"\r")  # telnet sends CR NUL for a bare CR (RFC 854)
    sample = data[:_SAMPLE]
    strange = len(sample) - len(sample.translate(None, _CONTROLS))
    if b"\x00" in data or strange * 10 > len(sample):
        raise CaptureError(
            "the file is not text",
            file=file,
            hint="a capture is the plain text that a device printed; take it away, or the zero bytes out of a log",
        )
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return "\n".join(_line(line) for line in data.split(b"\n"))


def _refuse_other_kinds(data: bytes, file: str) -> None:
    archive = next((what for start, what in _ARCHIVES if data.startswith(start)), "")
    if data[257:262] == b"ustar":
        archive = "a tar archive"
    if archive and not (archive == "a bzip2 archive" and data[4:7] != b"1AY"):
        raise CaptureError(f"the file is {archive}, not text", file=file, hint="unpack it first")
    if other := next((what for start, what in _OTHERS if data.startswith(start)), ""):
        raise CaptureError(
            f"the file is {other}, not text", file=file, hint="save the text as plain text, or take the file away"
        )


def _unmarked_utf16(data: bytes) -> str:
    """Return the encoding when every other byte is nearly always zero, as in UTF-16 text of a western script."""
    sample = data[:_SAMPLE]
    pairs = len(sample) // 2
    even, odd = sample[::2].count(0), sample[1::2].count(0)
    if pairs and odd > 0.4 * pairs and even < 0.05 * pairs:
        return "utf-16-le"
    if pairs and even > 0.4 * pairs and odd < 0.05 * pairs:
        return "utf-16-be"
    return ""


def _wide(data: bytes, encoding: str, file: str) -> str:
    unit = 4 if encoding.startswith("utf-32") else 2
    try:
        return data[: len(data) - len(data) % unit].decode(encoding)  # a file may be cut inside a character
    except UnicodeDecodeError as error:
        raise CaptureError(
            f"the file is marked as {encoding[:6].upper()} but is not",
            file=file,
            hint="save it as UTF-8; two logs in different encodings may have been joined",
        ) from error


def _line(data: bytes) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")
