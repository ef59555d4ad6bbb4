"""Record what the lessons say for the demo kitchen; run it after a change on purpose.

python -m tests.lessons.record [lesson ...]

The recordings are committed: a changed number shows in the diff.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

from course.demo import FOLDER
from course.lessons.modules import modules
from course.making import blocks, lessons, recording, running
from course.scheme.reading import read_scheme

HERE = Path(__file__).parent
DEMO = FOLDER / "scheme.toml"


def recorded(slug: str) -> list[dict[str, str]]:
    """Return the recording of a lesson; empty where there is none yet."""
    path = HERE / f"{slug}.json"
    return json.loads(path.read_text(encoding="utf-8")) if path.exists() else []


def main(wanted: list[str]) -> None:
    """Run the lessons that are named, or all, and write their recordings."""
    kitchen = blocks.kitchen_cell(read_scheme(DEMO))
    chosen = [
        lesson
        for lesson in lessons.lessons_of(list(modules()))
        if not wanted or lesson.slug in wanted
    ]
    for ran in running.run_all(chosen, kitchen):
        text = json.dumps(recording.record(ran.notebook), ensure_ascii=False, indent=1)
        (HERE / f"{ran.lesson.slug}.json").write_text(text + "\n", encoding="utf-8")
        print(f"recorded {ran.lesson.slug}")  # noqa: T201


if __name__ == "__main__":
    main(sys.argv[1:])
