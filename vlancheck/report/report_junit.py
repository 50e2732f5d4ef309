"""A report in, JUnit XML out: a suite for each service and VLAN with a case for each ending, and one for the findings.

What fails is what is not as declared, and errors that nobody answers for; what nobody can tell is skipped, with what
would settle it.
"""

from __future__ import annotations

from typing import assert_never
from xml.etree.ElementTree import Element, indent, tostring

from vlancheck.findings.finding import Finding, Severity
from vlancheck.outcome import Report
from vlancheck.report import auditing, origins, wording
from vlancheck.report.markup import one_line
from vlancheck.verdicts.verdict import Certainty, EndingVerdict, Leak, State, Verdict


def junit_report(report: Report, folder: str = "") -> str:
    """Return the document; files of the findings are named from `folder`.  Nothing in it is a time."""
    against = f" against {report.before}" if report.before else ""
    suites = [_order(verdict) for verdict in report.verdicts]
    suites += [_findings(report, folder)]
    suites += [one for one in (_waiting(report), _compared(report)) if one is not None]
    root = _element("testsuites", name=f"{report.site}, {report.survey}{against}", **_counts(suites))
    del root.attrib["skipped"]  # the form has it at each suite, and not at the whole
    root.extend(suites)
    indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + tostring(root, encoding="unicode") + "\n"


def _order(verdict: Verdict) -> Element:
    title = wording.title(verdict)
    cases = [_ending(title, ending) for ending in verdict.endings]
    cases += [_leak(title, leak) for leak in verdict.leaks]
    for one in verdict.questions:
        cases.append(_skipped(_case(title, one.words), "nobody here can tell", one.settled_by))
    return _suite(title, cases)


def _ending(title: str, ending: EndingVerdict) -> Element:
    case = _case(title, f"{ending.stop.name} {ending.frame}")
    reason = ending.reason.words if ending.reason else ending.state.value
    match ending.state:
        case State.CARRIED:
            return case
        case State.UNPROVEN | State.NOT_YET:
            return _skipped(case, f"{ending.state.value}: {reason}", ending.reason.settled_by if ending.reason else "")
        case State.DROPPED | State.MISMATCHED | State.LEAKED:
            told = [f"at {ending.at or 'no port'}: {wording.ways(ending)}"]
            told += origins.lines(ending.reason.evidence) if ending.reason else []
            return _failed(case, ending.state.value, reason, told)
        case _:
            assert_never(ending.state)


def _leak(title: str, leak: Leak) -> Element:
    what = f", {leak.what}" if leak.what else ""
    ways = {"out": "does not come out", "in": "cannot be put in", "both": "stays out of"}[leak.direction]
    case = _case(title, f"{leak.frame} {ways} at {leak.at}{what}")
    if leak.certainty is Certainty.PROVED:
        return _failed(case, State.LEAKED.value, f"{leak.frame} crosses at {leak.at}{what}", [])
    reason = leak.reason
    return _skipped(case, reason.words if reason else leak.certainty.value, reason.settled_by if reason else "")


def _findings(report: Report, folder: str) -> Element:
    cases = [_finding(one, folder) for one in report.findings]
    if not report.verdicts:
        cases.append(_skipped(_case("declared", "something is declared"), "nothing is declared", "site.yaml"))
    return _suite("findings", cases or [_case("findings", "no check found anything")])


def _finding(finding: Finding, folder: str) -> Element:
    case = _case(f"{finding.code} {finding.name}", finding.headline)
    told = [wording.acceptance(finding), finding.why, *finding.effects]
    told += [f"{origins.told(one.origin, header=True)} <- {one.place}" for one in finding.where]
    if finding.severity is Severity.ERROR and finding.counts:
        return _failed(case, finding.code, auditing.one_line(finding, folder), told)
    case.append(_words("system-out", [auditing.one_line(finding, folder), *told]))
    return case


def _waiting(report: Report) -> Element | None:
    cases = [_skipped(_case("not yet", f"{one.name} {one.place}".strip()), one.why, "") for one in report.not_yet]
    return _suite("not yet done", cases) if cases else None


def _compared(report: Report) -> Element | None:
    open_ = report.comparison.open if report.comparison else ()
    name = f"compared with {report.before}"
    cases = [_skipped(_case(name, anchor.name), f"cannot be compared: {why}", "") for anchor, why in open_]
    return _suite(name, cases) if cases else None


def _suite(name: str, cases: list[Element]) -> Element:
    made = _element("testsuite", name=name, **_counts(cases))
    made.extend(cases)
    return made


def _counts(parts: list[Element]) -> dict[str, str]:
    """Return how many cases there are below some elements, and of which sort."""
    cases = [case for part in parts for case in part.iter("testcase")]
    found = {"tests": len(cases), "failures": sum(case.find("failure") is not None for case in cases)}
    found |= {"errors": 0, "skipped": sum(case.find("skipped") is not None for case in cases)}
    return {**{name: str(number) for name, number in found.items()}, "time": "0"}


def _case(suite: str, name: str) -> Element:
    return _element("testcase", classname=suite, name=name, time="0")


def _skipped(case: Element, why: str, settled_by: str) -> Element:
    settled = f"; settled by: {settled_by}" if settled_by else ""
    case.append(_element("skipped", message=f"{why}{settled}"))
    return case


def _failed(case: Element, kind: str, message: str, told: list[str]) -> Element:
    failure = _words("failure", told)
    failure.attrib |= _element("failure", message=message, type=kind).attrib
    case.append(failure)
    return case


def _words(tag: str, lines: list[str]) -> Element:
    made = Element(tag)
    made.text = "\n".join(one_line(line) for line in lines if line)
    return made


def _element(tag: str, **attributes: str) -> Element:
    return Element(tag, {name: one_line(value) for name, value in attributes.items()})
