"""From a question and a seed to what a sheet holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from calculators.faults import fault_error
from calculators.units import Quantity
from exercises.craft import plates
from exercises.questions.draws import Draw
from exercises.questions.parts import (
    LETTERS,
    Asked,
    DrawnPart,
    DrawnQuestion,
    EarlierAnswers,
    Exhibit,
    Part,
)
from exercises.questions.registry import Question

MOST_DRAWS = 200


def ask(
    chosen: Question, seed: str, counter: int, kitchen: Mapping[str, Quantity] | None
) -> tuple[Asked, Draw]:
    """Run a question's function once and return what it asks, with its draw."""
    draw = Draw(seed, chosen.id, counter, kitchen)
    return _asked(chosen.ask(draw)), draw


def _asked(returned: Any) -> Asked:
    if isinstance(returned, Asked):
        return returned
    return Asked([returned] if isinstance(returned, Part) else list(returned))


def build(
    chosen: Question, seed: str, kitchen: Mapping[str, Quantity] | None = None
) -> DrawnQuestion:
    """Return a question of a sheet, drawn again until it is fair.

    A draw is fair when every answer is finite and no wrong turn ends within
    tolerance of the right answer.  The number of draws put back is ``counter``.
    """
    for counter in range(MOST_DRAWS):
        asked, draw = ask(chosen, seed, counter, kitchen)
        parts = _parts(asked.parts, draw)
        if all(part.is_fair() for part in parts):
            return _drawn(chosen, asked, draw, counter, parts)
    raise fault_error(
        f"question {chosen.id}",
        f"was not fair in {MOST_DRAWS} draws",
        seed,
        "No wrong turn may end within tolerance of the answer",
        "Narrow the values it draws, or drop the wrong turn",
    )


def built_again(chosen: Question, values: Mapping[str, Any]) -> DrawnQuestion:
    """Return a question as :func:`build` does, for the values that a sheet has stored."""
    draw = Draw("", chosen.id, recorded=values)
    asked = _asked(chosen.ask(draw))
    return _drawn(chosen, asked, draw, 0, _parts(asked.parts, draw))


def again(chosen: Question, values: Mapping[str, Any]) -> tuple[Asked, dict[str, DrawnPart]]:
    """Return what a question asks for stored values, and its parts, drawn without wrong turns."""
    draw = Draw("", chosen.id, recorded=values)
    asked = _asked(chosen.ask(draw))
    parts = _parts([part.without_turns() for part in asked.parts], draw)
    return asked, {part.name: part for part in parts}


def _seen(exhibit: Exhibit | None) -> Exhibit | None:
    """Return an exhibit with the words of its plate, which tell no diagnosis."""
    if exhibit is None or not exhibit.plate:
        return exhibit
    return replace(exhibit, alt=plates.plate(exhibit.plate).plain_alt)


def _drawn(
    chosen: Question, asked: Asked, draw: Draw, counter: int, parts: tuple[DrawnPart, ...]
) -> DrawnQuestion:
    return DrawnQuestion(
        chosen.id,
        chosen.outcome,
        chosen.level,
        chosen.safety,
        counter,
        draw.values,
        asked.stem,
        _seen(asked.exhibit),
        parts,
    )


def _parts(asked: Sequence[Part], draw: Draw) -> tuple[DrawnPart, ...]:
    true = EarlierAnswers()
    parts = []
    for name, part in zip(LETTERS, asked, strict=False):
        drawn = part.drawn(name, draw, true)
        answer = drawn.quantity()
        if answer is not None:
            true[name] = answer
        parts.append(drawn)
    return tuple(parts)
