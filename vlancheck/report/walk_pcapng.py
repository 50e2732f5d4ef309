"""A walk in, a capture file out: the frame at every step, with the rule and the lines beside it."""

from __future__ import annotations

from typing import assert_never

from vlancheck.dot1q.rules import Rule
from vlancheck.dot1q.tags import Frame, parse_frame, tag_bytes
from vlancheck.report import origins
from vlancheck.report.markup import clean
from vlancheck.report.pcapng import Interface, Packet, Way, capture_file
from vlancheck.report.walking import happens
from vlancheck.walk import Step, Walk
from vlancheck.walk.flood import LOST_OUT, What
from vlancheck.wiring import Network

# A walk follows a frame to wherever it may go, as a bridge does with one for everybody.
DESTINATION = bytes.fromhex("ffffffffffff")
SOURCE = bytes.fromhex("00005e005301")  # an address for documents (RFC 7042, 2.1.2)
PAYLOAD_TYPE = 0x88B5  # local experimental EtherType 1 (IEEE Std 802, from memory)
PAYLOAD = b"followed by vlancheck; on no wire".ljust(46, b"\0")  # the least a frame has (IEEE Std 802.3, from memory)


def pcapng_file(walk: Walk, network: Network, site: str, survey: str) -> bytes:
    """Return a file with a packet for each step, its number as the microseconds, and an interface for each port.

    A copy that is lost or in doubt is at the port where that happens, as it stands there.
    """
    ports = list(dict.fromkeys(step.port for step in walk.steps))
    numbers = {port: number for number, port in enumerate(ports)}
    packets = []
    for step in walk.steps:
        wire, left_out = tags_of(step.frame)
        data = DESTINATION + SOURCE + tag_bytes(wire) + PAYLOAD_TYPE.to_bytes(2, "big") + PAYLOAD
        packets.append(Packet(numbers[step.port], step.number, data, way_of(step, walk), _comment(step, left_out)))
    interfaces = (Interface(clean(port), clean(network.port(port).description)) for port in ports)
    told = (
        f"{site}, survey {survey}: where {walk.frame} from {walk.port} goes, as the captured configurations say.\n"
        "Nothing here was seen on a wire: each packet is a step that vlancheck followed, and its time is the number "
        "of the step."
    )
    return capture_file(_lines(told), interfaces, packets)


def tags_of(frame: str) -> tuple[Frame, tuple[str, ...]]:
    """Return the tags that a frame can wear on a wire, and those that none can: a relay VID beyond 4094."""
    tags: list[Frame] = []
    left_out = []
    for item in () if frame == "untagged" else frame.split("."):
        try:
            tags.append(parse_frame(item))
        except ValueError:
            left_out.append(item)
    return tuple(tag for one in tags for tag in one), tuple(left_out)


def way_of(step: Step, walk: Walk) -> Way:
    """Return which way a step crosses its port; unknown for a copy that goes nowhere."""
    match step.what:
        case What.SENT:
            after = [one.port for one in walk.steps if one.parent == step.number]
            return Way.INBOUND if step.port in after else Way.OUTBOUND  # what a host sends leaves it
        case What.ENTERS:
            return Way.INBOUND
        case What.LEAVES:
            return Way.OUTBOUND
        case What.DELIVERED:
            return Way.INBOUND if step.name else Way.OUTBOUND
        case What.LOST:
            if step.rule is Rule.NOWHERE:
                return Way.UNKNOWN
            return Way.OUTBOUND if step.rule in LOST_OUT or step.rule is Rule.PRIVATE_VLAN else Way.INBOUND
        case What.DOUBT | What.GROWING:
            return Way.INBOUND if step.vid is None else Way.OUTBOUND
        case _:
            assert_never(step.what)


def _comment(step: Step, left_out: tuple[str, ...]) -> str:
    maybe = "" if step.certain else " (unproven)"
    after = f", after step {step.parent}" if step.parent else ""
    told = [f"step {step.number}{after}: {happens(step)}{maybe}"]
    if step.what is not What.SENT:
        told.append(f"{step.rule.sentence} ({step.rule.clause}; {step.rule.word})")
    told += origins.lines(step.evidence)
    told += [f"the tag {tag} is not in the packet: none can have that VID" for tag in left_out]
    return _lines("\n".join(" ".join(one.split()) for one in told))


def _lines(text: str) -> str:
    return "\n".join(clean(line) for line in text.split("\n"))
