"""What somebody could do who has all public files and one's own notebook, and no pastry.

Public is what the course hands out: the practice questions with their right options, and
how a sheet is drawn from a seed.  The solver reads the notebook as a student gets it and
never works anything out; numbers it leaves alone.
"""

from __future__ import annotations

import json
import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from itertools import pairwise
from typing import Any

from exercises.questions.building import build
from exercises.questions.registry import Question

DRAWS = 25  # of each public question


def without_numbers(text: str) -> str:
    return re.sub(r"[−-]?\d+(?:[.,]\d+)?", "#", re.sub(r"[*\\]", "", text)).strip()


class Solver:
    """Knows every option that public questions call right or wrong.

    Parameters
    ----------
    public : iterable of Question
        The questions that practice shows.
    kitchen : mapping
        The kitchen of the course's site.
    """

    def __init__(self, public: Iterable[Question], kitchen: Mapping[str, Any]) -> None:
        self.public, self.kitchen = list(public), kitchen
        self.exactly: dict[tuple[str, str], list[int]] = defaultdict(lambda: [0, 0])
        self.anywhere: dict[str, list[int]] = defaultdict(lambda: [0, 0])
        self.orders: dict[str, tuple[str, ...]] = {}
        for one in self.public:
            for n in range(DRAWS):
                self._learn(build(one, f"public {n}", kitchen).to_json())

    def _learn(self, asked: Mapping[str, Any]) -> None:
        for part in asked["parts"]:
            prompt = without_numbers(part["prompt"])
            if part["kind"] in ("choice", "choices"):
                for option in part["options"]:
                    text, right = without_numbers(option["text"]), option["key"] in part["right"]
                    for seen in (self.exactly[prompt, text], self.anywhere[text]):
                        seen[0] += right
                        seen[1] += 1
            elif part["kind"] == "order":
                for place, number in enumerate(part["right"]):
                    text = without_numbers(part["steps"][number - 1])
                    self.orders[text] = (*self.orders.get(text, ()), str(place))

    # -- the notebook -------------------------------------------------------------------

    def answers(self, notebook: str, guessed_seeds: Iterable[str] = ()) -> dict[str, str]:
        """Return an answer to each part of a notebook in which something is chosen."""
        cells = json.loads(notebook)["cells"]
        drawn = self.drawn_from(guessed_seeds)
        found = {}
        for asked, box in pairwise(cells):
            key = box["metadata"].get("glossbook", {}).get("part")
            listed = re.findall(r"^- \*\*(.+?)\*\* (.*)$", asked["source"], re.MULTILINE)
            if key is None or not listed:
                continue
            shown = [(head.rstrip(":"), re.sub(r"\\(.)", r"\1", text)) for head, text in listed]
            head = asked["source"].split("\n")[0]
            prompt = re.sub(r"^\*\*\w+\*\* ", "", head).rpartition(" *(")[0]
            found[key] = self._answer(re.sub(r"\\(.)", r"\1", prompt), shown, drawn)
        return found

    def _answer(
        self,
        prompt: str,
        shown: list[tuple[str, str]],
        drawn: Mapping[tuple[tuple[str, str], ...], str],
    ) -> str:
        if shown[0][0].startswith("Step"):
            order = sorted(
                range(len(shown)),
                key=lambda n: self._usual_place(without_numbers(shown[n][1])),
            )
            return ", ".join(str(n + 1) for n in order)
        if tuple(shown) in drawn:
            return drawn[tuple(shown)]
        return max(shown, key=lambda one: self._trust(prompt, one[1]))[0]

    def _usual_place(self, text: str) -> float:
        places = [float(one) for one in self.orders.get(text, ())]
        return sum(places) / len(places) if places else 99.0

    def _trust(self, prompt: str, text: str) -> float:
        """Return how often this was right, where the same was asked, or else anywhere."""
        plain = without_numbers(text)
        for right, count in (
            self.exactly.get((without_numbers(prompt), plain), (0, 0)),
            self.anywhere.get(plain, (0, 0)),
        ):
            if count:
                return right / count
        return 0.25

    def drawn_from(self, seeds: Iterable[str]) -> dict[tuple[tuple[str, str], ...], str]:
        """Return by the options that guessed seeds draw which letter is right."""
        return {
            tuple((option["key"], option["text"]) for option in part["options"]): part["right"][0]
            for seed in seeds
            for one in self.public
            for part in build(one, seed, self.kitchen).to_json()["parts"]
            if part["kind"] == "choice"
        }
