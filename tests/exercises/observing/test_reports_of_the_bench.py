"""Letters, class reports and results that know both kinds of evidence."""

import re
from html import unescape

import pytest

from calculators import safety
from exercises.observing.reading import read_files
from exercises.observing.seen import benches
from exercises.questions.registry import bank
from exercises.reports.at_the_bench import both_kinds, write_bench_reports
from exercises.reports.class_report import write_reports
from exercises.reports.personal_data import erase_person
from tests.exercises.marked_class import marked
from tests.exercises.observing.watched import book_with_sheets, content, saved, seen


def words(path):
    text = re.sub(r"<style>.*?</style>", "", path.read_text(encoding="utf-8"), flags=re.S)
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]*>", " ", text)))


@pytest.fixture
def book(tmp_path):
    with book_with_sheets(tmp_path / "class.db") as made:
        first, second, third, *_ = made.observation_sheets()
        noted = seen(first, without=["wiped"])
        noted["rows"]["wiped"]["note"] = "white at the back"
        sheets = [noted, seen(second, without=["blade"]), seen(third, unseen=["plan"])]
        read_files(made, saved(tmp_path, "Ann Quill", sheets), "M. Oswin")
        yield made


def test_each_student_who_was_watched_gets_a_letter_row_by_row(book, tmp_path):
    done = write_bench_reports(book, tmp_path / "reports")
    assert len(done.letters) == 3
    first, second, third = map(words, done.letters)
    assert "You have passed the practical." in first
    assert "What to practise Frost wiped off" in first
    assert "Ann Quill: white at the back" in first
    assert "Practise this first: Frost wiped" in first
    assert "A must was not done: Blade under the glaze" in second
    blender = safety.caution("stick-blender")
    assert f"{blender.hazard}. {blender.happens}" in second
    assert blender.happens not in first
    assert "counts neither for nor against you Own written plan" in third
    assert "The whole, beside the rows Ann Quill: sound." in first


def test_the_class_report_counts_and_names_who_is_watched_again(book, tmp_path):
    told = words(write_bench_reports(book, tmp_path / "reports").report)
    assert "3 of 12 students were watched at the bench: 2 have passed, 1 not yet." in told
    assert "Who is to be watched again Student 2" in told
    assert "Nobody was watched by two." in told


def test_a_book_without_observation_writes_nothing_of_it(tmp_path):
    from exercises.book.book import create

    with create(tmp_path / "class.db") as book:
        assert write_bench_reports(book, tmp_path) is None


def test_a_resit_takes_the_place_of_the_first_sitting(book, tmp_path):
    book.issue_observation_sheets(["s02"], content(), "M. Oswin", 2)
    now = {row["Student"]: row for row in rows(book)}
    assert now["s02"]["Practical"] == "not yet passed"  # nobody has watched the second yet
    sheet = book.observation_sheets("s02")[1]
    read_files(book, saved(tmp_path, "Bo Two", [seen(sheet)]), "M. Oswin")
    now = {row["Student"]: row for row in rows(book)}
    assert (now["s02"]["Practical"], now["s02"]["Sitting"]) == ("passed", 2)


def rows(book):
    page = both_kinds(book, benches(book))
    return [dict(zip(page.heads, row, strict=True)) for row in page.rows]


def test_both_kinds_have_to_be_passed(tmp_path):
    book = marked(
        tmp_path, bank(), ["syrup-strength", "gelatin-leaf"], {"carry out": 2}, 4, leave=()
    )
    with book:
        (paper,) = (one.name for one in book.papers())
        students = list(book.students())
        book.issue_observation_sheets(students, content(), "M. Oswin")
        sheets = [seen(one) for one in book.observation_sheets()[:3]]
        sheets[1] = seen(book.observation_sheets()[1], without=["hands"])
        read_files(book, saved(tmp_path, "Ann Quill", sheets), "M. Oswin")
        found = rows(book)
        assert [row["Student"] for row in found] == students
        for row in found:
            kinds = {row[paper], row["Practical"]}
            wanted = (
                "not yet passed"
                if "not yet passed" in kinds
                else "passed"
                if kinds == {"passed"}
                else "still to settle"
            )
            assert row["Both"] == wanted
        assert found[1]["Practical"] == "not yet passed"
        assert found[3]["Practical"] == "not observed"
        # The worksheet's letter and class report tell of the bench too.
        (made,) = write_reports(book, tmp_path / "reports")
        assert "What was seen at the bench" in words(made.letters[0])
        assert "What was seen at the bench" not in words(made.letters[3])
        assert "3 of 4 students were watched at the bench" in words(made.report)


def test_a_person_who_is_erased_has_no_letter_left(book, tmp_path):
    out = tmp_path / "reports"
    done = write_bench_reports(book, out)
    assert done.letters[0].exists()
    erase_person(book, "s01", "M. Oswin", "On their wish", reports=out)
    assert not done.letters[0].exists()
    assert len(write_bench_reports(book, out).letters) == 2
