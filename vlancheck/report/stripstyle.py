"""How strips look: along a line on a wide screen and on paper, one under the other on a phone."""

STRIPS = """
.strip { display: flex; flex-wrap: wrap; align-items: stretch; padding: 0; margin: 0; row-gap: .4rem;
  list-style: none; }
.strip li { overflow-wrap: anywhere; }
.strip small, .strip i { color: var(--soft); font-size: .9em; }
.strip .start, .strip .end { align-content: center; font-weight: 600; line-height: 1.3; max-width: 12rem; }
.strip .start { padding-right: .2rem; text-align: right; } .strip .end { padding-left: .2rem; }
.strip .box { border: 1.5px solid var(--ink); background: var(--ground); padding: .1rem .5rem; }
.strip .box span { display: block; line-height: 1.35; }
.strip .wire {
  display: flex; flex-direction: column; justify-content: center; align-items: center; min-width: 3.4rem;
  padding: 0 .35rem; background: linear-gradient(var(--ink), var(--ink)) center / 100% 2px no-repeat;
}
.strip .wire small { background: var(--card); margin-top: .15rem; }
.stack, .bare { background: var(--card); font: .86rem/1.25 ui-monospace, monospace; }
.stack { display: inline-flex; flex-direction: column; }
.tag { border: 1.5px solid var(--ink); padding: 0 .3rem; white-space: nowrap; }
.tag + .tag { border-top: 0; }
.tag.outer { border-style: double; border-width: 3px; }
.tag.odd { border-style: dashed; }
.bare { font-style: italic; padding: 0 .2rem; }
.strip .turns .stack, .strip .turns .bare { outline: 2px dashed var(--bad); outline-offset: 2px; }
.strip .dies, .strip .open {
  border: 2px dashed var(--bad); padding: .1rem .5rem; max-width: 34rem; line-height: 1.35; font-size: .92rem;
}
.strip .dies strong { color: var(--bad); }
.strip .open { border: 2px dotted var(--doubt); } .strip .open strong { color: var(--doubt); }
.strip .dies code, .strip .open code { display: block; }
.leaks .strip { font-size: .92rem; }
.ways { margin: .2rem 0 .5rem; }
.ways > div { display: grid; grid-template-columns: 7rem 1fr; gap: .4rem; padding: .3rem 0; }
.ways dt { margin: 0; } .ways dd { margin: 0; min-width: 0; font-size: .92rem; }
.ways > div + div { border-top: 1px dotted var(--line); }
.ways dt .mark { display: table; margin: .1rem 0 0; }
.ways dd p { font-size: .95em; }
.ending { border-top: 1px solid var(--line); padding: .35rem 0 .1rem; margin: .2rem 0; }
.ending h4 { margin: 0 0 .1rem; font-size: .92rem; font-weight: 400; }
.ending h4 strong { font-size: .98rem; } .ending .leaks .strip { font-size: .92rem; }
.ways { margin-bottom: 0; }
.cited { font-size: .86rem; padding-left: 4.5rem; margin: .2rem 0 .8rem; }
.cited li { padding-left: .3rem; } .cited li:target { outline: 2px solid var(--mild); }
code.digest { font-size: .66rem; overflow-wrap: anywhere; display: block; }
@media screen and (max-width: 40rem) {
  .ways > div { display: block; }
  .ways dt .mark { display: inline-block; margin-left: .4rem; }
  .strip { flex-direction: column; align-items: stretch; row-gap: 0; }
  .strip .start, .strip .end { text-align: left; max-width: none; padding: 0; }
  .strip .wire {
    flex-direction: row; justify-content: flex-start; gap: .4rem; padding: .2rem 0 .2rem .7rem; min-height: 1.9rem;
    background: linear-gradient(var(--ink), var(--ink)) 1.6rem center / 2px 100% no-repeat;
  }
  .cited { padding-left: 3.2rem; }
}
@media print {
  .strip li, .ways > div, .ending { break-inside: avoid; } .ending h4 { break-after: avoid; }
  .strip .wire { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
}
"""
