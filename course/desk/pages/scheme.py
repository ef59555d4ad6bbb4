"""The scheme of work as forms, over the plain file: a person's remarks and order are kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from flask import Blueprint, jsonify, redirect, render_template, request

from calculators.faults import Fault, FaultsError, fault_error
from calculators.ingredients import ingredients
from calculators.units import say
from course.desk.app import desk, one_at_a_time
from course.desk.forms import Typed, as_it_stands, beside, by_gap, sections, typed_into
from course.desk.scheme_file import changed_meanwhile, digest_of, keep, save, text_of
from course.office.follows import follows
from course.scheme.declared import LABELS, PARTS
from course.scheme.reading import Reading, look_at
from exercises.files.toml_file import LARGEST_FILE
from exercises.questions.outcomes import outcomes

pages = Blueprint("scheme", __name__)
# Labels have a page of their own.
TABLES = tuple(table for _, tables in PARTS for table in tables if table is not LABELS)


@dataclass(frozen=True)
class Shown:
    """What stands beside the gaps: faults and how values were read, by way; all faults."""

    faults: Mapping[str, str] = field(default_factory=dict)
    read: Mapping[str, str] = field(default_factory=dict)
    others: tuple[str, ...] = ()
    own: tuple[str, ...] = ()  # names of labels of one's own


@pages.get("/scheme")
def whole() -> Any:
    """Show the scheme as forms, with what follows from each value."""
    text = _text()
    try:
        typed = as_it_stands(text, TABLES)
    except ValueError:  # no TOML at all
        return redirect("/scheme/text")
    return _page(text, {}, _shown(typed, look_at(desk().place.scheme, text)))


def _page(text: str, form: Mapping[str, str], shown: Shown) -> Any:
    return render_template(
        "scheme.html",
        parts=[
            (heading, sections(text, [table for table in tables if table in TABLES]))
            for heading, tables in PARTS
        ],
        form=form,
        shown=shown,
        typed=lambda *lots: any(
            form.get(f"at:{way}")
            for lot in lots
            for way in (lot.way, *(gap.way for gap in lot.gaps))
        ),
        saved="saved" in request.args,
        suggested={"ingredient": (*shown.own, *ingredients()), "own_glucose": shown.own},
        outcomes=outcomes().values(),
        digest=form.get("digest") or digest_of(text),
    )


def _text() -> str:
    return text_of(desk().place.scheme)


def _shown(typed: Typed, held: Reading) -> Shown:
    read = {}
    said = follows(held.scheme) if held.scheme else {}
    for path, way in typed.paths.items():
        value = held.quantities.get(path)
        words = [f"read as {say(value, digits=6)}"] if value is not None else []
        words += [said[path]] if path in said else []
        if words:
            read[way] = ": ".join(words)
    own = held.scheme.own_ingredients if held.scheme else ()
    names = tuple(one.label.name for one in own)
    return Shown(beside(held.faults, typed), read, tuple(map(str, held.faults)), names)


# --- what was typed -----------------------------------------------------------------------


@pages.post("/scheme/try")
def try_it() -> Any:
    """Say while one types what is wrong and how values are read; nothing is saved."""
    try:
        typed = typed_into(_text(), request.form, TABLES)
    except FaultsError as error:
        shown = _told(error.faults)
    else:
        shown = _shown(typed, look_at(desk().place.scheme, typed.text))
    return jsonify(faults=shown.faults, read=shown.read, others=shown.others)


def _told(faults: Iterable[Fault]) -> Shown:
    """Return what a form itself can't take, beside the gaps that it names."""
    told = list(faults)
    return Shown(by_gap(told), {}, tuple(map(str, told)))


@pages.post("/scheme")
@one_at_a_time
def save_it() -> Any:
    """Save what was typed, where the file is still the one that was shown."""
    text, form = _text(), _asked(_text(), request.form)
    try:
        typed = typed_into(text, form, TABLES)
    except FaultsError as error:
        return _page(text, form, _told(error.faults)), 400
    if form.get("digest") != digest_of(text):
        raise changed_meanwhile("The scheme", keep(desk().place.folder, typed.text))
    held = look_at(desk().place.scheme, typed.text)
    if held.faults:
        return _page(text, form, _shown(typed, held)), 400
    save(desk().place.scheme, typed.text)
    return redirect("/scheme?saved=yes")


def _asked(text: str, form: Mapping[str, str]) -> dict[str, str]:
    """Return the form with what a button asks: one more like the last, or one less."""
    held = dict(form.items())
    what, _, way = held.get("action", "").partition(":")
    if what == "less":
        held[f"less:{way}"] = "yes"
    for section in sections(text, TABLES) if what == "more" else ():
        if section.way == way and section.lots and section.blanks:
            last = section.lots[-1]
            for gap in last.gaps:
                value = held.get(f"at:{gap.way}", gap.value)
                held[f"at:{section.blanks[0].way}.{gap.key.name}"] = value
    return held


# --- the file itself ----------------------------------------------------------------------


@pages.get("/scheme/text")
def text() -> Any:
    """Show the file itself: it opens as well in any editor."""
    faults = look_at(desk().place.scheme).faults
    return _as_text(_text(), map(str, faults))


def _as_text(shown: str, faults: Iterable[str] = ()) -> Any:
    return render_template(
        "scheme_text.html", text=shown, faults=list(faults), digest=digest_of(_text())
    )


@pages.post("/scheme/text")
@one_at_a_time
def save_text() -> Any:
    """Save the file itself, where it can be read without a fault."""
    typed = request.form.get("text", "").replace("\r\n", "\n")
    if len(typed) > LARGEST_FILE:
        raise fault_error("The scheme", "is longer than 256 kB", "", "", "Leave remarks out")
    if request.form.get("digest") != digest_of(_text()):
        raise changed_meanwhile("The scheme", keep(desk().place.folder, typed))
    faults = look_at(desk().place.scheme, typed).faults
    if faults:
        return _as_text(typed, map(str, faults)), 400
    save(desk().place.scheme, typed)
    return redirect("/scheme?saved=yes")
