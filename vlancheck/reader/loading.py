"""A dialect's folder comes in, a checked `Dialect` goes out, or a DialectError that names file and line."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path

from vlancheck import yamltext
from vlancheck.dot1q.model import DeviceKind, Told
from vlancheck.errors import DialectError
from vlancheck.evidence import Kind, default
from vlancheck.reader import sensitive
from vlancheck.reader.derive import Inherit, Step, make_step, puts
from vlancheck.reader.dialect import (
    BLANKS,
    FIELDS,
    PHRASES,
    PRINTED,
    WHOLE,
    Default,
    Dialect,
    LogSign,
    Owner,
    PortName,
    Source,
    constant,
)
from vlancheck.reader.facts import As, Do, Key, Of, Saying, Write, sayings
from vlancheck.reader.fieldwords import make_port_row, sentence
from vlancheck.reader.forms import make_form
from vlancheck.reader.keyed import Records
from vlancheck.reader.lists import Punctuation
from vlancheck.reader.macros import make_macro
from vlancheck.reader.meaning import BridgeRow, DeviceRow, Negotiated, PortRow
from vlancheck.reader.merging import merged
from vlancheck.reader.params import Parameters
from vlancheck.reader.statements import Statements
from vlancheck.reader.template import Rule, Template, load_template
from vlancheck.reader.terms import Names, TermMaker, make_when
from vlancheck.reader.treewords import BRIDGE_TREE_WORDS, make_tree
from vlancheck.yamltext import Items, Table, Text

FOLDER = sensitive.FOLDER
_SIGNS = re.compile(r"^signs:.*\n(?:[ \t#].*\n|\n)*", re.MULTILINE)  # the block of one key at the top level


def dialect_names() -> list[str]:
    """Return the names of the dialects that ship with the package, sorted."""
    return sorted(path.parent.name for path in FOLDER.glob("*/dialect.yaml") if not path.parent.name.startswith("_"))


@cache
def load_dialect(name: str) -> Dialect:
    """Return the dialect called `name`; raise DialectError for an unknown name or a folder that is not right."""
    if name not in dialect_names():
        known = Parameters(None, str(FOLDER), "dialects")
        raise known.unknown("dialect", name, dialect_names())
    return _load(FOLDER / name)


@cache
def load_signs(name: str) -> tuple[tuple[str, ...], tuple[re.Pattern[str], ...]]:
    """Return the patterns, not compiled, and commands by which the dialect is known, without loading the rest of it.

    Raises DialectError where they are not right.
    """
    file = FOLDER / name / "dialect.yaml"
    text = file.read_text(encoding="utf-8")
    if (block := _SIGNS.search(text)) is None:
        return (), ()
    above = text.count("\n", 0, block.start())  # blank lines, so that errors name the right one
    node = yamltext.load("\n" * above + block[0], str(file), DialectError)
    patterns, commands = _signs(Parameters(node, str(file), "the dialect").below("signs"), name)
    return tuple(map(str, patterns)), commands


def _signs(signs: Parameters, name: str) -> tuple[tuple[str, ...], tuple[re.Pattern[str], ...]]:
    """Return the signs of a dialect: its own, then those of the one that it says is known alike."""
    patterns, commands = signs.words("patterns"), signs.patterns("commands")
    if not signs.has("like"):
        return patterns, commands
    like = signs.word("like")
    if like == name or not (FOLDER / like / "dialect.yaml").is_file():
        raise signs.error(f"has the signs of {like}, which is no other dialect", signs.node("like"))
    more, typed = load_signs(like)
    return (*patterns, *more), (*commands, *typed)


def load_folder(folder: Path) -> Dialect:
    """Return the dialect in `folder`, all of it loaded; raise DialectError for anything in it that is not right."""
    dialect = _load(folder)
    for source in dialect.sources:
        assert source.writes is not None, "templates and what they write are loaded here"
        for template in source.templates:
            template.compile()
    return dialect


def _load(folder: Path) -> Dialect:
    """Return the dialect in `folder`; templates that no text is read by are never loaded."""
    table, folders = _tables(folder, ())
    return _Loader(folder, folders, table).load()


def _tables(folder: Path, below: tuple[str, ...]) -> tuple[Table, list[Path]]:
    """Return the dialect's YAML with that of the dialects it extends under it, and their folders."""
    file = folder / "dialect.yaml"
    try:
        text = file.read_text(encoding="utf-8")
    except OSError as error:
        raise DialectError("cannot be read", file=str(file), hint="a dialect is a folder with dialect.yaml") from error
    node = yamltext.load(text, str(file), DialectError)
    if node is None:
        raise DialectError("the file is empty", file=str(file))
    if not isinstance(node, Table):
        raise DialectError("must be a mapping", file=str(file), line=1)
    base = node.pop(Text("extends"), None)
    if base is None:
        return node, [folder]
    if not isinstance(base, Text) or not (FOLDER / base / "dialect.yaml").is_file():
        raise DialectError(f"extends {base!s}, which is no dialect", file=str(file), line=base.line)
    if base in below:
        raise DialectError(f"extends {base!s}, which extends it", file=str(file), line=base.line)
    under, folders = _tables(FOLDER / base, (*below, folder.name))
    return merged(under, node), [folder, *folders]


@dataclass(slots=True)
class _Loader:
    """Loads one dialect."""

    folder: Path  # its folder
    folders: list[Path]  # its folder, then those of the dialects it extends
    table: Table  # its YAML, merged
    lists: dict[str, Punctuation] = field(default_factory=dict)  # punctuation by name
    kinds: dict[tuple[Of, str], As] = field(default_factory=dict)  # what sort of value each fact has

    def load(self) -> Dialect:
        """Return the dialect; raise DialectError for anything that is not known."""
        top = Parameters(self.table, str(self.folder / "dialect.yaml"), "the dialect")
        signs, ports = top.below("signs"), top.below("ports")
        patterns, commands = _signs(signs, self.folder.name)
        words = tuple(map(str, top.words("sensitive")))
        guard = sensitive.pattern(words)
        self.lists = {"vids": Punctuation(), "ports": Punctuation()}
        for name in (inner := top.below("lists")).written():
            self.lists[str(name)] = _punctuation(inner.below(name))
        writes = self._writes(top.below("facts"))
        if any(one.has("all") for one in top.each("sources")):
            self.kinds[Of.DEVICE, WHOLE] = As.WORD
        steps = self._steps(top)
        live, live_by = self._live(top)
        defaults = self._default_table(top.below("defaults"))
        port_names = tuple(self._port_name(one) for one in ports.each("names"))
        names = self._names(steps, port_names, defaults)
        negotiated = {str(name): _negotiated(inner) for name, inner in _each_below(top.below("negotiation"))}
        meaning = top.below("meaning")
        settings = {str(name): str(fact) for name, fact in meaning.mapping("settings").items()}
        for fact in meaning.mapping("settings").values():
            Names({"": names["device"]}).split(fact, meaning)
        bridge_names = {"": names["bridge"], "device": names["device"]}
        device_names = {"": names["device"], "device": names["device"]}
        port_scope = {**names, "": names["port"]}
        dialect = Dialect(
            name=self.folder.name,
            title=top.word("title"),
            folder=str(self.folder),
            patterns=tuple(map(signs.compiled, patterns)),
            commands=commands,
            hostname=top.patterns("hostname"),
            sensitive=guard,
            sensitive_words=words,
            sources=tuple(self._source(one, guard, writes, words) for one in top.each("sources")),
            ports=self.lists["ports"],
            vids=self.lists["vids"],
            port_names=port_names,
            long_names=tuple((str(short).lower(), str(long)) for short, long in ports.mapping("long").items()),
            defaults=defaults,
            steps=steps,
            device_rows=tuple(_device_row(one, Names(device_names)) for one in meaning.each("device")),
            settings=settings,
            bridge_rows=tuple(_bridge_row(one, Names(bridge_names)) for one in meaning.each("bridges")),
            port_rows=tuple(self._port_row(one, port_scope, negotiated) for one in meaning.each("ports")),
            negotiated=negotiated,
            owners=tuple(_owner(one) for one in top.each("owners")),
            log=tuple(_log_sign(one) for one in top.each("log")),
            refusals=tuple(map(top.compiled, top.words("refusals"))),
            live=live,
            live_by=live_by,
            statements=_statements(top),
            separate_bridges=top.flag("separate-bridges", default=False),
            words=_field_words(top.below("words")),
            phrases=_phrases(top),
            prints=_prints(top.below("prints")),
        )
        if not dialect.sources:
            raise top.error("reads nothing: it needs `sources`")
        for one in (signs, ports, meaning, top):
            one.done()
        return dialect

    def _live(self, top: Parameters) -> tuple[dict[str, str], frozenset[str]]:
        """Return which fact takes the place of which, and the facts by which a port has shown something."""
        if not top.has("live"):
            return {}, frozenset()
        inner = top.below("live")
        by, facts = inner.words("by"), inner.mapping("facts")
        if not by or not facts:
            raise inner.error("needs `by` and `facts`")
        for fact, shown in facts.items():
            if (kind := self.kinds.get((Of.PORT, str(shown)))) is None:
                raise inner.unknown("fact of a port", shown, [name for of, name in self.kinds if of is Of.PORT])
            if self.kinds.setdefault((Of.PORT, str(fact)), kind) is not kind:
                raise inner.error(f"{fact} and {shown} are not the same sort of value", fact)
        for fact in by:
            if fact not in facts.values():
                raise inner.unknown("fact that `facts` names", fact, facts.values())
        inner.done()
        return {str(fact): str(shown) for fact, shown in facts.items()}, frozenset(map(str, by))

    # ---- what is read ----

    def _source(
        self, params: Parameters, guard: object, writes: Mapping[str, tuple[Write, ...]], words: tuple[str, ...]
    ) -> Source:
        form_node = params.node("form")
        if isinstance(form_node, Text):
            form = make_form(form_node, Parameters(None, params.file, f"form {form_node}", form_node.line))
        else:
            outer = Parameters(form_node, params.file, "form", params.line)
            if len(outer.written()) != 1:
                raise params.error("`form` is one word, or one word with its parameters", form_node)
            word = outer.written()[0]
            inner = outer.below(word)
            form = make_form(word, inner)
            inner.done()
        macros = []
        for item in _items(params, "macros"):
            if isinstance(item, Text):
                macros.append(make_macro(item, Parameters(None, params.file, item, item.line), self.lists["ports"]))
            else:
                outer = Parameters(item, params.file, "macros")
                if len(outer.written()) != 1:
                    raise params.error("a macro is one word, or one word with its parameters", item)
                word = outer.written()[0]
                inner = outer.below(word)
                macros.append(make_macro(word, inner, self.lists["ports"]))
                inner.done()
        named = params.words("templates")
        if not named:
            raise params.error("a source needs `templates`")
        source = Source(
            name=params.word("name"),
            commands=params.patterns("commands"),
            bare=params.flag("bare", default=False),
            looks=params.patterns("looks"),
            parts=params.flag("parts", default=False),
            moments=params.flag("moments", default=False),
            rest=params.choice("rest", ("unread", "passed"), "unread") == "passed",
            only_without=params.word("only-without", ""),
            last=params.patterns("last"),
            whole=params.patterns("whole"),
            all=params.patterns("all"),
            saved=params.flag("saved", default=False),
            capture=params.word("capture", ""),
            purpose=params.word("for", ""),
            evidence=Kind(params.choice("evidence", ("line", "show"), "line")),
            form=form,
            macros=tuple(macros),
            load=lambda: tuple(self._template(word, params, words) for word in named),
            bind=lambda templates: _bind(templates, writes, params),
        )
        if source.all and (not source.last or source.parts):
            raise params.error("`all` needs `last`, and a text that is no part", hint="give `last`, leave out `parts`")
        params.done()
        return source

    def _template(self, name: Text, params: Parameters, words: tuple[str, ...]) -> Template:
        for folder in self.folders:
            if (file := folder / name).is_file():
                return load_template(file.read_text(encoding="utf-8"), str(file), sensitive.pattern(words))
        raise params.error(f"there is no template {str(name)!r}", name)

    # ---- facts ----

    def _writes(self, facts: Parameters) -> dict[str, tuple[Write, ...]]:
        found = {}
        for value in facts.written():
            node = facts.node(value)
            several = node if isinstance(node, Items) else [node]
            made: list[Write] = []
            for one in several:
                made += self._write(str(value), Parameters(one, facts.file, f"fact {value}", value.line))
            found[str(value)] = tuple(made)
        return found

    def _write(self, value: str, params: Parameters) -> Iterable[Write]:
        of, _, key_text = params.word("of").partition(" ")
        if of not in list(Of):
            raise params.unknown("thing that has facts", of, list(Of))
        many, typed = not params.flag("one", default=False), params.flag("typed", default=True)
        key = _key(key_text, many)
        if bool(key_text) is (of == Of.DEVICE):
            raise params.error(f"`of: {of}` {'takes no name' if key_text else 'needs a VALUE that names it'}")
        kind, rename = params.choice("as", list(As), As.WORD), params.mapping("map")
        emptied, listing = params.choice("emptied", ("", "unknown"), ""), params.word("list", "vids")
        if listing not in self.lists:
            raise params.unknown("list", listing, self.lists)
        do = params.node("do")
        for one in do if isinstance(do, Items) else [do]:
            if one is None or (isinstance(one, Text) and one in ("touch", "clear")):
                yield Write(value, Of(of), key, Do(one or "touch"), "", As.WORD, typed=typed)
                continue
            if isinstance(one, Text):
                verb, fact, inner = Do.PUT, str(one), Parameters(None, params.file, "do", one.line)
            else:
                inner = Parameters(one, params.file, f"`do` of {value}")
                verbs = [word for word in inner.written() if str(word) in list(Do)]
                if len(verbs) != 1:
                    raise inner.error(f"needs one of {', '.join(Do)}")
                verb, fact = Do(verbs[0]), inner.word(verbs[0])
            made = self._finished(value, Of(of), key, verb, fact, As(kind), inner, rename, emptied, listing)
            yield replace(made, typed=typed)
            inner.done()
        params.done()

    def _finished(
        self, value: str, of: Of, key: Key, verb: Do, fact: str, kind: As, inner: Parameters,
        rename: Mapping[Text, Text], emptied: str, listing: str,
    ) -> Write:  # fmt: skip
        columns = {
            str(name): (str(text).removeprefix("vids "), text.startswith("vids "))
            for name, text in inner.mapping("columns").items()
        }
        constant = inner.word("is", "")
        source = "" if constant else inner.word("from", value)
        renames = {str(text): str(new) for text, new in (inner.mapping("map") or rename).items()}
        kind = As(inner.choice("as", list(As), kind))
        kind = As.ROWS if verb is Do.APPEND else kind
        sets = kind in (As.VIDS, As.EDITS)
        if verb in (Do.ADD, Do.REMOVE, Do.REPLACE) and not sets:
            raise inner.error(f"`{verb}` needs `as: vids`")
        if kind is As.ROWS and verb is not Do.APPEND:
            raise inner.error("rows are appended")
        stored = As.VIDS if sets else kind
        if verb is not Do.RESET and self.kinds.setdefault((of, fact), stored) is not stored:
            raise inner.error(f"{fact!r} is {self.kinds[of, fact]} elsewhere and {stored} here")
        return Write(value, of, key, verb, fact, kind, source, constant, renames, emptied, columns, self.lists[listing])

    def _default_table(self, params: Parameters) -> dict[Of, dict[str, tuple[Default, ...]]]:
        found: dict[Of, dict[str, tuple[Default, ...]]] = {}
        device_facts = frozenset(fact for of, fact in self.kinds if of is Of.DEVICE)
        names = Names({"": frozenset(), "device": device_facts})
        for word in params.written():
            if str(word) not in list(Of):
                raise params.unknown("thing that has facts", word, list(Of))
            of, inner = Of(word), params.below(word)
            for fact in inner.written():
                node = inner.node(fact)
                several = node if isinstance(node, Items) else [node]
                rows = [Parameters(one, params.file, f"default of {fact}", fact.line) for one in several]
                kind = self.kinds.setdefault((of, str(fact)), As.WORD)
                found.setdefault(of, {})[str(fact)] = tuple(self._default(one, str(fact), kind, names) for one in rows)
        return found

    def _default(self, params: Parameters, fact: str, kind: As, names: Names) -> Default:
        when, value = make_when(params, names), params.word("is")
        if params.has("assumed"):
            origins = sentence(params)
        else:
            origins = default(params.word("text", f"no line sets {fact}: {value}"), params.word("source"))
        params.done()
        if kind is As.ROWS:
            raise params.error("rows have no default: none is none")
        try:
            return Default(when, constant(value, kind, origins, self.lists["vids"]))
        except ValueError as error:
            raise params.error(str(error)) from error

    # ---- joins and names ----

    def _steps(self, top: Parameters) -> tuple[Step, ...]:
        steps = []
        for one in top.each("derive"):
            if len(one.written()) != 1:
                raise one.error("a join is one word with its parameters")
            word = one.written()[0]
            inner = one.below(word)
            steps.append(make_step(word, inner))
            inner.done()
        return tuple(steps)

    def _port_name(self, params: Parameters) -> PortName:
        made = PortName(params.word("class"), params.compiled(params.word("like")))
        params.done()
        return made

    def _names(
        self, steps: tuple[Step, ...], port_names: tuple[PortName, ...], defaults: Mapping[Of, Mapping[str, object]]
    ) -> dict[str, frozenset[str]]:
        """Return the fact names that rows may use, by prefix; `bridge`, `port` and so on stand for the kinds."""
        by_kind = {str(of): {fact for kind, fact in self.kinds if kind is of} for of in Of}
        for step in steps:
            for of, fact in puts(step):
                by_kind[of].add(fact)
        groups = {group for one in port_names for group in one.like.groupindex}
        known = {of: frozenset(facts) for of, facts in by_kind.items()}
        found = {**known, "name": frozenset({"class", *groups})}
        for step in steps:
            if isinstance(step, Inherit):
                found[step.prefix] = known[step.of]
        return found

    def _port_row(
        self, params: Parameters, names: Mapping[str, frozenset[str]], negotiated: Mapping[str, Negotiated]
    ) -> PortRow:
        return make_port_row(params, Names(names), negotiated)


def _bind(
    templates: tuple[Template, ...], writes: Mapping[str, tuple[Write, ...]], params: Parameters
) -> dict[Rule, tuple[tuple[Saying, ...], tuple[Saying, ...]]]:
    """Return, for each rule, what it writes before ports are replayed and what it writes to ports."""
    bound = {}
    for template in templates:
        for rule in template.rules:
            mine = [
                write
                for value in sorted(rule.takes)
                for write in writes.get(value, ())
                if rule.takes.issuperset(write.key.needs)
            ]
            for value in rule.takes:
                if value not in writes and not any(
                    value == write.source
                    or value in write.key.needs
                    or value in dict(write.columns.values())
                    or f"{{{value}}}" in write.constant
                    for write in mine
                ):
                    raise DialectError(
                        f"nothing is done with {value}", file=template.file, line=rule.line,
                        hint="say under `facts` what it writes, or match it without ${...}",
                    )  # fmt: skip
            if rule.reads and rule.takes and not mine:
                raise DialectError("takes values, but writes nothing", file=template.file, line=rule.line)
            before = sayings([write for write in mine if write.of is not Of.PORT])
            bound[rule] = (before, sayings([write for write in mine if write.of is Of.PORT]))
    return bound


def _key(text: str, many: bool) -> Key:
    if text == "*":  # every port that a line before names
        return Key("*", frozenset(), many)
    if text and "{" not in text:
        return Key(f"{{{text}}}", frozenset({text}), many, text)
    needs = frozenset(part.partition("}")[0] for part in text.split("{")[1:])
    alone = next((name for name in needs if text == f"{{{name}}}"), "")
    return Key(text, needs, many and bool(alone), alone)


def _punctuation(params: Parameters) -> Punctuation:
    made = Punctuation(
        sep=tuple(map(str, params.words("sep"))) or (",",),
        to=tuple(map(str, params.words("to"))),
        drop=tuple(map(str, params.words("drop"))),
        letters=params.flag("letters", default=False),
    )
    params.done()
    return made


def _statements(top: Parameters) -> Statements | Records | None:
    made: Statements | Records | None = None
    if top.has("statements"):
        inner = top.below("statements")
        made = Statements(inner.patterns("single"), inner.patterns("kept"))
        inner.done()
    if top.has("records"):
        inner = top.below("records")
        made = Records(inner.lists("keys"), inner.lists("single"), inner.word("built-in", ""))
        inner.done()
    return made


def _negotiated(params: Parameters) -> Negotiated:
    outcomes = {str(mode): _words(inner) for mode, inner in _each_below(params.below("outcomes"))}
    made = Negotiated(
        protocol=params.word("protocol"),
        fact=params.word("fact"),
        alone=_words(params.below("alone")),
        outcomes=outcomes,
        origins=default(params.word("text"), params.word("source")),
    )
    params.done()
    return made


def _words(params: Parameters) -> dict[str, str]:
    return {str(key): str(params.word(key)) for key in params.written()}


def _each_below(params: Parameters) -> Iterable[tuple[str, Parameters]]:
    return [(str(key), params.below(key)) for key in params.written()]


def _device_row(params: Parameters, names: Names) -> DeviceRow:
    made = DeviceRow(make_when(params, names), params.choice("kind", list(DeviceKind)))
    params.done()
    return made


def _bridge_row(params: Parameters, names: Names) -> BridgeRow:
    when, because = make_when(params, names), sentence(params)
    maker = TermMaker(names, params)
    exists, active = params.node("exists"), params.node("active")
    tree = params.choice("spanning-tree", ("per-vlan", "one-tree", "mst", "off", "unknown", ""), "")
    numbers, constant = make_tree(params, names, BRIDGE_TREE_WORDS) if params.has("tree") else (None, False)
    made = BridgeRow(
        when, because, maker.make(exists) if exists else None, maker.make(active) if active else None, tree, numbers
    )
    params.done()
    if (maker.constant or tree or constant) and not because:
        raise params.error("a constant needs a sentence", hint="give `because` and `source`, or `assumed`")
    return made


def _owner(params: Parameters) -> Owner:
    doubts = params.choice("doubts", ("port", "ports", "vlan", "vlans", "nothing"))
    made = Owner(params.compiled(params.word("like")), doubts)
    if doubts in ("port", "vlan") and doubts not in made.like.groupindex:
        raise params.error(f"`like` needs the named group {doubts!r}")
    params.done()
    return made


def _log_sign(params: Parameters) -> LogSign:
    made = LogSign(params.compiled(params.word("like")), Told(params.choice("told", Told)))
    params.done()
    return made


def _field_words(inner: Parameters) -> dict[str, tuple[str, ...]]:
    for name in inner.written():
        if str(name) not in FIELDS:
            raise inner.unknown("field of the model", name, FIELDS)
    return {str(name): tuple(map(str, inner.words(name))) for name in inner.written()}


def _phrases(top: Parameters) -> dict[str, tuple[str, ...]]:
    inner = top.below("write")
    found: dict[str, tuple[str, ...]] = {}
    for name in inner.written():
        if str(name) not in PHRASES:
            raise inner.unknown("phrase", name, PHRASES)
        found[str(name)] = tuple(map(str, inner.words(name)))
        for line in found[str(name)]:
            for blank in re.findall(r"\{(\w*)\}", line):
                if blank not in BLANKS:
                    raise inner.unknown("blank of a phrase", blank, BLANKS)
    return found


def _prints(inner: Parameters) -> dict[str, tuple[str, ...]]:
    found = {str(command): tuple(map(str, inner.words(command))) for command in inner.written()}
    for lines in found.values():
        for blank in re.findall(r"\{(\w*)[^{}]*\}", "\n".join(lines)):
            if blank not in PRINTED:
                raise inner.unknown("blank of a display", blank, PRINTED)
    return found


def _items(params: Parameters, key: str) -> Items:
    node = params.node(key)
    if node is None:
        return Items()
    if not isinstance(node, Items):
        raise params.error(f"{key!r} must be a list", node)
    return node
