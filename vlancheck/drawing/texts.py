"""How wide a text is on paper, and what of a text from outside may be drawn at all."""

from __future__ import annotations

import unicodedata

FONT = "Arial, Helvetica, 'Liberation Sans', 'DejaVu Sans', sans-serif"

# Widths in parts of the size, the widest of the fonts above (DejaVu Sans, bold for the headings) rounded up.
_NARROW, _SLIM, _PLAIN, _WIDE, _FULL = 0.36, 0.46, 0.66, 0.82, 1.06
_BOLD = 1.12
_WIDTHS = {
    **dict.fromkeys("ijl'|", _NARROW),
    **dict.fromkeys(' !,.:;`I/\\ftr()[]-"', _SLIM),
    **dict.fromkeys("ABCDEFGHJKLNOPQRSTUVXYZ&+<>=~#^", _WIDE),
    **dict.fromkeys("mwMW@%_", _FULL),
}
_HIDDEN = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})


def clean(text: str) -> str:
    """Return a text on one line, without characters that show nothing or turn the direction of what follows."""
    shown = "".join(" " if unicodedata.category(one) in _HIDDEN else one for one in text)
    return " ".join(shown.split())


def width(text: str, size: float, *, bold: bool = False) -> float:
    """Return how wide a text is at most, in the unit of `size`."""
    return sum(map(_width, text)) * size * (_BOLD if bold else 1.0)


def fitted(text: str, size: float, most: float, *, bold: bool = False) -> str:
    """Return a text that is at most so wide: its end is cut off, and an ellipsis says so."""
    if width(text, size, bold=bold) <= most:
        return text
    while text and width(text + "…", size, bold=bold) > most:
        text = text[:-1]
    return text.rstrip() + "…"


def _width(one: str) -> float:
    if one in _WIDTHS:
        return _WIDTHS[one]
    if unicodedata.combining(one):
        return 0.0
    if one.isascii():
        return _PLAIN
    wide = unicodedata.east_asian_width(one) in "WF" or ord(one) > 0xFFFF
    return 1.4 if wide else _FULL
