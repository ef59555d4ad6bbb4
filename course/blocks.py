"""What stands in a lesson beside prose and cells: kitchen, practice and panels.

Each block is made as Markdown that holds on paper and in plain Jupyter, and as
HTML for the site, where a script may bring it to life.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from html import escape
from typing import Any

from calculators.faults import refuse
from calculators.kitchen import Kitchen
from calculators.units import Quantity, is_quantity, symbol
from exercises.question import bank, build

SEED = "the course site"


# --- the kitchen ----------------------------------------------------------------------


def kitchen_cell(scheme: Any) -> str:
    """Return the source of the cell that tells a lesson which kitchen it is for."""
    kitchen: Kitchen = scheme.as_kitchen()
    lines = [
        f"    {field.name}={_literal(getattr(kitchen, field.name))},"
        for field in dataclasses.fields(kitchen)
        if getattr(kitchen, field.name) not in (None, ())
    ]
    return "\n".join(
        [
            "from calculators.kitchen import kitchen_of",
            "",
            "kitchen = kitchen_of(",
            *lines,
            ")",
        ]
    )


def _literal(value: Any) -> str:
    """Return a value as it stands in the kitchen cell: text, as a person writes it."""
    if is_quantity(value):
        return repr(written(value))
    if dataclasses.is_dataclass(value):
        inner = (getattr(value, field.name) for field in dataclasses.fields(value))
        return "(" + ", ".join(_literal(item) for item in inner) + ")"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{k!r}: {_literal(v)}" for k, v in value.items()) + "}"
    if isinstance(value, tuple | list):
        inner_lines = "".join(f"\n        {_literal(item)}," for item in value)
        return f"[{inner_lines}\n    ]"
    return repr("" if value is None else value)


def written(quantity: Quantity) -> str:
    """Return a quantity as text that the strict reader gives back unchanged."""
    return f"{float(quantity.magnitude):g} {symbol(quantity.units)}".replace(
        "\N{NO-BREAK SPACE}", " "
    )


# --- practice ------------------------------------------------------------------------------


def practice(question_id: str, form: str, kitchen: Mapping[str, Quantity]) -> str:
    """Return a practice question with one set of numbers and its worked solution."""
    chosen = bank().get(question_id)
    if chosen is None:
        raise refuse("practice", "is a question that is not in the bank", question_id, "",
                     "Look up its name in exercises/bank")  # fmt: skip
    if chosen.private:
        raise refuse("practice", "is a question from your own folder, and those never reach the site",
                     question_id, "", "Choose a question of the bank")  # fmt: skip
    asked = build(chosen, SEED, kitchen)
    return _practice_html(asked) if form == "site" else _practice_text(asked)


def _practice_text(asked: dict[str, Any]) -> str:
    lines = [f"**To practise.** {asked['stem']}".rstrip()]
    lines += _exhibit_text(asked["exhibit"])
    for part in asked["parts"]:
        lines.append(f"**{part['name']})** {part['prompt']}")
        lines += [f"- {o['key']}) {o['text']}" for o in part.get("options", ())]
        lines += [f"{n}. {step}" for n, step in enumerate(part.get("steps", ()), 1)]
        lines += [f"- {row['label']}" for row in part.get("rows", ())]
    worked = "\n\n".join(solution(part) for part in asked["parts"])
    lines.append(
        f"<details><summary>The worked solution</summary>\n\n{worked}\n\n</details>"
    )
    return "\n\n".join(lines)


def _exhibit_text(exhibit: dict[str, Any] | None) -> list[str]:
    if not exhibit:
        return []
    if exhibit["svg"]:
        return [f"{exhibit['title']}. {exhibit['alt']}"]
    head = "| " + " | ".join(exhibit["head"]) + " |"
    rule = "| " + " | ".join("---" for _ in exhibit["head"]) + " |"
    rows = ["| " + " | ".join(row) + " |" for row in exhibit["rows"]]
    return [exhibit["title"], "\n".join([head, rule, *rows])]


def solution(part: dict[str, Any]) -> str:
    """Return the worked solution of a part, ending at its answer."""
    worked = part.get("worked", "")
    if part["kind"] == "quantity":
        return f"{part['working']}\n\n{worked}".strip() or part["shown"]
    if part["kind"] == "order":
        steps = [part["steps"][n - 1] for n in part["right"]]
        return (
            "\n".join(f"{n}. {step}" for n, step in enumerate(steps, 1))
            + f"\n\n{worked}"
        )
    if part["kind"] == "table":
        return (
            "\n".join(f"- {r['label']}: {r['shown']}" for r in part["rows"])
            + f"\n\n{worked}"
        )
    right = [o["text"] for o in part["options"] if o["key"] in part["right"]]
    return f"Right: {'; '.join(right)} {worked}".strip()


def _practice_html(asked: dict[str, Any]) -> str:
    parts = "".join(_part_html(part) for part in asked["parts"])
    stem = f"<p>{escape(asked['stem'])}</p>" if asked["stem"] else ""
    worked = "".join(
        f"<p><strong>{part['name']})</strong> {_lines(solution(part))}</p>"
        for part in asked["parts"]
    )
    return (
        f'<section class="gb-practice" data-question="{escape(asked["id"])}" '
        f'aria-label="Practice">\n<p class="gb-practice-title">To practise</p>{stem}'
        f"{_exhibit_html(asked['exhibit'])}{parts}"
        f"<details><summary>The worked solution</summary>{worked}</details>\n</section>\n"
    )


def _part_html(part: dict[str, Any]) -> str:
    html = f"<p><strong>{part['name']})</strong> {escape(part['prompt'])}</p>"
    if "options" in part:
        items = "".join(f"<li>{escape(o['text'])}</li>" for o in part["options"])
        html += f'<ol type="a">{items}</ol>'
    if "steps" in part:
        html += f"<ol>{''.join(f'<li>{escape(s)}</li>' for s in part['steps'])}</ol>"
    if "rows" in part:
        html += (
            "<ul>"
            + "".join(f"<li>{escape(r['label'])}</li>" for r in part["rows"])
            + "</ul>"
        )
    return html


def _exhibit_html(exhibit: dict[str, Any] | None) -> str:
    if not exhibit:
        return ""
    if exhibit["svg"]:
        head, tail = exhibit["svg"].split(">", 1)
        drawing = f'{head} role="img" aria-label="{escape(exhibit["alt"])}">{tail}'
        return f'<figure class="gb-picture">{drawing}<figcaption>{escape(exhibit["title"])}</figcaption></figure>'
    head = "".join(f'<th scope="col">{escape(c)}</th>' for c in exhibit["head"])
    rows = "".join(
        f"<tr>{''.join(f'<td>{escape(c)}</td>' for c in row)}</tr>"
        for row in exhibit["rows"]
    )
    return (
        f'<div class="gb-table" tabindex="0" role="region" aria-label="{escape(exhibit["title"])}">'
        f"<table><caption>{escape(exhibit['title'])}</caption><thead><tr>{head}</tr></thead>"
        f"<tbody>{rows}</tbody></table></div>"
    )


def _lines(text: str) -> str:
    return escape(text).replace("\n", "<br>")


# --- calculator panels ---------------------------------------------------------------------------


def panel(name: str, body: str, form: str) -> str:
    """Return a calculator panel; until a script takes it up, a sentence says what it is."""
    return ""
