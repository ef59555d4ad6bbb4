"""What a plan of the practical holds."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from calculators.cooling import Clock
from calculators.safety import Caution, LegalNote
from calculators.units import Quantity, q
from course.scheme.model import Scheme
from exercises.rehearsal import consequences as follows

# Minutes of hands, common practice of teaching kitchens; change them with your own.
HANDS = {
    "briefing": 15,
    "blend": 5,
    "rest": 10,
    "colour": 15,
    "layer": 10,
    "frost": 5,
    "trial": 5,
    "pour each": 2,
    "move": 15,
    "left over": 10,
    "clean": 20,
}
FULL = follows.number("two thirds")  # depth of a jug two thirds full, in widths of it
STEP = 5  # the plan counts in steps of so many minutes
BUBBLE = q(1, "mm")
LONGEST_DAY = q(8, "h")  # of a working day, common practice
MOST_AT_A_BENCH, MOST_IN_ALL = q(50, "kg"), q(500, "kg")

# What goes into the bowl under the hot syrup; the rest goes into the pan.
BOWL = ("chocolate", "fat", "emulsifier")
LATE = ("acid", "colour")
COARSE = 0.1  # share of a mass that rounding to its scale may cost; from memory
FINE = ("gelatin", "colour", "acid", "agar", "pectin")  # on the small scale
WARM, POUR, LEFT = "Warm the glaze", "Pour", "What is left over"
WINDOW = ("Bring it into the window", "Bring all jugs into the window")


# --- what a plan holds ------------------------------------------------------------------


@dataclass(frozen=True)
class Amount:
    """A result of the plan: what it is, the value, what it means at the bench."""

    label: str
    value: str
    meaning: str


@dataclass(frozen=True)
class OrderLine:
    """A line of the order list; what is not known is None."""

    ingredient: str
    needed: Quantity | None
    pack: Quantity | None = None
    packs: int | None = None
    left: Quantity | None = None
    cost: Quantity | None = None
    note: str = ""


@dataclass(frozen=True)
class PlanStep:
    """A step of the work, with its time, its temperature and its hazards.

    Parameters
    ----------
    title : str
        What is done, in a few words.
    does : tuple of str
        How it is done, short sentences.
    temperature : str
        What the thermometer must show; empty where it does not matter.
    starts, lasts : quantity or None
        Minutes from the beginning, and how many; None where no clock is kept.
    cautions : tuple of Caution
        Hazards met here for the first time.
    again : tuple of Caution
        Hazards that were met before.
    because : str
        Where the time or the number comes from.
    """

    title: str
    does: tuple[str, ...]
    temperature: str = ""
    starts: Quantity | None = None
    lasts: Quantity | None = None
    cautions: tuple[Caution, ...] = ()
    again: tuple[Caution, ...] = ()
    because: str = ""


@dataclass(frozen=True)
class Weighed:
    """A line of what is weighed out at a bench; ``shown`` is what the scale shows."""

    ingredient: str
    mass: Quantity
    shown: str
    note: str = ""


@dataclass(frozen=True)
class CakeRow:
    """Cakes of one kind at a bench: how many, and what is poured over each."""

    label: str
    count: int
    pour: Quantity


@dataclass(frozen=True)
class JugRow:
    """A jug of one colour: what is weighed into it, and what colours it."""

    name: str
    mass: Quantity
    colourant: str
    dose: Quantity | None
    too_small: bool


@dataclass(frozen=True)
class Station:
    """One bench, or several that have the same to do."""

    numbers: tuple[int, ...]
    students: int
    cakes: tuple[CakeRow, ...]
    batch: Quantity
    weigh: tuple[Weighed, ...]
    jugs: tuple[JugRow, ...]
    layers: tuple[tuple[str, Quantity], ...]
    steps: tuple[PlanStep, ...]

    @property
    def name(self) -> str:
        """Return how the bench is called on its page."""
        which = ", ".join(str(number) for number in self.numbers)
        return f"Station {which}" if len(self.numbers) == 1 else f"Stations {which}"

    @property
    def lasts(self) -> Quantity:
        """How long the plan of the bench takes, in minutes."""
        return sum((s.lasts for s in self.steps if s.lasts is not None), q(0, "min"))


@dataclass(frozen=True)
class Plan:
    """The whole practical, ready to be printed."""

    scheme: Scheme
    day_before: datetime.date | None
    window: str
    amounts: tuple[Amount, ...]
    orders: tuple[OrderLine, ...]
    cost: Quantity | None
    without_price: tuple[str, ...]
    eaters: tuple[str, ...]
    legal: tuple[LegalNote, ...]
    before: tuple[PlanStep, ...]
    stations: tuple[Station, ...]
    warnings: tuple[str, ...]
    clocks: tuple[Clock, ...] = ()
