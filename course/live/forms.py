"""The form of a panel and the card of a practice question, as a page has them at first.

Both are whole without a script: a worked example, and a sentence that says what would
be there.  A script only opens the boxes.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Mapping, Sequence
from hashlib import sha256
from html import escape

from calculators.faults import fault_error
from calculators.units import symbol
from course.kit.docstrings import sections
from course.live import cards
from course.live.answers import Answers, Field, calculator

PANEL_SAYS = (
    "A worked example. On the course's web site, in a browser of today, "
    "you can put numbers of your own here."
)
PRACTICE_SAYS = (
    "On the course's web site, in a browser of today, you can write your answer here, "
    "have it read, and ask for other numbers."
)
WITHOUT_SAYS = "A worked example, computed for this kitchen."


def start_values(name: str, body: str) -> dict[str, str]:
    """Return what a lesson's panel block puts in: a line ``argument: value`` each."""
    values: dict[str, str] = {}
    for line in body.splitlines():
        arg, colon, text = line.partition(":")
        if not line.strip():
            continue
        if not colon or not text.strip() or arg.strip() in values:
            raise fault_error(
                f"panel {name}",
                "has a line that is not argument: value, once",
                line,
                "",
                "Write it like mass: 10 g",
            )
        values[arg.strip()] = text.strip()
    return values


def title(name: str) -> str:
    """Return what a panel answers, from the first line of its calculator's docstring."""
    first = (inspect.getdoc(calculator(name)[0]) or name).split("\n")[0]
    text = re.sub(r"^(?:Return|Tell)\s+", "", re.sub(r":\w+:`(\w+)`", r"\1", first))
    return text[:1].upper() + text[1:].rstrip(".")


def how_good(name: str) -> str:
    """Return how good a panel's answer is, in the words of its calculator's docstring."""
    function, held = calculator(name)
    told = sections(inspect.getdoc(function) or "").get("Returns", "")
    text = " ".join(told.partition("\n")[2].split()).replace("``", "")
    text = re.sub(r":\w+:`~?([\w.]+)`", r"\1", text)
    try:
        sign = re.escape(symbol(held.returns)) if held.returns else ""
    except Exception:  # the answer is not one quantity, and is told in words
        sign = ""
    if sign:
        text = re.sub(rf"^(?:In )?{sign}[.,]\s*", "", text)
    return text[:1].upper() + text[1:]


def worked_example(answers: Answers, name: str, boxes: Sequence[Field]) -> Mapping[str, str]:
    """Return what a panel answers at first; refuse a lesson whose values do not work."""
    out = answers.panel(name, {box.name: box.start for box in boxes})
    if out["faults"]:
        where, says = next(iter(out["faults"].items()))
        raise fault_error(
            f"panel {name}" + (f", {where}" if where else ""),
            "does not answer with the values of the lesson",
            "",
            says,
        )
    return out


def panel_text(answers: Answers, name: str, body: str) -> str:
    """Return a panel as Markdown for paper and plain Jupyter: its worked example."""
    boxes = answers.fields(name, start_values(name, body))
    out = worked_example(answers, name, boxes)
    given = ", ".join(f"{box.label} {box.start}" for box in boxes if box.start)
    return f"> **{title(name)}.** With {given}: **{out['text']}**. (`{name}`)"


def panel_html(answers: Answers, name: str, body: str, *, live: bool) -> str:
    """Return a panel as a form that shows its worked example.

    Parameters
    ----------
    answers : Answers
        Who answers for this kitchen.
    name, body : str
        The calculator, and the lines of the block.
    live : bool
        Whether the site has the runtime; a sentence promises nothing without it.
    """
    boxes = answers.fields(name, start_values(name, body))
    out = worked_example(answers, name, boxes)
    ident = f"panel-{name.replace('.', '-')}-{sha256(body.encode()).hexdigest()[:4]}"
    shown = "".join(_box(ident, box) for box in boxes if not box.given)
    aside = "".join(_box(ident, box) for box in boxes if box.given)
    if aside and not shown:
        shown, aside = aside, ""
    if aside:
        aside = f"<details><summary>What is taken as given</summary>{aside}</details>"
    module = name.partition(".")[0]
    return (
        f'<form class="gb-panel" data-live="{escape(name)}" id="{ident}" novalidate autocomplete="off" '
        f'aria-labelledby="{ident}-title">\n'
        f'<p class="gb-live-title" id="{ident}-title">{escape(title(name))}</p>\n'
        f'<fieldset class="gb-boxes" disabled>{shown}{aside}</fieldset>\n'
        f'<div class="gb-answer" role="status">{out["html"]}</div>\n'
        f'<p class="gb-says" role="status">{PANEL_SAYS if live else WITHOUT_SAYS}</p>\n'
        f'<p class="gb-from">{escape(how_good(name))} '
        f'<a href="../reference.html#reference-{module}">Where it comes from</a></p>\n'
        "</form>\n"
    )


def _box(ident: str, box: Field) -> str:
    field = f"{ident}-{box.name.replace('.', '-').replace(' ', '-')}"
    name = f'id="{field}" name="{escape(box.name)}"'
    if box.fixed:
        inside = (
            f'<span class="gb-label">{escape(box.label)}</span>'
            f'<span class="gb-fixed">that of this kitchen</span>'
            f'<input type="hidden" {name} value="{escape(box.start)}">'
        )
        return f'<div class="gb-box">{inside}</div>'
    told = f'aria-describedby="{field}-limit {field}-fault"'
    if box.words:
        options = "".join(
            f"<option{' selected' if word == box.start else ''}>{escape(word)}</option>"
            for word in box.words
        )
        inside = f'<select class="gb-write" {name} {told}>{options}</select>'
    else:
        inside = (
            f'<input class="gb-write" type="text" {name} {told} value="{escape(box.start)}" '
            f'autocomplete="off" spellcheck="false" autocapitalize="off" maxlength="80">'
        )
    return (
        f'<div class="gb-box"><label for="{field}">{escape(box.label)}</label>{inside}'
        f'<span class="gb-limit" id="{field}-limit">{escape(_limit(box))}</span>'
        f'<span class="gb-fault" id="{field}-fault"></span></div>'
    )


def _limit(box: Field) -> str:
    text = re.sub(r"^It (?:must be|is given in) ", "", box.limit)
    return re.sub(r"(?<=\d) (?=[^\d\s]+$)", "\N{NO-BREAK SPACE}", text)


def practice_html(answers: Answers, question_id: str, *, live: bool) -> str:
    """Return a practice question as a card with boxes to write in."""
    inside = cards.asked_html(answers.asked(question_id))
    says = f'<p class="gb-says" role="status">{PRACTICE_SAYS if live else ""}</p>'
    return (
        f'<form class="gb-practice" data-live="{escape(question_id)}" novalidate autocomplete="off" '
        f'aria-label="Practice: {escape(question_id.replace("-", " "))}">\n<p class="gb-live-title">To practise</p>\n'
        f'<div class="gb-asked">{inside}</div>\n'
        f'<div class="gb-acts" hidden><button type="submit" class="gb-button gb-first">Read my answer</button> '
        f'<button type="button" class="gb-button" data-other>Other numbers</button></div>\n'
        f"{says}\n</form>\n"
    )
