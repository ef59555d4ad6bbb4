"""One row for each sheet: what came of it, as reports need it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import sqlalchemy as sa

from exercises.book.decisions import Decisions, standing_marks
from exercises.book.records import HandIn, Mark, Result
from exercises.book.schema import (
    ISSUED,
    MARKED,
    SETTLED,
    decision_table,
    handin_table,
    mark_table,
    sheet_table,
)


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
                marks.setdefault(row.handin, []).append(Mark(*row))
            decided: dict[int, str] = {
                row.handin: row.what
                for row in connection.execute(
                    sa.select(decision_table.c.handin, decision_table.c.what)
                    .where(decision_table.c.what.in_(("counts", "set aside")))
                    .order_by(decision_table.c.id)
                )
            }
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


def that_counts(came: Sequence[HandIn], decided: Mapping[int, str]) -> HandIn | None:
    """Return the hand-in of a sheet that counts, or None."""
    chosen = [one for one in came if decided.get(one.id) == "counts"]
    if chosen:
        return chosen[-1]
    left = [one for one in came if decided.get(one.id) != "set aside"]
    marked = [one for one in left if one.state in (MARKED, SETTLED)]
    in_time = sorted(marked, key=lambda one: (one.received_at, one.id))
    return in_time[0] if in_time else (left[0] if left else None)
