"""Building the course site, cold and warm, against what it can't do without.

python -m tests.benchmarks.bench_build

Cold: no lesson has been run.  The baseline in the same run is the lessons' own run
times, one after the other, shared by the cores, and Sphinx with execution off.
Warm: one lesson was edited since.  The live parts are left out of both: their own
benchmark is bench_live.py.
"""

import tempfile
from pathlib import Path

from course.demo import FOLDER
from course.making import blocks, lessons, running
from course.scheme.reading import read_scheme
from course.site import building
from tests.benchmarks.measuring import CORES, Targets, measured

DEMO = FOLDER / "scheme.toml"


def main() -> int:
    """Print the ratios, and return 1 if the target is missed."""
    targets = Targets()
    scheme = read_scheme(DEMO)
    kitchen = blocks.kitchen_cell(scheme)
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)

        def build(where: str) -> building.Built:
            return building.build(scheme, root / "site", cache=root / where, live=False)

        running.run(lessons.lessons_of(["gelatin"])[0], kitchen)  # warms the disk
        built, cold, _ = measured(lambda: build("cold"))
        assert len(built.kept) == 0
        chosen = lessons.lessons_of(scheme.modules)
        alone = [measured(lambda one=one: running.run(one, kitchen))[1] for one in chosen]
        again, sphinx, _ = measured(
            lambda: building.build(scheme, root / "other", cache=root / "cold", live=False)
        )
        assert again.run == []
        baseline = sum(alone) / CORES + sphinx
        print(f"{len(lessons)} lessons, one after the other {sum(alone):.1f} s")
        print(f"Sphinx with execution off {sphinx:.1f} s, {CORES} cores: {baseline:.1f} s")
        print(f"cold build {cold:.1f} s")
        targets("cold build to lessons / cores + Sphinx", cold / baseline, 1.25)
        own = root / "own"
        own.mkdir()
        text = (lessons.LESSONS / "how-strong.md").read_text(encoding="utf-8")
        (own / "how-strong.md").write_text(text + "\nOne more sentence.\n", encoding="utf-8")
        edited = read_scheme(_with_own(root, own))
        build("cold")
        built, warm, _ = measured(
            lambda: building.build(edited, root / "site", cache=root / "cold", live=False)
        )
        assert built.run == ["how-strong"], built.run
        print(f"after one lesson's edit {warm:.1f} s, {warm / cold:.2f} of the cold build")
    return 1 if targets.missed else 0


def _with_own(root: Path, own: Path) -> Path:
    """Write the demo's scheme with a folder of own lessons."""
    path = root / "scheme.toml"
    text = DEMO.read_text(encoding="utf-8")
    path.write_text(f'{text}\n[own]\nlessons = "{own.name}"\n', encoding="utf-8")
    return path


if __name__ == "__main__":
    raise SystemExit(main())
