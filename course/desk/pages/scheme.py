"""The scheme of work as forms, over the plain file: a person's comments and order are kept."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

import tomlkit
from flask import Blueprint, jsonify, redirect, render_template, request
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, Item, Table

from calculators.faults import Fault, FaultsError, fault_error
from course.desk.app import desk
from course.office.report_lines import as_read, scheme_lines
from course.scheme.reading import read_scheme
from exercises.files.toml_file import LARGEST_FILE

pages = Blueprint("scheme", __name__)
HEADINGS = {
    "": "The course",
    "school": "The school",
    "kitchen": "The kitchen",
    "stores": "The stores",
    "formula": "The formula",
    "window": "The pouring window",
    "coat": "The coat",
    "cooling": "How the glaze is cooled",
    "cakes": "A cake",
    "colours": "A colour",
    "group": "The group",
    "groups": "A group",
    "papers": "A paper",
    "pass": "To pass",
    "marking": "How it is marked",
    "local_rules": "Your own rules",
    "own": "What is your own",
}


@dataclass(frozen=True)
class Gap:
    """One value of the file as a gap in a form: its way, its words, its value as text."""

    way: str
    name: str
    value: str
    kind: str
    note: str


@dataclass(frozen=True)
class Lot:
    """A table of the file: its way, its heading, its gaps; ``many`` where there may be more."""

    way: str
    heading: str
    gaps: list[Gap]
    many: str = ""


@pages.get("/scheme")
def whole() -> Any:
    """Show the scheme as forms, with what follows from each value."""
    return _page(_text(), {})


def _page(text: str, typed: Mapping[str, str], faults: Iterable[Fault] = ()) -> Any:
    try:
        lots = list(_lots(tomlkit.parse(text)))
    except TOMLKitError:
        return redirect("/scheme/text")
    told, beside = list(faults), []
    if not typed:
        try:
            beside = as_read(read_scheme(desk().place.scheme))
        except FaultsError as error:
            told = list(error.faults)
    return render_template(
        "scheme.html",
        lots=lots,
        typed=typed,
        faults=_by_gap(told),
        others=[str(one) for one in told],
        beside=beside,
        digest=_digest(_text()),
    )


def _text() -> str:
    return desk().place.scheme.read_text(encoding="utf-8-sig")


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _by_gap(faults: Iterable[Fault]) -> dict[str, str]:
    """Return faults by the way of the value that they are about."""
    found: dict[str, str] = {}
    for one in faults:
        way = one.where.partition(", ")[2]
        if way:
            found.setdefault(way, str(one).partition(": ")[2])
    return found


def _lots(table: Any, way: str = "", heading: str = "", many: str = "") -> Iterator[Lot]:
    """Yield the tables of a file, outermost first, in the order in which they stand."""
    plain: list[tuple[str, Any]] = []
    inner: list[tuple[str, Any]] = []
    for key, value in table.items():
        (inner if isinstance(value, (Table, AoT)) else plain).append((key, value))
    gaps = [_gap(f"{way}.{key}" if way else key, key, value) for key, value in plain]
    if gaps:
        yield Lot(way, heading or HEADINGS.get(way, way.replace("_", " ")), gaps, many)
    for key, value in inner:
        below = f"{way}.{key}" if way else key
        name = HEADINGS.get(key, key.replace("_", " "))
        if isinstance(value, AoT):
            for n, one in enumerate(value, 1):
                label = "A line of the formula" if below == "formula.line" else name
                yield from _lots(one, f"{below}.{n}", label, below)
        else:
            own = f"{HEADINGS[way]} {key}" if way in ("papers", "groups") else name
            yield from _lots(value, below, own)


def _gap(way: str, key: str, value: Any) -> Gap:
    note = value.trivia.comment.lstrip("# ").strip() if isinstance(value, Item) else ""
    held = value.unwrap() if isinstance(value, Item) else value
    name = str(key).replace("_", " ")
    if isinstance(held, bool):
        return Gap(way, name, "yes" if held else "no", "yes or no", note)
    if isinstance(held, list):
        return Gap(way, name, ", ".join(map(str, held)), "list", note)
    if isinstance(held, (date, datetime)):
        return Gap(way, name, held.isoformat(), "day", note)
    return Gap(way, name, str(held), "text" if isinstance(held, str) else "number", note)


# --- what was typed -----------------------------------------------------------------------


def _with(text: str, form: Mapping[str, str]) -> str:
    """Return the file with what was typed put in; everything else stays as it was."""
    held = tomlkit.parse(text)
    for lot in list(_lots(held)):
        for gap in lot.gaps:
            given = form.get(f"at:{gap.way}")
            if given is not None and given.strip() != gap.value:
                _put(held, gap, given.strip())
    return tomlkit.dumps(held)


def _put(held: Any, gap: Gap, given: str) -> None:
    table: Any = held
    *above, last = gap.way.split(".")
    for step in above:
        table = table[int(step) - 1] if isinstance(table, AoT) else table[step]
    old = table[last]
    if gap.kind == "list" and isinstance(old, Array):
        words = [word.strip() for word in given.split(",") if word.strip()]
        numbers = all(isinstance(each, int) for each in old.unwrap()) and bool(old)
        old.clear()
        old.extend([int(w) if numbers and w.isdecimal() else w for w in words])
        return
    table[last] = _value(gap.kind, given)


def _value(kind: str, given: str) -> Any:
    """Return what was typed as the kind of value that stood there, or else as text."""
    if kind == "yes or no":
        return {"yes": True, "no": False}.get(given.lower(), given)
    if kind == "number":
        for read in (int, float):
            try:
                return read(given)
            except ValueError:
                continue
    if kind == "day":
        try:
            return date.fromisoformat(given)
        except ValueError:
            return given
    return given


def _checked(text: str) -> list[str]:
    """Read a text as a scheme, and return what it amounts to; raise what is wrong."""
    place = desk().place
    # Beside the scheme, since it may name folders that lie beside it.
    aside = place.folder / f".typed-{secrets.token_hex(4)}.toml"
    try:
        aside.write_text(text, encoding="utf-8")
        scheme = read_scheme(aside)
    except FaultsError as error:
        raise FaultsError(
            Fault(
                one.where.replace(aside.name, place.scheme.name),
                one.problem,
                one.given,
                one.limit,
                one.next_step,
            )
            for one in error.faults
        ) from None
    finally:
        aside.unlink(missing_ok=True)
    return scheme_lines(scheme)


@pages.post("/scheme/try")
def try_it() -> Any:
    """Say while one types what is wrong and how values are read; nothing is saved."""
    try:
        lines = _checked(_with(_text(), request.form))
    except FaultsError as error:
        return jsonify(
            faults=_by_gap(error.faults), others=[str(one) for one in error.faults], beside=[]
        )
    return jsonify(faults={}, others=[], beside=lines)


@pages.post("/scheme")
def save() -> Any:
    """Save what was typed, where the file is still the one that was shown."""
    form = request.form
    text = _text()
    if form.get("digest") != _digest(text):
        kept = _keep(_with(text, form))
        raise _changed_meanwhile(kept)
    new = _with(text, form)
    action = form.get("action", "save")
    if action.startswith(("more:", "less:")):
        new = _more_or_less(new, action)
    else:
        try:
            _checked(new)
        except FaultsError as error:
            typed = {key[3:]: value for key, value in form.items() if key.startswith("at:")}
            return _page(text, typed, error.faults), 400
    _write(new)
    return redirect("/scheme")


def _more_or_less(text: str, action: str) -> str:
    """Add a copy of the last of many, or take one away."""
    what, _, way = action.partition(":")
    held = tomlkit.parse(text)
    *above, last = way.split(".")
    if what == "less":
        many: Any = held
        for step in above:
            many = many[step]
        if isinstance(many, AoT) and last.isdecimal() and 1 <= int(last) <= len(many) > 1:
            del many[int(last) - 1]
        return tomlkit.dumps(held)
    many = held
    for step in way.split("."):
        many = many[step]
    if isinstance(many, AoT) and len(many):
        new = tomlkit.table()
        for key, value in many[-1].items():
            new[key] = value.unwrap()
        many.append(new)
    return tomlkit.dumps(held)


def _write(text: str) -> None:
    path = desk().place.scheme
    beside = path.with_name(f".{path.name}.new")
    beside.write_text(text, encoding="utf-8")
    beside.replace(path)


def _keep(text: str) -> Path:
    """Keep what somebody typed beside a scheme that was changed meanwhile."""
    folder = desk().place.folder
    path = folder / f"scheme as typed {datetime.now():%Y-%m-%d %H-%M-%S}.toml"
    path.write_text(text, encoding="utf-8")
    return path


def _changed_meanwhile(kept: Path) -> FaultsError:
    return fault_error(
        "The scheme",
        "was changed by somebody else, or in another window, since this page was shown",
        "",
        f"What you typed is kept as {kept.name}",
        "Load the page again, and put in what is missing",
    )


@pages.get("/scheme/text")
def text() -> Any:
    """Show the file itself, for everything that no form has a gap for."""
    return _as_text(_text())


def _as_text(shown: str, faults: Iterable[str] = ()) -> Any:
    return render_template(
        "scheme_text.html", text=shown, faults=list(faults), digest=_digest(_text())
    )


@pages.post("/scheme/text")
def save_text() -> Any:
    """Save the file itself, where it can be read without a fault."""
    typed = request.form.get("text", "").replace("\r\n", "\n")
    if len(typed) > LARGEST_FILE:
        raise fault_error("The scheme", "is longer than 256 kB", "", "", "Leave remarks out")
    if request.form.get("digest") != _digest(_text()):
        raise _changed_meanwhile(_keep(typed))
    try:
        _checked(typed)
    except FaultsError as error:
        return _as_text(typed, [str(one) for one in error.faults]), 400
    _write(typed)
    return redirect("/scheme")
