"""What a question gives away to somebody who knows nothing of pastry.

Four guessers choose without understanding: the longest option, the extreme number,
the option with most words of the stem, the one whose grammar is odd.  None may be
right much more often than chance.  Beside them: a right answer that never changes,
and wrong options that all get the same words.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping
from typing import Any, NamedTuple

from exercises.questions.building import build
from exercises.questions.registry import bank

DRAWS = 200
MARGIN = 0.10
CONSTANT, SHARED = "the same right text in every draw", "wrong options with the same hint"

Part = Mapping[str, Any]
Votes = Iterable[str]


# --- the guessers: each names the keys it would choose, or none where it has no opinion ---


def longest(texts: Mapping[str, str], stem: str) -> Votes:
    """Choose the longest option."""
    size = max(map(len, texts.values()))
    return [key for key, text in texts.items() if len(text) == size]


def _number(text: str) -> float | None:
    found = re.search(r"[−-]?\d+(?:\.\d+)?", text)
    return float(found[0].replace("−", "-")) if found else None


def _at_the_end(texts: Mapping[str, str], end: Callable[..., float]) -> Votes:
    """Choose by the first number; no opinion where an option has none, or all are one."""
    numbers = {key: _number(text) for key, text in texts.items()}
    if None in numbers.values() or len(set(numbers.values())) < 3:
        return []
    wanted = end(numbers.values())
    return [key for key, value in numbers.items() if value == wanted]


def largest(texts: Mapping[str, str], stem: str) -> Votes:
    """Choose the largest number."""
    return _at_the_end(texts, max)


def smallest(texts: Mapping[str, str], stem: str) -> Votes:
    """Choose the smallest number."""
    return _at_the_end(texts, min)


_SMALL = frozenset(
    [
        "does",
        "from",
        "have",
        "here",
        "into",
        "that",
        "then",
        "there",
        "they",
        "this",
        "what",
        "which",
        "will",
        "with",
    ]
)


def _words(text: str) -> set[str]:
    """Return the words of four letters and more, small ones and endings left out."""
    found = set(re.findall(r"[a-zà-ÿ]{4,}", text.lower())) - _SMALL
    return {re.sub(r"(ing|ed|es|s)$", "", word) for word in found}


def of_the_stem(texts: Mapping[str, str], stem: str) -> Votes:
    """Choose the option that shares most words with stem and prompt."""
    shared = {key: len(_words(text) & _words(stem)) for key, text in texts.items()}
    most = max(shared.values())
    return [key for key, count in shared.items() if count == most] if most else []


def _grammar(text: str) -> tuple[object, ...]:
    first = re.match(r"\w+", text)
    return (
        text[-1:] in ".!?",
        first[0].lower() if first else "",
        bool(re.search(r"[:;]", text)),
        bool(re.search(r"\b(not|no|never|nothing|none|neither|nobody|without)\b", text.lower())),
        bool(re.search(r"\b(because|so that|since)\b", text)),
        text.count(",") > 0,
    )


def odd_grammar(texts: Mapping[str, str], stem: str) -> Votes:
    """Choose the option that is built unlike all the others, in the most ways.

    A way counts where one option differs and all the others agree.
    """
    odd: Counter[str] = Counter()
    built = {key: _grammar(text) for key, text in texts.items()}
    for column in zip(*built.values(), strict=True):
        of = Counter(column)
        if len(of) == 2 and min(of.values()) == 1 and len(column) > 2:
            value = min(of, key=lambda one: of[one])
            odd.update(key for key, seen in zip(built, column, strict=True) if seen == value)
    return [key for key, count in odd.items() if count == max(odd.values())]


GUESSERS: dict[str, Callable[[Mapping[str, str], str], Votes]] = {
    "the longest option": longest,
    "the largest number": largest,
    "the smallest number": smallest,
    "most words of the stem": of_the_stem,
    "the odd grammar": odd_grammar,
}


# --- what they earn --------------------------------------------------------------------


class Earned(NamedTuple):
    """How often a guesser was right, and how often chance would have been."""

    right: float
    chance: float
    tried: int

    @property
    def tells(self) -> bool:
        """Whether it is right more often than chance and the margin allow."""
        return self.right > self.chance + MARGIN


def choices(asked: Mapping[str, Any]) -> list[Part]:
    """Return the parts of a question in which something is chosen."""
    return [part for part in asked["parts"] if part["kind"] in ("choice", "choices")]


def drawn(name: str, kitchen: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the draws of a question by which it is judged."""
    return [build(bank()[name], f"tells {name} {n}", kitchen).to_json() for n in range(DRAWS)]


def earned(asked_all: Iterable[Mapping[str, Any]]) -> dict[str, Earned]:
    """Return what each guesser earns over drawn questions: one try a part.

    Where a guesser names several options it takes one of them by chance, and where it
    has no opinion it takes any.  Numbers count only where the options are numbers.
    """
    tries: dict[str, list[tuple[float, float]]] = defaultdict(list)
    for asked in asked_all:
        for part in choices(asked):
            texts = {option["key"]: option["text"] for option in part["options"]}
            chance = len(part["right"]) / len(texts)
            for guesser, chosen in GUESSERS.items():
                votes = list(chosen(texts, f"{asked['stem']} {part['prompt']}"))
                if not votes and guesser.endswith("number"):
                    continue
                votes = votes or list(texts)
                tries[guesser].append((len({*votes} & {*part["right"]}) / len(votes), chance))
    return {
        guesser: Earned(*(sum(column) / len(seen) for column in zip(*seen, strict=True)), len(seen))
        for guesser, seen in tries.items()
    }


def _without_numbers(text: str) -> str:
    return re.sub(r"[−-]?\d+(?:\.\d+)?", "#", text)


def _right_texts(part: Part) -> tuple[str, ...] | None:
    """Return what is right, numbers aside; nothing where only numbers tell options apart."""
    if part["kind"] == "order":
        return tuple(_without_numbers(part["steps"][place - 1]) for place in part["right"])
    texts = {option["key"]: _without_numbers(option["text"]) for option in part["options"]}
    if len(set(texts.values())) == 1:
        return None
    return tuple(sorted(texts[key] for key in part["right"]))


def constant_parts(asked_all: Iterable[Mapping[str, Any]]) -> list[str]:
    """Return the parts whose right answer has the same words in every draw."""
    seen: dict[str, set[tuple[str, ...] | None]] = defaultdict(set)
    for asked in asked_all:
        for part in asked["parts"]:
            if part["kind"] in ("choice", "choices", "order"):
                seen[part["name"]].add(_right_texts(part))
    return [name for name, texts in seen.items() if len(texts) == 1 and None not in texts]


def shares_a_hint(asked_all: Iterable[Mapping[str, Any]]) -> bool:
    """Tell whether two wrong options or wrong turns of a part ever get the same words."""
    for asked in asked_all:
        for part in asked["parts"]:
            groups = [part.get("options", ()), part.get("roads", ())]
            groups += [row["roads"] for row in part.get("rows", ())]
            for group in groups:
                says = [one["says"] for one in group if one["says"]]
                if len(set(says)) < len(says):
                    return True
    return False


def tells(name: str, asked_all: list[dict[str, Any]]) -> set[str]:
    """Return all that a question gives away."""
    found = {guesser for guesser, one in earned(asked_all).items() if one.tells}
    if bank()[name].level != "recall" and constant_parts(asked_all):
        found.add(CONSTANT)
    if shares_a_hint(asked_all):
        found.add(SHARED)
    return found
