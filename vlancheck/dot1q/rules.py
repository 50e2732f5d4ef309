"""The closed list of rules that decide a frame's fate; their values are part of the JSON interface.

Clause numbers are those of IEEE Std 802.1Q-2018 and 2022 (the forwarding process, 8.6, and the tagging
of frames on a port, 6.9), cited from memory where the text could not be read.
"""

from __future__ import annotations

from enum import Enum


class Rule(Enum):
    """A rule: its name on the wire of our outputs, its clause, and what it says in one sentence."""

    # what happens to a frame that goes on
    TAGGED_IN = "tagged-in", "802.1Q 6.9.1", "the frame's own tag says its VLAN, and the port accepts that VID"
    PVID_IN = "pvid-in", "802.1Q 6.9.1", "a frame without a VID takes the PVID of the port it arrives at"
    REWRITTEN_IN = (
        "rewritten-in",
        "802.1Q 6.9, 12.10.1.8",
        "the port's entry table changes the tags",
    )
    TAGGED_OUT = "tagged-out", "802.1Q 6.9.2", "the port is a member and the VID is not in its untagged set"
    UNTAGGED_OUT = "untagged-out", "802.1Q 6.9.2, 8.8.2", "the port is a member and the VID is in its untagged set"
    REWRITTEN_OUT = (
        "rewritten-out",
        "802.1Q 6.9, 12.10.1.9",
        "the port's exit table changes the tags",
    )
    TAKEN = "taken", "802.1Q 8.5", "the frame ends here"

    # losses on arrival
    PORT_DOWN = "port-down", "802.1Q 6.6.2", "the port is shut or has no link"
    FOREIGN_TAG = "foreign-tag", "802.1Q 5.5, 5.6", "the outermost tag has a TPID this port does not accept"
    NOT_TAKEN = "not-taken", "802.1Q 8.2", "no interface of this port takes a frame with these tags"
    ENTRY_ROW = "entry-row", "802.1Q 6.9", "the port's entry table drops this tag"
    RESERVED_VID = "reserved-vid", "802.1Q 9.6, Table 9-2", "VID 4095 is never carried"
    NOT_ADMITTED = "not-admitted", "802.1Q 6.9, 8.6.2", "the port does not accept this VID in a tag"
    NO_PVID = "no-pvid", "802.1Q 6.9", "the port takes no frame without a VID"
    VLAN_ABSENT = "vlan-absent", "802.1Q 8.8, 12.10.2", "the bridge does not have this VLAN"
    VLAN_SUSPENDED = "vlan-suspended", "802.1Q 8.8", "the bridge has this VLAN, but it is suspended or shut down"
    BLOCKED_IN = "blocked-in", "802.1Q 8.4, 8.6.1", "spanning tree does not forward this VLAN on the arrival port"

    # losses on departure
    NOT_MEMBER = "not-member", "802.1Q 8.6.4, 8.8.10", "the port is not a member of this VLAN"
    PRIVATE_VLAN = "private-vlan", "RFC 5517, 3", "the port's part in the private VLAN keeps this VID from leaving"
    PORT_DOWN_OUT = "port-down-out", "802.1Q 6.6.2", "the departure port is shut or has no link"
    BLOCKED_OUT = "blocked-out", "802.1Q 8.4, 8.6.1", "spanning tree does not forward this VLAN on the departure port"
    ISOLATED = "isolated", "common practice, no clause", "two isolated ports of one switch exchange nothing"
    EXIT_ROW = "exit-row", "802.1Q 6.9", "the port's exit table drops this tag"
    OFF_WIRE = "off-wire", "802.1Q 9.6", "the relay VID is no VID that a tag can carry"
    NOWHERE = "nowhere", "802.1Q 8.6.4", "no other port of the bridge carries this VLAN"

    # not lost, not delivered
    GROWING = "growing", "802.1Q 8.4", "the frame comes round again and gets another tag each time"
    LOOP = "loop", "802.1Q 8.4", "the frame comes round to where it was and goes on for ever"
    IN_DOUBT = "in-doubt", "no clause", "an unread line, an unknown fact or an unknown box decides this"

    def __init__(self, word: str, clause: str, sentence: str) -> None:
        self.word = word  # name in JSON and text
        self.clause = clause  # where the rule is written
        self.sentence = sentence  # what it says
