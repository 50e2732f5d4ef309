"""How the page looks: on a wide screen, on a phone, on paper, by day and by night."""

STYLE = """
:root {
  color-scheme: light dark;
  --ground: #fbfaf7; --card: #ffffff; --ink: #1d2326; --soft: #566067; --line: #cdd3d1;
  --bad: #a3201d; --doubt: #7a5300; --good: #1c6238; --mild: #25568c;
}
@media (prefers-color-scheme: dark) {
  :root {
    --ground: #14181a; --card: #1d2325; --ink: #e6e9e7; --soft: #a4afb2; --line: #3d474a;
    --bad: #ff9d92; --doubt: #efc26a; --good: #86d3a0; --mild: #95c2f2;
  }
}
* { box-sizing: border-box; }
body {
  margin: 0 auto; padding: 1rem; max-width: 76rem; background: var(--ground); color: var(--ink);
  font: 1rem/1.5 system-ui, sans-serif; overflow-wrap: anywhere;
}
h1 { font-size: 1.5rem; line-height: 1.25; margin: 0 0 .5rem; }
h2 { font-size: 1.2rem; margin: 2.2rem 0 .6rem; padding-bottom: .2rem; border-bottom: 2px solid var(--ink); }
h3 { font-size: 1rem; margin: 0 0 .3rem; }
h4 { font-size: .9rem; margin: .8rem 0 .2rem; }
p { margin: .3rem 0; max-width: 85ch; }
a { color: inherit; }
code { font: .86em/1.45 ui-monospace, monospace; unicode-bidi: isolate; white-space: pre-wrap; }
ul, ol { margin: .3rem 0; padding-left: 1.3rem; }
nav ul { list-style: none; padding: 0; display: flex; flex-wrap: wrap; gap: .3rem 1.1rem; }
article, .answer { background: var(--card); border: 1px solid var(--line); padding: .8rem 1rem; margin: .7rem 0; }
.answers { display: grid; grid-template-columns: repeat(auto-fit, minmax(20rem, 1fr)); gap: .7rem; margin: .7rem 0; }
.answers article { margin: 0; padding: .5rem .8rem; font-size: .92rem; }
.answers h2 { font-size: .95rem; margin: 0 0 .2rem; padding: 0; border: 0; }
.answers p { margin: .15rem 0; } .answers ul { margin: .15rem 0; } .rest { display: none; }
pre { font: .86rem/1.4 ui-monospace, monospace; margin: .2rem 0 .5rem 1rem; white-space: pre-wrap; }
.soft { color: var(--soft); font-size: .9rem; }
.answer { font-size: 1.1rem; }
.bad { --tone: var(--bad); } .doubt { --tone: var(--doubt); }
.good { --tone: var(--good); } .mild { --tone: var(--mild); }
article.bad, .answer.bad { border-left: 6px solid var(--tone); }
article.doubt, .answer.doubt { border-left: 6px dashed var(--tone); }
article.good, .answer.good { border-left: 6px double var(--tone); }
article.mild { border-left: 6px dotted var(--tone); }
.mark {
  display: inline-block; color: var(--tone); border: 1px solid currentColor; padding: 0 .45em; margin-right: .5em;
  font-size: .85rem; font-weight: 600; overflow-wrap: normal;
}
dl { margin: .4rem 0; } dt { font-weight: 600; font-size: .9rem; margin-top: .35rem; } dd { margin: 0 0 0 1rem; }
.effects { columns: 30rem; column-gap: 2.5rem; font-size: .92rem; } .effects li { break-inside: avoid; }
table { border-collapse: collapse; width: 100%; font-size: .92rem; margin: .5rem 0; }
th { text-align: left; color: var(--soft); font-weight: 600; }
th, td { padding: .3rem .7rem .3rem 0; border-bottom: 1px solid var(--line); vertical-align: top; }
th, td { overflow-wrap: break-word; }
code.soft { font-size: .86em; }
.whole { display: inline-block; max-width: 100%; }
.endings td:last-child { overflow-wrap: anywhere; }
.diagram fieldset { border: 1px solid var(--line); padding: .4rem .8rem; margin: 0 0 .5rem; columns: 18rem; }
.diagram label { display: block; break-inside: avoid; padding: .15rem 0; } .diagram small { color: var(--soft); }
.on-paper { display: none; }
.diagram svg .mark { font-size: 9px; }
.diagram .sheet { overflow: auto; max-height: 46rem; border: 1px solid var(--line); background: #fff; }
.short td:first-child { width: 14rem; font-weight: 600; }
.sign td:nth-last-child(-n+2) { min-width: 8rem; border-bottom-color: var(--ink); }
@media print, (min-width: 60.01rem) {
  td .whole { width: max-content; max-width: 22rem; } td:last-child .whole { width: auto; max-width: 100%; }
}
@media screen and (max-width: 60rem) {
  thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
  table, tbody, tr, td { display: block; }
  tr { padding: .4rem 0; border-bottom: 1px solid var(--line); }
  td { overflow-wrap: anywhere; display: grid; grid-template-columns: 6.2rem 1fr; padding: .1rem 0; border: 0; }
  td::before { content: attr(data-label); color: var(--soft); }
  .endings td:last-child { display: block; }
  .short td:first-child { width: auto; }
}
@media screen and (max-width: 30rem) {
  body { padding: .6rem; } h1 { font-size: 1.1rem; margin-bottom: .3rem; } header > .soft { display: none; }
  .answer { font-size: .88rem; line-height: 1.35; padding: .4rem .6rem; margin: .3rem 0; }
  .answers { gap: .35rem; margin: .35rem 0; }
  .answers article { padding: .25rem .5rem; font-size: .8rem; line-height: 1.3; } .answers h2 { font-size: .85rem; }
  .answers article:has(ul) span:not(.mark, .rest), .answers li:nth-child(n+2), .answers .soft { display: none; }
  .answers article:has(ul) p, .answers ul { display: inline; padding: 0; }
  .answers li { display: inline; list-style: none; } .answers .rest { display: inline; margin-left: .4em; }
}
@page { margin: 12mm; }
@media print {
  :root { font-size: 9pt; color-scheme: light; --ground: #fff; --card: #fff; --ink: #000; --soft: #333; --line: #999;
    --bad: #000; --doubt: #000; --good: #000; --mild: #000; }
  body { padding: 0; max-width: none; }
  nav, .diagram .sheet, .diagram label:not(:has(:checked)) { display: none; } .on-paper { display: block; }
  .tile { margin: .5rem 0; break-inside: avoid; } .tile svg { display: block; }
  h2, h3, h4, thead { break-after: avoid; }
  tr, dd, li { break-inside: avoid; }
  .sign td { height: 2.2rem; }
}
"""
