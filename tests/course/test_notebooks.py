"""A lesson is run once and shown three ways; each step does one thing."""

from __future__ import annotations

import html
import json
from pathlib import Path
from types import SimpleNamespace

import nbformat
import pytest

from calculators import safety
from calculators.faults import FaultsError
from course.making import lessons, running, steps
from course.making.lessons import Lesson
from course.making.steps import Setting
from exercises.look import sign

STEPS = Path(__file__).with_name("steps")
BY_NAME = {
    "take_values": steps.take_values,
    "put_values": steps.put_values,
    "put_head": steps.put_head,
    "put_bench_time": steps.put_bench_time,
    "cite_site": steps.cite("site"),
    "cite_plain": steps.cite("plain"),
    "link_site": steps.link("site"),
    "link_plain": steps.link("plain"),
    "keep_units": steps.keep_units,
    "plain_terms": steps.plain_terms,
    "drop_guards": steps.drop_guards,
    "drop_plumbing": steps.drop_plumbing,
    "drop_empty": steps.drop_empty,
    "unfold": steps.unfold,
    "pictures": steps.pictures,
    "no_metadata": steps.no_metadata,
    "word_site": steps.blocks("site"),
    "word_plain": steps.blocks("plain"),
    "lecturer_for_students": steps.blocks("site"),
    "tip_plain": steps.blocks("plain"),
}
HEAD = "---\ntitle: T?\nminutes: 5\noutcomes: [syrup-strength]\nkernelspec:\n  name: python3\n---\n"


def setting(edition: str = "student") -> Setting:
    lesson = Lesson(
        "how-strong",
        "syrup",
        "How strong is it?",
        45,
        ("syrup-strength",),
        ("a scale",),
        "",
        Path("how-strong.md"),
        bench=45,
        waits="and a night in the fridge",
    )
    return Setting(
        lesson,
        titles={"how-strong": "How strong is it?"},
        all_titles={
            "how-strong": "How strong is it?",
            "boiling": "What does boiling take out?",
        },
        edition=edition,
        glossary={"Brix": {"french": "degré Brix", "meaning": "A share."}},
    )


@pytest.mark.parametrize("name", BY_NAME)
def test_a_step_turns_the_cell_before_into_the_cell_after(name: str) -> None:
    before = nbformat.from_dict(json.loads((STEPS / f"{name}.before.json").read_text("utf-8")))
    after = json.loads((STEPS / f"{name}.after.json").read_text("utf-8"))
    here = setting()
    here._values = ["12 g", "31 °C"]
    assert BY_NAME[name](before, here) == after


def test_there_is_a_step_for_every_pair_of_files() -> None:
    assert {p.name.split(".")[0] for p in STEPS.glob("*.json")} == set(BY_NAME)


def cell(text: str) -> object:
    return nbformat.v4.new_markdown_cell(text)


def test_a_hazard_says_what_to_do_and_who_decides_in_both_renderings() -> None:
    caution = safety.caution("hot-sugar")
    for form in ("site", "plain"):
        shown = steps.blocks(form)(cell("```{hazard} hot-sugar\n```"), setting()).source
        shown = html.unescape(shown)
        assert caution.happens in shown
        assert all(act in shown for act in caution.act)
        assert caution.first_aid in shown
        assert safety.LAST_WORD in shown


@pytest.mark.parametrize("form", ["site", "plain"])
def test_a_hazard_stands_in_full_once_a_page_and_then_in_one_line(form: str) -> None:
    here = setting()
    block = "```{hazard} hot-sugar\n```"
    step = steps.blocks(form)
    full, short = (step(cell(block), here).source for _ in range(2))
    caution = safety.caution("hot-sugar")
    assert caution.act[0] in full
    assert caution.act[0] not in short
    assert caution.hazard in short
    assert caution.happens in short
    assert (form == "site") == ('href="#hazard-hot-sugar"' in short)
    assert caution.act[0] in step(cell(block), setting()).source  # another page begins anew


def test_the_local_rules_stand_once_a_page() -> None:
    step, here = steps.blocks("site"), setting()
    shown = step(cell("```{hazard} hot-sugar steam\n```\n\n```{hazard} powders\n```"), here).source
    assert shown.count('class="gb-warn"') == 3
    assert shown.count(safety.LAST_WORD) == 1


def test_every_hazard_has_a_sign_of_its_own() -> None:
    signs = [sign(key) for key in safety.cautions()]
    assert all(signs)
    assert len(set(signs)) == len(signs)


def test_a_plain_hazard_holds_no_directive() -> None:
    shown = steps.blocks("plain")(cell("```{hazard} hot-sugar steam\n```"), setting()).source
    assert ":::" not in shown
    assert "```" not in shown
    assert "{" not in shown


def test_a_lecturers_note_is_in_the_lecturers_edition_only() -> None:
    note = "```{lecturer}\n**Aim.** To see.\n**How to run it.** Slowly.\n```"
    shown = steps.blocks("site")(cell(note), setting("lecturer")).source
    assert "To see.\n\n**How to run it.**" in shown  # each in a paragraph of its own
    assert "To see" not in steps.blocks("site")(cell(note), setting("student")).source


def lesson_file(folder: Path, body: str, head: str = HEAD, name: str = "try.md") -> Path:
    path = folder / name
    path.write_text(head + body, encoding="utf-8")
    return path


KITCHEN = "kitchen = None"


def test_values_in_prose_are_computed_by_the_cells_before_them(tmp_path: Path) -> None:
    body = (
        "# T?\n\n```{code-cell} ipython3\nx = 6 * 7\n```\n\nIt is {value}`x`, not {value}`x + 1`.\n"
    )
    ran = running.run(lessons.read_lesson(lesson_file(tmp_path, body)), KITCHEN)
    shown = steps.render(ran, steps.DOWNLOAD, setting())
    assert "It is 42, not 43." in shown.cells[-1].source


def test_a_cell_that_stops_is_told_with_file_and_line(tmp_path: Path) -> None:
    body = "# T?\n\n```{code-cell} ipython3\n1 / 0\n```\n"
    lesson = lessons.read_lesson(lesson_file(tmp_path, body))
    with pytest.raises(FaultsError, match=r"try\.md:1\d.*ZeroDivisionError"):
        running.run(lesson, KITCHEN)


def test_the_line_that_stopped_is_told_and_not_the_last_of_its_cell(
    tmp_path: Path,
) -> None:
    body = "# T?\n\n```{code-cell} ipython3\n:tags: [plumbing]\nx = 1\ny = x / 0\nz = 3\n```\n"
    lesson = lessons.read_lesson(lesson_file(tmp_path, body))
    line = lesson.text.splitlines().index("y = x / 0") + 1
    said = rf"try\.md:{line}: stopped with ZeroDivisionError.*\(given: y = x / 0\)"
    with pytest.raises(FaultsError, match=said):
        running.run(lesson, KITCHEN)


def test_a_value_in_prose_that_stops_is_told_with_its_line(tmp_path: Path) -> None:
    body = "# T?\n\nOne is {value}`1`,\nand this {value}`nothere.x`, and {value}`2`.\n"
    lesson = lessons.read_lesson(lesson_file(tmp_path, body))
    line = len((HEAD + "# T?\n\n").splitlines()) + 2
    said = rf"try\.md:{line}: stopped with NameError.*\(given: nothere\.x\)"
    with pytest.raises(FaultsError, match=said):
        running.run(lesson, KITCHEN)


def test_what_a_school_calls_things_is_never_taken_for_markdown(tmp_path: Path) -> None:
    body = '# T?\n\nThis is {value}`"Glaze *No. 1* <b> $x$ [a](b) {doc} & Sons"`.\n'
    ran = running.run(lessons.read_lesson(lesson_file(tmp_path, body)), KITCHEN)
    shown = steps.render(ran, steps.DOWNLOAD, setting()).cells[-1].source
    assert shown.endswith(r"This is Glaze \*No. 1\* \<b\> \$x\$ \[a\](b) \{doc\} \& Sons.")


def test_whom_to_ask_is_printed_as_it_is_written() -> None:
    class Rules:
        link = "https://school.example/a_(b)?c=*d*"
        contact = "Frau *Ü* & {value}`z`"

    here = setting()
    here.local_rules = Rules()
    block = "```{hazard} steam\n```"
    shown = steps.blocks("plain")(cell(block), here).source
    assert "<https://school.example/a_(b)?c=*d*>" in shown
    assert r"Ask: Frau \*Ü\* \& \{value\}\`z\`." in shown
    shown = steps.cite("site")(steps.blocks("site")(cell(block), here), here).source
    assert '<a href="https://school.example/a_(b)?c=*d*">' in shown
    assert "{value}" not in shown
    assert "Ask: Frau *Ü* & {value}`z`." in html.unescape(shown)


def test_a_head_without_its_keys_is_told_all_at_once(tmp_path: Path) -> None:
    path = lesson_file(tmp_path, "# T?\n", "---\nkernelspec:\n  name: python3\n---\n")
    with pytest.raises(FaultsError) as told:
        lessons.read_lesson(path)
    assert len(told.value.faults) == 3


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (
            "minutes: 5",
            "minutes: many",
            r"minutes that are not a number \(given: many\)",
        ),
        ("minutes: 5", "minutes: 0", "a whole number from 1 to 999"),
        ("title: T?", "title: 2027", "title that is not text"),
        ("title: T?", "title:", "title that is not text"),
        ("[syrup-strength]", "syrup-strength", r"like outcomes: \[syrup-strength\]"),
        ("[syrup-strength]", "[syrup-strenght]", r"Did you mean syrup-strength\?"),
        ("title: T?", 'title: "T?', r"try\.md:\d+: has a head that can't be read"),
    ],
)
def test_a_slip_in_a_head_is_told_with_what_to_write(
    tmp_path: Path, old: str, new: str, said: str
) -> None:
    assert old in HEAD
    path = lesson_file(tmp_path, "# T?\n", HEAD.replace(old, new))
    with pytest.raises(FaultsError, match=said):
        lessons.read_lesson(path)


def test_the_faults_of_all_own_lessons_are_told_at_once(tmp_path: Path) -> None:
    lesson_file(tmp_path, "# A\n", HEAD.replace("minutes: 5", "minutes: x"), "a.md")
    lesson_file(tmp_path, "# B\n", HEAD.replace("T?", "B?\nmodule: sirup"), "b.md")
    (tmp_path / "c.md").write_bytes(b"---\ntitle: caf\xe9\n---\n")
    lesson_file(tmp_path, "# D\n", "", "_draft.md")
    lesson_file(tmp_path, "my notes\n", "", "README.md")
    with pytest.raises(FaultsError) as told:
        lessons.lessons_of(["syrup"], tmp_path)
    assert [f.where for f in told.value.faults] == ["a.md", "c.md", "b.md"]


def test_a_lesson_saved_on_windows_is_read_as_any_other(tmp_path: Path) -> None:
    path = tmp_path / "try.md"
    path.write_bytes(b"\xef\xbb\xbf" + (HEAD + "# T?\n").replace("\n", "\r\n").encode())
    assert lessons.read_lesson(path).title == "T?"


def test_a_lesson_runs_again_only_when_what_it_stands_on_has_changed(
    tmp_path: Path,
) -> None:
    path = lesson_file(tmp_path, "# T?\n\n```{code-cell} ipython3\n1 + 1\n```\n")
    lesson = lessons.read_lesson(path)

    def fresh(lesson: Lesson, kitchen: str) -> bool:
        (ran,) = running.run_all([lesson], kitchen, folder=tmp_path / "kept")
        return ran.fresh

    assert fresh(lesson, KITCHEN)
    assert not fresh(lesson, KITCHEN)
    assert fresh(lesson, "kitchen = 2250")
    lesson_file(tmp_path, "# T?\n\n```{code-cell} ipython3\n1 + 2\n```\n")
    assert fresh(lessons.read_lesson(path), KITCHEN)


def test_a_lecturers_own_lesson_replaces_one_of_ours_or_joins_a_module(
    tmp_path: Path,
) -> None:
    lesson_file(tmp_path, "# Mine\n", HEAD.replace("T?", "Mine?"), "how-strong.md")
    lesson_file(tmp_path, "# New\n", HEAD.replace("T?", "New?\nmodule: syrup"), "house-syrup.md")
    found = {lesson.slug: lesson for lesson in lessons.lessons_of(["syrup"], tmp_path)}
    assert found["how-strong"].title == "Mine?"
    assert list(found)[-1] == "house-syrup"


def test_an_own_lesson_for_a_module_that_is_not_there_is_refused(
    tmp_path: Path,
) -> None:
    lesson_file(tmp_path, "# New\n", HEAD.replace("T?", "New?\nmodule: sirup"), "house.md")
    with pytest.raises(FaultsError, match=r"house\.md: names a module that is not there"):
        lessons.lessons_of(["syrup"], tmp_path)


def test_the_notebook_to_download_holds_nothing_of_the_generators_own(
    tmp_path: Path,
) -> None:
    body = (
        "# T?\n\n```{hazard} steam\n```\n\n```{code-cell} ipython3\n:tags: [guard]\n1\n```\n\n"
        "Read {cite}`mohos2010` on {term}`Brix`, {value}`1 + 1`.\n"
    )
    ran = running.run(lessons.read_lesson(lesson_file(tmp_path, body)), KITCHEN)
    text = json.dumps(steps.render(ran, steps.DOWNLOAD, setting()))
    assert not [
        mark for mark in ("{hazard}", "{cite}", "{term}", "{value}", "guard") if mark in text
    ]
    nbformat.validate(nbformat.reads(text, as_version=4))


def test_the_school_s_rules_and_the_last_word_stand_in_the_first_caution_of_a_page() -> None:
    here = setting()
    here.local_rules = SimpleNamespace(link="https://school.example/rules", contact="Jo")
    for form in ("site", "plain"):
        said = [
            steps.blocks(form)(cell(f"```{{hazard}} {key}\n```"), here).source
            for key in ("hot-sugar", "steam")
        ]
        assert ["school.example" in one for one in said] == [True, False]
        last = "Your local rules and your supervisor come first."
        assert [last in one for one in said] == [True, False]
