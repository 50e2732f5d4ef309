"""Write docs/checks.md from the checks' manual pages, docs/fault-classes.md, docs/fault-matrix.md, and the
tables of docs/output.md.

Run it from the top of the checkout, in the environment of the tests: `.venv/bin/python docs/build.py`.
`.venv/bin/python docs/build.py pictures` takes the pictures of docs/pictures anew instead, and needs Chromium.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from textwrap import dedent
from typing import Any

import yaml

from vlancheck.checks import Check, checks
from vlancheck.example import write_site
from vlancheck.pipeline import open_site
from vlancheck.report.worksheets_html import html_page

DOCS = Path(__file__).parent
SCHEMAS = DOCS.parent / "vlancheck/schemas"
FIRST = ("PANEL-B:09", "PANEL-B:18")  # jacks that docs/tutorial.md has tested before the others
PICTURES = {"holds": 600, "re-patch": 560, "acceptance": 560}  # worksheets of the example -> pixels from the top
_NOTATION = ("Before", "Example", "Instead")
_HEAD = """\
# Checks

Written by `docs/build.py` from the manual pages of the checks in `vlancheck/checks`: change those, and run it.
`vlancheck explain CODE` shows one page.
Examples are in the project's notation ([notation.md](notation.md)); each is run as a test.
`=>` tells what all checks find in it.
"""
_CLASSES = """\
# Faults, and what answers them

Written by `docs/build.py` from `docs/fault-classes.yaml`: change that, and run it.
Each row is a fault that crews meet when a closet is rebuilt.
Where text decides it, a check finds it.
Where text cannot, or not all of it, the row says why, and where the question or the test stands:
on a sheet of `vlancheck sheets`, or as what settles an open answer of `audit`.
A test requires that each check is there, that each has its row, and that the words are what the program says.
In which families a fault is planted and mended is in [fault-matrix.md](fault-matrix.md).
"""
_MATRIX = """\
# Faults planted in six families

Written by `docs/build.py` from the table of planted faults, `tests/planted`: change that, and run it.
A clean closet stands there as six families write it.
Each fault is typed into its text as a tired person would, in one family after the other.
The tests require one finding, of this check, at the place where the fault is.
What `vlancheck mend` proposes for it is typed, and must make the audit clean.

- *mended*: the lines proposed make the audit clean, and those that take them back leave every port what it was.
- *mended, undo told*: they do, and what takes them back is told not to be exact.
- *left*: found, and no lines make it right; `mend` says what it tried, or whom to ask.
- *found*: found, and there is nothing to type for it.
- *found before*: found in the lines to be pasted, before anybody pastes them.
- *no*: the family cannot have it; the number says why.
- *otherwise*: planted, and what is found is something else; the number says what and why.

"""
_MENDS = {
    "lines": "mended",
    "forward": "mended, undo told",
    "left": "left",
    "nothing": "found",
    "unpasted": "found before",
}
_TABLE = re.compile(r"(<!-- fields of (\w+) -->\n).*?(?=<!-- end -->)", re.S)


def checks_page() -> str:
    """Return docs/checks.md."""
    known = checks()
    listed = [f"| [{one.code}](#{_anchor(one)}) | {one.name} |" for one in known]
    pages = [f"## {one.code} {one.name}\n\n{_manual(one.manual)}" for one in known]
    return "\n".join((_HEAD, "| code | finds |\n|---|---|", *listed, "", "\n\n".join(pages))) + "\n"


def classes_page() -> str:
    """Return docs/fault-classes.md."""
    names = {check.code: check for check in checks()}
    parts = [_CLASSES]
    for group in yaml.safe_load((DOCS / "fault-classes.yaml").read_text(encoding="utf-8")):
        rows = [
            f"| {row['fault']} | {', '.join(_link(names[code]) for code in row.get('found', ()))} | {_else(row)} |"
            for row in group["classes"]
        ]
        heading = f"## {group['group']}\n"
        parts.append("\n".join((heading, "| fault | found by | asked or tried |", "|---|---|---|", *rows, "")))
    return "\n".join(parts)


def matrix_page() -> str:
    """Return docs/fault-matrix.md."""
    sys.path.append(str(DOCS.parent / "tests"))  # the table is what the tests plant
    from planted.closet import FAMILIES, Cell, cell, elsewhere, faults

    names = {check.code: check for check in checks()}
    reasons: dict[str, int] = {}

    def word(one: Cell, code: str) -> str:
        if not one.edits:
            return f"no ({reasons.setdefault(one.why, len(reasons) + 1)})"
        if [found for found, _ in one.found] == [code]:
            return _MENDS[one.mend]
        told = ", ".join(dict.fromkeys(found for found, _ in one.found)) or "nothing"
        why = f"{told}: {one.why}"
        return f"otherwise ({reasons.setdefault(why, len(reasons) + 1)})"

    rows = [f"| check | planted | {' | '.join(f'`{name}`' for name in FAMILIES)} |", "|---" * (len(FAMILIES) + 2) + "|"]
    for fault, row in sorted(faults().items(), key=lambda one: one[1]["code"]):
        words = (word(cell(fault, name), row["code"]) for name in FAMILIES)
        rows.append(f"| {_link(names[row['code']])} | {row['how']} | {' | '.join(words)} |")
    notes = [f"{number}. {why[:1].upper()}{why[1:]}." for why, number in reasons.items()]
    others = ["| check | why it is not planted there |", "|---|---|"]
    others += [f"| {_link(names[code])} {names[code].name} | {why} |" for code, why in sorted(elsewhere().items())]
    return "\n".join((_MATRIX + "\n".join(rows), "", *notes, "", "## Planted elsewhere", "", *others, ""))


def output_page(text: str) -> str:
    """Return docs/output.md with its tables of fields as the schemas have them."""
    return _TABLE.sub(lambda found: f"{found[1]}{_fields(found[2])}\n", text)


def pictures(folder: Path) -> None:
    """Write a PNG of the top of some worksheets of the example, as Chromium shows them."""
    with TemporaryDirectory() as name:
        work = Path(name)
        write_site(work / "site")
        page = html_page(open_site(work / "site").worksheets("as-found", "as-planned", FIRST))
        for sheet, height in PICTURES.items():
            alone = f"header, nav, main > :not(#{sheet}) {{ display: none; }} #{sheet} {{ margin: 0; }}</style>"
            shown = work / f"{sheet}.html"
            shown.write_text(page.replace("</style>", alone, 1), encoding="utf-8")
            options = ("--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--no-first-run")
            size = (f"--user-data-dir={work}/profile", f"--window-size=1000,{height}")
            made = f"--screenshot={(folder / sheet).resolve()}.png"
            subprocess.run(["chromium", *options, *size, made, shown.as_uri()], check=True, capture_output=True)


def _link(check: Check) -> str:
    return f"[{check.code}](checks.md#{_anchor(check)})"


def _else(row: dict[str, Any]) -> str:
    """Return what a row says of what text cannot decide."""
    told = [f"{row['why']}."] if "why" in row else []
    for key, verb in (("ask", "ask"), ("test", "try")):
        if key in row:
            where = "an open answer" if row[key]["where"] == "verdict" else f"sheet `{row[key]['where']}`"
            told.append(f"{verb.capitalize()}, {where}: *{row[key]['words']}*")
    if "quiet" in row:
        told.append("No fault, and not reported.")
    return " ".join(one[:1].upper() + one[1:] for one in told)


def _anchor(check: Check) -> str:
    return re.sub(r"[^\w -]", "", f"{check.code} {check.name}").casefold().replace(" ", "-")


def _manual(text: str) -> str:
    """Return a manual page, whose sections are indented under their headings, as Markdown."""
    parts = re.split(r"^(?=\S)", text.strip(), flags=re.M)
    told = []
    for part in parts:
        heading, _, rest = part.partition("\n")
        body = dedent(rest).strip()
        if not body:
            told.append(heading.strip())
        elif heading in _NOTATION:
            told.append(f"**{heading}**\n\n```text\n{body}\n```")
        else:
            told.append(f"**{heading}**\n\n{body}")
    return "\n\n".join(one for one in told if one)


def _fields(name: str) -> str:
    schema = json.loads((SCHEMAS / f"{name}.schema.json").read_text(encoding="utf-8"))
    rows = ["| field | type | what it says |", "|---|---|---|"]
    rows += [f"| `{field}` | {kind} | {says} |" for field, kind, says in _rows(schema, "")]
    for key, part in schema.get("$defs", {}).items():
        rows.append(f"| {key} | {_kind(part)} | {part.get('description', '')} |")
        rows += [f"| `{field}` | {kind} | {says} |" for field, kind, says in _rows(part, f"{key}.")]
    return "\n".join(rows)


def _rows(node: dict[str, Any], under: str) -> Iterator[tuple[str, str, str]]:
    for key, part in node.get("properties", {}).items():
        yield f"{under}{key}", _kind(part), part.get("description", "")
        yield from _rows(part, f"{under}{key}.")
        yield from _rows(part.get("items", {}), f"{under}{key}[].")


def _kind(part: dict[str, Any]) -> str:
    if "$ref" in part:
        return str(part["$ref"]).rpartition("/")[2]
    if "const" in part:
        return f"`{part['const']}`" if part["const"] else "empty"
    if "enum" in part:
        return ", ".join(f"`{word}`" for word in part["enum"])
    if "anyOf" in part:
        return " or ".join(_kind(one) for one in part["anyOf"])
    kind = part.get("type", "any")
    if kind == "array":
        return f"list of {_kind(part.get('items', {}))}"
    return " or ".join(kind) if isinstance(kind, list) else str(kind)


if __name__ == "__main__" and sys.argv[1:] == ["pictures"]:
    pictures(DOCS / "pictures")
elif __name__ == "__main__":
    (DOCS / "checks.md").write_text(checks_page(), encoding="utf-8", newline="\n")
    (DOCS / "fault-classes.md").write_text(classes_page(), encoding="utf-8", newline="\n")
    (DOCS / "fault-matrix.md").write_text(matrix_page(), encoding="utf-8", newline="\n")
    output = DOCS / "output.md"
    output.write_text(output_page(output.read_text(encoding="utf-8")), encoding="utf-8", newline="\n")
