"""What the pages of the demo's site are driven with."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from course.live.answers import Answers
from course.making.blocks import setting_of
from course.scheme.reading import read_scheme
from tests.browser.pages import DEMO, end_browser, served, site_of


@pytest.fixture(scope="module", autouse=True)
def _one_chromium_for_a_module() -> Iterator[None]:
    """End the Chromium that the tests of a module shared."""
    yield
    end_browser()


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """The demo's site, served."""
    with served(site_of()) as where:
        yield where


@pytest.fixture(scope="module")
def answers() -> Answers:
    """Who answers for the demo's kitchen, in this Python."""
    return Answers(setting_of(read_scheme(DEMO)))
