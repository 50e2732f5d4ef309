"""The text of a template comes in, its rules as they are written go out; nothing is compiled.

A template of the closed form is taken apart here, since most rules match no line of a capture and compiling them all
took longer than reading it.  What is not of that form goes through TextFSM, which says what is wrong with it.
"""

from __future__ import annotations

import io
import re
import string
from dataclasses import dataclass

import textfsm

from vlancheck.errors import DialectError

_VALUE = re.compile(r"Value (?P<name>\w{1,48}) (?P<regex>\((?:.*[^\\])?\))")
_RULE = re.compile(r"(?: {1,2}|\t)(?P<match>\^.*?)(?P<record> -> Record)?")
_COMMENT = re.compile(r"\s*#")
_NAMED = re.compile(r"\(\?P<(\w+)>")  # a group with a name


@dataclass(frozen=True, slots=True)
class Written:
    """One rule as it is written."""

    line: int  # 1-based line in the template
    match: str  # with VALUEs in `${...}` and `$$` for an end
    regex: str  # with the VALUEs' own expressions as named groups
    takes: tuple[str, ...]  # names of these groups
    reads: bool  # it ends in `-> Record`


def rules_of(text: str, file: str) -> tuple[frozenset[str], list[Written]]:
    """Return the names of the VALUEs and the rules of a template; raise DialectError where it is not right.

    One state, `Start`; no options; no action but `-> Record`: a value never outlives its line.
    """
    return _closed(text) or _checked(text, file)


def _closed(text: str) -> tuple[frozenset[str], list[Written]] | None:
    """Return what a template of the closed form holds, or None when it is not of that form."""
    values: dict[str, str] = {}
    rules: list[Written] = []
    lines = [(number, line.rstrip()) for number, line in enumerate(text.split("\n"), 1)]
    lines = [(number, line) for number, line in lines if not _COMMENT.match(line)]
    blank = next((place for place, (_, line) in enumerate(lines) if not line), len(lines))
    for _, line in lines[:blank]:
        if not (value := _VALUE.fullmatch(line)) or value["name"] in values:
            return None
        values[value["name"]] = f"(?P<{value['name']}>{value['regex'][1:]}"
    body = [(number, line) for number, line in lines[blank:] if line]
    if not values or not body or body[0][1] != "Start" or body != _block(lines, body[0][0]):
        return None
    for number, line in body[1:]:
        if not (rule := _RULE.fullmatch(line)) or " ->" in rule["match"]:
            return None
        try:
            regex = string.Template(rule["match"]).substitute(values)
        except (ValueError, KeyError):
            return None
        takes = tuple(_NAMED.findall(regex))
        if len(set(takes)) < len(takes):
            return None
        rules.append(Written(number, rule["match"], regex, takes, rule["record"] is not None))
    return frozenset(values), rules


def _block(lines: list[tuple[int, str]], first: int) -> list[tuple[int, str]]:
    """Return the lines from line `first` up to a blank one."""
    found: list[tuple[int, str]] = []
    for number, line in lines:
        if number >= first:
            if not line:
                break
            found.append((number, line))
    return found


def _checked(text: str, file: str) -> tuple[frozenset[str], list[Written]]:
    """Return what a template holds as TextFSM understands it; raise DialectError when it is none of ours."""
    try:
        machine = textfsm.TextFSM(io.StringIO(text))
    except (textfsm.TextFSMTemplateError, textfsm.TextFSMError) as error:
        line = re.search(r"Line:? ?(\d+)", str(error))
        raise DialectError(f"not a TextFSM template: {error}", file=file, line=int(line[1]) if line else 0) from error
    except re.error as error:
        raise DialectError(f"not a TextFSM template: {error}", file=file) from error
    if extra := [name for name in machine.states if name not in ("Start", "End", "EOF")]:
        raise DialectError(f"has the state {extra[0]!r}; a dialect's template has one state, Start", file=file)
    for value in machine.values:
        if value.OptionNames():
            raise DialectError(f"{value.name} has an option; values of a dialect have none", file=file)
    rules = []
    for rule in machine.states["Start"]:
        if rule.line_op == "Continue" or rule.new_state or rule.record_op not in ("", "Record"):
            raise DialectError("only `-> Record`, or no action at all, is known", file=file, line=rule.line_num)
        takes = tuple(_NAMED.findall(rule.regex))
        rules.append(Written(rule.line_num, rule.match, rule.regex, takes, rule.record_op == "Record"))
    return frozenset(value.name for value in machine.values), rules
