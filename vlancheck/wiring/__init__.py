"""Cords between boxes: what is joined to what, where walks end, which bundles and negotiations hold."""

from vlancheck.wiring.network import Link, Network, split_place

__all__ = ["Link", "Network", "split_place"]
