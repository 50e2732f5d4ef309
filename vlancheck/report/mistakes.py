"""What every exchange of two cords would do, and every row off by one, as text and as a document."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from vlancheck.moves.harm import WORDS, Harm
from vlancheck.moves.mistakes import Mistakes, Risk, Slip
from vlancheck.moves.tangled import Tangle
from vlancheck.report.ports import port_list
from vlancheck.report.textpage import Page

SCHEMA = "vlancheck/mistakes/1"
_TOLD = 12  # cords, rows and exchanges between boxes that are told each; the document has all


def text(found: Mistakes, site: str, survey: str, width: int = 80) -> str:
    """Return how many exchanges do what, the cords to test first, and what is worst of the rest."""
    page = Page(width)
    tried = sum(found.swaps.values())
    page.prose(f"{site}, {survey}: {tried} exchanges of two cords tried: {_counts(found.swaps)}.")
    if found.left:
        page.prose(f"Not tried: {found.left} exchanges of a cord between boxes with one at another box.")
    worst = [risk for risk in found.risks if risk.next_door > Harm.UNKNOWN]
    if worst:
        page.put()
        page.put("Test these first: one port off, at the switch or at the panel")
        for risk in worst[:_TOLD]:
            _risk(page, risk)
        _more(page, len(worst))
    slips = _longest(found.slips)
    if slips:
        page.put()
        page.put("Rows off by one")
        for slip in slips[:_TOLD]:
            _slip(page, slip)
        _more(page, len(slips))
    tangles = _grouped(found)
    if tangles:
        page.put()
        page.put("Cords between boxes, exchanged with another cord")
        for (port, _), several in list(tangles.items())[:_TOLD]:
            first = several[0]
            others = port_list(tangle.other for tangle in several)
            page.prose(f"{port} with {others}: {WORDS[first.harm]}: {first.words}", 2, 6)
        _more(page, len(tangles))
    return page.text


def document(found: Mistakes, site: str, survey: str) -> dict[str, Any]:
    """Return everything as JSON fields; the schema only grows."""
    return {
        "schema": SCHEMA,
        "site": site,
        "survey": survey,
        "exchanges": _document_counts(found.swaps),
        "not_tried": found.left,
        "cords": [
            {
                "port": risk.leaf.place,
                "at": risk.leaf.name,
                "cord": risk.leaf.label,
                "serves": risk.leaf.serves,
                "next_door": WORDS[risk.next_door],
                "words": risk.words,
                "exchanges": _document_counts(risk.counts),
            }
            for risk in found.risks
        ],
        "rows": [
            {
                "along": slip.along,
                "first": slip.first,
                "last": slip.last,
                "by": slip.by,
                "cords": slip.cords,
                "harm": WORDS[slip.harm],
                "words": slip.words,
            }
            for slip in found.slips
        ],
        "between_boxes": [
            {"port": one.port, "other": one.other, "exchanges": one.pairs, "harm": WORDS[one.harm], "words": one.words}
            for one in found.tangles
        ],
    }


def _counts(counts: Mapping[Harm, int]) -> str:
    return ", ".join(f"{counts[harm]} {WORDS[harm]}" for harm in sorted(Harm, reverse=True) if counts.get(harm))


def _document_counts(counts: Mapping[Harm, int]) -> list[dict[str, Any]]:
    return [{"harm": WORDS[harm], "count": counts.get(harm, 0)} for harm in sorted(Harm, reverse=True)]


def _risk(page: Page, risk: Risk) -> None:
    label = f" {risk.leaf.label}" if risk.leaf.label else ""
    page.prose(f"{risk.leaf.name}{label} ({risk.leaf.serves or 'not said'}): {WORDS[risk.next_door]}", 2, 6)
    page.prose(risk.words, 6)


def _slip(page: Page, slip: Slip) -> None:
    span = slip.first if slip.cords == 1 else f"{slip.first} to {slip.last}"
    page.prose(
        f"{slip.along}: {span}, {slip.by:+d}: {WORDS[slip.harm]}" + (f": {slip.words}" if slip.words else ""), 2, 6
    )


def _longest(slips: tuple[Slip, ...]) -> list[Slip]:
    """Return of each row, direction and harm the longest run, harmless ones apart."""
    found: dict[tuple[str, int, Harm], Slip] = {}
    for slip in slips:
        key = slip.along, slip.by, slip.harm
        if slip.harm and (key not in found or found[key].cords < slip.cords):
            found[key] = slip
    return list(found.values())


def _grouped(found: Mistakes) -> dict[tuple[str, str], list[Tangle]]:
    """Return exchanges between boxes by port and by what comes of them, harmless ones apart."""
    groups: dict[tuple[str, str], list[Tangle]] = {}
    for tangle in found.tangles:
        if tangle.harm:
            groups.setdefault((tangle.port, f"{tangle.harm} {tangle.words}"), []).append(tangle)
    return groups


def _more(page: Page, count: int) -> None:
    if count > _TOLD:
        page.put(f"  ... and {count - _TOLD} more; --json has all")
