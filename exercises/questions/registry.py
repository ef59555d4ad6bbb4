"""The bank: every question, by its name."""

from __future__ import annotations

import difflib
import hashlib
import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from typing import Any

import calculators
from calculators.faults import Fault, refuse
from exercises.questions.draws import Draw
from exercises.questions.outcomes import outcomes

LEVELS = ("recall", "carry out", "decide")
USES = ("practice", "assessed", "both")


@dataclass(frozen=True)
class Question:
    """A question of the bank.

    Parameters
    ----------
    id : str
        Its name for ever.
    ask : function of a Draw
        Draws the values and returns the parts.
    outcome : str
        A key of outcomes.toml, with evidence *calculate* or *decide*.
    level : str
        One of :data:`LEVELS`.
    use : str
        One of :data:`USES`.
    safety : bool
        The tag of safety questions.
    minutes : float
        What it takes a student.
    private : bool
        From a lecturer's folder: never on the site.
    """

    id: str
    ask: Callable[[Draw], Any]
    outcome: str
    level: str
    use: str
    safety: bool = False
    minutes: float = 4
    private: bool = False

    @property
    def lesson(self) -> str:
        """The lesson it belongs to, through its outcome."""
        return outcomes()[self.outcome].lesson

    @property
    def source(self) -> str:
        """What it says, as it is written."""
        return inspect.getsource(self.ask)

    @cached_property
    def digest(self) -> str:
        """A digest of what it says, kept with a sheet; it decides nothing."""
        return hashlib.sha256(self.source.encode()).hexdigest()[:16]


@cache
def calculators_digest() -> str:
    """Return a digest of every formula and table of the ground floor."""
    total = hashlib.sha256()
    root = Path(calculators.__file__).parent
    for path in sorted(root.rglob("*")):
        if path.suffix in {".py", ".csv", ".txt"} and path.name != "kitchen.py":
            total.update(path.relative_to(root).as_posix().encode() + path.read_bytes())
    return total.hexdigest()


# --- the bank -------------------------------------------------------------------------


class QuestionBank:
    """Questions by id; those of exercises/questions/bank are loaded when first asked for."""

    def __init__(self) -> None:
        self.cards: dict[str, Question] = {}
        self._shelf: list[Question] | None = None
        self._loaded = False

    def add(self, card: Question) -> None:
        """Put a question in; what is wrong with its card is refused at once.

        While a lecturer's own files are read, the card is laid on the shelf that
        :meth:`gathered` holds, to be checked with all others.
        """
        if self._shelf is not None:
            self._shelf.append(card)
            return
        faults = card_faults(card)
        known = self.cards.get(card.id)
        if known and inspect.getsource(known.ask) != inspect.getsource(card.ask):
            where = f"question {card.id}"
            faults.append(Fault(where, "is in the bank already", card.id, "", "Rename it"))
        refuse(faults)
        self.cards[card.id] = card

    @contextmanager
    def gathered(self) -> Iterator[list[Question]]:
        """Lay every card that is written meanwhile on a shelf of its own, unchecked."""
        before, self._shelf = self._shelf, []
        try:
            yield self._shelf
        finally:
            self._shelf = before

    def replace_private(self, own: Iterable[Question]) -> None:
        """Put a lecturer's own questions in, in the place of earlier ones."""
        public = {name: one for name, one in self().items() if not one.private}
        self.cards = public | {one.id: one for one in own}

    def __call__(self) -> dict[str, Question]:
        """Return every question, by id."""
        if not self._loaded:
            self._loaded = True
            package = importlib.import_module("exercises.questions.bank")
            for module in pkgutil.iter_modules(package.__path__):
                importlib.import_module(f"exercises.questions.bank.{module.name}")
        return dict(sorted(self.cards.items()))


bank = QuestionBank()


def question(
    id: str,
    *,
    outcome: str,
    level: str,
    use: str = "both",
    safety: bool = False,
    minutes: float = 4,
) -> Callable[[Callable[[Draw], Any]], Callable[[Draw], Any]]:
    """Put a question into the bank."""

    def register(ask: Callable[[Draw], Any]) -> Callable[[Draw], Any]:
        bank.add(Question(id, ask, outcome, level, use, safety, minutes))
        return ask

    return register


def card_faults(card: Question) -> list[Fault]:
    """Return what is wrong with a question's card: level, use, outcome."""
    where = f"question {card.id}"
    faults = [
        Fault(f"{where}, {name}", "is not known", str(value), _near(value, allowed))
        for name, value, allowed in (
            ("level", card.level, LEVELS),
            ("use", card.use, USES),
            ("outcome", card.outcome, tuple(outcomes())),
        )
        if value not in allowed
    ]
    known = outcomes().get(card.outcome) if isinstance(card.outcome, str) else None
    if known and card.safety and not known.hazards:
        faults.append(
            Fault(
                f"{where}, outcome",
                "is one without a hazard, and this is a safety question",
                card.outcome,
                "A safety question brings the cautions of its outcome to the sheet",
                "Choose an outcome with a hazard in outcomes.toml",
            )
        )
    if known and known.evidence == "do":
        faults.append(
            Fault(
                f"{where}, outcome",
                "is one that no sheet can prove",
                card.outcome,
                "",
                "Choose an outcome with evidence calculate or decide",
            )
        )
    return faults


def _near(value: object, allowed: Sequence[str]) -> str:
    """Return the words that were meant, as far as one can tell: all of a few."""
    if len(allowed) <= 5:
        return ", ".join(allowed)
    near = difflib.get_close_matches(str(value), allowed, n=3, cutoff=0)
    return f"The nearest that are known: {', '.join(near)}"
