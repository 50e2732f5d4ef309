"""Records of a configuration and lines that act on them come in, the records that are there then go out.

add              a record more
set              keys of the records that are meant, each in place of what was there before; a list is set whole
remove           the records that are meant go
disable, enable  sets `disabled` of the records that are meant

Both come as path lines of the form `sections`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

from vlancheck.reader.pathlines import SEP, PathLine
from vlancheck.reader.statements import NOTHING_THERE, Refused, Typed

TAKEN = "the device has such a record and takes no second one"
_VERBS = ("add", "set", "remove", "disable", "enable", "unset", "reset", "move")
_HEAD = re.compile(rf"(?P<path>/.*?) (?P<verb>{'|'.join(_VERBS)})(?P<rest> .*|$)")
_LIST = re.compile(r"\d+(?:-\d+)?(?:,\d+(?:-\d+)?)*")


@dataclass(frozen=True, slots=True)
class Records:
    """How lines act on the records of a family's configuration."""

    keys: Mapping[str, tuple[str, ...]]  # section path -> the keys that say which record it is, as the form has them
    single: Mapping[str, tuple[str, ...]]  # section path -> the keys of which no two records have the same
    built_in: str = ""  # key of records that need no line to be there: the name of a thing on the box

    def printed(self, there: Sequence[PathLine], lines: Iterable[PathLine]) -> Typed:
        """Return the records `there` with those of a text that the device printed, by which nothing is refused."""
        return _Table(self, there, typing=False).after(lines)

    def typed(self, there: Sequence[PathLine], lines: Iterable[PathLine]) -> Typed:
        """Return the records `there` after `lines` were typed, one after another."""
        return _Table(self, there, typing=True).after(lines)


@dataclass(slots=True)
class _Record:
    """A record, or a line that acts on records: they are written alike."""

    path: str  # section
    verb: str
    loose: str  # words of its line that are no keys
    keys: dict[str, str]  # the keys that say which record it is; "" where its line does not hold one
    head: PathLine  # its line
    rest: list[PathLine] = field(default_factory=list)  # each other key

    def name(self, built_in: str) -> str:
        """Return what other lines call it."""
        return self.keys.get("name") or self.keys.get(built_in, "")

    def path_lines(self) -> Iterator[PathLine]:
        """Yield its path lines as they are now."""
        words = [self.path, self.verb, self.loose, *(f"{key}={value}" for key, value in self.keys.items())]
        text = " ".join(word for word in words if word)
        yield self.head._replace(text=text)
        for line in self.rest:
            yield line._replace(text=f"{text}{SEP}{_segment(line)}")


class _Table:
    """Records while lines act on them."""

    def __init__(self, family: Records, there: Iterable[PathLine], *, typing: bool) -> None:
        self._family = family
        self._typing = typing
        self._all: list[_Record | PathLine] = list(_statements(family, there))
        self._typed = Typed([])

    def after(self, lines: Iterable[PathLine]) -> Typed:
        """Carry out `lines` and return what is there then."""
        for one in list(_statements(self._family, lines)):
            if isinstance(one, PathLine):
                self._all.append(one)
            elif one.verb == "add":
                self._add(one)
            else:
                self._act(one)
        for one in self._all:
            self._typed.lines += [one] if isinstance(one, PathLine) else one.path_lines()
        return self._typed

    def _add(self, record: _Record) -> None:
        if self._typing and self._clash(record):
            self._refuse(record, TAKEN)
        else:
            self._all.append(record)

    def _act(self, line: _Record) -> None:
        known = self._family.keys.get(line.path, ())
        wanted = {key: value for key, value in line.keys.items() if value}
        if line.loose or not wanted or line.verb not in ("set", "remove", "disable", "enable"):
            self._refuse(line, f"which record {line.verb!r} means is not known")
            return
        hit = [one for one in self._records() if self._is_meant(one, line.path, wanted)]
        on_the_box = self._family.built_in in known and wanted.keys() <= {self._family.built_in, "name"}
        if not hit and line.verb != "remove" and on_the_box:
            self._all.append(made := self._made(line, wanted))
            hit = [made]
        if not hit and self._above(line.path):
            self._all += line.path_lines()  # a thing on the box, of a section that is not told
            return
        if not hit:
            near = [one for one in self._records() if one.path == line.path and _overlap(one.keys, wanted)]
            if near or line.verb != "remove":
                why = "no record has this list; one has a part of it" if near else NOTHING_THERE
                self._refuse(line, why, matters=bool(near) or not self._has(line.path))
            else:
                self._typed.taken.append(line.head)
            return
        before = [(one, dict(one.keys), one.head, list(one.rest)) for one in hit]
        for one in hit:
            if why := self._change(one, line):
                for record, keys, head, rest in before:
                    record.keys, record.head, record.rest = keys, head, rest
                self._refuse(line, why)
                return
        self._typed.taken.append(line.head)

    def _made(self, line: _Record, wanted: Mapping[str, str]) -> _Record:
        """Return the record of a thing on the box that no line spoke of yet."""
        keys = dict.fromkeys(line.keys, "")
        keys[self._family.built_in] = wanted.get(self._family.built_in) or wanted["name"]
        return _Record(line.path, "set", "", keys, line.head)

    def _change(self, record: _Record, line: _Record) -> str:
        """Carry out a line on one record; return why it is not done, or ""."""
        if line.verb == "remove":
            self._goes(record)
            return ""
        if line.verb in ("disable", "enable"):
            self._put(record, "disabled", "yes" if line.verb == "disable" else "no", line.head)
            return ""
        fresh: set[str] = set()
        for said in line.rest:
            key, _, value = _segment(said).removeprefix("!").partition("=")
            name = record.name(self._family.built_in)
            if key == "name" and self._typing and "name" in record.keys and value != name:
                return "what else goes by the old name is not followed"
            if key in record.keys:
                self._put(record, key, value, said)
                continue
            if key not in fresh:
                self._drop(record, key)
                fresh.add(key)
            record.rest.append(said)
        if self._typing and self._clash(record):
            return TAKEN
        return ""

    def _put(self, record: _Record, key: str, value: str, by: PathLine) -> None:
        if key not in record.keys:
            self._drop(record, key)
            record.rest.append(by._replace(text=f"{by.text}{SEP}{key}={value}"))
            return
        if record.keys[key] == value:
            return
        record.keys[key] = value
        if by.lines != record.head.lines:
            self._all.append(record.head._replace(passed=True))
            record.head = by._replace(lines=(*by.lines, *record.head.lines))

    def _drop(self, record: _Record, key: str) -> None:
        """Take the lines of a key away; they stay as lines that are passed over."""
        gone = [one for one in record.rest if _segment(one).removeprefix("!").partition("=")[0] == key]
        record.rest = [one for one in record.rest if one not in gone]
        self._all += (one._replace(passed=True) for one in gone)

    def _goes(self, record: _Record) -> None:
        self._all.remove(record)
        self._all += (one._replace(passed=True) for one in record.path_lines())

    def _refuse(self, line: _Record, why: str, *, matters: bool = True) -> None:
        if self._typing:
            self._typed.refused.append(Refused(line.head, why, matters))
        else:
            self._all += line.path_lines()

    def _records(self) -> list[_Record]:
        return [one for one in self._all if isinstance(one, _Record) and one.verb in ("add", "set") and not one.loose]

    def _above(self, path: str) -> bool:
        """Tell whether the things on the box are in sections below this one."""
        keys = self._family.keys
        return any(self._family.built_in in keys[below] for below in keys if below.startswith(f"{path} "))

    def _has(self, path: str) -> bool:
        return any(one.path == path for one in self._records())

    def _is_meant(self, record: _Record, path: str, wanted: Mapping[str, str]) -> bool:
        """Tell whether a record has all the keys; in a section above, any whose name it is."""
        if record.path != path and not (record.path.startswith(f"{path} ") and "name" in record.keys):
            return False
        for key, value in wanted.items():
            has = record.name(self._family.built_in) if key == "name" else record.keys.get(key, "")
            if has != value and (key, value, has) != ("disabled", "no", ""):
                return False
        return True

    def _clash(self, record: _Record) -> bool:
        """Tell whether another record is in the way of this one."""
        if not (keys := self._family.single.get(record.path)):
            return False
        for other in self._records():
            if other is record or other.path != record.path:
                continue
            if all(_same(record.keys.get(key, ""), other.keys.get(key, "")) for key in keys):
                return True
        return False


def _statements(family: Records, lines: Iterable[PathLine]) -> Iterator[_Record | PathLine]:
    """Yield records and lines that act on them, each with what stands on path lines of its own, and all other lines."""
    open_record: _Record | None = None
    for line in lines:
        head, bar, _ = line.text.partition(SEP)
        if not line.passed and bar and open_record is not None and open_record.head.text == head:
            open_record.rest.append(line)
            continue
        found = None if line.passed or bar else _HEAD.match(line.text)
        if found and found["path"] in family.keys:
            keys = family.keys[found["path"]]
            if said := _keys(keys).fullmatch(found["rest"]):
                if open_record is not None:
                    yield open_record
                loose = (said["loose"] or "").strip()
                values = {key: said[f"k{place}"] for place, key in enumerate(keys)}
                open_record = _Record(found["path"], found["verb"], loose, values, line)
                continue
        if open_record is not None and not line.passed:
            yield open_record
            open_record = None
        yield line
    if open_record is not None:
        yield open_record


@cache
def _keys(keys: tuple[str, ...]) -> re.Pattern[str]:
    """Return the pattern that takes the keys of a record apart, as the form `sections` writes them."""
    return re.compile("(?P<loose> .*?)?" + "".join(f" {re.escape(key)}=(?P<k{at}>.*?)" for at, key in enumerate(keys)))


def _segment(line: PathLine) -> str:
    return line.text.partition(SEP)[2]


def _same(one: str, other: str) -> bool:
    """Tell whether two values are the same, or two lists of numbers have one in common."""
    return one == other or bool(_numbers(one) & _numbers(other))


def _overlap(has: Mapping[str, str], wanted: Mapping[str, str]) -> bool:
    """Tell whether a record that is not the one that is meant shares a number with it."""
    return any(_numbers(has.get(key, "")) & _numbers(value) for key, value in wanted.items())


def _numbers(text: str) -> frozenset[int]:
    if not _LIST.fullmatch(text):
        return frozenset()
    ends = [item.partition("-") for item in text.split(",")]
    return frozenset(at for low, _, high in ends for at in range(int(low), min(int(high or low), 4095) + 1))
