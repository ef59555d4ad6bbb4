"""Ingredients of one's own, copied from their labels: per 100 g, as printed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from flask import Blueprint, jsonify, redirect, render_template, request

from calculators.faults import fault_error
from calculators.safety import LAST_WORD, allergens
from course.desk.app import desk, one_at_a_time
from course.desk.forms import (
    EMPTY,
    Gap,
    Typed,
    as_it_stands,
    beside,
    held_in,
    sections,
    typed_into,
)
from course.desk.scheme_file import changed_meanwhile, digest_of, keep, save, text_of
from course.office.follows import label_lines
from course.scheme.declared import LABELS, OWN, PART
from course.scheme.reading import Reading, look_at
from exercises.files.toml_keys import Size

pages = Blueprint("labels", __name__)
TABLES = (LABELS,)
PRINTED = tuple(key.name for key in LABELS.keys if isinstance(key, Size) and key.measure is PART)
TICKED = ("allergens", "may_contain")
_GRAMS = re.compile(r"(.*[0-9])\s*(?:g|%|g */ *100 *g)?")


@pages.get("/scheme/labels")
def whole() -> Any:
    """Show each label with what the calculators make of it."""
    text = text_of(_file())
    try:
        typed = as_it_stands(text, TABLES)
    except ValueError:  # no TOML at all
        return redirect("/scheme/text")
    return _page(text, {}, typed, _looked(typed.text))


def _beside() -> str:
    """Return the name of the file of labels that the scheme names; empty for none."""
    try:
        return held_in(text_of(desk().place.scheme), OWN, "ingredients")
    except ValueError:
        return ""


def _file() -> Path:
    """Return the file of which the page speaks: the scheme, or the one beside it."""
    place, name = desk().place, _beside()
    if not name or "beside" not in request.values:
        return place.scheme
    path = place.folder / name
    if path.suffix != ".toml" or not path.resolve().is_relative_to(place.folder.resolve()):
        raise fault_error(
            "own, ingredients",
            "is no file of labels beside the scheme",
            name,
            "Its name ends in .toml, and it lies in the scheme's folder",
            "Mend it under Your own in the scheme",
        )
    return path


def _looked(text: str) -> Reading:
    """Read the scheme as it would be with this text for the file of the page."""
    place, path = desk().place, _file()
    if path == place.scheme:
        return look_at(path, text)
    return look_at(place.scheme, None, {_beside(): text})


def _page(text: str, form: Mapping[str, str], typed: Typed, held: Reading) -> Any:
    (section,) = sections(text, TABLES)
    path, place = _file(), desk().place
    return render_template(
        "labels.html",
        section=section,
        suggested={},
        form=form,
        shown=_shown(typed, held),
        printed=PRINTED,
        ticked=TICKED,
        as_printed=as_printed,
        ticks=ticks,
        allergens=allergens(),
        last_word=LAST_WORD,
        path=path,
        beside=_beside(),
        on_beside=path != place.scheme,
        saved="saved" in request.args,
        digest=form.get("digest") or digest_of(text),
    )


def _shown(typed: Typed, held: Reading) -> dict[str, Any]:
    """Return what stands beside the gaps: faults, and what comes of each label; all faults."""
    begins, said = f"{_file().name}:", _said(held)
    ours = [one for one in held.faults if one.where.startswith(begins)]
    return {
        "faults": beside(ours, typed),
        "read": {way: said[at[-1]] for at, way in typed.paths.items() if at and at[-1] in said},
        "others": [str(one) for one in held.faults],
    }


def _said(held: Reading) -> dict[Any, str]:
    """Return what the calculators make of each label of the page, by its place in the file."""
    scheme = held.scheme
    if scheme is None:
        return {}
    lines = ["\n".join(label_lines(one, scheme.region)) for one in scheme.own_ingredients]
    first = len(sections(text_of(desk().place.scheme), TABLES)[0].lots)
    mine = lines[first:] if _file() != desk().place.scheme else lines
    return dict(enumerate(mine))


def as_printed(gap: Gap) -> str:
    """Return a value as it stands on a label: grams of 100 g without their sign."""
    found = _GRAMS.fullmatch(gap.value) if gap.key.name in PRINTED else None
    return found[1] if found else gap.value


def ticks(gap: Gap, form: Mapping[str, str]) -> list[str]:
    """Return which boxes are ticked."""
    return [one.strip() for one in form.get(f"at:{gap.way}", gap.value).split(",")]


def _typed(text: str) -> dict[str, str]:
    """Return the form as the scheme has it: 36 of 100 g is 36 %, and ticks are a list."""
    form = dict(request.form.items())
    (section,) = sections(text, TABLES)
    for lot in (*section.lots, *section.blanks):
        begun = any(form.get(f"at:{gap.way}", "").strip() for gap in lot.gaps)
        for gap in lot.gaps:
            way = f"at:{gap.way}"
            if gap.key.name in PRINTED and way in form:
                given = form[way].strip()
                found = _GRAMS.fullmatch(given)
                form[way] = gap.value if given == as_printed(gap) else given
                if found and form[way] == given:
                    form[way] = f"{found[1]} %"
            if gap.key.name in TICKED and f"asked:{gap.way}" in form:
                chosen = request.form.getlist(f"has:{gap.way}")
                names_none = EMPTY if chosen == [EMPTY] and (begun or not lot.new) else ""
                kept = [one for one in gap.value.split(", ") if one in chosen]
                more = [one for one in chosen if one not in (*kept, EMPTY)]
                form[way] = ", ".join([*kept, *more]) or names_none
    return form


@pages.post("/scheme/labels/try")
def try_it() -> Any:
    """Say while one types what is wrong and what the calculators make of it."""
    text = text_of(_file())
    typed = typed_into(text, _typed(text), TABLES)
    return jsonify(_shown(typed, _looked(typed.text)))


@pages.post("/scheme/labels")
@one_at_a_time
def save_it() -> Any:
    """Save the labels, where the file is still the one that was shown."""
    path = _file()
    text = text_of(path)
    form = _typed(text)
    typed = typed_into(text, form, TABLES)
    if form.get("digest") != digest_of(text):
        raise changed_meanwhile(path.name, keep(path.parent, typed.text, path.stem))
    held = _looked(typed.text)
    if held.faults:
        return _page(text, form, typed, held), 400
    save(path, typed.text)
    more = "&beside=yes" if path != desk().place.scheme else ""
    return redirect(f"/scheme/labels?saved=yes{more}")
