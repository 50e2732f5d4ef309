"""A drawing in DOT in; how often its lines cross where Graphviz (Debian package graphviz) lays it out, out."""

from __future__ import annotations

import os
import shutil
import subprocess

import pytest

from .measuring import Point, bend, crossings


def needed() -> None:
    """Skip the test where `dot` is missing; fail where VLANCHECK_REQUIRE_GRAPHVIZ=1 asks for it."""
    if shutil.which("dot") is None:
        if os.environ.get("VLANCHECK_REQUIRE_GRAPHVIZ") == "1":
            pytest.fail("not installed: graphviz (Debian package)")
        pytest.skip("not installed: graphviz (Debian package)")


def dot(text: str, form: str = "plain") -> str:
    """Return what `dot` makes of a graph."""
    done = subprocess.run(["dot", f"-T{form}"], input=text, capture_output=True, text=True, timeout=300, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout


def dot_crossings(text: str) -> int:
    """Return how often lines cross in the layout that `dot` makes of a graph."""
    lines: list[list[Point]] = []
    for row in dot(text).splitlines():
        words = row.split(" ")
        if words[0] == "edge":
            numbers = [float(one) for one in words[4 : 4 + 2 * int(words[3])]]
            lines.append(bend(list(zip(numbers[::2], numbers[1::2], strict=True)), 13))
    return crossings(lines)
