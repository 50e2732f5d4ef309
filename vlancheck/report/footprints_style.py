"""How footprints look: beside the choice on a wide screen, below it on a phone, and on paper without it."""

from __future__ import annotations

from vlancheck.drawing.texts import FONT

# Footprints are told apart by their outline before any shade of grey.
STYLE = f"""
.steps {{ background: #fff; font-family: {FONT}; font-size: 9px; fill: #111; }}
.steps text {{ stroke: none; white-space: pre; }}
.steps .frame {{ fill: #fff; stroke: #222; stroke-width: 1; }}
.steps .head {{ font-weight: bold; font-size: 10.5px; }}
.steps .name, .steps .print text {{ font-weight: bold; }}
.steps .words {{ fill: #444; }}
.steps .rule {{ stroke: #bbb; stroke-width: .5; }}
.steps .cord {{ fill: none; stroke: #333; stroke-width: 1.6; }}
.steps .print path {{ fill: #fff; stroke: #111; stroke-width: 1; }}
.steps .print.sent path {{ stroke-width: 2; }}
.steps .print.in path {{ fill: #dcdcdc; }}
.steps .print.lost path {{ stroke-width: 2; }}
.steps .print.delivered path {{ fill: #111; }}
.steps .print.delivered text {{ fill: #fff; }}
.steps .print:is(.maybe, .open) path {{ fill: #fff; stroke-dasharray: 2.5 2; }}
.steps .print.maybe text {{ fill: #111; }}
.follow fieldset {{ border: 1px solid var(--line, #999); padding: .3rem .7rem .5rem; margin: 0 0 .6rem; min-width: 0; }}
.follow .at fieldset {{ border: 0; padding: 0; margin: .2rem 0; }} .follow .at fieldset legend {{ font-weight: 600; }}
.follow label {{ display: block; padding: .12rem 0; }}
.follow small, .told small, .told i {{ color: var(--soft, #444); }}
.follow .frame label {{ display: inline-block; margin-right: 1.4rem; }}
.follow :is(.sheet, .walk) {{ min-width: 0; }}
.walk .sheet {{ overflow-x: auto; margin: .4rem 0; }}
.walk .sheet svg {{ display: block; }}
.key {{ list-style: none; padding: 0; display: flex; flex-wrap: wrap; gap: .1rem 1.1rem; font-size: .9rem; }}
.key svg {{ vertical-align: -3pt; border-radius: 2px; }}
.told {{ list-style: none; padding: 0; border-top: 1px solid var(--line, #999); font-size: .92rem; }}
.told > li, .heads {{
  display: grid; grid-template-columns: 5.4rem minmax(8rem, 14rem) 5rem 1fr; column-gap: .8rem; padding: .3rem 0;
}}
.told > li {{ border-bottom: 1px solid var(--line, #999); }}
.heads {{ color: var(--soft, #444); font-weight: 600; font-size: .92rem; padding-bottom: 0; }}
.heads + .told {{ margin-top: 0; }}
.told > li > ul {{ grid-column: 1 / -1; list-style: none; padding-left: 1rem; }}
.told i {{ font-style: normal; }}
.told .line {{ display: block; }}
.told ul .line {{ display: inline; margin-left: .6rem; }} .told ul br {{ display: none; }}
.told ul i {{ margin-right: .5rem; }}
.left summary {{ cursor: pointer; }}
@media screen and (min-width: 64rem) {{
  .follow {{ display: grid; grid-template-columns: 18rem 1fr; gap: 1.2rem; align-items: start; }}
  .follow .at {{ max-height: 60rem; overflow: auto; }}
}}
@media screen and (max-width: 63.99rem) {{ .follow .at {{ max-height: 17rem; overflow: auto; }} }}
@media screen and (max-width: 40rem) {{
  .told > li {{ grid-template-columns: 5.4rem 1fr; }} .heads {{ display: none; }}
}}
@media print {{
  .follow fieldset, .left > :not(summary) {{ display: none; }}
  .told, .heads, .key, .walk p, .walk ul {{ font-size: 9.5pt; }}
  .told code, .told small {{ font-size: 9pt; }}
  .walk .sheet {{ break-inside: avoid; overflow: visible; }}
  .told > li, .heads {{ grid-template-columns: 17mm 56mm 18mm 1fr; column-gap: 2mm; padding: 1mm 0; }}
  .told > li:has(ul) {{ break-inside: auto; }}
  .heads {{ break-after: avoid; }}
}}
"""
