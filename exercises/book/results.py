"""One row for each sheet: what came of it, as reports need it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import sqlalchemy as sa

from exercises.book.decisions import Decisions, standing_marks
from exercises.book.matters import COUNTS, SET_ASIDE, counted
from exercises.book.records import HandIn, Mark, Result
from exercises.book.schema import ISSUED, MARKED, SETTLED, handin_table, mark_table, sheet_table


class Results(Decisions):
    """A mark book as far as its results go."""

    def results(self, paper: str, student: str | None = None) -> list[Result]:
        """Return one row a sheet of the paper, by student and sitting.

        Parameters
        ----------
        paper : str
            The paper's name.
        student : str, optional
            Only this student's.
        """
        self.paper(paper)
        everyone = self.students()
        asked = (
            sa.select(mark_table)
            .join(handin_table, handin_table.c.id == mark_table.c.handin)
            .join(sheet_table, sheet_table.c.token == handin_table.c.token)
            .where(sheet_table.c.paper == paper)
            .order_by(mark_table.c.id)
        )
        with self._reading() as connection:
            marks: dict[int, list[Mark]] = {}
            for row in connection.execute(asked):
                marks.setdefault(row.handin, []).append(Mark(**row._mapping))
        decided = self.counted()
        by_token: dict[str, list[HandIn]] = {}
        for one in self.handins(paper=paper):
            by_token.setdefault(one.token or "", []).append(one)
        out = []
        for sheet in self.sheets(paper):
            if student is not None and sheet.student != student:
                continue
            came = by_token.get(sheet.token, [])
            counts = that_counts(came, decided)
            stand = standing_marks(marks.get(counts.id, [])) if counts else {}
            out.append(
                Result(
                    sheet,
                    everyone[sheet.student],
                    counts.state if counts else ISSUED,
                    counts,
                    stand,
                    [one for one in came if one is not counts],
                    any(one.needs_a_look for one in came),
                )
            )
        return out

    def counted(self) -> dict[int, str]:
        """Return which hand-ins were decided to count or set aside, the last one last."""
        with self._reading() as connection:
            return counted(connection)


def that_counts(came: Sequence[HandIn], decided: Mapping[int, str]) -> HandIn | None:
    """Return the hand-in of a sheet that counts, or None.

    Parameters
    ----------
    came : sequence of HandIn
        All of the sheet, in the order in which they came into the book.
    decided : mapping of int to str
        Which of them counts or was set aside, the last one said coming last.

    Returns
    -------
    HandIn or None
        The one last chosen, else the first that could be read, else the first.  What
        can't be read never has marks, and one that came later never takes the place
        of an earlier one by itself, whatever dates it carries.
    """
    by_id = {one.id: one for one in came}
    readable = {one.id: one for one in came if one.state in (MARKED, SETTLED)}
    chosen = [n for n, what in decided.items() if what == COUNTS and n in readable]
    if chosen:
        return readable[chosen[-1]]
    left = [n for n in by_id if decided.get(n) != SET_ASIDE]
    for number in sorted(left, key=lambda n: (n not in readable, n)):
        return by_id[number]
    return None
