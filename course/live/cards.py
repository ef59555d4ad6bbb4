"""How an answer and a practice question look on a page: HTML, and nothing else."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass
from html import escape
from typing import Any

from calculators.units import Band, is_quantity, say, symbol
from course.kit.results import words
from exercises.craft.plates import WIDTHS, Plate

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
        if _is_simple(value) and not (sentence and is_quantity(value) and value.m == 0)
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


def _is_simple(thing: Any) -> bool:
    return is_quantity(thing) or isinstance(thing, Band | str)


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


def asked_html(asked: Mapping[str, Any]) -> str:
    """Return a question with its boxes and its worked solution, for a practice card."""
    stem = f"<p>{escape(asked['stem'])}</p>" if asked["stem"] else ""
    parts = "".join(_part(asked, part) for part in asked["parts"])
    worked = "".join(
        f"<p>{_letter(asked, part)}{_lines(solution(part))}</p>" for part in asked["parts"]
    )
    return (
        f"{stem}{exhibit_html(asked['exhibit'])}"
        f'<fieldset class="gb-boxes" disabled>{parts}</fieldset>'
        f"<details><summary>The worked solution</summary>{worked}</details>"
    )


def _letter(asked: Mapping[str, Any], part: Mapping[str, Any]) -> str:
    several = len(asked["parts"]) > 1
    return f'<b class="gb-letter">{part["name"]}</b> ' if several else ""


def _part(asked: Mapping[str, Any], part: Mapping[str, Any]) -> str:
    key, stem = f"1{part['name']}", f"{asked['id']}-{part['name']}"
    prompt = f"{_letter(asked, part)}{escape(part['prompt'])}"
    told = f'<div class="gb-verdict" id="{stem}-says" role="status" data-verdict="{key}"></div>'
    if part["kind"] == "quantity":
        return (
            f'<div class="gb-part"><label for="{stem}">{prompt}</label>'
            f"{_box(stem, key, stem)}{told}</div>"
        )
    if part["kind"] == "table":
        rows = "".join(
            f'<div class="gb-row"><label for="{stem}-{n}">{escape(row["label"])}</label>'
            f"{_box(f'{stem}-{n}', f'{key}.{n}', f'{stem}-{n}')}"
            f'<div class="gb-verdict" id="{stem}-{n}-says" role="status" '
            f'data-verdict="{key}.{n}"></div></div>'
            for n, row in enumerate(part["rows"], 1)
        )
        return f'<fieldset class="gb-part"><legend>{prompt}</legend>{rows}</fieldset>'
    if part["kind"] == "order":
        steps = "".join(_step(n, step) for n, step in enumerate(part["steps"], 1))
        return (
            f'<fieldset class="gb-part"><legend>{prompt}</legend>'
            f'<ol class="gb-steps">{steps}</ol>'
            f'<input type="hidden" name="{key}" value="">{told}</fieldset>'
        )
    kind = "checkbox" if part["kind"] == "choices" else "radio"
    options = "".join(
        f'<label class="gb-option"><input type="{kind}" name="{key}" value="{o["key"]}">'
        f"<span>{escape(o['text'])}</span></label>"
        for o in part["options"]
    )
    return (
        f'<fieldset class="gb-part"><legend>{prompt}</legend>'
        f'<div class="gb-options">{options}</div>{told}</fieldset>'
    )


def _box(ident: str, key: str, stem: str) -> str:
    return (
        f'<input class="gb-write" type="text" id="{ident}" name="{key}" '
        f'aria-describedby="{stem}-says" autocomplete="off" spellcheck="false" '
        f'autocapitalize="off" maxlength="80">'
    )


def _step(place: int, step: str) -> str:
    text = escape(step)
    return (
        f'<li data-step="{place}"><span>{text}</span><span class="gb-moves">'
        f'<button type="button" class="gb-button" data-move="-1" aria-label="Earlier: {text}">Earlier</button>'
        f'<button type="button" class="gb-button" data-move="1" aria-label="Later: {text}">Later</button>'
        "</span></li>"
    )


def solution(part: Mapping[str, Any]) -> str:
    """Return the worked solution of a part, ending at its answer."""
    worked = part.get("worked", "")
    if part["kind"] == "quantity":
        return f"{part['working']}\n\n{worked}".strip() or str(part["shown"])
    if part["kind"] == "order":
        steps = [part["steps"][n - 1] for n in part["right"]]
        listed = "\n".join(f"{n}. {step}" for n, step in enumerate(steps, 1))
        return f"{listed}\n\n{worked}".strip()
    if part["kind"] == "table":
        listed = "\n".join(
            f"- {row['label']}: {row['worked'] or row['shown']}" for row in part["rows"]
        )
        return f"{listed}\n\n{worked}".strip()
    right = [o["text"] for o in part["options"] if o["key"] in part["right"]]
    return f"Right: {'; '.join(right)}.\n\n{worked}".replace("..\n", ".\n").strip()


def exhibit_html(exhibit: Mapping[str, Any] | None) -> str:
    """Return what is to be looked at: a drawing, a plate or a table."""
    if not exhibit:
        return ""
    title = escape(exhibit["title"])
    if exhibit["svg"]:
        head, tail = exhibit["svg"].split(">", 1)
        drawing = f'{head} role="img" aria-label="{escape(exhibit["alt"])}">{tail}'
        return f'<figure class="gb-picture">{drawing}<figcaption>{title}</figcaption></figure>'
    seen = ""
    if exhibit.get("plate"):
        seen = plate_html(exhibit["plate"], exhibit["alt"], exhibit["title"])
        if not exhibit["rows"]:
            return seen
        title = "What was written down"
    head = "".join(f'<th scope="col">{escape(c)}</th>' for c in exhibit["head"])
    rows = "".join(
        f"<tr>{''.join(f'<td>{escape(c)}</td>' for c in row)}</tr>" for row in exhibit["rows"]
    )
    return (
        f'{seen}<div class="gb-table" tabindex="0" role="region" aria-label="{title}">'
        f"<table><caption>{title}</caption><thead><tr>{head}</tr></thead>"
        f"<tbody>{rows}</tbody></table></div>"
    )


def plate_html(
    plate: str, alt: str, caption: str, place: str = "../_static/plates", loading: str = "lazy"
) -> str:
    """Return a plate as a figure that keeps its place free until the picture is there."""
    (narrow, _), (width, height) = Plate.size(WIDTHS[0]), Plate.size()
    file = f"{place}/{escape(plate)}"
    return (
        f'<figure class="gb-picture gb-plate"><img src="{file}-{width}.webp" '
        f'srcset="{file}-{narrow}.webp {narrow}w, {file}-{width}.webp {width}w" '
        f'sizes="(min-width: 44rem) 41rem, 94vw" width="{width}" height="{height}" '
        f'loading="{loading}" decoding="async" alt="{escape(alt)}">'
        f"<figcaption>{escape(caption)}</figcaption></figure>"
    )


def _lines(text: str) -> str:
    return escape(text).replace("\n", "<br>")
