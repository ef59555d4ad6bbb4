"""A person's data in a mark book: shown to them, or erased."""

from __future__ import annotations

import re
import secrets
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

import sqlalchemy as sa

from calculators.faults import fault_error
from exercises.book.chain import (
    DECISION,
    HAND_IN,
    MATTER,
    OBSERVATION,
    OBSERVATION_SHEET,
    REHEARSAL,
    SHEET,
    seal,
    seal_again,
)
from exercises.book.connecting import storable
from exercises.book.observations import Observations
from exercises.book.records import APPEAL, ERASED, MACHINE, must_name
from exercises.book.schema import (
    decision_table,
    handin_table,
    mark_table,
    matter_table,
    observation_sheet_table,
    observation_table,
    rehearsal_table,
    sheet_table,
    student_table,
)
from exercises.book.times import now


class PersonalData(Observations):
    """A mark book as far as a person's data go."""

    def export(self, student: str) -> dict[str, Any]:
        """Return what the book holds about a person, as plain data.

        Of their sheets it has everything but the questions, whose answers may still be
        closed, and the seed, from which they could be worked out.
        """
        person = self.students().get(student)
        if person is None:
            raise fault_error("student", "is not in this book", student)
        sheets = [one for one in self.sheets() if one.student == student]
        handins = [one for s in sheets for one in self.handins(token=s.token)]
        closed = {"questions", "seed"}
        return {
            "student": {**vars(person), "about": dict(person.about)},
            "sheets": [{k: v for k, v in vars(one).items() if k not in closed} for one in sheets],
            "hand-ins": [
                {**asdict(one), "marks": [vars(m) for m in self.marks(one.id, history=True)]}
                for one in handins
            ],
            "decisions": [vars(d) for one in handins for d in self.decisions(one.id)],
            "observation sheets": [
                {**vars(one), "observations": [vars(o) for o in self.observations(one.token)]}
                for one in self.observation_sheets(student)
            ],
            "dry runs": [
                {**vars(one), "file": asdict(self.handin(one.handin))}
                for one in self.rehearsals(student)
            ],
            "record": self.head(),
        }

    def erase(self, student: str, by: str, reason: str, named_in: Sequence[int] = ()) -> str:
        """Erase a person, and keep their marks only as numbers.

        Name, id, arrangements, answers, file names, reasons and remarks go, and an
        observer's notes and the log, and the logs of dry runs; where the name stands in what was written about
        others, a gap takes its place.

        Parameters
        ----------
        student : str
            The id.
        by, reason : str
            Who erases, and on whose wish.
        named_in : sequence of int
            Hand-ins of others, or of nobody, whose file names hold the person's name.

        Returns
        -------
        str
            The id under which the numbers are kept.
        """
        must_name(by)
        new = f"erased-{secrets.token_hex(6)}"
        its = sa.select(sheet_table.c.token).where(sheet_table.c.student == new)
        mine = sa.select(handin_table.c.id).where(handin_table.c.token.in_(its))
        marks = sa.select(mark_table.c.id).where(mark_table.c.handin.in_(mine))
        about_me = sa.or_(decision_table.c.handin.in_(mine), decision_table.c.mark.in_(marks))
        appeals = sa.and_(matter_table.c.handin.in_(mine), matter_table.c.kind == APPEAL)
        no_path = ERASED + sa.cast(handin_table.c.id, sa.String)
        with self._writing() as connection:
            run = connection.execute
            person = run(
                sa.select(student_table.c.name).where(student_table.c.id == student)
            ).first()
            if not person:
                raise fault_error("student", "is not in this book", student)
            run(
                student_table.insert().values(
                    id=new,
                    name="",
                    extra_time="",
                    other_date="",
                    print="",
                    about={},
                    erased_at=now(),
                )
            )
            run(sheet_table.update().where(sheet_table.c.student == student).values(student=new))
            watched = observation_sheet_table
            run(watched.update().where(watched.c.student == student).values(student=new))
            ours = sa.select(watched.c.token).where(watched.c.student == new)
            seen = observation_table.c.token.in_(ours)
            run(observation_table.update().where(seen).values(notes={}, log=[]))
            done = rehearsal_table.c
            kept = rehearsal_table.update().where(done.student == student)
            run(kept.values(student=new, log={}, shown={}))
            brought = sa.select(done.handin).where(done.student == new)
            run(student_table.delete().where(student_table.c.id == student))
            run(
                handin_table.update()
                .where(handin_table.c.id.in_(brought))
                .values(path=no_path, reason="")
            )
            run(
                handin_table.update()
                .where(handin_table.c.token.in_(its))
                .values(path=no_path, answers={}, working={}, reason="", fingerprint=None)
            )
            run(mark_table.update().where(mark_table.c.handin.in_(mine)).values(reason=""))
            run(decision_table.update().where(about_me).values(reason="", told="", detail={}))
            run(matter_table.update().where(appeals).values(detail={}))
            run(handin_table.update().where(handin_table.c.id.in_(named_in)).values(path=no_path))
            touched = {
                SHEET: set(run(its).scalars()),
                HAND_IN: {*run(mine).scalars(), *run(brought).scalars(), *named_in},
                REHEARSAL: set(run(sa.select(done.id).where(done.student == new)).scalars()),
                MATTER: set(run(sa.select(matter_table.c.id).where(appeals)).scalars()),
                DECISION: set(run(sa.select(decision_table.c.id).where(about_me)).scalars()),
                OBSERVATION_SHEET: set(run(ours).scalars()),
                OBSERVATION: set(run(sa.select(observation_table.c.id).where(seen)).scalars()),
            }
            given = sa.select(mark_table.c.decision).where(mark_table.c.handin.in_(mine))
            touched[DECISION] |= set(run(given).scalars()) - {None}
            made = run(
                decision_table.insert()
                .values(
                    what="erased",
                    detail={"kept as": new},
                    by=storable(by),
                    reason=storable(reason),
                    at=now(),
                )
                .returning(decision_table.c.id)
            ).scalar_one()
            _leave_gaps(connection, student, person.name, new, touched)
            touched[DECISION].discard(made)  # it is sealed last, and once
            for kind, ids in touched.items():
                seal_again(connection, kind, sorted(ids))
            seal(connection, DECISION, [made])
        return new


def _leave_gaps(
    connection: sa.Connection,
    student: str,
    name: str,
    kept_as: str,
    touched: dict[str, set[Any]],
) -> None:
    """Take a person's name and id out of what was written about others; note where."""
    words = [re.escape(word) for word in (name, student) if len(word) > 2]
    if not words:
        return
    named = re.compile(rf"(?<!\w)(?:{'|'.join(words)})(?!\w)", re.IGNORECASE)
    for table, columns in (
        (decision_table, ("reason", "told", "detail")),
        (mark_table, ("reason",)),
        (handin_table, ("reason",)),
        (matter_table, ("detail",)),
        (observation_table, ("notes",)),
    ):
        asked = sa.select(table)
        if table is mark_table:
            asked = asked.where(table.c.by != MACHINE)
        for row in connection.execute(asked).all():
            old = {column: row._mapping[column] for column in columns}
            new = _without(old, named, kept_as)
            if new == old:
                continue
            connection.execute(table.update().where(table.c.id == row.id).values(**new))
            if table is not mark_table:
                touched[_KIND_OF[table.name]].add(row.id)
            elif row.decision is None:
                touched[HAND_IN].add(row.handin)
            else:
                touched[DECISION].add(row.decision)


_KIND_OF = {
    "decision": DECISION,
    "handin": HAND_IN,
    "matter": MATTER,
    "observation": OBSERVATION,
}


def _without(thing: Any, named: re.Pattern[str], gap: str) -> Any:
    """Return plain data with a gap for every name in its texts."""
    if isinstance(thing, str):
        return named.sub(gap, thing)
    if isinstance(thing, Mapping):
        return {key: _without(each, named, gap) for key, each in thing.items()}
    if isinstance(thing, list | tuple):
        return [_without(each, named, gap) for each in thing]
    return thing
