"""What is typed at a prompt, from a scheme to a marked class."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from course.cli import commands
from course.demo import demonstration
from course.scheme import wizard
from exercises.book.book import open_book
from tests.browser.pages import DEMO

ROOT = Path(__file__).resolve().parents[2]
README = ROOT / "README.md"


def ran(*words: str | Path, typed: str = "") -> Result:
    return CliRunner().invoke(commands.main, [str(word) for word in words], input=typed or None)


# --- the demo, case by case ---------------------------------------------------------------

pytestmark = pytest.mark.xdist_group(__name__)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("demo") / "demo"
    done = ran("demo", "--out", out)
    assert done.exit_code == 0, done.output
    assert "Open this first" in done.output
    for line in done.output.rpartition("\n\n")[0].rpartition("\n\n")[2].splitlines():
        assert Path(line.split()[-1]).exists(), line
    return out


@pytest.fixture(scope="module")
def handins(demo: Path) -> dict[str, list]:  # type: ignore[type-arg]
    with open_book(demo / "class.db") as book:
        sheets = {sheet.token: sheet.student for sheet in book.sheets()}
        found: dict[str, list] = {}  # type: ignore[type-arg]
        for one in book.handins():
            found.setdefault(sheets.get(one.token or "", "nobody"), []).append(one)
        return found


@pytest.fixture(scope="module")
def marks(demo: Path) -> dict[str, tuple[float, float]]:
    with open_book(demo / "class.db") as book:
        return {r.student.id: (r.awarded, r.total) for r in book.results(demonstration.PAPER)}


def test_a_good_sheet_has_all_marks(marks: dict[str, tuple[float, float]]) -> None:
    awarded, total = marks["BP-01"]
    assert awarded == total > 0


def test_a_weak_sheet_has_fewer(marks: dict[str, tuple[float, float]]) -> None:
    awarded, total = marks["BP-02"]
    assert 0 < awarded < 0.8 * total


def test_a_wrong_road_is_named_in_the_letter(demo: Path) -> None:
    (letter,) = (demo / "reports" / "letters" / demonstration.PAPER).glob("BP-03*.html")
    assert "This is the number you get" in letter.read_text(encoding="utf-8")


def test_without_units_the_unit_marks_alone_are_lost(
    demo: Path, marks: dict[str, tuple[float, float]]
) -> None:
    with open_book(demo / "class.db") as book:
        (result,) = [r for r in book.results(demonstration.PAPER) if r.student.id == "BP-04"]
        lost = sum(m.total - m.awarded for m in result.marks.values())
        parts = [
            row
            for question in result.sheet.questions
            for part in question["parts"]
            for row in part.get("rows", [part])
            if row.get("marks", {}).get("unit") and row["unit"] != "leaf"
        ]  # "how many leaves?" is answered by a bare number
    assert lost == sum(part["marks"]["unit"] for part in parts) > 0


def test_the_second_hand_in_after_the_date_is_shown_and_not_counted(
    handins: dict[str, list],  # type: ignore[type-arg]
) -> None:
    first, second = sorted(handins["BP-05"], key=lambda h: h.received_at)
    assert set(second.flags) >= {"late", "repeated"}
    assert "late" not in first.flags


def test_the_copied_sheet_is_shown_and_marked(
    handins: dict[str, list],  # type: ignore[type-arg]
) -> None:
    (one,) = handins["BP-06"]
    assert "copied" in one.flags
    assert one.state == "marked"


def test_a_notebook_a_line_and_a_zip_are_marked(
    handins: dict[str, list],  # type: ignore[type-arg]
) -> None:
    assert [h.form for h in handins["BP-07"]] == ["notebook"]
    assert [h.form for h in handins["BP-09"]] == ["line"]
    for student in ("BP-07", "BP-09", "BP-10", "BP-12"):
        assert [h.state for h in handins[student]] == ["marked"], student


def test_the_damaged_file_and_the_picture_cant_be_read_and_say_why(
    handins: dict[str, list],  # type: ignore[type-arg]
) -> None:
    unread = [h for found in handins.values() for h in found if h.state == "can't be read"]
    assert {Path(h.path).suffix for h in unread} == {".json", ".jpg"}
    assert all(h.reason for h in unread)


def test_the_sheet_on_paper_is_keyed_in_by_name(
    demo: Path,
    handins: dict[str, list],  # type: ignore[type-arg]
) -> None:
    (one,) = handins["BP-11"]
    assert one.form == "paper"
    with open_book(demo / "class.db") as book:
        assert demonstration.ASSESSOR in {d.by for d in book.decisions(one.id)}


def test_everyone_has_a_letter_and_a_row_in_the_marks(demo: Path) -> None:
    with (demo / "class.csv").open(encoding="utf-8", newline="") as file:
        students = {row["id"] for row in csv.DictReader(file)}
    letters = {p.name[:5] for p in (demo / "reports").rglob("BP-*.html")}
    assert letters == students
    (table,) = (demo / "reports").glob("*-marks.csv")
    text = table.read_text(encoding="utf-8-sig")
    assert all(student in text for student in students)
    assert list((demo / "reports").glob("*-marks.xlsx"))
    assert list((demo / "reports").glob("*-class-report.html"))


def test_marking_again_counts_nothing_twice(demo: Path) -> None:
    with open_book(demo / "class.db") as book:
        before = book.counts()
    again = ran("mark", demo / "hand-ins", "--book", demo / "class.db")
    assert again.exit_code == 1, "what needed a look needs it still"
    assert "from before: glossbook settle" in again.output
    with open_book(demo / "class.db") as book:
        assert book.counts() == before


def test_settling_is_recorded_with_name_and_reason(demo: Path) -> None:
    listed = ran("settle", "--book", demo / "class.db")
    number = re.search(r"^  (\d+)  ", listed.output, re.MULTILINE)
    assert number, listed.output
    nameless = ran(
        "settle",
        number[1],
        "--decision",
        "accept",
        "--book",
        demo / "class.db",
        "--reason",
        "seen",
    )
    assert nameless.exit_code == 1
    assert "Traceback" not in nameless.output
    done = ran(
        "settle",
        number[1],
        "--decision",
        "accept",
        "--book",
        demo / "class.db",
        "--by",
        "Ada Example",
        "--reason",
        "spoke with both",
    )
    assert done.exit_code == 0, done.output
    with open_book(demo / "class.db") as book:
        last = book.decisions()[-1]
    assert (last.by, last.reason) == ("Ada Example", "spoke with both")


def test_solutions_stay_closed_until_somebody_opens_them(demo: Path, tmp_path: Path) -> None:
    book = demo / "class.db"
    closed = ran("report", "--book", book, "--out", tmp_path, "--solutions")
    assert closed.exit_code == 1
    opened = ran(
        "report",
        "--book",
        book,
        "--out",
        tmp_path,
        "--open-solutions",
        "--solutions",
        "--paper",
        demonstration.PAPER,
        "--by",
        "Ada Example",
        "--reason",
        "all in",
    )
    assert opened.exit_code == 0, opened.output


def test_a_demo_replaces_only_what_a_demo_made(tmp_path: Path) -> None:
    (tmp_path / "thesis.txt").write_text("mine", encoding="utf-8")
    done = ran("demo", "--out", tmp_path)
    assert done.exit_code == 1
    assert "holds files that no demo put there" in done.output
    assert (tmp_path / "thesis.txt").read_text(encoding="utf-8") == "mine"


# --- from a scheme to sheets -----------------------------------------------------------------


def test_a_new_scheme_is_asked_for_and_passes_its_check(tmp_path: Path) -> None:
    path = tmp_path / "scheme.toml"
    asked = ran("describe", path, typed="\n" * 30)
    assert asked.exit_code == 0, asked.output
    checked = ran("check", path)
    assert checked.exit_code == 0, checked.output
    assert "nothing to put right" in checked.output


def test_a_path_with_blanks_is_told_as_it_is_typed(tmp_path: Path) -> None:
    path = tmp_path / "my scheme.toml"
    asked = ran("describe", path, typed="\n" * 30)
    assert asked.output.rstrip().endswith(f'glossbook check "{path}"')


def test_a_check_tells_faults_of_own_lessons_and_of_the_papers_at_once(
    tmp_path: Path,
) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "lemon.md").write_text("# Lemon\n", encoding="utf-8")
    text = wizard.write({}).replace("carry_out = 6", "carry_out = 60")
    path = tmp_path / "scheme.toml"
    path.write_text(text + '[own]\nlessons = "mine"\n', encoding="utf-8")
    checked = ran("check", path)
    assert checked.exit_code == 1
    assert "lemon.md: has no 'title' in its head" in checked.output
    assert "first-paper" in checked.output


@pytest.mark.parametrize("command", ["check", "course"])
def test_a_coating_without_water_is_told_to_be_no_mirror_glaze(
    tmp_path: Path, command: str
) -> None:
    text = wizard.write({})
    first, last = text.index("[[formula.line]]"), text.index("#: [window]")
    lines = (
        '[[formula.line]]\ningredient = "dark chocolate"\nmass = "500 g"\n'
        '[[formula.line]]\ningredient = "sunflower oil"\nmass = "80 g"\n\n'
    )
    path = tmp_path / "scheme.toml"
    path.write_text(text[:first] + lines + text[last:], encoding="utf-8")
    out = ["--out", tmp_path / "site"] if command == "course" else []
    told = ran(command, path, *out)
    assert told.exit_code == 1
    assert "formula: holds too little water for a mirror glaze" in told.output
    assert not (tmp_path / "site").exists()


def test_a_new_scheme_never_overwrites_one(tmp_path: Path) -> None:
    path = tmp_path / "scheme.toml"
    path.write_text("mine", encoding="utf-8")
    done = ran("describe", path)
    assert done.exit_code == 1
    assert "left as it is" in done.output
    assert path.read_text(encoding="utf-8") == "mine"


def test_an_answer_that_cant_be_taken_is_asked_again(tmp_path: Path) -> None:
    path = tmp_path / "scheme.toml"
    done = ran("describe", path, typed="\n\n\n\nup the hill\n2250 m\n" + "\n" * 20)
    assert "altitude 2250 m: water boils here at 92" in done.output
    assert done.exit_code == 0, done.output
    assert 'altitude = "2250 m"' in path.read_text(encoding="utf-8")


def test_faults_of_a_scheme_are_told_together(tmp_path: Path) -> None:
    text = DEMO.read_text(encoding="utf-8")
    path = tmp_path / "scheme.toml"
    path.write_text(
        text.replace('"430 m"', '"430"')
        .replace('"22 °C"', '"22 g"')
        .replace("region", "regoin", 1),
        encoding="utf-8",
    )
    done = ran("check", path)
    assert done.exit_code == 1
    assert "things to put right" in done.output
    assert len(re.findall(r"scheme\.toml:\d+", done.output)) >= 3
    assert "Did you mean region" in done.output


def test_a_paper_is_drafted_checked_by_a_name_and_then_issued(tmp_path: Path) -> None:
    words = [
        "issue",
        DEMO,
        "--paper",
        "syrups-and-gelatin",
        "--class",
        DEMO.with_name("class.csv"),
        "--book",
        tmp_path / "class.db",
        "--out",
        tmp_path / "sheets",
    ]
    first = ran(*words)
    assert first.exit_code == 0, first.output
    assert (tmp_path / "sheets" / "syrups-and-gelatin-to-check.html").exists()
    assert not list((tmp_path / "sheets").glob("*/*.ipynb"))
    second = ran(*words, "--checked-by", "Ada Example")
    assert second.exit_code == 0, second.output
    assert len(list((tmp_path / "sheets").glob("*/*.ipynb"))) == 12
    assert len(list((tmp_path / "sheets").glob("*/*.html"))) == 24


def test_a_paper_that_is_not_in_the_scheme_is_told_with_the_nearest(
    tmp_path: Path,
) -> None:
    done = ran("issue", DEMO, "--paper", "syrups-and-jelly", "--book", tmp_path / "b.db")
    assert done.exit_code == 1
    assert "Did you mean syrups-and-gelatin?" in done.output


def test_practice_sets_need_no_class_and_no_book(tmp_path: Path) -> None:
    done = ran("issue", DEMO, "--paper", "syrup-practice", "--sets", "2", "--out", tmp_path)
    assert done.exit_code == 0, done.output
    assert len(list(tmp_path.glob("*.ipynb"))) == 2
    one, two = sorted(tmp_path.glob("*-paper.html"))
    assert one.read_text(encoding="utf-8") != two.read_text(encoding="utf-8")


def test_the_practical_is_one_page(tmp_path: Path) -> None:
    out = tmp_path / "a new folder" / "practical.html"
    done = ran("plan", DEMO, "--out", out)
    assert done.exit_code == 0, done.output
    assert "Order list" in out.read_text(encoding="utf-8")
    assert out.with_suffix(".ics").read_bytes().startswith(b"BEGIN:VCALENDAR\r\n")


def test_a_colourant_the_region_forbids_stops_the_plan(tmp_path: Path) -> None:
    text = DEMO.read_text(encoding="utf-8")
    assert 'colourant = "plant colours"' in text
    path = tmp_path / "scheme.toml"
    path.write_text(
        text.replace('colourant = "plant colours"', 'colourant = "titanium white"', 1),
        encoding="utf-8",
    )
    done = ran("plan", path, "--out", tmp_path / "practical.html")
    assert done.exit_code == 1
    assert "titanium white" in done.output
    assert not (tmp_path / "practical.html").exists()


# --- the edge itself --------------------------------------------------------------------------


@pytest.mark.parametrize("name", sorted(commands.main.commands))
def test_every_command_is_in_the_readme_and_says_what_it_is_for(name: str) -> None:
    command = commands.main.commands[name]
    assert command.help, name
    assert f"glossbook {name}" in README.read_text(encoding="utf-8")
    assert ran(name, "--help").exit_code == 0


def test_a_command_is_short() -> None:
    import inspect

    for name, command in commands.main.commands.items():
        assert command.callback is not None
        body = inspect.getsource(command.callback).split(":\n", 1)[1]
        code = [line for line in body.splitlines() if line.strip() and '"""' not in line]
        assert len(code) <= 22, name


def test_a_mistyped_command_exits_two() -> None:
    assert ran("marc").exit_code == 2


@pytest.mark.parametrize(
    "words",
    [
        ["check", "nothing-here.toml"],
        ["course", "nothing-here.toml"],
        ["mark", "no-folder", "--book", "no-book.db"],
        ["report", "--book", "no-book.db"],
        ["show", "no-site"],
    ],
)
def test_a_missing_file_is_told_without_a_traceback(
    words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    done = ran(*words)
    assert done.exit_code == 1
    assert "Traceback" not in done.output
    assert words[1].split(".")[0] in done.output or "no-book" in done.output


def test_a_fault_of_our_own_is_kept_for_an_engineer(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("GLOSSBOOK_CACHE", str(tmp_path))

    def broken(path: Path) -> None:
        raise RuntimeError("a bolt came loose")

    monkeypatch.setattr("course.scheme.reading.read_scheme", broken)
    done = ran("check", DEMO)
    assert done.exit_code == 1
    assert "a bolt came loose" not in done.output
    kept = (tmp_path / "what-went-wrong.txt").read_text(encoding="utf-8")
    assert "a bolt came loose" in kept


def test_the_readme_names_only_commands_and_options_that_exist() -> None:
    text = README.read_text(encoding="utf-8")
    for line in re.findall(r"^glossbook (.+)$", text, re.MULTILINE):
        name = line.split()[0]
        command = commands.main.commands[name]
        known = {o for p in command.params if isinstance(p, click.Option) for o in p.opts}
        used = re.findall(r"(--[a-z-]+)", line.partition("#")[0])
        assert set(used) <= known, line
