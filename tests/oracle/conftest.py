"""The running switch that the oracle tests share, and how many random wirings they try."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, settings

from .ovs import Ovs, missing_programs, unavailable

# VLANCHECK_ORACLE_WIRINGS: random wirings a test tries. VLANCHECK_REQUIRE_ORACLE=1: a missing switch is a failure and
# the same wirings are drawn in every run.
settings.register_profile(
    "oracle",
    max_examples=int(os.environ.get("VLANCHECK_ORACLE_WIRINGS", "60")),
    derandomize=os.environ.get("VLANCHECK_REQUIRE_ORACLE") == "1",
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)


@pytest.fixture(scope="session")
def ovs() -> Iterator[Ovs]:
    """Yield one running Open vSwitch; each test builds its own wiring in it, which replaces the one before."""
    if missing := missing_programs():
        unavailable(missing)
    with Ovs() as running:
        yield running
