"""`accepted:` in, findings that somebody answers for out: which, why, who, and until when."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from vlancheck.places import fingerprint
from vlancheck.site.places import nearest
from vlancheck.site.services import needed
from vlancheck.site.yamltext import Value, load

_KEYS = ("finding", "code", "at", "why", "by", "until", "severity", "times", "survey")
_FINGERPRINT = re.compile(r"[0-9a-f]{16}")
_CODE = re.compile(r"[A-Z][0-9]{3}")
_DATE = re.compile(r"\d{4}-\d\d-\d\d")
_WARNING = "warning"
WORST = ("error", _WARNING, "note")
_MOST = 1000  # findings of one fingerprint
_ASK = "`vlancheck accept SITE FINGERPRINT --why TEXT --by NAME` prints an entry"


@dataclass(frozen=True, slots=True)
class Accepted:
    """A finding that somebody answers for."""

    finding: str  # its fingerprint
    code: str  # of its check
    why: str  # in the words of whoever accepts it
    by: str  # who answers for it
    where: Value  # where it stands
    at: tuple[str, ...] = ()  # DEVICE:PORT or DEVICE it is about; () not said
    until: str = ""  # the last day, 2026-12-31; "" for good
    severity: str = _WARNING  # the worst it may be
    times: int = 1  # findings that have this fingerprint
    surveys: tuple[str, ...] = ()  # the ones it is for; () all

    @property
    def called(self) -> str:
        """Return the finding in a few words."""
        return f"{self.code} at {', '.join(self.at)}" if self.at else f"{self.code}, fingerprint {self.finding},"


def read_accepted(root: Path, value: Value | None, surveys: Collection[str]) -> tuple[Accepted, ...]:
    """Return what is accepted, from the list that stands here or from the file of the site that it names.

    Raises SiteError for an entry without a reason or a name, a date that is none, a fingerprint that is not the one of
    the code and the places beside it, a survey that does not exist, and a finding that is accepted twice.
    """
    if value is None or value.empty:
        return ()
    if value.text is not None:
        value = _from_file(root, value)
    found: dict[tuple[str, str], Accepted] = {}
    for item in value.list("`accepted`"):
        one = _accepted(item, surveys)
        for survey in one.surveys or surveys:
            first = found.setdefault((one.finding, survey), one)
            if first is not one:
                place = f"{first.where.file}:{first.where.line}"
                raise one.where.error(f"the finding {one.finding} is accepted already, at {place}", "keep one of them")
    return tuple(dict.fromkeys(found.values()))


def is_date(text: str) -> bool:
    """Tell whether a text is a day, written as 2026-12-31."""
    try:
        return bool(_DATE.fullmatch(text) and date.fromisoformat(text))
    except ValueError:
        return False


def _from_file(root: Path, value: Value) -> Value:
    name = value.word("`accepted`")
    path = root / name
    if not path.is_file():
        raise value.error(
            f"`accepted` names the file {name}, which is not there", f"paths start in {root}; or write the list here"
        )
    return load(path, f"{root}/{name}", name)


def _accepted(value: Value, surveys: Collection[str]) -> Accepted:
    what = "an accepted finding"
    fields = value.map(what, _KEYS)
    mark = needed(fields, "finding", value, what, f"add `finding:`, its fingerprint; {_ASK}")
    if not _FINGERPRINT.fullmatch(mark.word("`finding`")):
        raise mark.error(f"`finding` is {mark.word('`finding`')!r}", f"a fingerprint is 16 of 0-9 and a-f; {_ASK}")
    code = needed(fields, "code", value, what, "add `code:`, the code of its check, so that people know what it is")
    if not _CODE.fullmatch(code.word("`code`")):
        raise code.error(f"`code` is {code.word('`code`')!r}", "a code is a letter and three digits, such as L101")
    at = tuple(one.word("`at`") for one in fields["at"].several("`at`")) if "at" in fields else ()
    if at and fingerprint(code.word("`code`"), at) != mark.word("`finding`"):
        raise mark.error(f"{mark.text} is not the fingerprint of {code.text} at {', '.join(at)}", _ASK)
    return Accepted(
        finding=mark.word("`finding`"),
        code=code.word("`code`"),
        why=needed(fields, "why", value, what, "add `why:`, the reason it may stay").word("`why`"),
        by=needed(fields, "by", value, what, "add `by:`, who answers for it").word("`by`"),
        where=mark,
        at=at,
        until=_date(fields["until"]) if "until" in fields else "",
        severity=fields["severity"].choice("`severity`", WORST) if "severity" in fields else _WARNING,
        times=fields["times"].number("`times`", 1, _MOST) if "times" in fields else 1,
        surveys=tuple(_survey(one, surveys) for one in fields["survey"].several("`survey`"))
        if "survey" in fields
        else (),
    )


def _date(value: Value) -> str:
    text = value.word("`until`")
    if not is_date(text):
        raise value.error(f"`until` is {text!r}", "it is the last day on which it counts, 2026-12-31")
    return text


def _survey(value: Value, surveys: Collection[str]) -> str:
    name = value.word("`survey`")
    if name not in surveys:
        raise value.error(f"there is no survey {name!r}", nearest(name, surveys))
    return name
