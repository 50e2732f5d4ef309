"""vlancheck says which VLAN tags a network carries, drops, mismatches or leaks, with the line behind every answer.

site = vlancheck.open_site("folder")
survey = site.survey("as-found")
survey.walk("SORT-1:24", "310").deliveries
"""

from typing import TYPE_CHECKING, Any

from vlancheck.errors import CaptureError, DialectError, NotationError, SiteError, UsageError, VlancheckError

if TYPE_CHECKING:
    from vlancheck.dot1q.rules import Rule
    from vlancheck.pipeline import Site, Survey, open_site, read_paths
    from vlancheck.walk import Carriage, Delivery, Loop, Loss, Step, Unproven, Walk

_LATER = {
    "Carriage": "vlancheck.walk",
    "Delivery": "vlancheck.walk",
    "Loop": "vlancheck.walk",
    "Loss": "vlancheck.walk",
    "Rule": "vlancheck.dot1q.rules",
    "Site": "vlancheck.pipeline",
    "Step": "vlancheck.walk",
    "Survey": "vlancheck.pipeline",
    "Unproven": "vlancheck.walk",
    "Walk": "vlancheck.walk",
    "open_site": "vlancheck.pipeline",
    "read_paths": "vlancheck.pipeline",
}  # loaded when first used, so that `vlancheck --help` does not wait for them

__all__ = [
    "CaptureError",
    "Carriage",
    "Delivery",
    "DialectError",
    "Loop",
    "Loss",
    "NotationError",
    "Rule",
    "Site",
    "SiteError",
    "Step",
    "Survey",
    "Unproven",
    "UsageError",
    "VlancheckError",
    "Walk",
    "open_site",
    "read_paths",
]


def __getattr__(name: str) -> Any:
    if name in _LATER:
        from importlib import import_module

        return getattr(import_module(_LATER[name]), name)
    raise AttributeError(f"module 'vlancheck' has no attribute {name!r}")
