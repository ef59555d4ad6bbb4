"""The students of a mark book: enrolled, and found again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import sqlalchemy as sa

from exercises.book.connecting import BookFile, storable
from exercises.book.records import Student
from exercises.book.schema import student_table


class People(BookFile):
    """A mark book as far as its students go."""

    def enrol(self, students: Iterable[Student]) -> tuple[int, int]:
        """Add students, or bring their names and arrangements up to date.

        What else one list says of a student is kept where another says nothing.

        Returns
        -------
        tuple of int
            How many are new, and how many were changed.
        """
        new = changed = 0
        with self._writing() as connection:
            for one in students:
                values = {
                    "name": storable(one.name),
                    "extra_time": one.extra_time,
                    "other_date": one.other_date,
                    "print": one.print,
                    "about": dict(one.about),
                }
                held = connection.execute(
                    sa.select(student_table).where(student_table.c.id == one.id)
                ).one_or_none()
                if held is not None and not one.about:
                    values["about"] = held.about
                if held is None:
                    connection.execute(student_table.insert().values(id=storable(one.id), **values))
                    new += 1
                elif held.erased_at is None and any(
                    getattr(held, name) != value for name, value in values.items()
                ):
                    connection.execute(
                        student_table.update().where(student_table.c.id == one.id).values(values)
                    )
                    changed += 1
        return new, changed

    def names(self) -> Iterator[tuple[str, str]]:
        """Yield id and name of every student, a few at a time."""
        c = student_table.c
        with self._reading() as connection:
            rows = connection.execution_options(yield_per=500).execute(sa.select(c.id, c.name))
            for row in rows:
                yield row.id, row.name

    def students(self, ids: Iterable[str] | None = None) -> dict[str, Student]:
        """Return every student (or those with these ids), by id."""
        asked = sa.select(student_table).order_by(student_table.c.id)
        if ids is not None:
            asked = asked.where(student_table.c.id.in_(list(ids)))
        with self._reading() as connection:
            rows = connection.execute(asked)
            return {row.id: Student(**row._mapping) for row in rows}
