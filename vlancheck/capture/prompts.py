"""One line comes in; the prompt it may be goes out: the device's name and the command typed behind it.

A shape alone proves nothing (a description may look like a prompt): every candidate says how much it weighs, and
`console` believes a name only when the candidates of the whole log weigh enough.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

PROVEN = 2  # what the candidates of one name must weigh together


@dataclass(frozen=True, slots=True)
class Candidate:
    """A line that has the shape of a prompt."""

    group: str  # shapes that may stand for one device: "angle" for <NAME> and [NAME-view], "name" for the others
    device: str  # name of the device; for [NAME-view] with the view
    command: str  # what was typed; "" for an empty prompt
    weight: int  # 2 a command of a known form, 1 a known word or an empty prompt, 0 any other
    end: int  # where the prompt ends in the line
    view: bool = False  # the name is followed by the name of a view
    indented: bool = False  # blanks stand before it: believed only for a name proven elsewhere


_NAME = r"(?P<name>[A-Za-z0-9_][\w.-]*+)"
_MODE = r"(?:\ ?\((?P<mode>[^()\n]{0,60})\))?"
_REST = r"\ ?(?P<command>.*)$"

# (group, does the shape itself weigh, expression); the first that fits is taken.
_SHAPES: tuple[tuple[str, int, re.Pattern[str]], ...] = tuple(
    (group, weight, re.compile(pattern + _REST, re.VERBOSE))
    for group, weight, pattern in (
        # [admin@CORE] /interface/bridge>   [admin@CORE] <SAFE> >
        ("name", 1, r"\[[^@\[\]\s]{1,40}@(?P<name>[^@\[\]]{1,64})\]\ (?:<SAFE>\ ?)?(?:/?[a-z][a-z0-9\ /-]{0,60})?>"),
        # [root@b0 ~]#
        ("name", 1, r"\[[\w.-]{1,40}@(?P<name>[\w.-]{1,64})\ [^\]\n]{1,200}\][\#$]"),
        # root@b0:~#   admin@sw:mgmt:~$   root@sw:RE:0%
        ("name", 1, rf"(?:\([\w.-]{{1,40}}\)\ )?[\w.-]{{1,40}}@{_NAME}:[^\s\#$>%]{{0,200}}+[\#$>%]"),
        # user@host>   user@host#   telnet@SW(config)#
        ("name", 1, rf"[\w.-]{{1,40}}@{_NAME}{_MODE}[\#>$%]"),
        # <HUB>   HRP_M<HUB>
        ("angle", 0, r"(?:HRP_[A-Z]{1,2})?<(?P<name>[A-Za-z0-9_][^<>\s/=\"]{0,63})>"),
        # [HUB-GigabitEthernet0/0/1]   [~HUB]   [*HUB-vlan10]
        ("angle", 0, r"(?:HRP_[A-Z]{1,2})?\[[~*]?(?P<view>[A-Za-z0-9_][^\[\]\s\"{}]{0,90})\]"),
        # (EdgeSwitch) #   (EdgeSwitch) (Interface 0/1)#   (host) [mynode] (config) #
        ("name", 0, rf"\((?P<name>[A-Za-z0-9_][^()\n]{{0,63}})\)\ ?(?:[*^]?\[[\w/.-]{{1,40}}\]\ ?)?{_MODE}\ ?\*?[\#>]"),
        # * X440.3 #   (debug) * Slot-1 STACK.12 #
        ("name", 0, r"(?:\([\w\ -]{1,40}\)\ )?(?:[*!]\ ?)?(?:Slot-\d{1,2}\ )?"
                    r"(?P<name>[A-Za-z0-9_][\w-]*(?:\.[\w-]+)*)\.\d{1,5}\ [\#>]"),
        # DGS-1210:5#   DGS-1210:admin#   VSP:1(config)#
        ("name", 0, rf"{_NAME}:(?:\d{{1,3}}|admin|user|oper|operator|power_user){_MODE}[\#>]"),
        # b0:~#
        ("name", 0, rf"{_NAME}:[~/][^\s\#$>%]{{0,200}}+\ ?[\#$]"),
        # switch [standalone: master] (config) #
        ("name", 0, rf"{_NAME}\ \[[\w\ :/.*-]{{1,60}}\]{_MODE}\ ?[\#>]"),
        # SORT-1#   SORT-1(config-if)#   RP/0/RSP0/CPU0:SORT-1#   HP-2920(eth-1)#   FW (port1) #
        ("name", 0, rf"(?:RP/\w{{1,3}}/\w{{1,8}}/CPU\d:)?{_NAME}{_MODE}\*?\ ?[\#>]"),
        # HP Switch 2920#
        ("words", 0, r"(?P<name>[A-Za-z][\w.-]{0,30}(?:\ [\w.-]{1,30}){1,3})(?:\([^()\n]{0,60}\))?[\#>]"),
        # ->
        ("arrow", 0, r"(?P<name>)->\ "),
    )
)  # fmt: skip

# Commands that nobody writes by chance behind something that looks like a prompt.
_SURE = re.compile(
    r"""(?:do\s+|run\s+|sudo\s+(?:-\S+\s+)*+)?(?:
        sho?w?\s+[a-z?!|] | sh(?:ow?)?$ | disp?l?a?y?\s+[a-z?] | ena?b?l?e?$ | conf\w*\s+t(?:erm\w*)?$
      | configure(?:\s+(?:private|exclusive))?$ | ter(?:m|minal)?\s+(?:le|wi|pa|mo|da|no)\w* | screen-length\s+\d
      | sys(?:tem-view)?$ | no\s+(?:page|paging) | skip-page-display | (?:dis|en)able\s+(?:clip|paging)\w* | set\s+cli\s
      | bridge\s+(?:-\S+\s+)*+(?:vlan|link|fdb|mdb|vni)\b | ip\s+(?:-\S+\s+)*+(?:link|addr|route|-|a$|l$|r$|neigh)\w*
      | ovs-\w+ | lldpc\w+ | brctl\s | ethtool\s | cat\s | nmcli | networkctl | vtysh | net\s+show
      | nv\s+(?:show|config)
      | /\w[\w/ -]*(?:print|export)\b.* | /\w[\w/ -]*$ | export\b.* | vlan\s+show | port\s+show
    )""",
    re.VERBOSE | re.IGNORECASE,
)
_KNOWN = re.compile(
    r"""(?:\? | (?:exit|end|quit|logout|log|logoff|undo|no|int|interface|vlan|switchport|wr|write|copy|save|commit|edit
      |top|up|set|delete|del|ping|tracert|traceroute|ssh|stelnet|telnet|reload|reboot|clear|debug|terminal|return|create
      |config|configure|enable|disable|cli|start|request|file|dir|ls|cd|print|help|history|page|menu|screen-length|admin
      |who|date|uptime|show|display|sh|dis|trunk|monitor|tcpdump|hostname|sysname|spanning-tree|lldp|ip|run|do)
      (?![\w.:/])).{0,400}$""",
    re.VERBOSE | re.IGNORECASE,
)
_ANGLE = re.compile(  # a tag of a markup text must not pass for <HUB>
    r"(?:dis\w*\s+\S|sys(?:tem-view)?$|screen-length\s|int\w*\s+\S|undo\s+\S|vlan\s+\d|port\s+\S|quit$|q$|return$|save$"
    r"|su(?:per)?$|ping\s|telnet\s|stelnet\s|ssh2?\s|language-mode\s|terminal\s|sysname\s|tracert\s|reset\s|\?$)",
    re.IGNORECASE,
)
# Words that begin lines of configurations; no device is called so.
_NO_NAME = re.compile(
    r"(?:exit|end|quit|interface|vlan|name|description|hostname|sysname|banner|no|undo|show|display|set|port|remark|alias"
    r"|enable|return|password|username|ip|line|login|null|true|false|y/n|yes/no|yes|ok|edit|more|warning|error|info|note"
    r"|edit\b.*)$",
    re.IGNORECASE,
)
_LOG_MESSAGE = re.compile(r"\*?\.?(?:[A-Z][a-z]{2}\s+\d|%[A-Z][A-Z0-9_]*-\d-|\d{4}[-/]\d\d)|%%\d\d")
_COMMENT = re.compile(r"(?![\w.-]+\.\d+ )[\w.-]++ [#>]")  # a word and a comment behind it look like this too
_MARKS = ("#", ">", "$", "]", "%")


def candidate(text: str) -> Candidate | None:
    """Return the prompt that a line may be."""
    if not any(mark in text for mark in _MARKS):
        return None
    body = text.lstrip()
    for group, shape_weight, shape in _SHAPES:
        if match := shape.match(body):
            view = "view" in match.groupdict()
            device = match["view"] if view else match["name"].strip()
            if _NO_NAME.match(device):
                return None
            command = _typed(match["command"].strip(), body[: match.start("command")].strip())
            weight = _weight(group, command, shape_weight)
            if _COMMENT.match(body):
                weight = min(weight, 1)
            start = len(text) - len(body)
            return Candidate(group, device, command, weight, start + match.start("command"), view, start > 0)
    return None


def _typed(command: str, prompt: str) -> str:
    """Return the command without a repeated prompt (an empty line was echoed) and without a log message."""
    while command.startswith(prompt):
        command = command[len(prompt) :].lstrip()
    return "" if _LOG_MESSAGE.match(command) else command


def _weight(group: str, command: str, shape_weight: int) -> int:
    if group == "angle":
        return 2 if _ANGLE.match(command) else 0 if command else 1
    if _SURE.match(command):
        return 2
    if group in ("words", "arrow"):
        return 0
    return (1 if not command or _KNOWN.match(command) else 0) + shape_weight
