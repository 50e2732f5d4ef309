"""What a box is to become comes in, lines of its own dialect and their undo go out, proved by reading them back."""

from __future__ import annotations

from vlancheck.writer.display import display, trunks
from vlancheck.writer.edit import Edit, edit, edited
from vlancheck.writer.plan import PortEdit, PortPlan, Wish, WriteError, plan_of

__all__ = ["Edit", "PortEdit", "PortPlan", "Wish", "WriteError", "display", "edit", "edited", "plan_of", "trunks"]
