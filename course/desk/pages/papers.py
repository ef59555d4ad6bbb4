"""Papers: what each would ask, its draft, the signature, the sheets, and who holds which."""

from __future__ import annotations

import dataclasses
import re
import secrets
from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from flask import Blueprint, abort, g, redirect, render_template, request

from calculators.faults import FaultsError, fault_error
from course.demo import FOLDER as DEMO
from course.desk.app import desk, one_at_a_time, one_line
from course.desk.guard import KEPT_POLICY, REFUSED
from course.desk.pages.kept import kept_file, zipped
from course.desk.pages.today import begun
from course.desk.scheme_file import digest_of
from course.desk.work import Worker
from course.office import setting
from course.office.sittings import MOST, sittings
from exercises.book.deadlines import until
from exercises.book.records import SheetRecord, Student
from exercises.reports.letters import slug
from exercises.sheets import worksheet
from exercises.sheets.class_list import read_class
from exercises.sheets.issuing import look_of, sheets_to_print, unwritten

pages = Blueprint("papers", __name__)
DEMO_LIST = DEMO / "class.csv"
MOST_SETS = 100  # for practice, drawn at once
LARGEST_LIST = 4_000_000  # bytes


@pages.get("/papers")
def whole() -> Any:
    """Show every paper of the scheme: blueprint, state, sheets."""
    scheme, place = desk().scheme(), desk().place
    asked: dict[str, list[str]] = {}
    faults: list[str] = []
    try:
        asked = setting.try_papers(scheme)
    except FaultsError as error:
        faults = [str(one) for one in error.faults]
    states: dict[str, tuple[str, int, str]] = {}
    if place.book.exists():
        with desk().book(read_only=True) as book:
            states = {
                one.name: (
                    one.state,
                    len(book.sheets(one.name, needs="head")),
                    one.checked_by or "",
                )
                for one in book.papers()
            }
    return render_template(
        "papers.html",
        scheme=scheme,
        blueprints=asked,
        faults=faults,
        states=states,
        **_class_list(),
    )


def _class_list(typed: str = "", faults: Iterable[str] = ()) -> dict[str, Any]:
    """Return the class list as a page shows it: who stands on it, and its text to change."""
    path = desk().place.class_list
    listed, wrong = _listed()
    data = path.read_bytes() if path.exists() else b"id,name\n"
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:  # an archive, or a list in another encoding: read, not changed here
        text = ""
    return {
        "has_list": path.exists(),
        "listed": listed,
        "list_faults": [*faults, *wrong],
        "invented": path.exists() and path.read_bytes() == DEMO_LIST.read_bytes(),
        "list_text": typed or text,
        "digest": digest_of(data),
    }


@pages.get("/papers/class-list")
def class_list() -> Any:
    """Show who is in the class, and the list as text, to change it here."""
    return render_template("class_list.html", **_class_list())


@pages.post("/papers/class-list")
@one_at_a_time
def take_list() -> Any:
    """Take a class list in, from a file or as it was typed, once it is read without a fault."""
    sent = request.files.get("list")
    if sent is not None and sent.filename:
        data, ending = sent.read(LARGEST_LIST + 1), Path(sent.filename).suffix[:8]
    elif "text" in request.form:
        data, ending = request.form["text"].replace("\r\n", "\n").encode(), ".csv"
        now = _class_list()
        if request.form.get("digest") != now["digest"]:
            raise fault_error(
                "The class list",
                "was changed in another window since this page was shown",
                "",
                "What you typed stands below",
                "Load the page again, and put in what is missing",
            )
    else:
        raise fault_error("The class list", "was not chosen", "", "", "Choose a file first")
    if len(data) > LARGEST_LIST:
        raise fault_error("The class list", "is larger than 4 MB", "", "", "Send the list alone")
    place = desk().place
    beside = place.folder / f".sent-{secrets.token_hex(4)}{ending}"
    try:
        beside.write_bytes(data)
        read_class(beside)
        beside.replace(place.class_list)
    except FaultsError as error:
        named = sent.filename if sent and sent.filename else place.class_list.name
        told = [
            dataclasses.replace(one, where=one.where.replace(str(beside), named))
            for one in error.faults
        ]
        if "text" not in request.form:
            raise FaultsError(told) from None
        typed = request.form["text"]
        shown = _class_list(typed, map(str, told))
        return render_template("class_list.html", **shown), REFUSED
    finally:
        beside.unlink(missing_ok=True)
    return redirect("/papers/class-list")


@pages.post("/papers/<name>/draft")
def draft(name: str) -> Any:
    """Draft a sitting of a paper, to be looked through."""
    place, scheme = desk().place, desk().scheme()
    if scheme.paper_plan(name) and scheme.papers[name].use == "practice":
        raise fault_error(
            "A paper for practice", "is not drafted", name, "", "Draw sets of it on its page"
        )
    sitting = _sitting()
    setting.draft(scheme, name, place.book, place.sheets, sitting)
    return redirect(f"/papers/{name}#sitting-{sitting}")


def _sitting() -> int:
    """Return the sitting that a form or an address names, the first where it names none."""
    given = request.values.get("sitting", "1")
    return int(given) if given.isdecimal() and 1 <= int(given) <= MOST else 1


@pages.get("/papers/<name>")
def one(name: str) -> Any:
    """Show how a paper stands: its draft, who signed it, who holds a sheet and who doesn't."""
    place, scheme = desk().place, desk().scheme()
    plan = scheme.paper_plan(name)
    if scheme.papers[name].use == "practice":
        drawn = [path.name for path in _practice_files(name)]
        return render_template("practice.html", plan=plan, name=name, drawn=drawn)
    listed, faults = _listed()
    if place.book.exists():
        with desk().book(read_only=True) as book:
            stands = sittings(scheme, name, book, listed)
            asks = setting.as_it_stands(scheme, name, book)
    else:
        stands, asks = sittings(scheme, name, None, listed), None
    return render_template(
        "paper.html",
        plan=plan,
        asks_for=scheme.papers[name].asks,
        name=name,
        sittings=stands,
        asks=asks,
        unwritten={
            n.number: len(unwritten((sheet.token for _, sheet in n.sheets), place.sheets))
            for n in stands
        },
        drafts={n.number for n in stands if _draft(name, n.number).is_file()},
        schemes=sorted(path.name for path in place.sheets.glob(f"{name}-mark-scheme*.html")),
        listed=listed,
        faults=faults,
        resit=_resit_list(name).is_file(),
        looks=_looks,
        until=until,
    )


def _looks(sheets: Sequence[tuple[Student, SheetRecord]]) -> list[tuple[str, str]]:
    """Return in which looks sheets are printed, and how many in each, in words."""
    count = Counter(look_of(student) for student, _ in sheets)
    return [
        (look, f"{n} {'paper' if n == 1 else 'papers'}{f' ({look} print)' if look else ''}")
        for look, n in sorted(count.items())
    ]


def _listed() -> tuple[tuple[Student, ...], list[str]]:
    """Return who stands on the class list, and what is wrong with it."""
    path = desk().place.class_list
    try:
        return (read_class(path).students if path.exists() else ()), []
    except FaultsError as error:
        return (), [str(one) for one in error.faults]


def _draft(name: str, sitting: int) -> Path:
    return desk().place.sheets / setting.draft_name(name, sitting)


def _resit_list(name: str) -> Path:
    """Return where the reports put the list of those who have not passed."""
    return desk().place.reports / f"{slug(name)}-resit.csv"


@pages.get("/papers/<name>/to-check")
def to_check(name: str) -> Any:
    """Give the draft as it is."""
    return kept_file(desk().place.sheets, setting.draft_name(name, _sitting()))


@pages.get("/papers/<name>/mark-scheme/<file>")
def scheme_of(name: str, file: str) -> Any:
    """Give a mark scheme of the paper."""
    if not file.startswith(f"{name}-mark-scheme"):
        abort(404)
    return kept_file(desk().place.sheets, file)


@pages.post("/papers/<name>/issue")
def issue(name: str) -> Any:
    """Issue a sitting under the name of whoever looked through its draft."""
    place, form, scheme, sitting = desk().place, request.form, desk().scheme(), _sitting()
    by = one_line("by")
    if not by:
        raise fault_error("Your name", "is missing", "", "", "Say who looked through the draft")
    dates = (form.get("opens_on", "").strip(), form.get("hand_in_by", "").strip())
    if sitting > 1 and not dates[1]:
        raise fault_error(
            "The last day", "is missing", "", "A later sitting has its own", "Say until when"
        )
    whom = _resit_list(name) if form.get("whom") == "resit" else place.class_list
    if not whom.is_file():
        raise fault_error("The class list", "is not there yet", "", "", "Take one in first")
    with desk().book(read_only=True) as book:
        found = {one.number: one for one in sittings(scheme, name, book, ())}
    stands = found.get(sitting)
    if stands is None or not stands.ready:
        raise fault_error(
            f"Sitting {sitting}",
            "has no draft that somebody could sign",
            "",
            "; ".join(stands.changed) if stands else "",
            "Draft it, look through the draft, then sign",
        )
    desk().name = by

    def do(worker: Worker) -> Iterable[str]:
        return setting.issue(
            scheme,
            name,
            whom,
            place.book,
            place.sheets,
            by,
            sitting,
            dates,
            workers=1,  # nothing is forked from a program with threads
            said=worker.progress,
        )

    return begun("Issuing the sheets", f"/papers/{name}", do)


# --- what is printed and taken along ------------------------------------------------------


@pages.get("/papers/<name>/print-run")
def print_run(name: str) -> Any:
    """Give every sheet of a sitting as one file, a folder for each student."""
    place, sitting = desk().place, _sitting()
    with desk().book(read_only=True) as book:
        heads = book.sheets(name, needs="head")
    tokens = {sheet.token for sheet in heads if sheet.sitting == sitting}
    return _packed(
        f"{name}-sitting-{sitting}.zip" if sitting > 1 else f"{name}.zip",
        (p for p in sorted(place.sheets.rglob("*")) if any(token in p.name for token in tokens)),
    )


def _packed(name: str, paths: Iterable[Path]) -> Any:
    sheets = desk().place.sheets
    return zipped(name, ((path, path.relative_to(sheets)) for path in paths if path.is_file()))


@pages.get("/papers/<name>/to-print")
def to_print(name: str) -> Any:
    """Give all papers of a sitting that look alike as one page, to print or save as PDF."""
    look = request.args.get("look", "")
    with desk().book(read_only=True) as book:
        found = sheets_to_print(book, name, _sitting())
    if look not in found:
        abort(404)
    g.policy = KEPT_POLICY
    return worksheet.print_run(found[look])


@pages.post("/papers/<name>/practice")
def practise(name: str) -> Any:
    """Draw sets for practice; they are in no mark book."""
    given = request.form.get("sets", "1").strip()
    if not given.isdecimal() or not 1 <= int(given) <= MOST_SETS:
        raise fault_error(
            "The number of sets", "can't be drawn", given, f"1 to {MOST_SETS}", "Give another"
        )
    setting.practice_sets(desk().scheme(), name, desk().place.sheets, int(given))
    return redirect(f"/papers/{name}")


def _practice_files(name: str) -> list[Path]:
    """Return the sets that were drawn: four files each."""
    drawn = re.compile(re.escape(name) + r"-[0-9]+(-paper|-answers)?\.(html|ipynb)")
    return sorted(path for path in desk().place.sheets.glob("*") if drawn.fullmatch(path.name))


@pages.get("/papers/<name>/practice")
def practice(name: str) -> Any:
    """Give the sets for practice as one file."""
    return _packed(f"{name}.zip", _practice_files(name))
