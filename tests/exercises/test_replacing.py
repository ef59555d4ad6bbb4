"""Nothing is overwritten that is of another kind than what is written."""

from __future__ import annotations

from pathlib import Path

import pytest

from calculators.faults import FaultsError
from exercises.book.book import create
from exercises.files.replacing import may_replace


@pytest.mark.parametrize("kind", ["page", "calendar", "data"])
def test_a_mark_book_a_scheme_and_a_folder_are_left_as_they_are(tmp_path: Path, kind: str) -> None:
    create(tmp_path / "class.db").close()
    (tmp_path / "scheme.toml").write_text('title = "Glazing"', encoding="utf-8")
    (tmp_path / "folder").mkdir()
    for name in ("class.db", "scheme.toml", "folder"):
        with pytest.raises(FaultsError, match="left as it is"):
            may_replace(tmp_path / name, kind)


def test_what_is_of_the_same_kind_empty_or_not_there_may_be_written(tmp_path: Path) -> None:
    page = tmp_path / "plan.html"
    assert may_replace(page, "page") == page
    page.write_text("")
    assert may_replace(page, "page") == page
    page.write_text("<!DOCTYPE html>\n<title>An earlier plan</title>")
    assert may_replace(page, "page") == page
    with pytest.raises(FaultsError):
        may_replace(page, "data")
