"""Cords between boxes: what is joined to what, where walks end, which bundles and negotiations hold."""

from vlancheck.wiring.network import Link, Network
from vlancheck.wiring.wire import wire

__all__ = ["Link", "Network", "wire"]
