"""What a run shows of each row of the observation sheet: a comment, never a mark.

Each row has one small function here, found by the row's id; it looks at states and actions.
A row that has none, or that no rehearsal can show, says so.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from exercises.rehearsal import consequences as follows
from exercises.rehearsal.deeds import values_of
from exercises.rehearsal.judgement import rows_of
from exercises.rehearsal.log import Run
from exercises.rehearsal.state import JUG, PAN, Conditions, State, Vessel
from exercises.rehearsal.surprises import beginning

DONE, NOT_DONE, NOT_REACHED = "seen done", "not done", "not reached"
NOT_HERE = "can't be seen in a rehearsal"
STATES = (NOT_DONE, NOT_REACHED, DONE, NOT_HERE)
_EDGE = 0.05  # °C, cm and g, that no instrument here shows


@dataclass(frozen=True)
class Moment:
    """One action: the state before it and after it, and what it took."""

    do: str
    takes: Mapping[str, Any]
    before: State
    after: State
    stopped: bool


@dataclass(frozen=True)
class Watched:
    """A run as its rows look at it: what was done in order, and what the sheet asks.

    Parameters
    ----------
    moments : tuple of Moment
        In order.
    conditions : Conditions
        The kitchen, with what nobody was told.
    asks : mapping
        *window*, *cover* and *pan*, as plain data.
    """

    moments: tuple[Moment, ...]
    conditions: Conditions
    asks: Mapping[str, Any]

    def all(self, *names: str) -> list[Moment]:
        """Return the actions of these names that were carried out."""
        return [m for m in self.moments if m.do in names and not m.stopped]

    @property
    def pour(self) -> Moment | None:
        """The action that brought the glaze onto the cakes."""
        return next((m for m in self.moments if m.after.cakes.poured), None)

    @property
    def end(self) -> State:
        """The bench at the end."""
        return self.moments[-1].after


@dataclass(frozen=True)
class Shown:
    """What a run shows of one row.

    Parameters
    ----------
    row, says : str
        Its id and words.
    state : str
        One of :data:`STATES`.
    minutes : float or None
        When, on the clock of the run.
    because : str
        What it is seen by, in a sentence.
    """

    row: str
    says: str
    state: str
    minutes: float | None
    because: str


Verdict = tuple[str, float | None, str]
Looks = Callable[[Watched], Verdict]
_ROWS: dict[str, Looks] = {}
_NOT_HERE = {
    "plan": "A plan is on paper; the rehearsal doesn't see it.",
    "hands": "The rehearsal has no basin.",
    "bubbles": "The rehearsal works out how much air is in a glaze, not how wide a bubble is.",
    "one pour": "The rehearsal always pours in one stroke.",
    "own eye": "Somebody has to ask.",
}
_OWN = "The rehearsal has no eye for this row."
_LATER = (NOT_REACHED, None, "The run ended before it.")


def row(name: str) -> Callable[[Looks], Looks]:
    """Register a function as the one that looks for a row."""

    def keep(looks: Looks) -> Looks:
        _ROWS[name] = looks
        return looks

    return keep


def poured(name: str) -> Callable[[Callable[[Watched, Moment], Verdict]], Looks]:
    """Register a function that looks for a row at the pour; before a pour there is nothing."""

    def keep(looks: Callable[[Watched, Moment], Verdict]) -> Looks:
        return row(name)(lambda run: _LATER if run.pour is None else looks(run, run.pour))

    return keep


def comment(run: Run, content: Mapping[str, Any]) -> dict[str, Any]:
    """Return what a run shows, as plain data for the mark book.

    Parameters
    ----------
    run : Run
        Replayed.
    content : mapping
        *rows* and *window*, as an observation sheet holds them, *cover* (cm), *pan* (g).

    Returns
    -------
    dict
        *rows* (each as :class:`Shown`), *cake* (its numbers), *stops* (what would have
        happened), *steps* and *minutes*.
    """
    seen = _seen(run, content)
    return {
        "rows": [asdict(_shown(one, seen)) for one in content["rows"]],
        "cake": [asdict(one) for one in rows_of(run.state, run.conditions)],
        "stops": list(dict.fromkeys(one.stop for one in run.outcomes if one.stop)),
        "steps": len(run.actions),
        "minutes": run.state.clock,
    }


def _seen(run: Run, content: Mapping[str, Any]) -> Watched:
    state, moments = beginning(run.conditions), []
    for deed, outcome in zip(run.actions, run.outcomes, strict=True):
        found, takes = values_of(deed)
        moments.append(Moment(found.name, takes, state, outcome.state, bool(outcome.stop)))
        state = outcome.state
    return Watched(tuple(moments), run.conditions, content)


def _shown(asked: Mapping[str, Any], run: Watched) -> Shown:
    name, says = str(asked["id"]), str(asked["says"])
    if name not in _ROWS:
        return Shown(name, says, NOT_HERE, None, _NOT_HERE.get(name, _OWN))
    return Shown(name, says, *(_ROWS[name](run) if run.moments else _LATER))


# --- at the hob and the jug ---------------------------------------------------------------


@row("water")
def water(run: Watched) -> Verdict:
    """Look for cold water before the hob is on."""
    first = next((m for m in run.moments if m.do == "heat"), None)
    if first is None:
        return _LATER
    if not first.before.water_beside:
        return (
            NOT_DONE,
            first.before.clock,
            "The hob was about to be turned on, and no cold water was there.",
        )
    there = next(m for m in run.moments if m.after.water_beside)
    return DONE, there.after.clock, "It was there before the hob was on."


@row("pan")
def pan(run: Watched) -> Verdict:
    """Look whether what the boil took is given back, before anything else goes in."""
    heats = run.all("heat")
    if not heats:
        return _LATER
    began = run.moments.index(heats[-1])
    later = run.moments[began + 1 :]
    ends = next((n for n, m in enumerate(later) if _leaves(m)), len(later))
    held = later[ends].before if ends < len(later) else run.end
    lost = _pan(held).evaporated - _pan(heats[0].before).evaporated
    back = [m for m in later[:ends] if _into_pan(m)]
    given = sum(_pan(m.after).grams - _pan(m.before).grams for m in back)
    when = back[-1].after.clock if back else held.clock
    said = f"The pan lost {lost:.0f} g, and {given:.0f} g of water went back."
    close = abs(lost - given) <= float(run.asks["pan"]) + _EDGE
    return (DONE if close else NOT_DONE), when, said


def _pan(state: State) -> Vessel:
    return dict(state.vessels).get(PAN, Vessel())


def _into_pan(m: Moment) -> bool:
    return m.do == "weigh" and (m.takes["what"], m.takes["into"]) == ("water", PAN)


def _leaves(m: Moment) -> bool:
    """Tell whether the syrup is no longer alone in its pan after an action."""
    if m.do == "weigh":
        return m.takes["into"] == PAN and m.takes["what"] != "water"
    return m.do in ("add gelatin", "combine", "throw away") and _pan(m.before) != _pan(m.after)


@row("blade")
def blade(run: Watched) -> Verdict:
    """Look whether the glaze stands over the guard each time the blender runs."""
    blends = run.all("blend")
    if not blends:
        return _LATER
    least, asked = 1e9, float(run.asks["cover"])
    for m in blends:
        held = dict(m.before.vessels)[m.takes["vessel"]]
        over = follows.cover_over_guard(held, run.conditions, m.takes["lifted"])
        if over < asked - _EDGE:
            bare = "stood bare" if over <= 0 else f"had only {over:.1f} cm of glaze above it"
            return NOT_DONE, m.before.clock, f"The guard {bare}."
        least = min(least, over)
    return DONE, blends[-1].after.clock, f"At least {least:.1f} cm of glaze stood above the guard."


@row("layers")
def layers(run: Watched) -> Verdict:
    """Look whether colours lie in one jug, and nobody stirs them."""
    done, pour = run.all("layer"), run.pour
    if not done:
        return _LATER if pour is None else (NOT_DONE, pour.before.clock, "Nothing was layered.")
    since = run.moments[run.moments.index(done[-1]) + 1 :]
    for m in since:
        if m is pour:
            break
        if m.do in _STIRS and not m.stopped and m.takes.get("vessel", JUG) == JUG:
            return NOT_DONE, m.after.clock, "The jug was stirred after the colours lay in it."
    return DONE, done[-1].after.clock, "They lay in one jug, and nothing stirred them."


_STIRS = ("stir", "blend", "sieve", "rewarm", "one bath", "colour", "add gelatin", "combine")


# --- the pour and after it ----------------------------------------------------------------


@poured("window")
def window(run: Watched, m: Moment) -> Verdict:
    """Look for the window at the pour, whatever the thermometer says."""
    celsius = dict(m.before.vessels)[m.takes["vessel"]].celsius
    low, high = (float(end) for end in run.asks["window"])
    said = f"It had {celsius:.1f} °C at the pour."
    if run.conditions.thermometer:
        shown = celsius + run.conditions.thermometer
        said = f"It had {celsius:.1f} °C at the pour; the thermometer showed {shown:.1f} °C."
    inside = low - _EDGE <= celsius <= high + _EDGE
    return (DONE if inside else NOT_DONE), m.before.clock, said


@poured("wiped")
def wiped(run: Watched, m: Moment) -> Verdict:
    """Look whether frost is wiped off before the glaze, and has not come back."""
    wipes = run.all("wipe")
    if not wipes:
        return NOT_DONE, m.before.clock, "The cakes were poured as they came out."
    last, frost = wipes[-1], m.after.cakes.under
    waited = m.before.clock - last.after.clock
    if frost > follows.number("frost slides"):
        said = f"They stood {waited:.0f} min after the wiping, and white frost had come back."
        return NOT_DONE, m.before.clock, said
    return DONE, last.after.clock, f"They were poured {waited:.0f} min after the wiping."


@poured("foot")
def foot(run: Watched, m: Moment) -> Verdict:
    """Look whether the glaze reaches every lower edge."""
    covered = m.after.cakes.covered
    whole = covered > 100 - follows.number("notices bare")
    return (DONE if whole else NOT_DONE), m.after.clock, f"{covered:.0f} % was covered."


@poured("coat")
def coat(run: Watched, m: Moment) -> Verdict:
    """Hold the coat against what this glaze gives in its window."""
    low, high = follows.coat_in_window(run.conditions)
    notice, held = follows.number("notices coat"), m.after.cakes.coat
    said = (
        f"It came to {held:.2f} g/cm²; in its window this glaze gives {low:.2f} to {high:.2f} here. "
        "The grams of this row are for a real scale."
    )
    return (DONE if low - notice <= held <= high + notice else NOT_DONE), m.after.clock, said


@poured("edges")
def edges(run: Watched, m: Moment) -> Verdict:
    """Look for colours of one thickness: they keep clear edges."""
    if not run.all("layer"):
        return NOT_DONE, m.after.clock, "There was one colour only."
    apart = m.after.cakes.marble
    if apart > 1 + follows.number("notices marble"):
        said = f"The thickest colour was {apart:.1f} times as thick as the thinnest."
        return NOT_DONE, m.after.clock, said
    return DONE, m.after.clock, "All colours were about equally thick."


@poured("surface")
def surface(run: Watched, m: Moment) -> Verdict:
    """Look for bubbles and bare spots that a cook would notice."""
    wrong = [
        one.words
        for one in rows_of(run.end, run.conditions)
        if one.name in ("pits", "bare") and one.off >= 1
    ]
    if wrong:
        return NOT_DONE, m.after.clock, f"{wrong[0].capitalize()}."
    return DONE, m.after.clock, "No bubble and no bare spot that a cook would notice."


@poured("trim")
def trim(run: Watched, m: Moment) -> Verdict:
    """Look for a cut after the pour; single drops are not in the model."""
    trims = run.all("trim")
    if not trims:
        return NOT_DONE, run.end.clock, "The foot was left as it was."
    waited = (trims[0].before.clock - m.after.clock) * 60
    said = f"It was cut {waited:.0f} s after the pour. Whether single drops fell can't be seen."
    return DONE, trims[0].after.clock, said
