"""A sum by hand: worked, with its end left to the reader, and read by the same Python.

The sums are the worked solutions of the bank's questions, taken apart key by key; so a
lesson shows how it goes, leaves more of it open each time, and then asks the question.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from html import escape

from calculators.faults import fault_error
from calculators.units import Quantity, q, read
from course.live.cards import exhibit_html
from exercises.questions.by_hand import Step, steps
from exercises.questions.parts import DrawnQuantity, DrawnQuestion
from exercises.questions.parts.quantity import base

LEFT = " leave "  # between the id of a question and how many numbers are the reader's
MOST = 2  # numbers left open
APART = 50  # so that no sum has the numbers of a practice question
_NUMBER = re.compile(r"^\s*([\d.,]+)\s*[^\s\d]{1,6}\s*$")
ROUNDED = 0.005  # a number on the way may be rounded to three digits


def name(question_id: str, leave: int) -> str:
    """Return how a page names a sum whose end is left open."""
    return f"{question_id}{LEFT}{leave}"


def named(text: str) -> tuple[str, int]:
    """Return a question's id and how many numbers are left open; 0 for a question itself."""
    question_id, _, leave = text.partition(LEFT)
    return question_id, int(leave or 0)


def number_of(leave: int, number: int) -> int:
    """Return which numbers a sum has: other ones than the question, and than its other sums."""
    return APART * (leave + 1) + number


@dataclass(frozen=True)
class Sum:
    """A question's solution by hand.

    Parameters
    ----------
    asked : DrawnQuestion
        The question with its numbers.
    leave : int
        How many numbers at the end are left open.
    """

    asked: DrawnQuestion
    leave: int = 0

    @cached_property
    def parts(self) -> list[tuple[DrawnQuantity, list[Step]]]:
        """The parts that are sums, each with its steps."""
        found = [
            (part, steps(part.worked, part.shown))
            for part in self.asked.parts
            if isinstance(part, DrawnQuantity)
        ]
        if not found or not all(taken for _, taken in found):
            raise fault_error(
                f"by hand, {self.asked.id}",
                "has a solution that can't be taken apart",
                "",
                "",
                "Write each line of its working as a sum: what goes in = what comes out",
            )
        return found

    @cached_property
    def open(self) -> dict[int, DrawnQuantity]:
        """The numbers left open, by their place, each as a part that marking knows."""
        flat = [(part, step) for part, taken in self.parts for step in taken]
        finals, so_far = set(), 0
        for _, taken in self.parts:
            so_far += len(taken)
            finals.add(so_far - 1)
        out: dict[int, DrawnQuantity] = {}
        for place in range(max(len(flat) - self.leave, 0), len(flat)):
            part, step = flat[place]
            if place in finals:
                out[place] = replace(part, follows=())
                continue
            # A sum within the sum has a unit; a number on the way is a number.
            found = read(step.said) if step.last else q(step.value, "dimensionless")
            out[place] = replace(
                part,
                name=f"s{place}",
                prompt="",
                worked="",
                answer=base(found),
                tolerance=ROUNDED * abs(step.value) * abs(_slope(found)),
                base_unit=str(found.to_base_units().units),
                unit=str(found.units),
                shown=step.said,
                roads=(),
                follows=(),
            )
        return out

    def question(self) -> DrawnQuestion:
        """Return the question that marking sees: the numbers that are left open."""
        return replace(self.asked, parts=tuple(self.open.values()))

    def answers(self, given: Mapping[str, str]) -> dict[str, str]:
        """Return what is written, a number on the way without the unit that may follow it."""
        plain = {f"1{part.name}" for part in self.open.values() if part.is_plain}
        return {
            key: _NUMBER.sub(r"\1", text) if key in plain else text for key, text in given.items()
        }

    # -- as a page has it -------------------------------------------------------------

    def html(self) -> str:
        """Return what is asked and the sum, with a box for each number left open."""
        prompts = [self.asked.stem, *(part.prompt for part, _ in self.parts)]
        case = "".join(f"<p>{escape(text)}</p>" for text in prompts if text)
        return f"{case}{exhibit_html(self.asked.exhibit)}" + self._sum()

    def _sum(self) -> str:
        lines, place = [], 0
        hidden: list[str] = []  # numbers that a later line would give away
        for part, taken in self.parts:
            for n, step in enumerate(taken):
                words = step.words.rstrip(":")
                if n == 0 and part.working:
                    lines.append(_line(say=f"The rule: {pretty(part.working)}"))
                if step.put_in:
                    put_in = _without(step.put_in, hidden)
                    lines.append(_line(words[:1].upper() + words[1:], "", put_in))
                elif words:
                    lines.append(_line(say=words[:1].upper() + words[1:]))
                lines.append(self._step(step, self.open.get(place), hidden))
                if place in self.open:
                    hidden.append(step.said.split()[0])
                place += 1
        return f'<ol class="sum">{"".join(lines)}</ol>'

    def _step(self, step: Step, left: DrawnQuantity | None, hidden: Sequence[str]) -> str:
        around = _without(step.before, hidden), _without(step.after, hidden)
        if left is None:
            shown = escape(step.said)
            inner = f'<b class="end">{shown}</b>' if step.last else shown
            return _line("", "=", around[0] + inner + around[1])
        key = f"1{left.name}"
        label = "Your answer, with its unit" if step.last else "The number that comes out"
        box = (
            f'<input class="gb-write" type="text" name="{key}" aria-label="{label}" '
            'autocomplete="off" spellcheck="false" autocapitalize="off" maxlength="80">'
        )
        told = f'<span class="say gb-verdict" data-verdict="{key}" role="status"></span>'
        return _line("", "=", around[0] + box + around[1], told)

    def text(self) -> str:
        """Return the whole sum as Markdown, for paper and plain Jupyter."""
        prompts = [self.asked.stem, *(part.prompt for part, _ in self.parts)]
        out = ["**By hand.** " + " ".join(text for text in prompts if text)]
        for part, taken in self.parts:
            out += [pretty(part.working)] if part.working else []
            lines = []
            for step in taken:
                if step.put_in:
                    lines.append(f"{step.words} {step.put_in}".strip())
                lines.append(f"= {step.before}{step.said}{step.after}")
            out.append("  \n".join(lines))
        return "\n\n".join(out)


def _without(text: str, hidden: Sequence[str]) -> str:
    """Return a piece of a sum as HTML; a number that the reader has to find is not told."""
    for one in hidden:
        text = re.sub(rf"(?<![\d.]){re.escape(one)}(?![\d.])", "\x00", text)
    return escape(text).replace("\x00", "<i>your number</i>")


def _slope(found: Quantity) -> float:
    """Return how many base units one more of its unit is."""
    return base(q(found.m + 1, found.units)) - base(found)


def _line(say: str = "", equals: str = "", right: str = "", told: str = "") -> str:
    said = f'<span class="say">{escape(say)}</span>' if say else ""
    if not right:
        return f"<li>{said}</li>"
    return (
        f'<li>{said}<span class="l"></span><span>{equals}</span>'
        f'<span class="r">{right}</span>{told}</li>'
    )


def pretty(formula: str) -> str:
    """Return a formula with the signs of a textbook."""
    return re.sub(r"\bx\b", "×", formula).replace("sqrt", "√").replace(" / ", " ÷ ")


def asked_html(one: Sum) -> str:
    """Return the inside of a card whose sum the reader ends."""
    return f'<fieldset class="gb-boxes" disabled>{one.html()}</fieldset>'


def leaves(question_id: str, body: str) -> Sequence[int]:
    """Return how many numbers each sum of a lesson's block leaves open: ``leave: 2``."""
    word, _, most = (body.strip() or f"leave: {MOST}").partition(":")
    if word.strip() != "leave" or most.strip() not in [str(n) for n in range(MOST + 1)]:
        raise fault_error(
            f"by hand, {question_id}",
            "has a line that is not leave: and a number",
            body,
            f"It must be from 0 to {MOST}",
            "Write it like leave: 2",
        )
    return range(int(most) + 1)
