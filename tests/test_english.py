"""What anybody reads is in plain words: the struck ones stand in no visible string."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from course.site.reference import reference_pages

TOP = Path(__file__).parents[1]
FLOORS = ("calculators", "exercises", "course")
GUIDES = ("README.md", "DEVELOPERS.md", "CHANGELOG.md")
STRUCK = (
    *("nought", "anew", "for ever", "reckon(?:s|ed|ing)?", "by now", "units apart"),
    *("rests of syrup", "what a syrup has", "middle of the class", "seen otherwise"),
    *("so much more", "wrong roads", "not below zero", "in no sum", "other numbers may do"),
    *(r"\d+ files met", "being looked at by", "as your teacher told", "strong from weak"),
    *("nothing is said of how well", "marks can only rise by that", "commonest wrong turn"),
    *("put a question right", "it can't be taken apart"),
    *("go the same part of the way", "has no place in its water"),
)
FOUND = re.compile(rf"(?<![\w-])(?:{'|'.join(STRUCK)})(?![\w-])", re.IGNORECASE)


def strings(path: Path) -> Iterator[tuple[int, str]]:
    """Yield every string of a module that is no docstring, with its line."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    silent = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    for node in ast.walk(tree):
        text = node.value if isinstance(node, ast.Constant) else None
        if isinstance(text, str) and id(node) not in silent:
            yield node.lineno, text


def lines(path: Path) -> Iterator[tuple[int, str]]:
    """Yield every line of a page, a table or a script, comments of a script left out."""
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        script = path.suffix in (".js", ".mjs")
        yield number, re.sub(r"(?<!:)//.*", "", line) if script else line


def struck(path: Path) -> list[str]:
    """Return where a struck word stands in what a file shows."""
    read = strings if path.suffix == ".py" else lines
    return [
        f"{path}:{number}: {found[0]}"
        for number, text in read(path)
        for found in FOUND.finditer(text)
    ]


@pytest.mark.parametrize("floor", FLOORS)
def test_no_struck_word_stands_in_what_anybody_reads(floor: str) -> None:
    endings = ("py", "md", "html", "js", "mjs", "toml", "csv")
    pages = [path for ending in endings for path in sorted((TOP / floor).rglob(f"*.{ending}"))]
    assert len(pages) > 20
    assert [one for path in pages for one in struck(path)] == []


@pytest.mark.parametrize("guide", GUIDES)
def test_no_struck_word_stands_in_a_guide(guide: str) -> None:
    assert struck(TOP / guide) == []


def test_no_struck_word_stands_in_the_reference_of_the_calculators() -> None:
    pages = reference_pages()
    assert pages
    assert {name: found for name, text in pages.items() if (found := FOUND.findall(text))} == {}


def test_a_struck_word_is_found_in_a_string_and_not_in_a_docstring(tmp_path: Path) -> None:
    module = tmp_path / "said.py"
    module.write_text('"""Made anew."""\n\nSAID = f"Below nought {1}"\n', encoding="utf-8")
    assert [one.partition(":")[2] for one in struck(module)] == ["3: nought"]
    page = tmp_path / "page.js"
    page.write_text("// made anew\ntell('Draw it anew');\n", encoding="utf-8")
    assert [one.partition(":")[2] for one in struck(page)] == ["2: anew"]
