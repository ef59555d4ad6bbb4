"""Runs that were set for a class, and runs that were saved: found by name, written and loaded."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from calculators.faults import FaultsError, fault_error
from exercises.rehearsal import log as logs
from exercises.rehearsal.deeds import told
from exercises.rehearsal.log import Run

MOST_SIGNS = 400_000  # characters, in a file that is loaded
_HERE = "This file"


class Kept:
    """The runs that a page may begin, and those that it may load.

    Parameters
    ----------
    kitchen : mapping
        The values of the course's kitchen, all text.
    runs : sequence of mapping
        Those that were set: *name*, *title*, *way*, *seed*, *surprises*, *formula* (empty
        for the kitchen's own) and *hand in by*.
    """

    def __init__(self, kitchen: Mapping[str, Any], runs: Sequence[Mapping[str, Any]] = ()) -> None:
        self._kitchen = kitchen
        self._runs = {str(one["name"]): one for one in runs}

    def begin(self, log: Mapping[str, Any]) -> Run:
        """Return the run of a page's log at its beginning; a set one comes as it was set."""
        held = self._runs.get(str(log.get("run", "")))
        if held is None:
            way, seed = str(log.get("way", logs.FREE)), str(log.get("seed", ""))
            return logs.begin(self._kitchen, way, seed)
        return logs.begin_set({**held, "kitchen": kitchen_for(held, self._kitchen)})

    def load(self, text: str) -> Run:
        """Return the run of a file, done again; refuse one that is not of this course.

        Raises
        ------
        FaultsError
            Where it is too long, no log, changed, or of another kitchen.
        """
        if len(text) > MOST_SIGNS:
            raise fault_error(
                _HERE,
                "is too long for the log of a run",
                f"{len(text)} characters",
                f"{MOST_SIGNS} at the most",
                "Choose a file that this page saved",
            )
        run = logs.read_log(text, _HERE)
        if run.name and run.name not in self._runs:
            raise fault_error(
                _HERE,
                "is of a run that this course doesn't set",
                run.name,
                "",
                "Open it in the course in which it was saved",
            )
        meant = kitchen_for(self._runs.get(run.name, {}), self._kitchen)
        if logs.kitchen_digest(run.kitchen) != logs.kitchen_digest(meant):
            raise fault_error(
                _HERE,
                "comes from another kitchen",
                "",
                "Machines, stores, glaze or cakes differ",
                "Open it in the course in which it was saved",
            )
        fresh = self.begin({"run": run.name, "way": run.way, "seed": run.seed})
        if (fresh.way, fresh.seed, fresh.surprises) != (run.way, run.seed, run.surprises):
            raise fault_error(
                _HERE,
                "has other surprises, or another way, than this run has here",
                "",
                "",
                "Open it in the course in which it was saved",
            )
        return run


def kitchen_for(held: Mapping[str, Any], kitchen: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return the kitchen of a run that was set: with a glaze of its own, where it has one."""
    return {**kitchen, "formula": held["formula"]} if held.get("formula") else kitchen


def loaded(kept: Kept, text: str) -> tuple[Run | None, str]:
    """Return the run of a file, or why it can't be read, in words."""
    try:
        return kept.load(text), ""
    except FaultsError as error:
        return None, " ".join(told(one) for one in error.faults)


def file_name(run: Run) -> str:
    """Return what the file of a run is called."""
    whose = re.sub(r"[^\w-]+", "-", run.student).strip("-")
    return "-".join(filter(None, (run.name or "dry-run", whose))) + logs.ENDING
