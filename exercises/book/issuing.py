"""Papers and sheets: drafted, checked by a person, issued."""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from calculators.faults import fault_error
from exercises.book.chain import seal
from exercises.book.connecting import in_turns, storable
from exercises.book.deadlines import limit_of
from exercises.book.people import People
from exercises.book.records import NewSheet, PaperRecord, SheetRecord, must_name
from exercises.book.schema import book_table, paper_table, sheet_table, student_table
from exercises.book.times import now
from exercises.book.tokens import new_token, read_token
from exercises.questions.registry import calculators_digest


def _sheet_columns(questions: sa.ColumnElement[Any]) -> tuple[Any, ...]:
    """Return the columns of a sheet in the order of its fields."""
    c = sheet_table.c
    return (
        c.token,
        c.paper,
        c.student,
        c.sitting,
        c.seed,
        questions,
        c.bank,
        c.calculators,
        c.opens_on,
        c.hand_in_by,
        c.issued_at,
        c.version,
    )


_SHEET_COLUMNS = {
    "all": _sheet_columns(sheet_table.c.questions),
    "head": _sheet_columns(sa.literal([], sa.JSON)),
}


class Papers(People):
    """A mark book as far as its papers and sheets go."""

    def draft_paper(
        self,
        name: str,
        plan: Mapping[str, Any],
        *,
        policy: Mapping[str, Any] | None = None,
        pass_rule: Mapping[str, Any] | None = None,
    ) -> PaperRecord:
        """Draft a paper, or draft it again: whatever was checked must be checked again.

        Parameters
        ----------
        name : str
            The paper's name in the scheme.
        plan : mapping
            What it is made of, as plain data; the questions shown to the checker too.
        policy : mapping, optional
            How units are marked; see :data:`exercises.marking.rules.POLICY`.
        pass_rule : mapping, optional
            ``{"share": 0.5, "must_pass": [outcome, ...]}``.
        """
        with self._writing() as connection:
            held = self._one_paper(connection, name)
            if held and held.state == "issued":
                raise fault_error(
                    f"paper {name}",
                    "is issued and stays as it is",
                    held.issued_at or "",
                    "",
                    "Give the new paper another name, or issue a resit",
                )
            values = {
                "plan": dict(plan),
                "policy": dict(policy or {}),
                "pass_rule": dict(pass_rule or {}),
                "state": "drafted",
                "drafted_at": now(),
                "checked_by": None,
                "checked_at": None,
            }
            if held is None:
                connection.execute(paper_table.insert().values(name=name, **values))
            else:
                connection.execute(
                    paper_table.update().where(paper_table.c.name == name).values(values)
                )
        return self.paper(name)

    def draft_version(
        self,
        name: str,
        sitting: int,
        plan: Mapping[str, Any],
        *,
        policy: Mapping[str, Any],
        pass_rule: Mapping[str, Any],
    ) -> PaperRecord:
        """Draft a later version of a paper whose sheets are out; they keep what they said.

        One that still waits for its signature is replaced.
        """
        with self._writing() as connection:
            held = self._paper_that_is(connection, name, "issued")
            kept = [
                dict(one) for one in held.versions if one["checked_by"] or one["sitting"] != sitting
            ]
            number = 1 + max([1, *(one["number"] for one in kept)])
            new = {
                "number": number,
                "sitting": sitting,
                "plan": dict(plan),
                "policy": dict(policy),
                "pass_rule": dict(pass_rule),
                "drafted_at": now(),
                "checked_by": None,
                "checked_at": None,
            }
            self._put_versions(connection, name, [*kept, new])
        return self.paper(name).at(number)

    def check_version(self, name: str, number: int, by: str) -> PaperRecord:
        """Record that a named person has looked through a later version."""
        must_name(by)
        with self._writing() as connection:
            held = self._paper_that_is(connection, name, "issued")
            signed = {"checked_by": storable(by), "checked_at": now()}
            versions = [
                {**one, **signed} if one["number"] == number else one for one in held.versions
            ]
            self._put_versions(connection, name, versions)
        return self.paper(name).at(number)

    @staticmethod
    def _put_versions(
        connection: sa.Connection, name: str, versions: list[Mapping[str, Any]]
    ) -> None:
        connection.execute(
            paper_table.update().where(paper_table.c.name == name).values(versions=versions)
        )

    def check_paper(self, name: str, by: str) -> PaperRecord:
        """Record that a named person has looked through the drafted paper."""
        must_name(by)
        with self._writing() as connection:
            held = self._paper_that_is(connection, name, "drafted", "checked")
            connection.execute(
                paper_table.update()
                .where(paper_table.c.name == held.name)
                .values(state="checked", checked_by=storable(by), checked_at=now())
            )
        return self.paper(name)

    def issue_paper(
        self, name: str, sheets: Iterable[NewSheet], by: str, *, bank: str = "", version: int = 1
    ) -> list[SheetRecord]:
        """Issue a checked paper: keep every sheet, all of them or none.

        A student who has a sheet of this sitting already keeps it as it is, so that
        issuing again adds only those who joined later.

        Parameters
        ----------
        name : str
            The paper.
        sheets : iterable of NewSheet
            One a student and sitting.
        by : str
            Who issues it.
        bank : str, optional
            Digest of the bank; by default that of the sheet's own questions.
        version : int
            The signed version of the paper that they are issued by.

        Returns
        -------
        list of Sheet
            Those asked for, with their tokens, whether new or kept.
        """
        must_name(by)
        tokens: list[str] = []
        new: list[str] = []
        with self._writing() as connection:
            held = self._paper_that_is(connection, name, "checked", "issued")
            kept = {
                (row.student, row.sitting): row.token
                for row in connection.execute(
                    sa.select(
                        sheet_table.c.student, sheet_table.c.sitting, sheet_table.c.token
                    ).where(sheet_table.c.paper == name)
                )
            }
            known = set(connection.execute(sa.select(student_table.c.id)).scalars())
            at = now()
            for one in sheets:
                if one.student not in known:
                    raise fault_error(
                        f"paper {name}",
                        "has a sheet for nobody in the book",
                        one.student,
                        "",
                        "Enrol the student first",
                    )
                token = kept.get((one.student, one.sitting))
                if token is None:
                    token = read_token(one.token) if one.token else new_token()
                    kept[one.student, one.sitting] = token
                    digests = "".join(str(each.get("digest")) for each in one.questions)
                    connection.execute(
                        sheet_table.insert(),
                        {
                            "token": token,
                            "paper": name,
                            "student": one.student,
                            "sitting": one.sitting,
                            "seed": one.seed,
                            "questions": list(one.questions),
                            "bank": bank or hashlib.sha256(digests.encode()).hexdigest()[:16],
                            "calculators": calculators_digest(),
                            "opens_on": str(one.opens_on),
                            "hand_in_by": str(one.hand_in_by),
                            "issued_at": at,
                            "version": version,
                        },
                    )
                    new.append(token)
                tokens.append(token)
            seal(connection, "sheet", new)
            if held.state == "checked":
                connection.execute(
                    paper_table.update()
                    .where(paper_table.c.name == name)
                    .values(state="issued", issued_by=storable(by), issued_at=at)
                )
        found = self.sheets_by_token(tokens)
        return [found[token] for token in tokens]

    def paper(self, name: str) -> PaperRecord:
        """Return a paper by its name."""
        with self._reading() as connection:
            held = self._one_paper(connection, name)
            names = list(connection.execute(sa.select(paper_table.c.name)).scalars())
        if held is None:
            raise fault_error(
                f"paper {name}",
                "is not in this book",
                "",
                f"It has: {', '.join(sorted(names)) or 'no paper yet'}",
                "Check the name, or draft the paper first",
            )
        return held

    def papers(self) -> list[PaperRecord]:
        """Return every paper, in the order in which they were drafted."""
        with self._reading() as connection:
            rows = connection.execute(
                sa.select(paper_table).order_by(paper_table.c.drafted_at, paper_table.c.name)
            )
            return [PaperRecord(**row._mapping) for row in rows]

    @staticmethod
    def _one_paper(connection: sa.Connection, name: str) -> PaperRecord | None:
        row = connection.execute(
            sa.select(paper_table).where(paper_table.c.name == name)
        ).one_or_none()
        return PaperRecord(**row._mapping) if row else None

    def _paper_that_is(self, connection: sa.Connection, name: str, *states: str) -> PaperRecord:
        held = self._one_paper(connection, name)
        if held is None:
            raise fault_error(
                f"paper {name}", "is not in this book", "", "", "Draft the paper first"
            )
        if held.state not in states:
            raise fault_error(
                f"paper {name}",
                f"is {held.state}",
                "",
                f"It must be {' or '.join(states)}",
                "Have a named person check it first"
                if held.state == "drafted"
                else "An issued paper stays as it is",
            )
        return held

    # -- sheets ------------------------------------------------------------------------

    def seed(self, paper: str, student: str, sitting: int = 1) -> str:
        """Return the seed of a sheet: always the same, and only from this book."""
        return self.secret_for(paper, student, str(sitting))

    def secret_for(self, *words: str) -> str:
        """Return what only this book can work out from some words: always the same."""
        with self._reading() as connection:
            secret = connection.execute(sa.select(book_table.c.secret)).scalar_one()
        text = "\x1f".join(words)
        return hmac.new(bytes.fromhex(secret), text.encode(), hashlib.sha256).hexdigest()

    def sheets(self, paper: str | None = None, *, needs: str = "all") -> list[SheetRecord]:
        """Return the sheets of a paper (or of every paper), by student and sitting.

        Parameters
        ----------
        paper : str, optional
            Only this paper's.
        needs : str
            ``"all"``; ``"head"`` leaves the questions out.
        """
        asked = sa.select(*_SHEET_COLUMNS[needs]).order_by(
            sheet_table.c.paper, sheet_table.c.student, sheet_table.c.sitting
        )
        if paper is not None:
            asked = asked.where(sheet_table.c.paper == paper)
        with self._reading() as connection:
            return [SheetRecord(*row) for row in connection.execute(asked)]

    def sheet(self, token: str) -> SheetRecord:
        """Return the sheet of a token as a person typed it."""
        token = read_token(token)
        found = self.sheets_by_token([token])
        if not found:
            raise fault_error(
                "token",
                "belongs to no sheet of this book",
                token,
                "",
                "Look whether the sheet was issued from another mark book",
            )
        return found[token]

    def sheets_by_token(
        self, tokens: Iterable[str], *, needs: str = "all"
    ) -> dict[str, SheetRecord]:
        """Return the sheets of these tokens, by token; unknown ones are left out.

        Parameters
        ----------
        tokens : iterable of str
            As the book keeps them.
        needs : str
            ``"all"``; ``"head"`` leaves the questions out.
        """
        asked = sa.select(*_SHEET_COLUMNS[needs])
        with self._reading() as connection:
            rows = in_turns(connection, asked, sheet_table.c.token, tokens)
            return {row[0]: SheetRecord(*row) for row in rows}

    def limits(self, tokens: Iterable[str]) -> dict[str, tuple[str, datetime | None]]:
        """Return for each of these sheets whose it is, and when it is late."""
        s, p = sheet_table.c, student_table.c
        asked = sa.select(
            s.token, s.student, s.hand_in_by, s.opens_on, p.other_date, p.extra_time
        ).join_from(sheet_table, student_table)
        with self._reading() as connection:
            return {
                row[0]: (row[1], limit_of(*row[2:]))
                for row in in_turns(connection, asked, s.token, tokens)
            }
