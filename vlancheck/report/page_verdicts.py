"""The verdict on a service or a VLAN in, its article on the page out: every ending with its way, and every leak."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from xml.etree.ElementTree import Element

from vlancheck.evidence import Origin
from vlancheck.report import wording
from vlancheck.report.markup import Child, element
from vlancheck.report.page_parts import Cited, mark, tone_of, whole
from vlancheck.report.page_ways import Row, of_ending, of_way_back, ways
from vlancheck.report.strip import name, strip
from vlancheck.verdicts.reasons import Reason
from vlancheck.verdicts.verdict import Before, Certainty, EndingVerdict, Leak, State, Verdict


def verdict(cite: Cited, one: Verdict) -> Element:
    """Return the article on everything that became of an order."""
    enters = [whole(f"{stop.place or stop.name} ") for stop in one.order.enters]
    return element(
        "article",
        element("h3", mark(one.state), wording.title(one)),
        element("p", one.headline),
        element("p", "enters at ", *enters, class_="soft") if enters else None,
        *(_ending(cite, ending) for ending in one.endings),
        *_leaks(cite, one),
        class_=tone_of(one.state),
    )


def _ending(cite: Cited, ending: EndingVerdict) -> Element:
    """Return an ending: what is declared of it, and how its frames go."""
    elsewhere = ending.at not in ("", ending.stop.name)
    both = ending.state is not State.CARRIED and ending.inward is not None
    heading: list[Child] = [element("strong", ending.stop.name)]
    heading += [" at ", whole(ending.at)] if elsewhere else []
    before = of_ending(ending.was) if ending.was is not None else None
    now, back = of_ending(ending), of_way_back(ending)
    return element(
        "div",
        element("h4", *heading, " as ", element("code", ending.frame), f"; {wording.ways(ending)}" if both else None),
        ways(cite, now, before, back),
        *_why(cite, ending.reason, (now, back)),
        class_="ending",
    )


def _why(cite: Cited, reason: Reason | None, drawn: Iterable[Row | None]) -> Iterator[Element]:
    """Yield why an ending is what it is, where no strip that is drawn says so: a test by hand, or the way back."""
    if reason is None or any(row is not None and row.reason == reason for row in drawn):
        return
    yield element("p", reason.words)
    if (lines := cite.several("because of", reason.evidence)) is not None:
        yield lines
    if reason.settled_by:
        yield element("p", f"Settled by: {reason.settled_by}")


# ---- leaks -------------------------------------------------------------------------------------------------------


def _leaks(cite: Cited, one: Verdict) -> Iterator[Element]:
    if one.leaks:
        yield element("h4", "Where it leaks")
        yield element("ul", *(element("li", *_leak(cite, leak)) for leak in one.leaks), class_="leaks")
    if one.notes:
        yield element("h4", "Where it would leak, if something were plugged in")
        yield element("ul", *(element("li", *_told(leak)) for leak in one.notes))
    if one.translations:
        told = [f"{row.device}: the carrier's {row.theirs} becomes {row.ours}" for row in one.translations]
        said = [f", by {row.said}" if row.said else "" for row in one.translations]
        yield element("ul", *(element("li", words + by) for words, by in zip(told, said, strict=True)))
    if one.questions:
        yield element("h4", "What nobody here can tell")
        yield element("ul", *(element("li", f"{q.words}. Settled by: {q.settled_by}") for q in one.questions))


def _leak(cite: Cited, leak: Leak) -> Iterator[Child]:
    """Yield a leak in words, and the way of one of its frames, the place marked where it crosses."""
    yield from _told(leak)
    if leak.was is Before.NOT_THERE:
        yield "; it was not there before"
    elif leak.was is Before.THERE:
        yield "; it was there before as well"
    if not leak.path:
        return
    perhaps = leak.certainty is Certainty.POSSIBLE
    word = "may leak here" if perhaps else "leaks here"
    here = element(
        "li",
        element("strong", word),
        f": {leak.at} ",
        *(element("div", *cite.line(origin)) for origin in _lines_at(leak)[:1]),
        class_="open" if perhaps else "dies",
    )
    if leak.to == leak.at:
        yield strip(leak.path, "" if leak.path[0].port == leak.sender else leak.sender, here)
        return
    heard = leak.path[-1].way == "in" and leak.path[-1].port == leak.to
    way = strip(leak.path, "", None if heard else element("li", *name(leak.to), class_="end"))
    way.insert(0, here)
    yield way


def _lines_at(leak: Leak) -> list[Origin]:
    """Return the lines of files that made the port so at which a leak crosses."""
    return [origin for hop in leak.path if hop.port == leak.at for origin in hop.evidence if origin.file]


def _told(leak: Leak) -> Iterator[Child]:
    sure = "perhaps " if leak.certainty is Certainty.POSSIBLE else ""
    yield f"{sure}{leak.frame} {leak.crosses} at "
    yield whole(leak.at)
    yield f" ({leak.what})" if leak.what else None
    if leak.reason is not None:
        yield f": {leak.reason.words}. Settled by: {leak.reason.settled_by}"
