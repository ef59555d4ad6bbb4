"""A part that is answered with a quantity: a number and its unit."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
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
    say,
    symbol,
    unit,
)
from calculators.units.answers import SUBSTANCES, Answer, is_blank, read_answer
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

ABSURD_RATIO = 10.0  # an own earlier answer further off than this carries nothing
ABSURD_KELVIN = 50.0
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
    method : mapping
        Steps that earn marks beside a wrong value, each with its marks, together less
        than the value's; by default the rule (``working``) is such a step, for half of
        the value's marks, in whole ones.
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
    method: Mapping[str, float] = field(default_factory=dict)

    def drawn(self, name: str, draw: Draw, earlier: EarlierAnswers) -> DrawnQuantity:
        """Return the part with its answer; answer, tolerance and turns in base units."""
        most = self.marks.get("value", 0)
        if self.method and not 0 < sum(self.method.values()) < most:
            raise fault_error(
                "method",
                "must earn less than the right value",
                f"{sum(self.method.values()):g} marks",
                f"The value has {most}",
                "Give its steps fewer marks, or the value more",
            )
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
            method=dict(self.method),
        )

    def without_turns(self) -> QuantityPart:
        """Return the part without its wrong turns, which take longest to work out."""
        return replace(self, wrong_turns=())

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
    if text.endswith(OF_THE_ANSWER):
        return abs(_share(text) * base(answer))
    width = _width(text, answer.units)
    if width is None:
        raise fault_error(
            "tolerance",
            "does not fit the answer",
            text,
            f"The answer is {say(answer)}",
            f"Write it in a unit of the answer, like 0.5 {symbol(answer.units)}".rstrip(),
        )
    return width


OF_THE_ANSWER = " of the answer"
# A sheet has a handful of tolerances, and each is asked for again and again.


@lru_cache(maxsize=256)
def _share(text: str) -> float:
    return base(read(text.removesuffix(OF_THE_ANSWER), "percent", "tolerance"))


@lru_cache(maxsize=256)
def _width(text: str, units: Any) -> float | None:
    """Return a tolerance in base units; None where it does not fit an answer's unit."""
    width = read(text, None, "tolerance")
    if not width.is_compatible_with(units) or width.magnitude < 0:
        return None
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
    method : mapping
        Steps that earn marks beside a wrong value; empty for the rule alone, as on every
        sheet that was issued before there were any.
    """

    kind: ClassVar[str] = "quantity"
    evidence: ClassVar[str] = "calculate"
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
    method: Mapping[str, float] = field(default_factory=dict)

    @property
    def steps(self) -> Mapping[str, float]:
        """The steps that earn marks beside a wrong value, each with its marks."""
        half = float(self.marks.get("value", 0) // 2)
        return self.method or ({self.working: half} if self.working and half else {})

    def marks_in_words(self) -> str:
        """Return the marks as they stand behind the prompt, with what working can earn."""
        # no argument-free super(): a dataclass with slots is a class made a second time
        said = DrawnPart.marks_in_words(self)
        method = sum(self.steps.values())
        return f"{said}; the working can earn {method:g} of them" if method else said

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
        """Whether a number may be the fraction of a share: 0.65 for 65 %."""
        return self.base_unit == "dimensionless" and not self.is_plain

    def asks_of(self) -> tuple[bool, frozenset[str]]:
        """Return whether it is asked for as *how many*, and the substances it names.

        *How many leaves?* is answered by a number alone.
        """
        return _asks(self.prompt, self.label, self.unit)

    def earned(self, text: str, box: AnswerBox, sheet: OnSheet) -> Earned:
        """Return what an answer earns by what its writer meant; a real doubt is left open."""
        got = read_answer(text, self.unit)
        substances = self.asks_of()[1]
        if substances and (strange := _substances(got.thing) - substances):
            return Earned(ASSESSOR, f"It names {min(strange)}. {LOOKS}")
        first = self._one_way(box, sheet, got)
        ways = self._other_ways(box, sheet, got, bool(first.value))
        if first.value and not got.unsure:
            better = any(way.value + way.unit > first.value + first.unit for way in ways)
        else:
            better = any(way.value for way in (first, *ways))
        if better:
            return Earned(ASSESSOR, f"This can be read in two ways. {LOOKS}")
        if self._too_wide(got):
            return Earned(ASSESSOR, f"The ± takes in wrong numbers too. {LOOKS}")
        if not got.loosely:
            return first
        reason = f"{first.reason[0].lower()}{first.reason[1:]}"
        return first._replace(reason=f"Read as {_heard(got)}: {reason}")

    def _other_ways(
        self, box: AnswerBox, sheet: OnSheet, got: Answer, earned: bool
    ) -> Iterator[Earned]:
        """Yield what the other ways earn in which an answer can be read.

        A number without a unit, which earns nothing in the one that was asked for, may be
        meant in another one of the bench.
        """
        ways = list(got.others)
        if got.unit_name is None and not earned and not self.is_plain:
            ways += [(got.value, other) for other in _others_like(self.unit)]
        if got.unit_name is None and not earned and self.is_plain and 0 < self.answer <= 1:
            ways.append((got.value, "percent"))  # 25, where a quarter is asked for
        for value, unit_name in ways:
            yield self._one_way(box, sheet, got._replace(value=value, unit_name=unit_name))

    def _too_wide(self, got: Answer) -> bool:
        """Tell whether what stands behind a ± reaches further than the tolerance."""
        if not got.spread:
            return False
        size = self.in_base(got.value, got.unit_name)
        if got.spread_unit == "percent" and got.unit_name != "percent":
            spread = abs(got.spread / 100 * (size or 0.0))
        else:
            spread = abs(to_base(got.spread_unit or got.unit_name or self.unit)[0] * got.spread)
        width = widened(self.tolerance, self.answer)
        return spread > width and size is not None and abs(size - self.answer) <= spread + width

    def _one_way(self, box: AnswerBox, sheet: OnSheet, got: Answer) -> Earned:
        """Return what an answer earns, read in one way."""
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

        # An assumed unit is no merit beside a wrong number.
        written = state in (FITS, OTHER) and bool(got.unit_name)
        earned = written and sheet.policy["unit_alone"] and not lost
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

    def own(self, text: str) -> tuple[float | None, bool]:
        """Return a student's answer for a later part, and whether it can't be read.

        The answer is in base units, and None where there is none.  A slip of the unit is
        no slip of the number: what follows is worked out from the number that was meant.
        """
        if is_blank(text):
            return None, False
        try:
            got = read_answer(text, self.unit)
        except FaultsError:
            return None, True
        if got.unsure:
            return None, True
        size, _ = understood(got.value, got.unit_name, self, self.tolerance, False)
        if self.absurd(size) and self.is_share and not self.absurd(100 * size):
            return 100 * size, False  # a fraction, where per cent was asked for
        return size, False

    def absurd(self, size: float) -> bool:
        """Tell whether an answer is so far off that nothing follows from it."""
        true = self.answer
        _, own_zero, _ = to_base(self.unit)
        if own_zero:  # a temperature on a scale whose zero lies elsewhere
            return abs(size - true) > ABSURD_KELVIN
        if true == 0 or size == 0:
            return size != true
        return not 1 / ABSURD_RATIO <= size / true <= ABSURD_RATIO

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


LOOKS = "An assessor will look at it."
# Units in which a number may be meant that stands without one.
_USUAL = (
    "g",
    "kg",
    "ml",
    "l",
    "s",
    "min",
    "h",
    "degC",
    "degF",
    "K",
    "kg/m**3",
    "g/ml",
    "m",
    "km",
    "W",
    "kW",
)
_HOW_MANY = re.compile(r"how many (per cent|[a-z]+)", re.IGNORECASE)


@lru_cache(maxsize=256)
def _others_like(unit_name: str) -> tuple[str, ...]:
    """Return the usual units of the bench of one kind with a unit."""
    base_name = to_base(unit_name)[2]
    return tuple(
        other for other in _USUAL if to_base(other)[2] == base_name and not _same(other, unit_name)
    )


def _heard(got: Answer) -> str:
    """Return an answer as it was read, for the one who wrote it."""
    about = "about " if got.about else ""
    return about + say(q(got.value, got.unit_name or ""), digits=6)


def _substances(words: str) -> set[str]:
    """Return the substances that a text names."""
    return {SUBSTANCES[word] for word in re.findall(r"\w+", words.casefold()) if word in SUBSTANCES}


@lru_cache(maxsize=4096)
def _asks(prompt: str, label: str, unit_name: str) -> tuple[bool, frozenset[str]]:
    sentences = re.split(r"(?<=[.?!])\s+", prompt)
    asked = " ".join([one for one in sentences if one.endswith("?")] or sentences)
    asked = f"{asked} {label}"
    ways = [read_answer(f"1 {words}", unit_name) for words in _HOW_MANY.findall(asked)]
    named = _substances(asked)
    if not named and "brix" in asked.casefold():
        named = {"sugar", "solids"}  # what Brix counts
    return any(way.unit_name == unit_name for way in ways), frozenset(named)


def _about_unit(state: str, unit_name: str | None, policy: Mapping[str, Any]) -> str:
    """Return what to say of a unit that loses its mark; nothing where it keeps it."""
    if state == FRACTION:
        return "Its unit is missing: it is a fraction, and per cent was asked for."
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
    zero = q(0.0, unit_name).to_base_units()
    one = q(1.0, unit_name).to_base_units()
    return (
        float(one.magnitude - zero.magnitude),
        float(zero.magnitude),
        str(zero.units),
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
FRACTION = "a fraction for per cent"


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
    number = meant[0] if right is None else right
    if unit_name is None:
        if part.is_plain:
            return number, FITS
        if right is not None and right != meant[0]:
            return number, FRACTION
        return number, FITS if part.unit == "leaf" or part.asks_of()[0] else UNWRITTEN
    size = part.in_base(value, unit_name)
    if size is None or (right is not None and abs(size - answer) > width):
        return float("nan") if safety else number, MISFIT
    return size, FITS if _same(unit_name, part.unit) else OTHER


def widened(tolerance: float, answer: float) -> float:
    """Return a tolerance with room for the last bit, so that its edge counts as in."""
    return float(tolerance + 1e-9 * max(abs(answer), abs(tolerance)))
