"""What lecturers and assessors meet at the prompt, in a school that is not the demo's."""

from __future__ import annotations

import json
import re
import sqlite3
import zipfile
from contextlib import closing
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from course.cli import commands
from exercises.book.book import open_book
from exercises.book.records import SheetRecord
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.own import forget
from exercises.reports.standing import standing

SCHEME = """\
title = "High plateau"
region = "US"
keep_data = "90 d"
modules = ["kitchen", "syrup", "gelatin"]
[school]
name = "School of Thin Air"
[kitchen]
altitude = "2900 m"
jug = "13,5 cm"
blade = "3 cm"
[stores]
gelatin_grade = "powder"
[formula]
gelatin_grade = "silver"
[[formula.line]]
ingredient = "water"
mass = "230 g"
[[cakes]]
shape = "log"
length = "25 cm"
diameter = "7 cm"
count = 9
[group]
students = 3
[papers.plateau]
outcomes = ["syrup-strength", "boiling-water-lost"]
questions = ["syrup-water-for-brix", "boil-two-weighings"]
opens_on = 2027-04-01
hand_in_by = 2027-04-08
[papers.drill]
use = "practice"
outcomes = ["syrup-strength"]
carry_out = 1
[papers.open]
outcomes = ["syrup-strength"]
carry_out = 1
hand_in_by = 2027-04-08
"""
SUGAR = '[[formula.line]]\ningredient = "sugar"\nmass = "230 g"\n[[cakes]]'
SWEET = SCHEME.replace("[[cakes]]", SUGAR)
OWN = '''\
"""A question of our own, in two steps."""

from calculators.units import say
from exercises.questions.parts import Asked, QuantityPart
from exercises.questions.registry import question


@question("own-syrup", outcome="syrup-strength", level="decide", use="assessed")
def own_syrup(draw):
    """How much sugar, then how much syrup?"""
    water = draw.mass("water", 200, 600, 20)
    return Asked([
        QuantityPart(f"Sugar for {say(water)} of water, one and a half times?", water * 1.5, "1 g",
             because="The scale.", working="s = 1.5 w", worked=say(water * 1.5)),
        QuantityPart("And the syrup?", lambda given: given["a"] + water, "1 g", working="sum",
             worked="sum"),
    ])
'''
CLASS = "id,name,extra_time\nTA-1,Zoë Núñez,\nTA-2,Ana Silva,25 %\nTA-3,Ana Silva,\n"


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a folder with a scheme and a class list, in which commands are typed."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "scheme.toml").write_text(SCHEME, encoding="utf-8")
    (tmp_path / "class.csv").write_text(CLASS, encoding="utf-8")
    return tmp_path


def ran(line: str, *more: str, typed: str = "") -> Result:
    done = CliRunner().invoke(commands.main, [*line.split(), *more], input=typed or None)
    assert "Traceback" not in done.output
    assert "Glossbook itself" not in done.output, done.output
    return done


ISSUE = "issue scheme.toml --class class.csv --paper"


def issued(paper: str = "plateau", *more: str) -> Result:
    ran(f"{ISSUE} {paper}", *more)
    done = ran(f"{ISSUE} {paper}", "--checked-by", "Pat Oak", *more)
    assert done.exit_code == 0, done.output
    return done


def sheet(student: str, paper: str = "plateau", sitting: int = 1) -> SheetRecord:
    with open_book("class.db") as book:
        (one,) = [s for s in book.sheets(paper) if s.student == student and s.sitting == sitting]
    return one


def right(one: SheetRecord) -> dict[str, str]:
    return {key.key: key.part.exact_answer() for key in answer_boxes(one.questions)}


def hand_in(name: str, one: SheetRecord, answers: dict[str, str]) -> None:
    Path("h").mkdir(exist_ok=True)
    text = json.dumps({"glossbook": 1, "token": one.token, "answers": answers})
    Path("h", name).write_text(text, encoding="utf-8")


# --- issuing ------------------------------------------------------------------------------


def test_nobody_vouches_for_a_paper_that_was_never_seen(desk: Path) -> None:
    done = ran(f"{ISSUE} plateau", "--checked-by", "Pat Oak")
    assert done.exit_code == 1
    assert "nobody has seen it" in done.output
    assert (desk / "sheets" / "plateau-to-check.html").exists()
    assert not list(desk.glob("sheets/*/*.ipynb"))
    assert ran(f"{ISSUE} plateau", "--checked-by", "Pat Oak").exit_code == 0


def test_a_scheme_that_changed_after_the_draft_is_looked_at_again(desk: Path) -> None:
    ran(f"{ISSUE} plateau")
    changed = SCHEME.replace("hand_in_by = 2027-04-08", "hand_in_by = 2027-05-08")
    (desk / "scheme.toml").write_text(changed, encoding="utf-8")
    assert ran(f"{ISSUE} plateau", "--checked-by", "Pat Oak").exit_code == 1
    assert ran(f"{ISSUE} plateau", "--checked-by", "Pat Oak").exit_code == 0
    assert sheet("TA-1").hand_in_by == "2027-05-08"


def test_packages_for_a_platform_lie_apart_from_the_sheets(desk: Path) -> None:
    issued()
    done = ran(f"{ISSUE} plateau --checked-by Pat --qti")
    assert done.exit_code == 0, done.output
    assert "3 packages in QTI 3.0" in done.output
    assert "not for students, since they hold the answers" in " ".join(done.output.split())
    folder = desk / "sheets" / "plateau-qti"
    one = sheet("TA-1")
    assert (folder / f"zoe-nunez_plateau_{one.token}.zip").is_file()
    assert len(list(folder.iterdir())) == 3
    assert not list(desk.glob("sheets/TA-1-*/*.zip"))


def test_a_resit_has_new_numbers_and_a_day_of_its_own(desk: Path) -> None:
    issued()
    words = f"{ISSUE} plateau --sitting 2 --checked-by Pat"
    refused = ran(words)
    assert refused.exit_code == 1
    assert "The first sitting's day was 2027-04-08" in refused.output
    assert ran(f"{words} --hand-in-by 2027-03-01").exit_code == 1
    assert ran(f"{words} --hand-in-by soon").exit_code == 1
    done = ran(f"{words} --opens-on 2027-05-01 --hand-in-by 2027-05-08")
    assert done.exit_code == 0, done.output
    first, second = sheet("TA-1"), sheet("TA-1", sitting=2)
    assert second.hand_in_by == "2027-05-08"
    assert right(first) != right(second)


# --- choosing -------------------------------------------------------------------------------


def test_questions_lists_ids_kinds_minutes_marks_and_where_they_were_used(desk: Path) -> None:
    issued()
    done = ran("questions scheme.toml --book class.db")
    assert done.exit_code == 0, done.output
    lines = done.output.splitlines()
    assert (
        "syrup-strength (calculate): work out the Brix of a syrup from what went into the pan"
        in (lines)
    )
    assert (
        "  syrup-water-for-brix: carry out, number, 3 marks, 4 min, evidence, used in plateau"
    ) in lines
    assert "  syrup-blend: carry out, number, 3 marks, 4 min, evidence" in lines
    assert "pour-amount" not in done.output  # its module is left out
    one = ran("questions scheme.toml --outcome syrup-strength").output
    assert one.count("syrup-strength") == 1
    assert "boil" not in one
    wrong = ran("questions scheme.toml --outcome syrup-strenght")
    assert wrong.exit_code == 1
    assert "Did you mean syrup-strength?" in wrong.output


def test_questions_draws_each_of_them_on_a_page_and_replaces_no_other_file(desk: Path) -> None:
    done = ran("questions scheme.toml --outcome boiling-stage --out q.html")
    assert done.exit_code == 0, done.output
    page = (desk / "q.html").read_text(encoding="utf-8")
    assert page.count('<section class="each">') == 6
    assert '<figure class="exhibit">' in page
    assert "<script" not in page
    assert ran("questions scheme.toml --out scheme.toml").exit_code == 1
    assert (desk / "scheme.toml").read_text(encoding="utf-8") == SCHEME


def test_a_paper_includes_and_excludes_questions_by_name(desk: Path) -> None:
    more = (
        '[papers.mine]\noutcomes = ["syrup-strength"]\ncarry_out = 2\n'
        'include = ["boil-point-here"]\nexclude = ["syrup-blend", "syrup-brix-weighed"]\n'
    )
    (desk / "scheme.toml").write_text(SCHEME + more, encoding="utf-8")
    issued("mine")
    names = {one["id"] for one in sheet("TA-1", "mine").questions}
    assert len(names) == 2
    assert "boil-point-here" in names
    assert not names & {"syrup-blend", "syrup-brix-weighed"}


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ('carry_out = 1\ninclude = ["syrup-blent"]', "Did you mean syrup-blend?"),
        ('carry_out = 1\ninclude = ["eye-fault"]', "is a question for practice only"),
        ('carry_out = 1\nquestions = ["syrup-blend"]', "counts levels as well"),
        ('questions = ["syrup-blend", "syrup-blend"]', "is in the list twice"),
        ('carry_out = 1\ninclude = ["syrup-blend"]\nexclude = ["syrup-blend"]', "as well"),
        ("carry_out = 1\ninclude = [3]", "between quote marks"),
    ],
)
def test_a_question_that_cannot_be_asked_is_told_by_name(desk: Path, lines: str, said: str) -> None:
    more = f'[papers.mine]\noutcomes = ["syrup-strength"]\n{lines}\n'
    (desk / "scheme.toml").write_text(SCHEME + more, encoding="utf-8")
    done = ran("check scheme.toml")
    assert done.exit_code == 1
    assert said in done.output


def test_a_paper_that_cannot_judge_what_must_be_met_is_refused_with_an_honest_one(
    desk: Path,
) -> None:
    more = (
        '[papers.mine]\noutcomes = ["syrup-strength", "kitchen-hazards"]\n'
        'must_pass = ["kitchen-hazards"]\ncarry_out = 2\ndecide = 1\n'
    )
    (desk / "scheme.toml").write_text(SCHEME + more, encoding="utf-8")
    for line in ("check scheme.toml", f"{ISSUE} mine"):
        done = ran(line)
        assert done.exit_code == 1
        assert "must_pass: can't be judged by this paper" in done.output
        assert "one question is not enough; missing: 2 questions of the kind decide" in done.output
        assert "carry_out = 2, decide = 3" in done.output


def test_a_paper_longer_than_the_one_asked_for_is_not_offered_as_one_of_as_many_questions(
    desk: Path,
) -> None:
    """One question judges nothing: what is offered then has more of them, and says so."""
    more = '[papers.mine]\noutcomes = ["syrup-strength"]\ncarry_out = 1\n'
    (desk / "scheme.toml").write_text(SWEET + more, encoding="utf-8")
    mine = ran("check scheme.toml").output.partition("Paper mine could ask this")[2]
    assert 'To judge more: outcomes = ["syrup-strength"], carry_out = 2' in mine
    assert "That many questions can judge" not in mine


def test_check_says_what_is_not_judged_and_that_hot_sugar_needs_safety(desk: Path) -> None:
    (desk / "scheme.toml").write_text(SWEET, encoding="utf-8")
    done = ran("check scheme.toml")
    assert done.exit_code == 0, done.output
    assert "syrup-strength (calculate): not judged, one question is not enough" in done.output
    assert "Hot sugar comes with it, and no safety must be met" in done.output
    assert "That many questions can judge: outcomes = [" in done.output


# --- what is signed is what is set -----------------------------------------------------------


def changed_scheme(desk: Path, *pairs: tuple[str, str]) -> None:
    text = SCHEME
    for was, now in pairs:
        assert was in text
        text = text.replace(was, now)
    (desk / "scheme.toml").write_text(text, encoding="utf-8")


LATER_DAY = ("hand_in_by = 2027-04-08\n[papers.drill]", "hand_in_by = 2027-05-08\n[papers.drill]")
HARDER = ('"boil-two-weighings"]', '"boil-to-strength"]')


def test_a_change_after_sheets_went_out_is_shown_signed_and_changes_none_of_them(
    desk: Path,
) -> None:
    issued()
    (page,) = desk.glob("sheets/TA-1-*/*-paper.html")
    before = page.read_text(encoding="utf-8")
    changed_scheme(desk, LATER_DAY, HARDER)
    late = CLASS.replace("TA-2,Ana Silva,25 %\n", "") + "TA-9,Joy Late,\n"
    (desk / "class.csv").write_text(late, encoding="utf-8")
    told = ran(f"{ISSUE} plateau").output
    assert "It is not the paper that Pat Oak signed on" in told
    assert "  hand in by: 2027-04-08 → 2027-05-08" in told
    assert "  question out: boil-two-weighings" in told
    assert "  question in: boil-to-strength" in told
    assert "Version 1, signed by Pat Oak, is with: TA-1 Zoë Núñez, TA-2" in told
    assert len(list(desk.glob("sheets/TA-9*"))) == 0
    draft = (desk / "sheets" / "plateau-to-check.html").read_text(encoding="utf-8")
    assert "<li>Question in: boil-to-strength</li>" in draft
    done = ran(f"{ISSUE} plateau", "--checked-by", "Kim Ash")
    assert done.exit_code == 0, done.output
    assert "Not on this list, but with a sheet of this paper: TA-2 Ana Silva." in done.output
    assert "New on this list: TA-9 Joy Late." in done.output
    assert "Version 2, signed by Kim Ash, is with: TA-9 Joy Late." in done.output
    assert page.read_text(encoding="utf-8") == before
    assert (sheet("TA-1").hand_in_by, sheet("TA-9").hand_in_by) == ("2027-04-08", "2027-05-08")
    assert [one["id"] for one in sheet("TA-9").questions][1] == "boil-to-strength"
    schemes = sorted(path.name for path in desk.glob("sheets/plateau-mark-scheme*"))
    assert schemes == ["plateau-mark-scheme-version-2.html", "plateau-mark-scheme.html"]
    again = ran(f"{ISSUE} plateau", "--checked-by", "Kim Ash")
    assert again.exit_code == 0
    assert "0 written now" in again.output


def test_a_later_rule_holds_for_later_sheets_alone(desk: Path) -> None:
    issued()
    text = SCHEME + '[pass]\nshare = "90 %"\n'
    (desk / "scheme.toml").write_text(text, encoding="utf-8")
    (desk / "class.csv").write_text(CLASS + "TA-9,Joy Late,\n", encoding="utf-8")
    assert "  pass, share: 0.5 → 0.9" in ran(f"{ISSUE} plateau").output
    assert ran(f"{ISSUE} plateau --checked-by Kim").exit_code == 0
    for who in ("TA-1", "TA-9"):
        right_but_one = right(sheet(who)) | {"1a": "1 g"}
        hand_in(f"{who}.json", sheet(who), right_but_one)
    ran("mark h --by Pat --received 2027-04-02")
    with open_book("class.db") as book:
        about = book.paper("plateau")
        states = {r.student.id: standing(r, about).state for r in book.results("plateau")}
    assert (states["TA-1"], states["TA-9"]) == ("passed", "not yet passed")
    (old,) = desk.glob("sheets/TA-1-*/*-paper.html")
    (new,) = desk.glob("sheets/TA-9-*/*-paper.html")
    assert "at least 50\N{NO-BREAK SPACE}% of all marks" in old.read_text(encoding="utf-8")
    assert "at least 90\N{NO-BREAK SPACE}% of all marks" in new.read_text(encoding="utf-8")


def test_what_is_written_again_beside_a_later_version_says_what_its_own_version_said(
    desk: Path,
) -> None:
    issued()
    rules = '[pass]\nshare = "90 %"\n[marking]\nunit_alone = true\n'
    (desk / "scheme.toml").write_text(SCHEME + rules, encoding="utf-8")
    more_time = CLASS.replace("TA-1,Zoë Núñez,", "TA-1,Zoë Núñez,2 d") + "TA-9,Joy Late,\n"
    (desk / "class.csv").write_text(more_time, encoding="utf-8")
    ran(f"{ISSUE} plateau")
    assert ran(f"{ISSUE} plateau --checked-by Kim").exit_code == 0
    (page,) = desk.glob("sheets/TA-1-*/*-paper.html")
    written = page.read_text(encoding="utf-8")
    assert "10 April 2027" in written  # it was written again
    assert "at least 50\N{NO-BREAK SPACE}% of all marks" in written
    first = (desk / "sheets" / "plateau-mark-scheme.html").read_text(encoding="utf-8")
    later = (desk / "sheets" / "plateau-mark-scheme-version-2.html").read_text(encoding="utf-8")
    assert "only beside a right number" in first
    assert "earns its mark beside a wrong number" in later


def test_a_scheme_that_changed_after_the_signature_needs_another_one(desk: Path) -> None:
    ran(f"{ISSUE} plateau")
    with open_book("class.db") as book:  # signed, and nothing issued yet
        book.check_paper("plateau", "Pat Oak")
    changed_scheme(desk, HARDER)
    refused = ran(f"{ISSUE} plateau", "--checked-by", "Kim Ash")
    assert refused.exit_code == 1
    assert "question in: boil-to-strength" in refused.output
    assert not list(desk.glob("sheets/TA-*"))


def test_a_resit_draws_other_questions_and_is_signed_by_itself(desk: Path) -> None:
    issued("open")
    words = f"{ISSUE} open --sitting 2 --hand-in-by 2027-05-08"
    refused = ran(f"{words} --checked-by Kim")
    assert refused.exit_code == 1
    assert "question in: " in refused.output
    assert (desk / "sheets" / "open-sitting-2-to-check.html").exists()
    done = ran(f"{words} --checked-by Kim")
    assert done.exit_code == 0, done.output
    first, second = sheet("TA-1", "open"), sheet("TA-1", "open", 2)
    assert {q["id"] for q in first.questions}.isdisjoint(q["id"] for q in second.questions)
    assert (first.version, second.version) == (1, 2)
    assert second.hand_in_by == "2027-05-08"


def test_another_paper_of_the_book_asks_other_questions_as_long_as_there_are_some(
    desk: Path,
) -> None:
    more = '[papers.again]\noutcomes = ["syrup-strength"]\ncarry_out = 2\n'
    (desk / "scheme.toml").write_text(SCHEME + more, encoding="utf-8")
    issued("open")
    issued("again")
    asked = [{q["id"] for q in sheet("TA-1", name).questions} for name in ("open", "again")]
    assert asked[0].isdisjoint(asked[1])


def test_another_term_asks_other_questions_than_the_books_that_the_scheme_names(
    desk: Path,
) -> None:
    issued("open")
    first = {q["id"] for q in sheet("TA-1", "open").questions}
    digest = Path("class.db").read_bytes()
    more = '[own]\nearlier_books = ["class.db"]\n'
    (desk / "scheme.toml").write_text(SCHEME + more, encoding="utf-8")
    for n in range(6):  # each book has a secret of its own
        for by in ((), ("--checked-by", "Pat Oak")):
            assert ran(f"{ISSUE} open --book {n}.db --out {n}", *by).exit_code == 0
        with open_book(f"{n}.db") as book:
            assert first.isdisjoint(book.paper("open").plan["questions"])
    assert Path("class.db").read_bytes() == digest
    wrong = SCHEME + '[own]\nearlier_books = ["nowhere.db"]\n'
    (desk / "scheme.toml").write_text(wrong, encoding="utf-8")
    assert "is not a file beside the scheme" in ran(f"{ISSUE} open").output


@pytest.mark.parametrize("policy", ['other_unit = "asked"', 'missing_unit = "assumed"'])
def test_a_sheet_names_the_unit_where_marking_takes_it_as_asked(desk: Path, policy: str) -> None:
    issued()
    (usual,) = desk.glob("sheets/TA-1-*/*.ipynb")
    assert "Give it in" not in usual.read_text(encoding="utf-8")
    (desk / "scheme.toml").write_text(f"{SCHEME}[marking]\n{policy}\n", encoding="utf-8")
    ran(f"{ISSUE} plateau --book other.db --out asked")
    ran(f"{ISSUE} plateau --book other.db --out asked --checked-by Pat")
    for form in ("*.ipynb", "*-paper.html"):
        (strict,) = desk.glob(f"asked/TA-1-*/{form}")
        assert "Give it in g." in strict.read_text(encoding="utf-8")


def test_who_issues_to_a_late_joiner_is_asked_by_the_options_own_name(
    desk: Path,
) -> None:
    issued()
    done = ran(f"{ISSUE} plateau")
    assert done.exit_code == 1
    assert "--checked-by: is not given" in done.output


def test_a_share_of_extra_time_without_a_beginning_is_told(desk: Path) -> None:
    assert "TA-2: 25 % of extra time can't be worked out" in issued("open").output
    assert "can't be worked out" not in issued("plateau").output


def test_a_new_scheme_in_a_folder_that_is_not_there_is_told_before_asking(
    desk: Path,
) -> None:
    done = ran("describe nowhere/scheme.toml")
    assert done.exit_code == 2
    assert "nowhere is no folder" in done.output
    assert "?" not in done.output


def test_a_plan_for_a_folder_that_is_a_file_is_told(desk: Path) -> None:
    done = ran("plan scheme.toml --out class.csv/plan.html")
    assert done.exit_code == 1
    assert "class.csv: can't be opened or written" in done.output


def test_two_papers_in_one_folder_keep_their_mark_schemes_and_packs(desk: Path) -> None:
    issued("plateau")
    issued("open")
    for paper in ("plateau", "open"):
        scheme = (desk / "sheets" / f"{paper}-mark-scheme.html").read_text("utf-8")
        for student in ("TA-1", "TA-2", "TA-3"):
            assert sheet(student, paper).token in scheme
    ran("report --evidence")
    assert len(list(desk.glob("reports/evidence/*/TA-1-zoe-nunez_*.zip"))) == 2


# --- marking --------------------------------------------------------------------------------


def test_marking_says_so_as_long_as_something_needs_a_look(desk: Path) -> None:
    issued()
    hand_in("one.json", sheet("TA-1"), right(sheet("TA-1")))
    assert ran("mark h").exit_code == 0
    (desk / "h" / "two.json").write_text("cut of", encoding="utf-8")
    first, second = ran("mark h"), ran("mark h")
    assert (first.exit_code, second.exit_code) == (1, 1)
    assert "1 needs a look from before: glossbook settle" in second.output
    ran("settle 1 --decision accept --by Pat --reason empty")
    assert ran("mark h").exit_code == 0


def test_the_assessor_says_when_a_pile_came_in(desk: Path) -> None:
    issued()
    hand_in("one.json", sheet("TA-1"), right(sheet("TA-1")))
    nameless = ran("mark h", "--received", "2027-04-09 09:00")
    assert nameless.exit_code == 1
    assert "--by: does not name a person" in nameless.output
    late = ran("mark h --by Pat", "--received", "2027-04-09 09:00")
    assert late.exit_code == 1
    assert "9 hours late" in late.output
    assert ran("mark h --by Pat", "--received", "the other day").exit_code == 1


def test_a_paper_that_came_in_time_is_not_late_when_it_is_keyed_in_later(
    desk: Path,
) -> None:
    issued()
    typed = "\n".join(right(sheet("TA-1")).values()) + "\n"
    words = f"mark --on-paper {sheet('TA-1').token} --by Pat"
    done = ran(words, "--received", "2027-04-08 16:00", typed=typed)
    assert done.exit_code == 0, done.output
    late = ran(words, "--received", "2027-04-10", typed="1 g\n" * 9)
    assert late.exit_code == 1
    assert "late" in late.output


def test_faults_of_a_class_list_are_told_before_the_paper_is_checked(
    desk: Path,
) -> None:
    (desk / "class.csv").write_text("id,name\nA1,\n", encoding="utf-8")
    done = ran(f"{ISSUE} plateau")
    assert done.exit_code == 1
    assert "class.csv:2: has no name" in done.output


def test_keying_in_that_is_left_half_way_records_nothing_and_says_so(
    desk: Path,
) -> None:
    issued()
    done = ran(f"mark --on-paper {sheet('TA-1').token} --by Pat", typed="1 g\n")
    assert done.exit_code == 1
    assert "Stopped while asking: nothing was recorded." in done.output
    with open_book("class.db", read_only=True) as book:
        assert book.handins() == []


def test_who_keys_in_is_asked_before_the_answers_are(desk: Path) -> None:
    issued()
    done = ran(f"mark --on-paper {sheet('TA-1').token}", typed="1 g\n" * 9)
    assert done.exit_code == 1
    assert "1a" not in done.output


def test_own_questions_follow_through_with_the_scheme_and_are_missed_without(
    desk: Path,
) -> None:
    (desk / "own").mkdir()
    (desk / "own" / "ours.py").write_text(OWN, encoding="utf-8")
    text = SCHEME.replace('["syrup-water-for-brix",', '["own-syrup",')
    (desk / "scheme.toml").write_text(text + '[own]\nquestions = "own"\n', encoding="utf-8")
    issued()
    forget()
    one = sheet("TA-1")
    place = next(n for n, q in enumerate(one.questions, 1) if q["id"] == "own-syrup")
    water = right(one)[f"{place}b"], right(one)[f"{place}a"]
    difference = float(water[0].split()[0]) - float(water[1].split()[0])
    answers = right(one) | {
        f"{place}a": "500 g",
        f"{place}b": f"{500 + difference:g} g",
    }
    typed = "\n".join(answers.values()) + "\n"
    without = ran(f"mark --on-paper {one.token} --by Pat --received 2027-04-02", typed=typed)
    assert without.exit_code == 1
    assert f"By hand: {place}b." in without.output
    assert "Mark with --scheme" in ran("mark own").output
    hand_in("one.json", sheet("TA-3"), right(sheet("TA-3")))
    done = ran("mark h --by Pat --scheme scheme.toml --received 2027-04-02")
    assert "--scheme" not in done.output
    forget()


# --- settling, putting right -------------------------------------------------------------------


@pytest.fixture
def marked(desk: Path) -> Path:
    issued()
    one = sheet("TA-1")
    hand_in("a.json", one, right(one) | {"1a": "about as much as yesterday"})
    (desk / "h" / "b.json").write_text("{", encoding="utf-8")
    ran("mark h --by Pat --received 2027-04-02")
    return desk


def test_an_assessor_sees_whose_it_is_and_what_was_written(marked: Path) -> None:
    assert "1  TA-1 Zoë Núñez, plateau, a.json: " in ran("settle").output
    looked = ran("settle 1").output
    assert "For: TA-1 Zoë Núñez, plateau." in looked
    assert "1a: wrote “about as much as yesterday”; 0 of" in looked


def test_half_a_decision_is_refused_and_records_nothing(marked: Path) -> None:
    for words in (
        "settle 1 --part 1a --by Pat --reason r",
        "settle 1 --by Pat --reason r",
        "settle --decision accept --by Pat --reason r",
        "settle --hand-in 1 --marks 1 --by Pat --reason r",
        "settle 1 --decision settled --by Pat --reason r",
    ):
        assert ran(words).exit_code == 2, words
    with open_book("class.db") as book:
        assert [d.what for d in book.decisions()] == ["received"]  # of the pile


def test_a_decision_shows_from_and_to_before_it_does_anything(marked: Path) -> None:
    shown = ran("settle 1 --marks 1")
    assert "1a: 0 → 1 of" in shown.output
    assert "Nothing is decided yet" in shown.output
    with open_book("class.db") as book:
        assert [d.what for d in book.decisions()] == ["received"]  # of the pile
    done = ran("settle 1 --marks 1 --by Pat --reason meant")
    assert done.exit_code == 0, done.output
    assert "1a: 0 → 1 of" in done.output
    looked = ran("settle 1").output
    assert "Matter 1, unread part, closed." in looked
    assert "Decided: marks, matter 1, by Pat" in looked
    assert "is closed" in ran("settle 1 --marks 0 --by Pat --reason r").output
    assert ran("settle 1 --reopen --by Pat --reason again").exit_code == 0
    assert "1a: wrote “about as much as yesterday”; 0 of" in ran("settle 1").output


def test_an_unread_part_is_not_closed_without_a_mark(marked: Path) -> None:
    done = ran("settle 1 --decision accept --by Pat --reason r")
    assert done.exit_code == 1
    assert "part 1a has no mark yet" in done.output.replace(":", "")


def test_a_mark_that_is_no_half_is_refused(marked: Path) -> None:
    assert "out of range" in ran("settle 1 --marks 1e-9 --by Pat --reason r").output


def test_the_assessors_own_note_stays_out_of_the_letter(marked: Path) -> None:
    ran("settle 1 --marks 1 --by Pat --reason", "He copies, as usual", "--tell", "I read 12.")
    ran("report")
    (letter,) = marked.glob("reports/letters/plateau/TA-1*.html")
    text = letter.read_text("utf-8")
    assert "I read 12." in text
    assert "as usual" not in text


def test_an_appeal_is_decided_by_somebody_else(marked: Path) -> None:
    ran("settle 1 --marks 1 --by Pat --reason r")
    made = ran("settle --hand-in 1 --part 1a --on 2027-04-10 --by Pat --appeal", "I wrote 12")
    assert made.exit_code == 0, made.output
    number = re.search(r"matter (\d+)", made.output)[1]
    said = ran("settle").output
    assert "An appeal of 2027-04-10 about part 1a: I wrote 12" in said
    assert "I wrote 12. A second reader decides." in said
    same = ran(f"settle {number} --marks 2 --by Pat --reason r")
    assert "second reader" in same.output
    assert ran(f"settle {number} --marks 2 --by Ada --reason r").exit_code == 0


def test_many_like_matters_are_decided_in_one_go(desk: Path) -> None:
    issued()
    for name in ("TA-1", "TA-2", "TA-3"):
        hand_in(f"{name}.json", sheet(name), right(sheet(name)))
    ran("mark h --by Pat --received 2030-01-01")
    shown = ran("settle --kind late --decision accept")
    assert shown.output.count("No mark changes.") == 3
    done = ran("settle --kind late --decision accept --by Pat --reason", "The bus was late")
    assert "3 matters are closed" in done.output
    assert "Nothing needs a look" in ran("settle").output
    with open_book("class.db") as book:
        assert len([d for d in book.decisions() if d.matter]) == 3  # beside the time of receipt


def test_a_book_is_verified_and_a_change_from_outside_is_named(marked: Path) -> None:
    found = ran("verify class.db")
    assert found.exit_code == 0, found.output
    head = re.search(r"head (\w+)", found.output)[1]
    ran("settle 1 --marks 1 --by Pat --reason r")
    assert ran(f"verify class.db --head {head}").exit_code == 0
    assert ran("verify class.db --head abcdef").exit_code == 1
    with sqlite3.connect("class.db") as raw:
        raw.execute("UPDATE mark SET awarded = 2 WHERE awarded = 0")
    raw.close()
    again = ran("verify class.db")
    assert again.exit_code == 1
    assert "was changed" in again.output


def test_the_book_to_verify_is_named_as_elsewhere_too(marked: Path) -> None:
    found = ran("verify class.db").output
    assert ran("verify --book class.db").output == found
    assert ran("verify").output == found
    assert ran("verify --book none.db").exit_code == 1


def test_what_has_no_marks_cannot_be_the_one_that_counts(marked: Path) -> None:
    number = ran("settle --kind", "unread file").output.split("\n")[1].split()[0]
    done = ran(f"settle {number} --decision counts --by Pat --reason r")
    assert done.exit_code == 1
    assert "has no marks that could count" in done.output
    assert "is not in this book" in ran("settle 99 --decision accept --by P --reason r").output


def test_a_correction_shows_by_name_who_moves_and_by_how_much(marked: Path) -> None:
    one = sheet("TA-1")
    name = one.questions[0]["id"]
    done = ran(f"remark --paper plateau --question {name} --everyone a")
    assert done.exit_code == 0, done.output
    assert "Zoë Núñez: " in done.output
    assert "Nothing is changed yet" in done.output


def test_a_correction_that_corrects_nothing_is_refused(marked: Path) -> None:
    name = sheet("TA-1").questions[0]["id"]
    assert ran(f"remark --paper plateau --question {name}").exit_code == 2
    doubt = ran(f"remark --paper plateau --question {name} --tolerance a", "1.500 g")
    assert "--tolerance: can be read in two ways (given: 1.500 g)" in doubt.output


@pytest.mark.parametrize("width", ["50 °C", "-1 g", "wide"])
def test_a_tolerance_that_does_not_fit_the_answer_is_refused(marked: Path, width: str) -> None:
    one = sheet("TA-1")
    question = next(q for q in one.questions if q["parts"][0]["unit"] == "gram")
    done = ran(f"remark --paper plateau --question {question['id']} --tolerance a", width)
    assert done.exit_code == 1
    assert "tolerance" in done.output


# --- a person's data ----------------------------------------------------------------------------


def test_an_erased_name_is_gone_from_what_was_said_of_others_too(desk: Path) -> None:
    issued()
    one, other = sheet("TA-1"), sheet("TA-3")
    hand_in("mine.json", one, right(one))
    hand_in("Núñez Zoë, from her phone.json", other, right(other))
    (desk / "h" / "TA-1 zoe nunez.json").write_text("{", encoding="utf-8")
    ran("mark h --by Pat --received 2027-04-02")
    reason = "ZOË NÚÑEZ had it in her folder, says TA-1"
    with open_book("class.db") as book:
        numbers = [one.id for one in book.matters()]
    for matter in numbers:
        ran(f"settle {matter} --decision accept --by Pat --reason", reason)
    ran("settle --hand-in 2 --part 1a --marks 1 --by Pat --reason", reason)
    done = ran("person TA-1 --erase --by Pat --reason", "Zoë Núñez asked")
    assert done.exit_code == 0, done.output
    raw = b"".join(path.read_bytes() for path in desk.glob("class.db*")).decode("latin-1")
    for name in ("Zoë Núñez", "ZOË NÚÑEZ", "Núñez Zoë", "zoe nunez"):
        assert name.encode().decode("latin-1") not in raw, name
    assert "TA-1" not in raw
    again = ran("mark h")
    assert again.output.startswith("3 files read; all were already recorded.")


def test_data_that_are_older_than_they_are_kept_are_told(desk: Path) -> None:
    issued()
    assert "Data are kept" not in ran("report").output
    with closing(sqlite3.connect("class.db")) as book, book:
        book.execute("update sheet set issued_at = '2020-01-01T00:00:00+00:00'")
    done = ran("report")
    assert "Data are kept for 90 days" in done.output
    assert "TA-1, TA-2, TA-3" in done.output


def test_what_another_system_asks_for_can_be_given(desk: Path) -> None:
    issued()
    assert "--category and --term" in ran("report --roster c1").output
    done = ran("report --roster c1 --category homework --term spring")
    assert "--category" not in done.output
    with zipfile.ZipFile("reports/oneroster.zip") as held:
        items = held.read("lineItems.csv").decode()
    assert "homework,spring" in items


def test_a_file_that_cannot_be_written_is_told_by_its_own_name(desk: Path) -> None:
    issued()
    (desk / "taken").write_text("a file, where a folder should be", encoding="utf-8")
    for words in (
        "person TA-1 --export taken/p.json",
        "report --out taken/reports",
    ):
        done = ran(words)
        assert done.exit_code == 1, words
        assert "taken" in done.output
        assert ".part" not in done.output


def test_a_person_without_a_row_is_told(desk: Path) -> None:
    issued()
    assert "is not in this book" in ran("person TA-9 --export x.json").output
