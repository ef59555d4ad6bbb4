"""Dry runs: those that were set for a class, and the logs of them that came in, never marked."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from exercises.book.chain import DRY_RUN, REHEARSAL, seal
from exercises.book.issuing import Papers
from exercises.book.records import HandIn
from exercises.book.schema import dry_run_table, rehearsal_table
from exercises.book.times import now


@dataclass(frozen=True)
class SetRun:
    """A run as it was set for a class; one that is set anew is another row.

    Parameters
    ----------
    id : int
        Given by the book.
    name, digest : str
        As the scheme names it, and what its content is recognised by.
    content : mapping
        *title*, *kitchen*, *way*, *seed*, *surprises*, *hand in by*, and what its rows ask.
    set_at : str
        When.
    """

    id: int
    name: str
    digest: str
    content: dict[str, Any]
    set_at: str


@dataclass(frozen=True)
class Rehearsal:
    """The log of a run as a student handed it in, and what it shows; it has no marks.

    Parameters
    ----------
    id, handin, dry_run : int
        Its own number, that of the file that brought it, and that of the run that was set.
    student : str
        The id.
    log : mapping
        *actions* and how it *ends*.
    shown : mapping
        As :func:`exercises.rehearsal.watched.comment` returns it.
    recorded_at : str
        When.
    """

    id: int
    handin: int
    dry_run: int
    student: str
    log: dict[str, Any]
    shown: dict[str, Any]
    recorded_at: str


class Rehearsals(Papers):
    """A mark book as far as dry runs go."""

    def set_dry_runs(self, contents: Iterable[Mapping[str, Any]]) -> list[str]:
        """Add runs as a scheme sets them; what the book has already is left as it is.

        Parameters
        ----------
        contents : iterable of mapping
            Each with its *name*.

        Returns
        -------
        list of str
            The names of those that are new, or were changed.
        """
        wanted = [(str(one["name"]), _digest(one), dict(one)) for one in contents]
        held = {(one.name, one.digest) for one in self.dry_runs()} if wanted else set()
        new = [
            {"name": name, "digest": digest, "content": content, "set_at": now()}
            for name, digest, content in wanted
            if (name, digest) not in held
        ]
        if new:
            with self._writing() as connection:
                made = dry_run_table.insert().returning(dry_run_table.c.id)
                ids = [connection.execute(made, row).scalar_one() for row in new]
                seal(connection, DRY_RUN, ids)
        return [str(row["name"]) for row in new]

    def dry_runs(self) -> list[SetRun]:
        """Return the runs that were set, oldest first."""
        asked = sa.select(dry_run_table).order_by(dry_run_table.c.id)
        with self._reading() as connection:
            return [SetRun(**row._mapping) for row in connection.execute(asked)]

    def rehearsals(self, student: str | None = None) -> list[Rehearsal]:
        """Return the logs of everybody, or of one student, oldest first."""
        asked = sa.select(rehearsal_table).order_by(rehearsal_table.c.id)
        if student is not None:
            asked = asked.where(rehearsal_table.c.student == student)
        with self._reading() as connection:
            return [Rehearsal(**row._mapping) for row in connection.execute(asked)]

    @staticmethod
    def _keep_rehearsals(connection: sa.Connection, fresh: Sequence[HandIn], at: str) -> None:
        """Record the logs that new hand-ins brought, in their transaction."""
        made = rehearsal_table.insert().returning(rehearsal_table.c.id)
        ids = [
            connection.execute(
                made, {**one.rehearsal, "handin": one.id, "recorded_at": at}
            ).scalar_one()
            for one in fresh
            if one.rehearsal is not None
        ]
        seal(connection, REHEARSAL, ids)


def _digest(content: Mapping[str, Any]) -> str:
    text = json.dumps(content, sort_keys=True, ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()[:16]
