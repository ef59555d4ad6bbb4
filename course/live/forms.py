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

from docutils.nodes import make_id

from calculators.faults import fault_error
from calculators.sources import bibliography
from calculators.units import symbol
from course.kit.docstrings import anchor, sections
from course.lessons.ways import ways
from course.live import by_hand, cards
from course.live.answers import Answers, Field, calculator
from exercises.questions.outcomes import outcomes
from exercises.questions.registry import bank

PANEL_SAYS = (
    "A worked example. In a browser of today, where scripts may run, "
    "you can put numbers of your own here."
)
PRACTICE_SAYS = (
    "In a browser of today, where scripts may run, you can write your answer here, "
    "have it read, and ask for other numbers."
)
SOLUTIONS = "solutions"  # the page of worked solutions, for a page without a script
SENTENCE = "sentence"  # the line of a block that is a sentence with gaps
WITHOUT_SAYS = "A worked example, computed for this kitchen."


def start_values(name: str, body: str) -> dict[str, str]:
    """Return what a lesson's panel block puts in: a line ``argument: value`` each."""
    values: dict[str, str] = {}
    for line in body.splitlines():
        arg, colon, text = line.partition(":")
        if not line.strip() or arg.strip() == SENTENCE:
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


def sentence(name: str, body: str) -> str:
    """Return the sentence with gaps of a lesson's panel block, ``{argument}`` for each gap."""
    lines = [one.partition(":")[2] for one in body.splitlines() if one.startswith(f"{SENTENCE}:")]
    if len(lines) > 1:
        raise fault_error(
            f"panel {name}",
            "has several sentences",
            " / ".join(line.strip() for line in lines),
            "",
            "Keep one, with all gaps in it",
        )
    return lines[0].strip() if lines else ""


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


def first_values(answers: Answers, name: str, body: str) -> dict[str, str]:
    """Return what stands in the boxes of a panel at first, by their names."""
    return {box.name: box.start for box in answers.fields(name, start_values(name, body))}


def rule_and_source(name: str) -> tuple[str, str]:
    """Return what a panel works by and where that is from, from its calculator's docstring."""
    told = sections(inspect.getdoc(calculator(name)[0]) or "")
    rule = " ".join(" ".join(told[""].split("\n\n")[1:2]).split())
    known = bibliography()
    notes = " ".join(told.get("Notes", "").split())
    found = re.search(r"\bSources?: (.*)$", notes) or re.search(r"([^.]*\b(?i:source).*)$", notes)
    source = re.sub(
        r"`*\[([\w-]+)\]`*",
        lambda m: known[m[1]].short if m[1] in known else m[0],
        found[1] if found else "",
    )
    other = re.match(r"[Aa]s (?::\w+:)?`?(\w+)`?", source)
    if other and other[1] != name.partition(".")[2]:
        source = rule_and_source(f"{name.partition('.')[0]}.{other[1]}")[1]
    return _plain(rule), _plain(source)


def _plain(text: str) -> str:
    text = re.sub(r":\w+:`~?([^`]+)`", lambda m: m[1].rpartition(".")[2], text)
    text = re.sub(r"``([^`]+)``", r"\1", text).replace(" * ", " × ")
    text = re.sub(r"(?<=[\w)]) x (?=[\w(])", " × ", text)
    text = re.sub(r",? (?:see )?data/\w+\.csv", "", text)
    text = re.sub(r"(?<!\w)\*([^*]+)\*(?!\w)", r"\1", text).strip()
    text = text.replace("_", " ")
    return text[:1].upper() + text[1:]


def _where_from(name: str) -> str:
    """Return where a panel's answer comes from: in two sentences, and a link to the rest."""
    module = name.partition(".")[0]
    rule, source = rule_and_source(name)
    place = f"../reference-{module}.html#{anchor(name)}"
    works = f"{rule.rstrip('.:')}. " if rule else ""
    good = how_good(name)
    good = good if " " in good else ""  # a unit alone says nothing here
    return (
        '<details class="gb-from"><summary>Where it comes from</summary>'
        f"<p>{escape(works)}{escape(good)}</p><p>After: {escape(source)} "
        f'<a href="{place}">All of it, with its limits</a></p></details>'
    )


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
    told = sentence(name, body)
    if told:
        shown, boxes = _gaps(ident, name, told, boxes)
        aside = "".join(_box(ident, box) for box in boxes)
    else:
        shown = "".join(_box(ident, box) for box in boxes if not box.given)
        aside = "".join(_box(ident, box) for box in boxes if box.given)
    if aside and not shown:
        shown, aside = aside, ""
    if aside:
        aside = f"<details><summary>What is taken as given</summary>{aside}</details>"
    return (
        f'<form class="gb-panel" data-live="{escape(name)}" id="{ident}" novalidate autocomplete="off" '
        f'aria-labelledby="{ident}-title">\n'
        f'<p class="gb-live-title" id="{ident}-title">{escape(title(name))}</p>\n'
        f'<fieldset class="gb-boxes" disabled>{shown}{aside}</fieldset>\n'
        f'<div class="gb-answer" role="status">{out["html"]}</div>\n'
        f'<p class="gb-says" role="status">{PANEL_SAYS if live else WITHOUT_SAYS}</p>\n'
        f"{_where_from(name)}\n"
        "</form>\n"
    )


def _gaps(ident: str, name: str, told: str, boxes: Sequence[Field]) -> tuple[str, list[Field]]:
    """Return a sentence with a box in each gap, and the boxes that are not in it."""
    known = {box.name: box for box in boxes}
    pieces = re.split(r"\{([^}]*)\}", told)
    named = pieces[1::2]
    lost = [box.name for box in boxes if not box.given and named.count(box.name) != 1]
    strange = [gap for gap in named if gap not in known or known[gap].fixed]
    if lost or strange:
        raise fault_error(
            f"panel {name}, {SENTENCE}",
            "does not have each box once as a gap",
            ", ".join(lost + strange),
            "Its boxes are " + ", ".join(known),
            "Write each in braces, like {" + next(iter(known)) + "}",
        )
    said = escape(pieces[0])
    limits = ""
    for gap, after in zip(named, pieces[2::2], strict=True):
        box, field = known[gap], _field(ident, known[gap])
        label = f'<span class="vh">{escape(box.label)}</span>'
        said += f"<label>{label}{_write(field, box)}</label>{escape(after)}"
        limits += (
            f'<li><span class="vh" id="{field}-limit">{escape(_limit(box))}</span>'
            f'<span class="gb-fault" id="{field}-fault"></span></li>'
        )
    return (
        f'<p class="gb-gaps">{said}</p><ul class="gb-told">{limits}</ul>',
        [box for box in boxes if box.name not in named],
    )


def _field(ident: str, box: Field) -> str:
    return f"{ident}-{box.name.replace('.', '-').replace(' ', '-')}"


def _write(field: str, box: Field) -> str:
    """Return the box itself: to choose a word, or to write in."""
    name = f'id="{field}" name="{escape(box.name)}"'
    told = f'aria-describedby="{field}-limit {field}-fault"'
    if box.words:
        options = "".join(
            f"<option{' selected' if word == box.start else ''}>{escape(word)}</option>"
            for word in box.words
        )
        return f'<select class="gb-write" {name} {told}>{options}</select>'
    return (
        f'<input class="gb-write" type="text" {name} {told} value="{escape(box.start)}" '
        f'style="--letters: {max(4, len(box.start))}" autocomplete="off" spellcheck="false" '
        'autocapitalize="off" maxlength="80">'
    )


def _box(ident: str, box: Field) -> str:
    field = _field(ident, box)
    if box.fixed:
        return (
            f'<div class="gb-box"><span class="gb-label">{escape(box.label)}</span>'
            '<span class="gb-fixed">that of this kitchen</span>'
            f'<input type="hidden" id="{field}" name="{escape(box.name)}" '
            f'value="{escape(box.start)}"></div>'
        )
    return (
        f'<div class="gb-box"><label for="{field}">{escape(box.label)}</label>{_write(field, box)}'
        f'<span class="gb-limit" id="{field}-limit">{escape(_limit(box))}</span>'
        f'<span class="gb-fault" id="{field}-fault"></span></div>'
    )


def _limit(box: Field) -> str:
    text = re.sub(r"^It (?:must be|is given in) ", "", box.limit)
    return re.sub(r"(?<=\d) (?=[^\d\s]+$)", "\N{NO-BREAK SPACE}", text)


def practice_html(
    answers: Answers,
    question_id: str,
    *,
    live: bool,
    number: int = 1,
    place: str = "practice",
    label: str = "",
) -> str:
    """Return a practice question as a card with boxes to write in.

    Parameters
    ----------
    answers : Answers
        Who asks for this kitchen.
    question_id : str
        The question.
    live : bool
        Whether the site has the runtime; a sentence promises nothing without it.
    number : int
        Which numbers it has.
    place : str
        Where it stands: *practice* in its own lesson, where its title says what it is
        about; elsewhere a word for the place, and no title, which would give the way away.
    label : str
        What it is called where it has no title.
    """
    own = place == "practice"
    known = bank()[question_id]
    see, way = outcomes()[known.outcome], ways().get(known.outcome)
    inside = cards.asked_html(
        answers.asked(question_id, number),
        *(() if own else (f"{place}-{question_id}", "Turn it over")),
    )
    says = f'<p class="gb-says" role="status">{PRACTICE_SAYS if live and own else ""}</p>'
    name = f"Practice: {question_id.replace('-', ' ')}" if own else label
    look = (
        f'data-see="../lessons/{see.lesson}.html#{make_id(way.see)}" '
        f'data-claim="{escape(way.see)}" '
        if way
        else ""
    )
    title = f'<p class="gb-live-title">Practice: {escape(see.wording)}</p>\n' if own else ""
    solution = (
        f'<noscript><p><a href="../{SOLUTIONS}.html#solution-{escape(question_id)}">'
        "The worked solution</a></p></noscript>\n"
    )
    return (
        f'<form class="gb-practice" data-live="{escape(question_id)}" '
        f'id="{place}-{escape(question_id)}" tabindex="-1" data-o="{escape(known.outcome)}" '
        f'data-set="{number}" {look}novalidate autocomplete="off" aria-label="{escape(name)}">\n'
        f'{title}<div class="gb-asked">{inside}</div>\n'
        f"{_acts('Look at my answer')}\n{says}\n{solution if own else ''}</form>\n"
    )


def solutions_page(answers: Answers, lessons: Mapping[str, tuple[str, Sequence[str]]]) -> str:
    """Return the page of worked solutions: by lesson, each practice question once.

    Parameters
    ----------
    answers : Answers
        Who answers for this kitchen.
    lessons : mapping
        Title and practice questions by slug.
    """
    out = [
        "# Worked solutions\n",
        "Each belongs to a practice question as it first stands in its lesson. "
        "Answer there first: a wrong answer tells something too.\n",
    ]
    for slug, (title, questions) in lessons.items():
        out.append(f"## [{title}](lessons/{slug}.ipynb)\n")
        for ident in dict.fromkeys(questions):
            wording = outcomes()[bank()[ident].outcome].wording
            worked = cards.worked_html(answers.asked(ident))
            out.append(
                f'````{{raw}} html\n<section class="gb-solution" id="solution-{escape(ident)}">'
                f'<h3><a href="lessons/{slug}.html#practice-{escape(ident)}">'
                f"{escape(ident.replace('-', ' ').capitalize())}</a></h3><p>{escape(wording)}</p>{worked}"
                "</section>\n````\n"
            )
    return "\n".join(out)


def by_hand_html(answers: Answers, question_id: str, body: str, *, live: bool) -> str:
    """Return a sum worked by hand, then the same with its end left to the reader."""
    made = []
    for leave in by_hand.leaves(question_id, body):
        one = answers.by_hand(question_id, leave)
        if not leave:
            made.append(f'<div class="hand"><p class="cap">By hand</p>{one.html()}</div>')
            continue
        name = by_hand.name(question_id, leave)
        cap = "By hand, and the end is yours" if leave == 1 else "By hand, and more of it is yours"
        says = f'<p class="gb-says" role="status">{PRACTICE_SAYS if live else ""}</p>'
        label = f"{cap}: {question_id.replace('-', ' ')}"
        made.append(
            f'<form class="gb-byhand hand" data-live="{escape(name)}" id="hand-{question_id}-{leave}" novalidate '
            f'autocomplete="off" aria-label="{escape(label)}"><p class="cap">{cap}</p>\n'
            f'<div class="gb-asked">{by_hand.asked_html(one)}</div>\n{_acts("Hold mine against it")}'
            f"\n{says}\n</form>\n"
        )
    worked, *left = made
    if not left:
        return worked
    return f'<div class="twin">{worked}{left[0]}</div>' + "".join(left[1:])


def _acts(first: str) -> str:
    return (
        f'<div class="gb-acts" hidden><button type="submit" class="gb-button gb-first">{first}</button>'
        ' <button type="button" class="gb-button" data-other>The same with other numbers</button></div>'
    )
