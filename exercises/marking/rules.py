"""Marks one hand-in: what agrees, what does not, and which road it shows.

Pure functions on plain data: no file, no database.  Answers are read by the strict
reader, converted with cached factors, and compared as floats in base units.

The rules, which the mark scheme prints too (:func:`rules`):

- The value and the unit have marks of their own.
- A later part is accepted with the true value, or with what follows from the
  student's own earlier answer; never for a safety decision, never from a missing or
  absurd answer.
- Each verdict says what is right first and gives one next step, never the answer.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from itertools import combinations
from math import floor, isfinite
from typing import Any, NamedTuple, TypeAlias

from calculators.faults import Fault, FaultsError
from calculators.units import Quantity, q, read_loosely, symbol, unit
from exercises.questions.answer_boxes import AnswerBox, answer_boxes
from exercises.questions.building import asked_again, base, tolerance_in
from exercises.questions.parts import QuantityPart, TablePart
from exercises.questions.registry import Question, bank

# How units are marked where the scheme says nothing else.
POLICY: dict[str, Any] = {
    "missing_unit": "asked",  # "asked": its mark is lost; "assumed": taken as meant
    "other_unit": "accepted",  # "accepted": any unit of the kind; "asked": the one asked for
    "unit_alone": True,  # whether a right unit beside a wrong number earns its mark
}
_POLICY_WORDS = {
    "missing_unit": ("asked", "assumed"),
    "other_unit": ("accepted", "asked"),
    "unit_alone": (True, False),
}

# The verdicts.
RIGHT, UNIT_LOST, FOLLOWS = "right", "right but for the unit", "follows from earlier"
PARTLY, NEAR, ROAD, WRONG = "partly right", "near", "wrong road", "not right"
MISSING, UNREAD, ASSESSOR = "missing", "can't be read", "for the assessor"
TO_SETTLE = (UNREAD, ASSESSOR)  # an assessor has to look at it

# What is said most often.
RIGHT_WITH_UNIT, RIGHT_ALONE = "Right, the number and the unit.", "Right."
NO_ANSWER = "There is no answer here. An attempt can earn marks."

ABSURD_RATIO = 10.0  # an own earlier answer further off than this carries nothing
ABSURD_KELVIN = 50.0
NEAR_WIDTHS = 3.0  # within so many tolerances, a number comes near
ROUNDED_WIDTHS = 20.0  # further off, rounding of earlier answers is not looked at


class Verdict(NamedTuple):
    """What one answer earned, and why in words that a student understands.

    Parameters
    ----------
    question : str
        The question's id.
    part : str
        The answer key.
    value, unit : float
        Marks for the value (or the choice, or the order) and for the unit.
    awarded, total : float
        Marks won and possible.
    verdict : str
        One of this module's words.
    reason : str
        At most three short sentences.
    road : str
        The name of the wrong road that was recognised; empty for none.
    """

    question: str
    part: str
    value: float
    unit: float
    awarded: float
    total: float
    verdict: str
    reason: str
    road: str = ""

    @property
    def to_settle(self) -> bool:
        """Whether an assessor has to look at it."""
        return self.verdict in TO_SETTLE


Bank: TypeAlias = Callable[[], Mapping[str, Question]]


def policy_of(given: Mapping[str, Any] | None) -> dict[str, Any]:
    """Return a whole policy, from what a scheme says; what is not known is refused."""
    faults = [
        Fault(
            f"policy, {name}",
            "is not known",
            str(value),
            "It must be one of: "
            + "; ".join(
                f"{key} = {' or '.join(map(str, words))}" for key, words in _POLICY_WORDS.items()
            ),
            "Correct the policy in the scheme",
        )
        for name, value in (given or {}).items()
        if value not in _POLICY_WORDS.get(name, ())
    ]
    if faults:
        raise FaultsError(faults)
    return {**POLICY, **(given or {})}


def rules(policy: Mapping[str, Any] | None = None) -> list[str]:
    """Return the rules of marking as sentences, for the mark scheme."""
    chosen = policy_of(policy)
    return [
        "The value and the unit have marks of their own. "
        + (
            "A right unit earns its mark beside a wrong number."
            if chosen["unit_alone"]
            else "The unit earns its mark only beside a right number."
        ),
        "Where no unit is written, the number is taken in the unit of the answer, and "
        + (
            "the unit's mark is lost."
            if chosen["missing_unit"] == "asked"
            else "the unit counts as written."
        ),
        "A number that is right if its point parts thousands, as 1.250 for 1250, is "
        "left to the assessor.",
        "A right number with a unit that does not fit keeps the marks for the value, "
        "except in a safety decision.",
        "An answer in another unit of the same kind is converted"
        + (
            "."
            if chosen["other_unit"] == "accepted"
            else "; the unit's mark is for the unit that was asked for."
        ),
        "A later part is right with the true value, or with what follows from the "
        "student's own earlier answer. This does not hold for a safety decision, nor "
        f"from an earlier answer that is missing or off by more than {ABSURD_RATIO:g} "
        f"times (or {ABSURD_KELVIN:g} °C).",
        "Several choices: each right one wins its share, each wrong one loses as "
        "much, not below nought; rounded down to half marks.",
        "An order: of all pairs of steps, the share that stands the right way round; "
        "half of the pairs, which is chance, earns nothing and all of them earn "
        "everything; rounded down to half marks.",
    ]


# --- a whole sheet ----------------------------------------------------------------------


def mark_sheet(
    questions: Sequence[Mapping[str, Any]],
    answers: Mapping[str, str],
    policy: Mapping[str, Any] | None = None,
    problems: Mapping[str, str] | None = None,
    questions_now: Bank = bank,
) -> list[Verdict]:
    """Mark every answer of a sheet.

    Parameters
    ----------
    questions : sequence of mapping
        The sheet's questions, as :func:`exercises.questions.building.build` returns them.
    answers : mapping of str to str
        What the student wrote, by answer key.
    policy : mapping, optional
        How units are marked; see :data:`POLICY`.
    problems : mapping of str to str, optional
        Answers that could not be read at all, with the reason.
    questions_now : function
        Gives the questions of today's bank, for follow-through.

    Returns
    -------
    list of Verdict
        One an answer key, in the order of the sheet.
    """
    chosen = {**POLICY, **policy} if policy else POLICY
    sheet = MarkedSheet(answers, problems or {}, chosen, questions_now)
    return [sheet.mark(key) for key in answer_boxes(questions)]


class MarkedSheet:
    """What marking one answer has to know of the others on the sheet.

    Parameters
    ----------
    answers, problems, questions_now
        As for :func:`mark_sheet`.
    policy : mapping
        A whole policy.
    """

    def __init__(
        self,
        answers: Mapping[str, str],
        problems: Mapping[str, str],
        policy: Mapping[str, Any],
        questions_now: Bank,
    ) -> None:
        self.answers, self.problems = answers, problems
        self.policy, self.questions_now = policy, questions_now

    def mark(self, key: AnswerBox) -> Verdict:
        """Mark the answer in one box."""
        part, name = key.part, str(key.question["id"])
        text = self.answers.get(key.key, "")
        problem = self.problems.get(key.key)
        if problem:
            return _none(name, key, UNREAD, f"This could not be read. {problem}")
        if not text.strip():
            return _none(name, key, MISSING, NO_ANSWER)
        try:
            kind = part["kind"]
            if kind == "quantity":
                return self._quantity(name, key, text)
            if kind == "order":
                return _order(name, key, text)
            return _choice(name, key, text)
        except FaultsError as error:
            return _none(name, key, UNREAD, _not_read(error))

    # -- quantities ------------------------------------------------------------------

    def _quantity(self, name: str, key: AnswerBox, text: str) -> Verdict:
        part, got = key.part, read_loosely(text)
        safety = bool(part["safety"] or key.question["safety"])
        width = widened(part["tolerance"], part["answer"])
        size, state = understood(got.value, got.unit_name, part, width, safety)
        value = float(part["marks"].get("value", 0))
        unit_mark = float(part["marks"].get("unit", 0))
        about_unit = self._about_unit(state, got.unit_name)
        lost = bool(about_unit) and unit_mark > 0

        verdict, reason, road = RIGHT, "The number is right.", ""
        if not abs(size - part["answer"]) <= width:
            no_follow = safety or state == MISFIT
            verdict, reason, road = self._not_true(key, size, width, no_follow)
        if verdict in (RIGHT, FOLLOWS):
            if lost:
                verdict = UNIT_LOST if verdict == RIGHT else verdict
                return _verdict(name, key, value, 0.0, verdict, f"{reason} {about_unit}")
            if verdict == RIGHT:
                said = got.unit_name and not _is_plain(part)
                reason = RIGHT_WITH_UNIT if said else RIGHT_ALONE
            return _verdict(name, key, value, unit_mark, verdict, reason)

        if verdict in (WRONG, ROAD) and _POINT_AND_THREE.match(text):
            size, _ = understood(1000 * got.value, got.unit_name, part, width, safety)
            if abs(size - part["answer"]) <= width:
                return _none(name, key, ASSESSOR, _TWO_WAYS)

        # An assumed unit is no merit beside a wrong number.
        earned = state in (FITS, OTHER) and self.policy["unit_alone"] and not lost
        if state == MISFIT:
            reason = about_unit if size != size else f"{about_unit} {reason}"
        elif about_unit:
            reason = f"{reason} {about_unit}"
        elif got.unit_name and unit_mark:
            reason = f"The unit is right. {reason}"
        return _verdict(name, key, 0.0, unit_mark if earned else 0.0, verdict, reason, road)

    def _about_unit(self, state: str, unit_name: str | None) -> str:
        """Return what to say of a unit that loses its mark; nothing where it keeps it."""
        if state == UNWRITTEN and self.policy["missing_unit"] == "asked":
            return "Its unit is missing: write the unit beside every number."
        if state == MISFIT:
            said = symbol(unit_name or "")
            return f"{said} does not fit here: look again at the unit."
        if state == OTHER and self.policy["other_unit"] == "asked":
            return "It was asked for in another unit: read the question again."
        return ""

    def _not_true(
        self, key: AnswerBox, size: float, width: float, no_follow: bool
    ) -> tuple[str, str, str]:
        """Return verdict, reason and road of a number that is not the true one."""
        part = key.part
        roads = [(road["name"], road["value"], road["says"]) for road in part["roads"]]
        far = abs(size - part["answer"]) > ROUNDED_WIDTHS * width
        asked = self._follow(key, far) if part["follows"] and not no_follow else None
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
            return ROAD, found[2], found[0]
        if abs(size - part["answer"]) <= NEAR_WIDTHS * width:
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

    # -- follow-through ----------------------------------------------------------------

    def _follow(self, key: AnswerBox, far: bool) -> _Followed | str | None:
        """Return what follows from the student's own earlier answers.

        None where nothing can follow: an earlier answer is missing, can't be read or
        is absurd; all of them are exact; or all are right and this one is so ``far``
        off that their rounding can't be why.  A sentence for the student where the
        question is no longer the one that was issued.
        """
        parts = {part["name"]: part for part in key.question["parts"]}
        place = key.key.split(".")[0][:-1]
        sizes: dict[str, float] = {}
        off: list[str] = []
        own = False
        for name, part in parts.items():
            if part["kind"] != "quantity":
                continue
            true = part["answer"]
            size = self._own(f"{place}{name}", part)
            if name in key.part["follows"]:
                if size is None and self._unread(f"{place}{name}"):
                    return _UNREAD_BEFORE
                if size is None or _absurd(size, part):
                    return None
                own = own or size != true
                if abs(size - true) > widened(part["tolerance"], true):
                    off.append(f"{place}{name}")
            sizes[name] = true if size is None else size
        if not own or (far and not off):
            return None
        chosen = self.questions_now().get(str(key.question["id"]))
        if chosen is None or _digest(chosen) != key.question["digest"]:
            return _CHANGED if off else None
        given = {
            name: q(size, parts[name]["base_unit"]).to(unit(parts[name]["unit"]))
            for name, size in sizes.items()
        }
        try:
            return _followed(chosen, key, given, off)
        except (ArithmeticError, LookupError, TypeError, ValueError):
            return None  # the calculators refuse what the earlier answer leads to

    def _unread(self, key: str) -> bool:
        """Tell whether something was answered there that could not be read."""
        return key in self.problems or bool(self.answers.get(key, "").strip())

    def _own(self, key: str, part: Mapping[str, Any]) -> float | None:
        """Return the student's answer to an earlier part in base units, or None."""
        text = self.answers.get(key, "")
        if not text.strip() or key in self.problems:
            return None
        try:
            got = read_loosely(text)
        except FaultsError:
            return None
        if got.unit_name is None:
            plain = got.value
            if _is_share(part) and abs(plain - part["answer"]) <= part["tolerance"]:
                return plain
            return _in_shown(got.value, part)
        return _in_base(got.value, got.unit_name, part)


# Where a comma is the decimal mark, 1.250 is 1250 to many.
_POINT_AND_THREE = re.compile(r"\s*[+-]?[1-9][0-9]{0,2}\.[0-9]{3}(?![0-9.,])")
_TWO_WAYS = "A point before three digits can be read in two ways. An assessor will look at it."
_CHANGED = "This may follow from an earlier answer that was not right. An assessor will look at it."

_UNREAD_BEFORE = (
    "This may follow from an earlier answer that could not be read or used. "
    "An assessor will look at it."
)


class _Followed(NamedTuple):
    answer: float
    tolerance: float
    roads: list[tuple[str, float, str]]
    earlier: list[str]


def _followed(
    chosen: Question, key: AnswerBox, given: Mapping[str, Quantity], earlier: list[str]
) -> _Followed:
    asked = asked_again(chosen, key.question["values"])
    names = [part["name"] for part in key.question["parts"]]
    stem, _, row = key.key.partition(".")
    part: Any = asked.parts[names.index(stem[-1])]
    if isinstance(part, TablePart):
        part = list(part.rows.values())[int(row) - 1]
    assert isinstance(part, QuantityPart)
    answer = part.answer(given) if callable(part.answer) else part.answer
    size = base(answer)
    if not isfinite(size):
        raise ValueError("not finite")
    roads = []
    for road in part.wrong_turns:
        value = base(road.value(given) if callable(road.value) else road.value)
        roads.append((road.name, value, road.says))
    return _Followed(size, tolerance_in(part.tolerance, answer), roads, earlier)


@lru_cache(maxsize=1024)
def _digest(chosen: Question) -> str:
    return chosen.digest


def _absurd(size: float, part: Mapping[str, Any]) -> bool:
    """Tell whether an earlier answer is so far off that nothing follows from it."""
    true = float(part["answer"])
    _, own_nought, _ = to_base(part["unit"])
    if own_nought:  # a temperature on a scale whose nought lies elsewhere
        return abs(size - true) > ABSURD_KELVIN
    if true == 0 or size == 0:
        return size != true
    return not 1 / ABSURD_RATIO <= size / true <= ABSURD_RATIO


def _road(
    size: float, roads: Sequence[tuple[str, float, str]], width: float
) -> tuple[str, float, str] | None:
    """Return the one wrong road that ends here; none where another lies near it."""
    hits = [road for road in roads if abs(size - road[1]) <= widened(width, road[1])]
    if not hits:
        return None
    first = hits[0]
    for road in roads:
        if road[0] != first[0] and abs(road[1] - first[1]) <= 2 * width:
            return None
    if any(road[0] != first[0] for road in hits):
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


@lru_cache(maxsize=512)
def _same(one: str, other: str) -> bool:
    return bool(unit(one) == unit(other))


# How a written unit stands to the one that was asked for.
FITS, OTHER, UNWRITTEN, MISFIT = "fits", "another that fits", "unwritten", "misfit"


def understood(
    value: float,
    unit_name: str | None,
    part: Mapping[str, Any],
    width: float,
    safety: bool,
) -> tuple[float, str]:
    """Return what number was meant, in base units, and how its unit stands.

    A number that would be right in the unit that was asked for is understood so,
    and only its unit is a misfit; in a safety decision a misfit is no answer, and
    the number is NaN, which agrees with nothing.
    """
    answer = part["answer"]
    # 0.65 may be written for 65 %, so a share has two readings.
    meant = [_in_shown(value, part)] + ([value] if _is_share(part) else [])
    right = next((size for size in meant if abs(size - answer) <= width), None)
    if unit_name is None:
        if _is_plain(part) or (len(meant) > 1 and right == value):
            return value if right is None else right, FITS
        return meant[0], UNWRITTEN
    size = _in_base(value, unit_name, part)
    if size is None or (right is not None and abs(size - answer) > width):
        number = meant[0] if right is None else right
        return float("nan") if safety else number, MISFIT
    return size, FITS if _same(unit_name, part["unit"]) else OTHER


def _is_plain(part: Mapping[str, Any]) -> bool:
    """Tell whether a part is answered with a number that has no unit."""
    return part["unit"] in ("", "dimensionless")


def _is_share(part: Mapping[str, Any]) -> bool:
    """Tell whether a bare number may be a share: 0.65 for 65 %.

    Not where the question names the number without its per cent as a wrong road.
    """
    if part["base_unit"] != "dimensionless" or _is_plain(part):
        return False
    hundredth = part["answer"] / 100
    return all(
        abs(road["value"] - hundredth) > 1e-6 * abs(hundredth) for road in part.get("roads", ())
    )


def _in_shown(value: float, part: Mapping[str, Any]) -> float:
    """Return a number that is meant in the unit of the answer, in base units."""
    factor, offset, _ = to_base(part["unit"])
    return factor * value + offset


def _in_base(value: float, unit_name: str | None, part: Mapping[str, Any]) -> float | None:
    """Return a number in base units, or None where its unit does not fit the part.

    Where a difference of temperatures is asked for, °C is a difference too.
    """
    if unit_name is None:
        return _in_shown(value, part)
    factor, offset, name = to_base(unit_name)
    if name != part["base_unit"]:
        return None
    return factor * value + (0.0 if "delta_" in part["unit"] else offset)


def widened(tolerance: float, answer: float) -> float:
    """Return a tolerance with room for the last bit, so that its edge counts as in."""
    return float(tolerance + 1e-9 * max(abs(answer), abs(tolerance)))


# --- choices and orders ---------------------------------------------------------------------


def _choice(name: str, key: AnswerBox, text: str) -> Verdict:
    part = key.part
    options = {option["key"]: option for option in part["options"]}
    chosen = _letters(text, options, several=part["kind"] == "choices")
    right, total = set(part["right"]), float(part["total"])
    if part["kind"] == "choice":
        if chosen <= right:
            return _verdict(name, key, total, 0.0, RIGHT, "Right.")
        return _off_choice(name, key, 0.0, WRONG, options, chosen - right, "")
    hits, extra = len(chosen & right), chosen - right
    won = _half_marks(total * max(0, hits - len(extra)) / max(1, len(right)))
    if chosen == right:
        return _verdict(name, key, total, 0.0, RIGHT, "Right: all of them, and no other.")
    said = _of(hits, len(right))
    verdict = PARTLY if won else WRONG
    if not extra:
        return _verdict(
            name, key, won, 0.0, verdict, f"{said} Look at those that you left out again."
        )
    return _off_choice(name, key, won, verdict, options, extra, said)


def _of(hits: int, count: int) -> str:
    return f"You found {hits} of {count}." if hits else ""


def _off_choice(
    name: str,
    key: AnswerBox,
    won: float,
    verdict: str,
    options: Mapping[str, Mapping[str, Any]],
    extra: set[str],
    said: str,
) -> Verdict:
    """Return the verdict on a choice with wrong ones; the first of them is spoken of."""
    letter = min(extra)
    says = options[letter]["says"] or f"Look at {letter} again: what would it lead to?"
    road = options[letter]["text"] if options[letter]["says"] else ""
    return _verdict(name, key, won, 0.0, verdict, f"{said} {says}".strip(), road)


_AROUND = re.compile(r"\b(?:options?|answers?|letters?|choices?|the|is|my|both|and|und|et)\b")
_BETWEEN = re.compile(r"[\s,;.:()\[\]/&+!?*\"'“”‘’]+")


def _letters(text: str, options: Mapping[str, Mapping[str, Any]], *, several: bool) -> set[str]:
    """Return the letters chosen: ``b``, ``(B)``, ``a, c`` or ``ac``."""
    plain = _folded(text)
    if plain in options:
        return {plain}
    same = [k for k, o in options.items() if _folded(o["text"]) == plain]
    if len(same) == 1:
        return set(same)
    words = [word for word in _BETWEEN.split(_AROUND.sub(" ", plain)) if word]
    if len(words) == 1 and len(words[0]) <= len(options):
        words = list(words[0])
    strange = [word for word in words if word not in options]
    first, last = min(options), max(options)
    if strange or not words or len(text) > 200:
        raise _unread(
            "is not one of the letters",
            text,
            f"They go from {first} to {last}",
            f"Write {'the letters, like a, c' if several else 'one letter, like a'}",
        )
    if not several and len(set(words)) > 1:
        raise _unread("has several letters", text, "One was asked for", "Choose one")
    return set(words)


def _folded(text: str) -> str:
    """Return text in small letters, with wide signs made narrow and no dash around."""
    return unicodedata.normalize("NFKC", text[:201]).strip(" -–\t\n").casefold()


def _order(name: str, key: AnswerBox, text: str) -> Verdict:
    part, total = key.part, float(key.part["total"])
    right = list(part["right"])
    given = _places(text, len(right))
    if given == right:
        return _verdict(name, key, total, 0.0, RIGHT, "Right: every step in its place.")
    at = {step: place for place, step in enumerate(given)}
    pairs = list(combinations(right, 2))
    well = sum(at[one] < at[two] for one, two in pairs)
    won = _half_marks(total * max(0.0, 2 * well / len(pairs) - 1))
    begins = next(n for n, (a, b) in enumerate(zip(given, right, strict=True)) if a != b)
    said = (
        f"The first {begins} steps stand right. "
        if begins > 1
        else "The first step stands right. "
        if begins
        else ""
    )
    step = part["says"] or "Ask of each step what must be done before it."
    return _verdict(
        name,
        key,
        won,
        0.0,
        PARTLY if won else WRONG,
        f"{said}{step}",
        "",
    )


def _places(text: str, count: int) -> list[int]:
    """Return the order of the steps: ``3 1 4 2``, ``3, 1, 4, 2`` or ``3142``."""
    plain = _folded(text)
    words = re.findall(r"[0-9]+", plain) if len(text) <= 200 else []
    if len(words) == 1 and count < 10:
        words = list(words[0])
    plain = re.sub(r"\b(?:steps?|then|and)\b", " ", plain)
    rest = re.sub(r"[0-9\s,;.>\-–→()\[\]/|=]", "", plain)
    if rest or any(len(word) > 2 for word in words):
        raise _unread(
            "holds something else than the numbers of the steps",
            text,
            "",
            "Write them like 2, 1, 3",
        )
    places = [int(word) for word in words]
    if sorted(places) != list(range(1, count + 1)):
        raise _unread(
            "does not name every step once",
            text,
            f"The steps go from 1 to {count}",
            "Write each number once, like 2, 1, 3",
        )
    return places


def _unread(problem: str, text: str, limit: str, step: str) -> FaultsError:
    shown = text[:40].encode("utf-8", "backslashreplace").decode()
    return FaultsError([Fault("answer", problem, shown, limit, step)])


def _half_marks(value: float) -> float:
    return floor(2 * value + 1e-9) / 2


# --- verdicts in words --------------------------------------------------------------------------


def _not_read(error: FaultsError) -> str:
    """Return why an answer can't be read, without repeating it: it stands beside."""
    fault = error.faults[0]
    parts = [f"This could not be read: it {fault.problem}."]
    parts += [text.rstrip(".") + "." for text in (fault.limit, fault.next_step) if text]
    return " ".join(parts).replace("?.", "?")


def _verdict(
    question: str,
    key: AnswerBox,
    value: float,
    unit_mark: float,
    verdict: str,
    reason: str,
    road: str = "",
) -> Verdict:
    return Verdict(
        question,
        key.key,
        value,
        unit_mark,
        value + unit_mark,
        float(key.part["total"]),
        verdict,
        reason.strip(),
        road,
    )


def _none(question: str, key: AnswerBox, verdict: str, reason: str) -> Verdict:
    return _verdict(question, key, 0.0, 0.0, verdict, reason)
