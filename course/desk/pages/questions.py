"""Questions of a paper: each looked at with its mark scheme, and named or kept out by one press."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Blueprint, redirect, render_template, request

from calculators.faults import fault_error
from course.desk.app import desk, one_at_a_time
from course.desk.scheme_file import save, text_of
from course.office import setting
from course.office.papers import questions_for
from course.scheme.model import Scheme
from course.scheme.named_questions import ASK, LEAVE, NEVER, WAYS, with_question
from exercises.questions.outcomes import outcomes
from exercises.questions.registry import Question
from exercises.sheets import overview
from exercises.sheets.choice import PaperPlan, told

pages = Blueprint("questions", __name__)
EXAMPLES = 1000  # draws of a question that are shown at the most


@pages.get("/papers/<name>/questions")
def whole(name: str) -> Any:
    """List the questions from which a paper may choose, outcome by outcome."""
    scheme = desk().scheme()
    plan = scheme.paper_plan(name)
    only = request.args.get("outcome", "")
    if only and only not in outcomes():
        raise fault_error("The outcome", "is not known", only, "", "Choose one of those listed")
    stands, used = _standing(scheme, name)
    bank = questions_for(scheme)
    named = [bank[one].outcome for one in (*plan.include, *plan.only) if one in bank]
    wanted = [only] if only else list(dict.fromkeys((*plan.outcomes, *named)))
    found = overview.choosable(_listed(bank), wanted, plan.kitchen, used)
    return render_template(
        "questions.html",
        name=name,
        plan=plan,
        only=only,
        stands=stands,
        at=request.args.get("at", ""),
        outcomes=[
            (outcomes()[each], [_row(one, plan, stands) for one in listed])
            for each, listed in found.items()
        ],
        others=[
            one
            for one in outcomes().values()
            if one.evidence != "do" and one.id not in (*scheme.left_out, *wanted)
        ],
        drafted=desk().place.book.exists(),
    )


def _listed(bank: Mapping[str, Question]) -> dict[str, Question]:
    """Return what is chosen by itself; an equal in words comes with its picture."""
    return {key: one for key, one in bank.items() if not told(one, bank)}


def _standing(scheme: Scheme, name: str) -> tuple[setting.Standing, Mapping[str, tuple[str, ...]]]:
    """Return what the paper asks now, and where each question was used."""
    if not desk().place.book.exists():
        return setting.as_it_stands(scheme, name, None), {}
    with desk().book(read_only=True) as book:
        return setting.as_it_stands(scheme, name, book), overview.used_in(book)


def _row(one: overview.Choosable, plan: PaperPlan, stands: setting.Standing) -> dict[str, Any]:
    """Return a question as the list shows it: what it asks, how it stands, what can be done."""
    shown = one.shown()
    name = shown["id"]
    way = LEAVE
    if name in (*plan.include, *plan.only):
        way = ASK
    elif name in plan.exclude or plan.only:
        way = NEVER
    return shown | {
        "way": way,
        "asked": name in stands.asked,
        "ways": [ASK, NEVER] if plan.only else list(WAYS),
    }


@pages.get("/papers/<name>/questions/<question>")
def one(name: str, question: str) -> Any:
    """Show an example of a question with its mark scheme, and the next example."""
    scheme = desk().scheme()
    plan = scheme.paper_plan(name)
    bank = questions_for(scheme)
    if question not in bank:
        raise fault_error(
            "The question", "is not known", question, "", "Choose one of those listed"
        )
    example = _example()
    stands, used = _standing(scheme, name)
    card = bank[question]
    found = overview.choosable({question: card}, [card.outcome], plan.kitchen, used, example)
    if not found[card.outcome]:
        raise fault_error(
            "The question", "is for practice only", question, "", "Choose one of those listed"
        )
    return render_template(
        "question.html",
        name=name,
        plan=plan,
        example=example,
        following=example % EXAMPLES + 1,
        outcome=outcomes()[card.outcome],
        one=_row(found[card.outcome][0], plan, stands),
        stands=stands,
    )


def _example() -> int:
    """Return which draw of a question is looked at, the first where nothing sensible is asked."""
    asked = request.values.get("example", "1")
    return int(asked) if asked.isdecimal() and 1 <= int(asked) <= EXAMPLES else 1


@pages.post("/papers/<name>/questions")
@one_at_a_time
def choose(name: str) -> Any:
    """Write into the scheme that a question is asked, or never, or as the mark book decides."""
    way, _, question = request.form.get("press", "").partition(":")
    scheme = desk().scheme()
    scheme.paper_plan(name)
    if way not in WAYS or question not in questions_for(scheme):
        raise fault_error("The press", "names no question", question, "", "Load the page again")
    path = desk().place.scheme
    # Read here and not when the page was shown: what another window saved meanwhile stays.
    save(path, with_question(text_of(path), name, question, way))
    if request.form.get("back") == "one":
        return redirect(f"/papers/{name}/questions/{question}?example={_example()}")
    only = request.form.get("outcome", "")
    more = f"&outcome={only}" if only in outcomes() else ""
    return redirect(f"/papers/{name}/questions?at={question}{more}#{question}")
