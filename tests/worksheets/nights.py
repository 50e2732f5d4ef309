"""Nights to make sheets for: the built-in closet, and a rougher one whose sheet has every sort of row."""

from __future__ import annotations

from functools import cache
from importlib.resources import as_file, files
from pathlib import Path
from textwrap import dedent

from vlancheck.moves.worksheets.sheet import Book, Worksheet
from vlancheck.pipeline import Site, open_site

ROUGH = """
    site: Mill Street, loft
    devices:
      NTE-1: {kind: carrier-box, owner: carrier, ports: {lan: {}}}
      GW-1: {kind: router}
      SW-1: {kind: unmanaged}
      SW-2: {kind: unmanaged}
      FILES: {kind: host}
      PANEL-A: {kind: panel}
    surveys:
      as-found:
      as-planned:
    handoffs:
      - {at: "GW-1:wan", carrier: Hillcom}
    vlans:
      - {vid: 10, name: office, reaches: [{at: "PANEL-A:1", frame: untagged}, {at: "PANEL-A:10", frame: untagged}]}
    links:
      - [SW-1:9, SW-2:9]
    holds:
      - {at: "PANEL-A:3", why: lift telephone, owner: lift company}
    """
FOUND = """
    From,To,Cord,Kind,Serves,Hold,Note
    NTE-1:lan,GW-1:wan,W1,fibre pair,,,
    GW-1:lan,SW-1:1,W2,cat6,,,
    SW-1:2,FILES:eth0,W3,cat6,,,
    PANEL-A:10,SW-1:10,W10,cat6,PC,,
    PANEL-A:2,SW-1:12,W12,cat6,printer,,
    PANEL-A:1,SW-2:1,W11,cat6,fax,,
    PANEL-A:3,SW-2:3,W13,cat6,lift telephone,,
    PANEL-A:4,SW-2:4,W14,analog,door phone,porter,
    PANEL-A:1,B.01 outlet,,permanent,,,
    SW-1:psu,strip 4,P1,mains,,,
    PANEL-A:6,?,W16,cat6,=cmd()|x,,
    PANEL-A:5,SW-1:15,W15,cat6,PC,,
    PANEL-A:5,SW-1:16,W17,cat6,PC,,
    """
PLANNED = """
    From,To,Cord,Kind,Serves,Hold,Note
    NTE-1:lan,GW-1:wan,W1,fibre pair,,,
    GW-1:lan,SW-2:1,W2,cat6,,,
    SW-1:2,FILES:eth0,W3,cat6,,,
    PANEL-A:10,SW-1:10,W10,cat6,PC,,
    PANEL-A:2,SW-1:12,W12,cat6,printer,,
    PANEL-A:1,SW-2:2,W11,cat6,fax,,
    PANEL-A:3,SW-2:3,W13,cat6,lift telephone,,
    PANEL-A:4,SW-2:4,W14,analog,wall set,,
    """


def write_rough(root: Path) -> Path:
    """Write the rougher site into a folder and return it."""
    (root / "patching").mkdir(parents=True)
    for name, text in (("site.yaml", ROUGH), ("patching/as-found.csv", FOUND), ("patching/as-planned.csv", PLANNED)):
        (root / name).write_text(dedent(text).lstrip("\n"), encoding="utf-8")
    return root


@cache
def example() -> Site:
    """Return the built-in site."""
    with as_file(files("vlancheck.example") / "site") as folder:
        return open_site(folder)


@cache
def example_book(*first: str) -> Book:
    """Return the sheets of the built-in site."""
    return example().worksheets(first=first)


def sheet(book: Book, name: str) -> Worksheet:
    """Return one sheet of a book."""
    (found,) = (one for one in book.sheets if one.name == name)
    return found


def parts(one: Worksheet) -> list[str]:
    """Return the headings of the parts of a sheet, in order."""
    return [part for part, _ in one.parts()]
