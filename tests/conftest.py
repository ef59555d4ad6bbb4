"""Where the workers of one run find what is made once for all of them."""

from __future__ import annotations

import os

import pytest

SITES = "GLOSSBOOK_SITES_OF_TESTS"


@pytest.fixture(scope="session", autouse=True)
def _one_place_for_sites(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Name the folder of the run; a worker's own lies in it."""
    own = tmp_path_factory.getbasetemp()
    os.environ[SITES] = str(own.parent if "PYTEST_XDIST_WORKER" in os.environ else own)
