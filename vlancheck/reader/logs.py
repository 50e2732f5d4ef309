"""All sections of a device come in; what it told of in its log, and the lines typed at it that need a look, go out."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace

from vlancheck.capture import Line, Section
from vlancheck.dot1q.model import Entered, Logged, Told
from vlancheck.evidence import Kind, Origin, Origins
from vlancheck.reader.dialect import Dialect, Source
from vlancheck.reader.pathlines import PathLine, leaf
from vlancheck.reader.reading import match, source_of

_SENT = re.compile(r"\s*\^Z\s*$")  # a line that was sent off with the key that leaves configuration mode
_LEAVES = "end"
_MODE = re.compile(r"\(conf[^()]*\)")


def logged(dialect: Dialect, sections: Iterable[Section]) -> tuple[Logged, ...]:
    """Return what the device told of, each at each port once, in the order of the texts."""
    found: dict[tuple[Told, str], Logged] = {}
    for section in sections if dialect.log else ():
        for line in section.lines:
            sign = next(((one, hit) for one in dialect.log if (hit := one.like.search(line.text))), None)
            if sign is None:
                continue
            port = _port(dialect, sign[1].groupdict().get("port") or "")
            key = sign[0].told, port
            if key in found:
                found[key] = replace(found[key], times=found[key].times + 1)
            else:
                origin = Origin(Kind.SHOW, line.text.strip(), section.file, line.number)
                found[key] = Logged(sign[0].told, port, 1, (origin,))
    return tuple(found.values())


def entered(
    dialect: Dialect, sections: Sequence[Section], pairs: Sequence[tuple[Section, Source]]
) -> tuple[Entered, ...]:
    """Return the lines of configuration that were typed and refused, or not followed by the configuration.

    A refused line that the configuration printed after it has all the same was typed again, and is left out.
    """
    source = next((one for one in dialect.sources if one.bare and one.evidence is Kind.LINE), None)
    if source is None or dialect.statements is not None:
        return ()
    found: list[Entered] = []
    for file in dict.fromkeys(section.file for section in sections):
        mine = [one for one in sections if one.file == file and one.prompt is not None and one.command]
        typed = [one for one in mine if source_of(dialect, one) is None]
        printed = [one for one, by in pairs if one.file == file and by.evidence is Kind.LINE and not by.parts]
        found += _typed(dialect, source, typed, printed)
    return tuple(found)


def _typed(dialect: Dialect, source: Source, typed: Sequence[Section], printed: Sequence[Section]) -> Iterable[Entered]:
    """Yield what needs a look of the commands in one log, of which `printed` shows the configuration."""
    answers = {section.prompt.number: _answer(dialect, section) for section in typed if section.prompt}
    if not any(answers.values()) and not printed:
        return
    of_line = {section.prompt.number: section for section in typed if section.prompt}
    try:
        path_lines = list(source.form(_commands(typed)))
    except ValueError:
        return
    headers = {header.number for one in path_lines for header in one.headers}
    for path_line in path_lines:
        number = path_line.lines[0].number
        if path_line.passed or number not in of_line:
            continue
        hit, path_line = match(source, path_line)
        answer = answers[number]
        if answer and not (hit or path_line.headers or _configuring(of_line[number])):
            continue
        if not answer and (number in headers or not (hit and hit.rule.reads)):
            continue
        later = next((one for one in printed if one.lines and one.lines[0].number > number), None)
        port = _owner(dialect, path_line.text)
        if later and (not answer or _says(dialect, source, later, port, leaf(path_line.text))):
            continue
        captured = True if later else False if printed else None
        yield Entered(port, answer, captured, _origins(of_line[number], path_line))


def _configuring(section: Section) -> bool:
    """Tell whether a prompt says that lines of configuration are typed behind it."""
    return section.prompt is not None and _MODE.search(section.prompt.text.removesuffix(section.command)) is not None


def _commands(typed: Sequence[Section]) -> list[Line]:
    """Return the commands as lines of a configuration."""
    lines: list[Line] = []
    for section in typed:
        assert section.prompt is not None
        lines.append(Line(section.prompt.number, _SENT.sub("", section.command)))
        if _SENT.search(section.command):
            lines.append(Line(section.prompt.number, _LEAVES))
    return lines


def _answer(dialect: Dialect, section: Section) -> str:
    """Return the words by which a device refused what was typed; "" when it did not."""
    refused = (line.text.strip() for line in section.lines if any(one.search(line.text) for one in dialect.refusals))
    return next(refused, "")


def _says(dialect: Dialect, source: Source, section: Section, port: str, said: str) -> bool:
    """Tell whether a printed configuration has a line, at the same port."""
    return any(leaf(one.text) == said and _owner(dialect, one.text) == port for one in source.form(section.lines))


def _origins(section: Section, line: PathLine) -> Origins:
    header = tuple(Origin(Kind.LINE, one.text.strip(), section.file, one.number) for one in line.headers)
    assert section.prompt is not None
    return (Origin(Kind.LINE, section.command, section.file, section.prompt.number, header=header),)


def _owner(dialect: Dialect, text: str) -> str:
    """Return the port that a path line stands under; of a list the first; "" none."""
    for owner in dialect.owners:
        if found := owner.like.search(text):
            return _port(dialect, (found.groupdict().get("port") or "").strip(), many=True)
    return ""


def _port(dialect: Dialect, text: str, *, many: bool = False) -> str:
    try:
        return next(iter(dialect.expand(text, many)), "") if text else ""
    except ValueError:
        return ""
