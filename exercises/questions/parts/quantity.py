"""A part that is answered with a quantity: a number and its unit."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple, Self

from calculators.faults import FaultsError, fault_error
from calculators.units import (
    Quantity,
    is_quantity,
    number,
    q,
    read,
    read_loosely,
    say,
    symbol,
    unit,
)
from exercises.questions.draws import Draw
from exercises.questions.parts.part import (
    DrawnPart,
    EarlierAnswers,
    Given,
    OnSheet,
    Part,
    part_type,
)
from exercises.questions.parts.shown import Box, PublicPart, PublicQuantity
from exercises.questions.verdicts import (
    ASSESSOR,
    FOLLOWS,
    NEAR,
    RIGHT,
    RIGHT_ALONE,
    RIGHT_WITH_UNIT,
    ROAD,
    UNIT_LOST,
    WRONG,
    Earned,
)

if TYPE_CHECKING:
    from exercises.questions.answer_boxes import AnswerBox

NEAR_WIDTHS = 3.0  # within so many tolerances, a number comes near
ROUNDED_WIDTHS = 20.0  # further off, rounding of earlier answers is not looked at


# --- as a question writes it -------------------------------------------------------------


@dataclass(frozen=True)
class WrongTurn:
    """A wrong way to an answer that teachers of the trade know.

    Parameters
    ----------
    name : str
        Two or three words, for the assessor.
    value : quantity or str
        The number that comes of it; in a choice, the text of the option.
    says : str
        Begins *This is the number you get ...*, then gives one next step; it never
        gives the answer and never says that somebody did it.
    """

    name: str
    value: Any
    says: str


@dataclass(frozen=True)
class QuantityPart(Part):
    """A part that is answered with a quantity.

    Parameters
    ----------
    prompt : str
        What is asked, with the values in it.
    answer : quantity or function of the earlier answers
        The right answer; a function makes the part a follow-through part.
    tolerance : str
        ``"0.1 g"``, or ``"2 % of the answer"``.
    because : str
        Why that tolerance: what the scale shows, how far sources agree.
    marks : mapping
        Marks for ``"value"`` and, separately, ``"unit"``.
    wrong_turns : sequence of WrongTurn
        At least two.
    working : str
        The formula in the letters of the lesson.
    worked : str
        The solution step by step with this sheet's numbers, ending at the answer.
    unit : str
        The unit to print the answer in; by default that of the answer.
    safety : bool
        A safety decision: never accepted by follow-through.
    """

    prompt: str
    answer: Any
    tolerance: str
    because: str = ""
    marks: Mapping[str, int] = field(default_factory=lambda: {"value": 2, "unit": 1})
    wrong_turns: Sequence[WrongTurn] = ()
    working: str = ""
    worked: str = ""
    unit: str = ""
    safety: bool = False

    def drawn(self, name: str, draw: Draw, earlier: EarlierAnswers) -> DrawnQuantity:
        """Return the part with its answer; answer, tolerance and turns in base units."""
        earlier.asked = set()
        answer = self.answer(earlier) if callable(self.answer) else self.answer
        if not is_quantity(answer):
            raise fault_error("answer", "is not a quantity", answer, "", "Return a quantity")
        shown = self.unit or str(answer.units)
        return DrawnQuantity(
            name=name,
            prompt=self.prompt,
            worked=self.worked,
            safety=self.safety,
            marks=dict(self.marks),
            answer=base(answer),
            base_unit=str(answer.to_base_units().units),
            unit=shown,
            shown=say(answer, shown, digits=4),
            tolerance=tolerance_in(self.tolerance, answer),
            tolerance_text=self.tolerance,
            because=self.because,
            roads=self.turns(earlier),
            follows=tuple(sorted(earlier.asked)),
            working=self.working,
        )

    def turns(self, earlier: Given) -> tuple[Turn, ...]:
        """Return the wrong turns with their numbers, from these earlier answers."""
        return tuple(
            Turn(one.name, base(one.value(earlier) if callable(one.value) else one.value), one.says)
            for one in self.wrong_turns
        )


# --- numbers in base units -------------------------------------------------------------------


def base(quantity: Quantity) -> float:
    """Return a quantity's number in base units (kelvin, gram, metre, plain share)."""
    return float(quantity.to_base_units().magnitude)


def tolerance_in(text: str, answer: Quantity) -> float:
    """Return a tolerance as a number of base units.

    ``"2 % of the answer"`` is relative; anything else is a quantity of the answer's
    dimension, where °C means a difference of temperatures.
    """
    if text.endswith(" of the answer"):
        share = read(text.removesuffix(" of the answer"), "percent", "tolerance")
        return abs(base(share) * base(answer))
    width = read(text, None, "tolerance")
    if not width.is_compatible_with(answer) or width.magnitude < 0:
        raise fault_error(
            "tolerance",
            "does not fit the answer",
            text,
            f"The answer is {say(answer)}",
            f"Write it in a unit of the answer, like 0.5 {symbol(answer.units)}".rstrip(),
        )
    degree = {"degree_Celsius": 1.0, "degree_Fahrenheit": 5 / 9}.get(str(width.units))
    return float(width.magnitude) * degree if degree else base(width)


# --- as a sheet holds it ------------------------------------------------------------------


class Turn(NamedTuple):
    """A wrong turn with its number in base units, and what is said to who took it."""

    name: str
    value: float
    says: str = ""

    def to_json(self) -> dict[str, Any]:
        """Return it as a sheet stores it."""
        return {"name": self.name, "value": self.value, "says": self.says}


@part_type
@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnQuantity(DrawnPart):
    """A quantity that is asked for; its numbers are floats in base units.

    Parameters
    ----------
    label : str
        What a row of a table is called; empty for a part of its own.
    answer, tolerance : float
        In base units.
    base_unit, unit : str
        Those units, and the unit of the answer as it is shown.
    shown, tolerance_text : str
        Answer and tolerance in words.
    because : str
        Why that tolerance.
    roads : tuple of Turn
        The wrong turns.
    follows : tuple of str
        The letters of the earlier parts that the answer is worked out from.
    working : str
        The formula in the letters of the lesson.
    """

    kind: ClassVar[str] = "quantity"
    label: str = ""
    answer: float
    tolerance: float
    base_unit: str
    unit: str
    shown: str = ""
    tolerance_text: str = ""
    because: str = ""
    roads: Sequence[Turn] = ()
    follows: Sequence[str] = ()
    working: str = ""

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Self:
        """Return the part from what a sheet stores."""
        roads = tuple(
            Turn(one["name"], one["value"], one.get("says", "")) for one in data.get("roads", ())
        )
        return super(DrawnQuantity, cls).from_json({**data, "roads": roads})

    # -- what is asked ------------------------------------------------------------------

    def public(self, place: int, name_units: bool) -> PublicPart:
        """Return what a student may see, field by field."""
        said = self.unit_asked() if name_units else ""
        prompt = f"{self.prompt} Give it in {said}." if said else self.prompt
        key = f"{place}{self.name}"
        return PublicQuantity(key, prompt, self.marks_in_words(), boxes=(Box(key),))

    def unit_asked(self) -> str:
        """Return the unit that it is asked in; empty where it says so itself."""
        if self.is_plain:
            return ""
        said = "leaves" if self.unit == "leaf" else symbol(self.unit)
        text = self.label or self.prompt
        return "" if re.search(rf"\bin {re.escape(said)}(?!\w)", text) else said

    # -- the answer -----------------------------------------------------------------------

    def quantity(self) -> Quantity:
        """Return the answer, in the unit in which it is shown."""
        return self.as_quantity(self.answer)

    def as_quantity(self, size: float) -> Quantity:
        """Return a number of base units as a quantity, in the unit that is shown."""
        return q(size, self.base_unit).to(unit(self.unit))

    def in_unit(self, size: float, digits: int = 4) -> str:
        """Return a number of base units in the unit in which the part is shown."""
        slope, offset = _scale(self.base_unit, self.unit)
        sign = symbol(self.unit)
        gap = "" if sign in ("", "°") else "\N{NO-BREAK SPACE}"
        return number(size * slope + offset, digits) + gap + sign

    def right_answer(self) -> str:
        """Return the right answer as a student could write it."""
        return self.shown

    def exact_answer(self) -> str:
        """Return the right answer to six digits."""
        return self.in_unit(self.answer, 6)

    def wrong_answer(self) -> str:
        """Return a number far off, in the right unit."""
        return self.in_unit(self.answer + 15 * self.tolerance, 6)

    def solution(self) -> str:
        """Return the worked solution, ending at the answer."""
        return f"{self.working}\n\n{self.worked}".strip() or self.shown

    def is_fair(self) -> bool:
        """Whether the answer is finite and no wrong turn ends near it."""
        finite = self.answer == self.answer and abs(self.answer) < 1e15
        return finite and all(
            abs(road.value - self.answer) > 2 * self.tolerance for road in self.roads
        )

    def same_answers(self, other: DrawnPart) -> bool:
        """Whether another drawing of this part has the same right answer.

        A millionth of the tolerance is allowed for, as another machine may round it.
        """
        return (
            isinstance(other, DrawnQuantity)
            and other.base_unit == self.base_unit
            and abs(other.answer - self.answer) <= 1e-9 * abs(self.answer) + 1e-6 * self.tolerance
        )

    def with_tolerance(self, text: str) -> DrawnQuantity:
        """Return the part with another tolerance."""
        width = tolerance_in(text, self.quantity())
        return replace(self, tolerance=width, tolerance_text=text)

    def notes(self) -> list[tuple[str, str, str]]:
        """Return the wrong turns, each with its number here."""
        return [
            ("Wrong turn", f"{one.name}, here {self.in_unit(one.value)}.", one.says)
            for one in self.roads
        ]

    def says_of(self, turn: str) -> tuple[str, bool] | None:
        """Return what is said of a wrong turn, and that it is no option's text."""
        return next(((one.says, False) for one in self.roads if one.name == turn), None)

    # -- marking ------------------------------------------------------------------------

    @property
    def is_plain(self) -> bool:
        """Whether it is answered with a number that has no unit."""
        return self.unit in ("", "dimensionless")

    @property
    def is_share(self) -> bool:
        """Whether a bare number may be a share: 0.65 for 65 %.

        Not where the question names the number without its per cent as a wrong turn.
        """
        if self.base_unit != "dimensionless" or self.is_plain:
            return False
        hundredth = self.answer / 100
        return all(abs(road.value - hundredth) > 1e-6 * abs(hundredth) for road in self.roads)

    def earned(self, text: str, box: AnswerBox, sheet: OnSheet) -> Earned:
        """Return what an answer earns."""
        got = read_loosely(text)
        safety = self.safety or box.question.safety
        width = widened(self.tolerance, self.answer)
        size, state = understood(got.value, got.unit_name, self, width, safety)
        value = float(self.marks.get("value", 0))
        unit_mark = float(self.marks.get("unit", 0))
        about_unit = _about_unit(state, got.unit_name, sheet.policy)
        lost = bool(about_unit) and unit_mark > 0

        verdict, reason, road = RIGHT, "The number is right.", ""
        if not abs(size - self.answer) <= width:
            no_follow = safety or state == MISFIT
            verdict, reason, road = self._not_true(box, sheet, size, width, no_follow)
        if verdict in (RIGHT, FOLLOWS):
            if lost:
                verdict = UNIT_LOST if verdict == RIGHT else verdict
                return Earned(verdict, f"{reason} {about_unit}", value)
            if verdict == RIGHT:
                said = got.unit_name and not self.is_plain
                reason = RIGHT_WITH_UNIT if said else RIGHT_ALONE
            return Earned(verdict, reason, value, unit_mark)

        if verdict in (WRONG, ROAD) and _POINT_AND_THREE.match(text):
            size, _ = understood(1000 * got.value, got.unit_name, self, width, safety)
            if abs(size - self.answer) <= width:
                return Earned(ASSESSOR, _TWO_WAYS)

        # An assumed unit is no merit beside a wrong number.
        earned = state in (FITS, OTHER) and sheet.policy["unit_alone"] and not lost
        if state == MISFIT:
            reason = about_unit if size != size else f"{about_unit} {reason}"
        elif about_unit:
            reason = f"{reason} {about_unit}"
        elif got.unit_name and unit_mark:
            reason = f"The unit is right. {reason}"
        return Earned(verdict, reason, 0.0, unit_mark if earned else 0.0, road)

    def _not_true(
        self, box: AnswerBox, sheet: OnSheet, size: float, width: float, no_follow: bool
    ) -> tuple[str, str, str]:
        """Return verdict, reason and wrong turn of a number that is not the true one."""
        roads = list(self.roads)
        far = abs(size - self.answer) > ROUNDED_WIDTHS * width
        asked = sheet.follow(box, far) if self.follows and not no_follow else None
        if isinstance(asked, str):
            return ASSESSOR, asked, ""
        if asked is not None:
            if abs(size - asked.answer) <= widened(asked.tolerance, asked.answer):
                earlier = " and ".join(asked.earlier)
                if not earlier:  # only their rounding stood between
                    return RIGHT, "The number is right.", ""
                return (
                    FOLLOWS,
                    f"Right from what you had in {earlier}: the method holds. "
                    f"Look at {earlier} again.",
                    "",
                )
            roads += asked.roads
        found = _road(size, roads, width)
        if found:
            return ROAD, found.says, found.name
        if abs(size - self.answer) <= NEAR_WIDTHS * width:
            return (
                NEAR,
                "The number comes near. Look again at where you rounded: round only at the end.",
                "",
            )
        return (
            WRONG,
            "The number does not agree yet. Write the rule down first, then put your "
            "values in one at a time.",
            "",
        )

    def own(self, text: str) -> float | None:
        """Return a student's answer in base units, for a later part; None for none."""
        if not text.strip():
            return None
        try:
            got = read_loosely(text)
        except FaultsError:
            return None
        if got.unit_name is None:
            if self.is_share and abs(got.value - self.answer) <= self.tolerance:
                return got.value
            return self.in_base(got.value, None)
        return self.in_base(got.value, got.unit_name)

    def in_base(self, value: float, unit_name: str | None) -> float | None:
        """Return a number in base units, or None where its unit does not fit the part.

        Without a unit it is meant in the unit of the answer.  Where a difference of
        temperatures is asked for, °C is a difference too.
        """
        if unit_name is None:
            return self.in_shown(value)
        factor, offset, name = to_base(unit_name)
        if name != self.base_unit:
            return None
        return factor * value + (0.0 if "delta_" in self.unit else offset)

    def in_shown(self, value: float) -> float:
        """Return a number that is meant in the unit of the answer, in base units."""
        factor, offset, _ = to_base(self.unit)
        return factor * value + offset


# Where a comma is the decimal mark, 1.250 is 1250 to many.
_POINT_AND_THREE = re.compile(r"\s*[+-]?[1-9][0-9]{0,2}\.[0-9]{3}(?![0-9.,])")
_TWO_WAYS = "A point before three digits can be read in two ways. An assessor will look at it."


def _about_unit(state: str, unit_name: str | None, policy: Mapping[str, Any]) -> str:
    """Return what to say of a unit that loses its mark; nothing where it keeps it."""
    if state == UNWRITTEN and policy["missing_unit"] == "asked":
        return "Its unit is missing: write the unit beside every number."
    if state == MISFIT:
        said = symbol(unit_name or "")
        return f"{said} does not fit here: look again at the unit."
    if state == OTHER and policy["other_unit"] == "asked":
        return "It was asked for in another unit: read the question again."
    return ""


def _road(size: float, roads: Sequence[Turn], width: float) -> Turn | None:
    """Return the one wrong turn that ends here; none where another lies near it."""
    hits = [road for road in roads if abs(size - road.value) <= widened(width, road.value)]
    if not hits:
        return None
    first = hits[0]
    for road in roads:
        if road.name != first.name and abs(road.value - first.value) <= 2 * width:
            return None
    if any(road.name != first.name for road in hits):
        return None
    return first


# --- units, as floats ------------------------------------------------------------------------


@lru_cache(maxsize=512)
def to_base(unit_name: str) -> tuple[float, float, str]:
    """Return factor, offset and the name of the base unit: base = factor * x + offset."""
    nought = q(0.0, unit_name).to_base_units()
    one = q(1.0, unit_name).to_base_units()
    return (
        float(one.magnitude - nought.magnitude),
        float(nought.magnitude),
        str(nought.units),
    )


@lru_cache(maxsize=1024)
def _scale(base_unit: str, shown_unit: str) -> tuple[float, float]:
    """Return slope and offset from base units to the unit that is shown."""
    at_0 = float(q(0.0, base_unit).to(unit(shown_unit)).magnitude)
    at_1 = float(q(1.0, base_unit).to(unit(shown_unit)).magnitude)
    return at_1 - at_0, at_0


@lru_cache(maxsize=512)
def _same(one: str, other: str) -> bool:
    return bool(unit(one) == unit(other))


# How a written unit stands to the one that was asked for.
FITS, OTHER, UNWRITTEN, MISFIT = "fits", "another that fits", "unwritten", "misfit"


def understood(
    value: float,
    unit_name: str | None,
    part: DrawnQuantity,
    width: float,
    safety: bool,
) -> tuple[float, str]:
    """Return what number was meant, in base units, and how its unit stands.

    A number that would be right in the unit that was asked for is understood so,
    and only its unit is a misfit; in a safety decision a misfit is no answer, and
    the number is NaN, which agrees with nothing.
    """
    answer = part.answer
    # 0.65 may be written for 65 %, so a share has two readings.
    meant = [part.in_shown(value)] + ([value] if part.is_share else [])
    right = next((size for size in meant if abs(size - answer) <= width), None)
    if unit_name is None:
        if part.is_plain or (len(meant) > 1 and right == value):
            return value if right is None else right, FITS
        return meant[0], UNWRITTEN
    size = part.in_base(value, unit_name)
    if size is None or (right is not None and abs(size - answer) > width):
        number = meant[0] if right is None else right
        return float("nan") if safety else number, MISFIT
    return size, FITS if _same(unit_name, part.unit) else OTHER


def widened(tolerance: float, answer: float) -> float:
    """Return a tolerance with room for the last bit, so that its edge counts as in."""
    return float(tolerance + 1e-9 * max(abs(answer), abs(tolerance)))
