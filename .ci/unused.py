"""Name what nothing calls: functions, methods and names of the three floors.

Lessons, pages and scripts count as callers: the words in them are written out beside
the modules first.  Run: python .ci/unused.py
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
from keyword import iskeyword
from pathlib import Path

TOP = Path(__file__).resolve().parents[1]
WORD = re.compile(r"\b[a-z_][a-z0-9_]+\b")
# What is called by a name that no code writes: click, Sphinx, http.server, Alembic.
# of_state and class_of: one step each of what tests and benchmarks measure.
OUTSIDE = "of_state,class_of,demo,setup,check_notebook,log_message,do_*,upgrade,downgrade,visit_*,plain_text_only,example_kitchen"


def main() -> int:
    """Return 1 if anything is found, after printing it."""
    with tempfile.TemporaryDirectory() as folder:
        said = Path(folder) / "said_elsewhere.py"
        words = {
            word
            for ending in ("md", "html", "js", "mjs", "toml")
            for page in sorted(TOP.glob(f"*/**/*.{ending}"))
            for word in WORD.findall(page.read_text(encoding="utf-8"))
        }
        said.write_text(
            "".join(f"said.{word}\n" for word in sorted(words) if not iskeyword(word)),
            encoding="utf-8",
        )
        done = subprocess.run(
            [
                *(sys.executable, "-m", "vulture", "--min-confidence", "60"),
                *(
                    "--ignore-decorators",
                    "@question,@main.command,@calculator,@float_calculator,@event.*,@action,@surprise,@pages.*",
                ),
                *("--ignore-names", OUTSIDE),
                *(str(TOP / floor) for floor in ("calculators", "exercises", "course")),
                str(said),
            ],
            capture_output=True,
            text=True,
            check=False,
        )
    # A field is read by its dataclass, its JSON or a template: only what runs counts.
    found = [
        line.removeprefix(f"{TOP}/")
        for line in done.stdout.splitlines()
        if not re.search(r"unused (variable|attribute)", line)
    ]
    print("\n".join(found) or "Nothing unused.")
    if done.returncode not in (0, 3):
        print(done.stdout, done.stderr)
        return 1
    return int(bool(found))


if __name__ == "__main__":
    sys.exit(main())
