"""Nothing is overwritten that is of another kind than what is written."""

from __future__ import annotations

from pathlib import Path

import pytest

from calculators.faults import FaultsError
from exercises.book.book import create
from exercises.files.replacing import KINDS, MARK, mark_as_ours, may_fill, may_replace
from exercises.look import TOKENS

PAGE = f"<!DOCTYPE html>\n<title>An earlier plan</title><style>{TOKENS.read_text('utf-8')}</style>"


@pytest.mark.parametrize("kind", KINDS)
def test_a_mark_book_a_scheme_and_a_folder_are_left_as_they_are(tmp_path: Path, kind: str) -> None:
    create(tmp_path / "class.db").close()
    (tmp_path / "scheme.toml").write_text('title = "Glazing"', encoding="utf-8")
    (tmp_path / "answers.json").write_text('{"glossbook": 1, "token": ""}', encoding="utf-8")
    (tmp_path / "home.html").write_text("<!DOCTYPE html>\n<title>A school</title>", "utf-8")
    (tmp_path / "term.ics").write_text("BEGIN:VCALENDAR\nPRODID:-//A school//EN", "utf-8")
    (tmp_path / "folder").mkdir()
    for path in list(tmp_path.iterdir()):
        with pytest.raises(FaultsError, match="left as it is"):
            may_replace(path, kind)


def test_what_is_of_the_same_kind_empty_or_not_there_may_be_written(tmp_path: Path) -> None:
    page = tmp_path / "plan.html"
    assert may_replace(page, "page") == page
    page.write_text("")
    assert may_replace(page, "page") == page
    page.write_text(PAGE, encoding="utf-8")
    assert may_replace(page, "page") == page
    with pytest.raises(FaultsError):
        may_replace(page, "data")


def test_a_folder_into_which_nothing_was_put_stays_somebodys_own(tmp_path: Path) -> None:
    mark_as_ours(tmp_path)
    assert not (tmp_path / MARK).exists()
    (tmp_path / "letter.html").write_text(PAGE, encoding="utf-8")
    mark_as_ours(tmp_path)
    assert (tmp_path / MARK).exists()


def test_a_folder_of_ours_may_be_filled_again_and_somebodys_own_not(tmp_path: Path) -> None:
    folder = tmp_path / "reports"
    assert may_fill(folder) == folder
    folder.mkdir()
    assert may_fill(folder) == folder
    (folder / "thesis.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(FaultsError, match="holds files that no command put there"):
        may_fill(folder)
    (folder / "class-report.html").write_text(PAGE, encoding="utf-8")  # an older one, unmarked
    assert may_fill(folder) == folder
