"""Samples by rule, second marks given blind, and marks given anew."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import pytest

from calculators.faults import FaultsError
from calculators.units import q
from exercises.book.book import create
from exercises.book.records import NewSheet
from exercises.marking.rules import TO_SETTLE
from exercises.marking.run import mark_folder
from exercises.questions import registry
from exercises.questions.building import build
from exercises.questions.parts import QuantityPart, WrongTurn
from exercises.questions.registry import Question
from exercises.reports.corrections import Correction, preview_remark, remark
from exercises.reports.letters import open_solutions, write_letters
from exercises.reports.second_marks import (
    adjudicate,
    agreement,
    blind_sheets,
    read_second_marks,
    sample,
    to_adjudicate,
)
from exercises.reports.standing import standing
from tests.exercises.marked_class import a_class, marked
from tests.exercises.pile_of_ours import answer_file
from tests.exercises.sheets_for_tests import QUESTIONS

OUTCOMES = ("gelatin-powder", "syrup-instrument", "gelatin-rule", "boiling-stage")
LEVELS = {"recall": 1, "carry out": 1, "decide": 2}


@pytest.fixture
def book(tmp_path):
    with marked(tmp_path, QUESTIONS, OUTCOMES, LEVELS, 24, leave=(23,)) as opened:
        yield opened


# --- the sample --------------------------------------------------------------------------


def test_the_sample_holds_borderline_overridden_unreadable_and_one_in_n(book):
    results = book.results("first")
    paper = book.paper("first")
    mark = next(iter(results[3].marks.values()))
    book.decide("marks", by="A. Sessor", reason="Seen", mark=mark.id, detail={"awarded": 0})
    found = sample(book, "first", one_in=10**9, margin=0.1)
    ranges = {"top", "at the pass line", "fail"}  # looked at by a test of their own
    picked = {pick.result.student.id: set(pick.because) - ranges for pick in found.picks}
    for result in book.results("first"):
        if not result.marks:
            assert not picked.get(result.student.id)
            continue
        stands = standing(result, paper)
        near = abs(stands.awarded - 0.5 * stands.total) <= 0.1 * stands.total
        because = {
            word
            for word, holds in (
                ("borderline", near),
                ("overridden", result.student.id == results[3].student.id),
                ("unreadable", bool(stands.open)),
            )
            if holds
        }
        assert picked.get(result.student.id, set()) == because
    assert "overridden" in picked[results[3].student.id]


def test_the_sample_reaches_the_top_the_pass_line_and_those_that_fail(book):
    paper = book.paper("first")
    found = sample(book, "first", one_in=10**9, margin=0)
    by_range = {}
    for pick in found.picks:
        for name in pick.because:
            by_range.setdefault(name, []).append(standing(pick.result, paper))
    everyone = [standing(row, paper) for row in book.results("first") if row.marks]
    (top,), (line,), (fail,) = (by_range[name] for name in ("top", "at the pass line", "fail"))
    assert sum(one.awarded > top.awarded for one in everyone) < len(everyone) / 4
    nearer = abs(line.awarded - line.needed)
    assert sum(abs(one.awarded - one.needed) < nearer for one in everyone) < len(everyone) / 4
    assert fail.state == "not yet passed"
    more = sample(book, "first", one_in=3, margin=0)
    assert sum("top" in pick.because for pick in more.picks) == 2  # of six, one in three


def test_one_in_n_is_stable_and_about_one_in_n(book):
    one = sample(book, "first", one_in=3, margin=0)
    two = sample(book, "first", one_in=3, margin=0)
    assert one == two
    everyone = sample(book, "first", one_in=1)
    assert len(everyone.picks) == 23
    # by the keyed hash, 10,000 tokens fall evenly: 1 in 8 within four deviations
    hits = sum(
        int(book.seed("moderation of first", f"token {n}")[:12], 16) % 8 == 0 for n in range(2000)
    )
    assert abs(hits - 250) < 4 * (2000 * 7 / 64) ** 0.5


def test_the_rule_is_stated_and_nonsense_is_refused_all_at_once(book):
    assert "one in 8 of the marked sheets" in sample(book, "first").rule
    with pytest.raises(FaultsError) as caught:
        sample(book, "first", one_in=0, margin=2)
    assert len(caught.value.faults) == 2


# --- second marks --------------------------------------------------------------------------


def filled(path, give):
    rows = list(csv.DictReader(io.StringIO(path.read_text("utf-8-sig"))))
    for row in rows:
        row["second mark"] = give(row)
    out = io.StringIO()
    writer = csv.DictWriter(out, rows[0])
    writer.writeheader()
    writer.writerows(rows)
    path.write_text(out.getvalue(), "utf-8")
    return rows


def test_what_the_second_assessor_gets_is_blind(book, tmp_path):
    chosen = sample(book, "first", one_in=1)
    for path in blind_sheets(chosen, tmp_path / "blind"):
        text = path.read_text("utf-8-sig")
        for pick in chosen.picks:
            assert pick.result.student.name not in text
            assert pick.result.sheet.token in text
            for mark in pick.result.marks.values():
                if len(mark.reason) > 8:
                    assert mark.reason not in text
        assert path.suffix == ".csv" or "10:02" in text  # the exhibit is there
        for word in ("borderline</", "wrong road", "not right", "secret saying"):
            assert word not in text


def test_second_marks_are_noted_and_move_no_first_mark(book, tmp_path):
    chosen = sample(book, "first", one_in=1)
    _, table = blind_sheets(chosen, tmp_path)
    firsts = {r.sheet.token: r for r in book.results("first")}
    rows = filled(table, lambda row: f"{firsts[row['sheet']].marks[row['part']].awarded:g}")
    before = {t: r.awarded for t, r in firsts.items()}
    assert read_second_marks(book, "first", table, "S. Econd") == len(rows)
    assert read_second_marks(book, "first", table, "S. Econd") == 0
    assert {r.sheet.token: r.awarded for r in book.results("first")} == before
    found = agreement(book, "first")
    open_ = [
        mark
        for result in firsts.values()
        for mark in result.marks.values()
        if mark.verdict in TO_SETTLE
    ]
    assert len(open_) == 2  # a mark that nobody has given yet can't agree
    assert "2 answers with a second mark are not compared" in found.sentences[-1]
    count = len(rows) - len(open_)
    assert (found.count, found.same) == (count,) * 2
    assert found.same_sheets == found.sheets == len(chosen.picks)
    assert found.kappa.value == pytest.approx(1)
    assert found.difference == 0
    assert any("Neither is stricter: S. Econd" in line for line in found.sentences)
    assert {one.by for one in book.decisions()} == {"S. Econd"}


def test_agreement_is_counted_as_by_hand(book, tmp_path):
    chosen = sample(book, "first", one_in=1)
    _, table = blind_sheets(chosen, tmp_path)
    firsts = {r.sheet.token: r for r in book.results("first")}
    off = []

    def give(row):
        mark = firsts[row["sheet"]].marks[row["part"]]
        if row["part"] == "2a" and mark.awarded == 3:
            off.append((row["sheet"], "2a", 3.0, 0.0))
            return "0"
        return f"{mark.awarded:g}".replace(".", ",")

    rows = filled(table, give)
    assert len(off) > 2
    read_second_marks(book, "first", table, "S. Econd")
    found = agreement(book, "first")
    assert found.same == len(rows) - len(off) - 2  # two wait for the first assessor
    assert found.parts["2a"][1] - found.parts["2a"][0] == len(off)
    assert {part for part, (same, of) in found.parts.items() if same < of} == {"2a"}
    assert found.sheets - found.same_sheets == len({token for token, *_ in off})
    assert set(found.apart) == set(off)
    assert found.difference == pytest.approx(-3 * len(off) / len(chosen.picks))
    assert 0 < found.kappa.low < found.kappa.value < found.kappa.high < 1
    said = " ".join(found.sentences)
    assert "Not the same: " in said
    assert f"S. Econd is stricter than the first marks: less for {len(off)} answers" in said


def test_one_mark_off_on_every_part_is_never_called_agreement(book, tmp_path):
    chosen = sample(book, "first", one_in=1)
    _, table = blind_sheets(chosen, tmp_path)
    firsts = {r.sheet.token: r for r in book.results("first")}

    def give(row):
        mark = firsts[row["sheet"]].marks[row["part"]]
        return f"{mark.awarded - 1 if mark.awarded >= 1 else mark.awarded + 1:g}"

    filled(table, give)
    read_second_marks(book, "first", table, "S. Econd")
    found = agreement(book, "first")
    assert (found.same, found.same_sheets) == (0, 0)
    assert "0 answers and 0 whole sheets got the same mark" in found.sentences[0]
    assert found.kappa.value < 0.5


def test_agreement_of_few_marks_is_told_with_a_wide_interval(book, tmp_path):
    assert agreement(book, "first").sentences == []
    chosen = sample(book, "first", one_in=1)
    by_marks = sorted(chosen.picks, key=lambda pick: pick.result.awarded)
    few = replace(chosen, picks=(by_marks[0], by_marks[-1]))  # all marks alike agree by chance
    _, table = blind_sheets(few, tmp_path)
    firsts = {r.sheet.token: r for r in book.results("first")}
    filled(table, lambda row: f"{firsts[row['sheet']].marks[row['part']].awarded:g}")
    read_second_marks(book, "first", table, "S. Econd")
    found = agreement(book, "first")
    assert found.kappa.value == pytest.approx(1)
    assert found.kappa.low < 0.75


def test_a_corrected_table_of_the_same_person_is_read_as_a_correction(book, tmp_path):
    chosen = sample(book, "first", one_in=1)
    _, table = blind_sheets(chosen, tmp_path)
    firsts = {r.sheet.token: r for r in book.results("first")}
    filled(table, lambda row: "0")
    first = read_second_marks(book, "first", table, "S. Econd")
    before = agreement(book, "first")
    assert before.same < before.count
    filled(table, lambda row: f"{firsts[row['sheet']].marks[row['part']].awarded:g}")
    again = read_second_marks(book, "first", table, "S. Econd")
    assert 0 < again < first
    after = agreement(book, "first")
    assert (after.count, after.same) == (before.count, before.count)
    filled(table, lambda row: "0")
    assert read_second_marks(book, "first", table, "s.  econd") == again
    assert agreement(book, "first").count == before.count


def test_where_two_differ_a_third_person_decides_by_name(book, tmp_path):
    chosen = sample(book, "first", one_in=1)
    _, table = blind_sheets(chosen, tmp_path)
    firsts = {r.sheet.token: r for r in book.results("first")}
    token = next(r.sheet.token for r in firsts.values() if r.marks and r.marks["2a"].awarded == 3)

    def give(row):
        mark = firsts[row["sheet"]].marks[row["part"]]
        return "1" if (row["sheet"], row["part"]) == (token, "2a") else f"{mark.awarded:g}"

    filled(table, give)
    read_second_marks(book, "first", table, "S. Econd")
    final = to_adjudicate(book, "first", tmp_path)
    (row,) = csv.DictReader(io.StringIO(final.read_text("utf-8-sig")))
    assert (row["sheet"], row["part"], row["first mark"]) == (token, "2a", "3")
    row |= {"final mark": "2,5", "remark": "The rounding is sound."}
    with final.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, row)
        writer.writeheader()
        writer.writerow(row)
    with pytest.raises(FaultsError, match="marked by the same person before"):
        adjudicate(book, "first", final, "S. Econd")
    with pytest.raises(FaultsError, match="marked by the same person before"):
        adjudicate(book, "first", final, " s.  econd")
    assert adjudicate(book, "first", final, "T. Hird") == 1
    result = next(r for r in book.results("first") if r.sheet.token == token)
    mark = result.marks["2a"]
    assert (mark.awarded, mark.by, mark.reason) == (2.5, "T. Hird", "The rounding is sound.")
    assert f"Decided by T. Hird: 2a of {token}." in agreement(book, "first").sentences
    assert to_adjudicate(book, "first", tmp_path / "again") is None
    assert book.verify().faults == []


def test_all_faults_of_a_table_are_told_with_their_lines_and_nothing_is_noted(book, tmp_path):
    _, table = blind_sheets(sample(book, "first", one_in=1), tmp_path)
    rows = filled(table, lambda row: "")
    lines = [
        '"sheet","part","marks possible","second mark","remark"',
        f'"{rows[0]["sheet"]}","1a","3","99",""',
        f'"{rows[0]["sheet"]}","9z","3","1",""',
        f'"{rows[0]["sheet"][:-1]}","1a","3","1",""',
        f'"{rows[0]["sheet"]}","1a","3","lots",""',
    ]
    table.write_text("\n".join(lines), "utf-8")
    with pytest.raises(FaultsError) as caught:
        read_second_marks(book, "first", table, "S. Econd")
    places = [fault.where.rpartition(":")[2] for fault in caught.value.faults]
    assert places == ["2", "3", "4", "5"]
    assert book.decisions() == []
    table.write_text("a,b\n1,2", "utf-8")
    with pytest.raises(FaultsError, match="has no column sheet, part"):
        read_second_marks(book, "first", table, "S. Econd")


def test_the_second_mark_comes_from_somebody_else(book, tmp_path):
    result = book.results("first")[0]
    mark = result.marks["1a"]
    book.decide("marks", by="A. Sessor", reason="Seen", mark=mark.id, detail={"awarded": 0})
    chosen = sample(book, "first", one_in=10**9, margin=0)
    _, table = blind_sheets(chosen, tmp_path)
    filled(table, lambda row: "0" if row["part"] == "1a" else "")
    with pytest.raises(FaultsError, match="marked first by the same person"):
        read_second_marks(book, "first", table, "A. Sessor")
    with pytest.raises(FaultsError, match="marked first by the same person"):
        read_second_marks(book, "first", table, "a.  sessor ")
    assert read_second_marks(book, "first", table, "S. Econd") >= 1


# --- marking anew -------------------------------------------------------------------------------


def _double(draw):
    mass = draw.mass("mass", 10, 90)
    return _parts_of(mass, mass * 3)  # the slip: three times instead of twice


def _mended(draw):
    mass = draw.mass("mass", 10, 90)
    return _parts_of(mass, mass * 2)


def _parts_of(mass, answer):
    return [
        QuantityPart(
            f"Double {mass.m:g} g.",
            answer,
            "0.1 g",
            wrong_turns=[WrongTurn("once", mass, "This is the number you get with one.")],
        ),
        QuantityPart("And half of that?", lambda g: g["a"] / 2, "0.1 g"),
    ]


WRONG = Question("m-double", _double, "gelatin-powder", "carry out", "both")
MENDED = Question("m-double", _mended, "gelatin-powder", "carry out", "both")
OTHER = QUESTIONS["t-choose"]


@pytest.fixture
def slipped(tmp_path, monkeypatch):
    """A paper whose question had a slip; four hand-ins, marked by it."""
    monkeypatch.setitem(registry.bank.cards, "m-double", WRONG)
    with create(tmp_path / "class.db") as book:
        book.enrol(a_class(4))
        plan = {"title": "Slip", "questions": ["m-double", "t-choose"]}
        book.draft_paper("first", plan, pass_rule={"share": 0.5})
        book.check_paper("first", "M. Checker")
        new = []
        for one in a_class(4):
            seed = book.seed("first", one.id)
            new.append(
                NewSheet(one.id, seed, [build(one, seed).to_json() for one in (WRONG, OTHER)])
            )
        sheets = book.issue_paper("first", new, "L. Lecturer")
        folder = tmp_path / "pile"
        folder.mkdir()
        for n, sheet in enumerate(sheets[:3]):
            twice = q(sheet.questions[0]["parts"][0]["answer"], "g").m * 2 / 3
            # two answer as asked; the third gives what the slip expected
            size = twice if n < 2 else twice * 1.5
            answers = {"1a": f"{size:.6g} g", "1b": f"{size / 2:.6g} g"}
            (folder / f"{sheet.token}.json").write_bytes(answer_file(sheet.token, answers))
        mark_folder(folder, book, received_at="2030-02-20", workers=1)
        monkeypatch.setitem(registry.bank.cards, "m-double", MENDED)
        yield book


FIX = Correction("m-double", from_bank=True)


def test_a_preview_shows_who_moves_and_by_how_much_and_changes_nothing(slipped):
    before = slipped.path.read_bytes(), [r.marks for r in slipped.results("first")]
    found = preview_remark(slipped, "first", FIX)
    moves = {move.student: move.by for move in found.moves}
    assert moves == {"s0000": 3, "s0001": 3, "s0002": -3}
    assert found.looked_at == 3
    assert (
        "3 marked sheets have this question: 2 would rise, 1 would fall, 0 would stay."
        in found.sentences
    )
    assert [r.marks for r in slipped.results("first")] == before[1]
    assert slipped.decisions() == []


def test_re_marking_adds_marks_and_keeps_the_old_ones(slipped):
    old = {r.sheet.student: dict(r.marks) for r in slipped.results("first")}
    found = preview_remark(slipped, "first", FIX)
    done = remark(slipped, found, by="L. Lecturer", reason="Slip in 1a", lower=["s0002"])
    assert done == len(found.marks)
    for result in slipped.results("first")[:3]:
        history = slipped.marks(result.handin.id, history=True)
        for part, mark in old[result.sheet.student].items():
            assert mark in history
            now = result.marks[part]
            assert now == mark or now.supersedes == mark.id
        if result.sheet.student == "s0000":
            assert result.marks["1a"].verdict == "right"
            assert result.marks["1a"].by == "L. Lecturer"
    (decision,) = slipped.decisions()
    assert (decision.by, decision.reason) == ("L. Lecturer", "Slip in 1a")
    assert decision.detail["up"] == 2
    again = preview_remark(slipped, "first", FIX)
    assert (again.moves, again.marks) == ((), ())


def test_a_correction_lowers_a_mark_only_where_it_is_confirmed_for_that_person(slipped):
    found = preview_remark(slipped, "first", FIX)
    assert "only where you confirm it for each person, here: s0002" in found.sentences[-1]
    before = [row.awarded for row in slipped.results("first")]
    remark(slipped, found, by="L. Lecturer", reason="Slip in 1a")
    after = [row.awarded for row in slipped.results("first")]
    assert [b - a for a, b in zip(before, after, strict=True)] == [3, 3, 0, 0]
    again = preview_remark(slipped, "first", FIX)
    remark(slipped, again, by="L. Lecturer", reason="Slip in 1a", lower=["s0002"])
    row = slipped.results("first")[2]
    assert row.awarded == before[2] - 3
    assert "This question was put right after marking." in row.marks["1a"].reason


def test_a_correction_is_not_done_for_somebody_whose_marks_do_not_fall(slipped):
    found = preview_remark(slipped, "first", FIX)
    for lower in (["s0001"], ["s0002", "s9"]):
        with pytest.raises(FaultsError, match=r"do not fall by it.*They fall for s0002"):
            remark(slipped, found, by="L. Lecturer", reason="Slip in 1a", lower=lower)
    assert slipped.decisions() == []


def _twice(sheet):
    """Return what the mended question asks for, which the slip does not."""
    size = q(sheet.questions[0]["parts"][0]["answer"], "g").m * 2 / 3
    return {"1a": f"{size:.6g} g", "1b": f"{size / 2:.6g} g"}


@pytest.mark.parametrize("fix", [FIX, Correction("m-double", everyone=["a"])])
def test_a_hand_in_that_comes_later_is_marked_by_the_newest_version(slipped, tmp_path, fix):
    remark(slipped, preview_remark(slipped, "first", fix), by="L. Lecturer", reason="Slip")
    sheet = slipped.sheets("first")[3]
    folder = tmp_path / "later"
    folder.mkdir()
    (folder / "x.json").write_bytes(answer_file(sheet.token, _twice(sheet)))
    mark_folder(folder, slipped, received_at="2030-02-21", workers=1)
    rows = slipped.results("first")
    assert rows[3].marks["1a"].awarded == rows[0].marks["1a"].awarded == 3


def test_a_hand_in_that_is_chosen_later_has_the_correction_too(slipped, tmp_path):
    sheet = slipped.sheets("first")[0]
    folder = tmp_path / "later"
    folder.mkdir()
    (folder / "x.json").write_bytes(answer_file(sheet.token, _twice(sheet)) + b" ")
    mark_folder(folder, slipped, received_at="2030-02-21", workers=1)
    remark(slipped, preview_remark(slipped, "first", FIX), by="L. Lecturer", reason="Slip")
    slipped.decide("counts", handin=4, by="L. Lecturer", reason="The second")
    row = slipped.results("first")[0]
    assert (row.handin.id, row.marks["1a"].awarded) == (4, 3)


def test_a_preview_that_is_out_of_date_is_refused_and_nothing_is_changed(slipped):
    found = preview_remark(slipped, "first", FIX)
    mark = slipped.results("first")[0].marks["1a"]
    slipped.decide("marks", by="A. Sessor", reason="Seen", mark=mark.id, detail={"awarded": 1})
    held = [r.marks for r in slipped.results("first")]
    with pytest.raises(FaultsError, match="no longer stand"):
        remark(slipped, found, by="L. Lecturer", reason="Slip")
    assert [r.marks for r in slipped.results("first")] == held


def test_a_mark_that_an_assessor_gave_is_left(slipped):
    result = slipped.results("first")[0]
    mark = result.marks["1a"]
    slipped.decide("marks", by="A. Sessor", reason="Seen", mark=mark.id, detail={"awarded": 1})
    found = preview_remark(slipped, "first", FIX)
    assert found.left == (f"{result.sheet.token} 1a",)
    remark(slipped, found, by="L. Lecturer", reason="Slip")
    assert slipped.results("first")[0].marks["1a"].awarded == 1


def test_a_part_can_count_for_everyone_who_handed_in(slipped):
    found = preview_remark(slipped, "first", Correction("m-double", everyone=["a"]))
    remark(slipped, found, by="L. Lecturer", reason="Could not be answered")
    results = slipped.results("first")
    assert [r.marks["1a"].awarded for r in results[:3]] == [3, 3, 3]
    assert results[3].marks == {}
    assert "its marks are everyone's" in results[0].marks["1a"].reason


def test_a_tolerance_can_be_widened_and_that_takes_no_mark_away(slipped):
    wide = Correction("m-double", tolerances={"a": "60 % of the answer"})
    found = preview_remark(slipped, "first", wide, questions=lambda: {"m-double": WRONG})
    assert {move.student: move.by for move in found.moves} == {"s0000": 3, "s0001": 3}


def test_only_the_corrected_question_is_marked_anew(slipped):
    found = preview_remark(slipped, "first", FIX)
    assert {mark.question for mark in found.marks} == {"m-double"}


@pytest.mark.parametrize(
    ("correction", "said"),
    [
        (Correction("nothing", everyone=["a"]), "is on no sheet of first"),
        (Correction("m-double", everyone=["z"]), "has no such part"),
        (Correction("t-choose", tolerances={"a": "1 g"}), "has no tolerance"),
        (
            Correction("m-double", tolerances={"a": "1 °C"}),
            r"answer is \d.* like 0\.5 g",
        ),
        (Correction("gone", from_bank=True), "is not in the bank"),
    ],
)
def test_a_correction_of_what_is_not_there_is_refused(slipped, correction, said):
    with pytest.raises(FaultsError, match=said):
        preview_remark(slipped, "first", correction)


def test_the_solution_of_a_corrected_question_is_not_printed_from_the_sheet(slipped, tmp_path):
    remark(slipped, preview_remark(slipped, "first", FIX), by="L. Lecturer", reason="Slip")
    open_solutions(slipped, "first", "L. Lecturer", "All are in")
    text = write_letters(slipped, tmp_path / "l", solutions=True)[0].read_text("utf-8")
    part = slipped.sheets("first")[0].questions[0]["parts"][0]
    assert part["shown"] not in text
    assert "This question was corrected" in text
