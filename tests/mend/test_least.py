"""No smaller change mends a planted fault: every single change of the closet is tried, with lines of its dialect."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from vlancheck.answering import audited
from vlancheck.dot1q.model import PortKind
from vlancheck.mend.amendment import Amendment, PortChange
from vlancheck.pipeline import Site
from vlancheck.writer import WriteError, edit

from .closets import CORE, IOS, closet
from .test_mend import FAULTS

VIDS = (10, 20, 310)
TWO = "uplink left as access"  # two VLANs are put back, and the one that was untagged goes


def singles(site: Site) -> Iterator[Amendment]:
    """Yield every change of one thing: a VLAN made, a port turned on, a VID put in, taken out or made the untagged."""
    for box in site.survey("as-found").reading.devices:
        yield from (Amendment(frozenset({(box.name, vid)})) for vid in VIDS)
        for port in box.ports.values():
            if port.kind is PortKind.INSIDE:
                continue
            changes = [PortChange(enable=True), PortChange(untagged=None)]
            for vid in VIDS:
                changes += [PortChange(add=1 << vid), PortChange(drop=1 << vid), PortChange(untagged=vid)]
            yield from (Amendment(ports={f"{box.name}:{port.name}": change}) for change in changes)


def clean_with(site: Site, change: Amendment) -> bool:
    """Tell whether the audit is clean with a change typed, by the way that the search does not take."""
    survey = site.survey("as-found")
    (name,) = change.devices
    try:
        made = edit(survey.reading.gathered[name], name, change.wish(survey.network.devices[name]))
    except WriteError:
        return False
    return audited(site, survey.changed({name: made.after}, {name: made.facts}, survey.sheet)).exit_code == 0


@pytest.mark.parametrize("name", FAULTS)
def test_no_single_change_is_better(name: str, tmp_path: Path) -> None:
    """What is proposed is among the single changes that make the closet clean, wherever there is one."""
    plant, _ = FAULTS[name]
    core, acc = plant((CORE, IOS))
    site = closet(tmp_path, core=core, acc=acc)
    mending = [change for change in singles(site) if clean_with(site, change)]
    (mend,) = site.mend().mends
    assert bool(mending) == (name != TWO)
    if mending:
        assert mend.amendment in mending
