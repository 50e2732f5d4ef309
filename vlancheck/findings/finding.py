"""The finding: one fault or doubt, with the lines behind it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from vlancheck.evidence import Kind, Origin, Origins
from vlancheck.places import fingerprint, split_place

_SHOWN = 4  # origins of one place that a finding lists


class Severity(StrEnum):
    """How much is at stake, the worst first."""

    ERROR = "error"  # something declared is not as declared, or needed carriage changed
    WARNING = "warning"  # all that is declared is carried, but the next event may break it
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Where:
    """One piece of evidence at one place."""

    place: str  # DEVICE:PORT, DEVICE, or a name of the sheet
    origin: Origin  # the line, default, assumption or row
    label: str = ""  # what it shows, in a few words
    primary: bool = False  # the place to look at first

    @property
    def device(self) -> str:
        """Return the device, or the name that is no port."""
        return split_place(self.place)[0]

    @property
    def port(self) -> str:
        """Return the port; "" for a whole device."""
        return split_place(self.place)[1]


@dataclass(frozen=True, slots=True)
class Acceptance:
    """That somebody answers for a finding, or did."""

    by: str  # who
    why: str  # in that person's words
    origin: Origin  # the line of the site that says so
    until: str = ""  # the last day; "" for good
    dated: bool = True  # whether anything says when the survey was taken
    ended: str = ""  # why it holds no longer; "" it holds


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One fault or doubt of a survey."""

    code: str  # of the check
    name: str  # of the check
    severity: Severity  # how much is at stake
    headline: str  # what is wrong, in one line
    why: str = ""  # what it does to frames
    where: tuple[Where, ...] = ()  # evidence, both ends of a link
    vids: int = 0  # bitset of the VIDs it is about; 0 all of them
    at: frozenset[str] = frozenset()  # DEVICE:PORT or DEVICE where it decides a frame's fate
    effects: tuple[str, ...] = ()  # what it does to what was declared, a line each
    settled_by: str = ""  # of a doubt: what would decide it
    accepted: Acceptance | None = None  # by whom; None by nobody
    cause: bool = True  # it can be why something declared is not as declared; False: it only tells something

    @property
    def assumed(self) -> bool:
        """Tell whether it rests on something assumed."""
        return any(one.origin.kind is Kind.ASSUMED for one in self.where)

    @property
    def fingerprint(self) -> str:
        """Return what stays the same when lines move and VIDs are renumbered."""
        return fingerprint(self.code, self.places)

    @property
    def places(self) -> tuple[str, ...]:
        """Return what it is about: the places that it names as such, else those of its evidence."""
        return tuple(sorted(self.at) or sorted({one.place for one in self.where}))

    @property
    def counts(self) -> bool:
        """Tell whether it counts: nobody answers for it, or no longer."""
        return self.accepted is None or bool(self.accepted.ended)


def evidence(place: str, origins: Origins, label: str = "", primary: bool = False) -> tuple[Where, ...]:
    """Return the origins behind what holds at a place, captured lines before silence, at most four."""
    ordered = sorted(origins, key=lambda origin: not origin.file)[:_SHOWN]
    return tuple(Where(place, origin, label, primary and number == 0) for number, origin in enumerate(ordered))


def in_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings by severity, those with more effects first, then by code and place."""
    ranks = list(Severity)
    return tuple(
        sorted(
            findings,
            key=lambda one: (ranks.index(one.severity), -len(one.effects), one.code, sorted(one.at), one.headline),
        )
    )
