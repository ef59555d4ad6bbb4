"""Matters: what needs a look, each with the sheet as it was written, decided one or many."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from pathlib import Path, PurePosixPath
from typing import Any
from urllib.parse import urlencode

from flask import Blueprint, abort, g, redirect, render_template, request, send_file

from calculators.faults import fault_error, visible
from course.desk.app import desk, one_line
from course.desk.guard import KEPT_POLICY
from course.desk.scheme_file import digest_of
from course.office.papers import questions_for
from course.office.settling import SUGGESTED, WAYS, appeal, as_suggested, choose, owners
from exercises.book.book import Book
from exercises.book.records import KINDS, UNREAD_FILE, WORKING, HandIn, Matter, must_name
from exercises.book.results import that_counts
from exercises.marking import matters
from exercises.questions.answer_boxes import answer_boxes
from exercises.sheets.mark_scheme import line_of

pages = Blueprint("matters", __name__)
AT_A_TIME = 100


@pages.get("/matters")
def whole() -> Any:
    """List what waits, and what was decided last."""
    kind, paper = request.args.get("kind", ""), request.args.get("paper", "")
    if not desk().place.book.exists():
        return render_template("matters.html", rows=[], kinds=[], papers=[], more=0, closed=[])
    with desk().book(read_only=True) as book:
        found = book.matters(waiting=True, paper=paper or None)
        waiting = [one for one in found if kind in ("", one.kind)]
        rows = _rows(book, waiting[:AT_A_TIME])
        met = {one.kind for one in found}
        kinds = [one for one in KINDS if one in met]
        papers = [one.name for one in book.papers() if one.state == "issued"]
        closed = _rows(book, book.last_closed(20))
    return render_template(
        "matters.html",
        rows=rows,
        kinds=kinds,
        papers=papers,
        kind=kind,
        paper=paper,
        more=max(0, len(waiting) - AT_A_TIME),
        only=_only(),
        closed=closed,
    )


def _rows(book: Book, found: list[Matter]) -> list[dict[str, Any]]:
    people = book.students()
    handed = {one.id: one for one in book.handins(numbers=[one.handin for one in found])}
    who = owners(book, handed.values(), people)
    rows = []
    for one in found:
        held = handed[one.handin]
        rows.append(
            {
                "id": one.id,
                "kind": one.kind,
                "part": one.part,
                "who": who[held.id],
                "file": visible(held.path.rpartition("/")[2]) if one.kind == UNREAD_FILE else "",
                "says": visible(matters.in_words(one, held, people)),
            }
        )
    return rows


def _filter() -> dict[str, str]:
    """Return of which kind and paper matters are looked at, one after the other."""
    return {key: request.values[key] for key in ("kind", "paper") if request.values.get(key)}


def _only() -> str:
    """Return the same as the end of an address."""
    return f"?{urlencode(_filter())}" if _filter() else ""


def _waiting(book: Book) -> list[int]:
    """Return the numbers of the matters that wait, of the kind and paper that are looked at."""
    only = _filter()
    found = book.matters(waiting=True, paper=only.get("paper"))
    return [one.id for one in found if only.get("kind", one.kind) == one.kind]


@pages.get("/matters/<int:number>")
def one(number: int) -> Any:
    """Show a matter with its sheet as the student wrote it, the mark scheme beside it."""
    with desk().book(read_only=True) as book:
        return render_template("matter.html", **_shown(book, number))


def _shown(book: Book, number: int) -> dict[str, Any]:
    matter = book.matter(number)
    held, people = book.handin(matter.handin), book.students()
    waiting = _waiting(book)
    later = [each for each in waiting if each > number] or waiting
    earlier = [each for each in waiting if each < number]
    lines = _lines(book, held)
    return {
        "matter": matter,
        "only": _filter(),
        "more": _only(),
        "part": next((line for line in lines if line["key"] == matter.part), None),
        "others": _others(book, held),
        "file": _file_of(held) is not None,
        "held": held,
        "who": owners(book, [held], people)[held.id],
        "says": visible(matters.in_words(matter, held, people)),
        "lines": lines,
        "decisions": book.decisions(held.id),
        "after": next((each for each in later if each != number), None),
        "before": earlier[-1] if earlier else None,
        "waiting": len(waiting),
        "ways": [*([SUGGESTED] if matter.kind == WORKING else []), *WAYS],
        "working": matters.working_to_read(book, matter) if matter.kind == WORKING else None,
        "pile": _pile(book, matter),
    }


def _pile(book: Book, matter: Matter) -> list[tuple[int, str]]:
    """Return what came with the hand-in of a matter that is about its whole pile."""
    if "pile" not in matter.detail:
        return []
    came = [one for one in book.handins() if one.pile == matter.detail["pile"] and one.token]
    who = owners(book, came, book.students())
    return [(one.id, who[one.id]) for one in came]


def _lines(book: Book, held: HandIn) -> list[dict[str, Any]]:
    """Return the parts of a sheet: asked, written, worked, marked, and what is right."""
    if held.token is None:
        return []
    marks = {mark.part: mark for mark in book.marks(held.id)}
    answers = matters.answers_as_read(book, held)
    return [
        {
            **line_of(box),
            "stem": box.question.stem if box.key == f"{box.place}a" else "",
            "wrote": visible(str(answers.get(box.key, ""))),
            "shown": visible(held.working.get(box.whole_key, "")),
            "mark": marks.get(box.key),
            "total": box.part.total,
        }
        for box in answer_boxes(book.sheet(held.token).questions)
    ]


def _others(book: Book, held: HandIn) -> list[dict[str, Any]]:
    """Return the other hand-ins of the same sheet, with the parts in which they differ."""
    if held.token is None:
        return []
    came = book.handins(token=held.token)
    counts = that_counts(came, book.counted())
    mine = {mark.part: mark for mark in book.marks(held.id)}
    found = []
    for one in came:
        if one.id == held.id:
            continue
        marks = {mark.part: mark for mark in book.marks(one.id)}
        parts = [
            key
            for key in dict.fromkeys((*mine, *marks))
            if str(held.answers.get(key, "")).strip() != str(one.answers.get(key, "")).strip()
        ]
        found.append(
            {
                "handin": one,
                "counts": counts is not None and counts.id == one.id,
                "got": sum(mark.awarded for mark in marks.values()),
                "mine": sum(mark.awarded for mark in mine.values()),
                "parts": [
                    (
                        key,
                        held.answers.get(key, ""),
                        mine.get(key),
                        one.answers.get(key, ""),
                        marks.get(key),
                    )
                    for key in parts
                ],
            }
        )
    return found


def _file_of(held: HandIn) -> Path | None:
    """Return the file that came, as it is kept; of an archive's member the archive."""
    name = PurePosixPath(held.path.partition("!")[0]).name
    kept = [path for path in desk().place.hand_ins.glob("*/*") if path.name == name]
    for path in sorted(kept, reverse=True):
        if "!" in held.path or hashlib.sha256(path.read_bytes()).hexdigest() == held.digest:
            return path
    return None


@pages.get("/matters/<int:number>/file")
def file(number: int) -> Any:
    """Give the file that came, to be looked at by hand; it is saved and never opened here."""
    with desk().book(read_only=True) as book:
        path = _file_of(book.handin(book.matter(number).handin))
    if path is None:
        abort(404)
    g.policy = KEPT_POLICY
    return send_file(path, "application/octet-stream", as_attachment=True, download_name=path.name)


@pages.post("/matters/decide")
def decide() -> Any:
    """Show what a decision changes; do it where the preview was confirmed with a name."""
    form = request.form
    chosen = form.getlist("shown" if form.get("every") else "matter")
    numbers = [int(text) for text in chosen if text.isdecimal()]
    if not numbers:
        raise fault_error("No matter", "was chosen", "", "", "Choose one or several first")
    wants = form.get("decision") == SUGGESTED and not form.get("marks") and not form.get("reads")
    proposal = None if wants else _proposal(form)
    scheme = desk().scheme() if desk().place.scheme.exists() else None
    questions_for(scheme)
    with desk().book() as book:
        for number in numbers:
            _still_open(book, number)
        previews = [
            matters.preview(book, number, proposal) if proposal else as_suggested(book, number)
            for number in numbers
        ]
        sure = form.get("sure") == "yes"
        seen = _digest(previews)
        if not sure or form.get("seen") != seen:
            names = _rows(book, [one.matter for one in previews])
            return render_template(
                "preview.html",
                previews=list(zip(names, previews, strict=True)),
                form=form,
                only=_filter(),
                seen=seen,
                moved=sure,
            )
        by = one_line("by")
        desk().name = by or desk().name
        matters.confirm(
            book,
            previews,
            by=by,
            reason=form.get("reason", "").strip(),
            told=form.get("tell", "").strip(),
        )
        waiting = _waiting(book)
    if not waiting:
        return redirect("/matters")
    if len(numbers) > 1:
        return redirect(f"/matters{_only()}")
    following = next((one for one in waiting if one > numbers[0]), waiting[0])
    return redirect(f"/matters/{following}{_only()}")


def _still_open(book: Book, number: int) -> None:
    """Refuse a matter on which another window has decided."""
    matter = book.matter(number)
    if matter.open:
        return
    by = next((d for d in book.decisions(matter.handin) if d.id == matter.closed_by), None)
    raise fault_error(
        f"Matter {number}",
        "was decided meanwhile",
        f"by {by.by}: {by.reason}" if by else "",
        "Nothing of this decision was recorded",
        "Look at the matter; if it should be another decision, take that one back first",
    )


def _digest(previews: Iterable[matters.Preview]) -> str:
    """Return by what a preview is known again that somebody saw."""
    said = "\x1f".join(f"{one.matter.id}: {' '.join(one.sentences)}" for one in previews)
    return digest_of(said)


def _proposal(form: Mapping[str, str]) -> matters.Proposal:
    part = form.get("part", "").strip()
    marks, reads = form.get("marks", "").strip(), form.get("reads", "").strip()
    if (marks or reads) and not part:
        raise fault_error("The part", "is missing", "", "", "Say which part the marks are for")
    if marks:
        try:
            given = float(marks.replace(",", "."))
        except ValueError:
            raise fault_error(
                "The marks", "are not a number", marks, "", "Write a number such as 1.5"
            ) from None
        return matters.Proposal(marks={part: given}, reads={part: reads} if reads else {})
    if reads:
        return matters.Proposal(reads={part: reads})
    what = form.get("decision", "accept")
    if what not in WAYS:
        raise fault_error("The decision", "is not known", what, ", ".join(WAYS), "Choose one")
    return matters.Proposal(WAYS[what])


@pages.post("/matters/<int:number>/reopen")
def reopen(number: int) -> Any:
    """Take the decision on a matter back; nothing is erased."""
    by = one_line("by") or desk().name
    with desk().book() as book:
        book.reopen(number, by=by, reason=request.form.get("reason", "").strip() or "Taken back")
    return redirect(f"/matters/{number}")


@pages.post("/matters/<int:number>/pile")
def of_the_pile(number: int) -> Any:
    """Set aside one hand-in of the pile that a matter is about, or let it count again."""
    form = request.form
    by = one_line("by")
    what = form.get("decision", "")
    if what not in ("counts", "set aside"):
        raise fault_error("The decision", "is not known", what, "", "Choose one of the two")
    with desk().book() as book:
        came = [one for one, _ in _pile(book, book.matter(number))]
        asked = form.get("handin", "").strip()
        if asked not in map(str, came):
            raise fault_error("The hand-in", "is none of this pile", asked, "", "Choose one of it")
        told, reason = form.get("tell", "").strip(), form.get("reason", "").strip()
        must_name(by, "your name")
        lines = choose(book, int(asked), what, by=by, reason=reason, told=told)
        desk().name = by
    return render_template("said.html", title="The pile", lines=lines, back=f"/matters/{number}")


@pages.post("/matters/<int:number>/appeal")
def appealed(number: int) -> Any:
    """Record what a student says against a mark; a second reader decides it."""
    form = request.form
    by = one_line("by") or desk().name
    with desk().book() as book:
        handin = book.matter(number).handin
        part, date = form.get("part", "").strip(), form.get("on", "").strip()
        lines = appeal(book, handin, part, form.get("says", ""), date, by)
    return render_template("said.html", title="An appeal", lines=lines, back="/matters")
