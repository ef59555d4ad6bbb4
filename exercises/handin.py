"""Reads what a student handed in, and never runs any of it.

A notebook, a small answer file, a line copied from the web page, or an archive of
these: each is taken apart as data, within limits of size, depth and time.  What
can't be read is said in words; reading never stops at a damaged file.
"""

from __future__ import annotations

import ast
import base64
import binascii
import io
import json
import re
import stat
import unicodedata
import warnings
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, BinaryIO

from calculators.faults import FaultsError
from exercises.keys import WORKING_HEAD
from exercises.markbook import read_token

# Limits.  A notebook of twelve parts has 30 to 60 kB and some forty cells; with
# pictures of a page of working it stays below these.
MOST_BYTES = 5_000_000
MOST_CELLS = 2_000
MOST_BRACKETS = 100_000
MOST_COMMAS = 500_000
MOST_ANSWERS = 400
LONGEST_KEY = 7
LONGEST_SOURCE = 2_000
LONGEST_ANSWER = 200
LONGEST_WORKING = 10_000
LONGEST_LINE = 200_000
MOST_UNPACKED = 1_000_000
MOST_MEMBERS = 20_000
MOST_DIRECTORY = 8_000_000
MOST_IN_ARCHIVE = 2_000_000_000
MOST_IN_INNER = 50_000_000
MOST_RATIO = 300
DEEPEST_ARCHIVE = 2

NOTEBOOK, FILE, LINE, PAPER, UNKNOWN = "notebook", "file", "line", "paper", "unknown"
LINE_DEFLATED, LINE_PLAIN = "GB1.", "GB0."

_KEY = re.compile(r"[0-9]{1,3}[a-p](?:\.[0-9]{1,2})?")


def _is_key(text: str) -> bool:
    return len(text) <= LONGEST_KEY and _fits(text)


@lru_cache(maxsize=4096)
def _fits(text: str) -> bool:
    return _KEY.fullmatch(text) is not None


TOKEN_SHAPE = re.compile(r"[0-9A-Za-z]{4}(?:-[0-9A-Za-z]{4}){4}")


@dataclass
class Reading:
    """What was found in a hand-in.

    Parameters
    ----------
    form : str
        ``"notebook"``, ``"file"``, ``"line"`` or ``"unknown"``.
    token : str or None
        The sheet's token, checked for typing faults.
    answers, working : dict of str to str
        By answer key; working by part.
    problems : dict of str to str
        Answers that can't be read, by answer key, each with its reason.
    fault : str
        Why the whole file can't be read; empty where it can.
    """

    form: str = UNKNOWN
    token: str | None = None
    answers: dict[str, str] = field(default_factory=dict)
    working: dict[str, str] = field(default_factory=dict)
    problems: dict[str, str] = field(default_factory=dict)
    fault: str = ""


class _NotReadable(Exception):  # noqa: N818  told to a person, never raised to them
    """Carries the reason why a file, or one answer, can't be read."""


def read_bytes(data: bytes, name: str = "") -> Reading:
    """Read a hand-in from its bytes, whatever its name says it is.

    Parameters
    ----------
    data : bytes
        The file; more than :data:`MOST_BYTES` are refused.
    name : str
        Its path: a token in it serves where the file itself has lost its own.  Of a
        file that can't be read, a token at its beginning still says whose it is.
    """
    reading = Reading()
    try:
        _read(data, reading)
    except _NotReadable as reason:
        reading.fault = str(reason)
    except RecursionError:
        reading.fault = "It is nested too deeply for a hand-in."
    if reading.token is None:
        reading.token = find_token(name)
    if reading.token is None and reading.fault:
        began = data[:LONGEST_LINE].decode("utf-8", "replace")
        reading.token = find_token(began, LONGEST_LINE)
    elif reading.token is None:
        reading.fault = (
            "It has lost its token, so nobody can say which sheet it is. "
            "Find the sheet by hand and key the answers in."
        )
    return reading


def _read(data: bytes, into: Reading) -> None:
    if not data.strip():
        raise _NotReadable("It is empty.")
    if len(data) > MOST_BYTES:
        raise _NotReadable(too_large(len(data)))
    if data[4:8] == b"ftyp":
        raise _NotReadable("It is a picture or a film, not a hand-in. Look at it by hand.")
    if data.startswith(_FIRST_BYTES):
        what = next(what for sign, what in _SIGNS if data.startswith(sign))
        raise _NotReadable(f"It is {what}, not a hand-in. Look at it by hand.")
    wide = data[:2] in (b"\xff\xfe", b"\xfe\xff")
    try:
        text = data.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError:
        raise _NotReadable(
            "Its bytes are no text, so it is damaged or not a hand-in. Look at it by hand."
        ) from None
    start = text[:500].lstrip()
    if start[:1] == "{":
        _read_json(text, data, into)
    elif start[:5].lower() in ("<!doc", "<html") and not _LONG_LINE.search(text):
        raise _NotReadable(
            "It is a web page. If it is the worksheet itself, it holds no answers: "
            "they are in the small file that the page saves."
        )
    elif LINE_DEFLATED in text or LINE_PLAIN in text:
        into.form = LINE
        _take_answers(_unpack_line(text), into)
    else:
        raise _NotReadable(_NO_HANDIN)


_NO_HANDIN = "It is not a hand-in: neither notebook nor answer file. Look at it by hand."
_SIGNS = (
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"\xd0\xcf\x11\xe0", "a word processor's file"),
    (b"7z\xbc\xaf", "an archive of a kind that is not opened"),
    (b"Rar!", "an archive of a kind that is not opened"),
    (b"\x1f\x8b", "an archive of a kind that is not opened"),
)
_FIRST_BYTES = tuple(sign for sign, _ in _SIGNS)


def too_large(size: int) -> str:
    """Return the reason why a file of this many bytes is not read."""
    return (
        f"It has {size / 1e6:.1f} MB, and a hand-in has {MOST_BYTES / 1e6:.0f} MB "
        "at the most. Large pictures can be taken out and handed in beside it."
    )


def find_token(text: str, most: int = 2000) -> str | None:
    """Return the token that stands at the beginning of a text, or None."""
    for found in TOKEN_SHAPE.findall(text[:most]):
        try:
            return read_token(found)
        except FaultsError:
            continue
    return None


# --- JSON --------------------------------------------------------------------------


def _no_doubles(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    out = dict(pairs)
    if len(out) != len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise _NotReadable(f"It holds {_printable(twice)} twice in one place.")
    return out


def _no_constant(name: str) -> Any:
    raise _NotReadable(f"It holds {name}, which is no number.")


_decoder = json.JSONDecoder(object_pairs_hook=_no_doubles, parse_constant=_no_constant)


def _loads(text: str) -> Any:
    """Parse JSON within limits; what is too much is counted before it is built."""
    if len(text) > MOST_BRACKETS and (
        text.count("{") + text.count("[") > MOST_BRACKETS or text.count(",") > MOST_COMMAS
    ):
        raise _NotReadable("It holds far more parts than a hand-in has.")
    try:
        return _decoder.decode(text)
    except json.JSONDecodeError as error:
        cut = error.msg.startswith("Unterminated") or error.pos >= len(text.rstrip()) - 1
        end = "it breaks off" if cut else "it is damaged"
        raise _NotReadable(
            f"It can't be taken apart: {end} at line {error.lineno}. Ask for the file again."
        ) from None
    except ValueError:
        raise _NotReadable("It holds a number with thousands of digits.") from None


def _read_json(text: str, data: bytes, into: Reading) -> None:
    if len(text) > MOST_BRACKETS and text.count('"cell_type"') > MOST_CELLS:
        into.form = NOTEBOOK
        raise _NotReadable(f"It has more than {MOST_CELLS} cells.")
    thing = _loads(text)
    if not isinstance(thing, dict):
        raise _NotReadable(_NO_HANDIN)
    if "worksheets" in thing and "cells" not in thing:  # nbformat 3 and before
        thing["cells"] = _cells_of_worksheets(thing["worksheets"])
    if "cells" in thing:
        into.form = NOTEBOOK
        _take_notebook(thing, into)
    elif "glossbook" in thing:
        into.form = FILE
        _take_answers(thing, into)
    else:
        raise _NotReadable(_NO_HANDIN)


def _printable(text: str) -> str:
    return text[:40].encode("ascii", "backslashreplace").decode()


def _take_token(value: Any, into: Reading) -> None:
    if value is None or value == "":
        return
    if not isinstance(value, str):
        raise _NotReadable("Its token is not text.")
    try:
        into.token = read_token(value)
    except FaultsError as error:
        about = str(error).partition(": ")[2]
        raise _NotReadable(f"Its token was changed. It {about}") from None


def take_answer(key: str, value: Any, into: Reading) -> None:
    """Keep one answer, or the reason why it can't be read."""
    if not isinstance(value, str):
        into.problems[key] = "It is not text. Write a number and its unit."
        return
    if len(value) > LONGEST_ANSWER:
        into.problems[key] = f"It is {len(value)} characters long. Write one number and its unit."
        return
    if not value.isascii() and _has_surrogate(value):
        into.problems[key] = "It holds a broken character. Type it again."
        return
    into.answers[key] = value


def _has_surrogate(text: str) -> bool:
    try:
        text.encode()
    except UnicodeEncodeError:
        return True
    return False


def take_working(key: str, value: Any, into: Reading) -> None:
    """Keep the working of a part, without what can't be stored or printed."""
    if not isinstance(value, str) or not value.strip():
        return
    text = value[: LONGEST_WORKING + 1].strip()
    if not text.replace("\n", "").isprintable():
        text = text.encode("utf-8", "backslashreplace").decode()
        text = "".join(c for c in text if c in "\n\t" or unicodedata.category(c)[0] != "C")
    text = text.strip()
    if len(text) > LONGEST_WORKING:
        text = text[:LONGEST_WORKING] + "\n(The rest is in the file.)"
    if text:
        into.working[key] = text


def _take_answers(thing: Any, into: Reading) -> None:
    """Take an answer file apart."""
    if not isinstance(thing, dict):
        raise _NotReadable("It is not an answer file.")
    version = thing.get("glossbook")
    if version != 1 or isinstance(version, bool):
        raise _NotReadable(
            f"It was written by another version of the worksheet: {_printable(str(version))}."
        )
    _take_token(thing.get("token"), into)
    answers, working = thing.get("answers", {}), thing.get("working", {})
    if not isinstance(answers, dict) or not isinstance(working, dict):
        raise _NotReadable("Its answers are not a table of answers.")
    if len(answers) > MOST_ANSWERS or len(working) > MOST_ANSWERS:
        raise _NotReadable(f"It has more than {MOST_ANSWERS} answers.")
    for key, value in answers.items():
        if _is_key(key):
            take_answer(key, value, into)
    for key, value in working.items():
        if _is_key(key):
            take_working(key, value, into)


# --- notebook ---------------------------------------------------------------------------

_REPLY = re.compile(r"""\s*answer\s*=\s*(["'])([^"'\\\n]*)\1[^\S\n]*(?:\#[^\n]*)?\s*\Z""")
_TYPED_QUOTES = str.maketrans("“”„‟«»‘’‚‛", '"' * 6 + "'" * 4)
_UNANSWERED = 'answer = ""'
_REPLY_STEP = 'Write one text between quotes, like answer = "12.5 g", and nothing else.'


def reply(source: str) -> str:
    """Return the text in a reply cell: one assignment of one string literal.

    >>> reply('answer = "12.5 g"')
    '12.5 g'
    """
    if source == _UNANSWERED:
        return ""
    found = _REPLY.match(source) if len(source) <= LONGEST_SOURCE else None
    if found is None and len(source) <= LONGEST_SOURCE and not source.isascii():
        found = _REPLY.match(source.translate(_TYPED_QUOTES))  # a phone curls them
    if found:
        return found[2]
    if not source.strip():
        return ""
    if len(source) > LONGEST_SOURCE:
        raise _NotReadable(f"The cell holds {len(source)} characters. {_REPLY_STEP}")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # a stray backslash is not our concern
            body = ast.parse(source).body
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        raise _NotReadable(f"The quotes are missing or do not close. {_REPLY_STEP}") from None
    match body:
        case [
            ast.Assign(
                targets=[ast.Name(id="answer")],
                value=ast.Constant(value=str(text)) as literal,
            )
        ] if _one_literal(source, literal):
            return text
        case []:
            return ""
    raise _NotReadable(f"The cell holds something else. {_REPLY_STEP}")


def _one_literal(source: str, literal: ast.Constant) -> bool:
    """Tell whether a constant was written as one literal, and not as several."""
    segment = ast.get_source_segment(source, literal) or ""
    body = segment.lstrip("rRuU")
    for quote in ('"""', "'''", '"', "'"):
        if body.startswith(quote):
            inner = re.sub(r"\\.", "", body[len(quote) :], flags=re.DOTALL)
            return inner.find(quote) == len(inner) - len(quote)
    return False


def _source(cell: dict[str, Any]) -> str | None:
    """Return a cell's source, which may be text or a list of lines."""
    source = cell.get("source")
    if isinstance(source, str):
        return source
    try:
        return "".join(source) if isinstance(source, list) else None
    except TypeError:
        return None


def _cells_of_worksheets(worksheets: Any) -> list[Any]:
    """Return the cells of a notebook that an older program saved, as they are today."""
    cells: list[Any] = []
    for one in worksheets if isinstance(worksheets, list) else ():
        some = one.get("cells") if isinstance(one, dict) else None
        cells += some if isinstance(some, list) else []
    for cell in cells:
        if isinstance(cell, dict) and "input" in cell:
            cell.setdefault("source", cell["input"])
    return cells


def _take_notebook(thing: dict[str, Any], into: Reading) -> None:
    about, cells = thing.get("metadata"), thing["cells"]
    ours = about.get("glossbook") if isinstance(about, dict) else None
    _take_token(ours.get("token") if isinstance(ours, dict) else None, into)
    if not isinstance(cells, list):
        raise _NotReadable("Its cells are not a list.")
    if len(cells) > MOST_CELLS:
        raise _NotReadable(f"It has more than {MOST_CELLS} cells.")
    if not _take_marked_cells(cells, into) and not _take_cells_by_place(cells, into):
        raise _NotReadable(
            "It has no reply cell: it is another notebook, or a program took the "
            "marks off its cells. Key the answers in by hand."
        )
    if into.token is None:  # it stands in the head of the sheet too
        told = [_source(c) or "" for c in cells[:5] if _is_cell(c, "markdown")]
        into.token = find_token("\n".join(told))


def _take_marked_cells(cells: list[Any], into: Reading) -> int:
    """Take the reply cells that still carry our marks; return how many there are."""
    replies = 0
    for cell in cells:
        about = cell.get("metadata") if isinstance(cell, dict) else None
        if not about:  # as most of the text has it
            continue
        ours = about.get("glossbook") if isinstance(about, dict) else None
        if not isinstance(ours, dict):
            continue
        part = ours.get("part")
        key = part or ours.get("working")
        if not isinstance(key, str) or not _is_key(key):
            continue
        if part:
            replies += 1
            if replies > MOST_ANSWERS:
                raise _NotReadable(f"It has more than {MOST_ANSWERS} reply cells.")
            _take_reply(key, _source(cell), into)
        elif key not in into.working:
            source = _source(cell) or ""
            left = source.endswith(_NO_WORKING) and "\n" not in source[:-2]
            if not left:  # as it was issued
                take_working(key, _below_head(source), into)
    return replies


def _is_cell(cell: Any, kind: str) -> bool:
    return isinstance(cell, dict) and cell.get("cell_type") == kind


_ASKED = re.compile(r"\*\*([0-9]{1,3}[a-p])\*\*( |, )")
_WORKING = re.compile(rf"Working for ([0-9]{{1,3}}[a-p])\. {re.escape(WORKING_HEAD)}")


def _take_cells_by_place(cells: list[Any], into: Reading) -> int:
    """Take the replies of a notebook that lost its marks; return how many there are.

    What stands above a reply cell says which part it answers, as long as the parts
    stand in the order in which they were issued, each of them once.
    """
    replies: list[tuple[str, str]] = []
    working: list[tuple[str, str]] = []
    asked: list[tuple[int, str]] = []
    key, row = "", 0
    for cell in cells:
        source = (_source(cell) if isinstance(cell, dict) else None) or ""
        if _is_cell(cell, "markdown"):
            if found := _ASKED.match(source):
                if found[2] == " ":
                    key, row = found[1], 0
                    asked.append((int(key[:-1]), key[-1]))
                elif found[1] == key:  # a row of a table
                    row += 1
            elif found := _WORKING.match(source):
                key = ""
                working.append((found[1], source))
        elif key and _is_cell(cell, "code") and _ANSWERING.search(source):
            replies.append((f"{key}.{row}" if row else key, source))
    if asked != sorted(set(asked)):
        return 0
    for name, source in replies:
        _take_reply(name, source, into)
    for name, source in working:
        if not source.endswith(_NO_WORKING):
            take_working(name, _below_head(source), into)
    return len(replies)


_ANSWERING = re.compile(r"^\s*answer\s*=", re.MULTILINE)


_NO_WORKING = f"{WORKING_HEAD}\n\n"


def _below_head(source: str) -> str:
    first, _, rest = source.partition("\n")
    return rest if first.rstrip().endswith(WORKING_HEAD) else source


def _take_reply(key: str, source: str | None, into: Reading) -> None:
    """Keep a reply; a cell that was doubled counts once if both say the same."""
    if source is None:
        into.problems[key] = f"The cell is not text. {_REPLY_STEP}"
        return
    try:
        text = reply(source)
    except _NotReadable as reason:
        into.problems[key] = str(reason)
        return
    held = into.answers.get(key, "")
    if held.strip() and text.strip() and held.strip() != text.strip():
        into.problems[key] = "Two cells answer this part, and not alike. Keep one."
    elif text.strip() or key not in into.answers:
        take_answer(key, text, into)


# --- a line to copy ------------------------------------------------------------------------


def pack_line(thing: dict[str, Any]) -> str:
    """Return an answer file as one line that can be copied into a message."""
    packed = zlib.compress(json.dumps(thing, separators=(",", ":")).encode(), 9)
    return LINE_DEFLATED + base64.urlsafe_b64encode(packed).decode().rstrip("=")


_LINES = re.compile(r"(GB[01]\.)([A-Za-z0-9_\-=\s>]+)")
_LONG_LINE = re.compile(r"GB[01]\.[\s>]*[A-Za-z0-9_\-]{20}")


def _unpack_line(text: str) -> Any:
    """Return the answer file in a line, which a mail program may have wrapped."""
    if len(text) > LONGEST_LINE:
        raise _NotReadable(f"Its line has more than {LONGEST_LINE} characters.")
    found = []
    for kind, body in _LINES.findall(text):
        data = _unpacked(kind, body)
        if data not in found:
            found.append(data)
        if len(found) > 1:
            raise _NotReadable("It holds two different lines. Keep the one that counts.")
    if not found:
        raise _NotReadable("Its line is empty.")
    start = found[0].lstrip()
    if start[:1] != "{":
        raise _NotReadable("Its line is damaged.")
    if start.count("{") + start.count("[") > MOST_BRACKETS:
        raise _NotReadable("It holds far more parts than a hand-in has.")
    try:
        return _decoder.raw_decode(start)[0]
    except ValueError:
        raise _NotReadable("Its line is damaged. Ask for the line again.") from None


def _unpacked(kind: str, body: str) -> str:
    signs = re.sub(r"[\s>=]", "", body)
    signs = signs[: len(signs) - (len(signs) % 4 == 1)]
    try:
        data = base64.urlsafe_b64decode(signs + "=" * (-len(signs) % 4))
        if kind == LINE_DEFLATED:
            inflate = zlib.decompressobj()
            data = inflate.decompress(data, MOST_UNPACKED)
            if inflate.unconsumed_tail:
                raise _NotReadable("Its line unpacks to far more than a hand-in.")
            if not inflate.eof:
                raise _NotReadable("Its line breaks off. Ask for the whole line.")
    except (binascii.Error, ValueError, zlib.error):
        raise _NotReadable("Its line is damaged. Ask for the line again.") from None
    return data.decode("utf-8", "replace")


# --- archives ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class Member:
    """A file in an archive: its bytes, or the reason why they are not read."""

    name: str
    data: bytes
    size: int
    fault: str
    dated: tuple[int, int, int, int, int, int]


_RESERVED = re.compile(r"(?:con|prn|aux|nul|com[0-9]|lpt[0-9])(?:\..*)?", re.IGNORECASE)


def is_archive(head: bytes) -> bool:
    """Tell whether a file begins as a zip does."""
    return head[:4] in (b"PK\x03\x04", b"PK\x05\x06")


def left_by_a_program(name: str) -> bool:
    """Tell whether a file was left by a program and was never meant as a hand-in."""
    parts = name.replace("\\", "/").split("/")
    return parts[-1] in (".DS_Store", "Thumbs.db", "desktop.ini") or any(
        part in ("__MACOSX", ".ipynb_checkpoints") for part in parts
    )


# By what stands in them, the documents that are archives inside.
_DOCUMENTS = (
    ("word/", "a word processor's file"),
    ("xl/", "a spreadsheet"),
    ("ppt/", "a set of slides"),
    ("Index/", "a word processor's file"),
)


def _document(infos: list[zipfile.ZipInfo]) -> str:
    """Return what document an archive is in truth; empty where it is a plain one."""
    names = {info.filename for info in infos}
    own = "[Content_Types].xml" in names or any(n.endswith(".iwa") for n in names)
    if own or infos[0].filename == "mimetype":
        for begins, what in _DOCUMENTS:
            if any(name.startswith(begins) for name in names):
                return what
        return "a document of an office program"
    return ""


class Archive:
    """A zip that is read in memory, member by member, and unpacked nowhere.

    Parameters
    ----------
    file : binary file
        Open for reading, with ``seek``.

    Raises
    ------
    FaultsError
        Never; ``fault`` says why the archive as a whole can't be read.
    """

    def __init__(self, file: BinaryIO) -> None:
        self.fault, self._file = "", file
        self._zip: zipfile.ZipFile | None = None
        self._infos: list[zipfile.ZipInfo] = []
        try:
            self._check_directory(file)
            self._zip = zipfile.ZipFile(file)
            self._infos = [i for i in self._zip.infolist() if not i.is_dir()]
            if len(self._infos) > MOST_MEMBERS:
                raise _NotReadable(f"It holds more than {MOST_MEMBERS} files.")
            if not self._infos:
                raise _NotReadable("It is an archive with nothing in it.")
            if what := _document(self._infos):
                self._infos = []
                raise _NotReadable(f"It is {what}, not a hand-in. Look at it by hand.")
        except _NotReadable as reason:
            self.fault = str(reason)
        except Exception:  # a hostile directory can raise nearly anything
            self.fault = "It is an archive that is damaged. Ask for it again."
        self._seen: dict[str, int] = {}
        for place, info in enumerate(self._infos):
            self._seen.setdefault(self._folded(info.filename), place)

    @staticmethod
    def _check_directory(file: BinaryIO) -> None:
        """Refuse a directory of members that alone would take seconds to read."""
        end = file.seek(0, io.SEEK_END)
        file.seek(max(0, end - 66_000))
        tail = file.read()
        place = tail.rfind(b"PK\x05\x06")
        size = int.from_bytes(tail[place + 12 : place + 16], "little")
        large = tail[place - 20 : place - 16] == b"PK\x06\x07"  # for huge archives
        if place >= 0 and (size > MOST_DIRECTORY or large):
            raise _NotReadable(f"It holds more than {MOST_MEMBERS} files.")
        file.seek(0)

    @staticmethod
    def _folded(name: str) -> str:
        return unicodedata.normalize("NFC", name.replace("\\", "/")).casefold()

    def __len__(self) -> int:
        return len(self._infos)

    def close(self) -> None:
        """Let the archive go."""
        if self._zip is not None:
            self._zip.close()
        self._file.close()

    def members(
        self, start: int = 0, stop: int | None = None, budget: int = MOST_IN_ARCHIVE
    ) -> Iterator[Member]:
        """Yield the members from start to stop; each in memory, one at a time."""
        for place, info in enumerate(self._infos[start:stop], start):
            name = info.filename.encode("utf-8", "backslashreplace").decode()
            fault = self._hostile(place, info)
            data = b""
            if not fault and budget <= 0:
                fault = "The archive unpacks to far more than a pile of hand-ins."
            if not fault:
                try:
                    data, fault = self._bytes(info)
                except Exception:  # zlib, zipfile and struct each raise their own
                    fault = "It is damaged inside the archive. Ask for it again."
            budget -= len(data)
            yield Member(name, data, info.file_size, fault, info.date_time)

    def _hostile(self, place: int, info: zipfile.ZipInfo) -> str:
        name = info.filename.replace("\\", "/")
        parts = name.split("/")
        if name.startswith("/") or ".." in parts or re.match(r"[A-Za-z]:", name):
            return "Its name points outside the archive."
        if any(_RESERVED.fullmatch(part.rstrip(" .")) for part in parts):
            return "Its name is reserved by some systems."
        if any(unicodedata.category(c)[0] == "C" for c in name):
            return "Its name holds an invisible character."
        if len(name) > 400:
            return "Its name is far too long."
        if stat.S_ISLNK(info.external_attr >> 16):
            return "It is a link, not a file."
        if info.flag_bits & 1:
            return "It is locked with a password. Ask for it without."
        if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            return "It is packed in a way that is not opened."
        if self._seen.get(self._folded(info.filename)) != place:
            return "Another file of the archive has the same name."
        return ""

    def _bytes(self, info: zipfile.ZipInfo) -> tuple[bytes, str]:
        inner = info.filename.lower().endswith(".zip")
        most = MOST_IN_INNER if inner else MOST_BYTES
        if info.file_size > most:
            return b"", too_large(info.file_size)
        if info.file_size > MOST_UNPACKED and (
            info.file_size > MOST_RATIO * max(1, info.compress_size)
        ):
            return b"", "It unpacks to hundreds of times its size."
        assert self._zip is not None
        with self._zip.open(info) as file:
            data = file.read(most + 1)
        return (data, "") if len(data) <= most else (b"", too_large(len(data)))


def open_archive(data: bytes) -> Archive:
    """Open an archive that lies inside another one."""
    return Archive(io.BytesIO(data))
