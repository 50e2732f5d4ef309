"""`dialect.schema.json` and the loader know the same words and refuse the same shapes."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from vlancheck import yamltext
from vlancheck.dot1q.model import DeviceKind, Foreign, PrivateRole
from vlancheck.dot1q.properties import Property
from vlancheck.errors import DialectError
from vlancheck.reader.dialect import FIELDS, PHRASES
from vlancheck.reader.facts import As, Do, Of
from vlancheck.reader.fieldwords import PORT_WORDS
from vlancheck.reader.forms import FORMS
from vlancheck.reader.loading import FOLDER, dialect_names, load_dialect, load_folder
from vlancheck.reader.macros import MACROS
from vlancheck.reader.params import Parameters
from vlancheck.reader.terms import Asks

SCHEMA = json.loads((FOLDER / "dialect.schema.json").read_text(encoding="utf-8"))
VALIDATOR = Draft202012Validator(SCHEMA)
FOLDERS = sorted(path.parent for path in FOLDER.glob("*/dialect.yaml"))
SENTENCE = {"when", "because", "source", "assumed", "settle"}
NAMES = re.compile(  # what only the loader can know: names, and what they stand for
    "is no fact|is no list|is no TPID|is no negotiates|is no template|there is no template|nothing is done with|"
    "needs `as: vids`|elsewhere and|writes nothing|extends zzz|has the signs of|is no VID|a constant needs a sentence|"
    "named group"
)
Place = tuple[str | int, ...]

# A dialect that means nothing and has every word that the dialects there may not have.
EVERY_WORD = r"""
title: every word
signs: {like: cisco_ios, patterns: [a], commands: b}
hostname: ['^h (\S+)$']
sensitive: [zoning]
sources:
  - name: one
    commands: [c]
    bare: 'yes'
    looks: [d]
    parts: 'no'
    moments: 'no'
    rest: unread
    evidence: line
    form:
      stanzas:
        {headers: [p], inner: [i], ends: [e], comments: ['!'], lone: exit, literals: {a: same}, indented: 'yes'}
    macros:
      - deactivate
      - {deactivate: {}}
      - {groups: {names: ['set a \S+'], lists: ['set a \S+ b'], apart: 're\d', unless: 'set c '}}
      - {port-groups: {define: ['(?P<group>g)(?P<ports>p)'], use: '(?P<whole>(?P<group>g))'}}
    templates: [t.textfsm]
  - name: two
    only-without: one
    for: it is needed
    saved: 'no'
    capture: show two
    last: ^end$
    all: ^version
    whole: [^version]
    form: {set-lines: {comments: ['#']}}
    templates: t.textfsm
  - {name: three, form: {braces: {under: a, comments: x}}, templates: t.textfsm}
  - {name: four, form: {sections: {keys: {/a b: [c]}}}, templates: t.textfsm}
  - {name: five, form: {json: {key: k, each: [e], ranges: {low: high}, rows: 'no'}}, templates: t.textfsm}
  - name: seven
    form:
      records: {template: cisco_ios_show_vlan, key: vlan_id, rows: 'yes', each: [name], wrapped: [name], lines: [name]}
    templates: t.textfsm
  - {name: nine, form: {json-tree: {lists: {a/b: c}}}, templates: t.textfsm}
  - {name: eight, form: oids, templates: t.textfsm}
  - {name: six, form: {table: {key: k, columns: {k: [key]}, says: typed, by: [who]}}, templates: t.textfsm}
lists:
  vids: {sep: [","], to: ["-"], drop: [vlan], letters: 'no'}
ports:
  names: [{class: jack, like: '(?P<unit>\d+)'}]
  long: {Gi: Gigabit}
facts:
  PORT:
    - {of: port PORT, one: 'yes', typed: 'no', list: vids}
    - {of: port PORT, as: vids, emptied: unknown, map: {a: b}, do: [{add: set, is: '1'}, {remove: set, from: PORT}]}
    - {of: port PORT, as: vids, do: {replace: set}}
    - {of: port PORT, do: {append: rows, columns: {wire: vids PORT, tpid: PORT}}}
    - {of: port PORT, as: vid, do: {put: vid, as: vid, map: {a: b}}}
    - {of: port PORT, do: [word, {reset: word}, touch, clear]}
  NAME: {of: device, do: [name, {append: given, columns: {instances: vids NAME, number: NAME}}]}
derive:
  - inherit: {as: other, of: port, by: word}
  - lift: {fact: [word], to: device, as: lifted}
  - adopt: {of: port, members: rows, by: word, as: adopted}
  - private-vlans: {kind: part, named: with, rows: [rows], sets: [set], unsaid: community}
  - stack: {over: word, vid: vid, tpid: word, as: tags, base: base}
defaults:
  port:
    word:
      - {when: {device.name: present}, is: a, text: b, source: c}
      - {is: a, assumed: b, settle: c}
    set: {is: 'none', source: c}
negotiation:
  n: {protocol: p, fact: word, alone: {a: b}, outcomes: {a: {b: c}}, text: t, source: s}
meaning:
  device: [{when: {name: [a, b]}, kind: host}]
  settings: {name: name}
  bridges:
    - {when: {device.name: a}, exists: {at-least: [1, {unknown: a}]}, active: every, assumed: s, settle: t}
    - {exists: {where-said: 1}, assumed: s}
    - {spanning-tree: mst, because: a, source: b}
    - tree:
        {address: device.name, priority: '1', priorities: device.given, table: short, times: '2', words: {low: '3'}}
      because: a
      source: b
    - {tree: {region: {name: device.name, revision: device.name, own: 'yes'}, instances: device.given}}
    - {tree: {without: device.given}}
  ports:
    - {when: {set: filled}, what: end, on: word, inside: 'no', up: 'yes', link: word, assumed: a, settle: b}
    - {when: {any: [word, set]}, bundle: word, bundle-mode: word, description: word, bridge: word, address: word}
    - {properties: {speed: word, sticky-mac: word}, shared-address: word}
    - {seen: rows, negotiates: n, doubt: d, settle: e}
    - tree:
        {priority: '1', priorities: rows, costs: rows, shown-costs: rows, number: word, times: '2', alone: '0'}
      because: a
      source: b
    - {pvid: vid, admit: {minus: [set, vid]}, member: {both: [set, vid]}, untagged: set, forwarding: set}
    - select: [[untagged, priority], {vids: vid, tpids: {fact: word}}, {vids: any, tpids: ['8100']}, {stack: tags}]
      entry:
        - when: {set: empty}
          each: rows
          columns: [wire, tpid]
          match: [wire]
          pop: 1
          push: [wire, {vid: wire, tpid: 88a8}, {stack: tags}]
      exit: [{match: tagged, drop: 'yes'}]
      because: a
      source: b
    - {tpids: [{fact: word}, '8100'], sends: {fact: word}, foreign: drop, because: a, source: b}
    - {isolation: {fact: word}}
    - {private: {role: isolated, primary: vid, secondary: vid, mapped: rows-secondaries}, isolation: [g]}
owners: [{like: '(?P<port>x)', doubts: port}]
log: [{like: '(?P<port>x) flaps', told: flapping}]
refusals: ['^% ']
statements: {single: ['set a b'], kept: [set a]}
records: {keys: {/a b: [c]}, single: {/a b: [c]}, built-in: c}
separate-bridges: 'no'
words:
  {pvid: [a, b], admit: a, member: a, untagged: a, rows: a, exists: a, forwarding: a, isolation: a, up: a, end: a}
live: {by: [word], facts: {name: word}}
prints:
  show trunks: ['Port', '{short:8}{native} {allowed} {active} {forwarding}']
write:
  access: [b, c]
  interface: a
  close: a
  trunk: a
  allow: a
  forbid: a
  native: a
  leave: a
  no-native: a
  members: a
  vlan: a
  no-vlan: a
  name: a
  first: a
  home: a
  shut: a
  open: a
  guard: a
  guarded: a
  restarts: a
  keep: a
  commit: a
  save: a
"""
TEMPLATE = "Value PORT (\\S+)\nValue NAME (\\S+)\n\nStart\n  ^port ${PORT}$$ -> Record\n  ^name ${NAME}$$ -> Record\n"


def plain(node: Any) -> Any:
    """Return YAML with all scalars as text, as lists, dicts and strings."""
    if isinstance(node, dict):
        return {str(key): plain(value) for key, value in node.items()}
    return [plain(item) for item in node] if isinstance(node, list) else str(node)


def loaded(text: str) -> Any:
    """Return the plain YAML in `text`."""
    return plain(yamltext.load(text, "dialect.yaml", DialectError))


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of the dialect with every word."""
    folder = tmp_path_factory.mktemp("every") / "every"
    folder.mkdir()
    (folder / "dialect.yaml").write_text(EVERY_WORD, encoding="utf-8")
    (folder / "t.textfsm").write_text(TEMPLATE, encoding="utf-8")
    return folder


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_every_dialect_is_as_the_schema_says(folder: Path) -> None:
    """No fault is found in what ships."""
    Draft202012Validator.check_schema(SCHEMA)
    faults = VALIDATOR.iter_errors(loaded((folder / "dialect.yaml").read_text(encoding="utf-8")))
    assert [f"{'/'.join(map(str, fault.absolute_path))}: {fault.message[:200]}" for fault in faults] == []


def test_a_dialect_with_every_word_is_taken_by_both(whole: Path) -> None:
    """Schema and loader take it, and it has every word of the schema but `extends` and some kinds of things."""
    assert list(VALIDATOR.iter_errors(loaded(EVERY_WORD))) == []
    load_folder(whole)
    named = {key for place, node in nodes(SCHEMA, ()) if place[-1:] == ("properties",) != place[-2:-1] for key in node}
    used = {key for _, node in nodes(loaded(EVERY_WORD), ()) if isinstance(node, dict) for key in node}
    assert named - used == {"extends", "bridge", "vlan", "group", "device"} - used


def test_both_refuse_the_same(whole: Path, tmp_path: Path) -> None:
    """An unknown key in each mapping, and another shape at each place, is refused by both or by neither.

    What the loader refuses for a name that it does not know is its own.
    """
    copy = tmp_path / "every"
    shutil.copytree(whole, copy)
    file = copy / "dialect.yaml"
    root = loaded(file.read_text(encoding="utf-8"))
    apart, refused = [], 0
    for place, new in mutations(root):
        changed = put(root, place, new)
        by_schema = not VALIDATOR.is_valid(changed)
        file.write_text(yaml.safe_dump(changed, sort_keys=False, allow_unicode=True), encoding="utf-8")
        said = refusal(copy)
        refused += by_schema and bool(said)
        shown = "/".join(map(str, place))
        if by_schema and not said:
            apart.append(f"{shown} = {new}: the loader takes it")
        if said and not by_schema and not NAMES.search(said):
            apart.append(f"{shown} = {new}: the schema takes it; {said}")
    assert apart == []
    assert refused > 300


def refusal(folder: Path) -> str:
    """Return what the loader says against the dialect in `folder`; "" nothing."""
    try:
        load_folder(folder)
    except DialectError as error:
        return str(error)
    return ""


def mutations(root: Any) -> Iterator[tuple[Place, Any]]:
    """Yield places and what to put there: an unknown key in mappings, another shape everywhere."""
    for place, node in nodes(root, ()):
        if isinstance(node, dict):
            yield (*place, "zzz"), "zzz"
        if place:
            for new in ("zzz", {"zzz": "zzz"}, ["zzz"]):
                if type(new) is not type(node):
                    yield place, new


def nodes(node: Any, place: Place) -> Iterator[tuple[Place, Any]]:
    """Yield every node below `node`, with the way to it."""
    yield place, node
    pairs = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, below in pairs:
        yield from nodes(below, (*place, key))


def put(root: Any, place: Place, new: Any) -> Any:
    """Return a copy of `root` with `new` at `place`."""
    made = deepcopy(root)
    node = made
    for key in place[:-1]:
        node = node[key]
    node[place[-1]] = new
    return made


# ---- the words ---------------------------------------------------------------------------------------------------


def properties(name: str) -> set[str]:
    """Return the words of a definition of the schema."""
    return set(SCHEMA["$defs"][name]["properties"])


def test_the_closed_lists_are_those_of_the_loader() -> None:
    """Words of a port's row, verbs, kinds, forms, macros and conditions."""
    defs = SCHEMA["$defs"]
    port = defs["port-row"]["properties"]

    assert properties("port-row") == {*PORT_WORDS, *SENTENCE}
    assert set(defs["as"]["enum"]) == {*As} - {"rows"}  # rows are what `append` makes
    verbs = {one["required"][0] for one in defs["do"]["anyOf"][1]["oneOf"]}
    assert verbs == {*Do} - {"touch", "clear"}  # these stand alone
    assert set(SCHEMA["properties"]["defaults"]["properties"]) == {*Of}
    assert set(SCHEMA["properties"]["meaning"]["properties"]["device"]["items"]["properties"]["kind"]["enum"]) == {
        *DeviceKind
    }
    assert set(port["foreign"]["enum"]) == {*Foreign}
    assert set(port["private"]["properties"]["role"]["enum"]) == {*PrivateRole}
    assert set(defs["form"]["anyOf"][0]["enum"]) == {*FORMS}
    assert set(defs["form"]["anyOf"][1]["properties"]) == {*FORMS} - {"oids"}  # which takes nothing
    assert set(defs["macro"]["anyOf"][1]["properties"]) == {*MACROS}
    assert set(SCHEMA["properties"]["write"]["properties"]) == {*PHRASES}
    assert set(SCHEMA["properties"]["words"]["properties"]) == {*FIELDS}
    alone = defs["when"]["additionalProperties"]["anyOf"][1]["anyOf"][1]["items"]["not"]["enum"]
    assert set(alone) == {*Asks} - {"value"}


def test_what_the_loader_asks_for_is_what_the_schema_names(whole: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The keys asked for while a dialect with every word is loaded, mapping by mapping."""
    asked: dict[str, set[str]] = {}
    done = Parameters.done

    def recorded(self: Parameters) -> None:
        asked.setdefault(self.what, set()).update(map(str, self._asked))
        done(self)

    monkeypatch.setattr(Parameters, "done", recorded)
    load_folder(whole)

    top = SCHEMA["properties"]
    forms = SCHEMA["$defs"]["form"]["anyOf"][1]["properties"]
    joins = SCHEMA["$defs"]["join"]["properties"]
    assert asked["the dialect"] == set(top) - {"extends"}
    assert asked["the dialect: signs"] == set(top["signs"]["properties"])
    assert asked["the dialect: ports"] == set(top["ports"]["properties"])
    assert asked["the dialect: meaning"] == set(top["meaning"]["properties"])
    assert asked["the dialect: owners"] == set(top["owners"]["items"]["properties"])
    assert asked["the dialect: meaning: device"] == set(top["meaning"]["properties"]["device"]["items"]["properties"])
    assert asked["the dialect: sources"] == properties("source")
    assert asked["the dialect: meaning: bridges"] == properties("bridge-row")
    assert asked["the dialect: meaning: ports"] == properties("port-row")
    assert asked["entry row"] == properties("rewrite")
    assert asked["fact PORT"] == properties("write")
    assert asked["default of word"] == {
        word for one in SCHEMA["$defs"]["default"]["anyOf"] for word in one["properties"]
    }
    for name, form in forms.items():
        assert asked[f"form: {name}"] == set(form["properties"])
    for name, join in joins.items():
        assert asked[f"the dialect: derive: {name}"] == set(join["properties"])


def test_properties_are_the_same_wherever_they_are_listed() -> None:
    """The model, both schemas and the page for contributors."""
    known = [str(one) for one in Property]
    read = json.loads((FOLDER.parent / "schemas/read.schema.json").read_text(encoding="utf-8"))
    shown = read["properties"]["devices"]["items"]["properties"]["ports"]["items"]
    assert shown["properties"]["set_to"]["items"]["properties"]["name"]["enum"] == known
    assert ", ".join(f"`{one}`" for one in known) in (FOLDER / "README.md").read_text(encoding="utf-8")
    assert SCHEMA["$defs"]["port-row"]["properties"]["properties"]["propertyNames"]["enum"] == known


@pytest.mark.parametrize("name", dialect_names())
def test_a_family_has_words_for_the_model_that_stand_in_its_own_data(name: str) -> None:
    """PVID, member set and the rest are named in the family's words; what its data does not hold is marked so."""
    dialect = load_dialect(name)
    assert {"pvid", "member", "untagged", "admit"} <= {*dialect.words} | ({"untagged"} if name == "cisco_xr" else set())
    text = " ".join(path.read_text(encoding="utf-8") for path in sources_of(FOLDER / name))
    if name == "qbridge_mib":  # whose names stand in the form that reads walks
        text += (FOLDER.parent / "reader/forms/oids.py").read_text(encoding="utf-8")
    text = re.sub(r"^words:.*\n(?:[ \t#].*\n)*", "", text, flags=re.MULTILINE).lower()
    for word in (word for words in dialect.words.values() for word in words if not word.endswith("(from memory)")):
        parts = re.findall(r"[\w-]*[a-z][\w-]*", word.lower())
        assert parts, word
        assert [part for part in parts if not re.search(rf"(?<![a-z]){re.escape(part)}", text)] == [], word


def sources_of(folder: Path) -> list[Path]:
    """Return the files of a dialect and of those that it extends."""
    base = re.search(r"^extends: (\S+)", (folder / "dialect.yaml").read_text(encoding="utf-8"), re.MULTILINE)
    return [*sorted(folder.iterdir()), *(sources_of(FOLDER / base[1]) if base else [])]
