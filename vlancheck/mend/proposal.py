"""What is proposed to make a survey right, as values: changes that were tried, questions, and what nothing mends."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from vlancheck.mend.amendment import Amendment
from vlancheck.mend.typing import Step


class Sureness(StrEnum):
    """How far a proposal may be followed without asking."""

    CERTAIN = "certain"  # it was tried with the very lines, and nothing else that was tried does it
    CHOICE = "choice"  # it was tried, and so was at least one other that does it as well: somebody decides
    WORDS = "words"  # it was tried, and the lines are not known: a box's family has no phrase for it
    ASK = "ask"  # it was tried, and somebody must be asked before it is done


@dataclass(frozen=True, slots=True)
class Mend:
    """One change that makes something right."""

    fingerprints: tuple[str, ...]  # of the findings that are gone afterwards
    rights: tuple[str, ...]  # what is right afterwards and was not, a line each
    sureness: Sureness  # how far it may be followed
    amendment: Amendment  # the change
    steps: tuple[Step, ...]  # in the order of the work
    instead: tuple[tuple[str, ...], ...] = ()  # other changes that do it as well, in words
    between: tuple[str, ...] = ()  # what is out of service until the last step, and was not before
    refused: tuple[str, ...] = ()  # changes that weigh less, and what they would do

    @property
    def management(self) -> bool:
        """Tell whether logging in to a box depends on a port that it changes."""
        return any(step.management for step in self.steps)


@dataclass(frozen=True, slots=True)
class Unmended:
    """Something that is wrong, and for which no change was found."""

    words: str  # what is wrong
    why: str  # what was tried, or why nothing was
    ask: str = ""  # what would settle it, or whom to ask


@dataclass(frozen=True, slots=True)
class Mended:
    """Everything proposed for a survey."""

    mends: tuple[Mend, ...]  # in the order of the work: each was tried with those before it done
    unmended: tuple[Unmended, ...]  # what is left
    questions: tuple[tuple[str, str], ...]  # to a carrier: what, and what settles it


def described(amendment: Amendment) -> tuple[str, ...]:
    """Return a change in words, a line a box or a cord."""
    made = [f"{device}: {'; '.join(amendment.words(device))}" for device in amendment.devices]
    return (*made, *(f"move cord {one.label or one.name} from {one.before} to {one.after}" for one in amendment.cords))
