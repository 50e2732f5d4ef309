"""What tests of several forms of a report share."""

from __future__ import annotations

from pathlib import Path

import pytest

from vlancheck import Site, open_site
from vlancheck.example import write_site


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The built-in site."""
    made = tmp_path_factory.mktemp("site")
    write_site(made)
    return made


@pytest.fixture(scope="module")
def site(folder: Path) -> Site:
    return open_site(folder)
