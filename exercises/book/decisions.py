"""Marks that stand, and the decisions that gave them: added, never overwritten."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import sqlalchemy as sa

from calculators.faults import fault_error
from exercises.book.chain import Checked, check, head, seal
from exercises.book.connecting import storable
from exercises.book.hand_ins import HandIns
from exercises.book.matters import COUNTS, SET_ASIDE, matters_of, standing_decisions
from exercises.book.records import (
    AGAIN,
    APPEAL,
    MACHINE,
    UNREAD_PART,
    WORKING,
    Decision,
    Mark,
    Matter,
    must_name,
    same_person,
)
from exercises.book.schema import (
    decision_table,
    handin_table,
    mark_table,
    matter_table,
)
from exercises.book.times import now
from exercises.questions.verdicts import TO_SETTLE

ACCEPTED, MARKS, REOPENED = "accepted", "marks", "reopened"
ASSESSORS_MARK = "assessor's mark"  # the verdict of a mark that a person gave
_WAYS = (ACCEPTED, MARKS, COUNTS, SET_ASIDE)


@dataclass(frozen=True)
class Closing:
    """How one matter is closed.

    Parameters
    ----------
    matter : int
        Its number.
    what : str
        ``"accepted"``: nothing changes.  ``"marks"``: the marks below are given.
        ``"counts"``: of several hand-ins of a sheet this one counts.  ``"set aside"``:
        this one never counts.
    marks : sequence of Mark
        New marks; each names the standing one that it supersedes.
    detail : mapping
        What more there is to keep, such as how an answer was read.
    """

    matter: int
    what: str = ACCEPTED
    marks: Sequence[Mark] = ()
    detail: Mapping[str, Any] = field(default_factory=dict)


class Decisions(HandIns):
    """A mark book as far as marks and decisions go."""

    def marks(self, handin: int, *, history: bool = False) -> list[Mark]:
        """Return the marks that stand for a hand-in; with ``history``, all ever given."""
        with self._reading() as connection:
            rows = _marks_of(connection, mark_table.c.handin == handin)
        return rows if history else list(standing_marks(rows).values())

    def marks_of(self, handins: Sequence[int]) -> dict[int, list[Mark]]:
        """Return the marks that stand, by hand-in, for some hundreds of hand-ins at most."""
        with self._reading() as connection:
            rows = _marks_of(connection, mark_table.c.handin.in_(handins))
        history: dict[int, list[Mark]] = {}
        for mark in rows:
            history.setdefault(mark.handin, []).append(mark)
        return {one: list(standing_marks(its).values()) for one, its in history.items()}

    # -- closing matters, and taking a decision back -------------------------------------

    def close_matters(
        self, closings: Sequence[Closing], *, by: str, reason: str, told: str = ""
    ) -> list[Decision]:
        """Close matters, each by a decision of its own: all of them, or none.

        Parameters
        ----------
        closings : sequence of Closing
            A matter each.
        by : str
            Who decides.
        reason : str
            The assessor's own note.
        told : str
            What the student reads.
        """
        at = _named_and_reasoned(by, reason)
        made = []
        with self._writing() as connection:
            wanted = [one.matter for one in closings]
            held = {one.id: one for one in matters_of(connection, [matter_table.c.id.in_(wanted)])}
            for one in closings:
                matter = held.get(one.matter)
                if matter is None:
                    raise fault_error("matter", "is not in this book", one.matter)
                _may_close(connection, matter, one, by)
                made.append(
                    _give(
                        connection,
                        {
                            "handin": matter.handin,
                            "matter": matter.id,
                            "what": one.what,
                            "detail": dict(one.detail),
                            "by": by,
                            "reason": reason,
                            "told": told,
                            "at": at,
                        },
                        one.marks,
                    )
                )
            seal(connection, "decision", [one.id for one in made])
        return made

    def undo(self, decision: int, *, by: str, reason: str) -> Decision:
        """Take a decision back: the marks before it stand again, and its matter is open.

        A mark that was changed again since stays as it was changed.
        """
        at = _named_and_reasoned(by, reason)
        with self._writing() as connection:
            old = connection.execute(
                sa.select(decision_table).where(decision_table.c.id == decision)
            ).one_or_none()
            if old is None:
                raise fault_error("decision", "is not in this book", decision)
            c = decision_table.c
            undone = set(
                connection.execute(sa.select(c.undoes).where(c.undoes.is_not(None))).scalars()
            )
            if decision in undone or old.undoes is not None:
                raise fault_error("decision", "was taken back already", decision)
            back = _taken_back(connection, decision, undone)
            made = _give(
                connection,
                {
                    "handin": old.handin,
                    "mark": old.mark,
                    "matter": old.matter,
                    "what": REOPENED,
                    "detail": {"was": old.what},
                    "by": by,
                    "reason": reason,
                    "told": "",
                    "at": at,
                    "undoes": decision,
                },
                back,
                keep_names=True,
            )
            seal(connection, "decision", [made.id])
        return made

    def reopen(self, matter: int, *, by: str, reason: str) -> Decision:
        """Open a matter again: what its decision changed is as before."""
        held = self.matter(matter)
        if held.closed_by is None:
            raise fault_error("matter", "is open", matter, "", "Decide it: glossbook settle")
        return self.undo(held.closed_by, by=by, reason=reason)

    # -- decisions about one mark or one hand-in, and notes -----------------------------------

    def decide(
        self,
        what: str,
        *,
        by: str,
        reason: str,
        handin: int | None = None,
        mark: int | None = None,
        detail: Mapping[str, Any] | None = None,
        told: str = "",
    ) -> Decision:
        """Record a decision about one mark or one hand-in, or a note.

        Parameters
        ----------
        what : str
            ``"marks"``: with ``mark`` and ``detail={"awarded": 2, "reason": "..."}``
            (or ``"value"`` and ``"unit"``) a new mark takes the place of the old one;
            ``reason`` there is what the student reads.  ``"counts"``: of several
            hand-ins of a sheet this one counts.  ``"set aside"``: this one never
            counts.  Any other word is kept as a note, such as a second mark.
        by : str
            Who decides.
        reason : str
            Their own note; not empty.
        handin, mark : int
            What it is about: one of the two.
        detail : mapping, optional
            What more there is to say.
        told : str
            What the student reads, where the detail of a mark does not say it.

        Notes
        -----
        It closes one open matter at most: the one about this part, or about which
        hand-in counts.
        """
        at = _named_and_reasoned(by, reason)
        if (handin is None) == (mark is None):
            raise fault_error(
                "decision",
                "is about nothing, or about two things",
                "",
                "",
                "Give a hand-in or a mark",
            )
        if what == "settled":
            raise fault_error(
                "decision",
                "would close every matter of a hand-in at once",
                what,
                "",
                "Decide each matter: glossbook settle",
            )
        extra = dict(detail or {})
        row: dict[str, Any] = {
            "handin": handin,
            "mark": mark,
            "what": what,
            "detail": extra,
            "by": by,
            "reason": reason,
            "told": told or (str(extra.get("reason", "")) if mark is not None else ""),
            "at": at,
        }
        marks: list[Mark] = []
        with self._writing() as connection:
            if mark is not None:
                found = _marks_of(connection, mark_table.c.id == mark)
                if not found:
                    raise fault_error("mark", "is not in this book", mark)
                if what == MARKS:
                    marks = [_overruled(found[0], extra)]
                    row["matter"] = _open_matter(
                        connection, found[0].handin, (UNREAD_PART, WORKING), found[0].part
                    )
            else:
                assert handin is not None
                exists = sa.select(handin_table.c.id).where(handin_table.c.id == handin)
                if connection.execute(exists).one_or_none() is None:
                    raise fault_error("hand-in", "is not in this book", handin)
                if what in (COUNTS, SET_ASIDE):
                    if what == COUNTS:
                        _has_marks(connection, handin)
                    row["matter"] = _which_counts(connection, handin)
            made = _give(connection, row, marks)
            seal(connection, "decision", [made.id])
        return made

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
            Given by the first of the decisions.  Each takes the place of the mark that
            it ``supersedes``, which must still stand; the old one stays in the history.
            An open matter about a part that has its mark now is closed by it.

        Returns
        -------
        int
            How many rows were added.
        """
        at = _named_and_reasoned(by, reason)
        new, marks = [], list(marks)
        rows = [
            {
                "handin": one.get("handin"),
                "mark": one.get("mark"),
                "what": one["what"],
                "detail": dict(one.get("detail") or {}),
                "by": by,
                "reason": one.get("reason") or reason,
                "told": "",
                "at": at,
            }
            for one in decisions
        ]
        if marks and not rows:
            raise fault_error("marks", "come without a decision", "", "", "Say what was decided")
        with self._writing() as connection:
            for place, row in enumerate(rows):
                new.append(_give(connection, row, marks if place == 0 else ()))
            for mark in marks:
                if mark.verdict in TO_SETTLE:
                    continue
                matter = _open_matter(connection, mark.handin, (UNREAD_PART,), mark.part)
                if matter is not None:
                    row = rows[0] | {
                        "handin": mark.handin,
                        "matter": matter,
                        "what": ACCEPTED,
                        "detail": {"as decided": new[0].id},
                    }
                    new.append(_give(connection, row))
            seal(connection, "decision", [one.id for one in new])
        return len(rows) + len(marks)

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

    def head(self) -> str:
        """Return the head of the chain of digests; exports carry it."""
        with self._reading() as connection:
            return head(connection)

    def verify(self, asked: str = "") -> Checked:
        """Check the chain of digests; see :func:`exercises.book.chain.check`."""
        with self._reading() as connection:
            return check(connection, asked)

    def standing_decisions(self, handin: int | None = None) -> list[Decision]:
        """Return the decisions (about a hand-in) that nobody took back, oldest first."""
        asked = standing_decisions(*decision_table.c)
        if handin is not None:
            asked = asked.where(decision_table.c.handin == handin)
        with self._reading() as connection:
            rows = connection.execute(asked)
            return [Decision(**row._mapping) for row in rows]


def standing_marks(rows: Iterable[Mark]) -> dict[str, Mark]:
    """Return the marks that no later mark takes the place of, by answer key."""
    return {mark.part: mark for mark in sorted(rows, key=lambda mark: mark.id)}


# --- inside a transaction -----------------------------------------------------------------


def _named_and_reasoned(by: str, reason: str) -> str:
    """Refuse a decision without name or reason; return the time."""
    must_name(by)
    if not reason.strip():
        raise fault_error("reason", "is empty", "", "", "Say in a few words why")
    return now()


def _marks_of(connection: sa.Connection, where: sa.ColumnElement[bool]) -> list[Mark]:
    rows = connection.execute(sa.select(mark_table).where(where).order_by(mark_table.c.id))
    return [Mark(**row._mapping) for row in rows]


def _give(
    connection: sa.Connection,
    row: Mapping[str, Any],
    marks: Sequence[Mark] = (),
    *,
    keep_names: bool = False,
) -> Decision:
    """Add a decision and the marks that it gives; each must supersede one that stands."""
    texts = {name: storable(row[name]) for name in ("by", "reason", "told")}
    made = connection.execute(
        decision_table.insert().values({**row, **texts}).returning(*decision_table.c)
    ).one()
    old = [one.supersedes for one in marks]
    later = sa.select(mark_table.c.part).where(mark_table.c.supersedes.in_(old))
    moved = list(connection.execute(later).scalars()) if old else []
    if moved:
        raise fault_error(
            "marks" if len(marks) > 1 else "mark",
            "no longer stand" if len(marks) > 1 else "no longer stands",
            ", ".join(dict.fromkeys(moved)),
            "",
            "Somebody changed them meanwhile: look at the change again",
        )
    if marks:
        new = []
        for one in marks:
            values = {**vars(one), "reason": storable(one.reason), "decision": made.id}
            if not keep_names:
                values |= {"by": texts["by"], "at": row["at"]}
            del values["id"]
            new.append(values)
        connection.execute(mark_table.insert(), new)
    return Decision(**made._mapping)


def _taken_back(connection: sa.Connection, decision: int, undone: Iterable[int]) -> list[Mark]:
    """Return the marks that stood before a decision, for the parts where it still holds.

    Marks that only brought an earlier one back are looked through, and so are those of
    decisions that were taken back.
    """
    c = decision_table.c
    undoing = connection.execute(sa.select(c.id).where(c.undoes.is_not(None))).scalars()
    looked_through = {*undone, *undoing}
    its = sa.select(mark_table.c.handin).where(mark_table.c.decision == decision)
    back = []
    for handin in set(connection.execute(its).scalars()):
        history = {one.id: one for one in _marks_of(connection, mark_table.c.handin == handin)}

        def origin(mark: Mark, history: Mapping[int, Mark] = history) -> Mark:
            while mark.decision in looked_through and mark.supersedes is not None:
                mark = history[mark.supersedes]
            return mark

        for standing in standing_marks(history.values()).values():
            given = origin(standing)
            if given.decision == decision and given.supersedes is not None:
                before = origin(history[given.supersedes])
                back.append(replace(before, supersedes=standing.id))
    return back


def _may_close(connection: sa.Connection, matter: Matter, one: Closing, by: str) -> None:
    """Refuse a closing that would not hold."""
    where = f"matter {matter.id}"
    if one.what not in _WAYS:
        raise fault_error(where, "can't be decided so", one.what, f"One of: {', '.join(_WAYS)}")
    if matter.closed_by is not None:
        raise fault_error(where, "is closed", f"decision {matter.closed_by}", "", "Reopen it first")
    history = _marks_of(connection, mark_table.c.handin == matter.handin)
    standing = standing_marks(history)
    for mark in one.marks:
        in_range(mark.awarded, mark.total)
        if mark.handin != matter.handin or mark.part not in standing:
            raise fault_error(where, "is about another hand-in than this mark", mark.part)
    if one.what == COUNTS:
        _has_marks(connection, matter.handin)
    if matter.kind == UNREAD_PART:
        after = {**standing, **{mark.part: mark for mark in one.marks}}
        mark_now = after.get(matter.part)
        if mark_now is None or mark_now.verdict in TO_SETTLE:
            raise fault_error(
                f"{where}, part {matter.part}",
                "has no mark yet",
                "",
                "An answer that nobody read can't be closed without a mark",
                "Give its marks, or say how the answer reads",
            )
    if matter.kind == APPEAL:
        ours = sa.select(decision_table.c.id).where(decision_table.c.matter == matter.id)
        mine = set(connection.execute(ours).scalars())
        first = {
            mark.by
            for mark in history
            if mark.by != MACHINE and mark.decision not in mine and matter.part in ("", mark.part)
        }
        if any(same_person(by, name) for name in first):
            raise fault_error(
                where,
                "is an appeal against a mark that the same person gave",
                by,
                "",
                "Have a second reader decide it",
            )


def in_range(awarded: float, total: float) -> None:
    """Refuse marks below zero, above the total, or finer than half a mark."""
    if not 0 <= awarded <= total or 2 * awarded != round(2 * awarded):
        raise fault_error(
            "marks",
            "are out of range",
            awarded,
            f"From 0 to {total:g}, whole or half",
            "Give marks within the range",
        )


def _overruled(old: Mark, detail: Mapping[str, Any]) -> Mark:
    value = float(detail.get("value", detail.get("awarded", old.value)))
    unit_mark = float(detail.get("unit", 0.0 if "awarded" in detail else old.unit))
    in_range(value + unit_mark, old.total)
    return replace(
        old,
        value=value,
        unit=unit_mark,
        awarded=value + unit_mark,
        verdict=ASSESSORS_MARK,
        reason=str(detail.get("reason", "")),
        road="",
        supersedes=old.id,
    )


def _has_marks(connection: sa.Connection, handin: int) -> None:
    held = sa.select(mark_table.c.id).where(mark_table.c.handin == handin)
    if connection.execute(held.limit(1)).one_or_none() is None:
        raise fault_error(
            f"hand-in {handin}",
            "has no marks that could count",
            "",
            "What can't be read never counts",
            "Key its answers in: glossbook mark --on-paper TOKEN",
        )


def _open_matter(
    connection: sa.Connection, handin: int, kinds: Sequence[str], part: str
) -> int | None:
    c = matter_table.c
    found = matters_of(connection, [c.handin == handin, c.kind.in_(kinds), c.part == part])
    return next((one.id for one in found if one.open), None)


def _which_counts(connection: sa.Connection, handin: int) -> int | None:
    """Return the open matter of which hand-in counts: this one's, else its sheet's first."""
    token = sa.select(handin_table.c.token).where(handin_table.c.id == handin)
    same = sa.select(handin_table.c.id).where(handin_table.c.token == token.scalar_subquery())
    c = matter_table.c
    found = matters_of(
        connection, [c.kind == AGAIN, sa.or_(c.handin == handin, c.handin.in_(same))]
    )
    opened = sorted((one for one in found if one.open), key=lambda one: one.handin != handin)
    return opened[0].id if opened else None
