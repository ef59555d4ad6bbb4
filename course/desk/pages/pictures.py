"""Photographs of one's own in the place of rendered plates: dropped in, looked at, taken away."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from flask import Blueprint, abort, jsonify, redirect, render_template, request, send_file

from calculators.faults import Fault, FaultsError, fault_error
from course.desk.app import desk, one_at_a_time
from course.desk.forms import by_gap, held_in
from course.desk.scheme_file import digest_of, save, text_of
from course.office import pictures
from course.scheme.declared import ORDER, OWN
from exercises.craft import plates
from exercises.craft.own_pictures import (
    CAPTION,
    FEWEST_WORDS,
    Photograph,
    photographs,
    words_of,
)
from exercises.craft.plates import Plate, State
from exercises.files.toml_edit import TomlEdit

pages = Blueprint("pictures", __name__)
FOLDER = "pictures"  # where the scheme names none
NOT_OFFERED = ("readme",)  # is on no page of a course
KINDS = {
    "right": "As it should be",
    "fault": "Faults",
    "work": "The work",
    "title": "The first page",
}


@dataclass(frozen=True)
class Own:
    """A picture of one's own that is there: its name, where it is shown, its words."""

    name: str
    stands_for: str
    shown: Photograph | None
    alt: str
    caption: str


@pages.get("/scheme/pictures")
def whole() -> Any:
    """Show the pictures that there are, and the form for one more."""
    return _page({})


def _page(form: Mapping[str, str], faults: tuple[Fault, ...] = ()) -> Any:
    folder, told = _folder(), [str(one) for one in faults]
    held: list[Own] = []
    if folder.is_dir():
        try:
            made, wrong = photographs(folder)
            held = _held(folder, made)
            told += [str(one) for one in wrong]
        except FaultsError as error:  # the words can't be read
            told += [str(one) for one in error.faults]
    return render_template(
        "pictures.html",
        form=form,
        faults=by_gap(faults),
        told=told,
        held=held,
        folder=folder.name,
        kinds=[(title, [s for s in _offered() if s.kind == kind]) for kind, title in KINDS.items()],
        one_of={state.id: plates.of_state(state.id)[0] for state in _offered()},
        plates=[one for one in plates.plates() if one.state not in NOT_OFFERED],
        states=plates.states(),
        taken=f"at most {pictures.LARGEST_MB} MB, {' by '.join(map(str, pictures.LEAST))} pixels",
        fewest=FEWEST_WORDS,
        usual=CAPTION,
        saved=request.args.get("saved", ""),
        digest=form.get("digest") or _digest(),
    )


def _offered() -> list[State]:
    return [one for one in plates.states().values() if one.id not in NOT_OFFERED]


def _held(folder: Path, made: Mapping[str, Photograph]) -> list[Own]:
    """Return the pictures that have words, each with how it is shown."""
    words = words_of(folder)
    out = []
    for name in words:
        state = plates.states().get(name.replace("-", " "))
        known = next((p for p in plates.plates() if p.id == name), None)
        if state is None and known is None:
            continue
        shown = next((p for p in made.values() if state and p.state == state.id), made.get(name))
        says = f"Every picture of: {state.name}" if state else f"The one plate {name}"
        out.append(Own(name, says, shown, *pictures.words_said(words, name)))
    return out


def _folder() -> Path:
    """Return the folder of pictures that the scheme names, or the one that it would get."""
    place = desk().place
    name = _named() or FOLDER
    folder = place.folder / name
    if not folder.resolve().is_relative_to(place.folder.resolve()) or folder == place.folder:
        raise fault_error(
            "own, pictures",
            "is outside the scheme's folder",
            name,
            "What is in it is shown as yours",
            "Mend it under Your own in the scheme",
        )
    return folder


def _named() -> str:
    """Return the folder that the scheme names; empty for none."""
    try:
        return held_in(text_of(desk().place.scheme), OWN, "pictures")
    except ValueError:
        raise fault_error(
            "The scheme", "can't be read", "", "", "Mend it first: it opens as a file"
        ) from None


def _digest() -> str:
    """Return by what the folder is known whether it is as it was shown."""
    folder = _folder()
    files = sorted(folder.iterdir()) if folder.is_dir() else []
    listed = [f"{p.name} {p.stat().st_size} {p.stat().st_mtime_ns}\n" for p in files if p.is_file()]
    return digest_of(folder.name, *listed)


# --- what is asked --------------------------------------------------------------------------


def _typed() -> tuple[str, str, str]:
    form = request.form
    name = form.get("plate", "").strip() or form.get("name", "").strip()
    return name, form.get("alt", "").strip(), form.get("caption", "").strip()


@pages.post("/scheme/pictures/try")
def try_it() -> Any:
    """Say while one types what is wrong with the words; nothing is saved."""
    name, alt, caption = _typed()
    faults = pictures.faults_of_words(name, alt, caption) if name and alt else []
    return jsonify(faults=by_gap(faults), read={}, others=[str(one) for one in faults])


@pages.post("/scheme/pictures")
@one_at_a_time
def put_in() -> Any:
    """Put a picture in, or give one other words; what is wrong is told with all that was typed."""
    name, alt, caption = _typed()
    sent = request.files.get("picture")
    try:
        _still_the_same()
        if request.form.get("action") == "words":
            pictures.say_of(_folder(), name, alt, caption)
        else:
            data = sent.stream.read(pictures.LARGEST + 1) if sent else b""
            pictures.put_in(_folder(), name, data, alt, caption)
            _name_folder()
    except FaultsError as error:
        return _page(dict(request.form.items()), tuple(error.faults)), 400
    return redirect(f"/scheme/pictures?saved={name}#own-{name}")


@pages.post("/scheme/pictures/away")
@one_at_a_time
def take_away() -> Any:
    """Take a picture away; the rendered plate comes back."""
    try:
        _still_the_same()
    except FaultsError as error:
        return _page({}, tuple(error.faults)), 400
    pictures.take_away(_folder(), request.form.get("name", ""))
    return redirect("/scheme/pictures")


def _still_the_same() -> None:
    if request.form.get("digest") != _digest():
        raise fault_error(
            "The folder of pictures",
            "was changed by somebody else, or in another window, since this page was shown",
            "",
            "What you typed is below",
            "Look at what is there now, and press again",
        )


def _name_folder() -> None:
    """Write the folder into the scheme, where it names none yet."""
    if not _named():
        path = desk().place.scheme
        edit = TomlEdit(text_of(path), ORDER)
        edit.put(("own", "pictures"), FOLDER)
        save(path, edit.text)


@pages.get("/scheme/pictures/<kind>/<name>.webp")
def picture(kind: str, name: str) -> Any:
    """Give a plate as it was rendered, or one's own in its place, as pages show it."""
    found: Plate | None = next((p for p in plates.plates() if p.id == name), None)
    if kind == "own":
        found = photographs(_folder())[0].get(name) if _folder().is_dir() else None
    if kind not in ("own", "rendered") or found is None:
        abort(404)
    return send_file(found.file(plates.WIDTHS[0]), "image/webp")
