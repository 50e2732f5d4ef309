"""A dialect as it is after loading: everything the reader needs to know of a family, and nothing it can print."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from vlancheck.capture import Section
from vlancheck.dot1q.model import Told
from vlancheck.evidence import Cover, Fact, Kind, Origins
from vlancheck.reader.derive import Step
from vlancheck.reader.facts import Facts, Of, Saying, Value
from vlancheck.reader.forms import Form
from vlancheck.reader.keyed import Records
from vlancheck.reader.lists import Punctuation
from vlancheck.reader.macros import Macro
from vlancheck.reader.meaning import BridgeRow, DeviceRow, Negotiated, PortRow
from vlancheck.reader.statements import Statements
from vlancheck.reader.template import Rule, Template
from vlancheck.reader.terms import Scope, When

_LAST = 3  # lines at the end of a text among which its last one is looked for
_EXPANDED = 50_000  # names kept; then the memory starts anew
PHRASES = (  # what a family may say: the closed list of phrases
    *("interface", "close", "access", "trunk", "allow", "forbid", "native", "leave", "no-native", "members"),
    *("vlan", "no-vlan", "name", "first", "home", "shut", "open"),
    *("guard", "guarded", "restarts", "keep", "commit", "save"),
)
BLANKS = ("port", "number", "vid", "vids", "name", "bridge", "tagged", "untagged")  # what is filled into phrases
PRINTED = ("short", "native", "allowed", "active", "forwarding")  # what is filled into a display, for each trunk
FIELDS = (  # of the model, of which a family has words: the closed list
    *("pvid", "admit", "member", "untagged", "rows", "exists", "forwarding", "isolation", "up", "end"),
)
WHOLE = "whole"  # fact of a device of which a text holds all of the configuration
Writes = Mapping[Rule, tuple[tuple[Saying, ...], tuple[Saying, ...]]]  # before ports are replayed, and to ports


@dataclass(frozen=True)
class Source:
    """Which text of a device is read, and how; its templates are loaded when a text is read by them."""

    name: str  # of the source, for messages
    commands: tuple[re.Pattern[str], ...]  # commands whose output it reads
    bare: bool  # whether it reads text without a prompt
    looks: tuple[re.Pattern[str], ...]  # one of them is found in a line of the text; () any text
    only_without: str  # name of the source that makes this one needless; "" none
    last: tuple[re.Pattern[str], ...]  # one of them matches the last line of a whole text; () nothing tells
    whole: tuple[re.Pattern[str], ...]  # one of them in a line tells that a text without a prompt is a whole one
    all: tuple[re.Pattern[str], ...]  # one in a line: a text without prompt, not cut, is all there is; () no text
    saved: bool  # the text is what the device will have after a restart
    capture: str  # the command as people type it; "" when the dialect does not say
    purpose: str  # what its output is for; "" when it is not to be captured
    parts: bool  # outputs of different commands add up instead of being captures of the same thing
    moments: bool  # each output is what one moment showed: those of the same command add up too
    rest: bool  # lines that no pattern takes are passed over: only some lines of the text are asked for
    evidence: Kind  # what a line of it is: LINE of a configuration, SHOW of a state
    form: Form  # text -> path lines
    macros: tuple[Macro, ...]  # path lines -> path lines
    load: Callable[[], tuple[Template, ...]]  # its templates
    bind: Callable[[tuple[Template, ...]], Writes]  # what their rules write

    def is_cut(self, section: Section) -> bool:
        """Tell whether a text ends in the middle: as its capture shows, or since its last line is not there."""
        if section.cut or not self.last:
            return section.cut
        if not section.command and not _found(self.whole, section):
            return False
        return not self._ends(section)

    def is_all(self, section: Section) -> bool:
        """Tell whether a text surely holds all of the configuration, so that what it does not say is not there."""
        if not self.all or section.cut or not self._ends(section):
            return False
        return bool(section.command) or _found(self.all, section)

    def _ends(self, section: Section) -> bool:
        """Tell whether the last line of a whole text is there."""
        texts = [line.text for line in section.lines if line.text.strip()]
        return any(one.match(text) for text in texts[-_LAST:] for one in self.last)

    @cached_property
    def templates(self) -> tuple[Template, ...]:
        """The templates, tried in order; DialectError when one is not right."""
        return self.load()

    @cached_property
    def writes(self) -> Writes:
        """What each rule writes before ports are replayed, and what it writes to ports; DialectError as above."""
        return self.bind(self.templates)


@dataclass(frozen=True, slots=True)
class Default:
    """What silence means."""

    when: When  # conditions on the device
    value: Value  # value with the sentence and its source


@dataclass(frozen=True, slots=True)
class PortName:
    """A class of port names."""

    name: str  # of the class
    like: re.Pattern[str]  # whole names; its groups become facts `name.GROUP`


@dataclass(frozen=True, slots=True)
class Owner:
    """What an unread line stands under, and what it therefore puts in doubt."""

    like: re.Pattern[str]  # searched in the path line; groups `port`, `vlan`
    doubts: str  # `port`, `ports`, `vlan`, `vlans` or `nothing`


@dataclass(frozen=True, slots=True)
class LogSign:
    """A message by which a device tells of something wrong."""

    like: re.Pattern[str]  # searched in a line of its log; group `port`
    told: Told  # what it is about


@dataclass(frozen=True, slots=True)
class Dialect:
    """How one family writes its configuration."""

    name: str  # of the folder
    title: str  # one line for people
    folder: str  # where its files are
    patterns: tuple[re.Pattern[str], ...]  # signs in a line by which it is known
    commands: tuple[re.Pattern[str], ...]  # signs in a command
    hostname: tuple[re.Pattern[str], ...]  # lines that name the device; group 1
    sensitive: re.Pattern[str]  # words that could touch VLANs
    sensitive_words: tuple[str, ...]  # those of this family alone
    sources: tuple[Source, ...]  # in order of preference
    ports: Punctuation  # how lists of ports are written
    vids: Punctuation  # how lists of VIDs are written
    port_names: tuple[PortName, ...]  # classes of names, first that matches
    long_names: tuple[tuple[str, str], ...]  # (short in lower case, long) of the letters of a port's name
    defaults: Mapping[Of, Mapping[str, tuple[Default, ...]]]  # what silence means
    steps: tuple[Step, ...]  # joins
    device_rows: tuple[DeviceRow, ...]  # meaning of the device's facts
    settings: Mapping[str, str]  # setting -> device fact
    bridge_rows: tuple[BridgeRow, ...]  # meaning of a bridge's facts
    port_rows: tuple[PortRow, ...]  # meaning of a port's facts
    negotiated: Mapping[str, Negotiated]  # tables of modes settled between neighbours
    owners: tuple[Owner, ...]  # whom an unread line puts in doubt, first that matches
    log: tuple[LogSign, ...]  # messages that are looked for in every text, first that matches
    refusals: tuple[re.Pattern[str], ...]  # what is printed under a typed line that was not taken
    live: Mapping[str, str]  # fact -> the one that holds instead in what a device showed that it does
    live_by: frozenset[str]  # facts of which one must be there for a port to have shown anything
    statements: Statements | Records | None  # how typed lines edit what is there; None: only the facts
    separate_bridges: bool  # several bridges of one host are devices of their own, HOST.BRIDGE
    words: Mapping[str, tuple[str, ...]]  # what the family calls the fields of the model, for people
    phrases: Mapping[str, tuple[str, ...]]  # how facts are written back
    prints: Mapping[str, tuple[str, ...]]  # command -> the lines that it prints, those with blanks for each trunk
    shaped: dict[tuple[frozenset[str], frozenset[str], str | None], tuple[PortRow, ...]] = field(
        default_factory=dict, repr=False
    )  # rows that can hold, by facts of the port, facts of the device and class of the name
    expanded: dict[tuple[str, bool], Sequence[str]] = field(default_factory=dict, repr=False)  # lists seen before
    named: dict[str, Mapping[str, str]] = field(default_factory=dict, repr=False)  # parts of names seen before

    def default(self, facts: Facts, of: Of, name: str) -> Value | None:
        """Return what a fact is when no line sets it, or None."""
        scopes = {"device": Scope(facts.device.facts, facts.device.facts)}
        for default in self.defaults.get(of, {}).get(name, ()):
            if default.when.holds(scopes) is not None:
                return default.value
        return None

    def source_of(self, command: str) -> Source | None:
        """Return the source that reads what a command prints, or None."""
        return next((one for one in self.sources if any(pattern.match(command) for pattern in one.commands)), None)

    def facts(self) -> Facts:
        """Return facts of a device of which no line has been read."""
        return Facts(self.default, self.expand)

    def expand(self, text: str, many: bool) -> Sequence[str]:
        """Return the ports that a name, or with `many` a list, stands for; raise ValueError naming what is none."""
        found = self.expanded.get((text, many))
        if found is None:
            found = tuple(self.ports.ports(text, self.canonical)) if many else (self.canonical(text),)
            if len(self.expanded) > _EXPANDED:
                self.expanded.clear()
            self.expanded[text, many] = found
        return found

    def parts(self, port: str) -> Mapping[str, str]:
        """Return the parts of a port's name, and under `class` which class of names it is; none when no class fits."""
        if (parts := self.named.get(port)) is None:
            if len(self.named) > _EXPANDED:
                self.named.clear()
            parts = self.named[port] = self._parts(port)
        return parts

    def _parts(self, port: str) -> Mapping[str, str]:
        for port_name in self.port_names:
            if found := port_name.like.fullmatch(port):
                groups = {name: text for name, text in found.groupdict().items() if text is not None}
                return {"class": port_name.name, **groups}
        return {}

    def rows_for(self, written: frozenset[str], device: frozenset[str], sort: str | None) -> tuple[PortRow, ...]:
        """Return the rows that can say something of a port, by which facts lines wrote of it and of its device.

        `sort` is the class that its name is in.
        """
        found = self.shaped.get((written, device, sort))
        if found is None:
            there = written.union(self.defaults.get(Of.PORT, ()))
            found = tuple(
                row
                for row in self.port_rows
                if row.when.may_hold(written, device, sort) and (row.asks is None or not row.asks.isdisjoint(there))
            )
            self.shaped[written, device, sort] = found
        return found

    def canonical(self, name: str) -> str:
        """Return a port's name as the device itself prints it (`gi1/0/1` -> `GigabitEthernet1/0/1`)."""
        if not self.long_names:
            return name
        letters = name.rstrip("0123456789/.: ")
        tail = name[len(letters) :].strip()
        low = letters.strip().lower()
        for short, long in self.long_names:
            if low == short or low == long.lower():
                return f"{long}{tail}"
        fits = {long for _, long in self.long_names if low and long.lower().startswith(low)}
        return f"{fits.pop()}{tail}" if len(fits) == 1 else name


def _found(patterns: Sequence[re.Pattern[str]], section: Section) -> bool:
    return any(one.search(line.text) for line in section.lines for one in patterns)


def constant(value: str, kind: str, origins: Origins, lists: Punctuation) -> Value:
    """Return a default's value as the kind of value its fact has; raise ValueError when it is none."""
    if kind == "vids":
        return Cover.of(lists.vids(value, {}), origins)
    if kind == "vid":
        bits = lists.vids(value, {})
        return Fact(bits.bit_length() - 1 if bits else None, origins)
    return Fact(value, origins)
