"""Boxes that were read come in, the draft of a site folder goes out: what is known, what is guessed, what to check."""

from __future__ import annotations

from vlancheck.starting.cords import Guess, guessed_cords
from vlancheck.starting.draft import Pile, declaration, patch_sheet

__all__ = ["Guess", "Pile", "declaration", "guessed_cords", "patch_sheet"]
