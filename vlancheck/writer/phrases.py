"""A family's phrases and a change come in, the lines to be typed go out.

Which lines make a port what it is to be is one of two ways.  Where a port has a mode (`access`, `trunk`), the phrase
of the mode makes a port of that kind whatever it was, and lists are edited from there.  Where a port is in VLANs one
by one, what it has too much is taken out and what it lacks is put in.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from vlancheck.reader import Dialect
from vlancheck.vids import members, of, ranges
from vlancheck.writer.plan import PortPlan, WriteError

_RANGES = 8  # runs of VIDs in one line, since consoles cut long ones


@dataclass(frozen=True, slots=True)
class Said:
    """What phrases are filled with, besides the port and the VIDs."""

    names: Mapping[int, str]  # VID -> name of its VLAN, where the device has one
    bridge: str  # name of the bridge the ports are in
    tagged: Mapping[int, tuple[str, ...]]  # VID -> ports that are to carry it tagged
    untagged: Mapping[int, tuple[str, ...]]  # VID -> ports that are to carry it untagged


class Phrases:
    """Fills a family's phrases; lines that begin with a blank stand under the line of their port."""

    def __init__(self, dialect: Dialect, said: Said) -> None:
        self._dialect = dialect
        self._said = said
        self.lines: list[str] = []
        self._under = ""  # port whose line stands open

    def has(self, name: str) -> bool:
        """Tell whether the family can say it."""
        return name in self._dialect.phrases

    def speaks(self, name: str, blank: str) -> bool:
        """Tell whether a phrase has a blank."""
        return any(blank in line for line in self._dialect.phrases.get(name, ()))

    def home(self, vid: int) -> bool:
        """Tell whether a port is in this VLAN by itself as long as it is in no other."""
        return self._dialect.phrases.get("home") == (str(vid),)

    def say(self, name: str, vids: int = 0, port: str = "") -> None:
        """Add the lines of a phrase, once for each VID where it speaks of one; WriteError where there is none."""
        if not self.has(name):
            raise WriteError(f"{self._dialect.name} has no phrase for {name!r}")
        lines = self._dialect.phrases[name]
        text = "\n".join(lines)
        for filled in self._filled(text, vids):
            self._open(port if lines[0][:1].isspace() else "")
            self.lines += (self._fill(line, filled, port) for line in lines)

    def _filled(self, text: str, vids: int) -> Iterator[Mapping[str, str]]:
        if "{vids}" in text:
            yield from ({"vids": part} for part in self._lists(vids))
        elif any(word in text for word in ("{vid}", "{name}", "{tagged}", "{untagged}")):
            for vid in members(vids):
                yield {
                    "vid": str(vid),
                    "name": self._said.names.get(vid) or self._new_name(vid),
                    "tagged": self._ports(self._said.tagged.get(vid, ())),
                    "untagged": self._ports(self._said.untagged.get(vid, ())),
                }
        else:
            yield {}

    def _new_name(self, vid: int) -> str:
        """Return the name a VLAN without one is made under, where the family's VLANs need one."""
        known = self._dialect.phrases.get("first" if vid == 1 else "name", ("",))
        return known[0].replace("{vid}", str(vid))

    def _ports(self, ports: Iterable[str]) -> str:
        return self._dialect.ports.sep[0].join(ports)

    def _lists(self, vids: int) -> Iterator[str]:
        lists = self._dialect.vids
        to = f" {lists.to[0].strip()} " if lists.to[0].strip().isalpha() else lists.to[0]
        runs = [(low, low if high is None else high) for low, high in ranges(vids)]
        items = [str(low) if low == high else f"{low}{to}{high}" for low, high in runs]
        for at in range(0, len(items), _RANGES):
            yield lists.sep[0].join(items[at : at + _RANGES])

    def _fill(self, line: str, filled: Mapping[str, str], port: str) -> str:
        number = port.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz-")
        for word, text in {**filled, "port": port, "number": number, "bridge": self._said.bridge}.items():
            line = line.replace(f"{{{word}}}", text)
        return line

    def finished(self) -> tuple[str, ...]:
        """Return all lines, with the last port closed."""
        self._open("")
        return tuple(self.lines)

    def _open(self, port: str) -> None:
        """Open a port for lines that stand under it; "" for a phrase that says itself where it stands."""
        if self._under and port != self._under:
            self.lines += self._dialect.phrases.get("close", ())
        if port and port != self._under and self.has("interface"):
            self.lines += (self._fill(line, {}, port) for line in self._dialect.phrases["interface"])
        self._under = port


def say_port(phrases: Phrases, now: PortPlan | None, wished: PortPlan) -> None:
    """Add the lines that make a port what is wished; `now` is None where what it is cannot be told."""
    if now is None or (now.untagged, now.tagged) != (wished.untagged, wished.tagged):
        if phrases.has("trunk") and phrases.has("access"):
            _by_mode(phrases, now, wished)
        else:
            _one_by_one(phrases, now, wished)
    if wished.up is not None and (now is None or wished.up is not now.up):
        phrases.say("open" if wished.up else "shut", port=wished.port)


def _by_mode(phrases: Phrases, now: PortPlan | None, wished: PortPlan) -> None:
    port = wished.port
    if not wished.tagged:
        if wished.untagged is None:
            phrases.say("trunk", port=port)  # which carries nothing for now, and says so, whatever the release
        else:
            phrases.say("access", of([wished.untagged]), port)
        return
    if now is None or not now.tagged:
        phrases.say("trunk", port=port)
        phrases.say("allow", wished.tagged, port)
        if wished.untagged is not None:
            phrases.say("native", of([wished.untagged]), port)
        return
    if fresh := wished.tagged & ~now.tagged:  # first: a list that loses its last VID may come to mean all
        phrases.say("allow", fresh, port)
    _edits(phrases, replace(now, tagged=now.tagged | fresh), wished)


def _one_by_one(phrases: Phrases, now: PortPlan | None, wished: PortPlan) -> None:
    if now is None:
        raise WriteError(f"what {wished.port} carries now is not known, so that it cannot be taken out")
    _edits(phrases, now, wished)


def _edits(phrases: Phrases, now: PortPlan, wished: PortPlan) -> None:
    port = wished.port
    listed = phrases.has("members")  # then the ports of a VID are said together, after all ports were changed
    if (gone := now.tagged & ~wished.tagged) and not listed:
        phrases.say("forbid", gone, port)
    moved = now.untagged != wished.untagged
    if moved and now.untagged is not None and not phrases.home(now.untagged):
        for name in ("leave", "no-native") if wished.untagged is None else ("leave",):
            if phrases.has(name):
                phrases.say(name, of([now.untagged]), port)
    if moved and wished.untagged is not None and not phrases.home(wished.untagged):
        phrases.say("native", of([wished.untagged]), port)
    if (fresh := wished.tagged & ~now.tagged) and not listed:
        phrases.say("allow", fresh, port)
