"""Forms: numbered lines come in, path lines go out.  A dialect names one and gives its parameters.

    stanzas     headers and indented bodies
    set-lines   one whole statement a line
    braces      nested blocks, turned to set lines
    sections    `/path` headers, then `add key=value ...`
    json        a list or dict of objects, or a table of headings and rows
    json-tree   rows of lists anywhere in a JSON tree (RFC 7951)
    table       rows of cells under headings, as people type them
    oids        walks of the tables of a bridge (Q-BRIDGE-MIB)
    records     output of a `show` command, by a template of ntc-templates

A form is a class: made once with the dialect's parameters, called with the lines of a section.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Protocol

from vlancheck.capture import Line
from vlancheck.reader.forms.braces import Braces
from vlancheck.reader.forms.jsonrows import JsonRows
from vlancheck.reader.forms.jsontree import JsonTree
from vlancheck.reader.forms.oids import Oids
from vlancheck.reader.forms.records import Records, known_template
from vlancheck.reader.forms.sections import KeyedSections
from vlancheck.reader.forms.setlines import SetLines
from vlancheck.reader.forms.stanzas import Stanzas
from vlancheck.reader.forms.table import Table
from vlancheck.reader.params import Parameters
from vlancheck.reader.pathlines import PathLine


class Form(Protocol):
    """What every form does."""

    def __call__(self, lines: Sequence[Line]) -> Iterator[PathLine]:
        """Yield the path lines of a section; raise ValueError, saying why, when the text has another form."""


def make_form(name: str, params: Parameters) -> Form:
    """Return the form called `name`; raise DialectError for a name or a parameter that is not known."""
    match name:
        case "stanzas":
            return Stanzas(
                headers=params.patterns("headers"),
                inner=params.patterns("inner"),
                ends=params.patterns("ends"),
                comments=params.patterns("comments"),
                literals=params.pattern_pairs("literals"),
                lone=params.patterns("lone"),
                indented=params.flag("indented", default=True),
            )
        case "set-lines":
            return SetLines(comments=params.patterns("comments"))
        case "braces":
            return Braces(under=params.word("under", ""), comments=params.patterns("comments"))
        case "sections":
            return KeyedSections(keys=params.lists("keys"), each=frozenset(map(str, params.words("each"))))
        case "json":
            return JsonRows(
                key=params.word("key", ""),
                each=params.words("each"),
                ranges={str(low): str(high) for low, high in params.mapping("ranges").items()},
                rows=params.flag("rows", default=False),
            )
        case "table":
            return Table(
                key=params.word("key", ""),
                columns=params.lists("columns"),
                says=params.word("says", ""),
                by=tuple(map(str, params.words("by"))),
            )
        case "json-tree":
            return JsonTree({str(path): str(key) for path, key in params.mapping("lists").items()})
        case "oids":
            return Oids()
        case "records":
            template = params.word("template")
            if not known_template(template):
                raise params.error(f"ntc-templates has no template {template!r}", hint="write one of the family's own")
            each = tuple(map(str, params.words("each")))
            if each and not params.flag("rows", default=False):
                raise params.error("`each` goes with `rows`")
            wrapped = tuple(map(str, params.words("wrapped")))
            rows, key = params.flag("rows", default=False), params.word("key")
            lines = tuple(map(str, params.words("lines")))
            return Records(template, key=key, rows=rows, each=each, wrapped=wrapped, lines=lines)
    raise params.unknown("form", name, FORMS)


FORMS = ("stanzas", "set-lines", "braces", "sections", "json", "table", "records", "oids", "json-tree")
