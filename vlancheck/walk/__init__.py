"""Frames followed through a network: one at a time (`walk`), all at once (`carriage`)."""

from vlancheck.walk.walk import Delivery, Loop, Loss, Step, Unproven, Walk, plant, walk

__all__ = ["Delivery", "Loop", "Loss", "Step", "Unproven", "Walk", "plant", "walk"]
