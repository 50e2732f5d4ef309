"""Numbered lines of one file come in, sections go out: what each command printed on each device."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from vlancheck.capture.lines import Line


@dataclass(frozen=True, slots=True)
class Section:
    """What one command printed on one device, or a whole file that has no prompt."""

    file: str  # path as given
    device: str  # name from the prompt; "" when the text has no prompt
    command: str  # as typed, cleaned; "" when the text is bare (a saved configuration)
    lines: tuple[Line, ...]  # the output, without the prompt line
    prompt: Line | None  # the line with prompt and command; None for bare text
    taken: str = ""  # a time the text itself states; "" when none
    cut: bool = False  # True when the log ends in the middle


_PROMPT = re.compile(
    r"(?:\S+@)?(?P<host>[\w.-]+)(?::[^\s#$>]*)?(?:\([^)\s]*\))?[#>$] ?(?P<command>(?:show|sh|bridge|ip|ovs-vsctl)\b.*)?$"
)


def sections(file: str, lines: Sequence[Line]) -> list[Section]:
    """Return the sections of one file, in order."""
    found: list[Section] = []
    device, command, prompt, output = "", "", None, []  # type: str, str, Line | None, list[Line]

    def close() -> None:
        if prompt is not None or any(line.text.strip() for line in output):
            found.append(Section(file, device, command, tuple(output), prompt))

    for line in lines:
        if match := _PROMPT.match(line.text):
            close()
            device, command, prompt, output = match["host"], match["command"] or "", line, []
        else:
            output.append(line)
    close()
    return found
