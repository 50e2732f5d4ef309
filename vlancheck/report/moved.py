"""What was seen of moved cords in, lines of text for people and the parts of the page out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from xml.etree.ElementTree import Element

from vlancheck.reconciliation.moved import JackProof, MoveCause, Proof, Reconciled
from vlancheck.report.markup import table

_LISTED = 8  # causes that the text names


def counts(moves: Reconciled) -> str:
    """Return how many rows of the sheet are proved, inferred and unproven."""
    found = Counter(one.state for one in moves.jacks)
    total = len(moves.jacks)
    return f"{total} {'row' if total == 1 else 'rows'} of the sheet: " + ", ".join(
        f"{found[state]} {state.value}" for state in Proof if found[state]
    )


def told(moves: Reconciled) -> Iterator[str]:
    """Yield a line of counts and one for each cause; nothing when nothing was seen and nothing is to be told."""
    if not moves.causes and not any(one.state is Proof.PROVED for one in moves.jacks):
        return
    if moves.jacks:
        yield counts(moves)
    for cause in moves.causes[:_LISTED]:
        yield f"{cause.kind.value}: {cause.words} ({_how(cause)})"
    if len(moves.causes) > _LISTED:
        yield f"and {len(moves.causes) - _LISTED} more causes"


def page_parts(moves: Reconciled) -> Iterator[Element]:
    """Yield a table of the causes, and one of the rows of the sheet."""
    if moves.causes:
        yield table(("Cause", "What was seen", "How sure", "Seen at"), [_told(one) for one in moves.causes])
    if moves.jacks:
        yield table(("Row", "Port", "State", "Behind it"), [_row(one) for one in moves.jacks])


def _told(cause: MoveCause) -> tuple[Element | str, ...]:
    return cause.kind.value, cause.words, _how(cause), ", ".join(cause.ports)


def _row(jack: JackProof) -> tuple[Element | str, ...]:
    shown = [one.place or one.text for one in jack.origins]
    where = f"seen at {', '.join(jack.elsewhere)}; " if jack.elsewhere else ""
    return jack.at, jack.port, jack.state.value, where + ", ".join(shown)


def _how(cause: MoveCause) -> str:
    parts = [cause.sure.value]
    if cause.harmful is not None:
        parts.append("harmful" if cause.harmful else "harmless: the ports carry the same")
    if cause.instead:
        parts.append(f"or {' or '.join(one.value for one in cause.instead)}")
    return "; ".join(parts)
