"""From a question and a seed to what a sheet holds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from calculators.faults import fault_error
from calculators.units import Quantity, is_quantity, q, read, say, symbol, unit
from exercises.craft import plates
from exercises.questions.draws import Draw
from exercises.questions.parts import (
    Asked,
    ChoicePart,
    ChoicesPart,
    Exhibit,
    Given,
    OrderPart,
    QuantityPart,
    TablePart,
)
from exercises.questions.registry import Question

MOST_DRAWS = 200
LETTERS = "abcdefghijklmnop"


# --- from a question and a seed to plain data --------------------------------------------


class _Remembering(dict[str, Quantity]):
    """Earlier answers, remembering which of them were asked for."""

    def __init__(self, *args: Any) -> None:
        super().__init__(*args)
        self.asked: set[str] = set()

    def __getitem__(self, name: str) -> Quantity:
        self.asked.add(name)
        return super().__getitem__(name)


def base(quantity: Quantity) -> float:
    """Return a quantity's number in base units (kelvin, gram, metre, plain share)."""
    return float(quantity.to_base_units().magnitude)


def tolerance_in(text: str, answer: Quantity) -> float:
    """Return a tolerance as a number of base units.

    ``"2 % of the answer"`` is relative; anything else is a quantity of the answer's
    dimension, where °C means a difference of temperatures.
    """
    if text.endswith(" of the answer"):
        share = read(text.removesuffix(" of the answer"), "percent", "tolerance")
        return abs(base(share) * base(answer))
    width = read(text, None, "tolerance")
    if not width.is_compatible_with(answer) or width.magnitude < 0:
        raise fault_error(
            "tolerance",
            "does not fit the answer",
            text,
            f"The answer is {say(answer)}",
            f"Write it in a unit of the answer, like 0.5 {symbol(answer.units)}".rstrip(),
        )
    degree = {"degree_Celsius": 1.0, "degree_Fahrenheit": 5 / 9}.get(str(width.units))
    return float(width.magnitude) * degree if degree else base(width)


def ask(
    chosen: Question, seed: str, counter: int, kitchen: Mapping[str, Quantity] | None
) -> tuple[Asked, Draw]:
    """Run a question's function once and return what it asks, with its draw."""
    draw = Draw(seed, chosen.id, counter, kitchen)
    return _asked(chosen.ask(draw)), draw


def asked_again(chosen: Question, values: Mapping[str, Any]) -> Asked:
    """Return what a question asks for the values that a sheet has stored."""
    return _asked(chosen.ask(Draw("", chosen.id, recorded=values)))


def _asked(returned: Any) -> Asked:
    if isinstance(returned, Asked):
        return returned
    if isinstance(returned, QuantityPart | ChoicePart | OrderPart | TablePart):
        return Asked([returned])
    return Asked(list(returned))


def build(
    chosen: Question, seed: str, kitchen: Mapping[str, Quantity] | None = None
) -> dict[str, Any]:
    """Return a question of a sheet as plain data, drawn again until it is fair.

    A draw is fair when every answer is finite and no wrong road ends within
    tolerance of the right answer.  The number of draws put back is ``counter``.

    Returns
    -------
    dict
        ``id, outcome, level, safety, digest, counter, values, stem, exhibit,
        parts``; each part a dictionary with ``name, kind, prompt, marks`` and what
        its kind needs (see :func:`_quantity_part` and its neighbours).
    """
    for counter in range(MOST_DRAWS):
        asked, draw = ask(chosen, seed, counter, kitchen)
        parts = _parts(asked, draw)
        if all(_fair(part) for part in parts):
            return _plain(chosen, asked, draw, counter, parts)
    raise fault_error(
        f"question {chosen.id}",
        f"was not fair in {MOST_DRAWS} draws",
        seed,
        "No wrong road may end within tolerance of the answer",
        "Narrow the values it draws, or drop the wrong road",
    )


def built_again(chosen: Question, values: Mapping[str, Any]) -> dict[str, Any]:
    """Return a question as :func:`build` does, for the values that a sheet has stored.

    For a question that was put right after its sheets were issued.
    """
    draw = Draw("", chosen.id, recorded=values)
    asked = _asked(chosen.ask(draw))
    return _plain(chosen, asked, draw, 0, _parts(asked, draw))


def _plain(
    chosen: Question,
    asked: Asked,
    draw: Draw,
    counter: int,
    parts: list[dict[str, Any]],
) -> dict[str, Any]:
    return {
        "id": chosen.id,
        "outcome": chosen.outcome,
        "level": chosen.level,
        "safety": chosen.safety,
        "digest": chosen.digest,
        "counter": counter,
        "values": draw.values,
        "stem": asked.stem,
        "exhibit": _exhibit(asked.exhibit),
        "parts": parts,
    }


def _parts(asked: Asked, draw: Draw) -> list[dict[str, Any]]:
    true = _Remembering()
    parts: list[dict[str, Any]] = []
    for name, part in zip(LETTERS, asked.parts, strict=False):
        if isinstance(part, QuantityPart):
            data = _quantity_part(part, true)
            true[name] = q(data["answer"], data["base_unit"]).to(unit(data["unit"]))
        elif isinstance(part, OrderPart):
            data = _order_part(part, draw, name)
        elif isinstance(part, TablePart):
            rows = {label: _quantity_part(row, true) for label, row in part.rows.items()}
            data = {
                "kind": "table",
                "prompt": part.prompt,
                "worked": part.worked,
                "safety": part.safety,
                "rows": [{"label": label, **row} for label, row in rows.items()],
                "total": sum(row["total"] for row in rows.values()),
            }
        else:
            data = _choice_part(part, draw, name)
        parts.append({"name": name, **data})
    return parts


def _quantity_part(part: QuantityPart, true: _Remembering) -> dict[str, Any]:
    """Return a quantity as data: answer, tolerance and roads are floats in base units."""
    true.asked = set()
    answer = part.answer(true) if callable(part.answer) else part.answer
    if not is_quantity(answer):
        raise fault_error("answer", "is not a quantity", answer, "", "Return a quantity")
    shown = part.unit or str(answer.units)
    return {
        "kind": "quantity",
        "prompt": part.prompt,
        "answer": base(answer),
        "base_unit": str(answer.to_base_units().units),
        "unit": shown,
        "shown": say(answer, shown, digits=4),
        "tolerance": tolerance_in(part.tolerance, answer),
        "tolerance_text": part.tolerance,
        "because": part.because,
        "marks": dict(part.marks),
        "total": sum(part.marks.values()),
        "roads": [
            {"name": r.name, "value": base(_now(r.value, true)), "says": r.says}
            for r in part.wrong_turns
        ],
        "follows": sorted(true.asked),
        "working": part.working,
        "worked": part.worked,
        "safety": part.safety,
    }


def _now(value: Any, true: Given) -> Quantity:
    return value(true) if callable(value) else value


def _choice_part(part: ChoicePart, draw: Draw, name: str) -> dict[str, Any]:
    options = list(part.options)
    if not part.keep_order:
        options = draw.shuffled(f"options {name}", options)
    return {
        "kind": "choices" if isinstance(part, ChoicesPart) else "choice",
        "prompt": part.prompt,
        "options": [
            {"key": key, "text": o.text, "says": o.says}
            for key, o in zip(LETTERS, options, strict=False)
        ],
        "right": [k for k, o in zip(LETTERS, options, strict=False) if o.right],
        "marks": {"choice": part.marks},
        "total": part.marks,
        "worked": part.worked,
        "safety": part.safety,
    }


def _order_part(part: OrderPart, draw: Draw, name: str) -> dict[str, Any]:
    places = draw.shuffled(f"order {name}", range(len(part.steps)))
    return {
        "kind": "order",
        "prompt": part.prompt,
        "steps": [part.steps[place] for place in places],
        "right": [places.index(n) + 1 for n in range(len(places))],
        "marks": {"order": part.marks},
        "total": part.marks,
        "says": part.says,
        "worked": part.worked,
        "safety": part.safety,
    }


def _exhibit(exhibit: Exhibit | None) -> dict[str, Any] | None:
    if exhibit is None:
        return None
    return {
        "title": exhibit.title,
        "head": list(exhibit.head),
        "rows": [list(row) for row in exhibit.rows],
        "svg": exhibit.svg,
        "alt": plates.plate(exhibit.plate).plain_alt if exhibit.plate else exhibit.alt,
    } | ({"plate": exhibit.plate} if exhibit.plate else {})


def _fair(part: Mapping[str, Any]) -> bool:
    """Tell whether no wrong road of a part ends within tolerance of its answer."""
    rows: Iterable[Mapping[str, Any]] = part.get("rows", ())
    if part["kind"] == "table":
        return all(_fair(row) for row in rows)
    if part["kind"] == "order":
        return bool(part["right"] != sorted(part["right"]))
    if part["kind"] != "quantity":
        return True
    finite = part["answer"] == part["answer"] and abs(part["answer"]) < 1e15
    return finite and all(
        abs(road["value"] - part["answer"]) > 2 * part["tolerance"] for road in part["roads"]
    )


def unit_in_words(unit_name: str) -> str:
    """Return how the unit of an answer is written, for a prompt or a mark scheme."""
    return symbol(unit_name)
