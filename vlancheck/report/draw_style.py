"""The style of a drawing: dark on white, told apart by width, dashes and words before any colour."""

from __future__ import annotations

from vlancheck.drawing.texts import FONT

STYLE = f"""
.closet {{ background: #fff; font-family: {FONT}; font-size: 9px; fill: #111; }}
.closet .sheet {{ fill: #fff; }}
.closet text {{ stroke: none; white-space: pre; }}
.closet .frame {{ fill: #fff; stroke: #222; stroke-width: 1; }}
.closet .panel .frame {{ fill: #f1f1f1; stroke-width: 1.6; }}
.closet .carrier .frame {{ stroke-dasharray: 2 2; }}
.closet .head {{ font-weight: bold; font-size: 10.5px; }}
.closet .name {{ font-weight: bold; }}
.closet .hold .note {{ font-weight: bold; }}
.closet .words, .closet .idle, .closet .label {{ fill: #444; }}
.closet .rule {{ stroke: #bbb; stroke-width: 0.5; }}
.closet .row {{ fill: none; stroke: none; }}
.closet .line path {{ fill: none; stroke: #666; stroke-width: 0.9; }}
.closet .line.bundle path {{ stroke-width: 2; }}
.closet .line circle {{ fill: #fff; stroke: #444; stroke-width: 0.8; }}
.closet .line:hover path {{ stroke: #111; stroke-width: 2.2; }}
.closet.inked .line path {{ stroke: #b0b0b0; stroke-width: 0.7; }}
.closet.inked .line.carries path {{ stroke: #0a2f73; stroke-width: 2.6; }}
.closet.inked .line.unproven path {{ stroke: #0a2f73; stroke-width: 2.2; stroke-dasharray: 5 3; }}
.closet .line.carries circle {{ fill: #0a2f73; }}
.closet .socket.carries .row {{ fill: #dfe8f8; stroke: #0a2f73; stroke-width: 1.2; }}
.closet .socket.unproven .row {{ fill: #fff; stroke: #0a2f73; stroke-width: 1; stroke-dasharray: 3 2; }}
.closet .socket.marked .row {{ stroke: #111; stroke-width: 1.8; }}
.closet .mark {{ display: none; font-weight: bold; }}
.closet .marked .mark.shown {{ display: inline; }}
.closet .marked .label, .closet .marked .note {{ display: none; }}
.closet.changes .line.before path {{ stroke: #111; stroke-width: 1.6; stroke-dasharray: 5 3; }}
.closet.changes .line.after path {{ stroke: #0a2f73; stroke-width: 2.4; }}
.closet.changes .line.unchanged path {{ stroke: #b0b0b0; stroke-width: 0.7; }}
.closet.changes .box.before .frame {{ stroke-dasharray: 5 3; }}
.closet.changes .box.after .frame {{ stroke-width: 2.4; }}
.closet.changes .socket.before .name {{ font-weight: normal; text-decoration: line-through; }}
.closet.changes .socket.after .row {{ stroke: #0a2f73; stroke-width: 1.2; }}
@media print {{ .closet .line:hover path {{ stroke-width: 0.9; }} }}
"""
