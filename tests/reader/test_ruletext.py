"""A template taken apart without compiling it is what TextFSM makes of it; what else it holds is left to TextFSM."""

from __future__ import annotations

import re

import pytest

from vlancheck.errors import DialectError
from vlancheck.reader import ruletext
from vlancheck.reader.loading import FOLDER
from vlancheck.reader.template import load_template

GUARD = re.compile("vlan")
PLAIN = """# how lines are written
Value PORT (\\S+)
# in the middle
Value VID (\\d+|[(]none\\))

Start
  ^interface ${PORT} vid ${VID}$$ -> Record
# a remark
 ^costs 5\\$$$$
\t^description

# the end
"""


@pytest.mark.parametrize("folder", sorted({file.parent.name for file in FOLDER.glob("*/*.textfsm")}))
def test_every_template_is_what_textfsm_makes_of_it(folder: str) -> None:
    """VALUEs, rules, lines and actions are the same; only a template that takes nothing goes the longer way."""
    for file in sorted((FOLDER / folder).glob("*.textfsm")):
        text = file.read_text(encoding="utf-8")
        checked = ruletext._checked(text, str(file))
        assert ruletext._closed(text) == (checked if checked[0] else None)


def test_remarks_blanks_and_signs_of_money() -> None:
    """What the file of a template may hold beside its rules changes neither them nor their lines."""
    values, rules = ruletext.rules_of(PLAIN, "plain")
    assert (values, rules) == ruletext._checked(PLAIN, "plain")
    assert values == {"PORT", "VID"}
    assert [(rule.line, rule.reads, rule.takes) for rule in rules] == [
        (7, True, ("PORT", "VID")),
        (9, False, ()),
        (10, False, ()),
    ]
    assert re.match(rules[1].regex, "costs 5$")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (PLAIN.replace("Value PORT", "Value Filldown PORT"), "has an option"),
        (PLAIN.replace("-> Record", "-> Continue"), "only `-> Record`"),
        (PLAIN.replace("-> Record", "-> Record Other") + "\nOther\n  ^x\n", "has the state 'Other'"),
        (PLAIN.replace("Start\n", "Begin\n"), "not a TextFSM template"),
        (PLAIN.replace("# the end", "vlan"), "has the state 'vlan'"),
        (PLAIN.replace("${VID}", "${NONE}"), "not a TextFSM template"),
        (PLAIN.replace("${VID}", "$VID $"), "not a TextFSM template"),
        (PLAIN.replace("${VID}", "${PORT}"), "not a TextFSM template"),
        (PLAIN.replace("Value VID", "Value PORT"), "not a TextFSM template"),
        (PLAIN.replace("  ^interface", "interface"), "not a TextFSM template"),
        ("Start\n  ^x\n", "not a TextFSM template"),
        ("", "not a TextFSM template"),
    ],
)
def test_what_is_not_of_the_closed_form_is_refused(text: str, says: str) -> None:
    """It is TextFSM that says what is wrong with it."""
    assert ruletext._closed(text) is None
    with pytest.raises(DialectError, match=re.escape(says)):
        load_template(text, "odd", GUARD)


def test_an_expression_that_is_none_is_refused_with_its_line() -> None:
    """It is compiled when a line is first tried, or when all of a dialect is loaded."""
    template = load_template(PLAIN.replace("^description", "^description ("), "odd", GUARD)
    with pytest.raises(DialectError, match="no regular expression") as caught:
        template.match("description x")
    assert (caught.value.file, caught.value.line) == ("odd", 10)
    with pytest.raises(DialectError, match="no regular expression"):
        template.compile()
