"""Jot, the project's own notation: boxes, links and expectations as text, one a line, and back again.

Tests, manual pages and bug reports are written in it; `vlancheck.notation.expect` runs the expectations.
"""

from vlancheck.notation.claims import Claim, Copy, Expectation, Finding
from vlancheck.notation.parsing import Notation, parse
from vlancheck.notation.writing import write

__all__ = ["Claim", "Copy", "Expectation", "Finding", "Notation", "parse", "write"]
