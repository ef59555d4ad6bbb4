"""The calculators' reference: what each function answers, takes, gives and cites."""

from __future__ import annotations

import importlib
import inspect
import re
from collections.abc import Callable
from typing import Any

from calculators.catalogue import subjects
from calculators.sources import bibliography
from calculators.units import declaration, symbol
from course.kit.docstrings import anchor, sections


def reference_pages() -> dict[str, str]:
    """Return the reference as MyST Markdown: a first page, and one for each subject."""
    subject = subjects()
    firsts = {
        short: _flat(inspect.getdoc(importlib.import_module(f"calculators.{short}")) or "").split(
            "\n\n"
        )[0]
        for short in subject
    }
    opening = [
        "# What each calculator answers\n",
        "Every number of the lessons comes from these functions. "
        "Each takes quantities and gives quantities, refuses what is out of range, "
        "and says where it comes from.\n",
        *(f"- [{short}](reference-{short}.md): {first}" for short, first in firsts.items()),
    ]
    pages = {"reference": "\n".join([*opening, ""])}
    for short, held in subject.items():
        told = [_function(short, name, function) for name, function in held.items()]
        pages[f"reference-{short}"] = "\n".join([f"# {short}\n", f"{firsts[short]}\n", *told])
    return pages


def _function(module: str, name: str, function: Callable[..., Any]) -> str:
    held = declaration(function)
    assert held is not None  # it is a calculator because of it
    told = sections(inspect.getdoc(function) or "")
    takes = ", ".join(inspect.signature(function).parameters)
    first = re.sub(r"^Return (\w)", lambda m: m[1].upper(), told[""])
    lines = [f"({anchor(f'{module}.{name}')})=\n## `{module}.{name}({takes})`\n", _text(first), ""]
    if held.arguments:
        lines += ["| takes | range |", "| --- | --- |"]
        lines += [f"| `{arg}` | {spec.limit} |" for arg, spec in held.arguments.items()]
        lines.append("")
    gives = _gives(held.returns)
    returned = _text(inspect.cleandoc("\n" + told.get("Returns", "").partition("\n")[2]))
    lines.append(f"**Gives** {gives}. {returned}\n" if gives else f"**Gives** {returned}\n")
    if example := told.get("Examples", ""):
        lines.append(f"```python\n{example}\n```\n")
    if notes := told.get("Notes", ""):
        lines.append(_text(notes) + "\n")
    return "\n".join(lines)


def _gives(gives: str) -> str:
    try:
        return symbol(gives) or "a plain number"
    except Exception:
        return gives


def _flat(text: str) -> str:
    return re.sub(r"(?<!\n)\n(?!\n)(?!\s*[-*] )", " ", text)


def _text(docstring: str) -> str:
    """Return docstring text as Markdown: roles as code, keys as links to the sources."""
    text = re.sub(r":\w+:`~?([^`]+)`", r"`\1`", docstring)
    text = re.sub(r"``([^`]+)``", r"`\1`", text)
    text = re.sub(r"^( *)\.\. math::\s*(.+)$", r"$$\2$$", text, flags=re.MULTILINE)
    text = _literal(text)
    known = bibliography()

    def cited(match: re.Match[str]) -> str:
        key = match[1] or match[2]
        return f"[{known[key].short}](#source-{key})" if key in known else match[0]

    return re.sub(r"`?\[([\w-]+)\]`?()(?!\()", cited, text)


def _literal(text: str) -> str:
    """Turn indented formulas into code blocks and join the other lines."""
    out = []
    for block in re.split(r"\n\s*\n", text):
        lines = block.splitlines()
        if lines and all(line.startswith("    ") for line in lines):
            out.append("```text\n" + "\n".join(line[4:] for line in lines) + "\n```")
        else:
            out.append(_flat(inspect.cleandoc(block)).replace("::", ":"))
    return "\n\n".join(out)
