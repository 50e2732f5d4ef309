"""Match lines of one dialect's fixtures, grown long in every unkind way, against its templates; say how many."""

from __future__ import annotations

import sys

from dialects.expected import FIXTURES
from vlancheck.capture import load
from vlancheck.reader import load_dialect

LONG = 4_000
TAILS = (
    "a" * LONG,
    "1" * LONG,
    " " * LONG + "x",
    "1,2-3," * (LONG // 6) + "x",
    "Gi1/0/1-2," * (LONG // 10) + "!",
    "1/0/" * (LONG // 4),
    "a b " * (LONG // 4),
    "0:" * (LONG // 2) + "z",
    '"' * LONG,
    " | " * (LONG // 3),
)


def lines(name: str) -> set[str]:
    """Return lines that begin as those of the fixtures, or as rules do, and have long tails."""
    dialect = load_dialect(name)
    heads: set[str] = set()
    for file in sorted((FIXTURES / name).glob("*.txt")):
        for section in load([file], root=FIXTURES):
            for line in section.lines:
                words = line.text.split()
                heads |= {" ".join(words[:count]) for count in (1, 3) if len(words) >= count}
    for source in dialect.sources:
        for template in source.templates:
            for rule in template.rules:
                heads.add(rule.pattern.pattern.lstrip("^").partition("(")[0].partition("$")[0].replace("\\", ""))
    return {f"{head} {tail}" for head in heads for tail in TAILS}


def main() -> None:
    """Match everything; what takes for ever is stopped by who runs this."""
    dialect = load_dialect(sys.argv[1])
    count = 0
    for line in lines(sys.argv[1]):
        for source in dialect.sources:
            for template in source.templates:
                template.match(line)
                count += 1
        for pattern in (*dialect.patterns, *dialect.commands, *dialect.hostname, dialect.sensitive):
            pattern.search(line)
        dialect.parts(line)
    print(count)


if __name__ == "__main__":
    main()
