"""Numbers about a class against published worked examples and scipy."""

from __future__ import annotations

from statistics import correlation

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binomtest

from exercises.reports.statistics import kappa, reliability, score_interval, tells_apart


@pytest.mark.parametrize(
    ("hits", "count", "low", "high"),
    [  # newcombe1998, table I, method 3; from memory, to the digits printed
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0000, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_the_interval_is_that_of_the_published_examples(hits, count, low, high):
    found = score_interval(hits, count)
    assert found == pytest.approx((low, high), abs=6e-5)


@settings(max_examples=50, deadline=None)
@given(st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_the_interval_is_that_of_scipy(pair):
    low, high = score_interval(*pair)
    theirs = binomtest(*pair).proportion_ci(method="wilson")
    assert low == pytest.approx(theirs.low, abs=1e-9)
    assert high == pytest.approx(theirs.high, abs=1e-9)
    assert 0 <= low <= pair[0] / pair[1] <= high <= 1


def test_kappa_is_that_of_the_published_table():
    # fleiss-levin-paik2003, chapter 18: 100 patients, two raters, three
    # diagnoses; seen 0.89, chance 0.66, kappa 0.68.  Table from memory.
    table = {
        ("p", "p"): 75,
        ("p", "n"): 1,
        ("p", "o"): 4,
        ("n", "p"): 5,
        ("n", "n"): 4,
        ("n", "o"): 1,
        ("o", "o"): 10,
    }
    pairs = [pair for pair, count in table.items() for _ in range(count)]
    assert kappa(pairs).value == pytest.approx(0.68, abs=0.005)


def test_kappa_is_one_for_full_agreement_and_not_told_where_it_means_nothing():
    assert kappa([("a", "a"), ("b", "b")] * 20).value == pytest.approx(1)
    assert kappa([("a", "a")] * 40) is None
    assert kappa([]) is None


def _far(one, two):
    return abs(one - two)


@given(st.lists(st.tuples(st.sampled_from([0.0, 1.0]), st.sampled_from([0.0, 1.0])), min_size=1))
def test_weighted_kappa_of_two_categories_is_the_plain_one(pairs):
    assert kappa(pairs, _far) == kappa(pairs)  # Cohen 1968: there weights make no difference


@given(
    st.lists(
        st.tuples(st.sampled_from([0, 0.25, 0.5, 1]), st.sampled_from([0, 0.5, 1])), min_size=1
    )
)
def test_weighted_kappa_lies_in_its_interval_which_is_wide_for_few(pairs):
    found = kappa(pairs, _far)
    if found is None:
        return
    assert found.low - 1e-9 <= found.value <= found.high + 1e-9
    assert found.high <= 1 + 1e-9
    more = kappa(pairs * 30, _far)
    assert more.value == pytest.approx(found.value)
    assert more.high - more.low < found.high - found.low


def test_two_equal_answers_prove_little_agreement():
    found = kappa([(0.0, 0.0), (1.0, 1.0)], _far)
    assert found.value == 1
    assert found.low < 0.2


def test_reliability_of_parallel_questions_follows_spearman_and_brown():
    # Two questions of equal variance: alpha = 2r/(1+r), Spearman 1910, Brown 1910.
    one = [0, 1] * 20
    two = [0, 1, 1, 0, 0, 1, 0, 1] * 5
    r = correlation(one, two)
    assert reliability(list(zip(one, two, strict=True))) == pytest.approx(2 * r / (1 + r))


@settings(max_examples=50, deadline=None)
@given(st.lists(st.integers(0, 4), min_size=30, max_size=60))
def test_a_question_that_is_the_rest_itself_tells_strong_from_weak_fully(item):
    found = tells_apart(item, item)
    assert found is None if len(set(item)) == 1 else found == pytest.approx(1)


def test_nothing_is_told_of_questions_below_thirty_students():
    item = [0, 1] * 14 + [1]
    assert len(item) == 29
    assert tells_apart(item, item) is None
    assert reliability([(x, x) for x in item]) is None
    assert tells_apart([*item, 0], [*item, 0]) is not None
