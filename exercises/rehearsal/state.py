"""What stands on the bench of a dry run at one moment, and in what kitchen.

The state is frozen and rounded after each action, so that the same actions give the same
state under every Python.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from typing import Any

from calculators.kitchen import Kitchen

PLACES = 6  # decimals that are kept after each action
PAN, BOWL, JUG = "pan", "bowl", "jug"
VESSELS = (PAN, BOWL, JUG, "jug 2", "jug 3")
TRAY, ON_CAKES, WASTE = "tray", "on the cakes", "waste"
BENCH, BATH, FRIDGE = "bench", "bath", "fridge"


def the(name: str) -> str:
    """Return a vessel's name as a sentence begins with it."""
    return name.capitalize() if name[-1].isdigit() else f"The {name}"


@dataclass(frozen=True, slots=True)
class Vessel:
    """A pan, bowl or jug and what is in it.

    Parameters
    ----------
    lines : tuple of (str, float)
        Each ingredient and its grams, as weighed.
    evaporated : float
        Water that left, g.
    celsius : float
        Of all of it.
    place : str
        ``"bench"``, ``"bath"`` or ``"fridge"``.
    covered : bool
        Whether film lies on it.
    strength : float
        Of its gelatin, a share of what it was.
    lumps : float
        Share of gelatin, chocolate and skin that is not smooth.
    swollen : float
        How far its gelatin has soaked.
    air : float
        Percent of the volume.
    specks : float
        Share of its colour that stays in specks.
    streaks : float
        Share of its fat that no blender has spread yet.
    colour : str
        What colours it.
    history : tuple of (float, float)
        Minutes and °C, for the clock of food safety.
    """

    lines: tuple[tuple[str, float], ...] = ()
    evaporated: float = 0.0
    celsius: float = 20.0
    place: str = BENCH
    covered: bool = False
    strength: float = 1.0
    lumps: float = 0.0
    swollen: float = 1.0
    air: float = 0.0
    specks: float = 0.0
    streaks: float = 0.0
    colour: str = ""
    history: tuple[tuple[float, float], ...] = ()

    @property
    def grams(self) -> float:
        """What it weighs now, g."""
        return sum(g for _, g in self.lines) - self.evaporated


@dataclass(frozen=True, slots=True)
class Cakes:
    """The frozen cakes, all alike, and what is on them.

    Parameters
    ----------
    out : bool
        Whether they have left the freezer.
    celsius : float
        Of their skin.
    frost : float
        g/m².
    poured : bool
        Whether they are glazed.
    coat, top, rim, foot : float
        g/cm² and mm.
    waves, covered : float
        Percent.
    sets_after : float
        Seconds.
    under : float
        Frost under the coat, g/m².
    air, specks, streaks, lumps, marble, set_ratio, strength : float
        Of what was poured.
    since : float
        Minutes on the clock at the pour.
    tapped, trimmed, plated : bool
        What was done to them.
    clock : float
        Minutes that the glaze had been warm, at the pour.
    rule : str
        What the region's rule says of its log.
    """

    out: bool = False
    celsius: float = -18.0
    frost: float = 0.0
    poured: bool = False
    coat: float = 0.0
    top: float = 0.0
    rim: float = 0.0
    foot: float = 0.0
    waves: float = 0.0
    covered: float = 0.0
    sets_after: float = 0.0
    under: float = 0.0
    air: float = 0.0
    specks: float = 0.0
    streaks: float = 0.0
    lumps: float = 0.0
    marble: float = 1.0
    set_ratio: float = 1.0
    strength: float = 1.0
    since: float = 0.0
    tapped: bool = False
    trimmed: bool = False
    plated: bool = False
    clock: float = 0.0
    rule: str = ""


@dataclass(frozen=True, slots=True)
class State:
    """All that changes in a run.

    Parameters
    ----------
    clock : float
        Minutes since the beginning.
    vessels : tuple of (str, Vessel)
        By name.
    cakes : Cakes
        All alike.
    bath : float
        °C of the water bath, kept at that.
    known_error : float
        What the check of the thermometer has shown, °C; nought before.
    thermometer_checked, pan_checked, water_beside : bool
        What was done for safety.
    box_read : bool
        Whether a leaf was weighed against what the box says.
    stops : tuple of str
        Every time that somebody would have been hurt.
    """

    clock: float = 0.0
    vessels: tuple[tuple[str, Vessel], ...] = ()
    cakes: Cakes = field(default_factory=Cakes)
    bath: float = 20.0
    known_error: float = 0.0
    thermometer_checked: bool = False
    pan_checked: bool = False
    water_beside: bool = False
    box_read: bool = False
    stops: tuple[str, ...] = ()

    def vessel(self, name: str) -> Vessel:
        """Return a vessel by its name."""
        return dict(self.vessels)[name]


@dataclass(frozen=True)
class Conditions:
    """The kitchen of a run, with what the student can't see.

    Parameters
    ----------
    kitchen : Kitchen
        As the course knows it.
    thermometer : float
        How many °C it reads too high.
    bloom : float
        Of the gelatin that is really in the box.
    room : float
        °C.
    frost : float
        On the cakes as they leave the freezer, g/m².
    jug : float
        Width of the blending jug, cm.
    left_out : bool
        Whether a base from the day before stands on the bench.
    """

    kitchen: Kitchen
    thermometer: float = 0.0
    bloom: float = 200.0
    room: float = 21.0
    frost: float = 0.0
    jug: float = 12.0
    left_out: bool = False


def conditions_of(kitchen: Kitchen) -> Conditions:
    """Return the conditions of a run without surprises."""
    return Conditions(
        kitchen,
        bloom=float(kitchen.gelatin_bloom.m_as("bloom")),
        room=float(kitchen.room.m_as("degC")),
        jug=float(kitchen.jug.m_as("cm")),
    )


def rounded(value: Any) -> Any:
    """Return a state, or a part of one, with its numbers rounded."""
    if isinstance(value, float):
        return round(value, PLACES) + 0.0  # no minus nought
    if isinstance(value, tuple):
        return tuple(rounded(one) for one in value)
    if isinstance(value, Vessel | Cakes | State):
        names = value.__dataclass_fields__
        return replace(value, **{name: rounded(getattr(value, name)) for name in names})
    return value


def to_json(state: State) -> dict[str, Any]:
    """Return a state as plain data."""
    return asdict(state)


def from_json(held: Mapping[str, Any]) -> State:
    """Return a state from plain data, as :func:`to_json` gave it."""
    vessels = tuple(
        (
            name,
            Vessel(
                **{
                    **one,
                    "lines": tuple((k, g) for k, g in one["lines"]),
                    "history": tuple((m, t) for m, t in one["history"]),
                }
            ),
        )
        for name, one in held["vessels"]
    )
    return State(
        **{
            **held,
            "vessels": vessels,
            "cakes": Cakes(**held["cakes"]),
            "stops": tuple(held["stops"]),
        }
    )
