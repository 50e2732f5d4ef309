"""Frames followed through a network: one at a time (`walk`), all at once (`carriage`)."""

from vlancheck.walk.carriage import Carriage, carriage
from vlancheck.walk.walk import Delivery, Loop, Loss, Step, Unproven, Walk, plant, walk

__all__ = ["Carriage", "Delivery", "Loop", "Loss", "Step", "Unproven", "Walk", "carriage", "plant", "walk"]
