"""What every example in a docstring may use without importing it."""

from __future__ import annotations

from typing import Any

import pytest

from calculators.kitchen import Line
from calculators.mixture import Mixture, Tub
from calculators.units import q, say


@pytest.fixture(autouse=True)
def _names_of_examples(doctest_namespace: dict[str, Any]) -> None:
    doctest_namespace.update(q=q, say=say, Line=Line, Mixture=Mixture, Tub=Tub)
