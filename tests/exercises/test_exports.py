"""What leaves the mark book: safe in a spreadsheet, whole, the same twice."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from datetime import date
from hashlib import sha256

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.faults import FaultsError
from exercises.book.records import Student
from exercises.marking.run import mark_folder
from exercises.reports.class_report import write_reports
from exercises.reports.evidence import evidence_packs
from exercises.reports.letters import open_solutions, write_letters
from exercises.reports.marks_tables import marks_csv, marks_xlsx
from exercises.reports.oneroster import Roster, oneroster
from exercises.reports.personal_data import erase_person, export_person, kept_too_long
from exercises.reports.spreadsheets import safe_cell
from exercises.reports.standing import standing
from tests.exercises.marked_class import marked
from tests.exercises.pile_of_ours import answer_file
from tests.exercises.sheets_for_tests import QUESTIONS

OUTCOMES = ("gelatin-powder", "syrup-instrument", "gelatin-rule", "boiling-stage")
LEVELS = {"recall": 1, "carry out": 1, "decide": 2}
ROSTER = Roster("class-7", "school-1", "work", "term-1")


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    """A marked class that no test changes."""
    with marked(tmp_path_factory.mktemp("kept"), QUESTIONS, OUTCOMES, LEVELS, 12) as book:
        yield book


@pytest.fixture
def book(tmp_path):
    with marked(tmp_path, QUESTIONS, OUTCOMES, LEVELS, 6, leave=(5,)) as opened:
        yield opened


def rows_of(path):
    return list(csv.DictReader(io.StringIO(path.read_text("utf-8-sig"))))


# --- CSV and XLSX ---------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "=1+1",
        "+1+1",
        "-1+1",
        "@SUM(A1)",
        "\t=1",
        "\r=1",
        "\n=1",
        "  =1",
        "'=1",
        '"=1',
        "＝1",
        "＋1",
        "－1",
        "＠x",
        "-",
        "\tx",
    ],
)
def test_a_text_that_a_spreadsheet_runs_begins_with_an_apostrophe(text):
    assert safe_cell(text) == "'" + text


@pytest.mark.parametrize("text", ["Ada", "-3.5", "+2", "12,5", "3 = 3", "", "O'Brien"])
def test_a_harmless_text_and_a_plain_number_stay_as_they_are(text):
    assert safe_cell(text) == text


@settings(max_examples=50, deadline=None)
@given(st.text())
def test_no_text_at_all_begins_like_a_formula_after_it_was_made_safe(text):
    first = safe_cell(text).lstrip(' "\t\r\n')[:1]
    is_number = safe_cell(text)[1:2].isdigit()
    assert first not in tuple("=+-@＝＋－＠") or is_number


def test_the_csv_holds_every_sheet_and_every_cell_is_quoted(kept, tmp_path):
    path = marks_csv(kept, "first", tmp_path / "m.csv")
    lines = path.read_text("utf-8-sig").splitlines()
    assert len(lines) == 13
    assert all(line.startswith('"') and line.endswith('"') for line in lines)
    rows = rows_of(path)
    by_id = {row.sheet.student: row for row in kept.results("first")}
    for row in rows:
        held = by_id[row["Student"]]
        parts = [float(v) for k, v in row.items() if "(of " in k and v]
        assert sum(parts) == held.awarded
        assert row["Total"] == (f"{held.awarded:g}" if held.marks else "")
    assert rows[-1]["State"] == "issued"
    assert rows[-1]["Total"] == ""


def test_a_name_that_is_a_formula_is_text_in_csv_and_xlsx(book, tmp_path):
    name = '=HYPERLINK("http://example.test","x")'
    book.enrol([Student("s0000", name)])
    rows = rows_of(marks_csv(book, "first", tmp_path / "m.csv"))
    assert rows[0]["Name"] == "'" + name
    path = marks_xlsx(book, "first", tmp_path / "m.xlsx")
    cell = openpyxl.load_workbook(path)["Marks"]["B2"]
    with zipfile.ZipFile(path) as archive:
        page = archive.read("xl/worksheets/sheet1.xml").decode()
        assert not [n for n in archive.namelist() if "externalLink" in n]
    assert "HYPERLINK" not in page  # it is a shared string, and no formula
    assert cell.value == name


def test_totals_in_the_workbook_are_formulas_with_their_values(kept, tmp_path):
    path = marks_xlsx(kept, "first", tmp_path / "m.xlsx")
    told = openpyxl.load_workbook(path)["Marks"]
    valued = openpyxl.load_workbook(path, data_only=True)["Marks"]
    heads = [cell.value for cell in told[1]]
    total = heads.index("Total")
    marks = [n for n, text in enumerate(heads) if "(of " in text]
    for told_row, row in zip(told.iter_rows(2), valued.iter_rows(2), strict=True):
        won = [row[n].value for n in marks if row[n].value is not None]
        if not won:
            assert told_row[total].value is None
            continue
        assert told_row[total].value.startswith("=SUM(")
        assert row[total].value == pytest.approx(sum(won))
    outcomes = openpyxl.load_workbook(path, data_only=True)["Outcomes"]
    *rows, foot = list(outcomes.iter_rows(2, values_only=True))
    for column in range(2, len(foot)):
        assert foot[column] == sum(row[column] == "met" for row in rows)


def test_the_same_book_gives_the_same_workbook(kept, tmp_path):
    one = marks_xlsx(kept, "first", tmp_path / "1.xlsx").read_bytes()
    assert one == marks_xlsx(kept, "first", tmp_path / "2.xlsx").read_bytes()


# --- OneRoster ------------------------------------------------------------------------


def test_the_heads_stand_in_the_order_of_oneroster_1_2(kept, tmp_path):
    # 1EdTech, OneRoster 1.2 CSV binding, tables of lineItems.csv and results.csv.
    out = oneroster(kept, tmp_path / "set", ROSTER, with_users=True).path
    heads = {
        "lineItems": "sourcedId,status,dateLastModified,title,description,assignDate,"
        "dueDate,classSourcedId,categorySourcedId,academicSessionSourcedId,"
        "resultValueMin,resultValueMax,schoolSourcedId",
        "results": "sourcedId,status,dateLastModified,lineItemSourcedId,"
        "studentSourcedId,scoreStatus,score,scoreDate,comment,textScore,classSourcedId,"
        "inProgress,incomplete,late,missing",
        "manifest": "propertyName,value",
    }
    for name, head in heads.items():
        data = (out / f"{name}.csv").read_bytes()
        assert data.split(b"\r\n")[0].decode() == head
        assert data.count(b"\n") == data.count(b"\r\n")
    manifest = dict(
        (row["propertyName"], row["value"])
        for row in csv.DictReader(io.StringIO((out / "manifest.csv").read_text()))
    )
    assert manifest["oneroster.version"] == "1.2"
    present = {k for k, v in manifest.items() if v == "bulk"}
    assert present == {"file.lineItems", "file.results", "file.users"}
    assert {v for k, v in manifest.items() if k.startswith("file.")} == {
        "bulk",
        "absent",
    }


def test_results_say_what_became_of_each_sheet(kept, tmp_path):
    out = oneroster(kept, tmp_path / "set.zip", ROSTER).path
    with zipfile.ZipFile(out) as archive:
        text = archive.read("results.csv").decode()
        assert "users.csv" not in archive.namelist()
        item = next(csv.DictReader(io.StringIO(archive.read("lineItems.csv").decode())))
    rows = {row["studentSourcedId"]: row for row in csv.DictReader(io.StringIO(text))}
    paper = kept.paper("first")
    assert len(rows) == 12
    for result in kept.results("first"):
        row = rows[result.sheet.student]
        assert row["lineItemSourcedId"] == item["sourcedId"]
        assert date.fromisoformat(row["scoreDate"])
        if result.marks:
            assert float(row["score"]) == result.awarded
            opened = bool(standing(result, paper).open) or result.needs_a_look
            status = "partially graded" if opened else "fully graded"
            assert (row["scoreStatus"], row["missing"]) == (status, "false")
        else:
            assert (row["scoreStatus"], row["missing"]) == ("not submitted", "true")
            assert row["score"] == ""
    assert float(item["resultValueMax"]) == kept.results("first")[0].total


def test_texts_that_would_need_an_apostrophe_are_refused_all_at_once(book, tmp_path):
    book.enrol([Student("s0000", "=1+1 Ample"), Student("s0001", "@x Batter")])
    oneroster(book, tmp_path / "ok", ROSTER)  # names are not in it
    with pytest.raises(FaultsError) as caught:
        oneroster(book, tmp_path / "set", ROSTER, with_users=True)
    said = str(caught.value)
    assert said.count("begins like a formula") == 2
    assert "users.csv, row 2, givenName" in said
    assert not (tmp_path / "set").exists()


# --- evidence, export, erasure --------------------------------------------------------------


def test_an_evidence_pack_holds_sheet_hand_in_verdicts_and_decisions(book, tmp_path):
    result = book.results("first")[0]
    mark = next(iter(result.marks.values()))
    book.decide(
        "marks",
        by="A. Sessor",
        reason="Working <b>seen</b>",
        mark=mark.id,
        detail={"awarded": 0},
    )
    (path,) = evidence_packs(book, tmp_path / "e", "first", students=["s0000"])
    with zipfile.ZipFile(path) as archive:
        assert sorted(archive.namelist()) == [
            "decisions.json",
            "evidence.html",
            "hand-ins.json",
            "marks.json",
            "matters.json",
            "record.json",
            "sheet.html",
            "sheet.json",
        ]
        page = archive.read("evidence.html").decode()
        marks = json.loads(archive.read("marks.json"))
        decisions = json.loads(archive.read("decisions.json"))
        handins = json.loads(archive.read("hand-ins.json"))
    assert result.sheet.token in page
    assert "Working &lt;b&gt;seen&lt;/b&gt;" in page
    assert "Before: " in page
    assert len(marks) == len(result.marks) + 1
    assert decisions[0]["by"] == "A. Sessor"
    assert handins[0]["answers"] == result.handin.answers
    again = evidence_packs(book, tmp_path / "f", "first", students=["s0000"])
    assert again[0].read_bytes() == path.read_bytes()


def test_evidence_of_nobody_is_refused(book, tmp_path):
    with pytest.raises(FaultsError, match="has no sheet for these students"):
        evidence_packs(book, tmp_path / "e", "first", students=["nobody"])


def test_hostile_answers_stay_text_in_evidence(tmp_path):
    with marked(tmp_path, QUESTIONS, OUTCOMES, LEVELS, 3, leave=(0, 1, 2)) as book:
        hostile = "<script>alert(1)</script>"
        token = book.sheets("first")[0].token
        folder = tmp_path / "more"
        folder.mkdir()
        data = answer_file(token, {"1a": hostile}, {"1a": hostile})
        (folder / "x.json").write_bytes(data)
        mark_folder(folder, book, received_at="2030-02-20", workers=1)
        paths = evidence_packs(book, tmp_path / "e", "first")
    with zipfile.ZipFile(paths[0]) as archive:
        page = archive.read("evidence.html").decode()
    assert "<script" not in page
    assert "&lt;script&gt;" in page


def test_evidence_of_a_file_that_cannot_be_read_judges_nothing_and_says_why_once(tmp_path):
    with marked(tmp_path, QUESTIONS, OUTCOMES, LEVELS, 1, leave=(0,)) as book:
        folder = tmp_path / "more"
        folder.mkdir()
        (sheet,) = book.sheets("first")
        data = answer_file(sheet.token, {"1a": "1 g"})
        (folder / f"{sheet.token}.handin.json").write_bytes(data[:-30])
        mark_folder(folder, book, received_at="2030-02-20", workers=1)
        (path,) = evidence_packs(book, tmp_path / "e", "first")
    with zipfile.ZipFile(path) as archive:
        page = archive.read("evidence.html").decode()
    assert "not yet met" not in page
    assert "Nothing is marked yet." in page
    assert page.count("The file is incomplete") == 1
    assert "<td></td></tr>" in page  # no verdict, and no full stop after it


def test_a_persons_data_are_exported_whole(book, tmp_path):
    path = export_person(book, "s0000", tmp_path / "p" / "s0000.json")
    held = json.loads(path.read_text("utf-8"))
    assert held["student"]["name"] == "Ada Ample"
    assert len(held["sheets"]) == len(held["hand-ins"]) == 1
    assert book.verify(held["record"]).known


def test_a_persons_export_holds_no_key_that_is_still_closed(book, tmp_path):
    sheet = next(one for one in book.sheets("first") if one.student == "s0000")
    text = export_person(book, "s0000", tmp_path / "s0000.json").read_text("utf-8")
    assert sheet.seed not in text
    for word in ('"answer"', '"tolerance"', '"right":', '"worked"', '"roads"', '"says"'):
        assert word not in text, word
    assert (
        sheet.questions[0]["parts"][0]["prompt"]
        in json.loads(text)["sheets"][0]["questions"][0]["parts"][0]["prompt"]
    )
    open_solutions(book, "first", "L. Lecturer", "All are in")
    text = export_person(book, "s0000", tmp_path / "s0000.json").read_text("utf-8")
    assert '"answer"' in text
    assert sheet.seed not in text


def test_exports_carry_the_head_of_the_record(book, tmp_path):
    (made,) = write_reports(book, tmp_path / "r")
    assert book.head() in made.report.read_text("utf-8")
    table = next(path for path in made.marks if path.suffix == ".xlsx")
    assert book.head() in openpyxl.load_workbook(table).properties.description
    told = (tmp_path / "r" / "record.txt").read_text("utf-8")
    assert book.head() in told
    for path in (tmp_path / "r").glob("*.csv"):  # they have no place for it
        assert f"{sha256(path.read_bytes()).hexdigest()}  {path.name}" in told


def test_packs_of_two_papers_do_not_take_each_others_place(book, tmp_path):
    (path,) = evidence_packs(book, tmp_path / "e", "first", students=["s0000"])
    assert path.parent == tmp_path / "e" / "first"


def test_erasing_a_person_leaves_numbers_and_no_name_anywhere(book, tmp_path):
    out = tmp_path / "out"
    write_letters(book, out / "letters")
    evidence_packs(book, out / "evidence", "first")
    before = book.results("first")[0].awarded
    done = erase_person(book, "s0000", "L. Lecturer", "Asked for it", reports=out)
    token = book.results("first")[0].sheet.token
    assert [path.name for path in done.deleted] == [
        f"s0000-ada-ample_first_{token}.zip",
        f"s0000-ada-ample_first_{token}.html",
    ]
    assert not list(out.rglob("*ada*"))
    assert list(out.rglob("s0001-*"))
    assert len(done.left) == 2
    rows = rows_of(marks_csv(book, "first", tmp_path / "m.csv"))
    kept = next(row for row in rows if row["Student"] == done.kept_as)
    assert (kept["Name"], kept["Total"]) == ("", f"{before:g}")
    text = (tmp_path / "m.csv").read_text("utf-8-sig")
    assert "Ada" not in text


def test_whose_data_are_older_than_the_scheme_says_is_told(book):
    issued = date.fromisoformat(book.sheets()[0].issued_at[:10])
    on_the_day = date.fromordinal(issued.toordinal() + 400)
    assert kept_too_long(book, "400 d", on_the_day) == []
    after = date.fromordinal(issued.toordinal() + 401)
    assert len(kept_too_long(book, "400 d", after)) == 6
