"""Text that is not right: one message each, with the line, what is wrong and what to do."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vlancheck.dot1q.model import Bridge, BridgePort, Device, Port
from vlancheck.errors import NotationError
from vlancheck.evidence import Cover, Fact
from vlancheck.notation import Notation, parse, write
from vlancheck.vids import EVERY

PORTS = "port sw1:1 pvid=10 member=10\nport sw1:2 pvid=10 member=10\n"  # lines 1 and 2

BAD = {
    # words
    "unknown word": ("prot sw1:1 pvid=10", 1, "no line begins with 'prot'", "nearest: port"),
    "unknown word, nothing near": ("xyzzy", 1, "no line begins with 'xyzzy'", "known: port, link"),
    "unknown field": ("port sw1:1 menber=10", 1, "there is no field 'menber' on a 'port' line", "nearest: member"),
    "vendor word": ("port sw1:1 access=10", 1, "there is no field 'access'", "known: "),
    "field of another line": ("link sw1:1 sw1:2\nend h:1 pvid=10", 2, "there is no field 'pvid' on a 'end' line", ""),
    "missing equals sign": ("port sw1:1 pvid 10", 1, "'pvid' has no equals sign", "write pvid=VALUE"),
    "missing equals sign, unknown": ("port sw1:1 pvdi 10", 1, "'pvdi' has no equals sign", "nearest: pvid"),
    "missing value": ("port sw1:1 pvid=", 1, "'pvid' has no value", "write pvid=VALUE"),
    "field twice": ("port sw1:1 pvid=10 pvid=20", 1, "'pvid' is given twice", "keep one"),
    "quote left open": ('port "sw1:1 pvid=10', 1, 'a quote is not closed: "sw1:1 pvid=10', "both ends"),
    "bad backslash": (r'port "sw\q:1"', 1, "has a backslash that means nothing", "inside quotes"),
    "no place": ("port", 1, "'port' of what?", "DEVICE:PORT"),
    "device alone": ("port sw1 pvid=10", 1, "'sw1' is no port", "write DEVICE:PORT"),
    "port without a name": ("port sw1: pvid=10", 1, "'sw1:' is no port", "write DEVICE:PORT"),
    "blank at the end": ('port "sw1:1 " pvid=10', 1, "'sw1:1 ' is no port", "blank"),
    "device with a port": ("device sw1:1", 1, "'sw1:1' is no name of a device", "device NAME"),
    # rows of a sheet
    "row of nothing": ("row kind=cat6", 1, "a row names one socket, or the two of a cord", "row NAME NAME"),
    "row of three": ("row A:1 B:1 C:1", 1, "a row names one socket, or the two of a cord", "row NAME NAME"),
    "row with another field": ("row A:1 B:1 kinds=cat6", 1, "there is no field 'kinds'", "nearest: kind"),
    "box without a name": ("uncaptured sw1:1", 1, "which box was not captured?", "uncaptured DEVICE"),
    # properties
    "unknown property": (
        "port sw1:1\nset sw1:1 stickymac=yes",
        2,
        "there is no field 'stickymac'",
        "nearest: sticky-mac",
    ),
    "nothing set": ("port sw1:1\nset sw1:1", 2, "the line sets nothing", "PROPERTY=VALUE"),
    "set twice": ("port sw1:1\nset sw1:1 edge=yes\nset sw1:1 edge=no", 3, "is there already, on line 2", "keep one"),
    "no port to set": ("device sw1\nset sw1:1 edge=yes", 2, "sw1 has no port '1'", "`port` line"),
    # VIDs
    "VID 0": ("port sw1:1 pvid=0", 1, "pvid: '0' is not a VID; a tag carries 1 to 4094", "pvid=0"),
    "VID 4095": ("port sw1:1 pvid=4095", 1, "pvid: '4095' is not a VID", "pvid=4095"),
    "VID 4096": ("port sw1:1 member=10,4096", 1, "only a relay uses is written r4096", "member=10,4096"),
    "VID -1": ("port sw1:1 member=-1", 1, "member: '-1' is not a VID", ""),
    "VID -1 alone": ("port sw1:1 pvid=-1", 1, "pvid: '-1' is not a VID", ""),
    "range backwards": ("port sw1:1 member=10-5", 1, "member: '10-5' runs backwards; write 5-10", ""),
    "range without an end": ("port sw1:1 member=1-", 1, "member: '1-' has no end; write 1-4094, or all", ""),
    "two dashes": ("port sw1:1 member=1-2-3", 1, "'2-3' is not a VID", ""),
    "empty item": ("port sw1:1 member=1,,2", 1, "member: '' is not a VID", ""),
    "a word for a VID": ("port sw1:1 member=ten", 1, "member: 'ten' is not a VID", ""),
    "VID in full-width digits": ("port sw1:1 pvid=１０", 1, "is not a VID", ""),
    "relay VID without end": ("port sw1:1 pvid=r999999999999", 1, "larger than any relay VID", ""),
    "4095 in a match": (PORTS + "entry sw1:1 match=4095 drop=yes", 3, "match: '4095' is not a VID", ""),
    "r4095 in a match": (PORTS + "entry sw1:1 match=r4095 drop=yes", 3, "'r4095' is in no tag; write untagged", ""),
    "TPID": ("port sw1:1 pvid=1 tpids=8100+88", 1, "tpids: '88' is not a TPID", ""),
    "TPID twice": (PORTS + "entry sw1:1 match=s10@8100", 3, "states its TPID twice", ""),
    "pushed TPID twice": (PORTS + "entry sw1:1 push=s10@8100", 3, "states its TPID twice", ""),
    "pushed tag": (PORTS + "entry sw1:1 push=x", 3, "push: 'x' is no tag", ""),
    # values of other fields
    "neither yes nor no": ("port sw1:1 up=maybe", 1, "up: 'maybe' is neither yes nor no", ""),
    "kind of port": ("port sw1:1 kind=insid", 1, "kind: there is no 'insid'", "nearest: inside"),
    "kind of device": ("device sw1 kind=switch", 1, "kind: there is no 'switch'", "known: bridge, router"),
    "spanning tree": ("bridge sw1 tree=rapid", 1, "tree: there is no spanning tree 'rapid'; known: per-vlan", ""),
    "private role": ("port sw1:1 private=leader", 1, "private: 'leader' is not ROLE, ROLE/PRIMARY", "private=leader"),
    "private role, a third VLAN": ("port sw1:1 private=isolated/1/2/3", 1, "'isolated/1/2/3' is not ROLE", ""),
    "mapped without a role": ("port sw1:1 mapped=101", 1, "'mapped' says what a private port hears", "private="),
    "mapped, unknown": ("port sw1:1 private=promiscuous mapped=?5", 1, "mapped: '?5' holds VIDs of which", ""),
    "private VLAN without a kind": ("private-vlan sw1 100", 1, "nothing says what this VLAN is", "primary, isolated"),
    "private VLAN of no kind": ("private-vlan sw1 100 secret", 1, "nothing says what this VLAN is", "DEVICE VID KIND"),
    "private VLAN, no VID": ("private-vlan sw1 ten primary", 1, "'ten' is not a VID", "DEVICE VID KIND"),
    "private VLAN twice": (
        "private-vlan sw1 10 primary\nprivate-vlan sw1 10 isolated",
        2,
        "is there already, on line 1",
        "keep one",
    ),
    "count": (PORTS + "entry sw1:1 pop=-1", 3, "pop: '-1' is not a count", ""),
    "select and takes": ("end h:1 select=10 takes=10", 1, "two ways to say one thing", "keep one"),
    "empty row": (PORTS + "entry sw1:1 sure=no", 3, "the row says nothing", "match=310 pop=1 push=20"),
    "empty setting": (PORTS + "setting sw1", 3, "the setting says nothing", "KEY=VALUE"),
    # what others make
    "duplicate port": (PORTS + "port sw1:1 pvid=20", 3, "port sw1:1 is there already, on line 1", "keep one"),
    "duplicate bridge port": (PORTS + "bridge-port sw1:1", 3, "bridge port sw1:1 is there already, on line 1", ""),
    "duplicate device": ("device a\ndevice a kind=host", 2, "device a is there already, on line 1", ""),
    "duplicate bridge": ("bridge a\nbridge a exists=10", 2, "bridge a is there already, on line 1", ""),
    "duplicate end": ("end a:1\nend a:1 takes=10", 2, "end a:1 is there already, on line 1", ""),
    "duplicate setting": (PORTS + "setting sw1 a=1\nsetting sw1 a=2", 4, "setting 'a' of sw1 is there already", ""),
    "duplicate handoff": (PORTS + "handoff sw1:1\nhandoff sw1:1", 4, "sw1:1 is a handoff already, on line 3", ""),
    "bridge port on no port": (PORTS + "bridge-port sw1:1.5 on=11 pvid=5", 3, "sw1 has no port '11'", "`port` line"),
    "end on no port": (PORTS + "end sw1:v5 on=3", 3, "sw1 has no port '3'", "known: 1, 2"),
    "row of no bridge port": (PORTS + "entry sw1:3 drop=yes", 3, "sw1 has no bridge port '3'", "known: 1, 2"),
    "row of no device": (PORTS + "exit sw11:1 drop=yes", 3, "there is no device 'sw11'", "nearest: sw1"),
    "setting of no device": (PORTS + "setting sw3 a=b", 3, "there is no device 'sw3'", "nearest: sw1"),
    # links and handoffs
    "link with one end": (PORTS + "link sw1:1", 3, "a link has two ends, not 1", "link DEVICE:PORT DEVICE:PORT"),
    "link with no end": (PORTS + "link", 3, "a link has two ends, not 0", ""),
    "link with three ends": (PORTS + "link sw1:1 sw1:2 sw1:1", 3, "a link has two ends, not 3", ""),
    "link used twice": (PORTS + "link sw1:1 sw1:2\nlink sw1:2 sw1:1", 4, "has a link already, on line 3", "one cord"),
    "port in two links": (
        PORTS + "port sw1:3\nlink sw1:1 sw1:2\nlink sw1:3 sw1:2",
        5,
        "sw1:2 has a link already, on line 4",
        "a port takes one cord",
    ),
    "link to no port": (PORTS + "link sw1:1 sw1:22", 3, "sw1 has no port '22'", "nearest: 2"),
    "link to no device": (PORTS + "link sw1:1 sw2:1", 3, "there is no device 'sw2'", "nearest: sw1"),
    "link to a device": (PORTS + "link sw1:1 sw1", 3, "'sw1' is no port", "write DEVICE:PORT"),
    "handoff of nothing": (PORTS + "handoff", 3, "the handoff names no port", ""),
    "handoff at no port": (PORTS + "handoff sw1:9", 3, "sw1 has no port '9'", "known: 1, 2"),
    # negotiation
    "negotiation of no port": (PORTS + "negotiate sw1:9 protocol=p mode=m alone=a", 3, "sw1 has no port '9'", ""),
    "negotiation without mode": (PORTS + "negotiate sw1:1 protocol=p alone=a", 3, "'mode' is not said", ""),
    "no such variant": (
        PORTS + "negotiate sw1:1 protocol=p mode=m alone=trnk\nvariant sw1:1 trunk member=10",
        3,
        "there is no variant 'trnk'",
        "nearest: trunk",
    ),
    "outcome without colon": (PORTS + "negotiate sw1:1 protocol=p mode=m alone=a outcomes=x", 3, "has no colon", ""),
    "outcome twice": (
        PORTS + "negotiate sw1:1 protocol=p mode=m alone=a outcomes=x:a,x:b",
        3,
        "'x' is given twice",
        "",
    ),
    "variant without name": (PORTS + "variant sw1:1", 3, "the variant has no name", ""),
    "variant without negotiation": (PORTS + "variant sw1:1 a pvid=1", 3, "sw1:1 negotiates nothing", "`negotiate`"),
    "row of no variant": (PORTS + "entry sw1:1 variant=a drop=yes", 3, "sw1:1 has no variant 'a'", ""),
    # claims
    "expect nothing at all": (PORTS + "expect sw1:1 10", 3, "what becomes of the frame is not said", "-> nothing"),
    "expect without frame": (PORTS + "expect sw1:1", 3, "expect needs a port and a frame", "expect PORT FRAME"),
    "expect at no port": (PORTS + "expect sw1:3 10 -> nothing", 3, "sw1 has no port '3'", "known: 1, 2"),
    "delivered at no port": (PORTS + "expect sw1:1 10 -> sw1:4 10", 3, "sw1 has no port '4'", ""),
    "frame": (PORTS + "expect sw1:1 x10 -> nothing", 3, "'x10' is no tag", "outermost first"),
    "frame 4095": (PORTS + "expect sw1:1 4095 -> nothing", 3, "'4095': a tag carries VID 1 to 4094", ""),
    "delivery without frame": (PORTS + "expect sw1:1 10 -> sw1:2", 3, "'sw1:2' is not a port and a frame", ""),
    "two commas": (PORTS + "expect sw1:1 10 -> sw1:2 10,, sw1:1 10", 3, "nothing between them", ""),
    "comma at the end": (PORTS + "expect sw1:1 10 -> sw1:2 10,", 3, "a comma has nothing on one side", ""),
    "lost nowhere": (PORTS + "lost sw1:1 10", 3, "where the frame is lost is not said", "at PORT by RULE"),
    "lost by no rule": (PORTS + "lost sw1:1 20 at sw1:1 by not-admited", 3, "is no rule", "nearest: not-admitted"),
    "lost by a rule that loses nothing": (PORTS + "lost sw1:1 10 at sw1:1 by tagged-in", 3, "is no rule by which", ""),
    "unproven nothing": (PORTS + "unproven sw1:1 10 -> nothing", 3, "an unproven copy has a port and a frame", ""),
    "loop with more": (PORTS + "loop sw1:1 10 sw1:2", 3, "takes a port and a frame, nothing else", ""),
    "finding without code": (PORTS + "=>", 3, "'=>' names no check", "=> clean"),
    "finding with a wrong code": (PORTS + "=> pvid-mismatch sw1:1", 3, "is no code of a check", ""),
    "clean with a place": (PORTS + "=> clean sw1", 3, "'clean' names no place", ""),
    "clean and found": (PORTS + "=> L101 sw1:1\n=> clean", 4, "'=> clean' stands alone", ""),
}


@pytest.mark.parametrize("name", BAD)
def test_one_clear_message(name: str) -> None:
    """File, line, what is wrong and what to do."""
    text, line, message, hint = BAD[name]

    with pytest.raises(NotationError) as raised:
        parse(text, file="fault.jot")

    error = raised.value
    assert (error.file, error.line) == ("fault.jot", line)
    assert message in error.message
    assert hint in error.hint
    assert error.hint, "nothing is said about what to do"
    assert str(error).startswith(f"fault.jot:{line}: {error.message}")


def read(text: str) -> Notation | NotationError:
    """Return what a text says, or the error that refuses it."""
    try:
        return parse(text)
    except NotationError as error:
        return error


def refused_in(text: str, found: Notation | NotationError) -> bool:
    """Tell whether a text was refused with one of its lines; False when it was not refused."""
    if isinstance(found, Notation):
        return False
    assert 1 <= found.line <= text.count("\n") + 1
    return True


@given(st.text('port link sw1:2="\\#,->?!\n pvid member 10 4095 end entry', max_size=120))
def test_any_text_is_read_or_refused(text: str) -> None:
    """Whatever is written, it is read, or refused with a line of the text."""
    found = read(text)

    assert refused_in(text, found) or isinstance(found, Notation)


WORDS = """
port link end bridge bridge-port device entry exit negotiate variant setting unread handoff expect lost unproven loop
growing => -> sw1:1 sw1:2 sw2:1 sw1 untagged 10 s100.310 nothing at by not-member clean L101 pvid=10 pvid=? a=b , "x" #
member=all,!5 admit=? untagged=10-20 takes=untagged select=0,untagged.all tpids=none push=s5 pop=1 drop=yes on=1 up=no
variant=a protocol=p mode=m alone=a outcomes=b:a kind=host kind=inside exists=1-4094
"""
SENTENCES = st.lists(st.sampled_from(WORDS.split()), max_size=6).map(" ".join)


@given(st.lists(SENTENCES, max_size=6).map("\n".join))
def test_any_words_are_read_or_refused(text: str) -> None:
    """Lines of known words in any order: what is read can be written and read again."""
    found = read(text)
    if refused_in(text, found):
        return
    assert isinstance(found, Notation)
    again = parse(write(found.devices, found.links, found.handoffs, expectations=found.expectations))
    assert [box.name for box in again.devices] == [box.name for box in found.devices]


def box(**parts: object) -> Device:
    """Return a box named sw1 with one plain bridge port, changed by `parts`."""
    port = BridgePort(name="1", port="1", pvid=Fact(10), admit=Cover.of(0), member=Cover.of(0), untagged=Cover.of(0))
    usual = {
        "bridges": {"": Bridge(exists=Cover.of(EVERY))},
        "ports": {"1": Port(name="1")},
        "bridge_ports": {"1": port},
    }
    return Device(**{"name": "sw1", **usual, **parts})  # type: ignore[arg-type]


UNWRITABLE = {
    "a colon in the device": (box(name="a:b"), "no line can hold the device name 'a:b'"),
    "no name": (box(name=""), "no line can hold the device name ''"),
    "a blank at the end of a port": (box(ports={"1": Port(name="1"), "2": Port(name="2 ")}), "'sw1:2 '"),
    "a bridge that is not there": (box(bridges={}), "bridge port '1' is in bridge ''"),
    "a port that is not there": (box(ports={}), "'1' stands on port '1'"),
    "a spanning tree of no kind": (
        box(bridges={"": Bridge(exists=Cover.of(EVERY), spanning_tree=Fact("own"))}),
        "no line can hold the spanning tree 'own'",
    ),
}


@pytest.mark.parametrize("name", UNWRITABLE)
def test_what_no_line_can_hold_is_refused(name: str) -> None:
    """A box that could not be read back is not written."""
    device, message = UNWRITABLE[name]

    with pytest.raises(NotationError, match=message):
        write([device])
