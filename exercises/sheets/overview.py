"""Every question that a paper could ask, to choose from: as lines, and drawn on a page."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from calculators.units import Quantity
from exercises.book.book import Book
from exercises.questions.building import build
from exercises.questions.outcomes import outcomes
from exercises.questions.parts import marks_in_words
from exercises.questions.registry import LEVELS, Question
from exercises.sheets.blueprint import Asked
from exercises.sheets.mark_scheme import answer_lines
from exercises.sheets.sheet import exhibit_shown
from exercises.sheets.worksheet import page_template, static_text


@dataclass(frozen=True)
class Choosable:
    """A question, drawn once, and where a mark book has it already.

    Parameters
    ----------
    asked : Asked
        The question.
    used : tuple of str
        Papers, with the sitting where it is a resit.
    """

    asked: Asked
    used: tuple[str, ...] = ()

    def facts(self) -> str:
        """Return what a lecturer chooses by."""
        card = self.asked.card
        kinds = dict.fromkeys(_KINDS.get(part.kind, part.kind) for part in self.asked.drawn.parts)
        marks = marks_in_words(self.asked.marks)
        said = [card.level, " and ".join(kinds), marks, f"{card.minutes:g} min"]
        said.append("evidence" if self.asked.evidence else "no evidence")
        if card.private:
            said.append("your own")
        elif card.use == "assessed":
            said.append("kept from practice")
        if self.asked.key_is_shown:
            said.append("practice shows which option is right")
        if card.safety:
            said.append("safety")
        if self.used:
            said.append(f"used in {' and '.join(self.used)}")
        return ", ".join(said)

    def shown(self) -> dict[str, Any]:
        """Return it as a page shows it: what it asks, and the mark scheme of each part."""
        return {
            "id": self.asked.card.id,
            "facts": self.facts(),
            "stem": self.asked.drawn.stem,
            "exhibit": exhibit_shown(self.asked.drawn.exhibit),
            "lines": answer_lines(1, self.asked.drawn),
        }


_KINDS = {
    "quantity": "number",
    "table": "table of numbers",
    "choices": "several choices",
    "choice": "choice",
    "order": "order",
}


def used_in(book: Book) -> dict[str, tuple[str, ...]]:
    """Return by question the papers of a mark book that ask it."""
    found: dict[str, dict[str, None]] = {}
    for paper in book.papers():
        for one in paper.each_version():
            name = one.name if one.sitting == 1 else f"{one.name}, sitting {one.sitting}"
            for question in one.plan.get("questions", ()):
                found.setdefault(question, {})[name] = None
    return {question: tuple(names) for question, names in found.items()}


def choosable(
    bank: Mapping[str, Question],
    wanted: Iterable[str],
    kitchen: Mapping[str, Quantity],
    used: Mapping[str, tuple[str, ...]],
    example: int = 1,
) -> dict[str, list[Choosable]]:
    """Return the questions that sheets may ask, by outcome, each drawn once.

    Parameters
    ----------
    bank : mapping of str to Question
        The bank.
    wanted : iterable of str
        Ids of outcomes.
    kitchen : mapping of str to quantity
        The kitchen that they are drawn for.
    used : mapping of str to tuple of str
        As :func:`used_in` returns it.
    example : int
        Which draw, from 1.
    """
    seed = "to choose from" if example == 1 else f"to choose from {example}"
    found: dict[str, list[Choosable]] = {name: [] for name in wanted}
    for one in bank.values():
        if one.outcome in found and one.use != "practice":
            drawn = Asked(one, build(one, seed, kitchen))
            found[one.outcome].append(Choosable(drawn, used.get(one.id, ())))
    for listed in found.values():
        listed.sort(key=lambda one: (LEVELS.index(one.asked.card.level), one.asked.card.id))
    return found


def overview_lines(found: Mapping[str, list[Choosable]]) -> list[str]:
    """Return outcomes and questions line by line."""
    lines = []
    for name, listed in found.items():
        known = outcomes()[name]
        lines.append(f"{name} ({known.evidence}): {known.wording}")
        lines += [f"  {one.asked.card.id}: {one.facts()}" for one in listed]
    return lines


def overview_page(found: Mapping[str, list[Choosable]], title: str) -> str:
    """Return a page with each question as a sheet could ask it, with its answers."""
    return page_template("questions.html").render(
        title=title,
        outcomes=[
            {
                "id": name,
                "wording": outcomes()[name].wording,
                "evidence": outcomes()[name].evidence,
                "questions": [one.shown() for one in listed],
            }
            for name, listed in found.items()
        ],
        css=static_text("tokens.css", "worksheet.css", "paper.css"),
    )
