"""What stands in a lesson beside prose and cells: kitchen, practice and panels.

Each block is made as Markdown that holds on paper and in plain Jupyter, and as
HTML for the site, where a script may bring it to life.
"""

from __future__ import annotations

import ast
import dataclasses
from html import escape
from typing import Any

from calculators.faults import fault_error
from calculators.kitchen import Kitchen
from calculators.units import is_quantity
from course.kit.results import plate_html
from course.live import forms
from course.live.answers import Answers, written
from exercises.craft import plates
from exercises.craft.own_pictures import Photograph
from exercises.questions.parts import DrawnQuestion, Exhibit

# --- the kitchen ----------------------------------------------------------------------


def kitchen_cell(scheme: Any) -> str:
    """Return the source of the cell that tells a lesson which kitchen it is for."""
    lines = [f"    {name}={literal}," for name, literal in _given(scheme.as_kitchen()).items()]
    head = ["from calculators.kitchen import kitchen_of", "", "kitchen = kitchen_of("]
    return "\n".join([*head, *lines, ")"])


def _given(kitchen: Kitchen) -> dict[str, str]:
    """Return what a kitchen says, as it stands in the kitchen cell."""
    return {
        name: _literal(value) for name, value in vars(kitchen).items() if value not in (None, ())
    }


def _literal(value: Any) -> str:
    """Return a value as it stands in the kitchen cell: text, as a person writes it."""
    if is_quantity(value):
        return repr(written(value))
    if dataclasses.is_dataclass(value):
        return "(" + ", ".join(map(_literal, vars(value).values())) + ")"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{k!r}: {_literal(v)}" for k, v in value.items()) + "}"
    if isinstance(value, tuple | list):
        inner_lines = "".join(f"\n        {_literal(item)}," for item in value)
        return f"[{inner_lines}\n    ]"
    return repr("" if value is None else value)


def setting_of(scheme: Any) -> dict[str, Any]:
    """Return what panels and practice need to know of a kitchen, as plain text."""
    return {
        "kitchen": {
            name: ast.literal_eval(literal) for name, literal in _given(scheme.as_kitchen()).items()
        },
        "dry runs": [
            {
                "name": run.name,
                "title": run.title,
                "way": run.way,
                "seed": run.seed,
                "surprises": list(run.surprises),
                "formula": ast.literal_eval(_literal(run.lines)),
                "hand in by": run.hand_in_by.isoformat() if run.hand_in_by else "",
            }
            for run in scheme.dry_runs.values()
        ],
        "values": {name: written(value) for name, value in scheme.kitchen_values().items()},
        "policy": scheme.marking.policy,
        "pictures": {
            one.id: one.plain_alt
            for one in (plates.plate(p.id) for p in plates.plates() if p.use == "shown")
            if isinstance(one, Photograph)
        },
    }


# --- plates -----------------------------------------------------------------------------------


def plate(name: str, form: str) -> str:
    """Return a plate: a picture on the site, its words on paper and in plain Jupyter."""
    shown = plates.plate(name)
    if shown.use != "shown":
        raise fault_error(
            f"plate {name}",
            "is kept for assessed questions",
            name,
            "",
            "Take one of the plates that are shown",
        )
    if form == "site":
        return raw(plate_html(name, shown.alt, f"{shown.caption} {shown.why}"))
    return f"> *{shown.caption} {shown.why}* {shown.alt}"


def small_plate(name: str) -> str:
    """Return a plate as it stands beside a look: the picture alone, in its narrow width."""
    shown = plates.plate(name)
    width, height = plates.Plate.size(plates.WIDTHS[0])
    return (
        f'<img class="gb-plate" src="../_static/plates/{name}-{width}.webp" width="{width}" '
        f'height="{height}" loading="lazy" decoding="async" alt="{escape(shown.alt)}">'
    )


# --- practice ------------------------------------------------------------------------------


def practice(answers: Answers, question_id: str, form: str, *, live: bool = True) -> str:
    """Return a practice question with one set of numbers and its worked solution."""
    if form == "site":
        return raw(forms.practice_html(answers, question_id, live=live))
    return _practice_text(answers.asked(question_id))


def by_hand(answers: Answers, question_id: str, body: str, form: str, *, live: bool = True) -> str:
    """Return a sum by hand, and on the site the same with its end left open."""
    if form == "site":
        return raw(forms.by_hand_html(answers, question_id, body, live=live))
    return answers.by_hand(question_id, 0).text()


def raw(html: str) -> str:
    """Return HTML as a block that Markdown leaves alone, whatever lines are in it."""
    return f"````{{raw}} html\n{html}\n````"


def _practice_text(asked: DrawnQuestion) -> str:
    lines = [f"**To practise.** {asked.stem}".rstrip()]
    lines += _exhibit_text(asked.exhibit)
    for part in asked.parts:
        lines.append(f"**{part.name})** {part.prompt}")
        listed = part.public(1, False).listed()
        lines += [f"- **{name}** {text}" if name else f"- {text}" for name, text in listed]
    worked = "\n\n".join(part.solution() for part in asked.parts)
    lines.append(f"<details><summary>The worked solution</summary>\n\n{worked}\n\n</details>")
    return "\n\n".join(lines)


def _exhibit_text(exhibit: Exhibit | None) -> list[str]:
    if not exhibit:
        return []
    seen = [f"{exhibit.title}. {exhibit.alt}"] if exhibit.svg or exhibit.plate else []
    if not exhibit.rows:
        return seen
    head = "| " + " | ".join(exhibit.head) + " |"
    rule = "| " + " | ".join("---" for _ in exhibit.head) + " |"
    rows = ["| " + " | ".join(row) + " |" for row in exhibit.rows]
    return [*(seen or [exhibit.title]), "\n".join([head, rule, *rows])]


# --- short runs ---------------------------------------------------------------------------------


def short_run(answers: Answers, name: str, form: str, *, live: bool = True) -> str:
    """Return a short run of the dry run; without a script, how things stand in it."""
    if form == "site":
        return raw(answers.short_runs.form_html(name, live=live))
    return str(answers.short_runs.text(name))


# --- calculator panels ---------------------------------------------------------------------------


def panel(answers: Answers, name: str, body: str, form: str, *, live: bool = True) -> str:
    """Return a calculator panel; until a script takes it up, a worked example."""
    if form == "site":
        return raw(forms.panel_html(answers, name, body, live=live))
    return forms.panel_text(answers, name, body)
