"""Numbered lines of one file come in, sections go out: what each command printed on each device."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

from vlancheck.capture import clock, prompts
from vlancheck.capture.lines import Line
from vlancheck.capture.prompts import Candidate


@dataclass(frozen=True, slots=True)
class Section:
    """What one command printed on one device, or a whole file that has no prompt."""

    file: str  # path as given
    device: str  # name from the prompt; "" when the text has no prompt, or its prompt no name
    command: str  # as typed, cleaned; "" when the text is bare (a saved configuration) or the prompt is empty
    lines: tuple[Line, ...]  # the output, without the prompt line
    prompt: Line | None  # the line with prompt and command; None for bare text
    taken: str = ""  # the time the text itself states, `2026-03-14 22:40:05` and the zone as written; "" when none
    cut: bool = False  # True when the output ends in the middle
    digest: str = ""  # SHA-256 of the bytes of the whole file, in hex; "" for a text that is no file


# What a device prints on a line of its own above its prompt.
_ROLE = re.compile(
    r"\{(?:master|backup|linecard|primary|secondary)(?::(?:node)?\d+)?(?::node\d+)?\}(?:\[edit[^\]]*\])?\s*$"
)
_EDIT = re.compile(r"\[edit(?: [^\]]*)?\]\s*$")
_NAMED = re.compile(
    r"^\s*(?:set\s+system\s+|switchname\s+)?(?:hostname|host-name|sysname|switchname)\s+\"?([\w.-]+)\"?;?\s*$"
)
_VIEW = re.compile(r"-(?:[A-Za-z-]*\d[\w/.:-]*|[a-z][a-z0-9-]*)$")
_LAST_WORDS = re.compile(r"\s*(?:end|return)\s*$")  # the last line of a configuration that is whole
_QUOTED = re.compile(r'"(?:[^"\\]|\\.)*+"')


def sections(file: str, lines: Sequence[Line], *, paged: Collection[int] = frozenset()) -> list[Section]:
    """Return the sections of one file, in order; every line that is not blank is in exactly one of them.

    `paged` holds the numbers of the lines on which the device asked whether to print on; an output that ends at
    one was not printed to its end.
    """
    found = _prompts(lines)
    starts = sorted(found)
    made: list[Section] = []
    first = lines[starts[0]] if starts else None
    begin = _above(lines, starts[0]) if starts else len(lines)
    if any(line.text.strip() for line in lines[:begin]):
        made.append(_section(file, "", None, lines[:begin], paged, first))
    for place, start in enumerate(starts):
        after = starts[place + 1] if place + 1 < len(starts) else len(lines)
        end = _above(lines, after) if after < len(lines) else after
        above = [Line(line.number, "") for line in lines[begin:start] if line.text.strip()]
        output = [*above, *lines[start + 1 : end]]
        device, command = found[start]
        section = _section(file, command, lines[start], output, paged, lines[after] if after < len(lines) else None)
        made.append(replace(section, device=device))
        begin = end
    return _dated(made)


def _section(
    file: str, command: str, prompt: Line | None, output: Iterable[Line], paged: Collection[int], after: Line | None
) -> Section:
    lines = tuple(Line(line.number, "") if line.text[:1] == "{" and _ROLE.match(line.text) else line for line in output)
    return Section(file, "", command, lines, prompt, cut=_cut(lines, paged, after))


def _above(lines: Sequence[Line], start: int) -> int:
    """Return where the lines begin that a device prints above the prompt at `start`."""
    begin = start
    for index in range(start - 1, max(-1, start - 5), -1):
        text = lines[index].text
        if _ROLE.match(text) or _EDIT.match(text):
            begin = index
        elif text.strip():
            break
    return begin


# ---- which lines are prompts -------------------------------------------------------------------------------------


def _prompts(lines: Sequence[Line]) -> dict[int, tuple[str, str]]:
    """Return device and command of each line that is proven to be a prompt, by index."""
    candidates = {index: one for index, line in enumerate(lines) if (one := prompts.candidate(line.text)) is not None}
    if not candidates:
        return {}
    names = {one.device for one in candidates.values() if one.group == "angle" and not one.view}
    keys = {index: (one.group, _device(one, names)) for index, one in candidates.items()}
    weights = _weights(lines, candidates, keys)
    return {
        index: (keys[index][1], one.command)
        for index, one in candidates.items()
        if weights.get(keys[index], 0) >= prompts.PROVEN and not (one.indented and one.command and not one.weight)
    }


def _weights(
    lines: Sequence[Line], candidates: dict[int, Candidate], keys: dict[int, tuple[str, str]]
) -> dict[tuple[str, str], int]:
    """Return how much the prompts of each name weigh: each different command once, and what else speaks for it."""
    seen: dict[tuple[str, str], dict[str, int]] = {}
    for index, one in candidates.items():
        if not one.indented:
            seen.setdefault(keys[index], {})[one.command] = one.weight
    weights = {key: sum(commands.values()) for key, commands in seen.items()}
    for key, commands in seen.items():
        words = [
            command for command, weight in commands.items() if not weight and re.match(r"[a-z][\w-]+(?!\S)", command)
        ]
        if key[0] == "name" and len(words) > 1:
            weights[key] += 1
    last = next((index for index in range(len(lines) - 1, -1, -1) if lines[index].text.strip()), -1)
    if last in candidates and not candidates[last].command and keys[last] in weights:
        weights[keys[last]] += 1
    if any(weight == prompts.PROVEN - 1 for weight in weights.values()):
        named = {match[1] for line in lines if (match := _NAMED.match(line.text))}
        for key in weights:
            weights[key] += key[1] in named
    return weights


def _device(one: Candidate, names: Collection[str]) -> str:
    """Return the name of the device; of [NAME-view] the longest name known, else what stands before the view."""
    if not one.view:
        return one.device
    known = [name for name in names if one.device == name or one.device.startswith(name + "-")]
    return max(known, key=len) if known else _VIEW.sub("", one.device)


# ---- where an output ends in the middle --------------------------------------------------------------------------


def _cut(lines: Sequence[Line], paged: Collection[int], after: Line | None) -> bool:
    """Return whether the output was not printed to its end: at a page, by a break, or inside a bracket."""
    shown = [line for line in lines if line.text.strip()]
    if not shown:
        return False
    last = shown[-1]
    end = after.number if after else lines[-1].number
    if any(number in paged for number in range(last.number + 1, end + 1)) and not _LAST_WORDS.match(last.text):
        return True
    return last.text.strip() == "^C" or _open_bracket(shown)


def _open_bracket(shown: Sequence[Line]) -> bool:
    first = shown[0].text.strip()
    if first[0] in "[{":
        text = _QUOTED.sub("", "\n".join(line.text for line in shown))
        return text.count("[") + text.count("{") > text.count("]") + text.count("}") or '"' in text
    first = next((text for line in shown if (text := line.text.strip())[0] not in "#/*"), "")
    if first.endswith("{"):
        depth = 0
        for line in shown:
            text = line.text.strip()
            depth += text.endswith("{") - text.startswith("}")
        return depth > 0
    return False


# ---- when it was taken -------------------------------------------------------------------------------------------


def _dated(made: list[Section]) -> list[Section]:
    """Return the sections with the time each states, else the nearest that its device or the log states."""
    stated = [clock.stated(section.command, section.lines) for section in made]
    near: dict[str, str] = {}  # device -> the first time it states, then the last one before the section
    for section, times in reversed(list(zip(made, stated, strict=True))):
        near[section.device] = times.now or near.get(section.device, "")
    dated = []
    logged = ""
    for section, times in zip(made, stated, strict=True):
        near[section.device] = times.now or near[section.device]
        logged = times.logged or logged
        dated.append(replace(section, taken=near[section.device] or logged or times.changed))
    return dated
