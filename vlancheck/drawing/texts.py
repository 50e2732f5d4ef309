"""How wide a text is on paper, and what of a text from outside may be drawn at all."""

from __future__ import annotations

import unicodedata

FONT = "Arial, Helvetica, 'Liberation Sans', 'DejaVu Sans', sans-serif"

# Widths in parts of the size: of each letter the widest of the fonts above (from memory of their tables), rounded up.
_WIDTHS = {
    letter: wide
    for letters, wide in (
        ("ijlI'", 0.30),
        (" .,:;/\\|", 0.34),
        ('ftr-()[]`!"', 0.46),
        ("cskvxyzJLF?_", 0.60),
        ("0123456789abdeghnopquT$*{}", 0.64),
        ("ABEKPSVXYZ", 0.70),
        ("CDGHNOQRU", 0.79),
        ("w+<>=~#&^", 0.84),
        ("mMW@%", 1.02),
    )
    for letter in letters
}
_OTHER, _WIDE = 1.06, 1.4  # of letters that are not in the table, and of full-width ones and pictures
_BOLD = 1.14
_ROUNDED = 0.1  # by which a room that was made for a text may be smaller
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
    if width(text, size, bold=bold) <= most + _ROUNDED:
        return text
    while text and width(text + "…", size, bold=bold) > most:
        text = text[:-1]
    return text.rstrip() + "…"


def _width(one: str) -> float:
    if one in _WIDTHS:
        return _WIDTHS[one]
    if unicodedata.combining(one):
        return 0.0
    if (plain := unicodedata.normalize("NFD", one)[0]) in _WIDTHS:
        return _WIDTHS[plain]
    return _WIDE if unicodedata.east_asian_width(one) in "WF" or ord(one) > 0xFFFF else _OTHER
