"""Handouts and slides say what the lesson says, and a term holds what is laid over it."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.faults import FaultsError
from calculators.units import q
from course.lessons.modules import modules
from course.making.lessons import lessons_of
from course.scheme.model import TermPlan
from course.site.for_class import read_page, write_for_class
from course.site.weeks import weeks_of

LESSONS = lessons_of(list(modules()))
BEGINS = datetime.date(2027, 1, 11)
PAGE = """<article><section id="t"><div class="pair first"><div class="main">
<p class="kick">Syrups, first lesson of three.</p><h1>How strong?<a class="headerlink">#</a></h1>
<p>A tub &amp; no label.</p></div><aside><ul class="aim"><li><span>weigh it</span>
<span class="sr"></span></li></ul></aside></div>
<section class="gb-warn" id="hazard-hot-sugar"><p class="name">Warning: Hot sugar</p><p>It sticks.</p>
</section>
<section id="claim"><h2>Strength is a share</h2><form><p>Not this.</p></form><p>Of the <b>whole</b>.
See <a href="x.html">that</a>.</p><div class="tag_picture"><figure><svg id="page"></svg>
<svg class="gb-phone"></svg><figcaption>A pan.</figcaption></figure></div>
<p>By hand: 650 / 0.6 = 1083 g</p></section>
<section id="practice"><h2>Practice</h2><form class="gb-practice"><div class="gb-asked">
<p>Weigh 820 g.</p><input name="a"><details>the solution</details></div></form></section>
<section id="common-mistakes"><h2>Common mistakes</h2><ul><li>Sugar over water.</li></ul></section>
<section id="at-the-bench"><h2>At the bench</h2><p>About 30 minutes.</p></section></section></article>"""


def term(weeks: int, minutes: int, reading: str = "home") -> TermPlan:
    return TermPlan(BEGINS, weeks, q(minutes, "min"), reading)


def test_a_page_is_taken_apart_and_keeps_no_solution(tmp_path: Path) -> None:
    path = tmp_path / "how-strong.html"
    path.write_text(PAGE, encoding="utf-8")
    lesson = read_page(path)
    assert lesson.title == "How strong?"
    assert lesson.can == ("weigh it",)
    assert lesson.hazards == (("Hot sugar", "It sticks."),)
    (claim,) = lesson.claims
    assert claim.begins.startswith("Of the <b>whole</b>")
    assert "<a" not in claim.begins
    assert 'id="page"' in claim.picture
    assert "gb-phone" not in claim.picture
    assert "1083 g" in claim.by_hand
    assert "Weigh 820 g." in lesson.question
    assert "solution" not in lesson.question
    assert lesson.mistakes == ("Sugar over water.",)


def test_handout_and_slides_carry_the_caution_and_defer_to_local_rules(tmp_path: Path) -> None:
    (tmp_path / "lessons").mkdir()
    (tmp_path / "lessons" / f"{LESSONS[0].slug}.html").write_text(PAGE, encoding="utf-8")
    for path in write_for_class(tmp_path, LESSONS[:1]):
        text = path.read_text(encoding="utf-8")
        assert "Hot sugar" in text
        assert "Your local rules and your supervisor come first." in text
        assert "A tub &amp; no label." in text


@pytest.mark.parametrize("reading", ["home", "class"])
@settings(deadline=None, max_examples=25)
@given(minutes=st.integers(30, 600))
def test_everything_is_laid_once_and_no_week_holds_more_than_it_can(
    reading: str, minutes: int
) -> None:
    weeks = weeks_of(term(60, minutes, reading), LESSONS)
    laid: dict[str, int] = {}
    for week in weeks:
        assert week.minutes <= minutes
        for piece in (*week.in_class, *week.at_home):
            laid[piece.lesson.slug] = laid.get(piece.lesson.slug, 0) + piece.minutes
            if piece.what == "at the bench":
                assert piece in week.in_class  # never at home: there is no supervisor
    assert laid == {one.slug: one.minutes + one.bench for one in LESSONS}
    days = [week.day for week in weeks]
    assert days == [BEGINS + datetime.timedelta(days=7 * n) for n in range(len(weeks))]


@pytest.mark.parametrize("minutes", [30, 60, 90, 120, 180, 240, 600])
def test_a_lesson_is_read_at_home_before_the_class_of_its_bench(minutes: int) -> None:
    weeks = weeks_of(term(60, minutes), LESSONS)
    assert all(week.in_class for week in weeks)
    for lesson in LESSONS[1:]:
        read = [n for n, w in enumerate(weeks) for p in w.at_home if p.lesson is lesson]
        bench = min(n for n, w in enumerate(weeks) for p in w.in_class if p.lesson is lesson)
        assert set(read) == {bench - 1}, lesson.slug  # what is read at home is for the next class


def test_a_term_that_is_too_short_says_how_many_weeks_it_would_take() -> None:
    needed = len(weeks_of(term(60, 90), LESSONS))
    with pytest.raises(FaultsError, match=f"They take {needed} weeks at 90 min"):
        weeks_of(term(needed - 1, 90), LESSONS)
    assert len(weeks_of(term(needed, 90), LESSONS)) == needed
