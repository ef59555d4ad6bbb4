"""Marks that stand, and the decisions that gave them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import sqlalchemy as sa

from calculators.faults import fault_error
from exercises.book.connecting import storable
from exercises.book.hand_ins import HandIns
from exercises.book.records import Decision, Mark, must_name
from exercises.book.schema import SETTLED, decision_table, handin_table, mark_table
from exercises.book.times import now
from exercises.marking.rules import TO_SETTLE


class Decisions(HandIns):
    """A mark book as far as marks and decisions go."""

    def marks(self, handin: int, *, history: bool = False) -> list[Mark]:
        """Return the marks that stand for a hand-in; with ``history``, all ever given."""
        with self._reading() as connection:
            rows = [
                Mark(**row._mapping)
                for row in connection.execute(
                    sa.select(mark_table)
                    .where(mark_table.c.handin == handin)
                    .order_by(mark_table.c.id)
                )
            ]
        return rows if history else list(standing_marks(rows).values())

    def decide(
        self,
        what: str,
        *,
        by: str,
        reason: str,
        handin: int | None = None,
        mark: int | None = None,
        detail: Mapping[str, Any] | None = None,
    ) -> Decision:
        """Record an assessor's decision, and do what it says.

        Parameters
        ----------
        what : str
            ``"marks"``: with ``mark`` and ``detail={"awarded": 2, "reason": "..."}``
            (or ``"value"`` and ``"unit"``) a new mark is added that takes the place of
            the old one, which stays in the history.  ``"settled"``: the hand-in needs
            no further look.  ``"counts"``: of several hand-ins of a sheet this one
            counts.  ``"set aside"``: this one never counts.  Any other word is kept
            as a note, such as a second mark given blind.
        by, reason : str
            Who, and why; neither may be empty.
        handin, mark : int
            What it is about: one of the two.
        detail : mapping, optional
            What more there is to say.
        """
        must_name(by)
        if not reason.strip():
            raise fault_error("reason", "is empty", "", "", "Say in a few words why")
        if (handin is None) == (mark is None):
            raise fault_error(
                "decision",
                "is about nothing, or about two things",
                "",
                "",
                "Give a hand-in or a mark",
            )
        extra, at = dict(detail or {}), now()
        with self._writing() as connection:
            if mark is not None:
                row = connection.execute(
                    sa.select(mark_table).where(mark_table.c.id == mark)
                ).one_or_none()
                if row is None:
                    raise fault_error("mark", "is not in this book", mark)
                if what == "marks":
                    self._overrule(connection, Mark(**row._mapping), by, extra, at)
                    self._looked_at(connection, [(row.handin, row.part)])
            else:
                held = connection.execute(
                    sa.select(handin_table.c.state).where(handin_table.c.id == handin)
                ).one_or_none()
                if held is None:
                    raise fault_error("hand-in", "is not in this book", handin or "")
                if what in ("settled", "counts", "set aside"):
                    connection.execute(
                        handin_table.update()
                        .where(handin_table.c.id == handin)
                        .values(state=SETTLED)
                    )
            done = connection.execute(
                decision_table.insert().values(
                    handin=handin,
                    mark=mark,
                    what=what,
                    detail=extra,
                    by=storable(by),
                    reason=storable(reason),
                    at=at,
                )
            )
            key = done.inserted_primary_key
        return Decision(int(key[0]) if key else 0, handin, mark, what, extra, by, reason, at)

    def append(
        self,
        *,
        by: str,
        reason: str,
        decisions: Iterable[Mapping[str, Any]] = (),
        marks: Iterable[Mark] = (),
    ) -> int:
        """Append many decisions and marks in one transaction: all of them, or none.

        Parameters
        ----------
        by, reason : str
            Who, and why; neither may be empty.
        decisions : iterable of mapping
            ``what``, ``detail``, and ``handin`` or ``mark`` where it is about one;
            one about neither is about the whole book.  A decision's own ``reason``
            takes the place of the common one.
        marks : iterable of Mark
            Each takes the place of the mark that it ``supersedes``, which must still
            stand; the old one stays in the history.

        Returns
        -------
        int
            How many rows were added.
        """
        must_name(by)
        if not reason.strip():
            raise fault_error("reason", "is empty", "", "", "Say in a few words why")
        at, who, why = now(), storable(by), storable(reason)
        noted = [
            {
                "handin": one.get("handin"),
                "mark": one.get("mark"),
                "what": one["what"],
                "detail": dict(one.get("detail") or {}),
                "by": who,
                "reason": storable(one.get("reason") or "") or why,
                "at": at,
            }
            for one in decisions
        ]
        rows = [{**vars(m), "reason": storable(m.reason), "by": who, "at": at} for m in marks]
        for row in rows:
            del row["id"]
        with self._writing() as connection:
            gone = {
                old
                for old in connection.execute(
                    sa.select(mark_table.c.supersedes).where(mark_table.c.supersedes.is_not(None))
                ).scalars()
            }
            moved = [row["part"] for row in rows if row["supersedes"] in gone]
            if moved:
                raise fault_error(
                    "marks",
                    "no longer stand",
                    ", ".join(dict.fromkeys(moved)),
                    "",
                    "Somebody changed them meanwhile: look at the change again",
                )
            if rows:
                connection.execute(mark_table.insert(), rows)
                self._looked_at(
                    connection,
                    [
                        (row["handin"], row["part"])
                        for row in rows
                        if row["verdict"] not in TO_SETTLE
                    ],
                )
            if noted:
                connection.execute(decision_table.insert(), noted)
        return len(rows) + len(noted)

    @staticmethod
    def _looked_at(connection: sa.Connection, places: Iterable[tuple[int, str]]) -> None:
        """Take parts that have their marks now off what their hand-ins have to settle."""
        done: dict[int, set[str]] = {}
        for handin, part in places:
            done.setdefault(handin, set()).add(part)
        for handin, parts in done.items():
            this = handin_table.c.id == handin
            flags = dict(
                connection.execute(sa.select(handin_table.c.flags).where(this)).scalar_one()
            )
            waited = flags.pop("to settle", [])
            left = [part for part in waited if part not in parts]
            if left != waited:
                flags |= {"to settle": left} if left else {}
                connection.execute(handin_table.update().where(this).values(flags=flags))

    @staticmethod
    def _overrule(
        connection: sa.Connection,
        old: Mark,
        by: str,
        detail: Mapping[str, Any],
        at: str,
    ) -> None:
        later = connection.execute(
            sa.select(mark_table.c.id).where(mark_table.c.supersedes == old.id)
        ).first()
        if later:
            raise fault_error(
                "mark", "no longer stands", old.id, "", "Overrule the one that stands"
            )
        value = float(detail.get("value", detail.get("awarded", old.value)))
        unit_mark = float(detail.get("unit", 0.0 if "awarded" in detail else old.unit))
        awarded = value + unit_mark
        if not 0 <= awarded <= old.total:
            raise fault_error(
                "marks",
                "are out of range",
                awarded,
                f"From 0 to {old.total:g}",
                "Give marks within the range",
            )
        connection.execute(
            mark_table.insert().values(
                handin=old.handin,
                question=old.question,
                part=old.part,
                value=value,
                unit=unit_mark,
                awarded=awarded,
                total=old.total,
                verdict="assessor's mark",
                reason=storable(str(detail.get("reason", old.reason))),
                road="",
                by=storable(by),
                at=at,
                supersedes=old.id,
            )
        )

    def decisions(self, handin: int | None = None) -> list[Decision]:
        """Return the decisions, oldest first; those about one hand-in and its marks."""
        asked = sa.select(decision_table).order_by(decision_table.c.id)
        if handin is not None:
            its = sa.select(mark_table.c.id).where(mark_table.c.handin == handin)
            asked = asked.where(
                sa.or_(decision_table.c.handin == handin, decision_table.c.mark.in_(its))
            )
        with self._reading() as connection:
            return [Decision(**row._mapping) for row in connection.execute(asked)]


def standing_marks(rows: Iterable[Mark]) -> dict[str, Mark]:
    """Return the marks that no later mark takes the place of, by answer key."""
    return {mark.part: mark for mark in sorted(rows, key=lambda mark: mark.id)}
