"""The log of a dry run comes in like any hand-in: read, done again, kept, and never marked."""

from __future__ import annotations

import io
import json
import shutil
import time
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from exercises.book.book import Book, open_book
from exercises.book.records import SheetRecord
from exercises.book.schema import RECEIVED, UNREADABLE
from exercises.marking import limits, worker
from exercises.marking.reader import read_bytes
from exercises.marking.run import Summary, mark_folder
from exercises.rehearsal.log import MOST_ACTIONS
from exercises.rehearsal.watched import NOT_DONE
from exercises.reports.personal_data import erase_person, export_person, kept_too_long
from tests.clock import within
from tests.exercises.pile_of_ours import answer_file, right_answers
from tests.exercises.rehearsal.handed_in import SET, class_with_a_run, log_of
from tests.exercises.rehearsal.rows_of_rehearsal import MARBLED

Ours = tuple[Book, list[SheetRecord], Path]


@pytest.fixture
def ours(tmp_path: Path) -> Iterator[Ours]:
    book, sheets = class_with_a_run(tmp_path / "class.db")
    folder = tmp_path / "pile"
    folder.mkdir()
    with book:
        yield book, sheets, folder


def taken(book: Book, folder: Path, **how: Any) -> Summary:
    return mark_folder(folder, book, **{"received_at": "2030-02-20", "workers": 1, **how})


def reason(ours: Ours, text: str, name: str = "a.run.json") -> str:
    """Return why a file can't be read; it is recorded as such, and leaves no log."""
    book, _, folder = ours
    (folder / name).write_text(text, encoding="utf-8")
    taken(book, folder)
    (one,) = book.handins()
    assert one.state == UNREADABLE
    assert one.needs_a_look
    assert one.token is None
    assert book.rehearsals() == []
    assert book.verify().faults == []
    return one.reason


def test_a_log_is_recorded_with_what_it_shows_and_earns_nothing(ours: Ours) -> None:
    book, sheets, folder = ours
    (folder / "a.run.json").write_text(log_of(sheets[0].token), encoding="utf-8")
    summary = taken(book, folder)
    assert (summary.met, summary.rehearsed, summary.to_look) == (1, 1, 0)
    (one,) = book.handins()
    assert (one.form, one.state, one.token, one.marks) == ("dry run", RECEIVED, None, ())
    assert "never marked" in one.reason
    assert book.marks(one.id) == []
    assert all(not row.marks for row in book.results("first"))
    assert book.came_in() == (1, set())
    (log,) = book.rehearsals()
    assert (log.student, log.handin) == (sheets[0].student, one.id)
    assert {row["row"] for row in log.shown["rows"]} >= {"water", "window", "wiped"}
    assert log.log["actions"][0] == {"do": "check thermometer"}
    assert list(book.receipts(summary.pile)) == [("dry run", "a.run.json", book.receipt(one.id))]
    assert book.verify().faults == []
    assert taken(book, folder).known == 1


def test_logs_and_sheets_lie_in_one_pile_in_folders_and_archives(ours: Ours) -> None:
    book, sheets, folder = ours
    inner = io.BytesIO()
    with zipfile.ZipFile(inner, "w") as archive:
        archive.writestr("deep/Cy.run.json", log_of("Cy Crumb"))
    with zipfile.ZipFile(folder / "post.zip", "w") as archive:
        archive.writestr("Bo Batter/run (1).json", log_of("bo  BATTER"))
        archive.writestr("more.zip", inner.getvalue())
    (folder / "Ada").mkdir()
    (folder / "Ada" / "a.run.json").write_text(log_of("st00001"), encoding="utf-8")
    answers = answer_file(sheets[0].token, right_answers(sheets[0]))
    (folder / "Ada" / f"{sheets[0].token}.handin.json").write_bytes(answers)
    summary = taken(book, folder, workers=2)
    assert summary.states == {"received": 3, "marked": 1}
    assert summary.rehearsed == 3
    assert [one.student for one in book.rehearsals()] == ["st00001", "st00002", "st00003"]
    assert sum(bool(row.marks) for row in book.results("first")) == 1
    assert book.verify().faults == []


def test_a_token_in_the_name_of_the_file_says_whose_it_is(ours: Ours) -> None:
    book, sheets, folder = ours
    name = f"{sheets[3].token}.run.json"
    (folder / name).write_text(log_of(""), encoding="utf-8")
    taken(book, folder)
    assert book.rehearsals()[0].student == sheets[3].student


def test_a_token_of_an_observation_sheet_serves_as_well(ours: Ours) -> None:
    book, _, folder = ours
    (sheet,) = book.issue_observation_sheets(["st00005"], SET, "M. Oswin")
    (folder / "a.json").write_text(log_of(sheet.token), encoding="utf-8")
    taken(book, folder)
    assert book.rehearsals()[0].student == "st00005"


def test_a_second_log_is_kept_beside_the_first(ours: Ours) -> None:
    book, _, folder = ours
    for name, actions in (("a", []), ("b", None)):
        (folder / f"{name}.json").write_text(log_of("Di Dough", actions), encoding="utf-8")
    taken(book, folder)
    assert [len(one.log["actions"]) > 0 for one in book.rehearsals("st00004")] == [False, True]


# --- what can't be read -------------------------------------------------------------------


def changed(text: str, **values: Any) -> str:
    return json.dumps({**json.loads(text), **values})


def test_a_log_that_was_changed_is_refused(ours: Ours) -> None:
    text = log_of("Ada Ample").replace('"minutes": 12.0', '"minutes": 11.0')
    assert "does not end as it says" in reason(ours, text)


def test_an_end_that_was_made_up_is_refused(ours: Ours) -> None:
    assert "does not end" in reason(ours, changed(log_of("Ada Ample"), ends="0" * 16))


@pytest.mark.parametrize(
    ("other", "words"),
    [
        ({"surprises": ["thermometer"]}, "does not begin as the run"),
        ({"way": "free", "surprises": []}, "does not begin as the run"),
        ({"seed": "winter"}, "does not begin as the run"),
        ({"kitchen": {**MARBLED, "room": "18 °C"}}, "in another kitchen"),
        ({"name": "another"}, "“another” is no dry run that was set"),
        ({"name": ""}, "It is no dry run that was set"),
    ],
)
def test_a_log_of_another_run_or_kitchen_is_refused(
    ours: Ours, other: dict[str, Any], words: str
) -> None:
    assert words in reason(ours, log_of("Ada Ample", [], **other))


def test_a_kitchen_that_was_swapped_under_its_digest_is_refused(ours: Ours) -> None:
    other = {**MARBLED, "room": "18 °C"}
    text = changed(log_of("Ada Ample", [], kitchen=other), kitchen=MARBLED)
    assert "another kitchen than it says" in reason(ours, text)


@pytest.mark.parametrize(
    ("student", "words"),
    [("", "It says no name"), ("Zoe Zest", "nobody here is that"), ("Ada", "nobody here is that")],
)
def test_a_log_that_is_nobodys_asks_for_a_token(ours: Ours, student: str, words: str) -> None:
    told = reason(ours, log_of(student, []))
    assert words in told
    assert "into the name of the file" in told


def test_two_of_one_name_are_not_told_apart_by_it(ours: Ours) -> None:
    from exercises.book.records import Student

    ours[0].enrol([Student("st00099", "Ada Ample")])
    assert "more than one in the class" in reason(ours, log_of("ada ample", []))


def test_an_action_that_was_slipped_in_is_refused(ours: Ours) -> None:
    text = changed(log_of("Ada Ample", []), actions=[{"do": "pour", "vessel": "jug"}])
    assert "step 1: can't be done there" in reason(ours, text)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"actions": [{"do": "wipe"}] * (MOST_ACTIONS + 1)}, "too many actions"),
        ({"dry run": 1}, "another version"),
        ({"actions": 3}, "is not the log of a run"),
        ({"actions": [{"do": "wipe", "a": [[]]}]}, "can't be done there"),
        ({"kitchen": {"formula": 3}}, "is not the log of a run"),
        ({"surprises": [["frost"]]}, "surprise that is not known"),
    ],
)
def test_odd_logs_are_refused_in_words(ours: Ours, values: dict[str, Any], words: str) -> None:
    assert words in reason(ours, changed(log_of("Ada Ample", []), **values))


def test_a_broken_log_with_a_sheets_token_in_its_name_is_no_hand_in_of_that_sheet(
    ours: Ours,
) -> None:
    told = reason(ours, changed(log_of("", []), way="quick"), f"{ours[1][0].token}.run.json")
    assert "way that is not known" in told
    assert ours[0].came_in() == (1, set())


def test_a_file_that_breaks_off_is_told_like_any_other(ours: Ours) -> None:
    assert "breaks off" in reason(ours, log_of("Ada Ample")[:-200])


@pytest.mark.parametrize("name", ["a.run.json", "a.json"])
@pytest.mark.parametrize(
    "damage",
    [
        lambda text: text[: len(text) // 2].encode(),
        lambda text: b"\xef\xbb\xbf" + text.replace("\n", "\r\n")[:-90].encode(),
        lambda text: text.replace("spring", "spr\xefng").encode("latin-1"),
        lambda text: text.replace(":", ",", 9).encode(),
    ],
)
def test_a_damaged_log_is_no_hand_in_of_the_sheet_whose_token_it_holds(
    ours: Ours, damage: Callable[[str], bytes], name: str
) -> None:
    book, sheets, folder = ours
    (folder / name).write_bytes(damage(log_of(sheets[0].token)))
    taken(book, folder, received_at="2031-01-01")  # long after the sheet was due
    (one,) = book.handins()
    assert (one.state, one.token, one.form) == (UNREADABLE, None, "dry run")
    assert [matter.kind for matter in book.matters(waiting=True)] == ["unread file"]
    assert all(row.handin is None for row in book.results("first"))


def test_a_run_that_takes_too_long_is_given_up(ours: Ours, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(limits, "LONGEST_REPLAY", 0.3)
    slow = {"do": "cool", "vessel": "jug", "where": "bath", "bath": 33.0, "until": 99.0,
            "minutes": 1440.0}  # fmt: skip
    begin = [
        {"do": "weigh", "what": name, "into": "jug", "grams": 300.0}
        for name in ("sugar", "water", "glucose syrup")
    ]
    text = changed(log_of("Ada Ample", []), actions=[*begin, *[slow] * 390])
    began = time.monotonic()
    assert reason(ours, text) == worker.TOO_LONG_A_RUN
    assert time.monotonic() - began < 3


def test_an_honest_run_is_far_from_the_limit() -> None:
    data = log_of("Ada Ample").encode()

    def again() -> bool:
        log = read_bytes(data).log
        assert log is not None
        return log[0].digest == log[1]

    assert within(limits.LONGEST_REPLAY / 4, again)


# --- the book -----------------------------------------------------------------------------


def test_a_run_that_is_set_again_alike_is_not_set_twice(ours: Ours) -> None:
    book, _, folder = ours
    assert book.set_dry_runs([dict(SET)]) == []
    assert book.set_dry_runs([SET | {"seed": "winter"}]) == ["before-the-pour"]
    for name, seed in (("a", "spring"), ("b", "winter")):
        (folder / f"{name}.json").write_text(log_of("Ada Ample", [], seed=seed), encoding="utf-8")
    taken(book, folder)
    assert [one.dry_run for one in book.rehearsals()] == [1, 2]


def test_a_person_gets_their_logs_and_is_erased_from_them(ours: Ours, tmp_path: Path) -> None:
    book, _, folder = ours
    (folder / "Ada Ample.run.json").write_text(log_of("Ada Ample"), encoding="utf-8")
    (folder / "b.run.json").write_text(log_of("Bo Batter"), encoding="utf-8")
    taken(book, folder)
    path = export_person(book, "st00001", tmp_path / "me.json")
    held = json.loads(path.read_text(encoding="utf-8"))
    (mine,) = held["dry runs"]
    assert len(mine["log"]["actions"]) > 20
    assert mine["file"]["path"] == "Ada Ample.run.json"
    kept_as = erase_person(book, "st00001", "M. Oswin", "On their wish").kept_as
    first, other = book.rehearsals()
    assert (first.student, first.log, first.shown) == (kept_as, {}, {})
    assert other.log["actions"]
    everything = json.dumps([vars(one) for one in book.handins()], default=str)
    assert "Ada" not in everything
    assert book.verify().faults == []
    assert taken(book, folder).states.get("received", 0) == 0  # it does not come back
    assert len(book.rehearsals()) == 2


def test_the_chain_tells_a_log_that_was_changed_from_outside(ours: Ours) -> None:
    import sqlalchemy as sa

    from exercises.book.schema import rehearsal_table

    book, _, folder = ours
    (folder / "a.json").write_text(log_of("Ada Ample"), encoding="utf-8")
    taken(book, folder)
    with book._writing() as connection:
        connection.execute(sa.update(rehearsal_table).values(student="st00002"))
    assert book.verify().faults == ["rehearsal 1 was changed: student."]


def test_old_logs_are_told_as_old_data(ours: Ours) -> None:
    import datetime

    book, _, folder = ours
    (folder / "a.json").write_text(log_of("Ada Ample", []), encoding="utf-8")
    taken(book, folder)
    later = datetime.date.today() + datetime.timedelta(days=500)
    assert "st00001" in kept_too_long(book, "400 d", later)


def test_a_book_of_the_first_version_takes_logs_and_keeps_its_marks(tmp_path: Path) -> None:
    old = Path(__file__).parents[2] / "fixtures" / "old_book" / "class.db"
    shutil.copy(old, tmp_path / "class.db")
    with open_book(tmp_path / "class.db") as book:
        before = [row.awarded for row in book.results("syrups-and-gelatin")]
        who = next(one for one in book.students().values() if one.name)
        book.set_dry_runs([SET])
        (tmp_path / "pile").mkdir()
        (tmp_path / "pile" / "a.json").write_text(log_of(who.name), encoding="utf-8")
        taken(book, tmp_path / "pile")
        assert book.rehearsals()[0].student == who.id
        assert [row.awarded for row in book.results("syrups-and-gelatin")] == before
        assert book.verify().faults == []


def test_what_a_log_shows_is_a_comment_on_rows(ours: Ours) -> None:
    book, _, folder = ours
    run = json.loads(log_of("Ada Ample"))
    actions = [a for a in run["actions"] if a["do"] != "wipe"]
    (folder / "a.json").write_text(log_of("Ada Ample", actions), encoding="utf-8")
    taken(book, folder)
    rows = {one["row"]: one for one in book.rehearsals()[0].shown["rows"]}
    assert rows["wiped"]["state"] == NOT_DONE
