"""The observation sheet as an observer meets it: on a tablet, by thumb, by key, and on paper."""

from __future__ import annotations

import dataclasses
import json
import re

import pytest

from calculators import safety
from calculators.kitchen import Cake
from calculators.units import q
from exercises.book.observations import ObservationSheet
from exercises.book.tokens import new_token
from exercises.craft.method import method
from exercises.observing.reading import read_files
from exercises.observing.seen import benches
from exercises.observing.sheet import content_of, own_page, page, paper_sheets
from tests.exercises.observing.watched import KITCHEN, book_with_sheets, content

pytest.importorskip("playwright.sync_api")
from tests.browser.pages import chromium, faults_of, needs_chromium  # only with a browser

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group(__name__), needs_chromium]


@pytest.fixture
def book(tmp_path):
    with book_with_sheets(tmp_path / "class.db") as made:
        yield made


@pytest.fixture
def address(book, tmp_path):
    names = {one.id: one.name for one in book.students().values()}
    path = tmp_path / "observe.html"
    path.write_text(page(book.observation_sheets(), names), encoding="utf-8")
    return path.as_uri()


def tap(opened, row, answer):
    opened.locator(f'input[name="row-{row}"][value="{answer}"]').check()


def saved(opened, folder):
    with opened.expect_download() as waiting:
        opened.click("#save")
    path = folder / waiting.value.suggested_filename
    waiting.value.save_as(path)
    return path


def test_what_is_tapped_comes_into_the_book_with_its_time(book, address, tmp_path):
    with chromium(800) as opened:
        opened.goto(address)
        opened.fill("#observer", "Ann Quill")
        tap(opened, 0, "seen")
        tap(opened, 1, "not done")
        tap(opened, 1, "seen")
        assert re.search(r"at \d?\d:\d\d", opened.inner_text("#taken-1"))
        opened.locator("#row-1 summary").click()
        opened.fill("#note-1", "twice")
        opened.fill("#photo-1", "IMG 7")
        opened.select_option("#student", "1")
        assert not opened.locator('input[name="row-0"]:checked').count()
        tap(opened, 0, "not seen by me")
        opened.fill("#heat", "31,5")
        opened.press("#heat", "Enter")
        opened.fill("#heat", "much")
        opened.click("#read-now")
        assert "as a number" in opened.inner_text("#log-said")
        path = saved(opened, tmp_path)
        assert "2 students" in opened.inner_text("#saved")
        assert (opened.asked, opened.said) == ([], [])
    done = read_files(book, path, "M. Oswin")
    assert (done.new, done.faults) == (2, [])
    first, second = book.observations()
    assert first.observer == "Ann Quill"
    assert [said for said, _ in first.answers.values()] == ["seen", "seen"]
    assert first.notes["hands"] == {"note": "twice", "photo": "IMG 7"}
    assert [heat for _, heat in second.log] == [31.5]
    assert benches(book)[1].count("not done") == 0


def test_all_that_was_written_survives_a_reload(address):
    with chromium(390) as opened:
        opened.goto(address)
        opened.fill("#observer", "Ann Quill")
        opened.select_option("#student", "2")
        tap(opened, 3, "seen")
        opened.fill("#remark", "Steady")
        opened.reload()
        assert opened.input_value("#observer") == "Ann Quill"
        opened.select_option("#student", "2")
        assert opened.locator('input[name="row-3"][value="seen"]').is_checked()
        assert opened.input_value("#remark") == "Steady"
        assert "1 of 14 rows" in opened.inner_text("#count")


def test_a_sheet_without_an_observer_is_not_saved(address):
    with chromium(800) as opened:
        opened.goto(address)
        tap(opened, 0, "seen")
        opened.click("#save")
        assert "Write your name first" in opened.inner_text("#saved")
        assert opened.evaluate("document.activeElement.id") == "observer"


def test_it_only_records(address):
    with chromium(800) as opened:
        opened.goto(address)
        opened.select_option("#cake", index=1)
        opened.fill("#before", "100")
        opened.fill("#after", "900")
        assert opened.inner_text("#coat-said") == ""
        assert not re.search(r"passed|marks|score", opened.inner_text("main"))


def test_every_row_can_be_answered_by_keyboard(address):
    with chromium(800) as opened:
        opened.goto(address)
        opened.focus("#observer")
        opened.keyboard.press("Tab")
        opened.keyboard.press("Space")
        assert opened.locator('input[name="row-0"][value="seen"]').is_checked()
        opened.keyboard.press("ArrowRight")
        assert opened.locator('input[name="row-0"][value="not done"]').is_checked()


@pytest.mark.parametrize("width", [320, 390, 1280])
@pytest.mark.parametrize("evening", [False, True])
def test_nothing_scrolls_sideways_and_axe_finds_nothing(address, width, evening):
    with chromium(width, evening=evening) as opened:
        opened.goto(address)
        assert opened.evaluate("document.documentElement.scrollWidth") <= width
        assert faults_of(opened, every_rule=True) == ""


def test_each_tap_is_large_enough_for_a_thumb(address):
    with chromium(390) as opened:
        opened.goto(address)
        sizes = opened.evaluate(
            "[...document.querySelectorAll('.tap')].map(e => { const r = e.getBoundingClientRect();"
            " return Math.min(r.width, r.height); })"
        )
        assert min(sizes) >= 48


# --- for a student alone ---------------------------------------------------------------------


@pytest.fixture
def alone(tmp_path):
    path = tmp_path / "my-bench.html"
    path.write_text(own_page(content()), encoding="utf-8")
    return path.as_uri()


def test_a_student_alone_has_the_same_rows_without_marks(alone):
    with chromium(390) as opened:
        opened.goto(alone)
        words = opened.inner_text("main")
        for row in content()["rows"]:
            assert row["says"] in words
        # Steps without a row have their cautions too, before the work.
        told = {name for step in (*method().day_before, *method().day) for name in step.caution}
        assert {"hot-sugar", "colourants", "powders", "reuse", "chilling-holding"} <= told
        for name in told:
            assert safety.caution(name).happens in words
        assert "only with the supervisor of hot sugar in the room" in words
        assert not re.search(r"[Oo]bserver.s name|not seen by me|Second signature", words)
        assert opened.evaluate("document.documentElement.scrollWidth") <= 390


@pytest.mark.parametrize("evening", [False, True])
def test_axe_finds_nothing_on_the_page_of_a_student_alone(alone, evening):
    with chromium(390, evening=evening) as opened:
        opened.goto(alone)
        assert faults_of(opened, every_rule=True) == ""


def test_at_home_the_page_says_what_the_scale_comes_to(alone):
    with chromium(390) as opened:
        opened.goto(alone)
        opened.select_option("#cake", "dome 7 cm")
        opened.fill("#before", "100")
        for after, words in (("117", "inside the band"), ("110", "too thin"), ("131", "too heavy")):
            opened.fill("#after", after)
            assert words in opened.inner_text("#coat-said")


def test_at_home_a_log_is_judged_or_nothing_is_said(alone):
    def log(opened, *rows):
        held = {
            "observer": "",
            "students": {
                "0": {
                    "rows": {},
                    "numbers": {},
                    "judgement": "",
                    "remark": "",
                    "second": "",
                    "log": [{"at": f"2027-03-23T{at}:00Z", "temperature": t} for at, t in rows],
                }
            },
        }
        place = json.loads(opened.inner_text("#sheet"))["place"]
        opened.evaluate("([p, h]) => localStorage.setItem(p, JSON.stringify(h))", [place, held])
        opened.reload()
        return opened.inner_text("#log-said")

    with chromium(390) as opened:
        opened.goto(alone)
        half_hours = [("09:00", 4)] + [
            (f"{9 + n // 2:02d}:{30 * (n % 2):02d}", 32) for n in range(1, 9)
        ]
        assert "at most 60 min. Your rule gives 180 min." in log(opened, *half_hours[:3])
        assert "throw it out" in log(opened, *half_hours)
        assert "runs back at row 2" in log(opened, ("09:10", 4), ("09:00", 32))
        assert "Nothing can be said" in log(opened, ("09:00", 4), ("10:00", 32))
        warm = log(opened, ("09:00", 32), ("09:30", 32))
        assert "since row 1, which was warm already: add the time before it." in warm
        assert "at most" not in warm


# --- on paper ------------------------------------------------------------------------------------

MANY = dataclasses.replace(
    KITCHEN,
    cakes=(
        *KITCHEN.cakes,
        Cake("slab", {"length": q(30, "cm"), "width": q(20, "cm"), "height": q(4, "cm")}, 2),
        Cake("savarin", {"outer": q(16, "cm"), "inner": q(5, "cm")}, 2),
        Cake("log", {"diameter": q(8, "cm"), "length": q(25, "cm")}, 2),
    ),
)
PLAIN = dataclasses.replace(KITCHEN, jugs=KITCHEN.jugs[:1])


@pytest.mark.parametrize("kitchen", [KITCHEN, MANY, PLAIN], ids=["demo", "many cakes", "plain"])
def test_each_student_has_one_a4_page(kitchen, tmp_path):
    held = content_of(kitchen, title="A glaze", school="A school of a rather long name")
    sheets = [ObservationSheet(new_token(), f"s{n}", 1, "M", "2027", held) for n in range(3)]
    names = {f"s{n}": "Wilhelmina Applegarth-Featherstonehaugh" for n in range(3)}
    path = tmp_path / "sheets.html"
    path.write_text(paper_sheets(sheets, names), encoding="utf-8")
    with chromium(794) as opened:
        opened.goto(path.as_uri())
        opened.emulate_media(media="print")
        heights = opened.evaluate(
            "[...document.querySelectorAll('.page')].map(e => [e.scrollHeight, e.clientHeight])"
        )
        assert all(inside <= outside for inside, outside in heights)
        pdf = opened.pdf(prefer_css_page_size=True)
        assert opened.said == []
    assert len(re.findall(rb"/Type\s*/Page\b", pdf)) == 3
    # A4 in points, and no other size.
    boxes = {
        tuple(round(float(x)) for x in found.split())
        for found in re.findall(rb"/MediaBox\s*\[([^\]]*)\]", pdf)
    }
    assert boxes == {(0, 0, 595, 842)} or boxes == {(0, 0, 596, 842)}


def test_the_course_leads_to_the_page_for_a_student_alone(tmp_path):
    from course.dry_run.page import MY_BENCH
    from tests.browser.pages import site_of

    site = site_of()
    assert f'href="{MY_BENCH}"' in (site / "dry-run.html").read_text(encoding="utf-8")
    assert "My own bench" in (site / MY_BENCH).read_text(encoding="utf-8")
