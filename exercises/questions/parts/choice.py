"""Parts that are answered by choosing: one option, or all that are right."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple, Self

from exercises.questions.draws import Draw
from exercises.questions.parts.part import (
    LETTERS,
    DrawnPart,
    EarlierAnswers,
    OnSheet,
    Part,
    part_type,
)
from exercises.questions.parts.shown import PublicChoice, PublicChoices, PublicPart
from exercises.questions.verdicts import PARTLY, RIGHT, WRONG, Earned, half_marks, unread

if TYPE_CHECKING:
    from exercises.questions.answer_boxes import AnswerBox


# --- as a question writes it -------------------------------------------------------------


@dataclass(frozen=True)
class Option:
    """One choice of several.

    Parameters
    ----------
    text : str
        What it says.
    right : bool
        Whether it is (one of) the right one(s).
    says : str
        For a wrong one: what choosing it tells, and one next step.
    """

    text: str
    right: bool = False
    says: str = ""


def one_right(
    texts: Mapping[Any, str] | Mapping[Any, tuple[str, str]],
    right: Any,
    otherwise: str | Mapping[Any, str] = "",
) -> list[Option]:
    """Return options of which one is right, in the order given.

    Parameters
    ----------
    texts : mapping of name to str, or to (str, str)
        What each option says, and perhaps what choosing it tells.
    right : name
        The right one's.
    otherwise : str or mapping of name to str, optional
        What choosing a wrong one tells, where it does not stand beside it: the same
        for all, or each its own.

    Examples
    --------
    >>> one_right({"A": "Tub A", "B": "Tub B"}, "B", "Read the label again.")[0].says
    'Read the label again.'
    """

    def option(name: Any, text: str, says: str) -> Option:
        return Option(text, name == right, "" if name == right else says)

    hints = dict.fromkeys(texts, otherwise) if isinstance(otherwise, str) else otherwise
    return [
        option(name, text, hints[name]) if isinstance(text, str) else option(name, *text)
        for name, text in texts.items()
    ]


@dataclass(frozen=True)
class ChoicePart(Part):
    """A part with one right option; shown in drawn order unless told otherwise."""

    prompt: str
    options: Sequence[Option]
    marks: int = 1
    worked: str = ""
    safety: bool = False
    keep_order: bool = False

    def drawn(self, name: str, draw: Draw, earlier: EarlierAnswers) -> DrawnChoice:
        """Return the part with its options in drawn order."""
        return self._as(DrawnChoice, name, draw)

    def _as(self, kind: type[DrawnChoice], name: str, draw: Draw) -> DrawnChoice:
        options = list(self.options)
        if not self.keep_order:
            options = draw.shuffled(f"options {name}", options)
        lettered = list(zip(LETTERS, options, strict=False))
        return kind(
            name=name,
            prompt=self.prompt,
            worked=self.worked,
            safety=self.safety,
            marks={"choice": self.marks},
            options=tuple(DrawnOption(key, one.text, one.says) for key, one in lettered),
            right=tuple(key for key, one in lettered if one.right),
        )


@dataclass(frozen=True)
class ChoicesPart(ChoicePart):
    """A part with several right options; each is a mark won or lost, never below zero."""

    def drawn(self, name: str, draw: Draw, earlier: EarlierAnswers) -> DrawnChoices:
        """Return the part with its options in drawn order."""
        drawn = self._as(DrawnChoices, name, draw)
        assert isinstance(drawn, DrawnChoices)
        return drawn


# --- as a sheet holds it ------------------------------------------------------------------


class DrawnOption(NamedTuple):
    """An option with its letter, and what choosing it tells where it is wrong."""

    key: str
    text: str
    says: str = ""

    def to_json(self) -> dict[str, Any]:
        """Return it as a sheet stores it."""
        return {"key": self.key, "text": self.text, "says": self.says}


@part_type
@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnChoice(DrawnPart):
    """One option is to be chosen.

    Parameters
    ----------
    options : tuple of DrawnOption
        In drawn order.
    right : tuple of str
        The letters of the right ones.
    """

    kind: ClassVar[str] = "choice"
    several: ClassVar[bool] = False
    options: Sequence[DrawnOption] = ()
    right: Sequence[str] = ()

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Self:
        """Return the part from what a sheet stores."""
        options = tuple(
            DrawnOption(one["key"], one["text"], one.get("says", ""))
            for one in data.get("options", ())
        )
        right = tuple(data.get("right", ()))
        return super(DrawnChoice, cls).from_json({**data, "options": options, "right": right})

    def public(self, place: int, name_units: bool) -> PublicPart:
        """Return what a student may see, field by field."""
        return PublicChoice(
            f"{place}{self.name}",
            self.prompt,
            self.marks_in_words(),
            options=tuple((one.key, one.text) for one in self.options),
        )

    def right_answer(self) -> str:
        """Return the letters of the right options."""
        return ", ".join(self.right)

    def wrong_answer(self) -> str:
        """Return the letter of a wrong option."""
        return next(one.key for one in self.options if one.key not in self.right)

    def right_texts(self) -> list[str]:
        """Return what the right options say."""
        return [one.text for one in self.options if one.key in self.right]

    def solution(self) -> str:
        """Return the right options and the worked solution."""
        said = f"Right: {'; '.join(self.right_texts())}.\n\n{self.worked}"
        return said.replace("..\n", ".\n").strip()

    def same_answers(self, other: DrawnPart) -> bool:
        """Whether the same options are right."""
        return type(other) is type(self) and other.right_texts() == self.right_texts()

    def is_complete(self) -> bool:
        """Whether there is one right option, or some for several, and a wrong one."""
        some = bool(self.right) if self.several else len(self.right) == 1
        return some and len(self.right) < len(self.options)

    def notes(self) -> list[tuple[str, str, str]]:
        """Return the options by their letters."""
        return [(one.key, one.text, one.says) for one in self.options]

    def says_of(self, turn: str) -> tuple[str, bool] | None:
        """Return what is said of a wrong option, and that it is one."""
        return next(((one.says, True) for one in self.options if one.text == turn), None)

    def with_words(self, text: str) -> str:
        """Return letters that were chosen with what they stand for."""
        options = {one.key: one.text for one in self.options}
        letters = [word for word in re.split(r"[\s,;]+", text.casefold()) if word]
        if letters and options.keys() >= set(letters):
            return "; ".join(f"{letter}, {options[letter]}" for letter in letters)
        return text

    # -- marking ------------------------------------------------------------------------

    def chosen(self, text: str) -> list[str]:
        """Return the letters chosen, in their order."""
        return sorted(self._letters(text))

    def said_by(self, chosen: Sequence[str]) -> str:
        """Return what letters say, which each sheet has in another order."""
        texts = {one.key: one.text for one in self.options}
        return " + ".join(sorted(texts[letter] for letter in chosen))

    def earned(self, text: str, box: AnswerBox, sheet: OnSheet) -> Earned:
        """Return what the chosen letters earn."""
        chosen = self._letters(text)
        if chosen <= set(self.right):
            return Earned(RIGHT, "Right.", float(self.total))
        return self._off(0.0, WRONG, chosen - set(self.right), "")

    def _off(self, won: float, verdict: str, extra: frozenset[str], said: str) -> Earned:
        """Return the verdict on a choice with wrong ones; the first of them is spoken of."""
        letter = min(extra)
        option = next(one for one in self.options if one.key == letter)
        says = option.says or f"Look at {letter} again: what would it lead to?"
        road = option.text if option.says else ""
        return Earned(verdict, f"{said} {says}".strip(), won, 0.0, road)

    def _letters(self, text: str) -> frozenset[str]:
        return _letters(text, tuple(self.options), self.several)


@part_type
@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnChoices(DrawnChoice):
    """All options that are right are to be chosen."""

    kind: ClassVar[str] = "choices"
    several: ClassVar[bool] = True

    def public(self, place: int, name_units: bool) -> PublicPart:
        """Return what a student may see, field by field."""
        return PublicChoices(
            f"{place}{self.name}",
            self.prompt,
            self.marks_in_words(),
            options=tuple((one.key, one.text) for one in self.options),
        )

    def earned(self, text: str, box: AnswerBox, sheet: OnSheet) -> Earned:
        """Return what the chosen letters earn: a share for each right, less each wrong."""
        chosen, right = self._letters(text), frozenset(self.right)
        hits, extra = len(chosen & right), chosen - right
        won = half_marks(self.total * max(0, hits - len(extra)) / max(1, len(right)))
        if chosen == right:
            return Earned(RIGHT, "Right: all of them, and no other.", float(self.total))
        said = f"You found {hits} of {len(right)}." if hits else ""
        verdict = PARTLY if won else WRONG
        if not extra:
            return Earned(verdict, f"{said} Look at those that you left out again.".strip(), won)
        return self._off(won, verdict, extra, said)


_AROUND = re.compile(
    r"\b(?:options?|answers?|letters?|choices?|the|is|my|both|and|und|et|y|antwort|lösung|"
    r"réponse|respuesta|risposta|maybe|perhaps|probably|definitely|i think|i guess|i choose|"
    r"choose|it is|it's|right|correct|only|just|vielleicht|i'd say|i would say|must be|for sure|"
    r"plus|as well as|das ist|c'est|es la|è la)\b"
)
_AND = re.compile(r"\s*(?:[,;+&/]|\b(?:and|und|et|y|e)\b)\s*")
_BETWEEN = re.compile(r"[\s,;.:=()\[\]{}|/&+!?*\"'“”‘’«»]+")
_REASON = re.compile(r"\b(?:because|since|weil|denn|parce que|porque|perché)\b.*")
_LETTER_AND_TEXT = re.compile(r"\(?(?P<letter>[a-p])(?:[:.,)=/–-]|\s)+(?P<text>.+)", re.DOTALL)
_TEXT_AND_LETTER = re.compile(r"(?P<text>.+?)(?:[:.,(=–-]|\s)+(?P<letter>[a-p])\)?", re.DOTALL)


@lru_cache(maxsize=64)  # one answer is asked about several times while a sheet is marked
def _letters(text: str, options: tuple[DrawnOption, ...], several: bool) -> frozenset[str]:
    """Return the letters chosen: ``b``, ``(B)``, ``a, c``, ``ac``, ``b: its text``."""
    keys = [one.key for one in options]
    plain = folded(text)
    if plain in keys:
        return frozenset((plain,))
    texts = {_no_article(folded(one.text)): one.key for one in options}
    if len(texts) == len(keys):
        if _no_article(plain) in texts:
            return frozenset((texts[_no_article(plain)],))
        for way in (_LETTER_AND_TEXT, _TEXT_AND_LETTER):
            beside = way.fullmatch(plain)
            if beside and texts.get(_no_article(beside["text"])) == beside["letter"]:
                return frozenset((beside["letter"],))
        named = [texts.get(_no_article(one)) for one in _AND.split(plain)]
        if several and len(named) > 1 and None not in named:
            return frozenset(key for key in named if key)
    around = _AROUND.sub(" ", _REASON.sub("", plain))
    if several and "e" not in keys:
        around = re.sub(r"\be\b", " ", around)
    words = [word for word in _BETWEEN.split(around) if word]
    if len(words) == 1 and len(words[0]) <= len(keys):
        words = list(words[0])
    strange = [word for word in words if word not in keys]
    first, last = min(keys), max(keys)
    if strange or not words or len(text) > 200:
        raise unread(
            "is not one of the letters",
            text,
            f"They go from {first} to {last}",
            f"Write {'the letters, like a, c' if several else 'one letter, like a'}",
        )
    if not several and len(set(words)) > 1:
        raise unread("has several letters", text, "One was asked for", "Choose one")
    return frozenset(words)


def _no_article(text: str) -> str:
    return re.sub(r"^(?:the|an?) (?=\w\w)", "", text).strip(" .!?")


def folded(text: str) -> str:
    """Return text in small letters, with wide signs made narrow and no dash around."""
    return unicodedata.normalize("NFKC", text[:201]).strip(" -–\t\n").casefold()
