"""The house holds: its floors, its papers, its promises to readers and to lecturers."""

from __future__ import annotations

import ast
import inspect
import pkgutil
import re
import subprocess
import sys
import tomllib
from collections import Counter
from functools import cache
from importlib import import_module
from importlib.metadata import requires
from pathlib import Path

import pytest

import calculators
from calculators import safety, sources
from calculators.catalogue import subjects
from calculators.sources import bibliography
from calculators.units import PROVENANCES, PUBLISHED, declaration, unit
from course.kit.docstrings import sections
from course.lessons.modules import modules
from course.making.lessons import CITE, lessons_of
from course.site import reference
from exercises.questions.outcomes import outcomes
from exercises.questions.registry import bank

TOP = Path(calculators.__file__).parents[1]
FLOORS = ("calculators", "exercises", "course")
ON_SHEETS = {key: one for key, one in outcomes().items() if one.evidence != "do"}
LESSONS = {one.slug: one for one in lessons_of(list(modules()))}
PUBLIC = {
    f"{subject}.{name}": function
    for subject, held in subjects().items()
    for name, function in held.items()
}
GROUND = [
    import_module(module.name)
    for module in pkgutil.walk_packages(calculators.__path__, "calculators.")
]
every_function = pytest.mark.parametrize("name", PUBLIC)


@cache
def tracked() -> tuple[Path, ...]:
    """Return the files of the project, by git where there is one."""
    if (TOP / ".git").exists():
        said = subprocess.run(
            ["git", "ls-files", "-z"],
            cwd=TOP,
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        files = [TOP / name for name in said.split("\0") if name]
    else:
        made = {"__pycache__", "build", "dist", "site", "demo"}
        files = [
            path
            for path in TOP.rglob("*")
            if path.is_file()
            and not any(
                (part in made and (TOP / part).is_dir() and n == 0)
                or part == "__pycache__"
                or part.endswith(".egg-info")
                or (part.startswith(".") and part not in (".ci", ".gitignore"))
                for n, part in enumerate(path.relative_to(TOP).parts)
            )
        ]
    return tuple(sorted(path for path in files if path.exists()))


@cache
def texts() -> dict[str, str]:
    """Return every file of the project that is text, by its name."""
    found = {}
    for path in tracked():
        try:
            found[path.relative_to(TOP).as_posix()] = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
    return found


def lines_with(pattern: str, leave: tuple[str, ...] = ()) -> list[str]:
    """Return where a pattern stands: file, line, what stands there."""
    wanted = re.compile(pattern, re.IGNORECASE)
    return [
        f"{name}:{number}: {found[0]}"
        for name, text in texts().items()
        if name not in leave
        for number, line in enumerate(text.splitlines(), 1)
        if (found := wanted.search(line))
    ]


# --- what the ground floor stands on ----------------------------------------


def pint_and_what_it_needs() -> set[str]:
    """Return the names of the packages that pint can't do without."""
    found, todo = set(), ["pint"]
    while todo:
        name = todo.pop()
        if name not in found:
            found.add(name)
            todo += [
                re.split(r"[ ;<>=!~\[(]", line, maxsplit=1)[0].replace("-", "_").lower()
                for line in requires(name) or ()
                if "extra ==" not in line
            ]
    return found


PINT_ALONE = """
import importlib, importlib.abc, pkgutil, sys
top, allowed = sys.argv[1], set(sys.argv[2].split()) | set(sys.stdlib_module_names)

class Allowed(importlib.abc.MetaPathFinder):
    # Finds what is allowed, where the finder inside finds it.
    def __init__(self, inside):
        self.inside = inside

    def find_spec(self, name, path=None, target=None):
        known = name.partition(".")[0] in allowed | {"calculators"}
        return self.inside.find_spec(name, path, target) if known else None

sys.meta_path[:] = [Allowed(finder) for finder in sys.meta_path if hasattr(finder, "find_spec")]
import calculators
for module in pkgutil.walk_packages(calculators.__path__, "calculators."):
    importlib.import_module(module.name)
from calculators import formula, syrup
from calculators.units import q, say
print(say(syrup.brix(q(1, "kg"), q(1, "kg"))), "numpy" in sys.modules, "matplotlib" in sys.modules)
"""


def test_the_calculators_are_imported_where_there_is_nothing_but_pint() -> None:
    assert {"pint", "flexparser"} <= pint_and_what_it_needs()
    assert "numpy" not in pint_and_what_it_needs()
    ran = subprocess.run(
        [sys.executable, "-I", "-c", PINT_ALONE, str(TOP), " ".join(pint_and_what_it_needs())],
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr[-2000:]
    assert ran.stdout.replace("\xa0", " ").strip() == "50 % False False"


# --- what the files may not hold -----------------------------------------------------------------


def test_no_file_names_a_registry_of_packages() -> None:
    halves = (
        ("pypi", r"\.(org|python)"),
        ("python", "hosted"),
        ("npm", "js"),
        ("anaconda", r"\.org"),
        ("conda", "-forge"),
        ("--(extra-)?index", "-url"),
    )
    hosts = "|".join(one + other for one, other in halves)
    assert lines_with(hosts, leave=("tests/test_architecture.py",)) == []


def test_no_file_names_a_place_on_this_machine() -> None:
    places = r"(?<![\w.~>/-])/(work|opt|root|home|Users)(/|\b)|\.\./shared|\bC:\\Users"
    assert lines_with(places, leave=("tests/test_architecture.py",)) == []


def test_no_file_leaves_work_undone() -> None:
    words = r"(?-i:\b(?:TODO|FIXME|XXX|HACK)\b)|lorem ipsum"
    assert lines_with(words, leave=("tests/test_architecture.py",)) == []


def test_no_notebook_is_kept_beside_the_lesson_it_comes_from() -> None:
    kept = [p.relative_to(TOP).as_posix() for p in tracked() if p.suffix == ".ipynb"]
    assert [name for name in kept if not name.startswith(("tests/", "course/demo/"))] == []


def test_a_notebook_is_told_from_a_lesson() -> None:
    assert ".ipynb" not in {p.suffix for p in (TOP / "course" / "lessons").iterdir()}


# --- how it is installed and tried -------------------------------------------------------------------


def asked_for() -> set[str]:
    """Return the packages that the project says it needs, tests included."""
    project = tomllib.loads(texts()["pyproject.toml"])["project"]
    named = project["dependencies"] + project["optional-dependencies"]["test"]
    return {_plain(re.split(r"[<>=!~\[; ]", text, maxsplit=1)[0]) for text in named}


def _plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def test_the_constraints_hold_names_and_versions_and_nothing_else() -> None:
    rows = [
        row
        for row in texts()["constraints.txt"].splitlines()
        if row.strip() and not row.startswith("#")
    ]
    assert [row for row in rows if not re.fullmatch(r"[A-Za-z0-9._-]+==[0-9][\w.]*", row)] == []
    held = [_plain(row.partition("==")[0]) for row in rows]
    assert [name for name, count in Counter(held).items() if count > 1] == []
    assert asked_for() - set(held) == set()
    assert "glossbook" not in held


def command_of_the_readme(mark: str) -> str:
    found = re.search(
        rf"<!-- {mark} -->\n```sh\n(.+?)\n```\n<!-- end -->", texts()["README.md"], re.S
    )
    assert found, f"the README has no {mark}"
    return found[1]


def test_ci_runs_the_readme_s_test_command_word_for_word() -> None:
    script = texts()[".ci/run"]
    ask = re.search(r"^command=\$\((.+)\)$", script, re.M)
    assert ask
    read = subprocess.run(
        ["bash", "-c", ask[1]], cwd=TOP, capture_output=True, text=True, check=True
    ).stdout.strip()
    assert read == command_of_the_readme("test command")
    assert 'bash -euo pipefail -c "$command"' in script
    assert "pytest" in read
    assert 'install -q -c constraints.txt -e ".[test]"' in read


def test_the_readme_s_first_command_shows_everything() -> None:
    assert command_of_the_readme("demo command").endswith("glossbook demo")


# --- calculators: docstring, signature, declaration, reference ----------------------------------------


def told(name: str) -> dict[str, str]:
    return sections(inspect.getdoc(PUBLIC[name]) or "")


@every_function
def test_a_calculator_explains_each_argument_it_takes_and_no_other(name: str) -> None:
    takes = list(inspect.signature(PUBLIC[name]).parameters)
    held = declaration(PUBLIC[name])
    assert held
    assert list(held.arguments) == takes
    explained = [
        argument.strip().lstrip("*")
        for line in told(name).get("Parameters", "").splitlines()
        if line and not line.startswith(" ")
        for argument in line.partition(" : ")[0].split(",")
    ]
    assert explained == takes


@every_function
def test_a_calculator_says_what_it_returns_shows_an_example_and_names_a_source(
    name: str,
) -> None:
    parts = told(name)
    assert parts[""].split("\n")[0].endswith("."), "the first line is a sentence"
    assert parts.get("Returns")
    assert ">>> " in parts.get("Examples", "")
    assert re.search(r"\b[Ss]ources?\b", parts.get("Notes", "")), "no source in Notes"


@every_function
def test_a_calculator_stands_in_the_reference(name: str) -> None:
    takes = ", ".join(inspect.signature(PUBLIC[name]).parameters)
    module = name.partition(".")[0]
    assert f"## `{name}({takes})`\n" in reference.reference_pages()[f"reference-{module}"]


def test_a_public_function_that_takes_a_quantity_declares_it() -> None:
    units = "calculators.units"
    bare = [
        f"{module.__name__}.{name}"
        for module in GROUND
        if not module.__name__.startswith(units) and module.__name__ != "calculators.kitchen"
        for name, thing in vars(module).items()
        if inspect.isfunction(thing)
        and thing.__module__ == module.__name__
        and not name.startswith("_")
        and declaration(thing) is None
        and any("Quantity" in str(a) for n, a in thing.__annotations__.items() if n != "return")
        and str(thing.__annotations__.get("return")) in ("Quantity", "Band")
    ]
    assert bare == []


def test_a_module_opens_with_a_plain_sentence() -> None:
    for module in GROUND:
        first = (inspect.getdoc(module) or "").split("\n")[0]
        assert first.endswith((".", "?")), module.__name__
        assert "[" not in first, module.__name__


# --- sources --------------------------------------------------------------------------------------


def cited() -> dict[str, list[str]]:
    """Return every key that is cited, with the files that cite it."""
    found: dict[str, list[str]] = {}
    for name, text in texts().items():
        keys: list[str] = []
        if name.endswith(".py") and not name.startswith("tests/"):
            keys += re.findall(r"``\[(?=\w*[\d-])([\w-]+)\]``", text)
            keys += re.findall(r"""(?:\bsource\(|\bwhose=)["']([\w-]+)["']""", text)
        if name.startswith("course/lessons/"):
            keys += [k.strip() for m in CITE.findall(text) for k in m.split(",")]
            keys += re.findall(r"""\bwhose=["']([\w-]+)["']""", text)
        if name.startswith("calculators/data/") and name.endswith(".csv"):
            rows = sources.records(Path(name).stem)
            keys += [key for row in rows for key in row.get("source", "").split()]
        for key in keys:
            found.setdefault(key, []).append(name)
    return found


def test_every_source_that_is_cited_is_in_the_bibliography() -> None:
    lost = [
        f"{key} is not in the bibliography; cited in {', '.join(files)}"
        for key, files in cited().items()
        if key not in bibliography()
    ]
    assert lost == []


def test_every_source_of_the_bibliography_is_used() -> None:
    used = "\n".join(
        text
        for name, text in texts().items()
        if name.startswith((*FLOORS, "tests/")) and not name.endswith(".bib")
    )
    idle = [
        key
        for key in bibliography()
        if not re.search(rf"(?<![\w-]){re.escape(key)}(?![\w-])", used)
    ]
    assert idle == []


TABLES = {path.stem: sources.records(path.stem) for path in sorted(sources.DATA.glob("*.csv"))}
ALL_ROWS = [row for rows in TABLES.values() if "provenance" in rows[0] for row in rows]


def test_every_row_of_a_table_says_where_it_comes_from() -> None:
    assert len(ALL_ROWS) > 300
    dressed = [row for row in ALL_ROWS if row["provenance"] not in PROVENANCES]
    assert dressed == []
    bare = [row for row in ALL_ROWS if row["provenance"] == PUBLISHED and not row.get("source", 1)]
    assert bare == []


def test_a_published_row_rests_on_what_was_read_and_on_a_law_of_its_own_region() -> None:
    unread = [
        key for key, one in bibliography().items() if "Not read" in one.fields.get("note", "")
    ]
    assert unread == []
    union = [
        row for row in ALL_ROWS if re.match(r"eu\d", row.get("source", "")) and "region" in row
    ]
    members = {"EU", "FR", "DE", "NI", "GB"}  # Great Britain took the Union's text over
    assert [row for row in union if not set(row["region"].split()) <= members] == []


def test_every_row_has_its_band_in_order_and_a_unit_that_can_be_read() -> None:
    rows = [row for name, held in TABLES.items() if "unit" in held[0] for row in held]
    for row in rows:
        unit(row["unit"])
        ends = [float(row[key]) for key in ("low", "value", "high") if row.get(key)]
        assert ends == sorted(ends), f"{row.get('name')}: {ends}"


REMEMBERED = 142  # rows that only memory vouches for; it never goes up


def test_fewer_rows_of_the_tables_are_from_memory_than_before() -> None:
    rows = [row for path in sources.DATA.glob("*.csv") for row in sources.records(path.stem)]
    remembered = sum(row.get("provenance") == "from memory" for row in rows)
    assert remembered <= REMEMBERED
    assert sources.standing()["from memory"] == remembered  # as the page of sources tells


# --- cautions and law ---------------------------------------------------------------------------------


def test_every_caution_ends_with_the_local_rules_and_the_supervisor() -> None:
    assert safety.cautions()
    for caution in safety.cautions().values():
        assert caution.text().endswith("Your local rules and your supervisor come first.")


def test_every_hazard_of_a_lesson_is_a_caution_of_the_table() -> None:
    for slug, lesson in LESSONS.items():
        for words in re.findall(r"^```\{hazard\} (.+)$", lesson.text, re.M):
            for key in words.split():
                assert key in safety.cautions(), f"{slug}: {key}"


# --- outcomes, questions, lessons ------------------------------------------------------------------------

PUBLIC_BANK = {name: one for name, one in bank().items() if not one.private}


@pytest.mark.parametrize("outcome", ON_SHEETS)
def test_an_outcome_that_a_sheet_can_prove_is_asked_about(outcome: str) -> None:
    assert any(one.outcome == outcome for one in PUBLIC_BANK.values())


@pytest.mark.parametrize("outcome", ON_SHEETS)
def test_an_outcome_is_taught_by_the_lesson_the_table_names(outcome: str) -> None:
    lesson = LESSONS.get(ON_SHEETS[outcome].lesson)
    assert lesson, f"there is no lesson {ON_SHEETS[outcome].lesson}"
    assert outcome in lesson.outcomes


@pytest.mark.parametrize("slug", [s for m in modules().values() for s in m.lessons])
def test_a_lesson_is_there_with_five_questions_or_more(slug: str) -> None:
    assert slug in LESSONS
    assert sum(one.lesson == slug for one in PUBLIC_BANK.values()) >= 5


def test_the_bank_has_seventy_questions_and_a_third_of_them_decide() -> None:
    levels = Counter(one.level for one in PUBLIC_BANK.values())
    assert levels.total() >= 70
    assert levels["decide"] * 3 >= levels.total()
    assert all(levels[level] for level in ("recall", "carry out", "decide"))


def test_kitchen_first_is_the_first_module_and_teaches_what_can_hurt() -> None:
    assert next(iter(modules())) == "kitchen"
    assert any(one.lesson == "what-can-hurt" for one in ON_SHEETS.values())
    assert any(one.safety for one in PUBLIC_BANK.values())


# --- nothing on the ground floor that nobody asks ------------------------------------------------


class _Asked(ast.NodeVisitor):
    """Which calculators a file of Python asks, by subject and name."""

    def __init__(self, home: str) -> None:
        self.home, self.inside = home, ""
        self.subjects: dict[str, str] = {}
        self.names: dict[str, tuple[str, str]] = {}
        self.found: set[tuple[str, str]] = set()

    def visit_ImportFrom(self, node: ast.ImportFrom) -> None:
        parts = (node.module or "").split(".")
        for alias in node.names:
            if parts == ["calculators"]:
                self.subjects[alias.asname or alias.name] = alias.name
            elif parts[0] == "calculators":
                self.names[alias.asname or alias.name] = (parts[1], alias.name)

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        outer, self.inside = self.inside, self.inside or node.name
        self.generic_visit(node)
        self.inside = outer

    def visit_Attribute(self, node: ast.Attribute) -> None:
        if isinstance(node.value, ast.Name) and node.value.id in self.subjects:
            self.found.add((self.subjects[node.value.id], node.attr))
        self.generic_visit(node)

    def visit_Name(self, node: ast.Name) -> None:
        if node.id != self.inside:
            self.found.add(self.names.get(node.id, (self.home, node.id)))

    def visit_Constant(self, node: ast.Constant) -> None:
        if isinstance(node.value, str) and node.value.count(".") == 1:
            subject, name = node.value.split(".")
            self.found.add((subject, name))


@cache
def asked() -> set[str]:
    """Return every calculator that code, a question, a lesson or a panel asks."""
    found = set()
    for name, text in texts().items():
        floor, _, rest = name.partition("/")
        if floor not in FLOORS:
            continue
        if name.endswith(".py"):
            seen = _Asked(rest.split("/")[0].removesuffix(".py") if floor == FLOORS[0] else "")
            seen.visit(ast.parse(text))
            found |= {f"{subject}.{one}" for subject, one in seen.found}
        elif name.endswith(".md"):
            found |= set(re.findall(r"\b[a-z_]+\.[a-z_]+\b", text))
    return found


@every_function
def test_every_calculator_is_asked_by_a_lesson_a_panel_a_question_or_code(name: str) -> None:
    assert name in asked(), f"nothing asks {name}: give it a use, or let it go"
