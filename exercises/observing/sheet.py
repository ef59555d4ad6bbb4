"""Observation sheets as they are issued, printed and opened on a tablet."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from markupsafe import Markup

from calculators import safety
from calculators.cooling import warm_between
from calculators.kitchen import Kitchen
from exercises.book.observations import ObservationSheet
from exercises.craft.method import method
from exercises.craft.plates import plate
from exercises.observing.bench_log import APART
from exercises.observing.rows import (
    ANSWERS,
    JUDGEMENTS,
    USUAL,
    Limits,
    bands,
    caption,
    hold_said,
    rows,
    standards,
)
from exercises.sheets.sheet import in_page
from exercises.sheets.worksheet import for_script, page_template, script_hash, static_text

AT = {
    "before": "Before the work",
    "boil": "At the hob",
    "blend": "At the jug",
    "pour": "During the pour",
    "after": "After the pour",
    "end": "At the end",
}
GATE = "Starts in clean working clothes, hair covered, no rings."
LOG_ROWS = 6  # on paper


@dataclass(frozen=True)
class Rule:
    """How a practical is passed: the share of rows, and outcomes that must be met."""

    share: float = 0.5
    must_pass: Sequence[str] = ()


def content_of(
    kitchen: Kitchen,
    limits: Limits = USUAL,
    *,
    title: str,
    school: str,
    rule: Rule | None = None,
    without: Iterable[str] = (),
) -> dict[str, Any]:
    """Return what the sheets of a practical hold, as plain data for the mark book.

    Parameters
    ----------
    kitchen : Kitchen
        Whose numbers the rows name.
    limits : Limits, optional
        What the lecturer decides.
    title, school : str
        The glaze, and whose practical it is.
    rule : Rule, optional
        How it is passed.
    without : iterable of str
        Outcomes that this course does not teach.
    """
    rule = rule or Rule()
    held = rows(kitchen, limits, without)
    shown = standards(kitchen, held)
    return {
        "title": title,
        "school": school,
        "rows": [asdict(row) for row in held],
        "bands": [asdict(band) for band in bands(kitchen, limits)],
        "window": [kitchen.window_low.m_as("degC"), kitchen.window_high.m_as("degC")],
        "thermometer": limits.thermometer.m_as("delta_degC"),
        "region": kitchen.region,
        "hold": None if limits.hold is None else limits.hold.m_as("h"),
        "cold": warm_between(kitchen.region).cold.m,
        "hold said": hold_said(kitchen, limits),
        "last word": safety.LAST_WORD,
        "plates": [[one.row, one.plate.id, one.says] for one in shown],
        "caption": caption(shown),
        "share": rule.share,
        "must_pass": [name for name in rule.must_pass if name in {row.outcome for row in held}],
    }


def paper_sheets(
    sheets: Iterable[ObservationSheet], names: Mapping[str, str], *, marked: bool = True
) -> str:
    """Return the sheets to be printed, one A4 page for each student.

    Parameters
    ----------
    sheets : iterable of ObservationSheet
        As issued.
    names : mapping of str to str
        Of the students, by id.
    marked : bool
        False for a card of one's own at home: no token, no signatures, no judgement.
    """
    pages: list[dict[str, Any]] = [
        {"sheet": one, "name": names.get(one.student, ""), "c": one.content} for one in sheets
    ]
    return page_template("observation_paper.html").render(
        pages=pages,
        at=AT,
        gate=GATE,
        answers=ANSWERS,
        judgements=JUDGEMENTS,
        log_rows=range(LOG_ROWS),
        picture=picture,
        marked=marked,
        hazards=[]
        if marked
        else [one["hazard"] for each in _of_a_bench_alone(pages[0]["c"]).values() for one in each],
        hob=at_the_hob(),
        css=static_text("tokens.css", "observation_paper.css"),
    )


def page(sheets: Sequence[ObservationSheet], names: Mapping[str, str]) -> str:
    """Return the same sheets as one page for a tablet; it needs nothing but a browser.

    Parameters
    ----------
    sheets : sequence of ObservationSheet
        Of one issue, so of one content.
    names : mapping of str to str
        Of the students, by id.
    """
    content = sheets[0].content
    return _watched(
        content,
        [{"token": one.token, "name": names.get(one.student, one.student)} for one in sheets],
        kind="observed",
    )


def own_page(content: Mapping[str, Any]) -> str:
    """Return the same rows for a student alone at home: no marks, nothing handed in."""
    return _watched(content, [{"token": "", "name": ""}], kind="own")


def _watched(content: Mapping[str, Any], people: list[dict[str, str]], kind: str) -> str:
    script = Markup('"use strict";\n') + static_text("observation.js")
    tokens = "".join(one["token"] for one in people) or content["title"]
    data = {
        "kind": kind,
        "place": "glossbook bench " + hashlib.sha256(tokens.encode()).hexdigest()[:16],
        "people": people,
        "rows": [row["id"] for row in content["rows"]],
        "bands": content["bands"],
        "hold": content["hold"],
        "cold": content["cold"],
        "apart": APART.m,
    }
    return page_template("observation.html").render(
        c=content,
        own=kind == "own",
        cautions=_of_a_bench_alone(content) if kind == "own" else {},
        hob=at_the_hob(),
        at=AT,
        gate=GATE,
        answers=ANSWERS,
        judgements=JUDGEMENTS,
        people=people,
        picture=picture,
        css=static_text("tokens.css", "worksheet.css", "observation.css"),
        script=script,
        script_hash=script_hash(script),
        data=for_script(data),
    )


def cautions_of(rows: Iterable[Mapping[str, Any]], who: str) -> dict[str, list[dict[str, str]]]:
    """Return what can hurt at the steps of these rows, by when they are; each once.

    Parameters
    ----------
    rows : iterable of mapping
        Rows as a sheet holds them.
    who : str
        The last word of every caution.
    """
    out: dict[str, list[dict[str, str]]] = {}
    told: set[str] = set()
    for row in rows:
        for name in method().step(row["step"]).caution:
            if name in told:
                continue
            told.add(name)
            one = safety.caution(name)
            does = " ".join((one.happens, *one.act))
            out.setdefault(row["when"], []).append(
                {"hazard": one.hazard, "do": does, "who": f"{one.first_aid} {who}".strip()}
            )
    return out


def at_the_hob() -> str:
    """Return in a sentence who has to be in the room before a pan is boiled.

    >>> at_the_hob()
    'At the hob: only with the supervisor of hot sugar in the room.'
    """
    said = method().step("boil").does[0]
    return f"{AT['boil']}: {said[:1].lower()}{said[1:]}"


def _of_a_bench_alone(content: Mapping[str, Any]) -> dict[str, list[dict[str, str]]]:
    """Return what can hurt at the rows' steps, and before the work what can at the others.

    Where no row is watched, as in a course without a bench, there is nothing.
    """
    steps = (*method().day_before, *method().day)
    others = [
        {"step": step.id, "when": first["when"]} for first in content["rows"][:1] for step in steps
    ]
    return cautions_of([*content["rows"], *others], content["last word"])


def picture(name: str) -> Markup:
    """Return a plate as an image that stands in the page, with its words."""
    one = plate(name)
    width, height = one.size(400)
    return Markup('<img src="{}" width="{}" height="{}" alt="{}">').format(
        in_page("webp", one.file(400).read_bytes()), width, height, one.alt
    )
