"""The command on observations: issue, read, key in, alone; and what a scheme decides of it."""

import json

import pytest
from click.testing import CliRunner

from calculators.faults import FaultsError
from course.cli.commands import main
from course.demo import FOLDER
from course.scheme.observing import observed_content
from course.scheme.reading import read_scheme
from exercises.book.book import open_book

SCHEME, CLASS = FOLDER / "scheme.toml", FOLDER / "class.csv"
TEXT = SCHEME.read_text(encoding="utf-8")


def ran(*words, typed=""):
    done = CliRunner().invoke(main, [str(word) for word in words], input=typed)
    assert "Traceback" not in done.output
    return done


def issued(tmp_path, *more):
    book = tmp_path / "class.db"
    out = tmp_path / "observing"
    done = ran(
        "observe", SCHEME, "--class", CLASS, "--book", book, "--out", out, "--by", "M. O.", *more
    )
    assert done.exit_code == 0, done.output
    return book, out


def test_a_second_issue_gives_the_same_sheets_and_a_resit_new_ones(tmp_path):
    book, out = issued(tmp_path)
    with open_book(book) as held:
        first = {one.token for one in held.observation_sheets()}
    issued(tmp_path)
    with open_book(book) as held:
        assert {one.token for one in held.observation_sheets()} == first
    issued(tmp_path, "--sitting", 2)
    with open_book(book) as held:
        assert len(held.observation_sheets()) == 24
        second = {one.token for one in held.observation_sheets() if one.sitting == 2}
    page = (out / "observe.html").read_text(encoding="utf-8")
    assert all(token in page for token in second)
    assert not any(token in page for token in first)


def test_a_sheet_on_paper_is_keyed_in_at_the_prompt(tmp_path):
    book, _ = issued(tmp_path)
    with open_book(book) as held:
        token = held.observation_sheets()[0].token
    typed = "\n".join(["Ann Quill", "", *["s"] * 14, "", "", "", "", "", "sound", ""]) + "\n"
    done = ran("observe", "--on-paper", token, "--book", book, "--by", "M. O.", typed=typed)
    assert done.exit_code == 0, done.output
    assert "Recorded: Odile Marchetti, passed." in done.output
    with open_book(book) as held:
        assert held.observations()[0].form == "keyed in"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "needs a scheme, or what to read"),
        ((SCHEME,), "--class: is not given"),
        ((SCHEME, "--class", CLASS), "does not name a person"),
        (("--read", "nowhere", "--by", "M. O."), "is not there"),
    ],
)
def test_what_is_missing_is_told_with_the_next_step(tmp_path, words, told):
    issued(tmp_path)
    done = ran("observe", *words, "--book", tmp_path / "class.db", "--out", tmp_path / "x")
    assert done.exit_code == 1
    assert told in done.output


def test_a_file_with_a_fault_makes_the_command_end_with_one(tmp_path):
    book, out = issued(tmp_path)
    (out / "x.observed.json").write_text(json.dumps({"kind": "observed"}), encoding="utf-8")
    done = ran("observe", "--read", out, "--book", book, "--by", "M. O.")
    assert done.exit_code == 1
    assert "Left out: x.observed.json: names no observer" in done.output


def test_a_student_alone_gets_a_page_and_a_card_without_marks(tmp_path):
    done = ran("observe", SCHEME, "--alone", "--out", tmp_path)
    assert done.exit_code == 0, done.output
    card = (tmp_path / "my-bench-card.html").read_text(encoding="utf-8")
    assert "no marks, nothing to hand in" in card
    assert "Observer" not in card
    for words in ("only with the supervisor", "hot sugar", "allergens", "colourants", "chilling"):
        assert words in card
    assert not (tmp_path / "class.db").exists()


def test_the_scheme_decides_band_thermometer_and_cover(tmp_path):
    path = tmp_path / "scheme.toml"
    more = '\n[observation]\ncoat_band = "20 %"\nthermometer = "0.5 °C"\ncover = "2 cm"\n'
    path.write_text(TEXT + more, encoding="utf-8")
    held = observed_content(read_scheme(path))
    rows = {row["id"]: row for row in held["rows"]}
    assert "0.5 °C out" in rows["window"]["look"]
    assert "4.5 cm deep" in rows["blade"]["look"]
    # A cylinder keeps 508.94 cm² x 0.22 g/cm² = 111.97 g; 20 % either way.
    assert (held["bands"][0]["low"], held["bands"][0]["high"]) == (89, 135)
    assert held["hold"] == 3
    path.write_text(TEXT + '\n[observation]\nthermometer = "lots"\n', encoding="utf-8")
    with pytest.raises(FaultsError, match="lots"):
        read_scheme(path)
    path.write_text(TEXT + '\n[observation]\nband = "20 %"\n', encoding="utf-8")
    with pytest.raises(FaultsError, match="band"):
        read_scheme(path)
