"""Reads what observers saved, or what is keyed in from paper; every fault is told."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from calculators.faults import Fault, FaultsError, fault_error, refuse
from calculators.units import read
from exercises.book.book import Book
from exercises.book.observations import FROM_PAGE, KEYED_IN, Observation, ObservationSheet
from exercises.book.records import known_as, must_name
from exercises.book.times import now
from exercises.book.tokens import read_token
from exercises.observing.rows import ANSWERS, JUDGEMENTS, NOT_DONE, NOT_SEEN, SEEN

ENDING = ".observed.json"
_FILES = "*.observed*.json"  # a browser writes " (1)" into the name of a second download
LARGEST = 5_000_000
LONGEST_NOTE = 2000
_SHORT = {"s": SEEN, "n": NOT_DONE, "": NOT_SEEN, "?": NOT_SEEN}
_NUMBERS = {"before": "g", "after": "g", "temperature": "degC"}


@dataclass(frozen=True)
class FilesRead:
    """What reading a folder came to.

    Parameters
    ----------
    files : int
        How many were read.
    new, known : int
        Sheets recorded now, and those that the book had already.
    faults : list of Fault
        What could not be taken; the rest was.
    """

    files: int
    new: int
    known: int
    faults: list[Fault] = field(default_factory=list)


def read_files(book: Book, where: Path, by: str) -> FilesRead:
    """Read a file, or all ``*.observed.json`` of a folder, into the mark book.

    A sheet with a fault is told and left out; every sheet that is whole is recorded, what
    was saved first before what was saved later.

    Parameters
    ----------
    book : Book
        That issued the sheets.
    where : Path
        A file or a folder.
    by : str
        Who takes them in.
    """
    must_name(by)
    paths = [where] if where.is_file() else sorted(where.rglob(_FILES))
    if not paths:
        raise fault_error(
            str(where),
            "holds no file from an observation page" if where.is_dir() else "is not there",
            "",
            f"Their names end in {ENDING}",
            "Give the file, or the folder in which it lies",
        )
    sheets = {one.token: one for one in book.observation_sheets()}
    entries: list[Observation] = []
    faults: list[Fault] = []
    for path in paths:
        try:
            entries += _of_file(path, sheets, faults)
        except FaultsError as error:
            faults += error.faults
    entries.sort(key=lambda one: datetime.fromisoformat(one.saved_at))
    made = book.record_observations(entries, by)
    return FilesRead(len(paths), len(made), len(entries) - len(made), faults)


# --- a file from the page ---------------------------------------------------------------


def _of_file(
    path: Path, sheets: Mapping[str, ObservationSheet], faults: list[Fault]
) -> Iterator[Observation]:
    name = path.name
    if path.stat().st_size > LARGEST:
        raise fault_error(
            name, "is too large for a file of observations", f"{path.stat().st_size} bytes"
        )
    try:
        held = json.loads(path.read_text(encoding="utf-8-sig"))
    except (UnicodeDecodeError, ValueError, RecursionError):
        raise fault_error(
            name, "breaks off, or is no file of observations", "", "", "Ask for it again"
        ) from None
    if not isinstance(held, dict) or held.get("kind") != "observed":
        raise fault_error(
            name,
            "is no file of observations",
            str(held.get("kind", "")) if isinstance(held, dict) else "",
            "",
            "A hand-in of a worksheet is read with glossbook mark"
            if isinstance(held, dict) and "answers" in held
            else "Save it again from the observation page",
        )
    observer = _text(held.get("observer"))
    if not observer:
        raise fault_error(
            name, "names no observer", "", "", "Write your name on the page, and save again"
        )
    given, saved = held.get("sheets"), _text(held.get("saved")) or now()
    if not isinstance(given, list) or not _is_time(saved):
        raise fault_error(
            name,
            "doesn't say when it was saved" if isinstance(given, list) else "holds no sheets",
            "",
            "",
            "Save it again from the observation page",
        )
    for n, one in enumerate(given, 1):
        try:
            yield _entry(f"{name}, sheet {n}", one, sheets, observer, saved)
        except FaultsError as error:
            faults += error.faults


def _entry(
    where: str, one: Any, sheets: Mapping[str, ObservationSheet], observer: str, saved: str
) -> Observation:
    if not isinstance(one, dict):
        raise fault_error(where, "is no sheet", str(one)[:40], "", "Save the file again")
    token = read_token(str(one.get("token", "")), where)
    if token not in sheets:
        raise fault_error(
            where,
            "belongs to no observation sheet of this book",
            token,
            "",
            "Look whether it was issued from another mark book",
        )
    ids = [row["id"] for row in sheets[token].content["rows"]]
    faults: list[Fault] = []
    answers: dict[str, list[str]] = {}
    notes: dict[str, dict[str, str]] = {}
    rows = one.get("rows")
    for name, row in (rows if isinstance(rows, dict) else {}).items():
        if name not in ids or not isinstance(row, dict):
            faults.append(
                Fault(f"{where}, row", "is no row of this sheet", str(name)[:40], ", ".join(ids))
            )
            continue
        answer = row.get("answer") or NOT_SEEN
        if answer not in ANSWERS:
            faults.append(
                Fault(f"{where}, {name}", "is no answer", str(answer)[:40], ", ".join(ANSWERS))
            )
        at = _text(row.get("at"))
        if at and not _is_time(at):
            faults.append(Fault(f"{where}, {name}", "has a time that can't be read", at[:40]))
        answers[name] = [str(answer), at]
        said = {key: _text(row.get(key)) for key in ("note", "photo") if _text(row.get(key))}
        if said:
            notes[name] = said
    judgement = _text(one.get("judgement"))
    if judgement and judgement not in JUDGEMENTS:
        faults.append(
            Fault(f"{where}, judgement", "is not one of four", judgement, ", ".join(JUDGEMENTS))
        )
    if _text(one.get("remark")):
        notes[""] = {"note": _text(one["remark"])}
    numbers = _numbers(where, one.get("numbers"), faults)
    log = _log(where, one.get("log"), faults)
    refuse(faults)
    return Observation(
        token,
        observer,
        _text(one.get("second")),
        FROM_PAGE,
        saved,
        _digest(observer, one),
        answers,
        numbers,
        judgement,
        notes,
        log,
    )


def _numbers(where: str, given: Any, faults: list[Fault]) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for name, value in (given if isinstance(given, dict) else {}).items():
        text = _text(value)
        if not text:
            continue
        if name == "cake":
            out[name] = text
        elif name in _NUMBERS:
            try:
                out[name] = _measured(text, _NUMBERS[name], f"{where}, {name}")
            except FaultsError as error:
                faults += error.faults
    return out


def _measured(text: str, unit: str, where: str) -> float:
    """Return a number in a unit that may be left out."""
    bare = re.fullmatch(r"[-−]?\d+(?:[.,]\d+)?", text)
    if bare:
        return float(text.replace("−", "-").replace(",", "."))
    return float(read(text, unit, where).m)


def _log(where: str, given: Any, faults: list[Fault]) -> list[list[Any]]:
    out: list[list[Any]] = []
    for n, row in enumerate(given if isinstance(given, list) else [], 1):
        at = _text(row.get("at")) if isinstance(row, dict) else ""
        heat = row.get("temperature") if isinstance(row, dict) else None
        number = isinstance(heat, int | float) and not isinstance(heat, bool)
        if not _is_time(at) or not (heat is None or number):
            faults.append(
                Fault(
                    f"{where}, log row {n}",
                    "has no time and temperature",
                    str(row)[:60],
                    "",
                    "Save the file again",
                )
            )
            continue
        out.append([at, heat])
    return out


def _is_time(text: str) -> bool:
    try:
        return datetime.fromisoformat(text).tzinfo is not None
    except ValueError:
        return False


def _text(value: Any) -> str:
    return value.strip()[:LONGEST_NOTE] if isinstance(value, str) else ""


def _digest(observer: str, one: Mapping[str, Any]) -> str:
    text = json.dumps([observer, one], sort_keys=True, ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()


# --- from paper -------------------------------------------------------------------------


def key_in(book: Book, token: str, by: str, ask: Callable[[str], str]) -> Observation:
    """Ask for each row of a sheet on paper, and record it.

    Parameters
    ----------
    book : Book
        That issued the sheet.
    token : str
        As it stands at its head.
    by : str
        Who keys it in.
    ask : function
        From a question to what was typed.

    Returns
    -------
    Observation
        As recorded.
    """
    must_name(by)
    sheet = book.observation_sheet(token)
    observer = ask("Observer, as signed").strip()
    must_name(observer)
    second = ask("Second signature").strip()
    answers = {}
    for row in sheet.content["rows"]:
        said = _until(ask, f"{row['says']} (s seen, n not done, enter not seen)", _answer)
        answers[row["id"]] = [said, ""]
    numbers: dict[str, Any] = {}
    names = [band["cake"] for band in sheet.content["bands"]]
    kind = _one_of("cake", "is none of this sheet", names)
    if names and (cake := _until(ask, "Cake that was weighed (enter for none)", kind)):
        numbers["cake"] = cake
    for name, unit in _NUMBERS.items():
        value = _until(ask, f"{name}, {unit.replace('degC', '°C')} (enter for none)", _reader(unit))
        if value is not None:
            numbers[name] = value
    log = _until(ask, "Log: hour and °C, as 9:05 4; 9:40 32 (enter for none)", _typed_log)
    take = _one_of("judgement", "is not one of four", JUDGEMENTS)
    judgement = _until(ask, f"The whole: {', '.join(JUDGEMENTS)} (enter for none)", take)
    remark = ask("What the rows don't say").strip()
    plain = {"rows": answers, "numbers": numbers, "log": log, "remark": remark, "of": judgement}
    plain |= {"second": second} if second else {}
    entry = Observation(
        sheet.token,
        observer,
        second,
        KEYED_IN,
        now(),
        _digest(observer, plain),
        answers,
        numbers,
        judgement,
        {"": {"note": remark}} if remark else {},
        log,
    )
    made = book.record_observations([entry], by)
    if made:
        return made[0]
    return next(one for one in book.observations(sheet.token) if one.digest == entry.digest)


def _until(ask: Callable[[str], str], words: str, take: Callable[[str], Any]) -> Any:
    """Ask until the answer can be used; say why it can't."""
    problem = ""
    while True:
        try:
            return take(ask(f"{problem}{words}").strip())
        except FaultsError as error:
            problem = f"{error.faults[0]}\n"


def _answer(text: str) -> str:
    answer = text.lower()
    if answer in ANSWERS:
        return answer
    if answer in _SHORT:
        return _SHORT[answer]
    raise fault_error("answer", "is none of three", text, ", ".join(ANSWERS), "Type s, n or enter")


def _one_of(what: str, problem: str, words: Sequence[str]) -> Callable[[str], str]:
    def take(text: str) -> str:
        if text and text not in words:
            raise fault_error(what, problem, text, ", ".join(words))
        return text

    return take


def _reader(unit: str) -> Callable[[str], float | None]:
    return lambda text: _measured(text, unit, "value") if text else None


def _typed_log(text: str) -> list[list[Any]]:
    """Return a log as it was typed; a row whose temperature is left out is a hole in it."""
    rows: list[list[Any]] = []
    for part in filter(None, (piece.strip() for piece in text.split(";"))):
        hour, _, heat = part.partition(" ")
        try:
            clock = datetime.strptime(hour, "%H:%M")
        except ValueError:
            raise fault_error(
                "log", "has no time of day", part, "", "Write it like 9:05 4; 9:40 32"
            ) from None
        value = _measured(heat.strip(), "degC", "log") if heat.strip() else None
        # Paper has no dates, and one day is as good as another.
        rows.append([clock.replace(year=2000, tzinfo=UTC).isoformat(), value])
    return rows


def newest(observations: Iterable[Observation]) -> list[Observation]:
    """Return what counts of one sheet: of each observer what was recorded last.

    What the same observer saved earlier stays in the book.
    """
    return list({known_as(one.observer): one for one in observations}.values())
