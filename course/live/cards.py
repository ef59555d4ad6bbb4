"""How an answer and a practice question look on a page: HTML, and nothing else."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from html import escape
from typing import Any

from calculators.units import Band, is_quantity, say, symbol
from course.kit.results import plate_html, table_html, words
from exercises.questions.parts import DrawnPart, DrawnQuestion, Exhibit
from exercises.questions.parts.shown import card

SHORT = 40  # a sentence of fewer characters is said loud


@dataclass(frozen=True)
class Said:
    """An answer as it is said: the loud part, a note, and what comes with it."""

    loud: str = ""
    note: str = ""
    rows: Sequence[tuple[str, str]] = ()

    @property
    def text(self) -> str:
        """The answer in one line."""
        rows = "; ".join(f"{name} {text}" for name, text in self.rows)
        return "; ".join(part for part in (self.loud, self.note, rows) if part)

    def html(self) -> str:
        """Return the answer, the loudest thing of the panel."""
        note = f' <span class="gb-meaning">{escape(self.note)}</span>' if self.note else ""
        loud = f"<strong>{escape(self.loud)}</strong>" if self.loud else ""
        rows = "".join(
            f"<div><dt>{escape(name)}</dt><dd>{escape(text)}</dd></div>" for name, text in self.rows
        )
        return (f'<p class="gb-result">{loud}{note}</p>' if loud or note else "") + (
            f'<dl class="gb-parts">{rows}</dl>' if rows else ""
        )


def said(answer: Any) -> Said:
    """Return how an answer of any calculator is said."""
    if isinstance(answer, Band):
        why = f"; {answer.why}" if answer.why else ""
        return Said(_short(answer), f"typically {say(answer.typical)}, {answer.provenance}{why}")
    if isinstance(answer, Mapping | list | tuple) and not answer:
        return Said("none")
    if isinstance(answer, Mapping):
        return Said(rows=[(str(key), _short(value)) for key, value in answer.items()])
    if _is_record(answer):
        return _record(answer)
    if isinstance(answer, list | tuple):
        return Said(rows=_listed(answer))
    return Said("not known" if answer is None else words(answer))


def _record(answer: Any) -> Said:
    """Return a record: its first field is the answer, its own sentence the note."""
    parts = _parts(answer)
    sentence = str(answer) if "__str__" in vars(type(answer)) else ""
    first = sentence if 0 < len(sentence) < SHORT else _short(parts[0][1])
    # What is nought needs no row where the record has a sentence of its own.
    told = [
        (name, value)
        for name, value in parts
        if (is_quantity(value) or isinstance(value, Band | str))
        and not (sentence and is_quantity(value) and value.m == 0)
    ]
    rows = [(name, _short(value)) for name, value in told]
    return Said(
        first[:1].upper() + first[1:],
        sentence if sentence != first else "",
        [(name, text) for name, text in rows if text != first and text not in sentence],
    )


def _listed(items: Sequence[Any]) -> list[tuple[str, str]]:
    rows = []
    for place, item in enumerate(items, 1):
        if isinstance(item, tuple) and not _is_record(item) and len(item) == 2:
            rows.append((str(item[0]), _short(item[1])))
        elif _is_record(item):
            rows.append((str(place), said(item).text))
        else:
            rows.append((str(place), words(item)))
    return rows


def _is_record(thing: Any) -> bool:
    return (is_dataclass(thing) or hasattr(thing, "_fields")) and not isinstance(thing, type)


def _parts(record: Any) -> list[tuple[str, Any]]:
    names = getattr(record, "_fields", None) or [f.name for f in fields(record)]
    return [(name.replace("_", " "), getattr(record, name)) for name in names]


def _short(value: Any) -> str:
    if isinstance(value, Band):
        low = say(value.low)
        same = value.low.units == value.high.units and symbol(value.low.units)
        low = low.removesuffix(symbol(value.low.units)).rstrip() if same else low
        return f"{low} to {say(value.high)}"
    if _is_record(value) or isinstance(value, Mapping | list | tuple):
        return said(value).text
    return words(value)


# --- practice -----------------------------------------------------------------------


def asked_html(asked: DrawnQuestion, name: str = "", summary: str = "The worked solution") -> str:
    """Return a question with its boxes and its worked solution, for a practice card.

    ``name`` tells its elements from those of the same question elsewhere on the page.
    """
    dress = card(name or asked.id, [f"1{part.name}" for part in asked.parts])
    stem = f"<p>{escape(asked.stem)}</p>" if asked.stem else ""
    parts = "".join(part.public(1, False).html(dress) for part in asked.parts)
    worked = worked_html(asked, name)
    return (
        f"{stem}{exhibit_html(asked.exhibit)}"
        f'<fieldset class="gb-boxes" disabled>{parts}</fieldset>'
        f'<details class="gb-worked"><summary>{summary}</summary><div>{worked}</div></details>'
    )


def worked_html(asked: DrawnQuestion, name: str = "") -> str:
    """Return the worked solution of each part, and how it begins."""
    dress = card(name or asked.id, [f"1{part.name}" for part in asked.parts])
    return "".join(
        f'<p data-part="1{part.name}" data-first="{escape(_first_line(part))}">'
        f"{_letter(dress.letter(f'1{part.name}'))}{_lines(part.solution())}</p>"
        for part in asked.parts
    )


_BEFORE_THE_ANSWER = re.compile(r"(.*(?:=|:|\babout))\s[^=:]*")


def _first_line(part: DrawnPart) -> str:
    """Return how a solution begins with these numbers, its last step left open.

    A sum ends before what comes out; words end with their first sentence.
    """
    line = part.worked.strip().split("\n")[0].removeprefix("- ")
    if part.kind in ("quantity", "table"):
        open_end = _BEFORE_THE_ANSWER.fullmatch(line)
        return f"{open_end[1]} …" if open_end else line
    return re.split(r"(?<=[.:;])\s", line, maxsplit=1)[0].rstrip(":;")


def _letter(letter: str) -> str:
    return f'<span class="gb-letter">{letter}</span> ' if letter else ""


def exhibit_html(exhibit: Exhibit | None) -> str:
    """Return what is to be looked at: a drawing, a plate or a table."""
    if not exhibit:
        return ""
    title = escape(exhibit.title)
    if exhibit.svg:
        head, tail = exhibit.svg.split(">", 1)
        drawing = f'{head} role="img" aria-label="{escape(exhibit.alt)}">{tail}'
        return f'<figure class="gb-picture">{drawing}<figcaption>{title}</figcaption></figure>'
    seen, named = "", exhibit.title
    if exhibit.plate:
        seen, named = plate_html(exhibit.plate, exhibit.alt, exhibit.title), "What was written down"
        if not exhibit.rows:
            return seen
    return seen + table_html(named, exhibit.head, exhibit.rows, named=False)


def _lines(text: str) -> str:
    return escape(text).replace("\n", "<br>")
