"""The plate that a cake looks most like, and how far it is from that.

A plate was rendered from lengths of its own.  They are read here as the numbers that a cake
has at the end of a run.  Each number counts from 0, what nobody notices, to 1, all that an
eye can take in: ``1 - 1 / n²``, with n the steps that a pastry cook notices.  The distance is
the sum of what cake and plate differ by, and half for another shape.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass, replace

from exercises.craft import plates
from exercises.craft.plates import Plate
from exercises.rehearsal import consequences as follows
from exercises.rehearsal.judgement import Row, rows_from, rows_of
from exercises.rehearsal.state import Conditions, State

NEAR = 0.9  # beyond it, as with a whole fault more, no plate looks like the cake
NEAR_TO_RIGHT = 0.3  # a plate as it should be stands for no cake with a fault
OTHER_SHAPE = 0.5
DRIPS, GLOSS = "drips", "gloss between pits and specks"
# The states whose cause a run has; it knows no cracks, knife, stirring or dew.
_STATES = ("right", "dull", "pits", "waves", "thin rim", "slid", "lumps", "drips")
# No eye sees the first two.  Fat is seen by its dullness; air and powder are pits and specks,
# and take no gloss from what lies between them: each cause counts once.
_UNSEEN = ("set", "gelatin", "clock", "streaks", "gloss")
_GOOD_COAT = plates.of_state("right")[0].numbers["coat_mm"]


@dataclass(frozen=True)
class Beside:
    """One number of the cake beside the plate's; ``apart`` is what it adds to the distance."""

    cake: Row
    plate: Row

    @property
    def apart(self) -> float:
        """Return by how much they differ, 0 to 2."""
        return abs(_seen(self.cake) - _seen(self.plate))


@dataclass(frozen=True)
class Likeness:
    """A plate and how far a cake is from it.

    Parameters
    ----------
    plate : Plate
        One that a site shows.
    distance : float
        As the module says; 0 is the same.
    numbers : tuple of Beside
        In the order of the judgement.
    """

    plate: Plate
    distance: float
    numbers: tuple[Beside, ...]

    @property
    def near(self) -> bool:
        """Return whether the cake looks like it."""
        return self.distance <= (NEAR_TO_RIGHT if self.plate.kind == "right" else NEAR)


def nearest(state: State, conditions: Conditions, without: Collection[str] = ()) -> Likeness | None:
    """Return the plate that a cake looks most like; None where nothing is on the cakes.

    Parameters
    ----------
    state : State
        At the end of the run.
    conditions : Conditions
        Of the run.
    without : collection of str
        Plates in whose place photographs stand: nobody knows their numbers.
    """
    rows = [row for row in rows_of(state, conditions) if row.name not in _UNSEEN]
    if not rows:
        return None
    rows.append(_gloss(follows.gloss_units(0, 0, state.cakes.streaks), conditions))
    rows.append(_drips(hang=not state.cakes.trimmed))
    shape, marbled = conditions.kitchen.cakes[0].shape, state.cakes.marble > 1
    found = []
    for plate in plates.plates():
        if plate.use != "shown" or plate.state not in _STATES or plate.id in without:
            continue
        drawn = rows_of_plate(plate, conditions)
        numbers = tuple(Beside(row, drawn[row.name]) for row in rows)
        distance = sum(one.apart for one in numbers) + OTHER_SHAPE * (plate.shape != shape)
        one_colour = len(plates.glazes()[plate.glaze].shares) == 1
        rank = (round(distance, 6), one_colour is marbled)  # the earlier one where both tie
        found.append((rank, Likeness(plate, distance, numbers)))
    return min(found, key=lambda one: one[0])[1] if found else None


def rows_of_plate(plate: Plate, conditions: Conditions) -> dict[str, Row]:
    """Return the numbers that a plate was rendered from as those of a cake of this kitchen.

    A coat is as heavy beside this kitchen's as the plate's is beside a good plate's.
    """
    drawn = plate.numbers
    low, high = follows.coat_in_window(conditions)
    thick = drawn.get("coat_mm", drawn.get("film_mm", _GOOD_COAT))
    wave = follows.number("wave at first") / 100 * thick
    rough = drawn.get("roughness_um", follows.number("smooth"))
    grains = math.pi / 6 * drawn.get("grain_mm", 0.0) ** 3  # mm³
    powder = follows.number("powder of a glaze") / 100 * 100 * thick  # mm³ for each cm²
    each = drawn.get("per_cm2", 0.0)
    pits = plate.state == "pits"
    values = {
        "coat": (low + high) / 2 * thick / _GOOD_COAT,
        "rim": drawn.get("rim_mm", 0.6),
        "foot": drawn.get("foot_mm", drawn.get("bead_mm", 0.0)),
        "waves": min(100.0, 100 * drawn.get("wave_mm", 0.0) / wave),
        "bare": 0.0,
        "pits": each * (1 - drawn["still_closed"]) if pits else 0.0,
        "specks": min(100.0, 100 * each * grains / powder),
        "lumps": 0.0,
        "marble": 1.0,
        "slide": 100 * drawn.get("wide_deg", 0.0) / 360,
    }
    dull = _gloss(follows.gloss_of(rough), conditions)
    rows = [*rows_from(values, conditions), dull, _drips(hang=plate.state == "drips")]
    return {row.name: row for row in rows}


def _gloss(units: float, conditions: Conditions) -> Row:
    (row,) = rows_from({"gloss": units}, conditions)
    return replace(row, name=GLOSS)


def _drips(*, hang: bool) -> Row:
    return Row(DRIPS, float(hang), "", 2.0 * hang, "drips hang at the foot")


def _seen(row: Row) -> float:
    """Return how much of all that an eye can take in a number is, with its sign."""
    coat = follows.number("notices coat") / follows.number("sees coat")
    steps = row.off * (coat if row.name == "coat" else 1)
    return (-1 if row.under else 1) * (1 - 1 / max(steps, 1.0) ** 2)
