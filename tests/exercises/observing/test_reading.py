"""What observers saved comes into the mark book: whole, once, and with every fault told."""

import json

import pytest

from calculators.faults import FaultsError
from exercises.book.book import open_book
from exercises.observing.reading import key_in, read_files
from exercises.observing.seen import benches
from exercises.reports.personal_data import export_person, kept_too_long
from tests.exercises.observing.watched import (
    CLASS,
    at,
    book_with_sheets,
    content,
    saved,
    seen,
)


@pytest.fixture
def book(tmp_path):
    with book_with_sheets(tmp_path / "class.db") as made:
        yield made


def sheet_of(book, student):
    return book.observation_sheets(student)[0]


def test_what_was_seen_is_kept_with_observer_time_note_and_photograph(book, tmp_path):
    one = seen(sheet_of(book, "s01"), without=["coat"])
    one["rows"]["coat"] |= {"note": "141 g", "photo": "IMG 12"}
    one |= {"numbers": {"cake": "ring", "before": "900", "after": "1041,5 g"}, "second": "B. Two"}
    one["log"] = [{"at": at(0), "temperature": 4}]
    done = read_files(book, saved(tmp_path, "A. One", [one]), "M. Oswin")
    assert (done.files, done.new, done.known, done.faults) == (1, 1, 0, [])
    (held,) = book.observations()
    assert (held.observer, held.second, held.recorded_by) == ("A. One", "B. Two", "M. Oswin")
    assert held.answers["coat"] == ["not done", at(11 - 1)]
    assert held.notes["coat"] == {"note": "141 g", "photo": "IMG 12"}
    assert held.numbers == {"cake": "ring", "before": 900.0, "after": 1041.5}
    assert held.log == [[at(0), 4]]
    assert book.verify().faults == []


def test_the_same_file_twice_is_recorded_once(book, tmp_path):
    path = saved(tmp_path, "A. One", [seen(sheet_of(book, "s01"))])
    read_files(book, path, "M. Oswin")
    again = read_files(book, tmp_path, "M. Oswin")
    assert (again.new, again.known, len(book.observations())) == (0, 1, 1)


def test_of_one_observer_the_later_counts_and_the_earlier_stays(book, tmp_path):
    sheet = sheet_of(book, "s01")
    for without in (["wiped"], []):
        read_files(book, saved(tmp_path, "A. One", [seen(sheet, without)]), "M. Oswin")
    assert len(book.observations(sheet.token)) == 2
    assert benches(book)[0].count("not done") == 0


def test_a_second_download_is_read_too_and_the_later_saved_counts(book, tmp_path):
    # A browser that has a file of this name already writes " (1)" into the new one's.
    sheet = sheet_of(book, "s01")
    later = saved(tmp_path, "A. One", [seen(sheet)])
    text = later.read_text(encoding="utf-8")
    first = json.dumps(json.loads(text) | {"saved": at(100), "sheets": [seen(sheet, ["wiped"])]})
    later.rename(tmp_path / "a.-one.observed (1).json")
    (tmp_path / "a.-one.observed.json").write_text(first, encoding="utf-8")
    done = read_files(book, tmp_path, "M. Oswin")
    assert (done.files, done.new) == (2, 2)
    assert [one.saved_at for one in book.observations(sheet.token)] == [at(100), at(200)]
    assert benches(book)[0].count("not done") == 0


def test_a_sheet_with_a_fault_is_told_and_the_others_are_recorded(book, tmp_path):
    good, bad, strange = (seen(sheet_of(book, f"s0{n}")) for n in (1, 2, 3))
    bad["rows"]["window"]["answer"] = "perhaps"
    bad["rows"]["no such"] = {"answer": "seen"}
    bad["log"] = [{"at": "nine", "temperature": 4}]
    bad["judgement"] = "nice"
    bad["numbers"] = {"before": "heavy"}
    strange["token"] = strange["token"][:-1] + ("3" if strange["token"][-1] != "3" else "4")
    done = read_files(book, saved(tmp_path, "A. One", [good, bad, strange]), "M. Oswin")
    assert [one.token for one in book.observations()] == [good["token"]]
    told = "\n".join(map(str, done.faults))
    for words in ("window: is no answer", "no such", "log row 1", "nice", "before", "sheet 3"):
        assert words in told


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{", "breaks off"),
        ("[]", "is no file of observations"),
        ('{"glossbook": 1, "token": "x", "answers": {}}', "glossbook mark"),
        ('{"kind": "observed", "observer": " ", "sheets": []}', "names no observer"),
        ('{"kind": "observed", "observer": "A"}', "holds no sheets"),
        ('{"kind": "observed", "observer": "A", "saved": "today", "sheets": []}', "when it was"),
    ],
)
def test_a_file_that_is_none_is_told_with_the_next_step(book, tmp_path, text, words):
    (tmp_path / "x.observed.json").write_text(text, encoding="utf-8")
    saved(tmp_path, "A. One", [seen(sheet_of(book, "s01"))])
    done = read_files(book, tmp_path, "M. Oswin")
    assert words in str(done.faults[0])
    assert done.new == 1


def test_an_empty_folder_and_nobody_are_refused(book, tmp_path):
    with pytest.raises(FaultsError, match="holds no file"):
        read_files(book, tmp_path, "M. Oswin")
    with pytest.raises(FaultsError, match="does not name a person"):
        read_files(book, tmp_path, " ")


def test_a_sheet_on_paper_is_keyed_in_and_asked_again_where_it_can_t_be_read(book):
    sheet = sheet_of(book, "s04")
    rows = len(sheet.content["rows"])
    typed = iter(
        [
            *("A. One", "B. Two", "x", *("s" * (rows - 2)), "n", ""),
            *("dome", "dome 7 cm", "100", "117 g", "32"),
            *("nine 4", "9:05 4; 9:35; 9:50 32", "superb", "sound", "Calm hands"),
        ]
    )
    asked = []

    def ask(words):
        asked.append(words)
        return next(typed)

    one = key_in(book, sheet.token.lower().replace("-", " "), "M. Oswin", ask)
    assert next(typed, None) is None
    assert sum("is none of three" in words for words in asked) == 1
    assert sum("no time of day" in words for words in asked) == 1
    assert sum("cake: is none of this sheet" in words for words in asked) == 1
    assert (one.form, one.second, one.judgement) == ("keyed in", "B. Two", "sound")
    answers = [said for said, _ in one.answers.values()]
    assert answers == ["seen"] * (rows - 2) + ["not done", "not seen by me"]
    assert [heat for _, heat in one.log] == [4, None, 32]
    assert one.numbers == {
        "cake": "dome 7 cm",
        "before": 100.0,
        "after": 117.0,
        "temperature": 32.0,
    }


def test_a_second_signature_that_comes_later_is_recorded(book):
    sheet = sheet_of(book, "s04")
    rows = len(sheet.content["rows"])
    for second in ("", "B. Two"):
        typed = iter(["A. One", second, *("s" * rows), *[""] * 7])
        one = key_in(book, sheet.token, "M. Oswin", lambda _, typed=typed: next(typed))
        assert one.second == second
    assert [one.second for one in book.observations(sheet.token)] == ["", "B. Two"]


def test_a_token_of_a_worksheet_is_told(book):
    with pytest.raises(FaultsError, match="belongs to no observation sheet"):
        key_in(book, "JPE9-T6EC-M9AM-HFJ4-QEJQ", "M. Oswin", lambda _: "")


# --- the record, and a person's data --------------------------------------------------------


def test_who_has_a_sheet_keeps_it_and_a_resit_is_another(book):
    first = {one.student: one.token for one in book.observation_sheets()}
    again = book.issue_observation_sheets(["s01", "s02"], {"rows": []}, "M. Oswin")
    assert {one.token for one in again} == {first["s01"], first["s02"]}
    (resit,) = book.issue_observation_sheets(["s01"], {"rows": []}, "M. Oswin", 2)
    assert resit.token not in first.values()
    assert [one.sitting for one in book.observation_sheets("s01")] == [1, 2]
    with pytest.raises(FaultsError, match="nobody in the book"):
        book.issue_observation_sheets(["s99"], {}, "M. Oswin")


def test_a_changed_answer_is_found_by_the_chain(book, tmp_path):
    read_files(book, saved(tmp_path, "A. One", [seen(sheet_of(book, "s01"))]), "M. Oswin")
    book.close()
    import sqlite3

    with sqlite3.connect(book.path) as raw:
        raw.execute("UPDATE observation SET judgement = 'could teach it'")
    raw.close()
    with open_book(book.path) as changed:
        assert changed.verify().faults == [
            "observation 1 was changed, or the entry before it (entry 13)."
        ]


def test_a_person_gets_all_that_was_seen_and_is_erased_from_it(book, tmp_path):
    one = seen(sheet_of(book, "s01"))
    one["rows"]["coat"]["note"] = "Student 1 was calm"
    other = seen(sheet_of(book, "s02"))
    other["rows"]["coat"]["note"] = "Helped by Student 1"
    one["log"] = [{"at": at(0), "temperature": 4}]
    read_files(book, saved(tmp_path, "A. One", [one, other]), "M. Oswin")
    held = json.loads(export_person(book, "s01", tmp_path / "me.json").read_text(encoding="utf-8"))
    assert held["observation sheets"][0]["observations"][0]["notes"]["coat"]["note"]
    new = book.erase("s01", "M. Oswin", "On their wish")
    text = json.dumps([vars(o) for o in book.observations()])
    assert "Student 1" not in text
    assert new in text
    mine = next(o for o in book.observations() if o.token == one["token"])
    assert (mine.notes, mine.log) == ({}, [])
    assert mine.answers["coat"][0] == "seen"  # numbers stay, without a name
    assert [s.student for s in book.observation_sheets() if s.token == one["token"]] == [new]
    assert book.verify().faults == []


def test_old_data_of_the_bench_are_told_as_well(book):
    import datetime

    later = datetime.date.today() + datetime.timedelta(days=500)
    assert set(kept_too_long(book, "400 d", later)) == {one.id for one in CLASS}


def test_a_book_of_the_first_version_takes_observations_and_keeps_its_marks(tmp_path):
    import shutil
    from pathlib import Path

    path = tmp_path / "old.db"
    shutil.copy(Path(__file__).parents[2] / "fixtures" / "old_book" / "class.db", path)
    with open_book(path) as old:
        before = [row.awarded for row in old.results("syrups-and-gelatin")]
        student = next(iter(old.students()))
        (sheet,) = old.issue_observation_sheets([student], content(), "M. Oswin")
        read_files(old, saved(tmp_path, "A. One", [seen(sheet)]), "M. Oswin")
        assert len(old.observations()) == 1
        assert [row.awarded for row in old.results("syrups-and-gelatin")] == before
        assert old.verify().faults == []
