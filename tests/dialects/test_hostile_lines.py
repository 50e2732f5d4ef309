"""No pattern of a dialect takes for ever, whatever stands in a line: long runs of what it asks for, and no end."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from vlancheck.capture import Line
from vlancheck.reader import dialect_names
from vlancheck.reader.forms.records import Records

TESTS = Path(__file__).parents[1]
LIMIT = 120  # seconds: a pattern that goes back and forth takes hours


@pytest.mark.parametrize("name", dialect_names())
def test_every_pattern_ends_on_hostile_lines(name: str) -> None:
    """A process of its own, which is stopped when it does not come to an end."""
    command = [sys.executable, "-m", "dialects.hostile", name]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join((str(TESTS), *sys.path))}
    done = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=LIMIT, check=True)
    assert int(done.stdout) > 100


def test_a_line_that_no_table_can_hold_is_refused_before_the_library_sees_it() -> None:
    """Its patterns are not ours to mend."""
    form = Records("cisco_ios_show_vlan", key="vlan_id")
    with pytest.raises(ValueError, match="line 7 is longer"):
        list(form([Line(7, "1 " * 2_000)]))
