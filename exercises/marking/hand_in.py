"""What is taken from a hand-in: whose it is, what it answers, and what could not be read."""

from __future__ import annotations

import json
import re
import unicodedata
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from calculators.faults import FaultsError, visible
from exercises.book.tokens import read_token
from exercises.marking.limits import (
    LONGEST_ANSWER,
    LONGEST_KEY,
    LONGEST_WORKING,
    MOST_BRACKETS,
    MOST_COMMAS,
    UNKNOWN,
)
from exercises.rehearsal.log import Run

_KEY = re.compile(r"[0-9]{1,3}[a-p](?:\.[0-9]{1,2})?")


def is_key(text: str) -> bool:
    """Tell whether a text is the key of an answer."""
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
        ``"notebook"``, ``"file"``, ``"line"``, ``"dry run"`` or ``"unknown"``.
    token : str or None
        The sheet's token, checked for typing faults.
    answers, working : dict of str to str
        By answer key; working by part.
    problems : dict of str to str
        Answers that can't be read, by answer key, each with its reason.
    fault : str
        Why the whole file can't be read; empty where it can.
    names : list of str
        Names that its head says.
    tokens : list of str
        Every token that its name, its head and its data say, to be compared.
    log : tuple of (Run, str), or None
        Of a dry run: the run, not done again yet, and how it says it ends.
    """

    form: str = UNKNOWN
    token: str | None = None
    answers: dict[str, str] = field(default_factory=dict)
    working: dict[str, str] = field(default_factory=dict)
    problems: dict[str, str] = field(default_factory=dict)
    fault: str = ""
    names: list[str] = field(default_factory=list)
    tokens: list[str] = field(default_factory=list)
    log: tuple[Run, str] | None = None


class NotReadable(Exception):  # noqa: N818  told to a person, never raised to them
    """Carries the reason why a file, or one answer, can't be read."""


def find_token(text: str, most: int = 2000) -> str | None:
    """Return the first token at the beginning of a text, or None."""
    return next(iter(find_tokens(text, most)), None)


def find_tokens(text: str, most: int = 2000) -> list[str]:
    """Return every token at the beginning of a text."""
    tokens = []
    for found in TOKEN_SHAPE.findall(text[:most]):
        try:
            tokens.append(read_token(found))
        except FaultsError:
            continue
    return tokens


# --- JSON --------------------------------------------------------------------------


def _no_doubles(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    out = dict(pairs)
    if len(out) != len(pairs):
        seen: set[str] = set()
        for name, _ in pairs:
            if name in seen:
                raise NotReadable(f'It holds "{printable(name)}" twice in one place.')
            seen.add(name)
    return out


def _no_constant(name: str) -> Any:
    raise NotReadable(f"It holds {name}, which is no number.")


decoder = json.JSONDecoder(object_pairs_hook=_no_doubles, parse_constant=_no_constant)


def loads(text: str) -> Any:
    """Parse JSON within limits; what is too much is counted before it is built."""
    if len(text) > MOST_BRACKETS and (
        text.count("{") + text.count("[") > MOST_BRACKETS or text.count(",") > MOST_COMMAS
    ):
        raise NotReadable("It holds far more parts than a hand-in has.")
    try:
        return decoder.decode(text)
    except json.JSONDecodeError as error:
        cut = error.msg.startswith("Unterminated") or error.pos >= len(text.rstrip()) - 1
        what = "The file is incomplete: it breaks off" if cut else "The file is damaged"
        raise NotReadable(f"{what} in line {error.lineno}. Ask for the file again.") from None
    except ValueError:
        raise NotReadable("It holds a number with thousands of digits.") from None


def printable(text: str) -> str:
    """Return the beginning of a text, with nothing in it that a terminal acts on."""
    return text[:40].encode("ascii", "backslashreplace").decode()


def quoted(text: str, most: int = 60) -> str:
    """Return the beginning of what a student wrote between quotes, on one line.

    >>> quoted("answer = 337 g")
    '“answer = 337 g”'
    """
    words = " ".join(visible(text[: 10 * most]).split())
    return f"“{words[:most].rstrip()} …”" if len(words) > most else f"“{words}”"


def take_token(value: Any, into: Reading) -> None:
    """Take a token into a reading, where it is one."""
    if value is None or value == "":
        return
    if not isinstance(value, str):
        raise NotReadable("Its token is not text.")
    try:
        into.token = read_token(value)
    except FaultsError as error:
        about = str(error).partition(": ")[2]
        raise NotReadable(f"Its token was changed. It {about}") from None


def take_answer(key: str, value: Any, into: Reading) -> None:
    """Keep one answer, or the reason why it can't be read."""
    if not isinstance(value, str):
        plain = isinstance(value, int | float)
        what = f"It is not text: the file says {quoted(str(value))}" if plain else "It is not text"
        into.problems[key] = f"{what}. Write a number and its unit."
        return
    if len(value) > LONGEST_ANSWER:
        into.problems[key] = (
            f"It is {len(value)} characters long and begins {quoted(value)}. "
            "Write one number and its unit."
        )
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
