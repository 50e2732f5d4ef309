"""How worksheets look: on paper of either size, in black and white, and on a tablet."""

from __future__ import annotations

_PAGE = """
@page { size: %(size)s portrait; margin: 12mm 11mm 15mm;
  @bottom-right { content: "page " counter(page) " of " counter(pages); font: 8pt sans-serif; } }
@page wide { size: %(size)s landscape; }
"""
_LOOK = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: .8rem; max-width: 90rem; color: #000; background: #fff;
  font: 15px/1.35 system-ui, sans-serif; overflow-wrap: anywhere; }
h1 { font-size: 1.4rem; margin: 0 0 .3rem; } h2 { font-size: 1.15rem; margin: 0 0 .3rem; }
p { margin: .25rem 0; max-width: 95ch; }
a { color: inherit; }
section { margin: 1.6rem 0 3rem; }
nav { position: sticky; top: 0; background: #fff; border-bottom: 2px solid #000; padding: .4rem 0; z-index: 1; }
nav ul { list-style: none; display: flex; flex-wrap: wrap; gap: .3rem .9rem; margin: 0; padding: 0; }
nav a { display: inline-block; padding: .35rem 0; }
.tools { display: flex; flex-wrap: wrap; gap: .5rem .9rem; align-items: center; }
.tools input { width: 13rem; }
button, input, select { font: inherit; color: #000; background: #fff; border: 1px solid #000; border-radius: 0;
  min-height: 2.2rem; padding: 0 .5rem; }
input[type=checkbox] { width: 1.8rem; height: 1.8rem; min-height: 0; margin: 0; accent-color: #000; }
td input[type=text], td select { width: 100%; min-width: 4.5rem; }
.cautions { border: 2px solid #000; padding: .3rem .6rem .3rem 1.5rem; margin: .4rem 0; }
.cautions li { margin: .1rem 0; }
.scroll { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; min-width: 46rem; table-layout: fixed; }
th, td { border: 1px solid #000; padding: .2rem .35rem; text-align: left; vertical-align: top; }
th { font-weight: 600; } tr th:first-child { overflow-wrap: normal; } thead th { border-bottom-width: 2px; }
.running { border-width: 0 0 2px; font-weight: 400; }
.part { background: #e4e4e4; }
.mark th { font-weight: 700; border-width: 3px 1px 0 5px; border-left-style: double; }
.held .no { border-left: 5px double #000; }
.no { text-align: right; font-weight: 400; overflow-wrap: normal; }
.paper { display: none; } .paper span { display: inline-block; white-space: nowrap; margin-right: .6em; }
.count { display: none; }
.signatures { display: flex; flex-wrap: wrap; gap: .4rem 2rem; margin-top: .8rem; }
.signatures div { flex: 1 1 16rem; border-bottom: 1px solid #000; padding-top: 1.5rem; }
@media print {
  body { padding: 0; max-width: none; font-size: 8.3pt; line-height: 1.25; }
  .tools, button { display: none; }
  nav { position: static; border: 0; } nav ul { display: block; } nav a { text-decoration: none; padding: 1mm 0; }
  .count { display: inline; }
  h1 { font-size: 13pt; } h2 { font-size: 12pt; break-after: avoid; }
  section { margin: 0; break-before: page; } .wide { page: wide; }
  .scroll { overflow: visible; padding: 0 1px; } table { min-width: 0; }
  thead { display: table-header-group; }
  tr, .together, .cautions, .signatures { break-inside: avoid; }
  .part, .mark { break-after: avoid; }
  .part { -webkit-print-color-adjust: exact; print-color-adjust: exact; }
  td input, td select { display: none; }
  .empty, .filled .said { display: block; } .filled .empty { display: none; }
  .paper .box { display: block; font-size: 14pt; line-height: 1; text-align: center; }
  .blank { height: 8mm; }
}
"""


def style(paper: str) -> str:
    """Return the style for paper `a4` or `letter`."""
    return _PAGE % {"size": {"a4": "A4", "letter": "letter"}[paper]} + _LOOK
