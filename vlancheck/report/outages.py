"""What each link and each device carries, as text and as a document."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from vlancheck.planning import Outage
from vlancheck.report.textpage import Page

SCHEMA = "vlancheck/outages/1"
_NAMED = 3  # endings that are named of those lost


def text(found: Sequence[Outage], site: str, survey: str, width: int = 80) -> str:
    """Return what is lost without each link and device, most first; those that nothing hangs on in one line."""
    page = Page(width)
    bearing = [one for one in found if one.lost or one.open]
    idle = [one.name for one in found if not (one.lost or one.open)]
    page.prose(
        f"{site}, {survey}: {len(bearing)} of {len(found)} links and devices carry something that has no other way."
    )
    for outage in bearing:
        page.put()
        page.prose(f"without {outage.name}", 0, 4)
        for name, gone, of in outage.lost:
            more = f" and {len(gone) - _NAMED} more" if len(gone) > _NAMED else ""
            page.prose(f"{name}: {len(gone)} of {of} endings lost: {', '.join(gone[:_NAMED])}{more}", 2, 6)
        if outage.open:
            page.prose(f"{outage.open} endings unproven: a tree may or may not open another way", 2, 6)
    if idle:
        page.put()
        page.prose(f"Nothing declared hangs on: {'; '.join(idle)}", 0, 4)
    return page.text


def document(found: Sequence[Outage], site: str, survey: str) -> dict[str, Any]:
    """Return the same as JSON fields; the schema only grows."""
    return {
        "schema": SCHEMA,
        "site": site,
        "survey": survey,
        "without": [
            {
                "name": one.name,
                "lost": [{"name": name, "endings": list(gone), "of": of} for name, gone, of in one.lost],
                "unproven": one.open,
            }
            for one in found
        ],
    }
