"""Papers at the desk: questions looked at and named, sittings, latecomers, the print run."""

from __future__ import annotations

import io
import re
import threading
import tomllib
import zipfile
from typing import Any

import pytest

from exercises.book.book import open_book
from exercises.questions.registry import bank
from tests.course.desk.conftest import Visitor, text_of

PAPER = "syrups-and-gelatin"
QUESTIONS = f"/papers/{PAPER}/questions"


def place(visitor: Visitor) -> Any:
    return visitor.app.extensions["desk"].place


def scheme_paper(visitor: Visitor) -> dict[str, Any]:
    held = tomllib.loads(place(visitor).scheme.read_text(encoding="utf-8"))
    return dict(held["papers"][PAPER])


def press(visitor: Visitor, way: str, question: str, **more: str) -> Any:
    return visitor.post(QUESTIONS, {"press": f"{way}:{question}", **more})


# --- questions -------------------------------------------------------------------------------


def test_every_question_of_the_papers_outcomes_is_listed_with_what_one_chooses_by(
    bramblemoor: Visitor,
) -> None:
    from course.office.papers import questions_for
    from course.scheme.reading import read_scheme

    scheme = read_scheme(place(bramblemoor).scheme)
    said = text_of(bramblemoor.get(QUESTIONS))
    for one in questions_for(scheme).values():
        if one.outcome in scheme.papers[PAPER].outcomes and one.use != "practice":
            assert f"{one.id} {one.level}, " in said
            assert f"{one.minutes:g} min" in said
    assert "judged by 3 questions" in said  # the blueprint stands beside them


@pytest.mark.parametrize("asked", ["", "0", "two", "1001"])
def test_an_example_that_nobody_can_draw_is_the_first(bramblemoor: Visitor, asked: str) -> None:
    sent = {"press": "ask:syrup-blend", "back": "one", "example": asked}
    answer = bramblemoor.post(QUESTIONS, sent)
    assert answer.status_code == 200
    assert "Example 1 " in text_of(answer)


def test_an_example_comes_with_its_mark_scheme_and_the_next_has_other_numbers(
    bramblemoor: Visitor,
) -> None:
    first = text_of(bramblemoor.get(f"{QUESTIONS}/syrup-blend"))
    second = text_of(bramblemoor.get(f"{QUESTIONS}/syrup-blend?example=2"))
    for page in (first, second):
        assert "Mark scheme" in page
        assert "accepted from" in page
        assert "Tolerance:" in page
    assert first.partition("Example 1")[2] != second.partition("Example 2")[2]
    assert "example=3" in bramblemoor.get(f"{QUESTIONS}/syrup-blend?example=2").text
    assert bramblemoor.get(f"{QUESTIONS}/no-such-question").status_code == 400


def test_one_press_names_a_question_and_the_paper_asks_it(bramblemoor: Visitor) -> None:
    before = place(bramblemoor).scheme.read_text(encoding="utf-8")
    said = text_of(press(bramblemoor, "ask", "kitchen-before-start"))
    assert "kitchen-before-start: decide, 3 marks" in said  # a line of the blueprint
    assert scheme_paper(bramblemoor)["include"] == ["kitchen-before-start"]
    said = text_of(press(bramblemoor, "never", "kitchen-before-start"))
    assert "kitchen-before-start: decide" not in said
    assert scheme_paper(bramblemoor)["exclude"] == ["kitchen-before-start"]
    press(bramblemoor, "leave", "kitchen-before-start")
    assert place(bramblemoor).scheme.read_text(encoding="utf-8") == before


def test_a_press_after_which_what_must_be_met_cannot_be_judged_says_so_at_once(
    bramblemoor: Visitor,
) -> None:
    said = ""
    for one in bank().values():
        if one.outcome == "gelatin-rule" and one.use != "practice" and one.level == "decide":
            said = text_of(press(bramblemoor, "never", one.id))
    assert "It can't be drafted as it stands." in said
    assert "gelatin-rule" in said


def test_questions_of_another_outcome_can_be_looked_at_and_asked(bramblemoor: Visitor) -> None:
    said = text_of(bramblemoor.get(f"{QUESTIONS}?outcome=kitchen-law"))
    assert "kitchen-guest-asks" in said
    press(bramblemoor, "ask", "kitchen-guest-asks", outcome="kitchen-law")
    said = text_of(bramblemoor.get(QUESTIONS))
    assert "kitchen-guest-asks: decide" in said  # in the blueprint, which counts it
    assert "decide = 7" in said  # for six can't judge the rest as well
    assert bramblemoor.get(f"{QUESTIONS}?outcome=nothing").status_code == 400


def test_the_mark_book_says_which_questions_are_asked_once_there_is_one(
    bramblemoor: Visitor,
) -> None:
    bramblemoor.post(f"/papers/{PAPER}/draft")
    with open_book(place(bramblemoor).book) as book:
        drafted = book.paper(PAPER).plan["questions"]
    page = bramblemoor.get(QUESTIONS).text
    asked = {part.split('"')[0] for part in page.split('class="part asked" id="')[1:]}
    assert asked == set(drafted)


def test_two_windows_name_two_questions_and_both_stay(bramblemoor: Visitor) -> None:
    for window, question in (("one", "syrup-blend"), ("two", "kitchen-near-miss")):
        assert bramblemoor.get(QUESTIONS).status_code == 200, window
        press(bramblemoor, "ask", question)
    assert scheme_paper(bramblemoor)["include"] == ["syrup-blend", "kitchen-near-miss"]


def test_presses_at_the_same_moment_lose_none(bramblemoor: Visitor) -> None:
    names = ["syrup-blend", "kitchen-near-miss", "boil-to-strength", "gelatin-three-cooks"]
    windows = []
    for name in names:
        window = Visitor(bramblemoor.app)
        window.opened()
        windows.append(threading.Thread(target=press, args=(window, "ask", name)))
    for one in windows:
        one.start()
    for one in windows:
        one.join(60)
    assert sorted(scheme_paper(bramblemoor)["include"]) == sorted(names)


@pytest.mark.parametrize("what", ["ask:no-such", "burn:syrup-blend", "", "ask:"])
def test_a_press_that_names_nothing_changes_nothing(bramblemoor: Visitor, what: str) -> None:
    before = place(bramblemoor).scheme.read_bytes()
    assert bramblemoor.post(QUESTIONS, {"press": what}).status_code == 400
    assert place(bramblemoor).scheme.read_bytes() == before


# --- sittings, latecomers, the print run ------------------------------------------------------


@pytest.fixture
def issued(bramblemoor: Visitor) -> Visitor:
    assert bramblemoor.issue(PAPER).state == "done"
    return bramblemoor


def sheets(visitor: Visitor, sitting: int = 1) -> dict[str, str]:
    """Return the token of everybody's sheet of a sitting."""
    with open_book(place(visitor).book) as book:
        return {one.student: one.token for one in book.sheets(PAPER) if one.sitting == sitting}


def test_nothing_is_issued_that_nobody_could_have_looked_through(bramblemoor: Visitor) -> None:
    bramblemoor.post(f"/papers/{PAPER}/draft")
    press(bramblemoor, "ask", "kitchen-before-start")
    page = text_of(bramblemoor.get(f"/papers/{PAPER}"))
    assert "Draft it again" in page
    assert "The scheme is not as it was when this was drafted:" in page
    refused = bramblemoor.post(f"/papers/{PAPER}/issue", {"by": "Marit Oswin"})
    assert refused.status_code == 400
    assert "question in: kitchen-before-start" in text_of(refused)
    assert not sheets(bramblemoor)


def test_who_joined_late_is_named_and_gets_a_sheet_and_nobody_else_does(issued: Visitor) -> None:
    before = sheets(issued)
    assert "Issue theirs" not in issued.get(f"/papers/{PAPER}").text
    path = place(issued).class_list
    path.write_text(path.read_text(encoding="utf-8") + "BP-13,Late Comer,,,\n", encoding="utf-8")
    page = text_of(issued.get(f"/papers/{PAPER}"))
    assert "On the class list, and without a sheet: Late Comer" in page
    assert "Issue theirs" in page
    issued.post(f"/papers/{PAPER}/issue", {"by": "Marit Oswin"})
    assert issued.worked().state == "done", issued.worked().said
    after = sheets(issued)
    assert after == before | {"BP-13": after["BP-13"]}


def test_what_is_not_as_it_was_signed_is_told_and_waits_for_a_new_draft(issued: Visitor) -> None:
    press(issued, "ask", "kitchen-before-start")
    page = text_of(issued.get(f"/papers/{PAPER}"))
    assert "It is not as Marit Oswin signed it:" in page
    assert "question in: kitchen-before-start" in page
    refused = issued.post(f"/papers/{PAPER}/issue", {"by": "Marit Oswin"})
    assert refused.status_code == 400
    assert "Draft it, look through the draft, then sign" in text_of(refused)


def test_another_sitting_has_a_draft_a_day_and_sheets_of_its_own(issued: Visitor) -> None:
    assert "Draft sitting 2" in issued.get(f"/papers/{PAPER}").text
    issued.post(f"/papers/{PAPER}/draft", {"sitting": "2"})
    assert issued.get(f"/papers/{PAPER}/to-check?sitting=2").status_code == 200
    asked = {"by": "Marit Oswin", "sitting": "2"}
    refused = issued.post(f"/papers/{PAPER}/issue", asked)
    assert refused.status_code == 400
    assert "The last day: is missing" in text_of(refused)
    issued.post(f"/papers/{PAPER}/issue", {**asked, "hand_in_by": "2027-06-01"})
    assert issued.worked().state == "done", issued.worked().said
    first, second = sheets(issued), sheets(issued, 2)
    assert first.keys() == second.keys()
    assert not set(first.values()) & set(second.values())
    page = issued.get(f"/papers/{PAPER}").text
    assert all(token in page for token in (*first.values(), *second.values()))
    assert "Draft sitting 3" in page
    assert "mark-scheme-sitting-2.html" in page


def test_a_resit_can_go_to_those_alone_who_have_not_passed(issued: Visitor) -> None:
    place(issued).reports.mkdir()
    (place(issued).reports / f"{PAPER}-resit.csv").write_text(
        "id,name\nBP-02,Tomas Velkov\nBP-04,Jonah Ashgrove\n", encoding="utf-8"
    )
    piece = issued.issue(PAPER, sitting="2", hand_in_by="2027-06-01", whom="resit")
    assert piece.state == "done", piece.said
    assert sorted(sheets(issued, 2)) == ["BP-02", "BP-04"]


def test_the_papers_of_a_sitting_are_one_page_to_print_and_each_look_is_apart(
    issued: Visitor,
) -> None:
    tokens = sheets(issued)
    listed = text_of(issued.get(f"/papers/{PAPER}"))
    assert "10 papers" in listed
    assert "1 paper (large print)" in listed
    plain = issued.get(f"/papers/{PAPER}/to-print?look=").text
    large = issued.get(f"/papers/{PAPER}/to-print?look=large").text
    for student, token in tokens.items():
        assert (token in large) == (student == "BP-05")
        assert (token in plain) == (student not in ("BP-05", "BP-11"))
    assert plain.count('class="mast"') == 10
    assert '<html lang="en-GB" class="large">' in large
    assert "sandbox" in issued.get(f"/papers/{PAPER}/to-print").headers["Content-Security-Policy"]
    assert issued.get(f"/papers/{PAPER}/to-print?look=huge").status_code == 404


def test_days_are_said_as_on_the_sheets(issued: Visitor) -> None:
    said = text_of(issued.get(f"/papers/{PAPER}"))
    assert "It opens on Monday 8 March 2027. It is handed in by Monday 15 March 2027 ." in said
    # Two of the twelve have a day of their own: BP-03 has extra time, BP-07 another date.
    assert said.count("Monday 15 March 2027") == 1 + len(sheets(issued)) - 2
    assert said.count("Wednesday 17 March 2027") == 1
    assert said.count("Thursday 18 March 2027") == 1
    path = place(issued).scheme
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("opens_on = 2027-03-08\n", "", 1), encoding="utf-8")
    said = text_of(issued.get(f"/papers/{PAPER}"))
    assert "It is handed in by Monday 15 March 2027 ." in said
    assert "It opens on Monday" not in said


def test_each_paper_of_a_print_run_is_the_paper_that_lies_in_the_students_folder(
    issued: Visitor,
) -> None:
    run = issued.get(f"/papers/{PAPER}/to-print").text
    (alone,) = place(issued).sheets.rglob(f"*{sheets(issued)['BP-01']}-paper.html")
    text = alone.read_text(encoding="utf-8")
    body = text[text.index('<header class="mast">') : text.index("</main>")]
    assert body in run


def test_sets_for_practice_are_drawn_and_taken_along(bramblemoor: Visitor) -> None:
    path = "/papers/syrup-practice"
    assert bramblemoor.post(f"{path}/practice", {"sets": "2"}).status_code == 200
    names = zipfile.ZipFile(io.BytesIO(bramblemoor.get(f"{path}/practice").data)).namelist()
    assert len(names) == 8
    assert "syrup-practice-2-answers.html" in names
    assert not place(bramblemoor).book.exists()
    for sets in ("0", "many", "101"):
        assert bramblemoor.post(f"{path}/practice", {"sets": sets}).status_code == 400
    assert bramblemoor.post(f"{path}/draft").status_code == 400


def test_the_file_of_another_paper_is_no_mark_scheme_of_this_one(issued: Visitor) -> None:
    path = f"/papers/{PAPER}/mark-scheme"
    assert issued.get(f"{path}/{PAPER}-mark-scheme.html").status_code == 200
    assert issued.get(f"{path}/{PAPER}-to-check.html").status_code == 404


# --- the class list ---------------------------------------------------------------------------


def typed_list(visitor: Visitor, text: str) -> Any:
    page = visitor.get("/papers/class-list").text
    digest = page.partition('name="digest" value="')[2].partition('"')[0]
    return visitor.post("/papers/class-list", {"digest": digest, "text": text})


def test_the_class_list_is_seen_and_that_it_is_still_the_invented_one(
    bramblemoor: Visitor,
) -> None:
    said = text_of(bramblemoor.get("/papers/class-list"))
    assert "12 students" in said
    assert "It is still the invented class of Bramblemoor" in said
    assert "BP-03 Ingrid Halvard , extra time 25 %" in said
    assert typed_list(bramblemoor, "id,name\r\nA1,Inti Mamani\r\n").status_code == 200
    said = text_of(bramblemoor.get("/papers/class-list"))
    assert "A1 Inti Mamani" in said
    assert "Bramblemoor" not in said


def test_a_list_with_a_fault_is_not_kept_and_what_was_typed_stands_there(
    bramblemoor: Visitor,
) -> None:
    before = place(bramblemoor).class_list.read_bytes()
    refused = typed_list(bramblemoor, "id,name\nA1,Inti Mamani\nA1,Suma Flores\n")
    assert refused.status_code == 400
    assert "class.csv" in text_of(refused)
    assert "Suma Flores" in refused.get_data(as_text=True).partition("<textarea")[2]
    assert place(bramblemoor).class_list.read_bytes() == before
    assert not list(place(bramblemoor).folder.glob(".sent*"))


def test_the_second_window_on_the_class_list_is_refused_with_its_text(
    bramblemoor: Visitor,
) -> None:
    page = bramblemoor.get("/papers/class-list").text
    digest = page.partition('name="digest" value="')[2].partition('"')[0]
    assert typed_list(bramblemoor, "id,name\nA1,Inti Mamani\n").status_code == 200
    late = {"digest": digest, "text": "id,name\nB2,Suma Flores\n"}
    refused = bramblemoor.post("/papers/class-list", late)
    assert refused.status_code == 400
    assert "B2,Suma Flores" in text_of(refused)
    assert "Inti" in place(bramblemoor).class_list.read_text(encoding="utf-8")


def test_an_archive_of_a_class_is_read_and_not_offered_as_text(bramblemoor: Visitor) -> None:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as archive:
        archive.writestr(
            "users.csv",
            "sourcedId,status,givenName,familyName,role\nu1,active,Inti,Mamani,student\n",
        )
    answer = bramblemoor.client.post(
        "/papers/class-list",
        data={"word": bramblemoor.word(), "list": (io.BytesIO(held.getvalue()), "class.zip")},
        headers={"Host": "127.0.0.1:4100"},
        follow_redirects=True,
    )
    assert answer.status_code == 200, text_of(answer)
    assert "Inti" in text_of(answer)
    assert "<textarea" not in answer.get_data(as_text=True)


def test_each_holder_of_a_sheet_stands_with_the_day_that_the_sheet_itself_says(
    issued: Visitor,
) -> None:
    page = issued.get(f"/papers/{PAPER}").text
    rows = re.findall(r"<tr><th scope=\"row\">.*?</tr>", page, re.S)
    told = {re.search(r"<bdi>(.*?)</bdi>", row)[1]: row for row in rows}
    assert "Thursday 18 March 2027" in told["Saoirse Tarrant"]  # a date of her own
    assert "Wednesday 17 March 2027" in told["Ingrid Halvard"]  # 25 % of seven days more
    assert "Monday 15 March 2027" in told["Tomas Velkov"]
    tokens = sheets(issued)
    for student, day in (("BP-07", "Thursday 18 March 2027"), ("BP-03", "Wednesday 17 March 2027")):
        sheet = next(place(issued).sheets.rglob(f"*{tokens[student]}-paper.html"))
        assert day in sheet.read_text(encoding="utf-8")
