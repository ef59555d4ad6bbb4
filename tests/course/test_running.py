"""When a lesson has to be run again: its key is of all that its cells can reach."""

from pathlib import Path

import pytest

from course.lessons.modules import modules
from course.making import lessons, running

ROOT = Path(running.__file__).parents[2]


@pytest.mark.parametrize(
    "file",
    [
        "calculators/data/gelling.toml",
        "calculators/data/cautions.toml",
        "calculators/data/coating.csv",
        "calculators/data/sources.bib",
        "calculators/kitchen.py",
        "course/kit/pictures/pour.py",
        "course/practical/lesson.py",
        "course/scheme/model.py",
        "exercises/craft/method.toml",
        "exercises/rehearsal/consequences.py",
    ],
)
def test_a_run_is_not_kept_where_what_its_cells_say_has_changed(file, monkeypatch):
    assert (ROOT / file).is_file()
    lesson = lessons.lessons_of(list(modules()))[0]
    before, plain = running.key_of(lesson, "kitchen"), Path.read_bytes
    monkeypatch.setattr(Path, "read_bytes", lambda path: plain(path) + b"#" * (path == ROOT / file))
    running._house_digest.cache_clear()
    try:
        assert running.key_of(lesson, "kitchen") != before
    finally:
        monkeypatch.undo()
        running._house_digest.cache_clear()
    assert running.key_of(lesson, "kitchen") == before
