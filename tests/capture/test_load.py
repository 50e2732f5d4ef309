"""Files and folders become sections, or one error says what cannot be used and what to do."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from vlancheck.capture import load
from vlancheck.errors import CaptureError


def folder(path: Path) -> Path:
    """Return a folder of captures."""
    (path / "b" / "deep").mkdir(parents=True)
    (path / ".git").mkdir()
    (path / "z.txt").write_text("hostname Z\n")
    (path / "b" / "deep" / "SORT-1.log").write_bytes(b"SORT-1#show vlan\r\n1 default\r\nSORT-1#\r\n")
    (path / "b" / "a.txt").write_bytes("hostname A\n".encode("utf-16"))
    (path / ".hidden").write_text("hostname H\n")
    (path / ".git" / "config").write_text("hostname G\n")
    return path


def test_a_folder_is_read_in_order_of_names(tmp_path: Path) -> None:
    """Sub-folders are read, hidden files are not; names are relative to the root, with slashes."""
    made = load([folder(tmp_path)], root=tmp_path)

    assert [(one.file, one.device, one.command) for one in made] == [
        ("b/a.txt", "", ""),
        ("b/deep/SORT-1.log", "SORT-1", "show vlan"),
        ("b/deep/SORT-1.log", "SORT-1", ""),
        ("z.txt", "", ""),
    ]
    assert [line.text for line in made[0].lines] == ["hostname A"]


def test_files_are_called_as_given(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a root, and outside it, the path is the user's own."""
    folder(tmp_path)
    monkeypatch.chdir(tmp_path)

    assert [one.file for one in load(["z.txt", Path("b")])] == ["z.txt", "b/a.txt", *["b/deep/SORT-1.log"] * 2]
    assert [one.file for one in load(["z.txt"], root=Path("b"))] == ["z.txt"]
    assert [one.file for one in load(["b/a.txt"], root=tmp_path)] == ["b/a.txt"]


def test_no_file_is_read_twice(tmp_path: Path) -> None:
    """A file given beside its folder is one capture."""
    folder(tmp_path)

    assert len(load([tmp_path / "z.txt", tmp_path / "z.txt", tmp_path])) == 4


def test_a_hidden_file_is_read_when_asked_for(tmp_path: Path) -> None:
    """Only in folders are hidden files passed over."""
    assert [one.file for one in load([folder(tmp_path) / ".hidden"], root=tmp_path)] == [".hidden"]


def test_a_pager_prompt_at_the_end_is_remembered(tmp_path: Path) -> None:
    """A log that ends at a page that was never turned is cut."""
    (tmp_path / "a.log").write_text("SORT-1#show vlan\n1 default\n --More-- ")

    assert [one.cut for one in load([tmp_path / "a.log"])] == [True]


@pytest.mark.parametrize(
    ("name", "data", "message", "hint"),
    [
        pytest.param("none.txt", None, "no such file or folder", "is there", id="missing"),
        pytest.param("no/none.txt", None, "no such file or folder", "check the path", id="missing folder"),
        pytest.param("a.txt", b"", "is empty", "capture it again", id="empty"),
        pytest.param("a.txt", b"\x7fELF\x00", "a program", "plain text", id="binary"),
        pytest.param("a.gz", b"\x1f\x8b\x08\x00", "gzip", "unpack it first", id="archive"),
    ],
)
def test_a_file_that_cannot_be_used(tmp_path: Path, name: str, data: bytes | None, message: str, hint: str) -> None:
    """One error names the file, says what is wrong and what to do."""
    path = tmp_path / name
    if data is not None:
        path.write_bytes(data)
    with pytest.raises(CaptureError) as caught:
        load([path])

    assert caught.value.file == path.as_posix()
    assert message in caught.value.message
    assert hint in caught.value.hint


def test_a_folder_without_files(tmp_path: Path) -> None:
    """Hidden files do not count."""
    (tmp_path / ".hidden").write_text("x")
    with pytest.raises(CaptureError, match="the folder holds no file"):
        load([tmp_path])


def test_a_binary_file_in_a_folder_is_named(tmp_path: Path) -> None:
    """The error names the file in the folder, not the folder."""
    (tmp_path / "rack.png").write_bytes(b"\x89PNG\r\n\x1a\n\x00")
    with pytest.raises(CaptureError) as caught:
        load([tmp_path], root=tmp_path)

    assert caught.value.file == "rack.png"


def test_a_link_to_nowhere(tmp_path: Path) -> None:
    """It cannot be read, and says so."""
    (tmp_path / "a.txt").symlink_to(tmp_path / "gone.txt")
    with pytest.raises(CaptureError, match="cannot be read"):
        load([tmp_path / "a.txt"])


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may read every file")
def test_a_file_that_may_not_be_read(tmp_path: Path) -> None:
    """The system's reason is given."""
    path = tmp_path / "a.txt"
    path.write_text("vlan 10\n")
    path.chmod(0)
    with pytest.raises(CaptureError, match="permission denied"):
        load([path])


def test_a_reading_error_is_given_with_its_reason(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever the system says becomes one clear error."""
    path = tmp_path / "a.txt"
    path.write_text("vlan 10\n")

    def refuse(self: Path) -> bytes:
        raise PermissionError(13, "Permission denied", str(self))

    monkeypatch.setattr(Path, "read_bytes", refuse)
    with pytest.raises(CaptureError, match="cannot be read: permission denied") as caught:
        load([path])

    assert caught.value.hint == "check who may read it"


CAPTURES = os.environ.get("VLANCHECK_CAPTURES", "")


@pytest.mark.skipif(not CAPTURES, reason="VLANCHECK_CAPTURES names no folder of captures")
def test_real_captures_lose_no_line() -> None:
    """Every file of a folder of real captures is read, and each of its lines is in exactly one section."""
    files = [path for path in sorted(Path(CAPTURES).rglob("*")) if path.is_file() and path.stat().st_size]
    assert files
    for path in files:
        numbers: list[int] = []
        for one in load([path]):
            numbers += [line.number for line in one.lines] + ([one.prompt.number] if one.prompt else [])
        rows = path.read_bytes().replace(b"\x00", b"").split(b"\n")
        written = {number for number, row in enumerate(rows, 1) if row.strip(b" \t\r\xff\xfe\xef\xbb\xbf")}

        assert len(numbers) == len(set(numbers)), path
        assert written <= set(numbers), path
