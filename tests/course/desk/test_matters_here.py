"""A damaged pile settled at the desk: what lies beside a decision, and many at once."""

from __future__ import annotations

import io
import re
import zipfile
from typing import Any

import pytest

from exercises.book.book import open_book
from exercises.book.records import AGAIN, LATE, UNREAD_FILE, UNREAD_PART, WORKING
from tests.course.desk.conftest import HOST, Visitor, text_of
from tests.course.desk.damaged_pile import PICTURE, damaged_pile
from tests.exercises.pile_of_ours import answer_file

PAPER = "syrups-and-gelatin"


def place(visitor: Visitor) -> Any:
    return visitor.app.extensions["desk"].place


@pytest.fixture
def pile(bramblemoor: Visitor) -> Visitor:
    """The demo's class has handed in, damaged."""
    assert bramblemoor.issue(PAPER).state == "done"
    with open_book(place(bramblemoor).book) as book:
        files = damaged_pile(book.sheets(PAPER))
    bramblemoor.client.post(
        "/pile",
        data={"word": bramblemoor.word(), "files": [(io.BytesIO(d), n) for n, d in files]},
        headers={"Host": HOST},
        content_type="multipart/form-data",
    )
    assert bramblemoor.worked().state == "done"
    return bramblemoor


def waiting(visitor: Visitor, kind: str) -> list[Any]:
    with open_book(place(visitor).book) as book:
        return list(book.matters(waiting=True, kind=kind))


def test_the_part_in_question_stands_before_the_decision_with_its_mark_scheme(
    pile: Visitor,
) -> None:
    matter = waiting(pile, UNREAD_PART)[0]
    page = pile.get(f"/matters/{matter.id}").get_data(as_text=True)
    before = page.partition('class="decide"')[0]
    assert "somewhere between 12 and 15 g" in before
    assert "Mark scheme" in before


def test_a_second_hand_in_stands_beside_the_first_with_what_differs(pile: Visitor) -> None:
    told = {
        matter.id: text_of(pile.get(f"/matters/{matter.id}")) for matter in waiting(pile, AGAIN)
    }
    other = [text for text in told.values() if "with other answers" in text]
    same = [text for text in told.values() if "with the same answers" in text]
    assert other
    assert same
    for text in other:
        assert "of the same sheet" in text
        assert "counts, as it stands." in text
        assert re.search(r"Part This one Hand-in \d+ \d", text)
    assert all("All answers are the same." in text for text in same)


def test_a_file_that_nobody_can_read_is_listed_by_its_name(pile: Visitor) -> None:
    with open_book(place(pile).book) as book:
        names = [
            book.handin(one.handin).path.rpartition("/")[2]
            for one in book.matters(waiting=True, kind=UNREAD_FILE)
        ]
    listed = text_of(pile.get("/matters?kind=unread+file"))
    assert len(set(names)) > 2
    assert all(f", {name} " in listed for name in names)


def test_a_file_that_nobody_can_read_is_saved_to_be_looked_at_and_never_shown(
    pile: Visitor,
) -> None:
    with open_book(place(pile).book) as book:
        by_name = {
            book.handin(matter.handin).path.rpartition("/")[2]: matter.id
            for matter in book.matters(waiting=True, kind=UNREAD_FILE)
        }
    photo = next(number for name, number in by_name.items() if name.startswith("photo"))
    packed = next(number for name, number in by_name.items() if "!" in name)
    answer = pile.get(f"/matters/{photo}/file")
    assert answer.data == PICTURE
    assert "attachment" in answer.headers["Content-Disposition"]
    assert "sandbox" in answer.headers["Content-Security-Policy"]
    assert pile.get(f"/matters/{packed}/file").data[:2] == b"PK"
    assert f"/matters/{photo}/file" in pile.get(f"/matters/{photo}").text
    page = pile.get(f"/matters/{photo}").text
    assert "An appeal by the student" not in page  # of nobody's sheet


def test_a_file_is_given_as_it_came_and_not_another_of_the_same_name(pile: Visitor) -> None:
    matter = next(
        one for one in waiting(pile, UNREAD_FILE) if "photo" in pile.get(f"/matters/{one.id}").text
    )
    with open_book(place(pile).book) as book:
        name = book.handin(matter.handin).path.rpartition("/")[2]
    later = place(pile).hand_ins / "9999-12-31 23-59-59"
    later.mkdir()
    (later / name).write_bytes(b"another")
    assert pile.get(f"/matters/{matter.id}/file").data == PICTURE


def test_all_that_are_shown_are_decided_at_once(pile: Visitor) -> None:
    page = pile.get(f"/matters?kind={UNREAD_FILE}").text
    shown = re.findall(r'name="shown" value="(\d+)"', page)
    assert len(shown) == len(waiting(pile, UNREAD_FILE)) > 3
    asked = {"every": "yes", "shown": shown, "decision": "accept", "kind": UNREAD_FILE}
    pile.decide(asked, by="Ilse Varga", reason="Asked for again")
    assert not waiting(pile, UNREAD_FILE)
    with open_book(place(pile).book) as book:
        assert len([d for d in book.decisions() if d.matter]) == len(shown)


def test_working_of_many_gets_the_suggested_marks_at_once(pile: Visitor) -> None:
    assert "suggested" in pile.get(f"/matters?kind={WORKING}").text
    numbers = [str(one.id) for one in waiting(pile, WORKING)]
    asked = {"matter": numbers, "decision": "suggested", "kind": WORKING}
    pile.decide(asked, by="Ilse Varga", reason="Read")
    assert not waiting(pile, WORKING)


def test_one_goes_on_within_the_kind_that_one_looks_at(pile: Visitor) -> None:
    first, *others = waiting(pile, AGAIN)
    page = pile.get(f"/matters/{first.id}?kind={AGAIN}").text
    assert f'name="kind" value="{AGAIN}"' in page
    assert f"/matters/{others[0].id}?kind=second+hand-in" in page
    shown = pile.post("/matters/decide", {"matter": str(first.id), "kind": AGAIN})
    seen = re.search(r'name="seen" value="(\w+)"', shown.text)
    assert seen
    sure = {"matter": str(first.id), "kind": AGAIN, "sure": "yes", "seen": seen[1]}
    gone = pile.post("/matters/decide", {**sure, "by": "I V", "reason": "A"}, follow=False)
    assert gone.headers["Location"] == f"/matters/{others[0].id}?kind=second+hand-in"


def test_what_is_refused_at_the_desk_names_no_option_of_a_command(pile: Visitor) -> None:
    matter = waiting(pile, UNREAD_PART)[0]
    refused = pile.post("/matters/decide", {"matter": str(matter.id), "decision": "accept"})
    assert refused.status_code == 400
    said = text_of(refused)
    assert "Give its marks, or say how it reads." in said
    assert "--" not in said
    pile.post("/results/make", {"signed": "Marit Oswin"})
    assert all("glossbook" not in line for line in pile.worked().said), pile.worked().said


# --- what comes of it ------------------------------------------------------------------------


def test_letters_are_listed_by_name_and_taken_as_one_file(pile: Visitor) -> None:
    pile.post("/results/make", {"signed": "Ilse Varga"})
    assert pile.worked().state == "done"
    said = text_of(pile.get("/results"))
    with open_book(place(pile).book) as book:
        people = book.students()
        handed = {one.token for one in book.handins() if one.token}
        names = [people[one.student].name for one in book.sheets(PAPER) if one.token in handed]
    assert f"Letters: {len(names)}" in said
    assert all(f"{name} , {PAPER}" in said for name in names)
    assert "who has not passed yet: a class list for another sitting" in said
    letters = zipfile.ZipFile(io.BytesIO(pile.get("/results/take/letters").data)).namelist()
    assert len(letters) == len(names)
    assert all(name.startswith("letters/") for name in letters)
    tables = zipfile.ZipFile(io.BytesIO(pile.get("/results/take/tables").data)).namelist()
    assert "results.csv" in tables
    assert not set(tables) & set(letters)
    assert pile.get("/results/take/everything").status_code == 404


def test_letters_that_are_older_than_the_mark_book_say_so(pile: Visitor) -> None:
    older = "The mark book has more in it than these were written from."
    pile.post("/results/make", {"signed": "Ilse Varga"})
    assert pile.worked().state == "done"
    assert older not in text_of(pile.get("/results"))
    matter = waiting(pile, UNREAD_FILE)[0]
    pile.decide({"matter": str(matter.id), "decision": "accept"}, by="Ilse Varga", reason="A")
    assert older in text_of(pile.get("/results"))
    pile.post("/results/make", {"signed": "Ilse Varga"})
    assert pile.worked().state == "done"
    assert older not in text_of(pile.get("/results"))


def test_of_a_pile_that_may_be_late_one_hand_in_is_set_aside_and_no_other(
    bramblemoor: Visitor,
) -> None:
    assert bramblemoor.issue(PAPER, hand_in_by="2020-03-01", opens_on="2020-02-01").state == "done"
    with open_book(place(bramblemoor).book) as book:
        sheets = book.sheets(PAPER)[:3]
    files = [
        (io.BytesIO(answer_file(one.token, {"1a": "a"})), f"{one.student}.json") for one in sheets
    ]
    bramblemoor.client.post(
        "/pile",
        data={"word": bramblemoor.word(), "files": files},
        headers={"Host": HOST},
        content_type="multipart/form-data",
    )
    assert bramblemoor.worked().state == "done"
    (late,) = waiting(bramblemoor, LATE)
    page = bramblemoor.get(f"/matters/{late.id}").get_data(as_text=True)
    assert "set this hand-in aside" not in page
    with open_book(place(bramblemoor).book) as book:
        (other,) = [one.id for one in book.handins() if one.token == sheets[2].token]
    assert f'<option value="{other}">' in page
    refused = bramblemoor.post("/matters/decide", {"matter": str(late.id), "decision": "set aside"})
    assert "about a whole pile" in text_of(refused)
    assert "below this matter" in text_of(refused)
    asked = {"handin": str(other), "decision": "set aside", "by": "Ada", "reason": "Seen at noon"}
    said = bramblemoor.post(f"/matters/{late.id}/pile", asked | {"tell": "It came too late."})
    assert "no hand-in counts" in text_of(said)
    with open_book(place(bramblemoor).book) as book:
        assert [one.handin is None for one in book.results(PAPER)[:3]] == [False, False, True]
        assert [one.told for one in book.decisions(other)] == ["It came too late."]
    bramblemoor.post(f"/matters/{late.id}/pile", asked | {"decision": "counts"})
    with open_book(place(bramblemoor).book) as book:
        assert book.results(PAPER)[2].handin is not None
    unknown = bramblemoor.post(f"/matters/{late.id}/pile", asked | {"decision": "accept"})
    assert "The decision: is not known" in text_of(unknown)
    with open_book(place(bramblemoor).book) as book:
        assert book.results(PAPER)[2].handin is not None
    stranger = bramblemoor.post(f"/matters/{late.id}/pile", asked | {"handin": "999"})
    assert "is none of this pile" in text_of(stranger)
