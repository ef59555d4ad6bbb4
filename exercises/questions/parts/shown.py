"""What a student sees of a part: its public side, and the HTML made of it.

One description makes the sheet's page, the practice card, the paper and the notebook.
A page and a card have the same elements, named by a :class:`Dress`; no template engine
is needed, so that a browser can make a card too.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import ClassVar, NamedTuple

_HANDLERS = Path(__file__).parents[2] / "static" / "parts"


class Box(NamedTuple):
    """An answer box: its key, and what stands before it."""

    key: str
    label: str = ""


@dataclass(frozen=True)
class Dress:
    """How a page dresses the elements of a part.

    Parameters
    ----------
    classes : mapping of str to str, optional
        The page's names of the classes; without it, the elements' own.
    ids : str
        What the place of an id begins with, where a page has many cards.
    letters : mapping of str to str, optional
        What a part is called on the page, by key; without it, its key.
    on_sheet : bool
        On a sheet, with marks, typed places, a button to clear and room for working; else
        on a card, with a place for the verdict.
    """

    classes: Mapping[str, str] | None = None
    ids: str = ""
    letters: Mapping[str, str] | None = None
    on_sheet: bool = True

    def css(self, name: str) -> str:
        """Return the attribute ``class`` of an element."""
        return f'class="{name if self.classes is None else self.classes.get(name, name)}"'

    def ident(self, role: str, key: str) -> str:
        """Return the id of an element."""
        return f"{role}-{self.ids}{key}"

    def letter(self, key: str) -> str:
        """Return what a part is called."""
        return key if self.letters is None else self.letters.get(key, "")


SHEET = Dress()
_ON_A_CARD = {
    "answer": "gb-write",
    "button": "gb-button",
    "field": "gb-field",
    "key": "gb-letter",
    "marks": "gb-marks",
    "option": "gb-option",
    "options": "gb-options",
    "part": "gb-part",
    "prompt": "gb-prompt",
    "steps": "gb-steps",
    "tools": "gb-moves",
    "verdict": "gb-verdict",
}


def card(question: str, keys: Sequence[str]) -> Dress:
    """Return the dress of a practice card: parts have letters where there are several."""
    letters = {key: key.lstrip("0123456789") for key in keys} if len(keys) > 1 else {}
    return Dress(_ON_A_CARD, f"{question}-", letters, on_sheet=False)


@dataclass(frozen=True)
class PublicPart(ABC):
    """What a student may see of a part, and nothing else.

    Parameters
    ----------
    key : str
        ``"1a"``.
    prompt, marks : str
        What is asked, and for how many marks.
    boxes : tuple of Box
        Where answers are written; one with the part's key where none are named.
    """

    handler: ClassVar[str]  # the name of its handler in the page's script
    calculated: ClassVar[bool] = False  # asks for working, not for a reason
    working_open: ClassVar[bool] = False
    how_many: ClassVar[str] = ""  # stands behind the marks
    how: ClassVar[str] = ""  # how an answer is written where it can't be picked

    key: str
    prompt: str
    marks: str
    boxes: Sequence[Box] = ()

    def __post_init__(self) -> None:
        """Give the part one box of its own where it has no others."""
        if not self.boxes:
            object.__setattr__(self, "boxes", (Box(self.key),))

    @classmethod
    def script(cls) -> Path:
        """Return the file of its handler in the page's script."""
        return _HANDLERS / f"{cls.handler}.js"

    def listed(self) -> list[tuple[str, str]]:
        """Return what is listed below the prompt: what each is called, and its text."""
        return []

    @abstractmethod
    def asked_html(self, dress: Dress) -> str:
        """Return the controls in which the part is answered."""

    @abstractmethod
    def paper_html(self) -> str:
        """Return where the part is answered on paper."""

    # -- what all types have in common ------------------------------------------------

    def html(self, dress: Dress = SHEET) -> str:
        """Return the part as it is asked on a page."""
        letter, said = dress.letter(self.key), [self.marks] if dress.on_sheet else []
        said += [self.how_many] if self.how_many else []
        return (
            f'<fieldset {dress.css("part")} id="{dress.ident("part", self.key)}">'
            f"<legend {dress.css('prompt')}>"
            + (f"<span {dress.css('key')}>{letter}</span> " if letter else "")
            + escape(self.prompt)
            + (f" <span {dress.css('marks')}>({escape('; '.join(said))})</span>" if said else "")
            + f"</legend>{self.asked_html(dress)}"
            + (self._working() if dress.on_sheet else "")
            + "</fieldset>"
        )

    def _working(self) -> str:
        said = f"{'Working' if self.calculated else 'Your reason'} for {self.key}"
        opened = " open" if self.working_open else ""
        return (
            f'<details class="working"{opened}><summary>{said}</summary>'
            f'<textarea id="working-{self.key}" rows="3" maxlength="4000" '
            f'aria-label="{said}"></textarea></details>'
        )

    def on_paper(self) -> str:
        """Return the part as it is printed."""
        return (
            f'<div class="part"><p class="prompt"><span class="key">{self.key}</span> '
            f'{escape(self.prompt)} <span class="marks">({escape(self.marks)})</span></p>'
            f"{self.paper_html()}</div>"
        )


def read_back(dress: Dress, key: str) -> str:
    """Return the place where a page says how an answer reads, or what is thought of it."""
    verdict = "" if dress.on_sheet else f' data-verdict="{key}"'
    role = "read" if dress.on_sheet else "verdict"
    return f'<p {dress.css(role)} id="{dress.ident("read", key)}" role="status"{verdict}></p>'


@dataclass(frozen=True)
class PublicQuantity(PublicPart):
    """A number with its unit is asked for."""

    handler = "quantity"
    calculated = True
    working_open = True

    def asked_html(self, dress: Dress) -> str:
        """Return a box for each number."""
        return "".join(self._box(dress, box) for box in self.boxes)

    def _box(self, dress: Dress, box: Box) -> str:
        letter = dress.letter(self.key)
        said = box.label or f"Your answer{f' to {letter}' if letter else ''}"
        return (
            f"<label {dress.css('field')}><span>{escape(said)}, with its unit</span>"
            f'<input {dress.css("answer")} id="{dress.ident("answer", box.key)}" '
            f'name="{box.key}" type="text" maxlength="80" autocomplete="off" '
            f'autocapitalize="off" spellcheck="false" enterkeyhint="next" '
            f'aria-describedby="{dress.ident("read", box.key)}"></label>'
            f"{read_back(dress, box.key)}\n"
        )

    def paper_html(self) -> str:
        """Return room for working, and a line for each number and its unit."""
        lines = "".join(
            f'<p class="write"><span>{escape(box.label or "Answer")} <span class="line"></span>'
            '</span><span>Unit <span class="line short"></span></span></p>'
            for box in self.boxes
        )
        return f'<div class="room">Working</div>{lines}'


@dataclass(frozen=True)
class PublicTable(PublicQuantity):
    """Several numbers are asked for, one a row."""

    working_open = False

    def listed(self) -> list[tuple[str, str]]:
        """Return what the rows are called."""
        return [("", box.label) for box in self.boxes]


@dataclass(frozen=True)
class PublicChoice(PublicPart):
    """One of several options is asked for; each has a letter."""

    handler = "choice"
    how = 'Answer with one letter, like `answer = "b"`.'
    control: ClassVar[str] = "radio"
    mark: ClassVar[str] = "Mark one."

    options: Sequence[tuple[str, str]] = ()

    def listed(self) -> list[tuple[str, str]]:
        """Return the options."""
        return list(self.options)

    def asked_html(self, dress: Dress) -> str:
        """Return the options to choose from."""
        options = "".join(
            f'<label {dress.css("option")}><input type="{self.control}" name="{self.key}" '
            f'value="{letter}">'
            + (f'<span class="letter">{letter}</span>' if dress.on_sheet else "")
            + f"<span>{escape(text)}</span></label>"
            for letter, text in self.options
        )
        clear = f'<button class="none" type="button">Clear {self.key}</button>'
        return (
            f"<div {dress.css('options')}>{options}{clear if dress.on_sheet else ''}</div>"
            f"{read_back(dress, self.key)}"
        )

    def paper_html(self) -> str:
        """Return the options with a square to mark, and room for a reason."""
        options = "".join(
            f'<div class="option"><span class="square"></span><span class="letter">{letter}'
            f"</span><span>{escape(text)}</span></div>"
            for letter, text in self.options
        )
        return (
            f'<div class="options">{options}</div>'
            f'<div class="room low">{self.mark} Your reason:</div>'
        )


@dataclass(frozen=True)
class PublicChoices(PublicChoice):
    """All options that are right are asked for."""

    how_many = "choose all that are right"
    how = 'Answer with all letters that are right, like `answer = "a, c"`.'
    control = "checkbox"
    mark = "Mark all that are right."


@dataclass(frozen=True)
class PublicOrder(PublicPart):
    """Steps are to be put in order."""

    handler = "order"
    how = 'Answer with the numbers of the steps, the first one first, like `answer = "2, 1, 3"`.'

    steps: Sequence[str] = ()

    def listed(self) -> list[tuple[str, str]]:
        """Return the numbered steps."""
        return [(f"Step {n}:", step) for n, step in enumerate(self.steps, 1)]

    def asked_html(self, dress: Dress) -> str:
        """Return the steps, to be moved or, on a sheet, numbered."""
        steps = "".join(self._step(dress, n, step) for n, step in enumerate(self.steps, 1))
        return (
            f"<ol {dress.css('steps')}>{steps}</ol>"
            + ("" if dress.on_sheet else f'<input type="hidden" name="{self.key}" value="">')
            + read_back(dress, self.key)
            + f'<p class="unseen" id="{dress.ident("said", self.key)}" aria-live="polite"></p>'
            * dress.on_sheet
        )

    def _step(self, dress: Dress, n: int, step: str) -> str:
        key, text = f"{self.key}-{n}", escape(step)
        button = f'<button type="button" {dress.css("button")}'
        up, down = f"Earlier: {text}", f"Later: {text}"
        if dress.on_sheet:  # where steps have numbers
            up, down = f"Move step {n} up", f"Move step {n} down"
        place = (
            f'<label><span class="unseen">Place of step {n}</span>'
            f'<input id="{dress.ident("place", key)}" data-step="{n}" type="number" min="1" '
            f'max="{len(self.steps)}" inputmode="numeric" placeholder="–" '
            f'aria-describedby="{dress.ident("step", key)}"></label>'
        )
        return (
            f'<li data-step="{n}">'
            + (f'<span class="no">Step {n}</span>' if dress.on_sheet else "")
            + f'<span id="{dress.ident("step", key)}">{text}</span><span {dress.css("tools")}>'
            + (place if dress.on_sheet else "")
            + f'{button} data-by="-1" aria-label="{up}">↑</button>'
            f'{button} data-by="1" aria-label="{down}">↓</button></span></li>'
        )

    def paper_html(self) -> str:
        """Return the steps, and a square for each number."""
        steps = "".join(
            f'<li><span class="no">Step {n}</span><span>{escape(step)}</span></li>'
            for n, step in enumerate(self.steps, 1)
        )
        squares = '<span class="square"></span>' * len(self.steps)
        return (
            f'<ol class="steps">{steps}</ol><p class="write"><span>Write the numbers of the '
            f'steps, first one first:</span><span class="squares">{squares}</span></p>'
        )
