"""A report in, SARIF 2.1.0 out: findings, and what was declared and is lost, leaked or unproven, with the way there.

Section numbers are those of OASIS SARIF 2.1.0 plus Errata 01.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Iterator, Sequence
from pathlib import PurePosixPath
from typing import Any
from urllib.parse import quote

from vlancheck.checks import checks
from vlancheck.evidence import Origin, Origins
from vlancheck.findings.finding import Finding
from vlancheck.outcome import Report
from vlancheck.places import split_place
from vlancheck.report import wording
from vlancheck.report.markup import clean
from vlancheck.verdicts.reasons import Hop, Reason
from vlancheck.verdicts.verdict import Certainty, EndingVerdict, Leak, State, Verdict

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
BASE = "SITE"  # the folder that files are named from (3.14.14)
_MOST = 4  # lines behind one hop or one loss
# What is said of something declared, beside the checks; the rules of the same name.
_DECLARED = {
    State.DROPPED: ("Something declared is lost", "In one direction at least it does not arrive."),
    State.MISMATCHED: ("Something declared arrives otherwise", "It arrives in another stack of tags than declared."),
    State.LEAKED: ("Something declared leaks", "It comes out, or can be put in, where it should not."),
    State.UNPROVEN: ("Something declared is unproven", "Nothing that was read decides it: neither a fault nor a pass."),
}
_Json = dict[str, Any]


def sarif_report(report: Report, folder: str = "") -> str:
    """Return the document; files in `folder`, the site as it was named, are told from there."""
    results = [*_findings(report, folder), *_declared(report, folder)]
    rules = list(dict.fromkeys(one["ruleId"] for one in results))
    for one in results:
        one["ruleIndex"] = rules.index(one["ruleId"])
    told = {"site": report.site, "survey": report.survey, "verdict": report.verdict}
    run = {
        "tool": {"driver": {"name": "vlancheck", "rules": [_rule(code) for code in rules]}},
        "originalUriBaseIds": {BASE: {"description": _message("The folder of the site, in which site.yaml is.")}},
        "columnKind": "unicodeCodePoints",
        "automationDetails": {"description": _message(wording.sentence(report))},
        "properties": {**told, **({"before": report.before} if report.before else {})},
        "results": results,
    }
    return json.dumps({"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}, indent=2, ensure_ascii=False) + "\n"


def _rule(code: str) -> _Json:
    """Return a check with its manual page, or what a state of something declared means (3.49)."""
    for check in checks():
        if check.code == code:
            first = " ".join(check.manual.strip().partition("\n\n")[0].split())
            return {
                "id": code,
                "shortDescription": _message(check.name),
                "fullDescription": _message(first),
                "help": _message(check.manual.strip()),
            }
    name, says = next(words for state, words in _DECLARED.items() if state.value == code)
    return {"id": code, "shortDescription": _message(name), "fullDescription": _message(says), "help": _message(says)}


# ---- findings ----------------------------------------------------------------------------------------------------


def _findings(report: Report, folder: str) -> Iterator[_Json]:
    for finding in report.findings:
        where = sorted(finding.where, key=lambda one: not one.primary)
        several = [(one.place, one.origin, one.label) for one in where]
        made = _result(finding.code, finding.severity.value, _words(finding), finding.fingerprint)
        yield made | _places(several, folder) | _suppressions(finding) | {"properties": {"assumed": finding.assumed}}


def _suppressions(finding: Finding) -> _Json:
    """Return that somebody answers for a finding, or does no longer (3.27.23, 3.35); nothing where nobody ever did."""
    if finding.accepted is None:
        return {}
    status = "rejected" if finding.counts else "accepted"
    return {"suppressions": [{"kind": "external", "status": status, "justification": wording.acceptance(finding)}]}


def _words(finding: Finding) -> str:
    settled = f"Settled by: {finding.settled_by}" if finding.settled_by else ""
    return "\n".join(part for part in (finding.headline, finding.why, *finding.effects, settled) if part)


# ---- what was declared -------------------------------------------------------------------------------------------


def _declared(report: Report, folder: str) -> Iterator[_Json]:
    for verdict in report.verdicts:
        for ending in verdict.endings:
            if ending.state in _DECLARED:
                yield _ending(verdict, ending, folder)
        for leak in verdict.leaks:
            yield _leak(verdict, leak, folder)
        for question in verdict.questions:
            words = f"{wording.title(verdict)}: {question.words}"
            yield _open_or_failed(State.UNPROVEN, words, question, verdict, question.words, folder)


def _ending(verdict: Verdict, ending: EndingVerdict, folder: str) -> _Json:
    reason = ending.reason
    why = f": {reason.words}" if reason else ""
    words = f"{wording.title(verdict)} at {ending.stop.name}, {ending.frame}: {ending.state.value}{why}"
    made = _open_or_failed(ending.state, words, reason, verdict, ending.stop.name, folder)
    flow = [*_hops(ending.path, folder), *_end(reason, folder)]
    if ending.path:
        for number, one in enumerate(flow, 1):
            one["executionOrder"] = number
        made["codeFlows"] = [{"message": _message(words), "threadFlows": [{"locations": flow}]}]
    return made


def _leak(verdict: Verdict, leak: Leak, folder: str) -> _Json:
    state = State.LEAKED if leak.certainty is Certainty.PROVED else State.UNPROVEN
    what = f", {leak.what}" if leak.what else ""
    sure = "" if state is State.LEAKED else "perhaps "
    words = f"{wording.title(verdict)}: {sure}{leak.frame} {leak.crosses} at {leak.at}{what}"
    reason = leak.reason or Reason("", leak.at)
    return _open_or_failed(state, words, reason, verdict, leak.at, folder)


def _open_or_failed(state: State, words: str, reason: Reason | None, verdict: Verdict, at: str, folder: str) -> _Json:
    """Return a result that fails, or one that is open, which has no level (3.27.9, 3.27.10)."""
    if reason is not None and reason.settled_by:
        words = f"{words}\nSettled by: {reason.settled_by}"
    stable = hashlib.sha256("\n".join((state.value, verdict.order.name, at)).encode(errors="replace")).hexdigest()[:16]
    made = _result(state.value, "error", words, stable)
    if state is State.UNPROVEN:
        made |= {"kind": "open", "level": "none"}
    place = reason.place if reason else ""
    several = [(place, origin, "") for origin in _first(reason.evidence if reason else ())]
    several += [(at, origin, "declared here") for origin in verdict.order.origins]
    return made | _places(several, folder)


def _hops(path: Sequence[Hop], folder: str) -> Iterator[_Json]:
    """Yield the ports that a copy passes, each with its lines below it (3.38)."""
    for hop in path:
        maybe = "" if hop.certain else " (unproven)"
        inside = "" if hop.vid is None else f", VLAN {hop.vid} inside"
        yield from _stop(hop.port, f"{hop.frame} {hop.way} at {hop.port}{inside}{maybe}", hop.evidence, folder)


def _end(reason: Reason | None, folder: str) -> Iterator[_Json]:
    if reason is not None:
        for one in _stop(reason.place, reason.words, reason.evidence, folder):
            yield {**one, "importance": "essential"}


def _stop(place: str, words: str, evidence: Origins, folder: str) -> Iterator[_Json]:
    shown = _first(evidence)
    for level, origin in enumerate(shown or (None,)):
        location = _location(place, origin, words if not level else "", folder)
        yield {"location": location, "nestingLevel": min(level, 1)}


def _first(evidence: Origins) -> tuple[Origin, ...]:
    """Return the lines that matter to a reader, captured ones before silence."""
    return tuple(sorted(dict.fromkeys(evidence), key=lambda one: not one.file)[:_MOST])


# ---- parts -------------------------------------------------------------------------------------------------------


def _result(rule: str, level: str, words: str, fingerprint: str) -> _Json:
    return {
        "ruleId": rule,
        "level": level,
        "message": _message(words),
        "partialFingerprints": {"place/v1": fingerprint},
    }


def _places(several: Iterable[tuple[str, Origin, str]], folder: str) -> _Json:
    """Return the location to look at first, and the others as related ones (3.27.12, 3.27.22)."""
    found = [(place, origin, label) for place, origin, label in dict.fromkeys(several)]
    made: _Json = {"locations": [_location(*one, folder) for one in found[:1]]}
    if len(found) > 1:
        rest = enumerate(found[1:], 1)
        made["relatedLocations"] = [{"id": number, **_location(*one, folder)} for number, one in rest]
    return made


def _location(place: str, origin: Origin | None, words: str, folder: str) -> _Json:
    """Return a line of a file, or where there is none the place alone (3.28)."""
    made: _Json = {}
    told = [words] if words else []
    if origin is not None and origin.file:
        physical: _Json = {"artifactLocation": _file(origin.file, folder)}
        if origin.sheet or not origin.line:
            told.append(f"{origin.place}: {origin.text.strip()}")  # a workbook has no lines
        else:
            end = {"endLine": origin.end_line} if origin.end_line > origin.line else {}
            physical["region"] = {"startLine": origin.line, **end, "snippet": {"text": clean(origin.text)}}
        made["physicalLocation"] = physical
    elif origin is not None:
        told.append(f"{origin.kind.value}: {origin.text}")
    if place:
        port = split_place(place)[1]
        made["logicalLocations"] = [{"name": clean(port or place), "fullyQualifiedName": clean(place)}]
    if told:
        made["message"] = _message("; ".join(told))
    return made


def _file(name: str, folder: str) -> _Json:
    """Return where a file is: in the folder of the site, or as it was given (3.4)."""
    inside = name.removeprefix(f"{folder.rstrip('/')}/") if folder else name
    if PurePosixPath(inside).is_absolute():
        return {"uri": f"file://{quote(inside.encode(errors='replace'))}"}
    return {"uri": quote(inside.encode(errors="replace")), "uriBaseId": BASE}


def _message(text: str) -> _Json:
    """Return a text that stays one: braces are no arguments and brackets no link (3.11.5, 3.11.6)."""
    plain = clean(text.replace("\t", " ").replace("\r\n", "\n")).replace("{", "{{").replace("}", "}}")
    return {"text": re.sub(r"\](?=\()", r"\\]", plain)}
