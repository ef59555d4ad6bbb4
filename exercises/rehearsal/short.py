"""The short runs of the lessons: a few decisions, and the rest as the method does it.

Each opens where the model has come by the method's own steps, offers a few actions, and ends
with the last of them.  A new one is a line more in ``SHORTS``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from calculators.faults import fault_error
from exercises.rehearsal.deeds import Outcome
from exercises.rehearsal.judgement import Judgement, Row, judge, rows_of
from exercises.rehearsal.log import MOST_ACTIONS, Run, begin
from exercises.rehearsal.method import Step, method
from exercises.rehearsal.state import BATH, JUG, PAN

Steps = list[Step]
METHOD = "as the method does"
_STILL_HOT = 40.0  # °C in the jug as the pour begins


@dataclass(frozen=True)
class Short:
    """One short run.

    Parameters
    ----------
    name : str
        As a lesson asks for it.
    title, asks : str
        What it is about, and how things stand.
    after, ends : str
        The action after which it opens, and the one with which it ends.
    lesson : str
        In which it stands.
    takes : mapping
        The actions that it offers, each with what is settled already: a value, or ``METHOD``
        for the method's own.
    tells : tuple of str
        The numbers of the cake that are always told.
    ordered : callable
        The method's steps as they are in this run.
    """

    name: str
    title: str
    asks: str
    after: str
    ends: str
    lesson: str
    takes: Mapping[str, Mapping[str, Any]]
    tells: tuple[str, ...]
    ordered: Callable[[Steps], Steps] = field(default=list)


def _last(steps: Steps, do: str) -> int:
    """Return the last place where the method does something."""
    found = [n for n, step in enumerate(steps) if step.deed["do"] == do]
    if not found:
        raise fault_error(
            "short run",
            "is not for this kitchen",
            "",
            f"Its method has no step: {do}",
            "Leave it out",
        )
    return found[-1]


def _soaked_meanwhile(steps: Steps) -> Steps:
    """Soak while the pan cools."""
    soak = steps[_last(steps, "soak")]
    left = [step for step in steps if step is not soak]
    here = _last(left, "take off") + 1
    return [*left[:here], soak, *left[here:]]


def _the_same_day(steps: Steps) -> Steps:
    """Pour on the day that it is made, in one colour: the air has no night to leave in."""
    covered, there = _last(steps, "cover") + 1, _last(steps, "take cakes out")
    return [*steps[:covered], _into_the_window(steps), *steps[there:]]


def _into_the_window(steps: Steps) -> Step:
    """Return the step that brings a hot jug into the window."""
    held = steps[_last(steps, "layer") + 1]
    bath = held.deed["bath"]
    return replace(held, deed={**held.deed, "bath": bath - 4, "until": bath, "minutes": 120.0})


def _still_hot(steps: Steps) -> Steps:
    """Begin the pour with a jug that is too hot."""
    here = _last(steps, "layer") + 1
    warmed = {"do": "rewarm", "vessel": JUG, "bath": 60.0, "until": _STILL_HOT, "minutes": 60.0}
    hot = Step(warmed, "It was warmed once more.")
    return [*steps[:here], hot, _into_the_window(steps), *steps[here + 1 :]]


_IN_PAN, _IN_JUG = {"vessel": PAN}, {"vessel": JUG}
SHORTS = {
    one.name: one
    for one in (
        Short(
            "soak",
            "Soak the gelatin, and choose when it goes in",
            "The syrup has just boiled and the pan stands on a dry cloth. The gelatin is "
            "weighed and dry. In how much water do you soak it, for how long, and how warm is the "
            "pan when it goes in? You end by adding it.",
            "take off",
            "add gelatin",
            "gelatin-care",
            {
                "soak": {"what": METHOD, "grams": METHOD},
                "cool": {**_IN_PAN, "where": "bench", "bath": 20.0},
                "read": {**_IN_PAN, "hand": "from the side"},
                "add gelatin": {**_IN_PAN, "hand": "from the side"},
            },
            ("lumps", "set"),
            _soaked_meanwhile,
        ),
        Short(
            "blend",
            "Blend, and pour on the same day",
            "Syrup, gelatin, milk and chocolate are in the jug, warm and streaky. It is poured "
            "today, in one colour, so the air has no night to leave in. You end by pouring: the "
            "cakes are taken out and wiped for you, the rack is tapped and the foot trimmed.",
            "combine",
            "pour",
            "blending",
            {
                "blend": _IN_JUG,
                "sieve": _IN_JUG,
                "cover": {**_IN_JUG, "hand": "from the side"},
                "spoon": _IN_JUG,
                "cool": {**_IN_JUG, "where": BATH},
                "pour": {**_IN_JUG, "grams": METHOD},
            },
            ("streaks", "pits", "gloss", "coat"),
            _the_same_day,
        ),
        Short(
            "share",
            "Share it out, colour it, and bring it to one temperature",
            "The base was rewarmed and stands at about 40 °C in one jug. You need three colours, "
            "and you end by layering them in the large jug.",
            "rewarm",
            "layer",
            "colour-and-marbling",
            {
                "split": {},
                "colour": {},
                "cool": {},
                "one bath": {},
                "read": {"hand": "from the side"},
                "spoon": {},
                "layer": {},
            },
            ("marble", "specks"),
        ),
        Short(
            "pour",
            "Choose the moment of the pour",
            "The colours are layered, and the jug is still hot. The cakes are in the freezer. "
            "You end by pouring; then the rack is tapped and the foot trimmed for you.",
            "rewarm",
            "pour",
            "pour",
            {
                "read": {**_IN_JUG, "hand": "from the side"},
                "spoon": _IN_JUG,
                "cool": {**_IN_JUG, "where": BATH},
                "trial pour": _IN_JUG,
                "take cakes out": {},
                "wipe": {},
                "pour": {**_IN_JUG, "grams": METHOD},
            },
            ("coat", "rim", "waves", "slide"),
            _still_hot,
        ),
    )
}


class ShortRun:
    """A short run in one kitchen.

    Parameters
    ----------
    name : str
        A key of ``SHORTS``.
    kitchen : mapping
        Its values, all text.

    Raises
    ------
    FaultsError
        Where there is none of this name, or the kitchen's method lacks what it is about.
    """

    def __init__(self, name: str, kitchen: Mapping[str, Any]) -> None:
        if name not in SHORTS:
            raise fault_error("short run", "is not known", name, ", ".join(SHORTS))
        self.short = SHORTS[name]
        run = begin(kitchen)
        self._steps = self.short.ordered(method(run.conditions))
        here, self._there = (_last(self._steps, do) for do in (self.short.after, self.short.ends))
        for step in self._steps[: here + 1]:
            run, _ = run.then(step.deed)
        self.opening = run
        self.takes = {do: self._settled(do, given) for do, given in self.short.takes.items()}

    def _settled(self, do: str, given: Mapping[str, Any]) -> dict[str, Any]:
        """Return what of an action is settled already."""
        own = next((step.deed for step in reversed(self._steps) if step.deed["do"] == do), {})
        return {name: own[name] if value == METHOD else value for name, value in given.items()}

    @cached_property
    def as_method(self) -> dict[str, Row]:
        """The cake as the method ends it, by the names of its numbers."""
        run = self.opening
        for step in self._steps[len(run.actions) :]:
            run, _ = run.then(step.deed)
        return {row.name: row for row in rows_of(run.state, run.conditions)}

    def told(self, judged: Judgement) -> Judgement:
        """Return a judgement with those numbers that this run is about, or that it made worse."""
        rows = [
            row
            for row in judged.rows
            if row.name in self.short.tells
            or row.off >= max(1.0, self.as_method[row.name].off + 0.5)
        ]
        return replace(judged, rows=tuple(rows))

    def run(self, actions: Sequence[Mapping[str, Any]]) -> Run:
        """Return the run in which these were done, from where it opens."""
        run = self.opening
        for deed in actions[:MOST_ACTIONS]:
            if not self.over(run):
                run, _ = self.then(run, deed)
        return run

    def then(self, run: Run, deed: Mapping[str, Any]) -> tuple[Run, Outcome]:
        """Return the run with one action more; one that it does not offer is refused."""
        name = str(deed.get("do"))
        if (
            name == "pour" and "take cakes out" not in self.takes
        ):  # done for them at the last moment
            for ready in ("take cakes out", "wipe"):
                run, _ = run.then({"do": ready})
        if name not in self.takes:
            words = f"{name}: It is not offered here. It may be: {', '.join(self.takes)}."
            return run, Outcome(run.state, refused=words)
        return run.then({**deed, **self.takes[name]})

    def done(self, run: Run) -> tuple[Mapping[str, Any], ...]:
        """Return what was done since it opened."""
        return run.actions[len(self.opening.actions) :]

    def over(self, run: Run) -> bool:
        """Return whether it has ended."""
        return (
            any(deed["do"] == self.short.ends for deed in self.done(run))
            and not run.outcomes[-1].stop
        )

    def finished(self, run: Run) -> Run:
        """Return the run after all that the method does from there on."""
        for step in self._steps[self._there + 1 :]:
            run, _ = run.then(step.deed)
        return run

    def judge(self, run: Run) -> Judgement:
        """Return the cake as the method would finish it, and which decision here mattered."""
        first = len(self.opening.actions)
        ended = self.finished(run)
        return judge(ended, steps=self._steps, within=range(first, len(run.actions) + 1))
