"""A line of jot that says what was ordered of the carrier in, the handoff that site.yaml would declare out."""

from __future__ import annotations

from vlancheck.errors import SiteError
from vlancheck.notation.words import Line, cut, items, pairs, said
from vlancheck.site.handoffs import HANDOFF_KEYS, Handoff, read_handoff
from vlancheck.site.yamltext import Value

FIELDS = tuple(key for key in HANDOFF_KEYS if key != "at")


def handoff(place: str, line: Line) -> Handoff:
    """Return what `ordered PLACE KEY=VALUE...` says, by the rules of site.yaml; NotationError for what breaks them."""
    fields = {"at": _value(place, line)}
    for key, raw in pairs(line.words[2:], FIELDS, line).items():
        match key:
            case "map":
                fields[key] = _map(dict(_both(part, line) for part in items(raw)), line)
            case "ends":
                ends = [_both(part, line) for part in items(raw, ";")]
                several = tuple(_map({"name": name, "ce-vlans": value}, line) for name, value in ends)
                fields[key] = Value(line.file, line.number, line.text, items=several)
            case _:
                fields[key] = _value(said(raw, line), line)
    names = {key: _value(key, line) for key in fields}
    try:
        return read_handoff(Value(line.file, line.number, line.text, fields=fields, names=names))
    except SiteError as error:
        line.fail(error.message, error.hint)


def _both(part: str, line: Line) -> tuple[str, str]:
    one, other = cut(part, ":")
    if not other:
        line.fail(f"{part!r} has no colon", "write map=881:310,882:320, or ends=NAME:0750-0759;OTHER:0750")
    return said(one, line), said(other, line)


def _map(pairs_: dict[str, str], line: Line) -> Value:
    fields = {key: _value(value, line) for key, value in pairs_.items()}
    return Value(line.file, line.number, line.text, fields=fields, names={key: _value(key, line) for key in fields})


def _value(text: str, line: Line) -> Value:
    return Value(line.file, line.number, line.text, text=text)
