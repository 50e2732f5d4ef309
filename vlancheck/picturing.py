"""Surveys in; the picture of one or of two, with everything where it is in all of them, out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from vlancheck.answering import Judged, trusted
from vlancheck.drawing.gathering import gather, key_of
from vlancheck.drawing.inking import inked, inked_vlan, slug
from vlancheck.drawing.picture import Ink, Picture
from vlancheck.drawing.placing import Layout, lay_out
from vlancheck.drawing.union import compared, united
from vlancheck.errors import UsageError, VlancheckError
from vlancheck.pipeline import Site, Survey
from vlancheck.site.places import nearest
from vlancheck.verdicts.verdict import Verdict

_LAST_VID = 4094


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture and where everything of it lies."""

    picture: Picture  # what is drawn
    layout: Layout  # where


def drawn(
    site: Site,
    survey: Survey,
    vlan: int | None = None,
    service: str = "",
    *,
    inks: bool = False,
    before: Survey | None = None,
) -> Drawing:
    """Return the picture of one survey; with `vlan` or `service` it shows where that goes.

    With `inks`, it knows of everything declared where it goes, for a page on which one is chosen.  Beside a survey
    `before` it trusts what a verification against that trusts.  Boxes lie where they do in the other surveys.  Raises
    UsageError for a VLAN or a service that is none.
    """
    if before is not None:
        survey, _ = trusted(site, before, survey)
    picture = _gathered(site, survey)
    if vlan is not None or service or inks:
        verdicts = Judged(site, survey).case.verdicts
        picture = _chosen(survey, picture, verdicts, vlan, service, inks)
    others = [one for name in site.surveys if name != survey.name and (one := _readable(site, name)) is not None]
    layout, *_ = lay_out(united([*others, picture]), picture, *others)
    return Drawing(picture, layout)


def drawn_changes(site: Site, before: Survey, after: Survey) -> Drawing:
    """Return the picture of two surveys in which what is in one of them alone says so."""
    picture = compared(_gathered(site, before), _gathered(site, after))
    (layout,) = lay_out(picture, picture)
    return Drawing(picture, layout)


def _gathered(site: Site, survey: Survey) -> Picture:
    placed = survey.boxes.placed
    endings = [ending.spot.place for service in placed.services for ending in service.endings]
    endings += [ending.spot.place for vlan in placed.vlans for ending in vlan.endings]
    return gather(site.name, survey.boxes, survey.network, endings)


def _readable(site: Site, name: str) -> Picture | None:
    """Return the picture of another survey; none where it cannot be read, since it is not the one asked for."""
    try:
        return _gathered(site, site.survey(name))
    except VlancheckError:
        return None


def _chosen(
    survey: Survey, picture: Picture, verdicts: tuple[Verdict, ...], vlan: int | None, service: str, every: bool
) -> Picture:
    """Return the picture with its inks, and the one to be shown."""
    boxes, network = survey.boxes, survey.network

    def key(place: str) -> str:
        return key_of(boxes, network, place)

    inks: dict[str, Ink] = {}
    for verdict in verdicts if every else ():
        name = _unused(slug(f"{verdict.order.kind.value} {verdict.order.name}"), inks)
        inks[name] = inked(name, (verdict,), network, picture, key)
    chosen = ""
    if (asked := tuple(_asked(verdicts, vlan, service))) or vlan is not None:
        chosen = slug(f"vlan {vlan}" if vlan is not None else f"service {service}")
        ink = inked(chosen, asked, network, picture, key) if asked else None
        if vlan is not None and (ink is None or not ink.sockets):
            # Nothing could be asked of what is declared, or nothing is.
            bare = inked_vlan(vlan, network, survey.carriage(), picture, key)
            ink = replace(ink, sockets=bare.sockets, lines=bare.lines, idle=bare.idle) if ink else bare
        if ink is not None:
            inks[chosen] = ink
    return replace(picture, inks=tuple(inks.values()), chosen=chosen)


def _asked(verdicts: tuple[Verdict, ...], vlan: int | None, service: str) -> Iterator[Verdict]:
    """Yield the verdicts on what is to be shown."""
    if vlan is not None:
        if not 1 <= vlan <= _LAST_VID:
            raise UsageError(f"{vlan} is no VLAN", hint=f"a VID is a number from 1 to {_LAST_VID}")
        yield from (one for one in verdicts if one.order.tag == str(vlan))
    elif service:
        names = [one.order.name for one in verdicts]
        found = [one for one in verdicts if one.order.name.casefold() == service.casefold()]
        if not found:
            raise UsageError(f"no service or VLAN is called {service!r}", hint=nearest(service, names))
        yield from found


def _unused(name: str, taken: dict[str, Ink]) -> str:
    number, made = 1, name
    while made in taken:
        number += 1
        made = f"{name}-{number}"
    return made
