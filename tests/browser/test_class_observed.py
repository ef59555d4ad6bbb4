"""A class of twelve watched at the bench: page, file, mark book, letter and results."""

from __future__ import annotations

import csv
import re
from html import unescape

import pytest
from click.testing import CliRunner

from course.cli.commands import main
from course.demo import FOLDER

pytest.importorskip("playwright.sync_api")
from tests.browser.pages import chromium, needs_chromium  # only with a browser

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group(__name__), needs_chromium]

# Who is watched: by both, the first three; Bo sees one row of the second otherwise, and
# never looks at the coat.  The fifth takes the blade out of the glaze, the sixth stops twice.
ROWS = 14
BLADE, ONE_POUR, WIPED, COAT = 4, 9, 8, 10
MISSED = {"Ann Quill": {4: [BLADE], 5: [ONE_POUR, WIPED]}, "Bo Larch": {1: [WIPED]}}
UNSEEN = {"Ann Quill": {6: [COAT]}, "Bo Larch": {0: [COAT], 1: [COAT], 2: [COAT]}}


def ran(*words):
    done = CliRunner().invoke(main, [str(word) for word in words])
    assert "Traceback" not in done.output
    return done


def watched(tablet, observer, students, folder):
    with chromium(390) as opened:
        opened.goto(tablet.as_uri())
        opened.fill("#observer", observer)
        for place in students:
            opened.select_option("#student", str(place))
            for row in range(ROWS):
                if row in UNSEEN[observer].get(place, ()):
                    continue
                answer = "not done" if row in MISSED[observer].get(place, ()) else "seen"
                opened.locator(f'input[name="row-{row}"][value="{answer}"]').check()
            opened.locator('input[name="judgement"][value="sound"]').check()
        with opened.expect_download() as waiting:
            opened.click("#save")
        waiting.value.save_as(folder / waiting.value.suggested_filename)
        assert (opened.asked, opened.said) == ([], [])


def words(path):
    text = re.sub(r"<style>.*?</style>", "", path.read_text(encoding="utf-8"), flags=re.S)
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]*>", " ", text)))


def test_a_class_of_twelve_with_two_observers_for_three(tmp_path):
    book, out, files = tmp_path / "class.db", tmp_path / "observing", tmp_path / "files"
    files.mkdir()
    scheme, people = FOLDER / "scheme.toml", FOLDER / "class.csv"
    done = ran(
        "observe", scheme, "--class", people, "--book", book, "--out", out, "--by", "M. Oswin"
    )
    assert done.exit_code == 0, done.output
    assert "12 observation sheets" in done.output
    for observer, students in (("Ann Quill", range(12)), ("Bo Larch", range(3))):
        watched(out / "observe.html", observer, students, files)
    done = ran("observe", "--read", files, "--book", book, "--by", "M. Oswin")
    assert done.exit_code == 0, done.output
    assert "2 files read: 15 observations recorded." in done.output
    # Three students, 13 rows seen by both of each, one of them apart.
    assert "3 students were watched by two; they agreed on 38 of 39." in done.output
    again = ran("observe", "--read", files, "--book", book, "--by", "M. Oswin")
    assert "0 observations recorded, 15 were already there" in again.output

    reports = tmp_path / "reports"
    done = ran("report", "--book", book, "--out", reports)
    assert done.exit_code == 0, done.output
    assert "The practical: 12 letters" in done.output
    with (reports / "results-of-both-kinds.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    wanted = ["passed"] * 12
    wanted[1], wanted[4] = "still to settle", "not yet passed"
    assert [row["Practical"] for row in rows] == wanted
    assert [row["Watched by"] for row in rows[:4]] == ["Ann Quill, Bo Larch"] * 3 + ["Ann Quill"]
    assert (rows[6]["Rows seen"], rows[6]["Not seen"], rows[6]["Not done"]) == ("13", "1", "0")
    letters = sorted((reports / "letters" / "practical").glob("*.html"))
    assert len(letters) == 12
    assert "still to settle. The observers differ: Frost wiped" in words(letters[1])
    assert "A must was not done: Blade under the glaze" in words(letters[4])
    assert "You have passed the practical." in words(letters[5])
    assert "One pour without a stop" in words(letters[5]).split("What to practise")[1]
    assert ran("verify", book).exit_code == 0
