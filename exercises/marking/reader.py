"""A hand-in, read and never run: what it is, whose it is, what it answers."""

from __future__ import annotations

import re
from typing import Any

from exercises.marking.copied_line import LONG_LINE, unpack_line
from exercises.marking.dry_runs import take_log
from exercises.marking.hand_in import (
    NotReadable,
    Reading,
    find_token,
    find_tokens,
    is_key,
    loads,
    printable,
    take_answer,
    take_token,
    take_working,
)
from exercises.marking.limits import (
    DRY_RUN,
    FILE,
    LINE,
    LINE_DEFLATED,
    LINE_PLAIN,
    LONGEST_ANSWER,
    LONGEST_LINE,
    MOST_ANSWERS,
    MOST_BRACKETS,
    MOST_BYTES,
    MOST_CELLS,
    NOTEBOOK,
)
from exercises.marking.notebook_reader import cells_of_worksheets, take_notebook
from exercises.rehearsal.log import ENDING, IS_LOG


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
    except NotReadable as reason:
        reading.fault = str(reason)
    except RecursionError:
        reading.fault = "It is nested too deeply for a hand-in."
    if reading.fault and (_BEGINS_A_LOG.match(data) or name.endswith(ENDING)):
        reading.form = DRY_RUN  # a damaged one is no hand-in of the sheet that it names
    in_name = find_tokens(name[-2000:])
    if reading.token is None and in_name:
        reading.token = in_name[0]
    reading.tokens += in_name
    if reading.token is None and reading.fault:
        began = data[:LONGEST_LINE].decode("utf-8", "replace")
        reading.token = find_token(began, LONGEST_LINE)
    elif reading.token is None and reading.log is None:
        reading.fault = (
            "It has lost its token, so nobody can say which sheet it is. "
            "Find the sheet by hand and key the answers in."
        )
    return reading


_BEGINS_A_LOG = re.compile(rb'(?:\xef\xbb\xbf)?\s{0,500}\{\s{0,500}"' + IS_LOG.encode() + b'"')


def _read(data: bytes, into: Reading) -> None:
    if not data.strip():
        raise NotReadable("It is empty.")
    if len(data) > MOST_BYTES:
        raise NotReadable(too_large(len(data)))
    if data[4:8] == b"ftyp":
        raise NotReadable("It is a picture or a film, not a hand-in. Look at it by hand.")
    if data.startswith(_FIRST_BYTES):
        what = next(what for sign, what in _SIGNS if data.startswith(sign))
        raise NotReadable(f"It is {what}, not a hand-in. Look at it by hand.")
    wide = data[:2] in (b"\xff\xfe", b"\xfe\xff")
    try:
        text = data.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError:
        raise NotReadable(
            "Its bytes are no text, so it is damaged or not a hand-in. Look at it by hand."
        ) from None
    start = text[:500].lstrip()
    if start[:1] == "{":
        _read_json(text, data, into)
    elif start[:5].lower() in ("<!doc", "<html") and not LONG_LINE.search(text):
        raise NotReadable(
            "It is a web page. If it is the worksheet itself, it holds no answers: "
            "they are in the small file that the page saves."
        )
    elif LINE_DEFLATED in text or LINE_PLAIN in text:
        into.form = LINE
        _take_answers(unpack_line(text), into)
    else:
        raise NotReadable(_NO_HANDIN)


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


def _read_json(text: str, data: bytes, into: Reading) -> None:
    if len(text) > MOST_BRACKETS and text.count('"cell_type"') > MOST_CELLS:
        into.form = NOTEBOOK
        raise NotReadable(f"It has more than {MOST_CELLS} cells.")
    thing = loads(text)
    if not isinstance(thing, dict):
        raise NotReadable(_NO_HANDIN)
    if "worksheets" in thing and "cells" not in thing:  # nbformat 3 and before
        thing["cells"] = cells_of_worksheets(thing["worksheets"])
    if "cells" in thing:
        into.form = NOTEBOOK
        take_notebook(thing, into)
    elif IS_LOG in thing:
        into.form = DRY_RUN
        into.log = take_log(thing)
        into.token = find_token(into.log[0].student)
    elif "glossbook" in thing:
        into.form = FILE
        _take_answers(thing, into)
    else:
        raise NotReadable(_NO_HANDIN)


def _take_answers(thing: Any, into: Reading) -> None:
    """Take an answer file apart."""
    if not isinstance(thing, dict):
        raise NotReadable("It is not an answer file.")
    version = thing.get("glossbook")
    if version != 1 or isinstance(version, bool):
        raise NotReadable(
            f"It was written by another version of the worksheet: {printable(str(version))}."
        )
    take_token(thing.get("token"), into)
    if isinstance(thing.get("student"), str):
        into.names.append(thing["student"][:LONGEST_ANSWER])
    answers, working = thing.get("answers", {}), thing.get("working", {})
    if not isinstance(answers, dict) or not isinstance(working, dict):
        raise NotReadable("Its answers are not a table of answers.")
    if len(answers) > MOST_ANSWERS or len(working) > MOST_ANSWERS:
        raise NotReadable(f"It has more than {MOST_ANSWERS} answers.")
    for key, value in answers.items():
        if is_key(key):
            take_answer(key, value, into)
    for key, value in working.items():
        if is_key(key):
            take_working(key, value, into)
