"""What people and their files are called."""

from __future__ import annotations

import hashlib
import re
import unicodedata

from exercises.book.records import Student

# What stands behind a comma and is no first name.
_AFTER_A_NAME = frozenset(["jr", "sr", "jnr", "snr", "ii", "iii", "iv", "phd"])


def called(name: str) -> str:
    """Return a name as a person is spoken to; a list may give the surname first.

    >>> called("Gößwein, Jörg"), called("Ana Brook"), called("Brook, Jr.")
    ('Jörg Gößwein', 'Ana Brook', 'Brook, Jr.')
    """
    surname_first = _surname_first(name)
    return " ".join(reversed(surname_first)) if surname_first else name


def first_and_last(name: str) -> tuple[str, str]:
    """Return given and family name: told by a comma, else parted at the last blank.

    >>> first_and_last("Gößwein, Jörg"), first_and_last("Ana Brook"), first_and_last("Ana")
    (('Jörg', 'Gößwein'), ('Ana', 'Brook'), ('Ana', ''))
    """
    if surname_first := _surname_first(name):
        return surname_first[1], surname_first[0]
    given, _, family = name.rpartition(" ")
    return (given, family) if given else (family, "")


def _surname_first(name: str) -> tuple[str, str] | None:
    surname, _, first = (part.strip() for part in name.partition(","))
    title = first.casefold().replace(".", "")
    if not surname or not first or "," in first or title in _AFTER_A_NAME:
        return None
    return surname, first


def folder_of(student: Student) -> str:
    """Return the name of a student's folder: the id, and the name in plain letters.

    >>> folder_of(Student("s1", "Zoë Ærlig"))
    's1-zoe-aerlig'
    """
    person = student.id
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9_-]{0,39}", person):
        tail = hashlib.sha256(person.encode()).hexdigest()[:8]  # no two ids share it
        person = f"{plain_letters(person) or 'id'}-{tail}"
    return f"{person}-{plain_letters(student.name)}".rstrip("-")


def file_of(person: str, paper: str, token: str) -> str:
    """Return the name of a file about a sheet, without its ending.

    Person and paper are for people; by the token marking knows the sheet again.  What
    stands between them is no hyphen, so that no word is taken for a part of a token.

    >>> file_of("Zoë Ærlig", "Syrups & gelatin", "3467-9ACE")
    'zoe-aerlig_syrups-gelatin_3467-9ACE'
    """
    parts = (plain_letters(person), plain_letters(paper), token)
    return "_".join(part for part in parts if part)


_SPELT = str.maketrans(
    {
        "æ": "ae",
        "ø": "o",
        "ß": "ss",
        "đ": "d",
        "ð": "d",
        "ł": "l",
        "œ": "oe",
        "þ": "th",
    }
)


def plain_letters(text: str) -> str:
    """Return a text in small letters, digits and hyphens, as a file may be named."""
    text = unicodedata.normalize("NFKD", text.casefold().translate(_SPELT))
    text = "".join(sign for sign in text if not unicodedata.combining(sign))
    return re.sub(r"[^a-z0-9]+", "-", text).strip("-")[:40].rstrip("-")
