"""Invented classes that answer a paper: alone, or with some who copy.

What is assumed is deliberately hard on a judge of likeness: wrong turns that two in
five or more of those who are wrong take, weak groups with a wrong turn of their own,
numbers of few steps, favourite guesses, blanks and *don't know*.
"""

from __future__ import annotations

import random
from typing import NamedTuple

from exercises.marking.alike import Given

GUESSES = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)


class Asked(NamedTuple):
    """A part of the paper: the values its numbers may have, and its wrong turns."""

    steps: tuple[float, ...]
    factors: tuple[float, ...]  # right answer times this, for each wrong turn
    weights: tuple[float, ...]  # how common each is among those who are wrong
    letters: int = 0  # of a choice


def a_paper(rng):
    """Return eight parts: six numbers, two choices."""
    parts = []
    for _ in range(6):
        start, step = rng.uniform(5, 400), rng.uniform(0.5, 20)
        steps = tuple(start + step * n for n in range(rng.choice((8, 12, 20, 40))))
        common = rng.uniform(0.4, 0.7)
        rest = rng.uniform(0.05, 1 - common)
        weights = (common, rest / 2, rest / 2)
        factors = tuple(rng.choice((0.1, 0.5, 0.64, 0.8, 1.25, 1.6, 2.0, 10.0)) for _ in range(3))
        parts.append(Asked(steps, factors, weights))
    for letters in (3, 4):
        common = rng.uniform(0.4, 0.8)
        rest = (1 - common) / max(1, letters - 2)
        parts.append(Asked((), (), (common, *(rest,) * (letters - 2)), letters))
    return parts


def a_class(rng, paper, count=30):
    """Return a class of people who each work alone."""
    weak = set(rng.sample(range(count), count // 3))
    taught = [rng.randrange(3) for _ in paper]  # the wrong turn that the weak group learnt
    return {
        f"s{n:02}": _sheet(rng, paper, n in weak, taught if n in weak else None)
        for n in range(count)
    }


def _sheet(rng, paper, weak, taught):
    sheet = {}
    for place, part in enumerate(paper):
        right_rate = rng.uniform(0.25, 0.5) if weak else rng.uniform(0.6, 0.95)
        silent = rng.random() < (0.2 if weak else 0.05)
        if part.letters:
            sheet[str(place)] = _chosen(rng, part, silent, rng.random() < right_rate)
            continue
        right = rng.choice(part.steps)
        if silent:  # blank, "?" and "don't know" come from the reader as nothing
            sheet[str(place)] = Given(None, right)
        elif rng.random() < right_rate:
            sheet[str(place)] = Given(right, right, True)
        else:
            sheet[str(place)] = _wrong(rng, part, right, taught and taught[place])
    return sheet


def _wrong(rng, part, right, taught):
    if taught is not None and rng.random() < 0.6:
        return Given(right * part.factors[taught], right, False, f"turn {taught}")
    at = rng.random()
    for turn, weight in enumerate(part.weights):
        if at < weight:
            return Given(right * part.factors[turn], right, False, f"turn {turn}")
        at -= weight
    how = rng.random()
    if how < 0.3:  # a guess that many like
        value = rng.choice(GUESSES)
    elif how < 0.6:  # a slip that ends on another number of the same steps
        value = rng.choice([step for step in part.steps if step != right])
    elif how < 0.8:  # rounded in between
        value = right * rng.choice((0.98, 0.985, 1.015, 1.02))
    else:
        value = right * rng.uniform(0.3, 3)
    return Given(value, right)


def _chosen(rng, part, silent, right):
    """Return a choice whose options stand in an order of the sheet's own."""
    names = ["right", *(f"option {n}" for n in range(part.letters - 1))]
    shown = rng.sample(names, len(names))
    own = "abcd"[shown.index("right")]
    if silent:
        return Given(None, own)
    if right:
        return Given(own, own, True, "right")
    said = rng.choices(names[1:], part.weights)[0]
    return Given("abcd"[shown.index(said)], own, False, said)


def copied(rng, sheets, how, paper):
    """Let two copy, each from somebody who has something to copy; return who from whom.

    Numbers and letters are taken over as they stand.  A zero behind the point is no
    other number, so ``zeros`` looks like ``plain`` here; the tests of the reader say
    that it does.  With ``changed``, one part that was taken over is done alone.
    """
    full = [
        who
        for who, sheet in sheets.items()
        if sum(g.value is not None for g in sheet.values()) >= 6
    ]
    pairs = []
    copiers = rng.sample(sorted(sheets), 2)
    for copier in copiers:
        source = rng.choice([who for who in full if who not in copiers])
        alone = rng.choice(sorted(sheets[copier])) if how == "changed" else None
        for name, own in sheets[copier].items():
            if name == alone:
                continue
            value = sheets[source][name].value
            sheets[copier][name] = _judged(value, own, paper[int(name)], sheets, name)
        pairs.append((copier, source))
    return pairs


def _judged(value, own, part, sheets, name):
    """Return what marking would say of a value on the copier's own sheet."""
    if value is None or value == own.right:
        return own._replace(value=value, agrees=value is not None)
    if part.letters:
        # On this sheet the letter is another option; which one, its shuffle decides.
        return Given(value, own.right, False, f"option {'abcd'.index(value) % (part.letters - 1)}")
    for turn, factor in enumerate(part.factors):
        if abs(value - own.right * factor) <= 0.005 * abs(value):
            return Given(value, own.right, False, f"turn {turn}")
    return Given(value, own.right)


def rng_of(*key):
    return random.Random(repr(key))
