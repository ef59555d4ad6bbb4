"""The whole job at the desk: from an empty folder to letters, and what protects the work."""

from __future__ import annotations

import io
import json
import re
import zipfile
from pathlib import Path
from typing import Any

import pytest

from course.live.answers import Answers
from course.making.blocks import setting_of
from course.scheme.reading import read_scheme
from exercises.book.book import open_book
from exercises.questions.answer_boxes import answer_boxes
from tests.course.desk.conftest import Visitor, text_of

PAPER = "syrups-and-gelatin"


def place(visitor: Visitor) -> Any:
    return visitor.app.extensions["desk"].place


def answers(token: str, given: dict[str, str]) -> bytes:
    return json.dumps({"glossbook": 1, "token": token, "answers": given, "working": {}}).encode()


@pytest.fixture
def issued(bramblemoor: Visitor) -> Visitor:
    piece = bramblemoor.issue(PAPER)
    assert piece.state == "done", piece.said
    assert any("12 sheets" in line for line in piece.said)
    return bramblemoor


def drop(visitor: Visitor, *files: tuple[str, bytes]) -> Any:
    answer = visitor.client.post(
        "/pile",
        data={
            "word": visitor.word(),
            "files": [(io.BytesIO(data), name) for name, data in files],
        },
        headers={"Host": "127.0.0.1:4100"},
        content_type="multipart/form-data",
    )
    assert answer.status_code == 302, text_of(answer)
    return visitor.worked()


def test_an_empty_folder_begins_with_the_invented_school(visitor: Visitor) -> None:
    assert "Begin with an invented school" in text_of(visitor.get("/"))
    visitor.post("/begin")
    assert "Pastry School of Bramblemoor" in text_of(visitor.get("/"))
    refused = visitor.post("/begin")
    assert refused.status_code == 400
    assert "is there already" in text_of(refused)


def test_a_paper_is_issued_only_by_somebody_who_has_a_name(bramblemoor: Visitor) -> None:
    bramblemoor.post(f"/papers/{PAPER}/draft")
    refused = bramblemoor.post(f"/papers/{PAPER}/issue", {"by": "  "})
    assert refused.status_code == 400
    with open_book(place(bramblemoor).book) as book:
        assert book.paper(PAPER).state == "drafted"
        assert not book.sheets(PAPER)


def test_the_page_of_a_paper_says_who_holds_a_sheet(issued: Visitor) -> None:
    page = issued.get(f"/papers/{PAPER}").get_data(as_text=True)
    with open_book(place(issued).book) as book:
        tokens = {sheet.token for sheet in book.sheets(PAPER)}
    assert len(tokens) == 12
    assert all(token in page for token in tokens)
    run = issued.get(f"/papers/{PAPER}/print-run")
    names = zipfile.ZipFile(io.BytesIO(run.data)).namelist()
    assert all(sum(token in name for name in names) >= 3 for token in tokens)
    assert all(any(token in name for token in tokens) for name in names)


def test_from_the_pile_to_a_decision_and_back(issued: Visitor) -> None:
    with open_book(place(issued).book) as book:
        good, odd = book.sheets(PAPER)[:2]
        boxes = answer_boxes(odd.questions)
        part = next(b for b in boxes if type(b.part).__name__ == "DrawnQuantity")
    right = {b.key: b.part.exact_answer() for b in answer_boxes(good.questions)}
    unread = {b.key: b.part.exact_answer() for b in boxes} | {part.key: "between 3 and 99 g"}
    piece = drop(
        issued,
        (f"{good.token}.handin.json", answers(good.token, right)),
        ("../../odd.json", answers(odd.token, unread)),
        ("cut.json", answers(good.token, right)[:40]),
    )
    assert piece.state == "done", piece.said
    assert sum("receipt" in line for line in piece.said) == 2
    kept = [path.name for path in place(issued).hand_ins.rglob("*.json")]
    assert sorted(kept) == sorted([f"{good.token}.handin.json", "odd.json", "cut.json"])

    with open_book(place(issued).book) as book:
        matter = next(m for m in book.matters(waiting=True) if m.part == part.key)
        before = {m.part: m.awarded for m in book.marks(matter.handin)}
    listed = issued.get("/matters").get_data(as_text=True)
    assert f'href="/matters/{matter.id}"' in listed
    shown = text_of(issued.get(f"/matters/{matter.id}"))
    assert "between 3 and 99 g" in shown
    assert " ".join(part.part.right_answer().split()) in shown

    asked = {"matter": str(matter.id), "part": part.key, "marks": "1", "decision": "accept"}
    preview = text_of(issued.post("/matters/decide", asked))
    assert f"{part.key}: 0 → 1 of" in preview
    with open_book(place(issued).book) as book:
        assert book.matter(matter.id).open  # a preview decides nothing
    issued.decide(asked, by="Ilse Varga", reason="Names the right range")
    with open_book(place(issued).book) as book:
        after = {m.part: m.awarded for m in book.marks(matter.handin)}
        assert not book.matter(matter.id).open
        assert after == before | {part.key: 1.0}
        assert book.decisions(matter.handin)[-1].by == "Ilse Varga"
    issued.post(f"/matters/{matter.id}/reopen", {"by": "Ilse Varga", "reason": "Wrong sheet"})
    with open_book(place(issued).book) as book:
        assert book.matter(matter.id).open
        assert {m.part: m.awarded for m in book.marks(matter.handin)} == before


def test_the_log_of_a_run_that_was_set_after_the_sheets_is_taken_in(issued: Visitor) -> None:
    path = place(issued).scheme
    with path.open("a", encoding="utf-8") as file:
        file.write('\n[dry_runs.later]\nway = "free"\n')
    page = Answers(setting_of(read_scheme(path)))
    asked = ["dry_run", {"run": "later", "student": "Odile Marchetti"}, {"do": "save"}]
    saved = json.loads(page.call(json.dumps(asked)))
    piece = drop(issued, (saved["file_name"], saved["file"].encode()))
    assert piece.state == "done", piece.said
    with open_book(place(issued).book) as book:
        (one,) = book.rehearsals()
    assert one.student == "BP-01"


def test_the_same_files_again_count_once(issued: Visitor) -> None:
    with open_book(place(issued).book) as book:
        sheet = book.sheets(PAPER)[0]
    right = {b.key: b.part.exact_answer() for b in answer_boxes(sheet.questions)}
    file = (f"{sheet.token}.handin.json", answers(sheet.token, right))
    drop(issued, file)
    drop(issued, file)
    with open_book(place(issued).book) as book:
        assert len(book.handins()) == 1


def test_letters_are_written_and_read_before_they_go(issued: Visitor) -> None:
    with open_book(place(issued).book) as book:
        sheet = book.sheets(PAPER)[0]
    right = {b.key: b.part.exact_answer() for b in answer_boxes(sheet.questions)}
    drop(issued, (f"{sheet.token}.handin.json", answers(sheet.token, right)))
    issued.post("/results/make", {"signed": "Marit Oswin"})
    assert issued.worked().state == "done", issued.worked().said
    page = issued.get("/results").get_data(as_text=True)
    names = re.findall(r'href="/results/kept/(letters/[^"]+)"', page)
    assert names
    assert "Letters are written." in text_of(issued.get("/"))
    letter = issued.get(f"/results/kept/{names[0]}")
    assert letter.status_code == 200
    assert "Marit Oswin" in letter.get_data(as_text=True)


def test_only_one_piece_of_work_at_a_time(bramblemoor: Visitor) -> None:
    import threading

    gate = threading.Event()
    worker = bramblemoor.app.extensions["desk"].worker

    def do(_: Any) -> tuple[str, ...]:
        gate.wait(30)
        return ("ready",)

    worker.start("Waiting", "/", do)
    refused = bramblemoor.post("/course/make", {"edition": "student"})
    assert refused.status_code == 400
    assert "at work already" in text_of(refused)
    gate.set()
    assert bramblemoor.worked().state == "done"
    assert "ready" in text_of(bramblemoor.get("/under-way"))


def test_work_is_stopped_and_says_that_what_was_done_is_kept(bramblemoor: Visitor) -> None:
    bramblemoor.post("/course/make", {"edition": "student"})
    bramblemoor.post("/under-way/stop")
    piece = bramblemoor.worked()
    assert piece.state == "stopped"
    assert "kept" in piece.said[-1]
    assert not (place(bramblemoor).site / "index.html").exists()


def test_a_backup_brings_the_book_back_and_the_other_one_is_kept(issued: Visitor) -> None:
    backup = issued.get("/keeping/take").data
    names = zipfile.ZipFile(io.BytesIO(backup)).namelist()
    assert {"class.db", "scheme.toml", "class.csv"} <= set(names)
    with open_book(place(issued).book) as book:
        sheet, head = book.sheets(PAPER)[0], book.head()
    right = {b.key: b.part.exact_answer() for b in answer_boxes(sheet.questions)}
    drop(issued, (f"{sheet.token}.handin.json", answers(sheet.token, right)))
    answer = issued.client.post(
        "/keeping/bring-back",
        data={"word": issued.word(), "backup": (io.BytesIO(backup), "b.zip")},
        headers={"Host": "127.0.0.1:4100"},
    )
    assert answer.status_code == 200, text_of(answer)
    with open_book(place(issued).book) as book:
        assert book.head() == head
        assert not book.handins()
    (before,) = place(issued).folder.glob("class before *.db")
    with open_book(before, read_only=True) as book:
        assert len(book.handins()) == 1


def test_a_backup_that_is_none_is_refused_and_the_book_stays(issued: Visitor) -> None:
    held = place(issued).book.read_bytes()
    for data in (b"no zip", _zip("other.txt", b"x"), _zip("class.db", b"not a book")):
        answer = issued.client.post(
            "/keeping/bring-back",
            data={"word": issued.word(), "backup": (io.BytesIO(data), "b.zip")},
            headers={"Host": "127.0.0.1:4100"},
        )
        assert answer.status_code == 400
    assert place(issued).book.read_bytes() == held


def _zip(name: str, data: bytes) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as archive:
        archive.writestr(name, data)
    return held.getvalue()


def test_a_class_list_that_cannot_be_read_leaves_the_old_one(bramblemoor: Visitor) -> None:
    before = place(bramblemoor).class_list.read_bytes()
    answer = bramblemoor.client.post(
        "/papers/class-list",
        data={"word": bramblemoor.word(), "list": (io.BytesIO(b"\xff\x00 no list"), "c.csv")},
        headers={"Host": "127.0.0.1:4100"},
    )
    assert answer.status_code == 400
    assert place(bramblemoor).class_list.read_bytes() == before


def test_a_fault_of_a_list_names_the_file_that_was_dropped_and_its_line(
    bramblemoor: Visitor,
) -> None:
    answer = bramblemoor.client.post(
        "/papers/class-list",
        data={
            "word": bramblemoor.word(),
            "list": (io.BytesIO(b"id,name\nA1,Ada\nA1,Bo\n"), "spring.csv"),
        },
        headers={"Host": "127.0.0.1:4100"},
    )
    assert "spring.csv:3: names a student a second time" in answer.text
    assert str(place(bramblemoor).folder) not in answer.text


def test_a_fault_of_the_scheme_is_told_on_the_first_page(
    bramblemoor: Visitor, tmp_path: Path
) -> None:
    path = place(bramblemoor).scheme
    path.write_text(path.read_text(encoding="utf-8").replace('"430 m"', '"high"'), encoding="utf-8")
    page = bramblemoor.get("/")
    assert page.status_code == 200
    assert "kitchen.altitude" in text_of(page)


def test_a_correction_shows_who_moves_before_anything_is_changed(issued: Visitor) -> None:
    with open_book(place(issued).book) as book:
        sheet = book.sheets(PAPER)[0]
    boxes = answer_boxes(sheet.questions)
    wrong = next(b for b in boxes if type(b.part).__name__ == "DrawnQuantity")
    given = {b.key: b.part.exact_answer() for b in boxes} | {wrong.key: ""}
    drop(issued, (f"{sheet.token}.handin.json", answers(sheet.token, given)))
    page = issued.get(f"/results/corrections/{PAPER}").get_data(as_text=True)
    assert wrong.question.id in page
    name = wrong.whole_key.lstrip("0123456789")
    asked = {"question": wrong.question.id, "how": "everyone", "part": name}

    def got() -> float:
        with open_book(place(issued).book) as held:
            (handed,) = held.handins()
            return {m.part: m.awarded for m in held.marks(handed.id)}[wrong.key]

    shown = text_of(issued.post(f"/results/corrections/{PAPER}", asked))
    assert "1 would rise" in shown
    assert got() == 0
    sure = {**asked, "sure": "yes", "by": "Marit Oswin", "reason": "Misprint"}
    assert "new marks" in text_of(issued.post(f"/results/corrections/{PAPER}", sure))
    assert got() == wrong.part.total


def test_second_marks_go_out_blind_and_come_back(issued: Visitor) -> None:
    with open_book(place(issued).book) as book:
        sheets = book.sheets(PAPER)
    files = []
    for sheet in sheets:
        given = {b.key: b.part.exact_answer() for b in answer_boxes(sheet.questions)}
        files.append((f"{sheet.token}.handin.json", answers(sheet.token, given)))
    drop(issued, *files)
    page = issued.post(f"/results/second/{PAPER}")
    assert page.status_code == 200, text_of(page)
    names = re.findall(r'href="/results/second/kept/([^"]+)"', page.get_data(as_text=True))
    table = next(name for name in names if name.endswith((".csv", ".xlsx")))
    assert issued.get(f"/results/second/kept/{table}").status_code == 200
    refused = issued.post(f"/results/second/{PAPER}/back", {"by": "Second Reader"})
    assert "was not chosen" in text_of(refused)


def test_observation_sheets_are_issued_and_a_file_that_is_none_is_left_out(
    issued: Visitor,
) -> None:
    said = text_of(issued.post("/practical/watch", {"by": "Marit Oswin"}))
    assert "12 observation sheets" in said
    page = issued.get("/practical").get_data(as_text=True)
    assert "/practical/sheets/observe.html" in page
    tablet = issued.get("/practical/sheets/observe.html")
    assert "attachment" in tablet.headers["Content-Disposition"]
    answer = issued.client.post(
        "/practical/seen",
        data={
            "word": issued.word(),
            "by": "Marit Oswin",
            "files": (io.BytesIO(b"{}"), "x.observed.json"),
        },
        headers={"Host": "127.0.0.1:4100"},
    )
    assert answer.status_code == 200, text_of(answer)
    assert "Left out" in text_of(answer)


def test_working_is_read_beside_its_steps_and_the_suggested_mark_is_given(
    issued: Visitor,
) -> None:
    with open_book(place(issued).book) as book:
        sheet = book.sheets(PAPER)[0]
    boxes = answer_boxes(sheet.questions)
    part = next(b for b in boxes if type(b.part).__name__ == "DrawnQuantity")
    given = {b.key: b.part.exact_answer() for b in boxes} | {part.key: part.part.wrong_answer()}
    data = {"glossbook": 1, "token": sheet.token, "answers": given}
    data["working"] = {part.whole_key: "I put the numbers in and slipped at the end"}
    drop(issued, (f"{sheet.token}.handin.json", json.dumps(data).encode()))
    with open_book(place(issued).book) as book:
        matter = next(m for m in book.matters(waiting=True) if m.kind == "working")
    shown = text_of(issued.get(f"/matters/{matter.id}"))
    assert "slipped at the end" in shown
    assert "Suggested:" in shown
    asked = {"matter": str(matter.id), "part": part.key, "decision": "suggested"}
    assert "Nothing is decided yet" in text_of(issued.post("/matters/decide", asked))
    issued.decide(asked, by="Marit Oswin", reason="Read")
    with open_book(place(issued).book) as book:
        assert not book.matter(matter.id).open
    said = {"by": "Marit Oswin", "says": "My method was right", "part": part.key}
    answer = issued.post(f"/matters/{matter.id}/appeal", said)
    assert "Somebody who gave no mark there decides it" in text_of(answer)
    with open_book(place(issued).book) as book:
        assert any(m.kind == "appeal" for m in book.matters(waiting=True))


def test_every_paper_says_what_it_would_ask_whatever_it_is_for(bramblemoor: Visitor) -> None:
    said = text_of(bramblemoor.get("/papers"))
    assert "kitchen-hazards (decide; must be met): judged by 3 questions" in said
    assert "Practice syrup-practice: 4 questions, drawn again for each set." in said


def test_a_matter_says_whose_it_is_by_id_name_and_sitting(issued: Visitor) -> None:
    assert issued.issue(PAPER, sitting="2", hand_in_by="2027-06-01").state == "done"
    with open_book(place(issued).book) as book:
        sheet = next(one for one in book.sheets(PAPER) if one.sitting == 2)
        name = book.students()[sheet.student].name
    given = {b.key: b.part.exact_answer() for b in answer_boxes(sheet.questions)}
    first = next(b.key for b in answer_boxes(sheet.questions))
    drop(issued, (f"{sheet.token}.json", answers(sheet.token, given | {first: "some of it"})))
    said = text_of(issued.get("/matters"))
    assert f"{sheet.student} {name}, {PAPER}, sitting 2" in said


def test_a_sheet_that_came_on_paper_is_keyed_in_by_name(issued: Visitor) -> None:
    with open_book(place(issued).book) as book:
        sheet = book.sheets(PAPER)[0]
    boxes = answer_boxes(sheet.questions)
    assert f"/pile/on-paper?sheet={sheet.token}" in issued.get("/pile").text
    page = issued.get(f"/pile/on-paper?sheet={sheet.token.lower().replace('-', ' ')}").text
    assert all(f'name="answer:{box.key}"' in page for box in boxes)
    typed = {f"answer:{box.key}": box.part.exact_answer() for box in boxes}
    typed |= {"sheet": sheet.token, f"working:{boxes[-1].whole_key}": "as the card says"}
    assert issued.post("/pile/on-paper", {**typed, "by": " "}).status_code == 400
    said = text_of(issued.post("/pile/on-paper", {**typed, "by": "Marit Oswin"}))
    total = sum(box.part.total for box in boxes)
    assert f"{total:g} of {total:g} marks" in said
    with open_book(place(issued).book) as book:
        (held,) = book.handins()
        assert (held.form, held.token) == ("paper", sheet.token)
        assert f"Receipt {book.receipt(held.id)}." in said
        assert held.working[boxes[-1].whole_key] == "as the card says"
    wrong = issued.get("/pile/on-paper?sheet=0000")
    assert wrong.status_code == 400
    nothing = {"sheet": sheet.token, "by": "Marit Oswin"}
    assert "No answer: was keyed in" in text_of(issued.post("/pile/on-paper", nothing))


def test_ones_own_school_begins_with_a_dozen_answers(visitor: Visitor) -> None:
    assert 'href="/begin/own"' in visitor.get("/").text
    typed = {"school": "Altiplano Workshop", "altitude": "3.640 m", "students": "9"}
    refused = visitor.post("/begin/own", typed)
    assert refused.status_code == 400
    page = refused.get_data(as_text=True)
    assert 'value="Altiplano Workshop"' in page
    beside = re.search(r'id="no-altitude">([^<]+)<', page)
    assert beside
    assert "3640" in beside[1]
    assert not place(visitor).scheme.exists()
    visitor.post("/begin/own", typed | {"altitude": "3640 m", "region": "elsewhere"})
    scheme = read_scheme(place(visitor).scheme)
    assert (scheme.school.name, scheme.group.students) == ("Altiplano Workshop", 9)
    assert scheme.kitchen.altitude.m_as("m") == 3640
    assert visitor.post("/begin/own", typed).status_code == 400  # there is one now
    assert visitor.get("/begin/own").status_code == 400


def test_in_an_empty_folder_every_page_says_something_or_leads_to_the_beginning(
    visitor: Visitor,
) -> None:
    for page in ("/course", "/papers", f"/papers/{PAPER}", "/practical"):
        assert "Begin with an invented school" in text_of(visitor.get(page))
    for page in ("/", "/scheme", "/pile", "/matters", "/results", "/keeping"):
        answer = visitor.get(page)
        assert answer.status_code == 200
        assert "glossbook describe" not in text_of(answer)


ODD = {
    'altitude = "430 m"': 'altitude = "3640 m"',
    'region = "EU"': 'region = "elsewhere"',
    "Pastry School of Bramblemoor": "Altiplano Workshop of Sweet Things",
    'glucose = "confectioner"': 'own_glucose = "plain syrup 60"',
    'mass = "18 g"\n': 'mass = "18 g"\n[[formula.line]]\ningredient = "cocoa butter"\nmass = "20 g"\n',
    "students = 12\nstations = 3": "students = 5\nstations = 2",
    "[papers.syrups-and-gelatin]": (
        '[[more_groups]]\nname = "afternoon"\nstudents = 4\nstations = 2\n'
        "practical = 2027-03-24\n\n"
        '[[allergies]]\nallergen = "milk"\nstudents = 1\n\n'
        '[[own_ingredients]]\nname = "plain syrup 60"\nkind = "glucose syrup"\nof = "plant"\n'
        'solids = "81 %"\nde = "60 %"\nallergens = []\n\n[papers.syrups-and-gelatin]'
    ),
}


def test_an_odd_school_goes_from_its_file_to_sheets_at_the_desk(bramblemoor: Visitor) -> None:
    text = place(bramblemoor).scheme.read_text(encoding="utf-8")
    for was, now in ODD.items():
        assert was in text, was
        text = text.replace(was, now, 1)
    page = bramblemoor.get("/scheme/text").text
    digest = re.search(r'name="digest" value="(\w+)"', page)
    assert digest
    sent = bramblemoor.post("/scheme/text", {"digest": digest[1], "text": text})
    assert sent.status_code == 200, text_of(sent)
    first = bramblemoor.get("/papers/class-list").text
    digest = re.search(r'name="digest" value="(\w+)"', first)
    assert digest
    names = "".join(f"A{n},Student {n}\n" for n in range(9))
    typed = {"digest": digest[1], "text": f"id,name\n{names}"}
    assert bramblemoor.post("/papers/class-list", typed).status_code == 200
    piece = bramblemoor.issue(PAPER)
    assert piece.state == "done", piece.said
    with open_book(place(bramblemoor).book) as book:
        assert len(book.sheets(PAPER)) == 9
        kitchen = book.paper(PAPER).plan["kitchen"]
    assert kitchen["altitude"][0] == 3640
    assert len(read_scheme(place(bramblemoor).scheme).formula.lines) == 7
