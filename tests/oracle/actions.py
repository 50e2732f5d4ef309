"""Datapath actions, as ofproto/trace prints them, executed on a stack of tags: text in, (datapath port, tags) out."""

from __future__ import annotations

import re
from collections.abc import Iterator

from .wirings import C_TPID

TagPcp = tuple[int, int, int]  # TPID, VID, PCP
_ACTION = re.compile(r"\s*([a-z_]+\((?:[^()]|\([^()]*\))*\)|[a-z_]+|\d+)\s*(?:,|$)")


class OracleError(Exception):
    """What Open vSwitch printed is not understood, or a daemon did not do as told; never a forwarding result."""


def outputs(actions: str, stack: tuple[TagPcp, ...]) -> Iterator[tuple[int, tuple[TagPcp, ...]]]:
    """Yield (datapath port number, tags outermost first) for every output; raise OracleError on any other action."""
    if actions == "drop":
        return
    if not actions:
        raise OracleError("no datapath actions, not even drop")
    place = 0
    while place < len(actions):
        found = _ACTION.match(actions, place)
        if found is None:
            raise OracleError(f"cannot split datapath actions at column {place}: {actions}")
        place = found.end()
        action = found[1]
        if action.isdigit():
            yield int(action), stack
        elif action == "pop_vlan" and stack:
            stack = stack[1:]
        elif action.startswith("push_vlan("):
            stack = (_tag(action[len("push_vlan(") : -1], C_TPID), *stack)
        elif action.startswith("set(vlan(") and stack:
            stack = (_tag(action[len("set(vlan(") : -2], stack[0][0]), *stack[1:])
        else:
            raise OracleError(f"unexpected datapath action {action} on tags {stack}: {actions}")


def _tag(fields: str, tpid: int) -> TagPcp:
    """Return the tag that the fields of a push or set describe; the TPID is printed only where it is not 0x8100."""
    values = {"tpid": tpid, "pcp": 0} | {
        name: int(value, 0) for name, value in (f.split("=") for f in fields.split(","))
    }
    if values.keys() != {"tpid", "vid", "pcp"}:
        raise OracleError(f"unexpected tag fields: {fields}")
    return values["tpid"], values["vid"], values["pcp"]
