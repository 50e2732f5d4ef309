"""A console log is split by device and command, and nothing that merely looks like a prompt splits it."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vlancheck.capture.console import Section, sections
from vlancheck.capture.lines import numbered
from vlancheck.capture.pager import lines_with_prompts


def split(text: str) -> list[Section]:
    """Return the sections of a text, as `load` makes them."""
    return sections("a.log", numbered(text), paged=lines_with_prompts(text))


def told(text: str) -> list[tuple[str, str, list[str]]]:
    """Return device, command and printed lines of each section."""
    return [(one.device, one.command, [line.text for line in one.lines if line.text]) for one in split(text)]


@pytest.mark.parametrize(
    ("prompt", "device", "command"),
    [
        ("SORT-1#show running-config", "SORT-1", "show running-config"),
        ("SORT-1>show vlan", "SORT-1", "show vlan"),
        ("SORT-1# terminal length 0", "SORT-1", "terminal length 0"),
        ("SORT-1(config-if)#do show vlan", "SORT-1", "do show vlan"),
        ("RP/0/RSP0/CPU0:EDGE-1#show interfaces", "EDGE-1", "show interfaces"),
        ("root@b0:~# bridge -j vlan show", "b0", "bridge -j vlan show"),
        ("root@b0:/etc/network# ip -j -d link show", "b0", "ip -j -d link show"),
        ("anna@sw7:mgmt:~$ sudo bridge -j vlan show", "sw7", "sudo bridge -j vlan show"),
        ("[root@b0 ~]# bridge vlan show", "b0", "bridge vlan show"),
        ("b0:~# ovs-vsctl --format=json list port", "b0", "ovs-vsctl --format=json list port"),
        ("anna@EX-1> show configuration | display set", "EX-1", "show configuration | display set"),
        ("anna@EX-1# show vlans", "EX-1", "show vlans"),
        ("vyos@rtr:~$ show configuration commands", "rtr", "show configuration commands"),
        ("vyos@rtr# show interfaces", "rtr", "show interfaces"),
        ("[admin@CORE] > /export", "CORE", "/export"),
        ("[admin@CORE] /interface bridge vlan> print", "CORE", "print"),
        ("[admin@CORE] /interface/bridge> export", "CORE", "export"),
        ("[admin@Core Switch] > /interface bridge port print", "Core Switch", "/interface bridge port print"),
        ("<HUB>display current-configuration", "HUB", "display current-configuration"),
        ("[HUB-GigabitEthernet0/0/1]display this", "HUB", "display this"),
        ("[~HUB]display vlan", "HUB", "display vlan"),
        ("HP-2920# show run", "HP-2920", "show run"),
        ("HP-2920(eth-1)# show run", "HP-2920", "show run"),
        ("HP Switch 2920# show running-config", "HP Switch 2920", "show running-config"),
        ("* X440.3 # show config", "X440", "show config"),
        ("X440-24t.12 # show vlan", "X440-24t", "show vlan"),
        ("* Slot-1 STACK.7 # show vlan", "STACK", "show vlan"),
        ("DGS-1210:5#show vlan", "DGS-1210", "show vlan"),
        ("DGS-1210:admin#show vlan", "DGS-1210", "show vlan"),
        ("VSP-1:1(config)#show vlan", "VSP-1", "show vlan"),
        ("(EdgeSwitch) #show run", "EdgeSwitch", "show run"),
        ("(EdgeSwitch) (Interface 0/1)#show vlan", "EdgeSwitch", "show vlan"),
        ("(Wlc-1) [mynode] (config) #show vlan", "Wlc-1", "show vlan"),
        ("SPINE [standalone: master] (config) # show vlan", "SPINE", "show vlan"),
        ("awplus#show vlan all", "awplus", "show vlan all"),
        ("telnet@SW#show vlan", "SW", "show vlan"),
        ("SSH@SW(config)#show vlan", "SW", "show vlan"),
        ("-> show vlan", "", "show vlan"),
    ],
)
def test_prompts_of_many_families(prompt: str, device: str, command: str) -> None:
    """One prompt with a known command is enough."""
    assert told(f"{prompt}\nfirst\n second\n") == [(device, command, ["first", " second"])]


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("hostname SORT-1\ninterface Gi1/0/1\n description room#4\nroom#4\nroom#5\n", id="description"),
        pytest.param("# 2026-01-05 10:00:00 by RouterOS 7.12\n/interface bridge\nadd name=b\n", id="header comment"),
        pytest.param("#\nsysname HUB\n#\nvlan batch 10 20\n#\nreturn\n", id="separators"),
        pytest.param("# show the VLANs\nbridge vlan show # of all ports\necho done # show vlan\n", id="shell comments"),
        pytest.param("banner motd #Welcome to SORT-1#\nbanner login #\nkeep out\n#\n", id="banner"),
        pytest.param("<vlan>10</vlan>\n<vlan>20</vlan>\n<name>display vlan</name>\n", id="markup"),
        pytest.param('[{"ifname":"e0"}]\n[edit vlans]\n[OK]\n[Y/N]:y\n', id="brackets"),
        pytest.param("exit # show vlan\nvlan 10 > 5\nname >\n", id="words of a configuration"),
        pytest.param("Port#1 desk\nPort#2 desk\nPort#3 phone\n", id="numbered things"),
        pytest.param("a.txt>b\nx#1\ny>\nz\n", id="odds and ends"),
    ],
)
def test_what_only_looks_like_a_prompt_does_not_split(text: str) -> None:
    """A text without a proven prompt is one section without a device."""
    (section,) = split(text)

    assert (section.device, section.command, section.prompt) == ("", "", None)
    assert len(section.lines) == text.count("\n")


def test_several_commands_prove_a_name() -> None:
    """Commands nobody knows are believed when an empty prompt of the same name stands beside them."""
    assert told("NODE#frobnicate\nx\nNODE#defrost all\ny\nNODE#\n") == [
        ("NODE", "frobnicate", ["x"]),
        ("NODE", "defrost all", ["y"]),
        ("NODE", "", []),
    ]


def test_an_empty_prompt_at_the_end_of_a_pasted_configuration() -> None:
    """The last line is a prompt: the configuration above it is bare text."""
    assert told("hostname SORT-1\nvlan 10\nend\n\nSORT-1#\n") == [
        ("", "", ["hostname SORT-1", "vlan 10", "end"]),
        ("SORT-1", "", []),
    ]


def test_a_file_with_only_a_prompt() -> None:
    """There is a section, and nothing in it."""
    (section,) = split("SORT-1#show running-config\r\n")

    assert section == Section("a.log", "SORT-1", "show running-config", (), section.prompt)
    assert section.prompt is not None
    assert section.prompt.number == 1
    assert told("SORT-1#") == [("SORT-1", "", [])]


def test_several_devices_and_hops_in_one_log() -> None:
    """Each prompt says whose output follows, whatever led to it."""
    log = """
Connected to SORT-1.

SORT-1>enable
Password:
SORT-1#show vlan
1 default
SORT-1#ssh -l anna 10.9.9.2
Password:
SORT-2#sh vlan
^
% Invalid input detected at '^' marker.
SORT-2#exit
[Connection to 10.9.9.2 closed by foreign host]
SORT-1#
SORT-1#telnet 10.9.9.3
Trying 10.9.9.3 ...
<HUB>display vlan
10 TG
<HUB>quit
SORT-1#exit
"""

    assert told(log) == [
        ("", "", ["Connected to SORT-1."]),
        ("SORT-1", "enable", ["Password:"]),
        ("SORT-1", "show vlan", ["1 default"]),
        ("SORT-1", "ssh -l anna 10.9.9.2", ["Password:"]),
        ("SORT-2", "sh vlan", ["^", "% Invalid input detected at '^' marker."]),
        ("SORT-2", "exit", ["[Connection to 10.9.9.2 closed by foreign host]"]),
        ("SORT-1", "", []),
        ("SORT-1", "telnet 10.9.9.3", ["Trying 10.9.9.3 ..."]),
        ("HUB", "display vlan", ["10 TG"]),
        ("HUB", "quit", []),
        ("SORT-1", "exit", []),
    ]


def test_the_view_of_a_prompt_is_no_part_of_the_name() -> None:
    """A name with hyphens is known from the prompt without a view."""
    log = "<HUB-EAST>system-view\n[HUB-EAST]vlan 10\n[HUB-EAST-vlan10]display this\n#\n[HUB-EAST-vlan10]quit\n"

    assert [one.device for one in split(log)] == ["HUB-EAST"] * 4


def test_roles_and_contexts_above_a_prompt_belong_to_it() -> None:
    """What a device prints above its prompt is in no output, and its line is not lost."""
    log = (
        "{master:0}\nanna@EX-1> show vlans\ndefault 1\n\n{master:0}[edit]\nanna@EX-1# show vlans\n[edit]\nanna@EX-1# \n"
    )
    made = split(log)

    assert told(log) == [("EX-1", "show vlans", ["default 1"]), ("EX-1", "show vlans", []), ("EX-1", "", [])]
    assert [[line.number for line in one.lines] for one in made] == [[1, 3, 4], [5], [7]]


def test_a_role_at_the_end_of_a_text_without_prompt_is_no_output() -> None:
    """It is emptied where it stands."""
    (section,) = split("default 1\n{master:0}\n")

    assert [line.text for line in section.lines] == ["default 1", ""]


def test_echoes_and_log_messages_are_no_commands() -> None:
    """A prompt printed twice is one; a message that the device threw in is none."""
    assert told("SW#SW# show vlan\n1\nSW#*Mar 14 10:00:00.123: %LINK-3-UPDOWN: Gi1/0/1 up\nSW#show clock\n") == [
        ("SW", "show vlan", ["1"]),
        ("SW", "", []),
        ("SW", "show clock", []),
    ]


def test_a_prompt_behind_the_blanks_of_a_pager() -> None:
    """A prompt that is proven elsewhere is seen behind blanks too; a description is not."""
    log = "SW#show vlan\n1\n          SW#show clock\n SW#4 is the room\n"

    assert told(log) == [("SW", "show vlan", ["1"]), ("SW", "show clock", [" SW#4 is the room"])]


def test_secrets_in_typed_commands_are_masked() -> None:
    """Command and prompt line show no secret."""
    section = split("SW#conf t\nSW(config)#username anna secret 0 plum\nSW(config)#end\n")[1]

    assert section.command == "username anna secret 0 <masked>"
    assert section.prompt is not None
    assert "plum" not in section.prompt.text


# ---- outputs that end in the middle ------------------------------------------------------------------------------

ERASED = "\b" * 9 + " " * 8 + "\b" * 9


@pytest.mark.parametrize(
    ("text", "cut"),
    [
        pytest.param("SW#show vlan\n1 default\nSW#\n", [False, False], id="whole"),
        pytest.param("SW#show vlan\n1 default\n --More-- ", [True], id="page pending at the end"),
        pytest.param(f"SW#show vlan\n1 default\n --More-- {ERASED}SW#show clock\n", [True, False], id="left at a page"),
        pytest.param(f"SW#show vlan\n1 default\n --More-- {ERASED}2 desk\nSW#\n", [False, False], id="page turned"),
        pytest.param("SW#show run\nvlan 10\nend\n --More-- \nSW#\n", [False, False], id="page after the last line"),
        pytest.param("SW#show run\nvlan 10\n^C\nSW#\n", [True, False], id="broken off"),
        pytest.param("vlan 10\n--More-- or (q)uit", [True], id="bare text"),
        pytest.param('root@b0:~# bridge -j vlan show\n[{"ifname":"e0","vlans":[{"vlan":1', [True], id="json"),
        pytest.param('root@b0:~# bridge -j vlan show\n[{"ifname":"e', [True], id="json in a string"),
        pytest.param('root@b0:~# bridge -j vlan show\n[{"ifname":"e]["}]\n', [False], id="whole json"),
        pytest.param("## Last commit\nvlans {\n    a {\n        vlan-id 10;\n    }\n", [True], id="braces"),
        pytest.param("vlans {\n    a {\n        vlan-id 10;\n    }\n}\n", [False], id="whole braces"),
        pytest.param("[edit vlans]\nvlan 10\n", [False], id="a context is no json"),
    ],
)
def test_an_output_that_ends_in_the_middle_is_known(text: str, cut: list[bool]) -> None:
    """At a page that was not turned, at a break, or inside a bracket."""
    assert [one.cut for one in split(text)] == cut


# ---- no line is lost ---------------------------------------------------------------------------------------------

PIECES = [
    "",
    "   ",
    "vlan 10",
    " name room#4",
    "SORT-1#show vlan",
    "SORT-1#",
    "SORT-1(config)#vlan 10",
    "SORT-2>en",
    "root@b0:~# bridge -j vlan show",
    "[{",
    "{master:0}",
    "[edit]",
    "anna@EX-1> show vlans",
    "<HUB>display vlan",
    "[HUB-vlan10]",
    "[admin@CORE] > ",
    "#",
    "# note",
    "* X440.3 # show vlan",
    "(EdgeSwitch) #show run",
    " --More-- ",
    "--More--\r        \r name x",
    "plum#",
    "plum>pear",
    "^C",
]


@settings(max_examples=300, deadline=None)
@given(st.lists(st.sampled_from(PIECES) | st.text(alphabet="aB1-#>$%@[](){}<>. ", max_size=12), max_size=14))
def test_every_line_is_in_exactly_one_section(rows: list[str]) -> None:
    """As output or as prompt, in order; only blank lines before the first prompt may be missing."""
    text = "\n".join(rows)
    lines = numbered(text)
    seen: list[int] = []
    for one in split(text):
        seen += sorted([line.number for line in one.lines] + ([one.prompt.number] if one.prompt else []))

    assert seen == sorted(set(seen))
    assert {line.number for line in lines if line.text.strip()} <= set(seen)
    texts = {line.number: line.text for line in lines}
    for one in split(text):
        for line in one.lines:
            assert line.text in (texts[line.number], "")
