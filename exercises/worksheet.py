"""A student's sheet: as a notebook, as a web page, on paper; and the mark scheme.

Each function takes a sheet and returns text.  What a student gets is made from
:func:`public` alone, which holds what is asked and nothing of what is expected.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

import jinja2
from markupsafe import Markup

from calculators import safety
from calculators.units import number, q, symbol, unit, written_units
from exercises import marking
from exercises.keys import WORKING_HEAD, boxes, key_of
from exercises.question import outcomes

HERE = Path(__file__).parent
FORMAT = 1
HANDIN_ENDING = ".handin.json"

# Which cautions stand on a sheet that asks about safety in a lesson.
_HAZARDS: Mapping[str, tuple[str, ...]] = {
    "what-can-hurt": ("hot-sugar", "stick-blender", "mains-wet"),
    "boiling": ("hot-sugar", "steam"),
    "crystals": ("hot-sugar",),
    "glucose-tub": ("hot-sugar",),
    "gelatin-care": ("hot-sugar",),
    "blending": ("stick-blender",),
    "colour-and-marbling": ("colourants",),
    "pour": ("freezer-cold", "slippery-floor"),
    "what-went-wrong": ("reuse",),
}


@dataclass(frozen=True)
class Sheet:
    """One student's sheet of one paper.

    Parameters
    ----------
    token : str
        Unguessable; letters, digits and hyphens.
    student : str
        The name, as it is printed.
    title : str
        The paper's title.
    questions : sequence of mapping
        As :func:`exercises.question.build` returns them.
    opens_on, hand_in_by : str
        Dates in ISO form, of this student; empty where there is none.
    large, plain : bool
        Large print; plain print without ornament.
    cautions : sequence of mapping
        As :func:`cautions_for` returns them.
    name_units : bool
        Whether each part says in which unit it is asked: where another unit, or none,
        is marked as if that had been read.
    """

    token: str
    student: str
    title: str
    questions: Sequence[Mapping[str, Any]]
    opens_on: str = ""
    hand_in_by: str = ""
    large: bool = False
    plain: bool = False
    cautions: Sequence[Mapping[str, str]] = field(default_factory=tuple)
    name_units: bool = False

    @property
    def total(self) -> int:
        """The marks of the whole sheet."""
        return sum(part["total"] for each in self.questions for part in each["parts"])


# --- the public side of a sheet ----------------------------------------------------


def public(sheet: Sheet) -> dict[str, Any]:
    """Return what a student may see of a sheet, and nothing else.

    Every field is named here one by one: a new field of a question stays out of
    the student's files until somebody writes it down.
    """
    return {
        "token": sheet.token,
        "student": sheet.student,
        "title": sheet.title,
        "opens_on": say_date(sheet.opens_on),
        "hand_in_by": say_date(sheet.hand_in_by),
        "total": sheet.total,
        "look": " ".join(name for name in ("large", "plain") if getattr(sheet, name)),
        "cautions": [{k: c[k] for k in ("hazard", "do", "who")} for c in sheet.cautions],
        "questions": [
            {
                "number": n,
                "stem": question["stem"],
                "exhibit": _exhibit(question["exhibit"]),
                "parts": [_public_part(n, part, sheet.name_units) for part in question["parts"]],
            }
            for n, question in enumerate(sheet.questions, 1)
        ],
    }


def _public_part(n: int, part: Mapping[str, Any], name_units: bool) -> dict[str, Any]:
    prompt = str(part["prompt"])
    said = unit_asked(part) if name_units else ""
    return {
        "key": key_of(n, part["name"]),
        "kind": part["kind"],
        "prompt": f"{prompt} Give it in {said}." if said else prompt,
        "marks": marks_in_words(part),
        "fields": [
            {"key": key, "label": "" if box is part else _label(box, name_units)}
            for key, box in boxes(n, part)
        ],
        "options": [
            {"key": option["key"], "text": option["text"]} for option in part.get("options", ())
        ],
        "steps": list(part.get("steps", ())),
    }


def unit_asked(part: Mapping[str, Any]) -> str:
    """Return the unit that a part or a row is asked in; empty where it says so itself."""
    if part["kind"] != "quantity" or part["unit"] in ("", "dimensionless"):
        return ""
    said = "leaves" if part["unit"] == "leaf" else symbol(part["unit"])
    text = str(part.get("label") or part["prompt"])
    return "" if re.search(rf"\bin {re.escape(said)}(?!\w)", text) else said


def _label(row: Mapping[str, Any], name_units: bool) -> str:
    said = unit_asked(row) if name_units else ""
    return f"{row['label']}, in {said}" if said else str(row["label"])


def _exhibit(exhibit: Mapping[str, Any] | None) -> dict[str, Any] | None:
    if exhibit is None:
        return None
    return {
        "title": exhibit["title"],
        "head": exhibit["head"],
        "rows": exhibit["rows"],
        "svg": exhibit["svg"],
        "picture": _picture(exhibit["svg"]) if exhibit["svg"] else "",
        "alt": exhibit["alt"],
    }


@lru_cache(maxsize=256)
def _picture(svg: str) -> str:
    return "data:image/svg+xml;base64," + base64.b64encode(svg.encode()).decode()


def marks_in_words(part: Mapping[str, Any]) -> str:
    """Return a part's marks as they stand behind its prompt.

    >>> marks_in_words({"total": 3, "marks": {"value": 2, "unit": 1}})
    '3 marks: 2 value, 1 unit'
    """
    total = part["total"]
    said = "1 mark" if total == 1 else f"{total} marks"
    split = part.get("marks", {})
    if len(split) > 1:
        said += ": " + ", ".join(f"{n} {name}" for name, n in split.items())
    return said


def say_date(text: str) -> str:
    """Return a date or a time in ISO form as it is said; other text as it is.

    >>> say_date("2027-03-01"), say_date("2027-03-01T12:00")
    ('Monday 1 March 2027', 'Monday 1 March 2027, 12:00')
    """
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        return text
    day = f"{_DAYS[when.weekday()]} {when.day} {_MONTHS[when.month - 1]} {when.year}"
    try:
        date.fromisoformat(text)
    except ValueError:
        return f"{day}, {when:%H:%M}"
    return day


_DAYS = (
    "Monday",
    "Tuesday",
    "Wednesday",
    "Thursday",
    "Friday",
    "Saturday",
    "Sunday",
)
_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def cautions_for(
    questions: Iterable[Mapping[str, Any]],
    local_rules: safety.LocalRules | None = None,
) -> list[dict[str, str]]:
    """Return the cautions that belong on a sheet with these questions.

    A question with the tag of safety brings the hazards of its lesson.  First aid
    stays off the sheet: it may be what is asked.
    """
    lessons = [outcomes()[e["outcome"]].lesson for e in questions if e["safety"]]
    names = dict.fromkeys(name for each in lessons for name in _HAZARDS.get(each, ()))
    who = safety.last_word(local_rules)
    return [
        {"hazard": c.hazard, "do": " ".join((c.happens, *c.act)), "who": who}
        for c in map(safety.caution, names)
    ]


# --- notebook -------------------------------------------------------------------------

_MARKDOWN = re.compile(r"([\\`*_{}\[\]<>$|#~&])")
_LINE_START = re.compile(r"^(\s*)([-+=]|\d+[.)])(?=\s)", re.MULTILINE)


def markdown(text: str) -> str:
    r"""Return plain text so that Markdown shows it as it is.

    >>> print(markdown("a * b < c"))
    a \* b \< c
    """
    return _LINE_START.sub(
        lambda m: m[1] + (m[2][:-1] + "\\" + m[2][-1]), _MARKDOWN.sub(r"\\\1", text)
    )


def _cell(kind: str, name: str, source: str, **metadata: Any) -> dict[str, Any]:
    cell: dict[str, Any] = {
        "cell_type": kind,
        "id": re.sub("[^A-Za-z0-9-]", "-", name),
        "metadata": {"glossbook": metadata} if metadata else {},
        "source": source,
    }
    if kind == "code":
        cell |= {"execution_count": None, "outputs": []}
    return cell


def notebook(sheet: Sheet) -> str:
    """Return the sheet as a notebook: nbformat 4.5, nothing to run.

    Each answer is one cell with one string.  The cells are found again by their
    metadata, wherever a student moves them.
    """
    shown = public(sheet)
    cells = [_cell("markdown", "head", _notebook_head(shown))]
    for question in shown["questions"]:
        n = question["number"]
        cells.append(_question_cell(n, question))
        for part in question["parts"]:
            key = part["key"]
            cells.append(_cell("markdown", f"asked-{key}", _part_text(part)))
            for f in part["fields"]:
                if f["label"]:
                    label = f"**{key}**, {markdown(f['label'])}:"
                    cells.append(_cell("markdown", f"row-{f['key']}", label))
                name = f"answer-{f['key']}"
                cells.append(_cell("code", name, 'answer = ""', part=f["key"]))
            line = f"Working for {key}. {WORKING_HEAD}\n\n"
            cells.append(_cell("markdown", f"working-{key}", line, working=key))
    return json.dumps(
        {
            "cells": cells,
            "metadata": {
                "glossbook": {"token": sheet.token, "sheet": FORMAT},
                "kernelspec": {
                    "display_name": "Python 3",
                    "language": "python",
                    "name": "python3",
                },
                "language_info": {"name": "python"},
            },
            "nbformat": 4,
            "nbformat_minor": 5,
        },
        ensure_ascii=False,
    )


def _notebook_head(shown: Mapping[str, Any]) -> str:
    facts = [("Name", shown["student"]), ("Sheet", shown["token"])]
    facts += [("Opens on", shown["opens_on"]), ("Hand in by", shown["hand_in_by"])]
    facts += [("Marks", str(shown["total"]))]
    lines = [f"# {markdown(shown['title'])}", ""]
    lines += [f"**{name}:** {markdown(value)}  " for name, value in facts if value]
    lines += [
        "",
        "**How to answer.** Write between the quotes of the cell below each part, "
        'a number with its unit: `answer = "12.5 g"`. '
        "Nothing needs to be run, and nothing that you write is run by the marking. "
        "Show your working: it can earn marks where the answer is wrong. "
        "Save the notebook and hand in the file.",
    ]
    for caution in shown["cautions"]:
        lines += ["", f"> **{markdown(caution['hazard'])}.** {markdown(caution['do'])}"]
        lines += [">", f"> {markdown(caution['who'])}"]
    return "\n".join(lines)


def _question_cell(n: int, question: Mapping[str, Any]) -> dict[str, Any]:
    lines = [f"## Question {n}"]
    if question["stem"]:
        lines += ["", markdown(question["stem"])]
    exhibit = question["exhibit"]
    attachments: dict[str, Any] = {}
    if exhibit:
        lines += ["", f"*{markdown(exhibit['title'])}*", ""]
        if exhibit["svg"]:
            file = f"exhibit-{n}.svg"
            lines.append(f"![{markdown(exhibit['alt'])}](attachment:{file})")
            coded = exhibit["picture"].partition(",")[2]
            attachments[file] = {"image/svg+xml": coded}
        if exhibit["rows"]:
            rows = [[markdown(cell) for cell in row] for row in (exhibit["head"], *exhibit["rows"])]
            rows.insert(1, ["---"] * len(exhibit["head"]))
            lines += ["| " + " | ".join(row) + " |" for row in rows]
    cell = _cell("markdown", f"question-{n}", "\n".join(lines))
    return cell | {"attachments": attachments} if attachments else cell


def _part_text(part: Mapping[str, Any]) -> str:
    lines = [f"**{part['key']}** {markdown(part['prompt'])} *({part['marks']})*"]
    if part["options"]:
        lines += [
            "",
            *(f"- **{o['key']}** {markdown(o['text'])}" for o in part["options"]),
        ]
    if part["kind"] == "choice":
        lines += ["", 'Answer with one letter, like `answer = "b"`.']
    elif part["kind"] == "choices":
        lines += ["", 'Answer with all letters that are right, like `answer = "a, c"`.']
    elif part["kind"] == "order":
        steps = enumerate(part["steps"], 1)
        lines += ["", *(f"- **Step {n}:** {markdown(text)}" for n, text in steps), ""]
        lines.append(
            'Answer with the numbers of the steps, the first one first, like `answer = "2, 1, 3"`.'
        )
    return "\n".join(lines)


# --- web page and paper ------------------------------------------------------------------


@cache
def _templates() -> jinja2.Environment:
    return jinja2.Environment(
        loader=jinja2.FileSystemLoader(HERE / "templates"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
        auto_reload=False,
    )


@cache
def page_template(name: str) -> jinja2.Template:
    """Return a template of exercises/templates; whatever it is given is escaped."""
    return _templates().get_template(name)


@cache
def static_text(*names: str) -> Markup:
    """Return files of exercises/static, to stand in a page."""
    return Markup("".join((HERE / "static" / n).read_text("utf-8") for n in names))


@cache
def _script_hash() -> str:
    digest = hashlib.sha256(static_text("worksheet.js").encode()).digest()
    return "sha256-" + base64.b64encode(digest).decode()


@cache
def _units_shown() -> Markup:
    shown = {written: symbol(name) for written, name in written_units().items()}
    return _for_script(shown)


def _for_script(thing: Any) -> Markup:
    text = json.dumps(thing, ensure_ascii=False, separators=(",", ":"))
    return Markup(text.replace("<", "\\u003c").replace("&", "\\u0026"))


def web_page(sheet: Sheet) -> str:
    """Return the sheet as one web page that needs nothing but a browser."""
    shown = public(sheet)
    parts = [part for question in shown["questions"] for part in question["parts"]]
    data = {
        "token": sheet.token,
        "parts": [
            {
                "key": f["key"],
                "kind": "quantity" if part["kind"] == "table" else part["kind"],
            }
            for part in parts
            for f in part["fields"]
        ],
        "working": [part["key"] for part in parts],
    }
    return page_template("web.html").render(
        s=shown,
        css=static_text("worksheet.css"),
        script=static_text("worksheet.js"),
        script_hash=_script_hash(),
        data=_for_script(data),
        units=_units_shown(),
    )


def paper(sheet: Sheet) -> str:
    """Return the sheet to be printed on A4, with answer lines and working space."""
    return page_template("paper.html").render(
        s=public(sheet), css=static_text("worksheet.css", "paper.css")
    )


# --- the mark scheme: for the assessor alone -------------------------------------------------


@lru_cache(maxsize=1024)
def _scale(base_unit: str, shown_unit: str) -> tuple[float, float]:
    """Return slope and offset from base units to the unit that is shown."""
    at_0 = float(q(0.0, base_unit).to(unit(shown_unit)).magnitude)
    at_1 = float(q(1.0, base_unit).to(unit(shown_unit)).magnitude)
    return at_1 - at_0, at_0


def in_unit(value: float, part: Mapping[str, Any], digits: int = 4) -> str:
    """Return a number of base units in the unit in which a part is shown."""
    slope, offset = _scale(part["base_unit"], part["unit"])
    sign = symbol(part["unit"])
    gap = "" if sign in ("", "°") else "\N{NO-BREAK SPACE}"
    return number(value * slope + offset, digits) + gap + sign


def right_answer(part: Mapping[str, Any]) -> str:
    """Return a part's right answer as a student could write it.

    >>> right_answer({"kind": "order", "right": [3, 1, 2]})
    '3, 1, 2'
    """
    if part["kind"] == "quantity":
        return str(part["shown"])
    if part["kind"] == "table":
        return "; ".join(f"{row['label']}: {row['shown']}" for row in part["rows"])
    return ", ".join(str(key) for key in part["right"])


def _lines(n: int, question: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the answers of a question, one line a number, for the mark scheme."""
    return [
        _line(n, key, "" if box is part else box["label"], box, part)
        for part in question["parts"]
        for key, box in boxes(n, part)
    ]


def _line(
    n: int, key: str, label: str, row: Mapping[str, Any], part: Mapping[str, Any]
) -> dict[str, Any]:
    line = {
        "key": key,
        "label": label,
        "prompt": part["prompt"],
        "answer": right_answer(row),
        "marks": marks_in_words(row),
        "worked": row.get("worked") or part.get("worked", ""),
        "safety": part["safety"],
        "band": "",
        "tolerance": "",
        "because": "",
        "working": "",
        "roads": [],
        "follows": [],
        "options": part.get("options", []) if part["kind"] != "table" else [],
        "steps": part.get("steps", []),
        "says": part.get("says", ""),
    }
    if row["kind"] == "quantity":
        low, high = row["answer"] - row["tolerance"], row["answer"] + row["tolerance"]
        line |= {
            "band": f"{in_unit(low, row)} to {in_unit(high, row)}",
            "tolerance": row["tolerance_text"],
            "because": row["because"],
            "working": row["working"],
            "follows": [key_of(n, name) for name in row["follows"]],
            "roads": [
                {
                    "name": r["name"],
                    "value": in_unit(r["value"], row),
                    "says": r["says"],
                }
                for r in row["roads"]
            ],
        }
    return line


def mark_scheme(sheets: Sequence[Sheet], policy: Mapping[str, Any] | None = None) -> str:
    """Return the mark scheme of a paper: rules, questions, and each sheet's answers.

    Parameters
    ----------
    sheets : sequence of Sheet
        Of one paper; the wording and the wrong roads are shown for the first.
    policy : mapping, optional
        How units are marked; see :data:`exercises.marking.POLICY`.
    """
    return "".join(mark_scheme_in_pieces(sheets[0], sheets, len(sheets), policy))


def mark_scheme_in_pieces(
    first: Sheet,
    sheets: Iterable[Sheet],
    count: int,
    policy: Mapping[str, Any] | None = None,
) -> Iterator[str]:
    """Yield a mark scheme piece by piece, so that few sheets are held at a time.

    Parameters
    ----------
    first : Sheet
        The wording and the wrong roads are shown for this one.
    sheets : iterable of Sheet
        All of them.
    count : int
        How many there are.
    policy : mapping, optional
        As for :func:`mark_scheme`.
    """
    stream = page_template("scheme.html").stream(
        title=first.title,
        total=first.total,
        questions=[
            {
                "number": n,
                "id": question["id"],
                "level": question["level"],
                "safety": question["safety"],
                "outcome": outcomes()[question["outcome"]].wording,
                "lines": _lines(n, question),
            }
            for n, question in enumerate(first.questions, 1)
        ],
        sheets=(
            {
                "token": sheet.token,
                "student": sheet.student,
                "lines": [
                    line
                    for n, question in enumerate(sheet.questions, 1)
                    for line in _lines(n, question)
                ],
            }
            for sheet in sheets
        ),
        count=count,
        rules=marking.rules(policy),
        css=static_text("worksheet.css", "paper.css"),
    )
    stream.enable_buffering(200)
    yield from stream
