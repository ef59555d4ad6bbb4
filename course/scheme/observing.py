"""What an observer looks for in a kitchen: the rows of a scheme, as sheets hold them."""

from __future__ import annotations

import dataclasses
from typing import Any

from course.scheme.model import Scheme
from exercises.observing.sheet import Rule, content_of


def observed_content(scheme: Scheme) -> dict[str, Any]:
    """Return what the observation sheets of a scheme hold, as plain data."""
    limits = dataclasses.replace(scheme.practical.limits, hold=scheme.local_rules.discard_after)
    return content_of(
        scheme.as_kitchen(),
        limits,
        title=scheme.formula.name,
        school=scheme.school.name,
        rule=Rule(float(scheme.pass_rule.share.m_as("")), scheme.pass_rule.must_pass),
        without=scheme.left_out,
    )
