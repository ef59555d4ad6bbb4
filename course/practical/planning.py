"""The plan of the practical."""

from __future__ import annotations

import dataclasses
import datetime

from calculators import formula
from calculators.formula import Formula
from calculators.units import q
from course.practical.amounts import (
    amounts_of,
    batch_for,
    legal_notes,
    refuse_forbidden,
    refuse_too_much,
    share_out,
)
from course.practical.benches import alike
from course.practical.model import Plan
from course.practical.orders import in_stores, orders_for, without_price
from course.practical.steps import day_before_steps
from course.practical.times import window_said
from course.practical.two_days import clock_of, refuse_broken, with_left_over, without_hours
from course.practical.warnings import warnings_of
from course.scheme.model import Scheme

# --- the plan ------------------------------------------------------------------------------


def plan(scheme: Scheme) -> Plan:
    """Work out the practical of a scheme of work.

    Parameters
    ----------
    scheme : Scheme
        Read and checked.

    Returns
    -------
    Plan
        Orders, the day before, and a plan for each bench.

    Raises
    ------
    FaultsError
        Where an ingredient or a colourant may not go into food in the region, or where
        the plan breaks a rule on cooling or holding: with the step and the mend.
    """
    refuse_forbidden(scheme)
    benches = share_out(scheme)
    batches = [batch_for(scheme, cakes) for cakes in benches]
    refuse_too_much(batches)
    total = sum(batches, q(0, "g"))
    made = Formula(scheme.formula.name, tuple(in_stores(scheme, total)))
    orders, cost = orders_for(scheme, made, total)
    stations = alike(scheme, benches)
    day = scheme.group.practical
    planned = Plan(
        scheme=scheme,
        day_before=day - datetime.timedelta(days=1) if day else None,
        window=window_said(scheme),
        amounts=amounts_of(scheme, benches, total),
        orders=orders,
        cost=cost,
        without_price=without_price(orders),
        eaters=formula.who_cannot_eat(made)[:-1],
        legal=legal_notes(scheme),
        before=day_before_steps(scheme, stations),
        stations=stations,
        warnings=warnings_of(scheme, stations),
    )
    return _on_the_clock(planned)


def _on_the_clock(made: Plan) -> Plan:
    """Return a plan with the clock of both days, or refuse one that breaks a rule."""
    clocks = clock_of(made)
    stations = tuple(map(with_left_over, made.stations, clocks))
    timed = dataclasses.replace(made, stations=stations, clocks=clocks)
    refuse_broken(timed)
    return dataclasses.replace(timed, warnings=(*made.warnings, *without_hours(timed)))
