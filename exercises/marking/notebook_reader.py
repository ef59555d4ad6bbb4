"""The answers of a notebook, found by its marked cells or by their place."""

from __future__ import annotations

import ast
import re
import warnings
from typing import Any

from exercises.marking.hand_in import (
    NotReadable,
    Reading,
    find_tokens,
    is_key,
    quoted,
    take_answer,
    take_token,
    take_working,
)
from exercises.marking.limits import LONGEST_SOURCE, MOST_ANSWERS, MOST_CELLS
from exercises.questions.answer_boxes import WORKING_HEAD

_NAME = re.compile(r"^\*\*Name:\*\* ([^\n]{1,200})", re.MULTILINE)

# --- notebook ---------------------------------------------------------------------------

_REPLY = re.compile(r"""\s*answer\s*=\s*(["'])([^"'\\\n]*)\1[^\S\n]*(?:\#[^\n]*)?\s*\Z""")
_TYPED_QUOTES = str.maketrans("“”„‟«»‘’‚‛", '"' * 6 + "'" * 4)
_UNANSWERED = 'answer = ""'
_REPLY_STEP = 'Write one text between quotes, like answer = "12.5 g", and nothing else.'


def reply(source: str) -> str:
    """Return the text in a reply cell: one assignment of one string literal.

    >>> reply('answer = "12.5 g"')
    '12.5 g'
    """
    if source == _UNANSWERED:
        return ""
    found = _REPLY.match(source) if len(source) <= LONGEST_SOURCE else None
    if found is None and len(source) <= LONGEST_SOURCE and not source.isascii():
        found = _REPLY.match(source.translate(_TYPED_QUOTES))  # a phone curls them
    if found:
        return found[2]
    if not source.strip():
        return ""
    if len(source) > LONGEST_SOURCE:
        raise NotReadable(f"The cell holds {len(source)} characters. {_REPLY_STEP}")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # a stray backslash is not our concern
            body = ast.parse(source).body
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        raise NotReadable(f"The quotes are missing or do not close. {_REPLY_STEP}") from None
    match body:
        case [
            ast.Assign(
                targets=[ast.Name(id="answer")],
                value=ast.Constant(value=str(text)) as literal,
            )
        ] if _one_literal(source, literal):
            return text
        case []:
            return ""
    raise NotReadable(f"The cell holds something else. {_REPLY_STEP}")


def _one_literal(source: str, literal: ast.Constant) -> bool:
    """Tell whether a constant was written as one literal, and not as several."""
    segment = ast.get_source_segment(source, literal) or ""
    body = segment.lstrip("rRuU")
    for quote in ('"""', "'''", '"', "'"):
        if body.startswith(quote):
            inner = re.sub(r"\\.", "", body[len(quote) :], flags=re.DOTALL)
            return inner.find(quote) == len(inner) - len(quote)
    return False


def _source(cell: dict[str, Any]) -> str | None:
    """Return a cell's source, which may be text or a list of lines."""
    source = cell.get("source")
    if isinstance(source, str):
        return source
    try:
        return "".join(source) if isinstance(source, list) else None
    except TypeError:
        return None


def cells_of_worksheets(worksheets: Any) -> list[Any]:
    """Return the cells of a notebook that an older program saved, as they are today."""
    cells: list[Any] = []
    for one in worksheets if isinstance(worksheets, list) else ():
        some = one.get("cells") if isinstance(one, dict) else None
        cells += some if isinstance(some, list) else []
    for cell in cells:
        if isinstance(cell, dict) and "input" in cell:
            cell.setdefault("source", cell["input"])
    return cells


def take_notebook(thing: dict[str, Any], into: Reading) -> None:
    """Take token, answers and working of a notebook into a reading."""
    about, cells = thing.get("metadata"), thing["cells"]
    ours = about.get("glossbook") if isinstance(about, dict) else None
    take_token(ours.get("token") if isinstance(ours, dict) else None, into)
    if not isinstance(cells, list):
        raise NotReadable("Its cells are not a list.")
    if len(cells) > MOST_CELLS:
        raise NotReadable(f"It has more than {MOST_CELLS} cells.")
    if not _take_marked_cells(cells, into) and not _take_cells_by_place(cells, into):
        raise NotReadable(
            "It has no reply cell: it is another notebook, or a program took the "
            "marks off its cells. Key the answers in by hand."
        )
    heads = [(_source(c) or "")[:2000] for c in cells[:5] if _is_cell(c, "markdown")]
    into.names += [found[1].strip() for head in heads for found in _NAME.finditer(head)]
    into.tokens += find_tokens("\n".join(heads))
    if into.token is None and into.tokens:  # it is in the head of the sheet too
        into.token = into.tokens[0]


def _take_marked_cells(cells: list[Any], into: Reading) -> int:
    """Take the reply cells that still carry our marks; return how many there are."""
    replies = 0
    for cell in cells:
        about = cell.get("metadata") if isinstance(cell, dict) else None
        if not about:  # as most of the text has it
            continue
        ours = about.get("glossbook") if isinstance(about, dict) else None
        if not isinstance(ours, dict):
            continue
        part = ours.get("part")
        key = part or ours.get("working")
        if not isinstance(key, str) or not is_key(key):
            continue
        if part:
            replies += 1
            if replies > MOST_ANSWERS:
                raise NotReadable(f"It has more than {MOST_ANSWERS} reply cells.")
            _take_reply(key, _source(cell), into)
        elif key not in into.working:
            source = _source(cell) or ""
            left = source.endswith(_NO_WORKING) and "\n" not in source[:-2]
            if not left:  # as it was issued
                take_working(key, _below_head(source), into)
    return replies


def _is_cell(cell: Any, kind: str) -> bool:
    return isinstance(cell, dict) and cell.get("cell_type") == kind


_ASKED = re.compile(r"\*\*([0-9]{1,3}[a-p])\*\*( |, )")
_WORKING = re.compile(rf"Working for ([0-9]{{1,3}}[a-p])\. {re.escape(WORKING_HEAD)}")


def _take_cells_by_place(cells: list[Any], into: Reading) -> int:
    """Take the replies of a notebook that lost its marks; return how many there are.

    What stands above a reply cell says which part it answers, as long as the parts
    stand in the order in which they were issued, each of them once.
    """
    replies: list[tuple[str, str]] = []
    working: list[tuple[str, str]] = []
    asked: list[tuple[int, str]] = []
    key, row = "", 0
    for cell in cells:
        source = (_source(cell) if isinstance(cell, dict) else None) or ""
        if _is_cell(cell, "markdown"):
            if found := _ASKED.match(source):
                if found[2] == " ":
                    key, row = found[1], 0
                    asked.append((int(key[:-1]), key[-1]))
                elif found[1] == key:  # a row of a table
                    row += 1
            elif found := _WORKING.match(source):
                key = ""
                working.append((found[1], source))
        elif key and _is_cell(cell, "code") and _ANSWERING.search(source):
            replies.append((f"{key}.{row}" if row else key, source))
    if asked != sorted(set(asked)):
        return 0
    for name, source in replies:
        _take_reply(name, source, into)
    for name, source in working:
        if not source.endswith(_NO_WORKING):
            take_working(name, _below_head(source), into)
    return len(replies)


# Blanks of one line only: over many empty lines \s would try every pair of them.
_ANSWERING = re.compile(r"^[^\S\n]*answer[^\S\n]*=", re.MULTILINE)


_NO_WORKING = f"{WORKING_HEAD}\n\n"


def _below_head(source: str) -> str:
    first, _, rest = source.partition("\n")
    return rest if first.rstrip().endswith(WORKING_HEAD) else source


def _take_reply(key: str, source: str | None, into: Reading) -> None:
    """Keep a reply; a cell that was doubled counts once if both say the same."""
    if source is None:
        into.problems[key] = f"The cell is not text. {_REPLY_STEP}"
        return
    try:
        text = reply(source)
    except NotReadable as reason:
        into.problems[key] = f"The cell says {quoted(source)}. {reason}"
        return
    held = into.answers.get(key, "")
    if held.strip() and text.strip() and held.strip() != text.strip():
        both = f"{quoted(held)} and {quoted(text)}"
        into.problems[key] = f"Two cells answer this part, and not alike: {both}. Keep one."
    elif text.strip() or key not in into.answers:
        take_answer(key, text, into)
