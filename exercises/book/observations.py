"""What was seen at the bench: observation sheets, and what each observer wrote down."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import sqlalchemy as sa

from calculators.faults import fault_error
from exercises.book.chain import OBSERVATION, OBSERVATION_SHEET, seal
from exercises.book.connecting import storable
from exercises.book.records import must_name
from exercises.book.results import Results
from exercises.book.schema import observation_sheet_table, observation_table, student_table
from exercises.book.times import now
from exercises.book.tokens import new_token, read_token

FROM_PAGE, KEYED_IN = "page", "keyed in"


@dataclass(frozen=True)
class ObservationSheet:
    """A sheet for one student and sitting, as it was issued; nothing in it changes.

    Parameters
    ----------
    token, student : str
        As for a worksheet.
    sitting : int
        1, and 2 for a resit of the practical.
    issued_by, issued_at : str
        Who, and when.
    content : dict
        Rows, bands, limits and rule, as plain data.
    """

    token: str
    student: str
    sitting: int
    issued_by: str
    issued_at: str
    content: dict[str, Any]


@dataclass(frozen=True)
class Observation:
    """What one observer wrote of one student; it is added, and never overwritten.

    Parameters
    ----------
    token : str
        The sheet.
    observer, second : str
        Who watched, and who signs as the second; the second may be empty.
    form : str
        ``"page"`` or ``"keyed in"``.
    saved_at : str
        When the observer saved it, ISO 8601, or when it was keyed in.
    digest : str
        SHA-256 of what was saved, by which it is known when it comes again.
    answers : mapping
        By row: the answer, and when it was given, where that is known.
    numbers : mapping
        Cake, masses and temperature as written down.
    judgement : str
        Of the whole; empty for none.
    notes : mapping
        By row the note and the photograph's name; under ``""`` of the whole.
    log : sequence
        Time and temperature, as written down.
    recorded_by, recorded_at : str
        Who took it into the book, and when.
    id : int
        Given by the book.
    """

    token: str
    observer: str
    second: str
    form: str
    saved_at: str
    digest: str
    answers: Mapping[str, Sequence[str]]
    numbers: Mapping[str, Any] = field(default_factory=dict)
    judgement: str = ""
    notes: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    log: Sequence[Sequence[Any]] = ()
    recorded_by: str = ""
    recorded_at: str = ""
    id: int = 0


class Observations(Results):
    """A mark book as far as the bench goes."""

    def issue_observation_sheets(
        self, students: Iterable[str], content: Mapping[str, Any], by: str, sitting: int = 1
    ) -> list[ObservationSheet]:
        """Give each student a sheet of this sitting; who has one keeps it as it is.

        Parameters
        ----------
        students : iterable of str
            Ids of enrolled students.
        content : mapping
            Rows, bands, limits and rule, as plain data.
        by : str
            Who issues them.
        sitting : int
            2 for a resit.
        """
        must_name(by)
        wanted, at, c = list(students), now(), observation_sheet_table.c
        with self._writing() as connection:
            known = set(connection.execute(sa.select(student_table.c.id)).scalars())
            for one in wanted:
                if one not in known:
                    raise fault_error(
                        "observation sheet",
                        "is for nobody in the book",
                        one,
                        "",
                        "Enrol the student first",
                    )
            has = set(
                connection.execute(sa.select(c.student).where(c.sitting == sitting)).scalars()
            )
            new = [
                {
                    "token": new_token(),
                    "student": one,
                    "sitting": sitting,
                    "issued_by": storable(by),
                    "issued_at": at,
                    "content": dict(content),
                }
                for one in dict.fromkeys(wanted)
                if one not in has
            ]
            if new:
                connection.execute(observation_sheet_table.insert(), new)
                seal(connection, OBSERVATION_SHEET, [row["token"] for row in new])
        return [
            s for s in self.observation_sheets() if s.sitting == sitting and s.student in wanted
        ]

    def observation_sheets(self, student: str | None = None) -> list[ObservationSheet]:
        """Return the observation sheets of everybody, or of one student, by sitting."""
        c = observation_sheet_table.c
        asked = sa.select(observation_sheet_table).order_by(c.student, c.sitting)
        if student is not None:
            asked = asked.where(c.student == student)
        with self._reading() as connection:
            return [ObservationSheet(**row._mapping) for row in connection.execute(asked)]

    def observation_sheet(self, token: str) -> ObservationSheet:
        """Return the observation sheet of a token as a person typed it."""
        token = read_token(token)
        asked = sa.select(observation_sheet_table).where(observation_sheet_table.c.token == token)
        with self._reading() as connection:
            row = connection.execute(asked).one_or_none()
        if row is None:
            raise fault_error(
                "token",
                "belongs to no observation sheet of this book",
                token,
                "",
                "Look whether it is the token of a worksheet, or of another mark book",
            )
        return ObservationSheet(**row._mapping)

    def record_observations(self, entries: Iterable[Observation], by: str) -> list[Observation]:
        """Add what observers saw; what the book has already is left as it is.

        Returns
        -------
        list of Observation
            Those that were new, with their numbers.
        """
        must_name(by)
        c, at, ids = observation_table.c, now(), []
        with self._writing() as connection:
            rows = connection.execute(sa.select(c.token, c.digest))
            held = {(token, digest) for token, digest in rows}
            for one in entries:
                must_name(one.observer)
                if (one.token, one.digest) in held:
                    continue
                held.add((one.token, one.digest))
                row = {**vars(one), "recorded_by": storable(by), "recorded_at": at}
                del row["id"]
                for name in ("observer", "second", "judgement"):
                    row[name] = storable(row[name])
                ids.append(
                    connection.execute(
                        observation_table.insert().values(row).returning(c.id)
                    ).scalar_one()
                )
            seal(connection, OBSERVATION, ids)
        new = set(ids)
        return [one for one in self.observations() if one.id in new]

    def observations(self, token: str | None = None) -> list[Observation]:
        """Return what was seen, of every sheet or of one, oldest first."""
        asked = sa.select(observation_table).order_by(observation_table.c.id)
        if token is not None:
            asked = asked.where(observation_table.c.token == token)
        with self._reading() as connection:
            return [Observation(**row._mapping) for row in connection.execute(asked)]
