"""The log of a dry run as a hand-in: whose it is, of which run, done again; never marked."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from calculators.faults import FaultsError
from exercises.book.book import Book
from exercises.book.records import HandIn, known_as
from exercises.book.rehearsals import SetRun
from exercises.book.schema import RECEIVED
from exercises.marking.hand_in import NotReadable, printable
from exercises.rehearsal.log import Run, begin_set, kitchen_digest, log_of, replayed
from exercises.rehearsal.watched import comment

NO_MARKS = "A dry run: recorded and commented on, never marked."
_WHERE = "The dry run"


def take_log(thing: Any) -> tuple[Run, str]:
    """Return the run that a file holds, not done again yet, and how it says it ends."""
    try:
        return log_of(thing, _WHERE)
    except FaultsError as error:
        raise NotReadable(_said(error)) from None


class DryRuns:
    """Holds logs against the runs that were set in a mark book.

    Parameters
    ----------
    book : Book
        With the runs and the class.
    """

    def __init__(self, book: Book) -> None:
        self._book = book

    def take(self, entry: HandIn, given: tuple[Run, str], token: str | None) -> None:
        """Do a log again and put what it shows into its entry.

        Raises
        ------
        NotReadable
            Where it is of no run that was set here, was changed, or is nobody's.
        """
        run, ends = given
        held = self._set_as(run)
        student = self._whose(run.student, token)
        meant = begin_set(held.content)
        try:
            done = replayed(_with(meant, run), ends, _WHERE)
        except FaultsError as error:
            raise NotReadable(_said(error)) from None
        entry.state, entry.reason = RECEIVED, NO_MARKS
        entry.rehearsal = {
            "dry_run": held.id,
            "student": student,
            "log": {"actions": [dict(a) for a in done.actions], "ends": ends},
            "shown": comment(done, held.content),
        }

    @cached_property
    def _runs(self) -> list[SetRun]:
        return self._book.dry_runs()

    @cached_property
    def _people(self) -> dict[str, set[str]]:
        """The students by name and by id, as a person may type them."""
        found: dict[str, set[str]] = {}
        for one in self._book.students().values():
            if not one.erased_at:
                for way in filter(None, (one.name, one.id)):
                    found.setdefault(known_as(way), set()).add(one.id)
        return found

    @cached_property
    def _watched(self) -> dict[str, str]:
        return {one.token: one.student for one in self._book.observation_sheets()}

    def _set_as(self, run: Run) -> SetRun:
        """Return the run that was set under this name, of this kitchen, and so begun."""
        named = [one for one in self._runs if one.name == run.name]
        if not run.name or not named:
            which = f"“{printable(run.name)}” is" if run.name else "It is"
            raise NotReadable(
                f"{which} no dry run that was set for this class. Choose the run on the page by "
                "its name; a lecturer sets it with glossbook mark --scheme SCHEME."
            )
        here = [
            one
            for one in named
            if kitchen_digest(one.content["kitchen"]) == kitchen_digest(run.kitchen)
        ]
        if not here:
            raise NotReadable(
                "It was done in another kitchen: machines, stores, glaze or cakes differ from "
                f"those of the run “{printable(run.name)}”. Do it again in this course."
            )
        for one in reversed(here):
            meant = begin_set(one.content)
            if (meant.way, meant.seed, meant.surprises) == (run.way, run.seed, run.surprises):
                return one
        raise NotReadable(
            f"It does not begin as the run “{printable(run.name)}” was set: its way, its seed or "
            "its surprises were changed. Ask for the file as the page saved it."
        )

    def _whose(self, student: str, token: str | None) -> str:
        """Return the student of a token or a name; one of the two must lead to somebody."""
        if token is not None:
            sheet = self._book.sheets_by_token([token], needs="head").get(token)
            whose = sheet.student if sheet else self._watched.get(token)
            if whose is not None and not self._book.students()[whose].erased_at:
                return whose
        found = self._people.get(known_as(student), set()) if student.strip() else set()
        if len(found) == 1:
            return next(iter(found))
        said = f"It says “{printable(student)}”" if student.strip() else "It says no name"
        why = "and more than one in the class is called so" if found else "and nobody here is that"
        raise NotReadable(
            f"{said}, {why}. Write the token of the student's sheet into the name of the file, "
            "and mark again."
        )


def _with(meant: Run, run: Run) -> Run:
    """Return the run that was set, with the actions of a log."""
    return Run(meant.kitchen, meant.seed, meant.way, meant.surprises, run.actions, meant.name)


def _said(error: FaultsError) -> str:
    return " ".join(f"{one}." for one in error.faults).replace("..", ".")
