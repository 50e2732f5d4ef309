"""Count, in real text, the lines with a word that could touch VLANs that nobody read, or that an open rule passes over.

    python -m dialects.sensitive_lines FOLDER      (from tests/; one folder a family, captures in it)

It asks the command line what became of each line and judges by itself: its words and its look at the rules share no
code with the reader.  A rule is open where the line would no longer fit if `.*`, `.+` and `[^|]*` took no such word.
"""

from __future__ import annotations

import re
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

import vlancheck

DIALECTS = Path(vlancheck.__file__).parent / "dialects"
WORD = (
    r"(?<![a-z])(?:vlans?|vlan-?id|vids?|trunks?|tagged|untagged|untag|tag|tags|tagging|native|pvid|switchport|qinq|"
    r"dot1q|dot1ad|tpid|etype|ethertype|encapsulation|xconnect|vxlan|bridge|bridging|isolat(?:e|ed|ion)|protected|"
    r"translation|mapping|rewrite|lag|channel-group|ingress-filtering|frame-types|port-mode|interface-mode)(?![a-z])"
)
HAS_WORD = re.compile(WORD, re.IGNORECASE)
OPEN = re.compile(r"(?<!\\)(?:\.[*+]|\[\^\|\][*+])\??")
PROSE = (".md", ".rst", ".adoc", ".tsv", ".yml", ".yaml")  # how-to texts and tables of the collections themselves


def main(folder: Path) -> int:
    """Print a line for each file and rule that fails, and the counts; return how many lines fail."""
    counts: Counter[str] = Counter()
    for file in sorted(one for one in folder.rglob("*") if one.is_file() and one.suffix not in PROSE):
        for kind, what in failures(file):
            counts[kind] += 1
            if kind in FAILS:
                print(f"{file.relative_to(folder)}: {kind}: {what}")
    print(", ".join(f"{count} {kind}" for kind, count in sorted(counts.items())) or "no line has such a word")
    return sum(counts[kind] for kind in FAILS)


FAILS = ("sensitive, unread", "sensitive, passed over by an open rule")


def failures(file: Path) -> Iterator[tuple[str, str]]:
    """Yield what became of the lines of a file, as kind and text; one line each."""
    sensitive = {
        number: line
        for number, line in enumerate(file.read_text(encoding="utf-8", errors="replace").split("\n"), 1)
        if HAS_WORD.search(line)
    }
    unread = set(asked(file, "--unread"))
    passed = list(asked(file, "--passed"))
    for number, text in unread:
        if number in sensitive:
            yield "sensitive, unread", f"{number}: {text}"
        else:
            yield "other, unread", text
    for number, text in passed:
        line, _, rule = text.rpartition("  <- ")
        if number in sensitive and is_open(rule, line):
            yield "sensitive, passed over by an open rule", f"{number}: {text}"
        elif number in sensitive:
            yield "sensitive, passed over by name", text


def asked(file: Path, option: str) -> Iterator[tuple[int, str]]:
    """Yield number and text of the lines that `vlancheck read OPTION` prints."""
    program = "from vlancheck.cli import main; main()"
    words: Sequence[str] = [sys.executable, "-c", program, "read", str(file), option]
    done = subprocess.run(words, capture_output=True, text=True, check=False, errors="replace")
    for line in done.stdout.split("\n"):
        if found := re.match(rf"{re.escape(str(file))}:(\d+): (.*)", line):
            yield int(found[1]), found[2]


def is_open(rule: str, line: str) -> bool:
    """Tell whether a rule (DIALECT/TEMPLATE:LINE) takes a word of a line that it does not spell out."""
    if "/" not in rule:
        return False  # a comment, the end of a stanza, text between quotes
    path, _, number = rule.rpartition(":")
    written = (DIALECTS / path).read_text(encoding="utf-8").split("\n")[int(number) - 1].strip()
    own = written.removeprefix("^").replace("$$", "$")
    own = own[own.rindex(r" \| ") + 4 :] if r" \| " in own and own.count("(") == own.count(")") else own
    spelt = re.sub(r"\(\?#free\)(?:\.|\[\^\|\])[*+]\??", "(?:[\\\\s\\\\S]*)", own)
    tempered = OPEN.sub(rf"(?:(?!{WORD})[^|])*", spelt)
    if tempered == spelt:
        return not written.endswith("$$")
    try:
        return re.search(tempered, " ".join(line.split()), re.IGNORECASE) is None
    except re.error:
        return True


if __name__ == "__main__":
    sys.exit(bool(main(Path(sys.argv[1]))))
