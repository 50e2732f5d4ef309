"""What was read of a device comes in, the lines passed over on purpose go out, each with the rule that names it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import PurePath

from vlancheck.reader.pathlines import PathLine
from vlancheck.reader.reading import Fate, Gathered, match


@dataclass(frozen=True, slots=True)
class Passed:
    """A line that was passed over."""

    file: str  # capture it stands in
    line: int  # 1-based
    text: str  # the line
    seen: str  # as the rule saw it, with the headers it stands under
    rule: str  # FOLDER/TEMPLATE:LINE of the rule; "" where the form passes it: a comment, the end of a stanza
    pattern: str  # regular expression of the rule, as it is matched


def passed_over(gathered: Gathered) -> Iterator[Passed]:
    """Yield the lines of which nothing was read and nothing is unread, in the order of the texts."""
    for text, fates in zip(gathered.texts, gathered.fates, strict=True):
        section, source = text.section, text.source
        if Fate.PASSED not in fates.values():
            continue  # so of a text of another form, which has its own note
        lines: Iterable[PathLine] = source.form(section.lines)
        for macro in source.macros:
            lines = macro(lines)
        for line in lines:
            own = line.lines[0]
            if fates.get(own.number) is not Fate.PASSED:
                continue
            hit, line = (None, line) if line.passed else match(source, line)
            if hit is None:
                yield Passed(section.file, own.number, own.text, line.text, "", "")
                continue
            template = next(one for one in source.templates if hit.rule in one.rules)
            rule = f"{PurePath(template.file).parent.name}/{PurePath(template.file).name}:{hit.rule.line}"
            yield Passed(section.file, own.number, own.text, line.text, rule, hit.rule.pattern.pattern)
