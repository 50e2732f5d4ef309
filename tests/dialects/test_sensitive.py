"""No unanchored pattern passes over a line that holds a word which could touch VLANs."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

import vlancheck
from vlancheck.pipeline import read_paths

LIST = Path(vlancheck.__file__).parent / "dialects/sensitive.yaml"
WORDS = sorted({str(word) for words in yaml.safe_load(LIST.read_text()).values() for word in words})


@pytest.mark.parametrize("word", WORDS)
def test_a_line_with_a_sensitive_word_is_unread_and_matters(tmp_path: Path, word: str) -> None:
    """`cdp ...` and `service ...` are passed over by name, but not when they say anything about VLANs."""
    path = tmp_path / "x.txt"
    body = f" cdp {word} 7\n cdp enable\n"
    path.write_text(f"version 15.2\nhostname X\nservice {word} 7\ninterface GigabitEthernet1/0/1\n{body}!\nend\n")
    (device,) = read_paths([path]).devices

    assert {(item.origin[0].line, item.matters) for item in device.unread} == {(3, True), (5, True)}
