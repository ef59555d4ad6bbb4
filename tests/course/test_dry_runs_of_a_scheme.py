"""A dry run that a lecturer sets: what is read, what is refused, what is echoed."""

from __future__ import annotations

import datetime
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from calculators.faults import FaultsError
from course.demo import FOLDER
from course.live.answers import Answers
from course.making.blocks import setting_of
from course.office import papers
from course.office.papers import book_for
from course.office.report_lines import scheme_lines
from course.scheme import wizard
from course.scheme.model import Scheme
from course.scheme.reading import read_scheme
from exercises.book.book import create
from exercises.book.records import Student
from exercises.questions.registry import bank
from exercises.rehearsal.surprises import SURPRISES, drawn
from tests.course.test_scheme import SHORT

WATERLESS = """
[[dry_runs.a.line]]
ingredient = "sugar"
mass = "900 g"
[[dry_runs.a.line]]
ingredient = "water"
mass = "50 g"
"""


@pytest.fixture
def scheme_of(tmp_path: Path) -> Callable[[str], Scheme]:
    def make(text: str) -> Scheme:
        path = tmp_path / "scheme.toml"
        path.write_text(SHORT + text, encoding="utf-8")
        return read_scheme(path)

    return make


def test_a_run_needs_nothing_but_its_name(scheme_of: Callable[[str], Scheme]) -> None:
    run = scheme_of("[dry_runs.first-try]").dry_runs["first-try"]
    assert (run.title, run.way, run.seed, run.meets) == ("First try", "free", "first-try", ())
    assert run.hand_in_by is None


def test_a_run_holds_what_was_written(scheme_of: Callable[[str], Scheme]) -> None:
    run = scheme_of(
        '[dry_runs.a]\ntitle = "A try"\nway = "with surprises"\nseed = "spring"\n'
        'surprises = ["frost", "wide jug"]\nhand_in_by = 2027-03-22\n'
        '[[dry_runs.a.line]]\ningredient = "water"\nmass = "300 g"\n'
        '[[dry_runs.a.line]]\ningredient = "sugar"\nmass = "300 g"\n'
    ).dry_runs["a"]
    assert (run.title, run.seed, run.meets) == ("A try", "spring", ("frost", "wide jug"))
    assert run.hand_in_by == datetime.date(2027, 3, 22)
    assert [line.ingredient for line in run.lines] == ["water", "sugar"]


def test_without_names_surprises_are_drawn_from_the_seed(
    scheme_of: Callable[[str], Scheme],
) -> None:
    text = '[dry_runs.a]\nway = "with surprises"\nseed = "spring"\n'
    assert scheme_of(text).dry_runs["a"].meets == drawn("spring")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            '[dry_runs."My run"]',
            r"dry_runs.My run: has a name that no file could bear .*Name it like my-run\.",
        ),
        (f"[dry_runs.{'a' * 59}-b]", rf"no file could bear .*Name it like {'a' * 59}\."),
        ('[dry_runs."é"]', r"no file could bear .*Name it like run-1\."),
        (
            '[dry_runs.a]\nway = "quick"',
            r":\d+, dry_runs.a.way: is not a known choice.*guided, free",
        ),
        (
            '[dry_runs.a]\nway = "with surprises"\nsurprises = ["flood"]',
            r":\d+, dry_runs.a.surprises.1: is not a known surprise \(given: flood\)",
        ),
        (
            '[dry_runs.a]\nsurprises = ["frost"]',
            r"dry_runs.a.surprises: are named, and the way has none \(given: free\).*with surprises",
        ),
        ("[dry_runs.a]\nhand_in_by = 3", r"dry_runs.a.hand_in_by: is not a day"),
        ('[dry_runs.a]\nmarks = "3"', r"dry_runs.a.marks: is not"),
        ("[dry_runs.a]" + WATERLESS, r"dry_runs.a.line: holds too little water .*5 %.*12 %"),
        ("[dry_runs]\na = 3", r"dry_runs.a"),
    ],
)
def test_what_can_not_be_is_told_with_its_line(
    scheme_of: Callable[[str], Scheme], text: str, words: str
) -> None:
    with pytest.raises(FaultsError, match=words):
        scheme_of(text)


def test_all_faults_are_told_at_once(scheme_of: Callable[[str], Scheme]) -> None:
    with pytest.raises(FaultsError) as caught:
        scheme_of('[dry_runs.a]\nway = "quick"\nhand_in_by = 3\n[dry_runs.B]\nseed = 3\n')
    told = [fault.where.split(", ")[1] for fault in caught.value.faults]
    assert told == ["dry_runs.a.way", "dry_runs.a.hand_in_by", "dry_runs.B", "dry_runs.B.seed"]


def test_check_echoes_the_run(scheme_of: Callable[[str], Scheme]) -> None:
    lines = scheme_lines(
        scheme_of(
            '[dry_runs.a]\nway = "with surprises"\nsurprises = ["frost"]\nhand_in_by = 2027-03-22'
        )
    )
    assert "Dry run a: with surprises (frost), to be handed in by 2027-03-22." in lines


def test_describe_offers_a_run_as_a_remark(tmp_path: Path) -> None:
    text = wizard.write({})
    start = text.index("# [dry_runs.before-the-pour]")
    end = text.index("#: [pass]")
    lines = [line.removeprefix("# ") for line in text[start:end].splitlines()]
    path = tmp_path / "scheme.toml"
    path.write_text(text[:start] + "\n".join(lines) + text[end:], encoding="utf-8")
    assert read_scheme(path).dry_runs["before-the-pour"].meets == ("frost",)


# --- the mark book knows them -------------------------------------------------------------


def test_a_mark_book_gets_to_know_the_runs_of_its_scheme(tmp_path: Path) -> None:
    scheme = read_scheme(FOLDER / "scheme.toml")
    with book_for(scheme, tmp_path / "class.db") as book:
        (held,) = book.dry_runs()
        assert (held.name, held.content["hand in by"]) == ("before-the-pour", "2027-03-22")
        assert held.content["cover"] == scheme.practical.limits.cover.m_as("cm")
        assert [row["id"] for row in held.content["rows"]][:2] == ["plan", "hands"]
    with book_for(scheme, tmp_path / "class.db") as book:
        assert len(book.dry_runs()) == 1


def test_a_log_from_the_page_is_taken_in_by_glossbook_mark(tmp_path: Path) -> None:
    path = FOLDER / "scheme.toml"
    page = Answers(setting_of(read_scheme(path)))
    asked = ["dry_run", {"run": "before-the-pour", "student": "Ada Linden"}, {"do": "save"}]
    saved = json.loads(page.call(json.dumps(asked)))
    pile = tmp_path / "pile"
    pile.mkdir()
    (pile / saved["file_name"]).write_text(saved["file"], encoding="utf-8")
    with create(tmp_path / "class.db") as book:
        book.enrol([Student("s1", "Ada Linden")])
        lines, look = papers.mark(book, pile, path, lambda done, total: None)
        assert not look
        assert lines[:3] == [
            "1 file read.",
            "New: 1 received.",
            "1 of them is a dry run: recorded, and commented on by glossbook report; "
            "it earns no marks.",
        ]
        assert [one.student for one in book.rehearsals()] == ["s1"]


def test_the_readme_sets_a_run_that_can_be_read_and_names_every_surprise(
    scheme_of: Callable[[str], Scheme],
) -> None:
    text = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    about = text[text.index("**A dry run for the class.**") :]
    block = about.split("```toml\n")[1].split("```")[0]
    run = scheme_of(block).dry_runs["before-the-pour"]
    assert run.meets == ("thermometer", "frost")
    named = about[about.index("The surprises are") :].partition(".")[0]
    assert all(f"`{name}`" in named for name in SURPRISES)
    for name in ("fault-run-day", "fault-run-hob"):
        assert f"`{name}`" in about
        assert name in bank()
