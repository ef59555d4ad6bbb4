"""Likeness: who copies is found, who works alone is left in peace."""

import sys
from pathlib import Path

import pytest

from exercises.marking_alike import ALARMS, alike

sys.path.insert(0, str(Path(__file__).parent))
from invented_classes import a_class, a_paper, copied, rng_of

WAYS = ("plain", "zeros", "changed")


def _innocent(found, pairs):
    guilty = {frozenset(pair) for pair in pairs}
    return [pair for pair in found if frozenset((pair.one, pair.other)) not in guilty]


def measured(classes, start=0):
    """Return innocent pairs among honest classes and beside copiers, and copiers found."""
    alone = beside = met = total = 0
    for n in range(start, start + classes):
        rng = rng_of("honest", n)
        alone += len(alike(a_class(rng, a_paper(rng))))
        rng = rng_of("copied", n)
        paper = a_paper(rng)
        sheets = a_class(rng, paper)
        pairs = copied(rng, sheets, WAYS[n % 3], paper)
        found = alike(sheets)
        named = {frozenset((pair.one, pair.other)) for pair in found}
        met += sum(frozenset(pair) in named for pair in pairs)
        total += len(pairs)
        beside += len(_innocent(found, pairs))
    return alone / classes, beside / classes, met / total


def test_copiers_are_found_and_people_who_work_alone_are_not_named():
    alone, _, found = measured(60)
    assert alone <= ALARMS
    assert found >= 0.9


@pytest.mark.slow
def test_among_a_thousand_classes_few_innocent_are_named_and_most_copiers_are(capsys):
    alone, beside, found = measured(1000, start=1000)
    with capsys.disabled():
        sys.stdout.write(
            f"\n1000 honest classes of 30: {alone:.3f} innocent pairs a class; "
            f"1000 with two copiers: {found:.1%} found, {beside:.3f} innocent pairs a class\n"
        )
    assert alone <= ALARMS
    assert found >= 0.9
