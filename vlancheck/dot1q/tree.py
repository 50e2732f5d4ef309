"""What a bridge and its ports say of their spanning tree: priorities, addresses, costs, regions.

An instance is a VID where each VLAN has a tree of its own, the number of an MST instance, and 0 for the common tree.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from vlancheck.evidence import UNKNOWN, Cover, Fact, Origins, assumed
from vlancheck.vids import EVERY

OWN_REGION = "its own"  # name of an MST region that no other bridge can be in: the bridge's address is part of it
ADDRESS_UNKNOWN: Fact[str] = Fact(UNKNOWN, assumed("nothing shows the address of this bridge"))
NUMBER_UNKNOWN: Fact[int] = Fact(UNKNOWN, assumed("nothing shows which number spanning tree gives this port"))
COSTS_UNKNOWN: Fact[str] = Fact(UNKNOWN, assumed("nothing says which table of path costs this bridge uses"))
NO_REGION: Fact[str | None] = Fact(None, assumed("nothing says that this bridge is in an MST region"))
NO_VLAN = Cover.of(0, assumed("nothing takes a VLAN out of spanning tree"))


@dataclass(frozen=True, slots=True)
class Given:
    """A number that something gives to some instances."""

    number: int  # priority, cost, or instance
    instances: int = EVERY  # instances, or VIDs, that it is given to; EVERY: to all that have no number of their own
    origins: Origins = ()  # who gave it


@dataclass(frozen=True, slots=True, kw_only=True)
class BridgeTree:
    """What decides the place of a bridge in its trees (IEEE Std 802.1D-2004, 17.17 and 17.18)."""

    address: Fact[str] = ADDRESS_UNKNOWN  # bridge address, lower case with colons
    priorities: tuple[Given, ...] = ()  # bridge priority, without the instance that is added to it
    costs: Fact[str] = COSTS_UNKNOWN  # table of path costs: `short` or `long`
    region: Fact[str | None] = NO_REGION  # MST region, NAME/REVISION; None: it knows no regions
    instances: tuple[Given, ...] = ()  # MST instances of VLANs; those of none are in instance 0
    without: Cover = NO_VLAN  # VLANs in which no tree runs, though it does in others


@dataclass(frozen=True, slots=True, kw_only=True)
class PortTree:
    """What decides the part of a port in the trees of its bridge (IEEE Std 802.1D-2004, 17.19)."""

    costs: tuple[Given, ...] = ()  # path cost that lines set
    shown_costs: tuple[Given, ...] = ()  # path cost that a capture shows; it holds while the cord is the same
    priorities: tuple[Given, ...] = ()  # port priority
    number: Fact[int] = NUMBER_UNKNOWN  # number of the port


def given(several: Iterable[Given], instance: int) -> Given | None:
    """Return what is given to an instance: its own number, else the one for all; the last one said counts."""
    own = everyone = None
    for one in several:
        if one.instances == EVERY:
            everyone = one
        elif one.instances >> instance & 1:
            own = one
    return own or everyone
