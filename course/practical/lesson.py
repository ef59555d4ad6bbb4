"""The two days of the method as a lesson shows them: step by step, for one kitchen.

Text comes from ``exercises.craft.method``; each number is the plan's own, worked out by
the same functions for the kitchen of the lesson.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from html import escape
from types import SimpleNamespace
from typing import cast

from calculators import mixture, safety
from calculators.faults import FaultsError
from calculators.formula import Formula
from calculators.ingredients import ingredient
from calculators.kitchen import Kitchen
from calculators.labels import label_of
from calculators.units import Quantity, q, say
from course.kit.glazes import neutral_base
from course.kit.results import _Shown
from course.practical.amounts import batch_for, layers_of, mass_said, pour_of
from course.practical.cards import cake_said, temperature
from course.practical.orders import in_stores
from course.practical.steps import pan, place_of, soak_water
from course.scheme.model import Coat, Glaze, PouringWindow, Scheme, Stores
from course.scheme.own_ingredients import OwnIngredient
from exercises.craft.method import Step, method
from exercises.craft.plates import DISCLAIMER, of_state

SPARE = q(10, "percent")  # where a kitchen says none
# What a plate shows of a look; the state of a plate by the look it stands beside.
LOOKS = {
    "weigh": {"ready": "leaf soaked", "too_little": "leaf dry"},
    "bowl": {"ready": "base creamy", "too_little": "base clear"},
    "blend": {"ready": "blade under", "too_much": "blade up"},
    "blend again": {"ready": "blade under", "too_much": "blade up"},
    "colour": {"too_little": "lumps"},
    "window": {"ready": "ribbon right", "too_much": "ribbon warm", "too_little": "ribbon cold"},
    "layer": {"ready": "layered jug", "too_much": "muddy"},
    "frost": {"too_little": "slid"},
    "pour": {"ready": "right", "too_much": "waves", "too_little": "thin rim"},
    "move": {"ready": "trimming", "too_little": "drips"},
}
SAID = {"ready": "Ready", "too_much": "Too much", "too_little": "Too little"}


def as_scheme(kitchen: Kitchen) -> Scheme:
    """Return what the plan needs to know of a scheme, from the kitchen of a lesson."""
    bloom = kitchen.gelatin_wanted_bloom or kitchen.gelatin_bloom
    held = SimpleNamespace(
        kitchen=kitchen,
        stores=Stores(
            kitchen.gelatin_grade,
            kitchen.gelatin_bloom,
            kitchen.glucose,
            kitchen.scale,
            kitchen.scale,
            own_glucose=kitchen.own_glucose or "",
        ),
        own_ingredients=tuple(OwnIngredient(label_of(one)) for one in kitchen.own),
        formula=Glaze(kitchen.formula_name, tuple(kitchen.formula), kitchen.gelatin_wanted, bloom),
        window=PouringWindow(kitchen.window_low, kitchen.window_high),
        coat=Coat(
            cast(Quantity, kitchen.coat),
            cast(Quantity, kitchen.run_off),
            kitchen.spare or SPARE,
        ),
        cakes=tuple(kitchen.cakes),
        colours=tuple(kitchen.jugs),
    )
    return cast(Scheme, held)


def pan_of(kitchen: Kitchen) -> tuple[str, mixture.Mixture]:
    """Return the pan of the kitchen's glaze as the plan boils it, and whose it is.

    A glaze without such a pan lends its place to the neutral base.

    >>> from calculators.kitchen import example_kitchen
    >>> name, held = pan_of(example_kitchen())
    >>> held.water.m > 0
    True
    """
    own = Formula(kitchen.formula_name, tuple(kitchen.formula))
    for whole in (own, neutral_base(kitchen)):
        made = replace(kitchen, formula_name=whole.name, formula=whole.lines)
        held = pan(as_scheme(made))
        if held is None:
            continue
        try:
            mixture.at_mass(held, 0.9 * mixture.mass(held))  # it has water to boil off
        except FaultsError:
            continue
        return whole.name, held
    raise AssertionError("the neutral base has a pan")


def batch(kitchen: Kitchen) -> Quantity:
    """Return the glaze for all cakes of the group: poured, clinging to jugs, and to spare."""
    return batch_for(as_scheme(kitchen), [cake.count for cake in kitchen.cakes])


def scaled(kitchen: Kitchen) -> list[tuple[str, Quantity, Quantity]]:
    """Return what is weighed: by the formula once, and for all cakes, from this kitchen's stores."""
    scheme = as_scheme(kitchen)
    once = in_stores(scheme, scheme.formula.mass)
    many = in_stores(scheme, batch(kitchen))
    return [(a.ingredient, a.mass, b.mass) for a, b in zip(once, many, strict=True)]


def masses(kitchen: Kitchen, step: Step) -> tuple[str, ...]:
    """Return the masses of a step, for all cakes of the group."""
    scheme, total = as_scheme(kitchen), batch(kitchen)
    lines = in_stores(scheme, total)
    bowl: list[str] = []
    where: dict[str, list[str]] = {"gelatin": [], "bowl": bowl, "late": bowl, "pan": []}
    soak = soak_water(scheme, total)
    held = [line.mass for line in lines if line.ingredient == "water"]
    if soak is not None and held:
        soak = min(soak, held[0])  # a formula may hold less than gelatin would like
    for line in lines:
        item, mass = ingredient(line.ingredient), line.mass
        if item.name == "water" and soak is not None:
            mass = mass - soak
        if mass.m > 0:
            where[place_of(item)].append(f"{item.name} {mass_said(mass)}")
    layers = enumerate(layers_of(scheme, total), 1)
    told: dict[str, list[str]] = {
        **where,
        "formula": [f"{mass_said(total)} in all"],
        "batch": [mass_said(total)],
        "soak": [f"water to soak it {mass_said(soak)}"] if soak is not None else [],
        "jugs": [f"{j.name} {mass_said(total * j.share.m_as(''))}" for j in kitchen.jugs],
        "layers": [f"{n}. {name} {mass_said(mass)}" for n, (name, mass) in layers],
        "cake": [
            f"{mass_said(pour_of(scheme, kind))} over each {cake_said(cake)}"
            for kind, cake in enumerate(kitchen.cakes)
        ],
        "colour": ["each dose as its label says"],
    }
    return tuple(said for name in step.mass for said in told[name])


def heat(kitchen: Kitchen, step: Step) -> str:
    """Return the temperature of a step, as the plan says it."""
    if step.temperature == "out of bath" and kitchen.cooled_to is not None:
        return f"down to {say(kitchen.cooled_to)}"
    return temperature(as_scheme(kitchen), step)


@dataclass(frozen=True, repr=False)
class Day(_Shown):
    """A day of the method in numbered steps.

    Parameters
    ----------
    title : str
        Which day it is.
    steps : tuple of Step
        In their order.
    kitchen : Kitchen
        Whose numbers stand in it.
    """

    title: str
    steps: tuple[Step, ...]
    kitchen: Kitchen

    def text(self) -> str:
        """Return the steps as numbered lines."""
        return "\n".join([self.title, *(self._line(step) for step in self.steps)])

    def _line(self, step: Step) -> str:
        facts = "; ".join(f"{name}: {said}" for name, said in self._facts(step))
        looks = " ".join(f"{SAID[look]}: {words}" for look, words in _looks(step))
        return " ".join(
            filter(
                None,
                (
                    f"{step.number}. {step.title}.",
                    *step.does,
                    f"({facts})" if facts else "",
                    looks,
                    *(f"Caution: {c.hazard}." for c in map(safety.caution, step.caution)),
                ),
            )
        )

    def _facts(self, step: Step) -> list[tuple[str, str]]:
        mass = ", ".join(masses(self.kitchen, step))
        time = f"{say(step.minutes)} of hands" if step.minutes is not None else ""
        facts = (("Mass", mass), ("Temperature", heat(self.kitchen, step)), ("Time", time))
        return [(name, said) for name, said in facts if said]

    def html(self) -> str:
        """Return the steps as a numbered list that a script can show one at a time."""
        steps = "".join(self._step(step) for step in self.steps)
        title = escape(self.title)
        return (
            f'<section class="gb-method" data-method="{title}" aria-label="{title}">'
            f'<p class="gb-method-title">{title}</p><ol>{steps}</ol></section>'
        )

    def _step(self, step: Step) -> str:
        facts = "".join(
            f"<div><dt>{name}</dt><dd>{_kept(escape(said))}</dd></div>"
            for name, said in self._facts(step)
        )
        looks = "".join(
            f'<div class="gb-look"><dt>{SAID[look]}</dt><dd>{escape(words)}'
            f"{_plate(step, look)}</dd></div>"
            for look, words in _looks(step)
        )
        pictures = f'<p class="gb-rendered">{DISCLAIMER}</p>' if step.id in LOOKS else ""
        cautions = "".join(
            f'<p class="gb-hazard"><strong>{escape(c.hazard)}.</strong> {escape(c.act[0])}</p>'
            for c in map(safety.caution, step.caution)
        )
        return (
            f'<li><p class="gb-step">{escape(step.title)}</p>'
            f"<p>{escape(' '.join(step.does))}</p>"
            f'<dl class="gb-facts">{facts}</dl><dl class="gb-looks">{looks}</dl>{pictures}'
            f'{cautions}<p class="gb-why">Why: <!--lesson {step.lesson}--></p></li>'
        )


def _kept(said: str) -> str:
    """Return words in which no line breaks between a number and its unit."""
    return re.sub(r"(?<=\d) (?=(?:k?g|cm|min|°C)\b)", "\N{NO-BREAK SPACE}", said)


def _looks(step: Step) -> list[tuple[str, str]]:
    return [(look, words) for look in SAID if (words := getattr(step, look))]


def _plate(step: Step, look: str) -> str:
    state = LOOKS.get(step.id, {}).get(look)
    return f"<!--plate {of_state(state)[0].id}-->" if state else ""


def day_before(kitchen: Kitchen) -> Day:
    """Return the day before: from the freezer to the labelled pot in the cold."""
    return Day("The day before", method().day_before, kitchen)


def day(kitchen: Kitchen) -> Day:
    """Return the day of the pour: from the first word to the signed log."""
    return Day("The day", method().day, kitchen)
