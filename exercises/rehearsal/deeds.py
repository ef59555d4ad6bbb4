"""What an action is: its words, what it takes, and the bench it is done on."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from calculators.faults import Fault, FaultsError, fault_error, refuse
from calculators.ingredients import find
from exercises.rehearsal import consequences as follows
from exercises.rehearsal.state import (
    VESSELS,
    WASTE,
    Cakes,
    Conditions,
    State,
    Vessel,
    rounded,
    the,
)

SEE, SHOWS, FEEL = "you see", "it shows", "on the spoon"
Does = Callable[..., None]


@dataclass(frozen=True)
class Number:
    """A number that an action takes, in a unit, within a range."""

    unit: str
    low: float
    high: float
    start: float

    def read(self, name: str, given: Any) -> tuple[float, Fault | None]:
        """Return the number, or the fault."""
        good = isinstance(given, int | float) and not isinstance(given, bool)
        if good and self.low <= given <= self.high:
            return float(given), None
        limit = f"It must be a number from {self.low:g} to {self.high:g} {self.unit}".strip()
        return 0.0, Fault(name, "is out of range" if good else "is not a number", str(given), limit)


@dataclass(frozen=True)
class Word:
    """One of a few words that an action takes; the first is the usual one."""

    words: tuple[str, ...]

    @property
    def start(self) -> str:
        """The word that is used where none is given."""
        return self.words[0]

    def read(self, name: str, given: Any) -> tuple[str, Fault | None]:
        """Return the word, or the fault."""
        if given in self.words:
            return str(given), None
        return "", Fault(name, "is not one of its words", str(given), ", ".join(self.words))


@dataclass(frozen=True)
class Shelf:
    """An ingredient of the stores, by any name of its."""

    start: str = "water"

    def read(self, name: str, given: Any) -> tuple[str, Fault | None]:
        """Return the name, or the fault."""
        _, fault = find(str(given), name)
        return str(given), fault


@dataclass(frozen=True)
class Action:
    """One thing that can be done.

    Parameters
    ----------
    name : str
        In the log.
    says : str
        On the button.
    does : callable
        Takes the bench and the values.
    takes : mapping
        What it takes, by name.
    lesson : str
        Where it is taught.
    """

    name: str
    says: str
    does: Does
    takes: Mapping[str, Number | Word | Shelf]
    lesson: str


ACTIONS: dict[str, Action] = {}


def action(
    name: str, says: str, lesson: str, **takes: Number | Word | Shelf
) -> Callable[[Does], Does]:
    """Register a function as an action of the dry run."""

    def keep(does: Does) -> Does:
        if name in ACTIONS:
            raise fault_error("action", "is there twice", name)
        ACTIONS[name] = Action(name, says, does, takes, lesson)
        return does

    return keep


class StoppedError(Exception):
    """Somebody would have been hurt; says how."""


class Bench:
    """The bench while one action is done on it.

    Parameters
    ----------
    state : State
        Before.
    conditions : Conditions
        Of the run.
    """

    def __init__(self, state: State, conditions: Conditions) -> None:
        self.state, self.conditions = state, conditions
        self.vessels: dict[str, Vessel] = dict(state.vessels)
        self.cakes: Cakes = state.cakes
        self.seen: list[tuple[str, str]] = []
        self.plate = ""  # the state of a plate that looks like it

    def __getitem__(self, name: str) -> Vessel:
        return self.vessels.get(name, Vessel(celsius=self.conditions.room))

    def __setitem__(self, name: str, vessel: Vessel) -> None:
        self.vessels[name] = vessel

    def change(self, name: str, **values: Any) -> None:
        """Change some values of a vessel."""
        self[name] = replace(self[name], **values)

    def note(self, **values: Any) -> None:
        """Change some values of the state itself."""
        self.state = replace(self.state, **values)

    def filled(self, name: str, least: float = 1.0) -> Vessel:
        """Return a vessel that must hold something."""
        if self[name].grams < least:
            raise fault_error(the(name), "is empty", "", "", "Put something into it first")
        return self[name]

    def say(self, sense: str, words: str, plate: str = "") -> None:
        """Tell what is seen, shown or felt, and which state of a plate looks like it."""
        self.seen.append((sense, words))
        self.plate = plate or self.plate

    def wait(self, seconds: float, skip: tuple[str, ...] = ()) -> None:
        """Let time pass for all that stands on the bench, but for what is worked on."""
        clock = self.state.clock + seconds / 60
        for name in VESSELS:
            vessel = self[name]
            if vessel.grams <= 0:
                continue
            if name not in skip:
                vessel = follows.waited(
                    vessel, name, self.conditions, self.state.bath, seconds, self.state.clock
                )
            self[name] = follows.logged(vessel, clock)
        if self.cakes.out and not self.cakes.poured:
            celsius, frost = follows.warmed(self.cakes.celsius, self.conditions, seconds)
            self.cakes = replace(self.cakes, celsius=celsius, frost=self.cakes.frost + frost)
        self.note(clock=clock)

    def throw(self, vessel: Vessel) -> None:
        """Put something into the waste."""
        if vessel.grams > 0:
            self[WASTE] = follows.together(self[WASTE], vessel)

    def reads(self, name: str) -> float:
        """Return what the thermometer shows in a vessel, to a tenth."""
        return round(self[name].celsius + self.conditions.thermometer, 1)

    def believed(self, name: str) -> float:
        """Return the temperature that somebody who knows the check believes."""
        return self[name].celsius + self.conditions.thermometer - self.state.known_error

    def guard_hand(self, name: str, hand: str) -> None:
        """Stop where a bare hand would be in steam."""
        if hand == OVER and self[name].celsius >= follows.number("hot steam"):
            raise StoppedError(
                "Your hand was in the steam above the pan. Steam burns at once and deeper than "
                "hot water, since it gives off its heat as it turns to water on your skin. Cool "
                "a burn under running water and tell your supervisor. Come from the side."
            )

    def done(self) -> State:
        """Return the state, rounded."""
        held = tuple((n, v) for n, v in self.vessels.items() if v.lines or v.place != "bench")
        return rounded(replace(self.state, vessels=held, cakes=self.cakes))


BESIDE, OVER = "from the side", "over the steam"
HAND = Word((BESIDE, OVER))


@dataclass(frozen=True)
class Outcome:
    """What came of an action.

    Parameters
    ----------
    state : State
        After; the one before where it stopped or could not be done.
    seen : tuple of (str, str)
        Sense and words.
    stop : str
        What would have happened, where somebody would have been hurt.
    refused : str
        Why it could not be done.
    plate : str
        The state of a plate that looks like what is seen; empty where there is none.
    """

    state: State
    seen: tuple[tuple[str, str], ...] = ()
    stop: str = ""
    refused: str = ""
    plate: str = ""


# How what an action takes is said: beside its box, and where it is refused.
LABELS = {
    "minutes": "how long",
    "grams": "how much",
    "over all cakes": "how much over all cakes together",
    "seconds": "how long",
    "until": "until it shows",
    "bath": "water of the bath",
    "second": "share of each small jug",
    "lifted": "how far you lift the blender off the bottom",
    "vessel": "which vessel",
    "source": "from",
    "shade": "colour",
}


def settings_of(deed: Mapping[str, Any]) -> dict[str, Any]:
    """Return what a known action is done with: what was chosen, else what it starts with."""
    takes = ACTIONS[str(deed["do"])].takes
    return {name: deed.get(name, one.start) for name, one in takes.items()}


def values_of(deed: Mapping[str, Any]) -> tuple[Action, dict[str, Any]]:
    """Return the action of a line of the log and its values; all faults at once."""
    found = ACTIONS.get(str(deed.get("do")))
    if found is None:
        raise fault_error("action", "is not known", deed.get("do"), ", ".join(ACTIONS))
    extra = deed.keys() - found.takes.keys() - {"do"}
    faults = [Fault(f"{found.says}: {x}", "is not taken by it", "") for x in sorted(extra)]
    values: dict[str, Any] = {}
    for name, takes in found.takes.items():
        values[name], fault = takes.read(
            f"{found.says}: {LABELS.get(name, name)}", deed.get(name, takes.start)
        )
        faults += [fault] if fault else []
    refuse(faults)
    return found, values


def act(conditions: Conditions, state: State, deed: Mapping[str, Any]) -> Outcome:
    """Do one action: the next state, and what is seen, shown and felt."""
    bench = Bench(state, conditions)
    try:
        found, values = values_of(deed)
        found.does(bench, **values)
    except StoppedError as stop:
        return Outcome(
            rounded(replace(state, stops=(*state.stops, str(deed["do"])))), stop=str(stop)
        )
    except FaultsError as error:
        return Outcome(state, refused=" ".join(told(one) for one in error.faults))
    return Outcome(bench.done(), tuple(bench.seen), plate=bench.plate)


def told(fault: Fault) -> str:
    """Return a fault in sentences, as a page says it to who does the run."""
    said = (f"{fault.where} {fault.problem}", fault.limit, fault.next_step)
    return " ".join(part if part.endswith(".") else f"{part}." for part in said if part)
