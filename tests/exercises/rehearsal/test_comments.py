"""A sheet of comments for each student and run: what was seen, when, and never a mark."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from course.office import papers
from exercises.book.book import Book
from exercises.marking.run import mark_folder
from exercises.reports.personal_data import erase_person
from exercises.reports.rehearsals import write_comments
from tests.exercises.rehearsal.handed_in import SET, class_with_a_run, log_of
from tests.exercises.rehearsal.kitchens_of_rehearsal import careful

LESSONS = {"pour": "When do you pour?"}


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    made, _ = class_with_a_run(tmp_path / "class.db")
    with made:
        yield made


def handed_in(book: Book, folder: Path, received: str = "2030-02-20", **logs: str) -> None:
    folder.mkdir(exist_ok=True)
    for name, text in logs.items():
        (folder / f"{name}.json").write_text(text, encoding="utf-8")
    mark_folder(folder, book, received_at=received, workers=1)


def without(*names: str) -> list[dict[str, Any]]:
    return [a for a in careful() if a["do"] not in names]


def written(book: Book, out: Path) -> dict[str, str]:
    told = write_comments(book, out, lessons=LESSONS)
    assert told is not None
    return {path.name: path.read_text(encoding="utf-8") for path in told.sheets}


def text_of(page: str) -> str:
    main = page[page.index("<body") :]
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", main)).split())


def test_without_logs_nothing_is_written(book: Book, tmp_path: Path) -> None:
    assert write_comments(book, tmp_path / "out") is None
    assert not (tmp_path / "out").exists()


def test_a_row_that_was_not_done_comes_first_with_its_time_and_reason(
    book: Book, tmp_path: Path
) -> None:
    handed_in(book, tmp_path / "pile", a=log_of("Ada Ample", without("wipe")))
    (page,) = written(book, tmp_path / "out").values()
    text = text_of(page)
    order = [
        "What to do differently next time",
        "Frost wiped off the cake",
        "The cakes were poured as they came out",
        "What can hurt at these steps",
        "Freezer cold",
        "What the run shows",
        "What no rehearsal can show",
        "The cake at the end",
        "What nobody told you",
        "white frost lay on them",
    ]
    places = [text.index(one) for one in order]
    assert places == sorted(places)
    assert re.search(r"After \d+ h \d\d min: The cakes were poured as they came out", text)
    assert "Dear Ada" in text


def test_a_hurdle_is_the_next_step_and_brings_its_caution(book: Book, tmp_path: Path) -> None:
    handed_in(book, tmp_path / "pile", a=log_of("Ada Ample", without("cold water")))
    (page,) = written(book, tmp_path / "out").values()
    text = text_of(page)
    assert "Somebody would have been hurt".lower() in text.lower()
    assert "there was no cold water beside the hob" in text
    assert "Hot sugar" in text
    assert 'class="caution"' in page
    assert SET["last word"] in text
    handed_in(book, tmp_path / "pile", b=log_of("Bo Batter", without("wipe")))
    page = written(book, tmp_path / "out")["st00002-bo-batter_before-the-pour.html"]
    assert "Rehearse this first" in text_of(page)


def test_nothing_in_it_is_a_mark_or_an_outcome(book: Book, tmp_path: Path) -> None:
    handed_in(book, tmp_path / "pile", a=log_of("Ada Ample"))
    (page,) = written(book, tmp_path / "out").values()
    text = text_of(page)
    assert "earns no marks and proves no outcome" in text
    rest = text.replace("earns no marks and proves no outcome", "").replace("marks of the pour", "")
    assert not re.search(r"\b(marks?|outcomes?|passed|met|not yet)\b", rest)
    for letter in (tmp_path / "out").rglob("*.html"):
        assert "is-met" not in letter.read_text(encoding="utf-8").split("</style>")[1]


def test_a_late_log_and_a_second_log_are_said(book: Book, tmp_path: Path) -> None:
    handed_in(book, tmp_path / "pile", a=log_of("Ada Ample", []))
    handed_in(book, tmp_path / "pile", "2030-03-05", b=log_of("Ada Ample"))
    (page,) = written(book, tmp_path / "out").values()
    text = text_of(page)
    assert "It came in after Friday 1 March 2030" in text
    assert "handed in 2 logs of this run; this is about the last one" in text
    assert "The cake at the end" in text


def test_a_run_of_no_steps_has_a_sheet_as_well(book: Book, tmp_path: Path) -> None:
    handed_in(book, tmp_path / "pile", a=log_of("Ada Ample", []))
    (page,) = written(book, tmp_path / "out").values()
    assert "0 steps" in text_of(page)
    assert "What this run did not come to" in text_of(page)


def test_a_name_is_escaped(book: Book, tmp_path: Path) -> None:
    from exercises.book.records import Student

    book.enrol([Student("st00001", "<b>Ada</b>")])
    handed_in(book, tmp_path / "pile", a=log_of("st00001", []))
    (page,) = written(book, tmp_path / "out").values()
    assert "<b>Ada" not in page


def test_large_print_reaches_the_sheet(book: Book, tmp_path: Path) -> None:
    from exercises.book.records import Student

    book.enrol([Student("st00001", "Ada Ample", print="large")])
    handed_in(book, tmp_path / "pile", a=log_of("st00001", []))
    (page,) = written(book, tmp_path / "out").values()
    assert '<html lang="en-GB" class="large">' in page


def test_the_report_writes_the_sheets_and_says_what_most_did_not_do(
    book: Book, tmp_path: Path
) -> None:
    handed_in(
        book,
        tmp_path / "pile",
        a=log_of("Ada Ample", without("wipe")),
        b=log_of("Bo Batter", without("wipe", "trim")),
    )
    lines = papers.report(book, tmp_path / "out", None)
    start = next(n for n, line in enumerate(lines) if line.startswith("Dry runs: 2 sheets"))
    told = lines[start + 1 : start + 4]
    assert any("Not done in 2 of 2: Frost wiped off" in line for line in told)
    assert not any("Ada" in line for line in told)


def test_an_erased_person_has_no_sheet_left(book: Book, tmp_path: Path) -> None:
    handed_in(book, tmp_path / "pile", a=log_of("Ada Ample", []), b=log_of("Bo Batter", []))
    assert len(written(book, tmp_path / "out")) == 2
    done = erase_person(book, "st00001", "M. Oswin", "On their wish", reports=tmp_path / "out")
    assert [path.name for path in done.deleted] == ["st00001-ada-ample_before-the-pour.html"]
    assert list(written(book, tmp_path / "out")) == ["st00002-bo-batter_before-the-pour.html"]
