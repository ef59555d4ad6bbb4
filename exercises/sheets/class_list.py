"""Who is in the class: reads a plain list or a OneRoster file, and says what is odd.

All faults of a file are told at once, each with its line.
"""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from calculators.faults import Fault, FaultsError, fault_error, refuse
from calculators.units import read_plainly
from exercises.book.records import Student
from exercises.marking.archives import is_archive, open_archive

LARGEST_FILE = 5_000_000
LONGEST_NAME = 120
LARGE, PLAIN, WORDS = "large", "plain", "words"
LOOKS = (LARGE, PLAIN, WORDS)
YES = ("yes", "y", "true", "1", "x")
NO = ("", "no", "n", "false", "0")

_PLAIN_NEEDED = ("id", "name")
_PLAIN_KNOWN = (*_PLAIN_NEEDED, "extra_time", "extra_minutes", "other_date", "print", *LOOKS)
_ROSTER_NEEDED = ("sourcedId", "givenName", "familyName")
_FORMULA = re.compile(r"^[\s'\"]*[=+\-@＝＋－＠\t\r\n]")  # a spreadsheet runs these
_FIRST_STEP = "Save the list from your spreadsheet as CSV, UTF-8"


@dataclass(frozen=True)
class ClassList:
    """A class list that was read.

    Parameters
    ----------
    students : tuple of Student
        In the order of the file.
    form : str
        ``"plain list"`` or ``"OneRoster"``.
    notes : tuple of str
        What should be said about the file, such as an odd encoding.
    """

    students: tuple[Student, ...]
    form: str
    notes: tuple[str, ...] = ()


def read_class(path: str | Path) -> ClassList:
    """Read a class list: a plain CSV file, or users.csv of OneRoster 1.1 or 1.2.

    Parameters
    ----------
    path : str or Path
        A OneRoster archive of one class, as a zip, or a CSV file.
        A plain list has the columns *id* and *name*, and may have *extra_time*
        (``25 %``, ``2 d``), *extra_minutes* (``15``) at the table, *other_date*
        (``2027-03-12``), *print* (``large``, ``plain``, ``words``: pictures told in
        words), or *large*, *plain* and *words* (``yes``).  Of OneRoster, *sourcedId*,
        *givenName* and *familyName* are read, by their header.

    Returns
    -------
    ClassList
        The students, and notes about the file.

    Raises
    ------
    FaultsError
        All that is wrong with the file, each with its line.
    """
    path = Path(path)
    data = _bytes_of(path)
    beside: dict[str, bytes] = {}
    if is_archive(data):
        beside = _unzipped(path, data)
        path, data = path / "users.csv", beside["users.csv"]
    text, notes = _decoded(path, data)
    rows = _rows(path, text)
    if not rows:
        raise fault_error(str(path), "is empty", "", "", _FIRST_STEP)
    (first_line, head), body = rows[0], rows[1:]
    head = [name.strip() for name in head]
    where = f"{path}:{first_line}"
    roster = "sourcedId" in head
    names = head if roster else [_column(name) for name in head]
    needed = _ROSTER_NEEDED if roster else _PLAIN_NEEDED
    faults = [
        Fault(
            where,
            f"has no column {name}",
            ", ".join(head),
            f"A class list needs {' and '.join(needed)}",
            "Add the column, or write its name as shown",
        )
        for name in needed
        if name not in names
    ]
    faults += [
        Fault(where, "has a column twice", name, "", "Delete one of them")
        for name in dict.fromkeys(names)
        if name and names.count(name) > 1
    ]
    refuse(faults)
    if roster:
        roles = path.with_name("roles.csv")
        if not beside and "role" not in names and roles.is_file():
            beside = {"roles.csv": _bytes_of(roles)}
        body, left = _students_of(path, names, body, beside)
        notes += left
    else:
        extra = [
            written
            for written, name in zip(head, names, strict=True)
            if name and name not in _PLAIN_KNOWN
        ]
        if extra:
            notes.append(f"Columns left unread: {', '.join(extra)}.")
    students = _students(path, names, body, _from_roster if roster else _from_plain)
    return ClassList(tuple(students), "OneRoster" if roster else "plain list", tuple(notes))


def _students(
    path: Path,
    names: Sequence[str],
    body: Sequence[tuple[int, list[str]]],
    make: Callable[[Mapping[str, str], str, list[Fault]], Student | None],
) -> list[Student]:
    faults: list[Fault] = []
    students: list[Student] = []
    seen: dict[str, int] = {}  # a folder's name has no capitals on some systems
    for line, cells in body:
        where = f"{path}:{line}"
        if len(cells) > len(names) and any(cell.strip() for cell in cells[len(names) :]):
            faults.append(
                Fault(
                    where,
                    f"has {len(cells)} cells, and the head has {len(names)}",
                    "",
                    "",
                    'Put a text with a comma in it into quotes, like "Ample, Ada"',
                )
            )
            continue
        row = dict(zip(names, (c.strip() for c in cells), strict=False))
        before = len(faults)
        student = make({name: row.get(name, "") for name in names}, where, faults)
        # a line with another fault names its student all the same
        written = row.get("id") or row.get("sourcedId") or ""
        faulty = " ".join(written.split()) if len(faults) > before else ""
        person = student.id if student else faulty
        if person and seen.setdefault(person.casefold(), line) != line:
            faults.append(
                Fault(
                    where,
                    "names a student a second time",
                    person[:40],
                    f"The first time is line {seen[person.casefold()]}",
                    "Delete one of the lines",
                )
            )
        students += [student] if student else []
    if not faults and not students:
        faults.append(Fault(str(path), "has a head and no student", "", "", _FIRST_STEP))
    refuse(faults)
    return students


# --- the two forms ---------------------------------------------------------------------


def _from_plain(row: Mapping[str, str], where: str, faults: list[Fault]) -> Student | None:
    before = len(faults)
    person = _checked(row["id"], where, "id", faults)
    name = _checked(row["name"], where, "name", faults)
    extra = _extra(row, where, faults)
    other = _other_date(row.get("other_date", ""), where, faults)
    printed = _print(row, where, faults)
    if len(faults) > before:
        return None
    return Student(person, name, extra, other, printed)


def _from_roster(row: Mapping[str, str], where: str, faults: list[Fault]) -> Student | None:
    left = row.get("status", "").casefold() == "tobedeleted"
    left = left or row.get("enabledUser", "").casefold() == "false"
    # OneRoster 1.1 says in users.csv who teaches.
    if left or row.get("role", "student").casefold() not in ("", "student"):
        return None
    before = len(faults)
    person = _checked(row["sourcedId"], where, "sourcedId", faults)
    given = row.get("preferredGivenName") or row["givenName"]
    family = row.get("preferredFamilyName") or row["familyName"]
    name = _checked(f"{given} {family}".strip(), where, "givenName", faults)
    if len(faults) > before:
        return None
    about = {key: row[key] for key in ("identifier", "username", "email") if row.get(key)}
    return Student(person, name, about=about)


_ROSTER_FILES = ("users.csv", "roles.csv", "enrollments.csv")


def _unzipped(path: Path, data: bytes) -> dict[str, bytes]:
    """Return the files of a OneRoster archive that say who is in the class."""
    archive = open_archive(data)
    held = {
        name: member
        for member in archive.members()
        if (name := member.name.rsplit("/", 1)[-1]) in _ROSTER_FILES
    }
    archive.close()
    if "users.csv" not in held:
        raise fault_error(
            str(path),
            "is no text file and no OneRoster archive: it holds no users.csv",
            "",
            "",
            _FIRST_STEP,
        )
    for name, member in held.items():
        if member.fault:
            raise fault_error(f"{path}/{name}", "can't be read", "", member.fault, _FIRST_STEP)
    return {name: member.data for name, member in held.items()}


def _students_of(
    path: Path,
    names: Sequence[str],
    body: Sequence[tuple[int, list[str]]],
    beside: Mapping[str, bytes],
) -> tuple[list[tuple[int, list[str]]], list[str]]:
    """Return the lines of users.csv that are students, and what to say of it.

    OneRoster 1.2 says in roles.csv who teaches, and in enrollments.csv in which class.
    """
    roles, enrolled = (
        _each_student(path.with_name(name), beside[name]) if name in beside else []
        for name in ("roles.csv", "enrollments.csv")
    )
    classes = sorted({row.get("classSourcedId", "") for row in enrolled})
    if len(classes) > 1:
        raise fault_error(
            str(path.with_name("enrollments.csv")),
            "holds more than one class",
            ", ".join(classes)[:80],
            "A paper is issued to one class",
            "Export the one class, or give a plain list with id and name",
        )
    some = enrolled or roles
    if not some:
        told = "role" in names  # as OneRoster 1.1 has it
        return list(body), [] if told else ["Everyone in users.csv counts as a student."]
    wanted, place = (
        {row.get("userSourcedId", "") for row in some},
        names.index("sourcedId"),
    )
    kept = [
        (line, cells)
        for line, cells in body
        if place < len(cells) and cells[place].strip() in wanted
    ]
    left = len(body) - len(kept)
    return kept, [f"{left} of users.csv left out: no students of this class."] if left else []


def _each_student(path: Path, data: bytes) -> list[dict[str, str]]:
    """Return the rows of roles.csv or enrollments.csv that are about students."""
    rows = _rows(path, _decoded(path, data)[0])
    if not rows:
        return []
    head = [name.strip() for name in rows[0][1]]
    found = [
        dict(zip(head, (cell.strip() for cell in cells), strict=False)) for _, cells in rows[1:]
    ]
    return [
        row
        for row in found
        if row.get("role", "").casefold() == "student"
        and row.get("status", "").casefold() != "tobedeleted"
    ]


def _column(name: str) -> str:
    return re.sub(r"[\s-]+", "_", name.strip().casefold())


def _checked(text: str, where: str, column: str, faults: list[Fault]) -> str:
    """Return an id or a name in one normal form; what can't be one is a fault."""
    text = unicodedata.normalize("NFC", " ".join(text.split()))
    shown = text[:40].encode("ascii", "backslashreplace").decode()
    problem = step = ""
    if not text:
        problem, step = f"has no {column}", "Write it, or delete the line"
    elif len(text) > LONGEST_NAME:
        problem, step = f"has a very long {column}", "Shorten it"
    elif any(unicodedata.category(c)[0] == "C" for c in text) or "\ufffd" in text:
        problem, step = (
            f"has a damaged or invisible character in {column}",
            "Type it again",
        )
    elif _FORMULA.match(text):
        article = "an" if column == "id" else "a"
        problem = f"has {article} {column} that a spreadsheet would run as a formula"
        step = "Write it without the sign at its beginning"
    if problem:
        limit = f"At most {LONGEST_NAME} characters" if "long" in problem else ""
        faults.append(Fault(where, problem, shown, limit, step))
    return text


def _extra(row: Mapping[str, str], where: str, faults: list[Fault]) -> str:
    """Return the extra time of a student: for handing in, and at the table."""
    days = _extra_time(row.get("extra_time", ""), f"{where}, extra_time", "2 d", faults)
    written = row.get("extra_minutes", "")
    minutes = f"{written} min" if written.replace(".", "", 1).isdigit() else written
    table = _extra_time(minutes, f"{where}, extra_minutes", "15 min", faults)
    return " + ".join(part for part in (days, table) if part)


def _extra_time(text: str, where: str, like: str, faults: list[Fault]) -> str:
    for part in text.split("+") if text else ():
        try:
            extra = read_plainly(part, "extra_time")
        except FaultsError as error:
            first = error.faults[0]
            if "two ways" in first.problem:
                faults.append(replace(first, where=where))
                return ""
            problem = first.problem
        else:
            share = extra.is_compatible_with("percent")
            if (share or extra.is_compatible_with("s")) and extra.magnitude > 0:
                continue
            problem = "is neither a share nor a time"
        step = f'Write it like "25 %" or "{like}"'
        if not re.search("[0-9]", text):
            step += '; where a comma cut a name, put the name into quotes: "Ample, Ada"'
        faults.append(Fault(where, problem, text[:40], "", step))
        return ""
    return text


def _other_date(text: str, where: str, faults: list[Fault]) -> str:
    if not text:
        return ""
    try:
        datetime.fromisoformat(text)
    except ValueError:
        faults.append(
            Fault(
                f"{where}, other_date",
                "is not a date",
                text[:40],
                "",
                'Write it like "2027-03-12" or "2027-03-12 17:00"',
            )
        )
        return ""
    return text


def _print(row: Mapping[str, str], where: str, faults: list[Fault]) -> str:
    chosen: dict[str, None] = {}
    for word in re.split(r"[\s,;+]+", row.get("print", "").casefold()):
        if word in LOOKS:
            chosen[word] = None
        elif word not in ("", "normal"):
            faults.append(
                Fault(
                    f"{where}, print",
                    "is not known",
                    word[:40],
                    f"It is {', '.join(LOOKS)}, several of them, or left empty",
                    "Write one of these",
                )
            )
    for name in LOOKS:
        said = row.get(name, "").casefold()
        if said in YES:
            chosen[name] = None
        elif said not in NO:
            faults.append(
                Fault(
                    f"{where}, {name}",
                    "is neither yes nor no",
                    said[:40],
                    "",
                    "Write yes, or leave it empty",
                )
            )
    return " ".join(name for name in LOOKS if name in chosen)


# --- bytes to rows ---------------------------------------------------------------------


def _bytes_of(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST_FILE + 1)
    except OSError as error:
        raise fault_error(
            str(path),
            "can't be read",
            error.strerror or "",
            "",
            "Check the name of the class list",
        ) from None
    if len(data) > LARGEST_FILE:
        raise fault_error(
            str(path),
            "is too large for a class list",
            f"more than {LARGEST_FILE} bytes",
            "",
            "Give the list of the class alone",
        )
    return data


def _decoded(path: Path, data: bytes) -> tuple[str, list[str]]:
    """Return the text of a file, and what to say of its encoding."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _as(path, data, "utf-16"), ["The class list is in UTF-16; it was read as such."]
    if data[:4000].count(0) > len(data[:4000]) // 4:
        even = data[:4000:2].count(0) > data[1:4000:2].count(0)
        text = _as(path, data, "utf-16-be" if even else "utf-16-le")
        return text, ["The class list is in UTF-16 without a mark; it was read as such."]
    if 0 in data:
        raise fault_error(str(path), "is not a text file", "", "", _FIRST_STEP)
    try:
        return data.decode("utf-8-sig"), []
    except UnicodeDecodeError:
        text = _as(path, data, "windows-1252")
        odd = next((w for w in re.split(r"[,;\t\r\n]+", text) if not w.isascii()), "")
        return text, [
            "The class list is not in UTF-8; it was read as Windows-1252. "
            f"Look whether this is written right: {odd.strip()[:40]}"
        ]


def _as(path: Path, data: bytes, encoding: str) -> str:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError:
        raise fault_error(
            str(path),
            "is in an encoding that is not known",
            "",
            "UTF-8, UTF-16 and Windows-1252 are read",
            _FIRST_STEP,
        ) from None


def _rows(path: Path, text: str) -> list[tuple[int, list[str]]]:
    """Return the rows that hold something, each with the number of its first line."""
    text = text.removeprefix("\ufeff")
    first = 1
    if re.match(r"sep=[,;\t]\r?\n", text):  # some spreadsheets begin a file so
        text, first = text.split("\n", 1)[1], 2
    head = text.lstrip("\r\n").split("\n", 1)[0]
    mark = max(",;\t", key=head.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    rows: list[tuple[int, list[str]]] = []
    line = first
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                rows.append((line, cells))
            line = reader.line_num + first
    except csv.Error as error:
        raise fault_error(
            f"{path}:{line}",
            "can't be taken apart into cells",
            str(error),
            "",
            "Look whether a quotation mark is left open there",
        ) from None
    return rows
