"""A sheet as a notebook."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any

from exercises.questions.answer_boxes import WORKING_HEAD
from exercises.questions.parts.shown import PublicPart
from exercises.sheets.sheet import FORMAT, Sheet, public

# --- notebook -------------------------------------------------------------------------

_MARKDOWN = re.compile(r"([\\`*_{}\[\]<>$|#~&])")
_LINE_START = re.compile(r"^(\s*)([-+=]|\d+[.)])(?=\s)", re.MULTILINE)


def markdown(text: str) -> str:
    r"""Return plain text so that Markdown shows it as it is.

    >>> print(markdown("a * b < c"))
    a \* b \< c
    """
    return _LINE_START.sub(
        lambda m: m[1] + (m[2][:-1] + "\\" + m[2][-1]), _MARKDOWN.sub(r"\\\1", text)
    )


def _cell(kind: str, name: str, source: str, **metadata: Any) -> dict[str, Any]:
    cell: dict[str, Any] = {
        "cell_type": kind,
        "id": re.sub("[^A-Za-z0-9-]", "-", name),
        "metadata": {"glossbook": metadata} if metadata else {},
        "source": source,
    }
    if kind == "code":
        cell |= {"execution_count": None, "outputs": []}
    return cell


def notebook(sheet: Sheet) -> str:
    """Return the sheet as a notebook: nbformat 4.5, nothing to run.

    Each answer is one cell with one string.  The cells are found again by their
    metadata, wherever a student moves them.
    """
    shown = public(sheet)
    cells = [_cell("markdown", "head", _notebook_head(shown))]
    for question in shown["questions"]:
        n = question["number"]
        cells.append(_question_cell(n, question))
        for part in question["parts"]:
            key = part.key
            cells.append(_cell("markdown", f"asked-{key}", _part_text(part)))
            for box in part.boxes:
                if box.label:
                    label = f"**{key}**, {markdown(box.label)}:"
                    cells.append(_cell("markdown", f"row-{box.key}", label))
                name = f"answer-{box.key}"
                cells.append(_cell("code", name, 'answer = ""', part=box.key))
            line = f"Working for {key}. {WORKING_HEAD}\n\n"
            cells.append(_cell("markdown", f"working-{key}", line, working=key))
    return json.dumps(
        {
            "cells": cells,
            "metadata": {
                "glossbook": {"token": sheet.token, "sheet": FORMAT},
                "kernelspec": {
                    "display_name": "Python 3",
                    "language": "python",
                    "name": "python3",
                },
                "language_info": {"name": "python"},
            },
            "nbformat": 4,
            "nbformat_minor": 5,
        },
        ensure_ascii=False,
    )


def _notebook_head(shown: Mapping[str, Any]) -> str:
    facts = [("Name", shown["student"]), ("Sheet", shown["token"])]
    facts += [("Opens on", shown["opens_on"]), ("Hand in by", shown["hand_in_by"])]
    facts += [("Marks", str(shown["total"])), ("Time", shown["time"])]
    facts += [("Extra time", shown["extra"])]
    lines = [f"# {markdown(shown['title'])}", ""]
    lines += [f"**{name}:** {markdown(value)}  " for name, value in facts if value]
    lines += [
        "",
        "**How to answer.** Write between the quotes of the cell below each part, "
        'a number with its unit: `answer = "12.5 g"`. '
        "Nothing needs to be run, and nothing that you write is run by the marking. "
        "Show your working: it can earn marks where the answer is wrong. "
        "Save the notebook and hand in the file.",
    ]
    if shown["rule"]:
        lines += ["", f"**How it is passed.** {markdown(shown['rule'])}"]
    for caution in shown["cautions"]:
        lines += ["", f"> **{markdown(caution['hazard'])}.** {markdown(caution['do'])}"]
        lines += [">", f"> {markdown(caution['who'])}"]
    return "\n".join(lines)


def _question_cell(n: int, question: Mapping[str, Any]) -> dict[str, Any]:
    lines = [f"## Question {n}"]
    if question["stem"]:
        lines += ["", markdown(question["stem"])]
    exhibit = question["exhibit"]
    attachments: dict[str, Any] = {}
    if exhibit:
        lines += ["", f"*{markdown(exhibit['title'])}*", ""]
        if exhibit["picture"]:
            head, _, coded = exhibit["picture"].partition(",")
            mime = head.removeprefix("data:").removesuffix(";base64")
            file = f"exhibit-{n}.{mime[6:].removesuffix('+xml')}"
            lines.append(f"![{markdown(exhibit['alt'])}](attachment:{file})")
            attachments[file] = {mime: coded}
        if exhibit["words"]:
            lines.append(markdown(exhibit["words"]))
        if exhibit["rows"]:
            lines.append("")
            rows = [[markdown(cell) for cell in row] for row in (exhibit["head"], *exhibit["rows"])]
            rows.insert(1, ["---"] * len(exhibit["head"]))
            lines += ["| " + " | ".join(row) + " |" for row in rows]
    cell = _cell("markdown", f"question-{n}", "\n".join(lines))
    return cell | {"attachments": attachments} if attachments else cell


def _part_text(part: PublicPart) -> str:
    lines = [f"**{part.key}** {markdown(part.prompt)} *({part.marks})*"]
    listed = [f"- **{name}** {markdown(text)}" for name, text in part.listed() if name]
    lines += ["", *listed] if listed else []
    lines += ["", part.how] if part.how else []
    return "\n".join(lines)
