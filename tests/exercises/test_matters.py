"""Matters and their decisions: one closes one, and no mark moves that none names."""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.faults import FaultsError
from exercises.book.decisions import Closing
from exercises.book.records import (
    AGAIN,
    ALIKE,
    IDENTITY,
    LATE,
    UNREAD_FILE,
    UNREAD_PART,
    WORKING,
)
from exercises.marking.matters import (
    Proposal,
    confirm,
    in_words,
    preview,
    raise_appeal,
    working_to_read,
)
from exercises.marking.run import mark_folder
from tests.exercises.pile_of_ours import CARDS, NAMES, answer_file, issue, right_answers

NOW = {"by": "A. Sessor", "reason": "Seen"}


def _bank():
    return {card.id: card for card in CARDS}


@pytest.fixture
def ours(tmp_path):
    book, sheets = issue(tmp_path / "class.db")
    folder = tmp_path / "pile"
    folder.mkdir()
    with book:
        yield book, sheets, folder


def _came(ours, name, n, answers, working=None, when="2030-02-20 12:00"):
    """Take in one file, and return its hand-in."""
    book, sheets, folder = ours
    data = answers if isinstance(answers, bytes) else None
    if data is None:
        data = answer_file(sheets[n].token, right_answers(sheets[n]) | answers, working)
    (folder / name).write_bytes(data)
    mark_folder(folder, book, received_at=when, workers=1)
    return book.handins()[-1]


def _awarded(book, n=0):
    return book.results("first")[n].awarded


def _only(book, kind):
    (one,) = book.matters(kind=kind)
    return one


def _decide(book, matter, *, by="A. Sessor", told="", **proposal):
    seen = preview(book, matter.id, Proposal(**proposal), questions=_bank)
    return confirm(book, [seen], by=by, reason="Seen", told=told)[0], seen


# --- what can't be read never counts -----------------------------------------------------


def test_settling_a_broken_file_leaves_the_good_one_its_marks(ours):
    book, sheets, _ = ours
    whole = answer_file(sheets[0].token, right_answers(sheets[0]))
    _came(ours, "a cut.json", 0, whole[: len(whole) // 2])
    _came(ours, "b whole.json", 0, {})
    row = book.results("first")[0]
    assert (row.awarded, row.handin.path, row.needs_a_look) == (row.total, "b whole.json", True)
    for what in ("accepted", "set aside"):
        done, _ = _decide(book, _only(book, UNREAD_FILE), what=what)
        row = book.results("first")[0]
        assert (row.awarded, row.needs_a_look) == (row.total, False)
        book.undo(done.id, **NOW)
    with pytest.raises(FaultsError, match="no marks that could count"):
        book.close_matters([Closing(_only(book, UNREAD_FILE).id, "counts")], **NOW)
    with pytest.raises(FaultsError, match="no marks that could count"):
        book.decide("counts", handin=1, **NOW)


def test_a_backdated_forgery_never_displaces_what_was_there(ours):
    book, _, _ = ours
    _came(ours, "genuine.json", 0, {})
    _came(ours, "forged.json", 0, {"1a": "1 g", "2a": "1 °C"}, when="2030-02-01")
    row = book.results("first")[0]
    assert (row.awarded, row.handin.path) == (row.total, "genuine.json")
    assert _only(book, AGAIN).handin == 2


# --- one decision, one matter ---------------------------------------------------------------


def test_excusing_lateness_leaves_an_unread_answer_open(ours):
    book, _, _ = ours
    _came(ours, "a.json", 0, {"2a": "warmish"}, when="2030-03-04")
    assert {one.kind for one in book.matters(waiting=True)} == {LATE, UNREAD_PART}
    _decide(book, _only(book, LATE))
    (left,) = book.matters(waiting=True)
    assert (left.kind, left.part) == (UNREAD_PART, "2a")
    assert book.results("first")[0].needs_a_look
    assert book.handins()[0].state == "marked"


def test_an_unread_part_cant_be_closed_without_a_mark(ours):
    book, _, _ = ours
    _came(ours, "a.json", 0, {"2a": "warmish"})
    matter = _only(book, UNREAD_PART)
    with pytest.raises(FaultsError, match="has no mark yet"):
        preview(book, matter.id, Proposal())
    with pytest.raises(FaultsError, match="has no mark yet"):
        book.close_matters([Closing(matter.id)], **NOW)
    assert book.decisions() == []
    _decide(book, matter, marks={"2a": 0})
    assert book.matters(waiting=True) == []
    assert book.handins()[0].state == "settled"


@pytest.mark.parametrize("marks", [-1, 99, 1e-9, 0.75])
def test_marks_out_of_range_or_finer_than_a_half_are_refused(ours, marks):
    book, _, _ = ours
    _came(ours, "a.json", 0, {"2a": "warmish"})
    with pytest.raises(FaultsError, match="out of range"):
        preview(book, _only(book, UNREAD_PART).id, Proposal(marks={"2a": marks}))


def test_what_follows_from_an_unread_answer_waits_and_is_worked_out_once_it_is_read(ours):
    book, sheets, _ = ours
    once = sheets[0].questions[0]["parts"][0]["roads"][1]["value"]
    mine = {"1a": f"well, {once:g} g perhaps", "1b": f"{once / 10:g} g"}
    _came(ours, "a.json", 0, mine)
    before = {mark.part: mark.awarded for mark in book.marks(1)}
    assert (before["1a"], before["1b"]) == (0, 0)  # a right unit alone earns nothing
    assert {one.part for one in book.matters(kind=UNREAD_PART)} == {"1a", "1b"}
    first = next(one for one in book.matters() if one.part == "1a")
    seen = preview(book, first.id, Proposal(reads={"1a": f"{once:g} g"}), questions=_bank)
    moved = {one.part: (one.before, one.after) for one in seen.changes}
    assert moved == {"1a": (0, 0), "1b": (0, 3)}
    assert "1b: 0 → 3 of 3 marks (follows from 1a)." in seen.sentences
    assert {mark.part: mark.awarded for mark in book.marks(1)} == before  # nothing done yet
    (done,) = confirm(book, [seen], **NOW)
    after = {mark.part: mark.awarded for mark in book.marks(1)}
    assert after == before | {"1a": 0, "1b": 3}
    assert [one.part for one in book.matters(waiting=True)] == ["1b"]  # one closes one
    book.undo(done.id, **NOW)
    assert {mark.part: mark.awarded for mark in book.marks(1)} == before


def test_marks_without_a_reading_leave_what_follows_and_say_so(ours):
    book, _, _ = ours
    _came(ours, "a.json", 0, {"1a": "some", "1b": "7 g"})
    first = next(one for one in book.matters() if one.part == "1a")
    seen = preview(book, first.id, Proposal(marks={"1a": 1}), questions=_bank)
    assert [one.part for one in seen.changes] == ["1a"]
    assert "1b follows from it and keeps its mark" in seen.sentences[-1]


def test_wrong_with_working_is_a_matter_and_a_method_mark_can_be_given(ours):
    book, _, _ = ours
    _came(ours, "a.json", 0, {"1a": "7 g", "2a": "9 °C"}, {"1a": "m times n"})
    matter = _only(book, WORKING)
    assert matter.part == "1a"
    assert "working was written" in in_words(matter, book.handins()[0], book.students())
    found = working_to_read(book, matter)
    assert (found.working, found.worked) == ("m times n", "Multiply them.")
    assert found.steps == []  # the question names no step
    total = _awarded(book)
    _decide(book, matter, marks={"1a": 2}, told="Your method holds.")
    assert _awarded(book) == total + 2
    assert next(m for m in book.marks(1) if m.part == "1a").reason == "Your method holds."


def test_the_note_of_an_assessor_is_not_what_the_student_reads(ours):
    book, _, _ = ours
    _came(ours, "a.json", 0, {"2a": "warmish"})
    seen = preview(book, _only(book, UNREAD_PART).id, Proposal(marks={"2a": 1}))
    confirm(book, [seen], by="A. Sessor", reason="Lazy as ever")
    mark = next(one for one in book.marks(1) if one.part == "2a")
    assert (mark.reason, mark.by) == ("", "A. Sessor")
    assert book.decisions()[0].reason == "Lazy as ever"


def test_many_like_matters_are_decided_at_once_each_with_its_own_decision(ours):
    book, _, _ = ours
    for n in range(3):
        _came(ours, f"{n}.json", n, {}, when="2030-03-04")
    seen = [preview(book, one.id, Proposal()) for one in book.matters(kind=LATE)]
    assert len({one.matter for one in confirm(book, seen, **NOW)}) == 3
    assert book.matters(waiting=True) == []


def test_a_decision_that_cant_stand_closes_none_of_many(ours):
    book, _, _ = ours
    _came(ours, "a.json", 0, {"2a": "warmish"}, when="2030-03-04")
    late, part = _only(book, LATE), _only(book, UNREAD_PART)
    with pytest.raises(FaultsError, match="has no mark yet"):
        book.close_matters([Closing(late.id), Closing(part.id)], **NOW)
    assert len(book.matters(waiting=True)) == 2


def test_marks_and_another_decision_are_not_given_at_once(ours):
    book, _, _ = ours
    _came(ours, "a.json", 0, {"2a": "warmish"})
    with pytest.raises(FaultsError, match="one thing at a time"):
        preview(book, _only(book, UNREAD_PART).id, Proposal("set aside", marks={"2a": 1}))


def test_a_closed_matter_is_reopened_and_nothing_is_erased(ours):
    book, _, _ = ours
    _came(ours, "a.json", 0, {"2a": "warmish"})
    matter = _only(book, UNREAD_PART)
    _decide(book, matter, marks={"2a": 2})
    with pytest.raises(FaultsError, match="is closed"):
        preview(book, matter.id, Proposal(marks={"2a": 1}))
    book.reopen(matter.id, **NOW)
    assert book.matter(matter.id).open
    assert [d.what for d in book.decisions()] == ["marks", "reopened"]
    assert [m.awarded for m in book.marks(1, history=True) if m.part == "2a"] == [0, 2, 0]
    with pytest.raises(FaultsError, match="is open"):
        book.reopen(matter.id, **NOW)


def test_an_appeal_has_its_date_and_a_second_reader(ours):
    book, _, _ = ours
    _came(ours, "a.json", 0, {"2a": "warmish"})
    _decide(book, _only(book, UNREAD_PART), marks={"2a": 1}, by="A. Sessor")
    appeal = raise_appeal(book, 1, "I wrote 33 °C", by="O. Ffice", date="2030-03-20", part="2a")
    assert appeal.detail["date"] == "2030-03-20"
    assert book.results("first")[0].needs_a_look
    seen = preview(book, appeal.id, Proposal(marks={"2a": 3}))
    with pytest.raises(FaultsError, match="second reader"):
        confirm(book, [seen], by=" a. sessor", reason="r")
    with pytest.raises(FaultsError, match="second reader"):
        confirm(book, [seen], by="A.  Sessor", reason="r")
    confirm(book, [seen], by="S. Econd", reason="r")
    assert book.results("first")[0].awarded == book.results("first")[0].total
    with pytest.raises(FaultsError, match="has no such part"):
        raise_appeal(book, 1, "x", by="O. Ffice", date="2030-03-20", part="9z")


def test_which_hand_in_counts_is_previewed_with_its_marks(ours):
    book, _, _ = ours
    _came(ours, "a.json", 0, {"2a": "9 °C"})
    _came(ours, "b.json", 0, {})
    total = book.results("first")[0].total
    seen = preview(book, _only(book, AGAIN).id, Proposal("counts"))
    assert seen.sentences == [
        f"The sheet's marks: {_awarded(book):g} (hand-in 1) → {total} (hand-in 2 counts)."
    ]
    confirm(book, [seen], **NOW)
    assert _awarded(book) == total
    book.decide("counts", handin=1, by="A. Sessor", reason="The first after all")
    assert _awarded(book) < total


# --- over random sequences --------------------------------------------------------------------


def _state(book):
    """Return all marks that stand, and which hand-in of each sheet counts."""
    marks = {
        (one.id, m.part): (m.value, m.unit, m.awarded, m.verdict, m.reason, m.road, m.by)
        for one in book.handins()
        for m in book.marks(one.id)
    }
    counts = {
        row.sheet.token: row.handin.id if row.handin and row.marks else None
        for row in book.results("first")
    }
    return marks, counts


def _a_hand_in(ours, pick, number):
    """Take in a file of any kind, whole or broken, late or not."""
    _, sheets, folder = ours
    n = pick.randrange(3)
    answers = right_answers(sheets[n])
    for key in pick.sample(list(answers), pick.randrange(4)):
        answers[key] = pick.choice(["", "7 g", "about 7 g", "c", "warmish", "4 3 2 1", "31"])
    working = {"1a": "m times n"} if pick.random() < 0.3 else None
    data = answer_file(sheets[n].token, answers, working)
    if pick.random() < 0.2:
        data = data[: pick.randrange(10, len(data))]
    names = [f"{number}.json", f"{NAMES[pick.randrange(3)]} {number}.json"]
    (folder / pick.choice(names)).write_bytes(data)
    when = pick.choice(["2030-02-20", "2030-03-04", "2030-02-01"])
    mark_folder(folder, ours[0], received_at=when, workers=1)


def _a_proposal(book, matter, pick):
    parts = [mark.part for mark in book.marks(matter.handin)]
    if not parts or (matter.kind in (LATE, IDENTITY, ALIKE) and pick.random() < 0.5):
        return Proposal(pick.choice(["accepted", "set aside"]))
    if matter.kind == AGAIN:
        return Proposal(pick.choice(["accepted", "counts", "set aside"]))
    part = matter.part or pick.choice(parts)
    if pick.random() < 0.4:
        return Proposal(reads={part: pick.choice(["70 g", "700 g", "33 °C", "a", "1 2 3 4"])})
    return Proposal(marks={part: pick.choice([0, 0.5, 1, 2, 3])})


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 2**32))
def test_no_mark_moves_that_no_decision_names_and_undoing_restores_every_mark(
    tmp_path_factory, seed
):
    pick = random.Random(seed)
    root = tmp_path_factory.mktemp("random")
    book, sheets = issue(root / "class.db", NAMES[:3])
    (root / "pile").mkdir()
    ours = book, sheets, root / "pile"
    with book:
        undo = []
        for step in range(pick.randrange(4, 12)):
            before = _state(book)
            waiting = book.matters(waiting=True)
            if step < 2 or not waiting or pick.random() < 0.3:
                _a_hand_in(ours, pick, step)
                marks, counts = _state(book)
                assert {key: marks[key] for key in before[0]} == before[0]
                for token, number in before[1].items():
                    assert number in (None, counts[token])
                undo.clear()  # what came in since can't be undone
                continue
            matter = pick.choice(waiting)
            try:
                seen = preview(book, matter.id, _a_proposal(book, matter, pick), questions=_bank)
                (done,) = confirm(book, [seen], by=f"Person {step}", reason="r")
            except FaultsError:
                assert _state(book) == before
                continue
            undo.append((done.id, before, waiting))
            marks, counts = _state(book)
            named = {(matter.handin, one.part): one for one in seen.changes}
            for key, mark in marks.items():
                if key in named:
                    assert mark[2] == named[key].after
                else:
                    assert mark == before[0][key]
            if seen.closing.what not in ("counts", "set aside"):
                assert counts == before[1]
            left = {one.id for one in book.matters(waiting=True)}
            if seen.closing.what != "set aside":
                assert left == {one.id for one in waiting} - {matter.id}
        for number, before, waiting in reversed(undo):
            book.undo(number, by="P. Erson", reason="r")
            assert _state(book) == before
            assert book.matters(waiting=True) == waiting
        assert book.verify().faults == []
