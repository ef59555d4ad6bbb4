"""Worked solutions taken apart key by key: held against sums done on paper."""

from __future__ import annotations

import math

import pytest

from exercises.questions.building import build
from exercises.questions.by_hand import steps
from exercises.questions.parts import DrawnQuantity
from exercises.questions.registry import bank
from tests.exercises.test_bank import KITCHEN


def lines(worked: str) -> list[str]:
    out = []
    for step in steps(worked):
        out += [step.put_in] if step.put_in else []
        out.append(f"= {step.before}{step.said}{step.after}")
    return out


def test_brackets_come_first_then_times_then_plus() -> None:
    assert lines("2 + 3 x (10 - 4) / 9 = 4") == [
        "2 + 3 × (10 − 4) ÷ 9",
        "= 2 + 3 × 6 ÷ 9",
        "= 2 + 18 ÷ 9",
        "= 2 + 2",
        "= 4",
    ]


def test_a_root_and_a_logarithm_are_keys_of_their_own() -> None:
    assert lines("20 g x sqrt(250 / 180) = 23.57 g") == [
        "20 × √(250 ÷ 180)",
        "= 20 × √1.389",
        "= 20 × 1.179",
        "= 23.57 g",
    ]
    assert lines("90 min × ln((60 − 20) ÷ (30 − 20)) = 124.8 min")[-3:] == [
        "= 90 × ln 4",
        "= 90 × 1.386",
        "= 124.8 min",
    ]


def test_an_area_of_a_round_cake_is_worked_out_square_by_square() -> None:
    told = lines("π × (16² ÷ 4 + 16 × 5) cm² = 452.4 cm²")
    assert told[1] == "= π × (256 ÷ 4 + 16 × 5)"
    assert told[-2:] == ["= π × 144", "= 452.4 cm²"]
    assert math.pi * 144 == pytest.approx(452.4, abs=0.05)


def test_a_share_goes_in_as_a_number_and_comes_out_in_percent() -> None:
    assert lines("720 g / (720 g + 370 g - 125 g) = 74.61 %")[-2:] == ["= 0.7461", "= 74.61 %"]
    assert lines("140 g x 78 % = 109.2 g")[0] == "140 × 0.78"


@pytest.mark.parametrize(
    "worked",
    [
        "740 g / 65 % = 1138 g; minus 740 g of sugar: 398.5 g",  # its end is no sum
        "the curve gives 104.8 °C",
        "4 x 5 = 21 g",  # not so
        "4 x a pinch = 20 g",
        "4 x (5 = 20 g",
        "",
    ],
)
def test_what_is_no_sum_is_left_alone(worked: str) -> None:
    assert steps(worked, "398.5 g") == []


def test_a_number_below_nought_is_put_into_brackets() -> None:
    assert lines("(106 °C - -1.0 °C) / 2 = 53.5 °C")[0] == "(106 − (−1)) ÷ 2"


def test_each_number_follows_from_the_one_before_in_every_draw_of_the_bank() -> None:
    """The numbers printed, put into a calculator again, give what the next line prints."""
    held = 0
    for question in bank().values():
        for seed in ("one", "two", "three"):
            for part in build(question, seed, KITCHEN).parts:
                if not isinstance(part, DrawnQuantity):
                    continue
                for step in steps(part.worked, part.shown):
                    held += 1
                    assert math.isfinite(step.value)
                    said = float(step.said.split()[0].replace("\N{NO-BREAK SPACE}", ""))
                    assert said == pytest.approx(step.value, rel=6e-4), (question.id, step)
    assert held > 300
