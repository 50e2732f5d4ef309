"""What each layer may do, proved on the source: imports point one way, and every permission holds."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "vlancheck"
MODULES = sorted(PACKAGE.rglob("*.py"))

# What each layer may import of the package, besides itself.  A layer that is not here does not exist.
MAY_IMPORT = {
    "vids": set(),
    "places": set(),
    "errors": set(),
    "evidence": {"vids"},
    "yamltext": {"errors"},
    "capture": {"errors", "evidence"},
    "dot1q": {"vids", "evidence"},
    "reader": {"vids", "errors", "evidence", "yamltext", "capture", "dot1q"},
    "starting": {"vids", "evidence", "dot1q"},
    "writer": {"vids", "errors", "capture", "dot1q", "reader"},
    "site": {"vids", "errors", "evidence", "yamltext", "places", "capture", "dot1q"},
    "wiring": {"vids", "errors", "evidence", "places", "dot1q", "site"},
    "walk": {"vids", "errors", "evidence", "places", "dot1q", "site", "wiring"},
    "verdicts": {"vids", "evidence", "places", "dot1q", "site", "wiring", "walk"},
    "changes": {"vids", "evidence", "places", "capture", "dot1q", "site", "wiring", "walk", "verdicts"},
    "reconciliation": {"vids", "evidence", "places", "dot1q", "site", "wiring", "walk", "verdicts", "changes"},
    "findings": {"vids", "evidence", "places", "dot1q", "site", "wiring", "walk", "verdicts", "changes"}
    | {"reconciliation"},
    "moves": {"vids", "evidence", "places", "dot1q", "site", "wiring", "walk", "verdicts", "changes", "findings"},
    "mend": {"vids", "evidence", "places", "dot1q", "site", "wiring", "walk", "verdicts", "changes", "findings"}
    | {"reader", "writer"},
    "drawing": {"vids", "evidence", "places", "dot1q", "site", "wiring", "walk", "verdicts"},
    "checks": {"vids", "evidence", "places", "dot1q", "site", "wiring", "walk", "verdicts", "findings", "changes"}
    | {"reconciliation"},
    "outcome": {"vids", "evidence", "places", "dot1q", "verdicts", "changes", "reconciliation", "findings", "moves"}
    | {"mend"},
    "notation": {"vids", "errors", "evidence", "places", "dot1q", "site", "wiring", "walk", "verdicts", "changes"}
    | {"reconciliation", "findings"},
    "teach": {"vids", "errors", "evidence", "places", "capture", "dot1q", "reader", "writer", "site", "wiring", "walk"}
    | {"notation", "pipeline"},
    "open_answers": {"verdicts", "outcome"},
    "next_step": {"evidence", "places", "reader", "findings", "checks", "mend", "outcome", "open_answers"},
    "pipeline": {"errors", "evidence", "capture", "reader", "dot1q", "site", "wiring", "walk", "outcome", "answering"}
    | {"planning", "moves", "mend", "mending", "picturing", "drawing", "following"},
    "filing": {"outcome", "pipeline", "site"},
    "answering": {"errors", "evidence", "places", "dot1q", "site", "wiring", "verdicts", "changes", "findings"}
    | {"checks", "outcome", "pipeline", "filing", "moves", "reconciliation"},
    "planning": {"dot1q", "verdicts", "site", "moves", "outcome", "answering", "pipeline"},
    "picturing": {"errors", "site", "verdicts", "answering", "pipeline", "drawing"},
    "following": {"places", "dot1q", "site", "wiring", "walk", "drawing", "answering", "pipeline"},
    "mending": {"dot1q", "places", "site", "verdicts", "findings", "answering", "pipeline", "mend", "writer"},
    "report": {"vids", "errors", "evidence", "places", "dot1q", "reader", "site", "wiring", "walk", "pipeline"}
    | {"verdicts", "changes", "findings", "checks", "outcome", "moves", "planning", "reconciliation"}
    | {"mend", "drawing", "picturing", "following", "teach", "open_answers", "next_step"},
    "example": set(),
    "cli": {"errors", "capture", "reader", "site", "walk", "pipeline", "report", "notation", "example", "findings"}
    | {"outcome", "starting", "moves", "teach", "open_answers"},
    "__init__": {"errors", "dot1q", "walk", "pipeline"},
}

MAY_NOT_CALL = {
    "dot1q": {"open", "print", "read_text", "read_bytes", "write_text", "write_bytes", "exec", "eval"},
    "starting": {"open", "print", "read_text", "write_text"},
    "writer": {"open", "print", "read_text", "write_text"},
    "wiring": {"open", "print", "read_text", "write_text"},
    "walk": {"open", "print", "read_text", "write_text"},
    "verdicts": {"open", "print", "read_text", "write_text"},
    "findings": {"open", "print", "read_text", "write_text"},
    "moves": {"open", "print", "read_text", "write_text"},
    "reconciliation": {"open", "print", "read_text", "write_text"},
    "checks": {"open", "print", "read_text", "write_text"},
    "mend": {"open", "print", "read_text", "write_text"},
    "drawing": {"open", "print", "read_text", "write_text", "now", "today", "time"},
    "teach": {"open", "print", "write_text", "write_bytes"},
    "report": {"open", "print", "now", "today", "time"},
}

MAY_NOT_IMPORT = {
    "capture": {"vlancheck.dot1q", "vlancheck.walk"},
    "reader": {"vlancheck.dot1q.forward", "vlancheck.dot1q.rules"},
    "writer": {"vlancheck.dot1q.forward", "vlancheck.dot1q.rules"},
    "dot1q": {"pathlib", "os", "io", "rich", "typer", "yaml"},
    "wiring": {"rich", "typer", "vlancheck.report"},
    "walk": {"rich", "typer", "vlancheck.report"},
    "verdicts": {"rich", "typer", "vlancheck.report"},
    "checks": {"rich", "typer", "pathlib", "json", "vlancheck.report"},
    "moves": {"rich", "typer", "pathlib", "json", "vlancheck.report"},
    "mend": {"rich", "typer", "pathlib", "json", "vlancheck.report"},
    "drawing": {"rich", "typer", "pathlib", "json", "xml", "html", "vlancheck.report"},
    "teach": {"rich", "typer", "pathlib", "json", "vlancheck.report"},
    "report": {"time", "datetime"},
    "cli": {"vlancheck.dot1q.forward", "vlancheck.walk.flood"},
}

VENDOR_WORDS = re.compile(
    r"\b(cisco|catalyst|nexus|arista|junos|juniper|procurve|aruba|comware|huawei|mikrotik|routeros|"
    r"extreme|brocade|foundry|netgear|switchport|openvswitch|vtp|dtp)\b",
    re.IGNORECASE,
)


def layer(path: Path) -> str:
    """Return the layer a module belongs to: its folder, or its own name at the top."""
    parts = path.relative_to(PACKAGE).parts
    return parts[0] if len(parts) > 1 else path.stem


def imported(path: Path) -> Iterator[tuple[int, str]]:
    """Yield line and full name of everything a module imports."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, name.name) for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: imports are absolute"
            yield node.lineno, node.module or ""
            yield from ((node.lineno, f"{node.module}.{name.name}") for name in node.names)


def called(path: Path) -> Iterator[tuple[int, str]]:
    """Yield line and name of every call."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call):
            if isinstance(node.func, ast.Name):
                yield node.lineno, node.func.id
            elif isinstance(node.func, ast.Attribute):
                yield node.lineno, node.func.attr


def shown(path: Path) -> str:
    """Return a module's path in the package, for test names."""
    return path.relative_to(PACKAGE).as_posix()


@pytest.mark.parametrize("path", MODULES, ids=shown)
def test_imports_point_one_way(path: Path) -> None:
    """A module imports its own layer and those below it."""
    mine = layer(path)
    allowed = MAY_IMPORT[mine] | {mine}
    for line, name in imported(path):
        if name.startswith("vlancheck."):
            target = name.split(".")[1]
            assert target in allowed or (PACKAGE / target).exists() is False, f"{shown(path)}:{line} imports {name}"


@pytest.mark.parametrize("path", MODULES, ids=shown)
def test_permissions_hold(path: Path) -> None:
    """No layer calls or imports what its row of the permissions table forbids."""
    mine = layer(path)
    for line, name in called(path):
        assert name not in MAY_NOT_CALL.get(mine, set()), f"{shown(path)}:{line} calls {name}"
    for line, name in imported(path):
        forbidden = [word for word in MAY_NOT_IMPORT.get(mine, set()) if name == word or name.startswith(f"{word}.")]
        assert not forbidden, f"{shown(path)}:{line} imports {name}"


@pytest.mark.parametrize("path", [path for path in MODULES if layer(path) in ("dot1q", "walk")], ids=shown)
def test_the_model_knows_no_vendor(path: Path) -> None:
    """Vendor words live in dialect data alone."""
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        assert not VENDOR_WORDS.search(line), f"{shown(path)}:{number}: {line.strip()}"


def test_dialects_contain_no_python() -> None:
    """A dialect is data."""
    assert [*(PACKAGE / "dialects").rglob("*.yaml")]
    assert not [*(PACKAGE / "dialects").rglob("*.py")]


@pytest.mark.parametrize("path", MODULES, ids=shown)
def test_modules_stay_short_and_say_what_they_do(path: Path) -> None:
    """Every module has a docstring and at most 600 lines, and none is a drawer for odds and ends."""
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 600
    assert ast.get_docstring(ast.parse(text)), f"{shown(path)} says nothing of itself"
    assert path.stem not in ("utils", "util", "helpers", "common", "misc")


def test_the_public_names_are_the_ones_listed() -> None:
    """`__all__` is sorted, and every name in it is there."""
    import vlancheck

    assert list(vlancheck.__all__) == sorted(vlancheck.__all__)
    assert all(getattr(vlancheck, name) is not None for name in vlancheck.__all__)


def test_help_waits_for_nothing_slow() -> None:
    """`--help` loads neither the graph library nor the arrays: slow imports wait until they are needed."""
    code = "import sys, vlancheck.cli.app; print(*sorted(m for m in sys.modules if '.' not in m))"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    assert "typer" in loaded
    assert not {"networkx", "numpy", "scipy", "yaml", "textfsm"} & set(loaded)
