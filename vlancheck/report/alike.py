"""Classes of alike ports, and a re-patching with shorter cords, as text and as documents."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from vlancheck.dot1q.properties import SHOWN
from vlancheck.moves.alike import AlikeClass, Alikeness
from vlancheck.moves.compared import AlikePort, Apart, Cord, vlan_words
from vlancheck.moves.plan import Shift
from vlancheck.planning import Replanned
from vlancheck.report.ports import port_list
from vlancheck.report.textpage import Page
from vlancheck.site.endpoints import ON_HOLD, caution

SCHEMA, PLAN_SCHEMA = "vlancheck/alike/1", "vlancheck/repatching/1"
_METRE = 1000  # millimetres
_CORDS = {
    Cord.FREE: "may move freely",
    Cord.SIGN: "to sign",
    Cord.EMPTY: "nothing in it",
    Cord.KEPT: "stays",
    Cord.UNCLEAR: "not known",
}
_PHONES = (
    "A phone that moves: a row to sign, with the place it tells for emergency calls written down before and after,"
    " and a test agreed with its owner."
)


def text(found: Alikeness, site: str, survey: str, width: int = 80) -> str:
    """Return the classes, what sets them apart, and what may be done with each cord."""
    page = Page(width)
    page.prose(f"{site}, {survey}: {_counts(found)}.")
    number = 0
    for one in found.classes:
        if len(one.ports) > 1:
            number += 1
            page.put()
            _class(page, one, number)
    alone = [one for one in found.classes if len(one.ports) == 1]
    if alone:
        page.put()
        page.put("Alike to no other port")
        for one in alone:
            _alone(page, one)
    for title, apart in (
        ("Not known: something unread or missing decides", [one for one in found.apart if one.doubt]),
        ("Not to be exchanged", [one for one in found.apart if not one.doubt]),
    ):
        if apart:
            page.put()
            page.put(title)
            _apart(page, apart)
    _cautions(page, found)
    return page.text


def plan_text(found: Replanned, site: str, survey: str, width: int = 80) -> str:
    """Return which cord goes where, how much cord that saves, and what a verification says of it."""
    page = Page(width)
    plan = found.plan
    page.prose(f"{site}, {survey}: {_plan_counts(found)}.")
    if plan.no_height:
        named = ", ".join(plan.no_height)
        page.prose(
            f"Not known is the height of {named}; there only left and right counts, and cords stay at their device. "
            "Say it under `cabinet:` in site.yaml."
        )
    if plan.shifts:
        page.put()
        page.put("Cords to move")
        for shift in plan.shifts:
            label = f"{shift.label} " if shift.label else ""
            page.prose(f"{label}at {shift.name} ({shift.serves}): from {shift.before} to {shift.after}", 2, 6)
    page.put()
    page.prose(_proof(found))
    return page.text


def document(found: Alikeness, site: str, survey: str) -> dict[str, Any]:
    """Return the classes as JSON fields; the schema only grows."""
    return {
        "schema": SCHEMA,
        "site": site,
        "survey": survey,
        "free": found.free,
        "classes": [
            {
                "vlans": vlan_words(one.ports[0].bridge_port) if one.ports[0].bridge_port else "",
                "settings": [{"name": name, "value": value} for name, value in _properties(one.ports[0]).items()],
                "ports": [_port(port) for port in one.ports],
                "nearest": one.nearest,
                "apart": list(one.apart),
            }
            for one in found.classes
        ],
        "apart": [
            {"port": one.place, "why": one.why, "unproven": one.doubt, "settled_by": one.settled_by}
            for one in found.apart
        ],
    }


def plan_document(found: Replanned, site: str, survey: str) -> dict[str, Any]:
    """Return the re-patching as JSON fields; the schema only grows."""
    plan = found.plan
    return {
        "schema": PLAN_SCHEMA,
        "site": site,
        "survey": survey,
        "proven": found.proven,
        "cords": plan.cords,
        "length_before": plan.before,
        "length_after": plan.after,
        "no_height": list(plan.no_height),
        "moves": [_shift(shift) for shift in plan.shifts],
    }


def _shift(shift: Shift) -> dict[str, Any]:
    return {
        "cord": shift.label,
        "at": shift.name,
        "serves": shift.serves,
        "before": shift.before,
        "after": shift.after,
        "saves": shift.saves,
    }


def _port(port: AlikePort) -> dict[str, Any]:
    return {
        "port": port.place,
        "cord": port.cord.value,
        "why": port.why,
        "at": port.name,
        "serves": port.serves,
    }


def _properties(port: AlikePort) -> dict[str, str]:
    return {str(name): str(fact.value) for name, fact in (port.properties or {}).items() if name not in SHOWN}


def _counts(found: Alikeness) -> str:
    several = [one for one in found.classes if len(one.ports) > 1]
    sign = sum(port.cord is Cord.SIGN for one in found.classes for port in one.ports)
    parts = [
        f"{_some(found.free, 'cord')} may move freely within {_some(len(several), 'class', 'classes')} of alike ports"
    ]
    if sign:
        parts.append(f"{_some(sign, 'cord')} only when somebody signs")
    if doubts := sum(one.doubt for one in found.apart):
        parts.append(f"{_some(doubts, 'port')} not known")
    return "; ".join(parts)


def _class(page: Page, one: AlikeClass, number: int) -> None:
    first = one.ports[0]
    words = vlan_words(first.bridge_port) if first.bridge_port else ""
    page.prose(f"Class {number}: {len(one.ports)} ports, {words}", 0, 4)
    if settings := _properties(first):
        page.prose(", ".join(f"{name} {value}" for name, value in settings.items()), 4)
    for cord in Cord:
        whys: dict[str, list[str]] = {}
        for port in one.ports:
            if port.cord is cord:
                whys.setdefault(port.why, []).append(port.place)
        for why, places in whys.items():
            told = f" ({why})" if why else ""
            page.prose(f"{_CORDS[cord]}: {port_list(places)}{told}", 2, 6)
    if one.nearest:
        page.prose(f"not like {one.nearest}: {'; '.join(one.apart)}", 2, 6)


def _alone(page: Page, one: AlikeClass) -> None:
    port = one.ports[0]
    hangs = f" ({port.serves})" if port.serves else ""
    page.prose(f"{port.place}{hangs}: {vlan_words(port.bridge_port) if port.bridge_port else ''}", 2, 6)
    if one.nearest:
        page.prose(f"nearest {one.nearest}: {'; '.join(one.apart)}", 4, 6)


def _apart(page: Page, several: Iterable[Apart]) -> None:
    whys: dict[tuple[str, str], list[str]] = {}
    for one in several:
        leads = one.why.startswith("its cord leads to ")
        why = "its cord leads to another box" if leads else one.why
        whys.setdefault((why, one.settled_by), []).append(one.place)
    for (why, settle), places in whys.items():
        page.prose(f"{port_list(places)}: {why}" + (f"; settle it by: {settle}" if settle else ""), 2, 6)


def _cautions(page: Page, found: Alikeness) -> None:
    ports = [port for one in found.classes for port in one.ports]
    told = [_PHONES] if any(port.why == "phone" for port in ports) else []
    if any(one.why.startswith("hold: ") for one in found.apart):
        told.append(f"A hold: {caution(ON_HOLD)}.")
    for one in told:
        page.put()
        page.prose(one)


def _plan_counts(found: Replanned) -> str:
    plan = found.plan
    saved = plan.before - plan.after
    if not plan.shifts:
        return f"of {_some(plan.cords, 'cord')} that may move freely none gets shorter elsewhere"
    return (
        f"{len(plan.shifts)} of {_some(plan.cords, 'cord')} that may move freely move, and all together"
        f" {plan.before / _METRE:.1f} m become {plan.after / _METRE:.1f} m ({saved / _METRE:.1f} m less)"
    )


def _proof(found: Replanned) -> str:
    if found.report is None or found.report.comparison is None:
        return "Nothing moves, so nothing changes."
    if not found.proven:
        return "NOT PROVEN: a verification of the plan finds changes; it is not written. Please report this."
    open_ = len(found.report.comparison.open)
    rest = f"; at {_some(open_, 'place')} nothing can be compared, before or after" if open_ else ""
    return f"Verified against the survey as it is: every frame is carried as before{rest}."


def _some(count: int, word: str, many: str = "") -> str:
    return f"{count} {word if count == 1 else many or word + 's'}"
