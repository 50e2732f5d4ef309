"""What a port is set to beside the forwarding of VLANs: the closed list of properties by which ports may differ.

None of these enters a walk.  They tell whether a cord may move to another port, and what a device did to a port.
"""

from __future__ import annotations

from enum import StrEnum


class Property(StrEnum):
    """One property of a port; its value is a word as the device writes it, `yes` where it is only on."""

    SPEED = "speed"  # speed asked for, Mbit/s or `auto`
    DUPLEX = "duplex"  # duplex asked for
    MAX_FRAME = "max-frame"  # largest frame or MTU set for the port, octets as the device counts them
    POWER = "power"  # power over the cord that the port may give: `auto`, `off`, a priority or a limit
    SPARE_PAIRS = "power-four-pairs"  # power over all four pairs
    STICKY_MAC = "sticky-mac"  # it keeps the addresses it learned and shuts or drops for another one
    STATIC_MAC = "static-mac"  # addresses written for this port by hand, joined by commas
    MAC_LIMIT = "mac-limit"  # addresses it takes at most
    ON_VIOLATION = "on-violation"  # what it does to one more address
    AUTHENTICATION = "authentication"  # IEEE Std 802.1X or by MAC address
    DHCP_TRUST = "dhcp-trust"  # takes answers of a DHCP server
    ARP_TRUST = "arp-trust"  # takes ARP without a look at the bindings
    OPTION_82 = "option-82"  # circuit written into DHCP requests (RFC 3046)
    SOURCE_GUARD = "source-guard"  # takes bound addresses only
    EDGE = "edge"  # spanning tree takes it for an edge port (IEEE Std 802.1Q, 13.27.1)
    TREE_HERE = "tree-here"  # `off` where the port takes no part in spanning tree: it sends no BPDU and blocks nothing
    BPDU_GUARD = "bpdu-guard"  # shuts when a BPDU arrives
    BPDU_FILTER = "bpdu-filter"  # neither sends nor takes BPDUs
    ROOT_GUARD = "root-guard"  # never becomes a root port
    LOOP_GUARD = "loop-guard"  # does not forward when BPDUs stop
    STORM_LIMIT = "storm-limit"  # limit of broadcast, multicast or unknown frames
    PRIORITY_TRUST = "priority-trust"  # whose priority it believes
    FILTER = "filter"  # access list or policy bound to it
    VOICE = "voice"  # voice VLAN or how a phone is told of it
    LOCATION = "location"  # place told to a phone for emergency calls (ANSI/TIA-1057)
    POWER_DRAWN = "power-drawn"  # shown: watts drawn, or how the powering stands
    IN_BUNDLE = "in-bundle"  # shown: how it stands in its bundle, where it does not work in it
    SHUT_BY = "shut-by"  # shown: why the device itself shut the port


SHOWN = frozenset(
    {Property.POWER_DRAWN, Property.IN_BUNDLE, Property.SHUT_BY}
)  # what a moment showed, not what lines ask for
