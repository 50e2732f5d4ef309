"""Every document that a command prints is as its JSON Schema says, and a changed document is not."""

from __future__ import annotations

import json
from collections.abc import Iterator
from copy import deepcopy
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from moves.closets import long_cords
from openpyxl import Workbook
from reference.wirings import drawn, frame
from typer.testing import CliRunner

from vlancheck import outcome
from vlancheck.changes.change import Kind as ChangeKind
from vlancheck.cli.app import app
from vlancheck.dot1q.model import DeviceKind, PortKind, PrivateKind, PrivateRole
from vlancheck.dot1q.rules import Rule
from vlancheck.evidence import Kind as OriginKind
from vlancheck.evidence import State as CoverState
from vlancheck.example import write_site
from vlancheck.findings.finding import Severity
from vlancheck.mend.proposal import Sureness as Followed
from vlancheck.moves.compared import Cord
from vlancheck.moves.harm import WORDS as HARMS
from vlancheck.notation import parse
from vlancheck.outcome import Sort
from vlancheck.pipeline import open_site
from vlancheck.reader.grouping import NoteKind
from vlancheck.reconciliation.moved import MoveKind, Proof, Sureness
from vlancheck.report import alike as alike_ports
from vlancheck.report import (
    collecting,
    families,
    mends,
    outages,
    patching,
    placing,
    reading,
    relation,
    report_jsonl,
    walking,
)
from vlancheck.report import mistakes as slips
from vlancheck.site import ticks
from vlancheck.site.boxes import Occupancy
from vlancheck.site.cordkinds import CordKind
from vlancheck.site.endpoints import EndpointKind
from vlancheck.site.headings import Sense
from vlancheck.site.sheet import Clash
from vlancheck.site.spots import SpotKind
from vlancheck.teach import progress
from vlancheck.teach.drill import run
from vlancheck.teach.exercise import Topic
from vlancheck.teach.ground import closets
from vlancheck.verdicts.verdict import Certainty, State
from vlancheck.walk import walk
from vlancheck.walk.carriage import carriage
from vlancheck.walk.flood import What
from vlancheck.wiring import Link, Network, wire

from .sites import EVERY_STATE, LOOP, open_closet, reports, write_closet

Place = tuple[str | int, ...]
NAMES = (
    "alike",
    "at",
    "carriage",
    "collect",
    "dialects",
    "drill",
    "mend",
    "mistakes",
    "outages",
    "patching",
    "read",
    "records",
    "repatching",
    "report",
    "ticks",
    "walk",
)
ROUND = "port A:1 member=10\nport A:2 member=10\nport A:3 pvid=10 member=10 untagged=10\nlink A:1 A:2\n"
GROWS = """\
port A:1 pvid=10 member=10 untagged=10 tpids=none
port A:2 pvid=20 member=10,20 tpids=none
port A:3 pvid=10 member=10 tpids=none
link A:2 A:3
"""
TICKS = {  # what the page of worksheets saves; a browser saves one in tests/worksheets
    "schema": ticks.SCHEMA,
    "site": "closet",
    "before": "as-found",
    "survey": "as-planned",
    "ticks": [
        {
            "sheet": "acceptance",
            "row": 1,
            "key": "PANEL-A:01",
            "cord": "C-3",
            "column": "result",
            "who": "Lee",
            "when": "2026-03-14T02:10:00+01:00",
            "what": "print a page",
            "said": "",
            "result": "pass",
        }
    ],
}
ODD_TEXTS = {  # captures with something to note
    "prompt.txt": "SW-8#\nSW-8#\n",
    "none.txt": "nothing that anybody reads\n",
    "router.txt": "hostname RTR-9\ninterface GigabitEthernet0/0.10\n encapsulation dot1Q 10\n ip address dhcp\n",
    "rooms.txt": "SW-7#show running-config\nhostname SW-7\n!\nvtp mode transparent\n!\n"
    "vlan 100\n private-vlan primary\n"
    " private-vlan association 101\n!\nvlan 101\n private-vlan isolated\n!\ninterface Gi0/1\n"
    " switchport private-vlan host-association 100 101\n switchport mode private-vlan host\n!\ninterface Gi0/2\n"
    " switchport private-vlan mapping 100 101\n switchport mode private-vlan promiscuous\n switchport protected\n"
    "end\nSW-7#\n",
    "one.txt": "SW-9#show running-config\nhostname SW-9\n!\ninterface Gi0/1\n switchport vlan 7\nend\nSW-9#\n",
}


@cache
def schema(name: str) -> dict[str, Any]:
    """Return a schema as the package holds it."""
    return dict(json.loads((files("vlancheck") / f"schemas/{name}.schema.json").read_text(encoding="utf-8")))


@cache
def validator(name: str) -> Draft202012Validator:
    return Draft202012Validator(schema(name))


def schema_of(document: dict[str, Any]) -> str:
    """Return the name of the schema that a document says it follows."""
    program, name, version = document["schema"].split("/")
    assert (program, version) == ("vlancheck", "1")
    return str(name)


def faults(document: dict[str, Any]) -> list[str]:
    """Return what is wrong with a document, in the schema's eyes."""
    found = validator(schema_of(document)).iter_errors(document)
    return [f"{'/'.join(map(str, fault.absolute_path))}: {fault.message[:200]}" for fault in found]


def printed(*words: str | Path) -> str:
    """Run a command in this process and return what it prints; anything but an answer fails."""
    done = CliRunner().invoke(app, [*map(str, words), "--json"])
    assert done.exit_code in (0, 1, 3), done.output
    return done.stdout


@pytest.fixture(scope="module")
def closet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_closet(tmp_path_factory.mktemp("closet") / "site")


@pytest.fixture(scope="module")
def documents(closet: Path, tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, Any]]:
    """Return what every command prints about the closet, and what is made of texts in jot and of odd captures."""
    odd = tmp_path_factory.mktemp("odd")
    for name, text in ODD_TEXTS.items():
        (odd / name).write_text(text, encoding="utf-8")
    asked: list[tuple[str | Path, ...]] = [
        ("audit", closet),
        ("audit", closet, "--survey", "as-left"),
        ("audit", closet, "--without", "ACC-1"),
        ("audit", closet, "--without-each"),
        ("verify", closet),
        ("walk", closet, "SORT-1:Gi0/1", "310"),
        ("walk", closet, "SORT-1:Gi0/4", "untagged", "--survey", "as-left"),
        ("walk", closet, "PANEL-A:01", "s100.310"),
        ("carriage", closet),
        ("carriage", closet, "--survey", "as-left"),
        ("read", closet / "captures/as-left"),
        ("read", odd),
        ("at", closet, "PANEL-A:01-05"),
        ("at", closet, "FO-0001"),
        ("at", closet, "C-2", "--survey", "as-left"),
        ("at", closet, "ACC-1:Gi0/5", "--survey", "as-left"),
        ("at", closet, "02:00:5e:00:00:01"),
        ("mistakes", closet, "--survey", "as-found"),
        ("mend", closet),
        ("mend", _example(tmp_path_factory.mktemp("example"))),
        ("verify", closet, "--mends"),
        ("alike", closet),
        ("alike", closet, "--plan"),
        ("alike", longer := long_cords(tmp_path_factory.mktemp("long"))),
        ("alike", longer, "--plan"),
        ("patching", closet),
        ("patching", _sheet_with_everything(tmp_path_factory.mktemp("sheet"))),
        ("dialects",),
        ("collect",),
        ("collect", closet),
        ("collect", open_closet(tmp_path_factory.mktemp("open"))),
    ]
    made = [json.loads(printed(*words)) for words in asked]
    made += [report.to_dict() for _, report in reports()]
    made.append(open_site(closet).verify(only=["PANEL-A:01"]).to_dict())
    whole = [document for document in made if document["schema"] == outcome.SCHEMA]
    made += [json.loads(line) for document in whole for line in dumped(document)]
    made.append(TICKS)
    made.append(progress.Progress().after((one, False) for one in run(closets(), 1, 6)).document())
    for text in (EVERY_STATE, LOOP, ROUND, GROWS):
        network = in_jot(text)
        made += [walking.document(walk(network, port, ()), "as-found") for port in network.boundary]
        found = carriage(network)
        made.append(relation.document(found, found.senders, "as-found"))
    return made


def dumped(document: dict[str, Any]) -> dict[str, None]:
    """Return the records of a report as lines, each once."""
    return dict.fromkeys(json.dumps(record, ensure_ascii=False) for record in report_jsonl.lines(document))


def _example(folder: Path) -> Path:
    """Write the built-in site, at which cords are exchanged and something is left that no line mends."""
    write_site(folder)
    return folder


def _sheet_with_everything(folder: Path) -> Path:
    """Write a site whose patch sheet, a workbook, has doubts, contradictions and a tab that is not read."""
    book = Workbook()
    cords, names = book.worksheets[0], book.create_sheet("names")
    for row in (
        ("From", "To", "Label", "Kind", "Colour", "Length", "Serves", "Hold", "Note", "Room", "Jack", "VLAN"),
        ("PANEL-A:1", "ACC-1:1", "C-1", "cat6", "blue", "2 m", "fire alarm", "owner", "n", "2.1", "2.01", "10"),
        ("PANEL-A:2", "ACC-1:1", "C-2?"),
        ("PANEL-A:3", "spare", "", "", "", "", "", "no", "", "2.2", "2.03"),
        ("PANEL-A:4", "unknown"),
    ):
        cords.append(row)
    names.append(("ACC-1", "the access switch"))
    (folder / "patching").mkdir()
    book.save(folder / "patching/as-found.xlsx")
    (folder / "site.yaml").write_text("site: everything\n", encoding="utf-8")
    return folder


def in_jot(text: str) -> Network:
    notation = parse(text)
    links = [Link(one, other) for one, other in notation.links]
    return wire(notation.devices, links, handoffs=notation.handoffs)


def test_every_schema_is_one_and_every_name_has_its_schema() -> None:
    """The files are valid, closed, and named in the documents as in the program."""
    there = {path.name for path in (files("vlancheck") / "schemas").iterdir()}
    assert there == {f"{name}.schema.json" for name in NAMES}
    for name in NAMES:
        Draft202012Validator.check_schema(schema(name))
        for _, node in nodes(schema(name), ()):
            if isinstance(node, dict) and node.get("type") == "object":
                assert node["additionalProperties"] is False
                assert set(node["required"]) | {"before"} >= set(node["properties"])
    told = {module.SCHEMA for module in (outcome, walking, relation, reading, placing, families, collecting, patching)}
    told |= {alike_ports.SCHEMA, alike_ports.PLAN_SCHEMA, slips.SCHEMA, outages.SCHEMA, mends.SCHEMA}
    told |= {ticks.SCHEMA, report_jsonl.SCHEMA, progress.SCHEMA}
    assert told == {schema(name)["properties"]["schema"]["const"] for name in NAMES}


def test_what_the_commands_print_is_as_the_schemas_say(documents: list[dict[str, Any]]) -> None:
    assert [fault for document in documents for fault in faults(document)] == []
    assert {schema_of(document) for document in documents} == set(NAMES)


def test_records_have_what_the_report_has() -> None:
    """What a record shares with the document, its schema says in the same words, and nothing is left out."""
    parts, whole = schema("records")["$defs"], schema("report")["$defs"]
    for name in whole:
        assert parts.get(name, whole[name]) == whole[name]
        if f"{name}_record" in parts:
            shared = parts[f"{name}_record"]["properties"]
            assert {key: shared[key] for key in whole[name]["properties"]} == whole[name]["properties"]
    for document in [report.to_dict() for _, report in reports()][:6]:
        told = [json.loads(line) for line in dumped(document)]
        parts_of = {"ending": "endings", "leak": "leaks", "question": "questions", "translation": "carrier"}
        orders = [*document["services"], *document["vlans"]]
        for word, key in parts_of.items():
            several = [part for order in orders for part in order[key]]
            assert len([one for one in told if one["record"] == word]) == len(several), word
        for word, key in {"finding": "findings", "change": "changes", "open": "open", "jack": "jacks"}.items():
            bare = [
                {k: v for k, v in one.items() if k not in ("schema", "record")} for one in told if one["record"] == word
            ]
            assert bare == [one for n, one in enumerate(document[key]) if one not in document[key][:n]], word


def test_several_sites_are_a_line_each(closet: Path) -> None:
    lines = printed("audit", closet, closet).splitlines()
    assert len(lines) == 2
    assert [faults(json.loads(line)) for line in lines] == [[], []]


def test_the_built_in_site_is_as_the_schemas_say(tmp_path: Path) -> None:
    """All its surveys, and each against the first."""
    write_site(tmp_path)
    site = open_site(tmp_path)
    made = [site.audit(name).to_dict() for name in site.surveys]
    made += [site.verify(site.surveys[0], name).to_dict() for name in site.surveys[1:]]
    made += [relation.document(found := site.survey(name).carriage(), found.senders, name) for name in site.surveys]
    made += [reading.document(site.survey(name).reading) for name in site.surveys]
    assert made
    assert [fault for document in made for fault in faults(document)] == []


@pytest.mark.parametrize("unknowns", [False, True], ids=["certain", "unknowns"])
def test_random_wirings_are_as_the_schemas_say(unknowns: bool) -> None:
    """Walks and relations of odd boxes: other TPIDs, stacks, relay VIDs that no tag carries, loops, growing frames."""
    met: set[str] = set()
    for number in range(60):
        wiring, rng = drawn(5, number, unknowns=unknowns)
        network = Network(wiring.devices, wiring.links, handoffs=wiring.handoffs)
        for port in network.boundary[:3]:
            document = walking.document(walk(network, port, frame(rng)), "as-found")
            assert faults(document) == []
            met |= {step["what"] for step in document["steps"]}
        if number < 15:
            found = carriage(network)
            assert faults(relation.document(found, found.senders, "as-found")) == []
    assert met >= {*What} - {What.GROWING, What.DOUBT}


# ---- mutations ---------------------------------------------------------------------------------------------------


def test_every_property_is_met(documents: list[dict[str, Any]]) -> None:
    """No property is written down that no document has."""
    for name in NAMES:
        named = {key for place, node in nodes(schema(name), ()) if place[-1:] == ("properties",) for key in node}
        mine = [document for document in documents if schema_of(document) == name]
        met = {key for document in mine for _, node in nodes(document, ()) if isinstance(node, dict) for key in node}
        assert named == met


def test_a_changed_document_is_refused(documents: list[dict[str, Any]]) -> None:
    """An unknown key in each object, a missing key, and a value of another type, once for each sort of place."""
    seen: set[tuple[str, Place, str]] = set()
    taken = []
    for document in documents:
        name = schema_of(document)
        for place, node in nodes(document, ()):
            if (name, sort := sort_of(place)) in [(one, two) for one, two, _ in seen]:
                continue
            seen.add((name, sort, ""))
            for what, changed in changes(document, place, node):
                if validator(name).is_valid(changed):
                    taken.append(f"{name} {'/'.join(map(str, place))}: {what}")
    assert taken == []
    assert len(seen) > 200


def test_an_unknown_word_is_refused(documents: list[dict[str, Any]]) -> None:
    """Wherever a schema lists words, no other is taken, and the list is the one of the program."""
    refused: dict[str, set[Place]] = {name: set() for name in CLOSED}
    for document in documents:
        name = schema_of(document)
        for place, node in nodes(document, ()):
            sort = sort_of(place)
            if isinstance(node, str) and key_of(place) in CLOSED[name] and sort not in refused[name]:
                assert not validator(name).is_valid(put(document, place, "zzz")), f"{name}: {place}"
                refused[name].add(sort)
    met = {name: {key_of(sort) for sort in sorts} for name, sorts in refused.items()}
    assert met == {name: set(keys) for name, keys in CLOSED.items()}


# Keys whose words are listed, and the words.
_REPORT: dict[str, set[str]] = {
    "verdict": {outcome.CLEAN, outcome.FAULTY, outcome.UNPROVEN},
    "state": {*State, *Proof},
    "kind": {*ChangeKind, *MoveKind},
    "instead": {*MoveKind},
    "sure": {*Sureness},
    "harm": {"harmful", "harmless", "unknown"},
    "severity": {*Severity},
    "origin": {*OriginKind},
    "certainty": {*Certainty},
    "direction": {"out", "in", "both"},
    "in": {"proved", "mismatched", "refuted", "unknown"},
    "back": {"proved", "mismatched", "refuted", "unknown"},
    "sort": {*Sort},
}
CLOSED: dict[str, dict[str, set[str]]] = {
    "report": _REPORT,
    "records": {
        **_REPORT,
        "of": {"service", "vlan"},
        "record": {
            "report",
            "service",
            "vlan",
            "ending",
            "leak",
            "translation",
            "question",
            "change",
            "finding",
            "mend",
        }
        | {"not yet", "open", "jack", "cause of moves", "unread", "not seen", "note", "file"},
    },
    "ticks": {"result": {*ticks.Result}},
    "walk": {"what": {*What}, "origin": {*OriginKind}},
    "carriage": {},
    "read": {
        "kind": {*DeviceKind, *PortKind, *NoteKind, "", *PrivateKind},
        "role": {*PrivateRole},
        "state": {one.value for one in CoverState},
        "origin": {*OriginKind},
    },
    "at": {"kind": {*SpotKind}, "plugged": {*Occupancy}},
    "dialects": {},
    "drill": {"topic": {*Topic}},
    "collect": {},
    "alike": {"cord": {*Cord}},
    "mend": {"sureness": {*Followed}},
    "mistakes": {"harm": {*HARMS.values()}, "next_door": {*HARMS.values()}},
    "repatching": {},
    "outages": {},
    "patching": {"sense": {*Sense}, "kind": {*CordKind}, "endpoints": {*EndpointKind}, "clash": {*Clash}},
}


def test_the_listed_words_are_those_of_the_program() -> None:
    for name, keys in CLOSED.items():
        for key, words in keys.items():
            listed = {word for found in properties(name, key) for word in enums(name, found)}
            assert listed - {None} == words, f"{name}: {key}"
    assert set(schema("walk")["$defs"]["rule"]["properties"]["name"]["enum"]) == {rule.word for rule in Rule}


@pytest.mark.parametrize(
    ("place", "new"),
    [
        (("services", 0, "endings", 0, "frame"), "vlan 310"),
        (("services", 0, "endings", 0, "path", 0, "frame"), ""),
        (("findings", 0, "code"), "l101"),
        (("findings", 0, "fingerprint"), "12345"),
        (("findings", 0, "vids"), "310;320"),
        (("findings", 0, "where", 0, "line"), 0),
        (("findings", 0, "where", 0, "file"), ""),
        (("findings", 0, "where", 0, "line"), -1),
        (("reading", "lines"), 1.5),
        (("before",), ""),
    ],
)
def test_a_value_that_cannot_be_is_refused(closet: Path, place: Place, new: Any) -> None:
    document = open_site(closet).verify().to_dict()
    assert faults(document) == []
    assert faults(put(document, place, new)) != []


def test_what_cannot_go_together_is_refused(closet: Path) -> None:
    """Changes without an earlier survey; an ending that is carried, of which a direction is not proved."""
    document = open_site(closet).verify().to_dict()
    assert document["changes"]
    del document["before"]
    assert faults(document) != []

    audit = open_site(closet).audit().to_dict()
    place: Place = ("services", 0, "endings", 0)
    ending = audit["services"][0]["endings"][0]
    assert ending["state"] == "carried"
    assert faults(put(audit, (*place, "in"), "refuted")) != []
    assert faults(put(audit, (*place, "state"), "leaked")) != []
    assert faults(put(audit, (*place, "state"), "dropped")) != [], "a reason is missing"


def nodes(node: Any, place: Place) -> Iterator[tuple[Place, Any]]:
    """Yield every node at and below `node`, with the way to it."""
    yield place, node
    pairs = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, below in pairs:
        yield from nodes(below, (*place, key))


def key_of(place: Place) -> str:
    """Return the innermost key of a place that is no number."""
    return str(next((one for one in reversed(place) if one != "*" and isinstance(one, str)), ""))


def sort_of(place: Place) -> Place:
    """Return the place with every number as one: places that a schema cannot tell apart."""
    return tuple("*" if isinstance(key, int) else key for key in place)


def changes(document: Any, place: Place, node: Any) -> Iterator[tuple[str, Any]]:
    """Yield documents with something wrong at one place."""
    if isinstance(node, dict):
        yield "another key", put(document, (*place, "zzz"), "zzz")
        for key in node:
            if key != "before":
                yield f"no {key}", without(document, (*place, key))
    if place:
        yield "another type", put(document, place, {"zzz": "zzz"} if not isinstance(node, dict) else ["zzz"])
        if not isinstance(node, list):
            yield "a list", put(document, place, [node])


def put(root: Any, place: Place, new: Any) -> Any:
    """Return a copy of `root` with `new` at `place`."""
    made = deepcopy(root)
    at(made, place[:-1])[place[-1]] = new
    return made


def without(root: Any, place: Place) -> Any:
    """Return a copy of `root` without what is at `place`."""
    made = deepcopy(root)
    del at(made, place[:-1])[place[-1]]
    return made


def at(root: Any, place: Place) -> Any:
    for key in place:
        root = root[key]
    return root


def properties(name: str, key: str) -> Iterator[dict[str, Any]]:
    """Yield what a schema says of every property `key`, wherever it stands."""
    for place, node in nodes(schema(name), ()):
        if place[-2:] == ("properties", key) and "if" not in place and "then" not in place:
            yield node


def enums(name: str, node: dict[str, Any]) -> Iterator[str]:
    """Yield the words listed in a part of a schema, references followed."""
    if "$ref" in node:
        node = schema(name)["$defs"][node["$ref"].rpartition("/")[2]]
    yield from node.get("enum", ())
    if "items" in node:
        yield from enums(name, node["items"])
