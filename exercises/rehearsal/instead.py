"""What could have been decided otherwise in a run: the method's own way, one change at a time.

Amounts are held against the method's in the measure that was made, so that a larger batch is
no mistake; an action is matched by what it does, with what, in which vessel.  Besides, what any
pastry cook would try: wipe once more, take the cakes out last, pour more, bring it into the
window.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from calculators.ingredients import find
from exercises.rehearsal import consequences as follows
from exercises.rehearsal.deeds import ACTIONS, act, settings_of
from exercises.rehearsal.log import Run
from exercises.rehearsal.method import Deed, Step
from exercises.rehearsal.state import BATH, State
from exercises.rehearsal.surprises import beginning

_SHARE = 0.03  # of an amount: below it the formula is as written
_STOOD = 2.5  # min that cakes may stand before the pour, with the wiping
_MORE = 1.08  # of the need, so that the last drop is not counted on
_LANDMARKS = ("combine", "rewarm", "layer")
_MADE = ("weigh", "soak")  # what a batch is made of
_EXTRA = {
    "blend": "It may be blended once more before it is coloured, with the guard well under the "
    "surface. Blending warms it, so bring it back into the window.",
}

# Why a value matters, by the action and what it takes; else the consequence says it.
_WHY = {
    ("soak", "water"): "Gelatin drinks about five times its mass; all of that goes in with it.",
    ("soak", "minutes"): "Soaked through in cold water it melts without lumps.",
    ("blend", "lifted"): "With the guard well under the surface it draws no air.",
    ("blend", "seconds"): "A minute spreads the fat and melts the last lumps.",
    ("colour", "kind"): "Gel goes in without specks.",
    ("heat", "until"): "How much water boils off decides how thick the glaze is.",
    ("one bath", "bath"): "The window of this formula is where it covers and levels.",
    ("one bath", "minutes"): "One bath brings all jugs to one thickness, if they have the time.",
}


@dataclass(frozen=True)
class Edit:
    """One change of a run, by the places of its actions, which count from nought.

    Parameters
    ----------
    done, instead : mapping or None
        What was done, and what is done in its place.
    why : str
        The reason; empty where the consequence gives it.
    lesson : str
        That gives the reason.
    swap : mapping
        The actions that are done in another way, or left out.
    before : mapping
        What is done besides, before the action at that place.
    says : str
        In words, where *done* and *instead* do not say it.
    at_pour : bool
        Whether it is what any cook would try at the pour: told after the method's own way
        where both mend as much.
    """

    done: Deed | None
    instead: Deed | None
    why: str
    lesson: str
    swap: Mapping[int, Deed | None] = field(default_factory=dict)
    before: Mapping[int, tuple[Deed, ...]] = field(default_factory=dict)
    says: str = ""
    at_pour: bool = False

    @property
    def place(self) -> int:
        """The first action that it touches."""
        return min((*self.swap, *self.before))

    def then(self, other: Edit) -> Edit:
        """Return both changes in one."""
        before = dict(self.before)
        for place, deeds in other.before.items():
            before[place] = (*before.get(place, ()), *deeds)
        return Edit(
            other.done,
            other.instead,
            other.why,
            other.lesson,
            {**self.swap, **other.swap},
            before,
            other.says,
        )

    def end(self, run: Run, late: Callable[[], bool]) -> State | None:
        """Return the bench at the end of the run with this change; None where it is late."""
        first, last = self.place, len(run.actions)
        state = run.outcomes[first - 1].state if first else beginning(run.conditions)
        for place in range(first, last + 1):
            if late():
                return None
            for deed in self.before.get(place, ()):
                state = act(run.conditions, state, deed).state
            done = dict(run.actions[place]) if place < last else None
            done = self.swap.get(place, done)
            if done is not None:
                state = act(run.conditions, state, done).state
        return state


def edits(run: Run, steps: Sequence[Step]) -> list[Edit]:
    """Return each change that could be tried, the latest first: it takes the least time."""
    if not run.actions:
        return []
    cooks = (replace(edit, at_pour=True) for edit in _at_the_pour(run))
    found = [*_amounts(run, steps), *_steps(run, steps), *cooks]
    one = {_known_by(e): e for e in reversed(found)}
    return sorted(one.values(), key=lambda e: -e.place)


def _known_by(edit: Edit) -> str:
    """Return what two edits that change the same have alike, however each was put together."""
    swap = {n: deed and _in_full(deed) for n, deed in sorted(edit.swap.items())}
    before = {n: [_in_full(deed) for deed in deeds] for n, deeds in sorted(edit.before.items())}
    return repr((swap, before))


def _in_full(deed: Mapping[str, Any]) -> list[Any]:
    values = settings_of(deed).values()
    return [deed["do"], *(float(v) if isinstance(v, int | float) else v for v in values)]


# --- the formula --------------------------------------------------------------------------


def _thing(name: str) -> str:
    item, _ = find(name, "")
    return item.name if item else name


def weighed(actions: Sequence[Mapping[str, Any]]) -> dict[str, float]:
    """Return the grams of each ingredient that were weighed or soaked."""
    held: dict[str, float] = {}
    for deed in actions:
        lots = [(deed.get("what"), deed.get("grams"))] if deed["do"] in _MADE else []
        if deed["do"] == "soak":
            lots.append(("water", settings_of(deed)["water"]))
        for name, grams in lots:
            if name is not None and grams is not None:
                held[_thing(str(name))] = held.get(_thing(str(name)), 0.0) + float(grams)
    return held


def measure(run: Run, steps: Sequence[Step]) -> float:
    """Return how many times the method's amounts were made, a plain number."""
    ours, theirs = weighed(run.actions), weighed([step.deed for step in steps])
    shares = [ours[name] / grams for name, grams in theirs.items() if ours.get(name) and grams]
    if not shares:
        return 1.0
    in_order, middle = sorted(shares), len(shares) // 2  # the browser's Python has no statistics
    return (in_order[middle] + in_order[~middle]) / 2


def scaled(deed: Mapping[str, Any], times: float) -> Deed:
    """Return an action with its amounts so many times, to a gram or a tenth."""
    more = {}
    for name in ("grams", "water"):
        takes = ACTIONS[str(deed["do"])].takes
        if name in deed and name in takes:
            most = getattr(takes[name], "high", math.inf)
            value = min(float(deed[name]) * times, most)
            more[name] = float(round(value)) if value >= 100 else round(value, 1)
    return {**deed, **more}


def _amounts(run: Run, steps: Sequence[Step]) -> Iterator[Edit]:
    """Yield each ingredient whose share of the formula is off, and a batch that is larger."""
    times, ours = measure(run, steps), weighed(run.actions)
    theirs = weighed([step.deed for step in steps])
    boiled = sum(v.evaporated for _, v in run.state.vessels)
    for name, grams in theirs.items():
        wanted, held = grams * times, ours.get(name, 0.0)
        most = wanted * (1 + _SHARE) + (boiled if name == "water" else 0.0)
        if not held or wanted * (1 - _SHARE) <= held <= most or not wanted:
            continue
        # the water that gelatin drank stays with it: the rest is what was off
        mine = [
            n
            for n, d in enumerate(run.actions)
            if d["do"] in _MADE and _thing(str(d.get("what"))) == name
        ]
        lots = sum(float(run.actions[n].get("grams", 0)) for n in mine)
        more = 1 + (wanted - held) / lots if lots else 0.0
        if not mine or more <= 0:
            continue
        swap: dict[int, Deed | None] = {}
        for n in mine:
            alone = {k: v for k, v in scaled(run.actions[n], more).items() if k != "water"}
            swap[n] = {**run.actions[n], **alone}
        step = next(s for s in steps if _thing(str(s.deed.get("what"))) == name)
        whole = f"{held:.0f} g of {name} in all; in this formula it is about {wanted:.0f} g"
        yield Edit(
            dict(run.actions[mine[0]]),
            swap[mine[0]],
            "",
            _lesson(step),
            swap,
            says=f"You took {whole}.",
        )


# --- step by step ---------------------------------------------------------------------------


def _keys(deeds: Sequence[Mapping[str, Any]]) -> list[tuple[tuple[str, ...], ...]]:
    """Return what each action does, with what, where and in which part of the work.

    First as narrowly as it can be said, then more widely.
    """
    out: list[tuple[tuple[str, ...], ...]] = []
    phase = ""
    for deed in deeds:
        do = str(deed["do"])
        vessel = str(deed.get("vessel", deed.get("source", "")))
        if do == "weigh":
            kinds: list[tuple[str, ...]] = [(do, _thing(str(deed.get("what"))))]
        elif do in ("cool", "cover", "blend", "sieve"):
            kinds = [(do, vessel, phase, str(deed.get("where", ""))), (do, vessel, phase)]
        elif do in ("soak", "pour", "trial pour"):
            kinds = [(do,)]
        else:
            kinds = [(do, vessel)]
        out.append(tuple(kinds))
        phase = do if do in _LANDMARKS else phase
    return out


def matched(
    actions: Sequence[Mapping[str, Any]], steps: Sequence[Step], stopped: Collection[int] = ()
) -> dict[int, int]:
    """Return which action did what a step does: its place by the step's.

    An action that was ``stopped`` did nothing.
    """
    ours, theirs = _keys(actions), _keys([step.deed for step in steps])
    free = [n for n in range(len(actions)) if n not in stopped]
    places: dict[int, int] = {}
    for wide in range(2):
        for n, kinds in enumerate(theirs):
            if n in places or wide >= len(kinds):
                continue
            match = next((i for i in free if ours[i][wide:] and ours[i][wide] == kinds[wide]), None)
            if match is not None:
                places[n] = match
                free.remove(match)
    return places


def _steps(run: Run, steps: Sequence[Step]) -> Iterator[Edit]:
    """Yield what was done in another way, what is missing, and what is extra."""
    done, times = [dict(a) for a in run.actions], measure(run, steps)
    steps = [
        replace(s, deed=scaled(s.deed, times) if s.deed["do"] in _MADE else s.deed) for s in steps
    ]
    stopped = {n for n, one in enumerate(run.outcomes) if one.stop}
    places = matched(done, steps, stopped)
    alike: dict[tuple[Any, ...], list[int]] = {}  # taken twice, one decision
    for n, i in places.items():
        here, there = settings_of(done[i]), settings_of(steps[n].deed)
        names = [
            k for k in here if here[k] != there[k] and k not in _SETTLED.get(str(done[i]["do"]), ())
        ]
        if names:
            apart = tuple((k, here[k], there[k]) for k in names)
            alike.setdefault((done[i]["do"], *apart), []).append(n)
    for (do, *different), group in alike.items():
        theirs = {name: there for name, _, there in different}
        swap = {places[n]: {**done[places[n]], **theirs} for n in group}
        first = min(swap)
        step = next(steps[n] for n in group if places[n] == first)
        why = next(
            (_WHY[do, name] for name in theirs if (do, name) in _WHY), _why(step, done[first])
        )
        yield Edit(done[first], swap[first], why, _lesson(step), dict(swap))
    one_colour = not any(deed["do"] == "split" for deed in done)
    for n, step in enumerate(steps):
        if one_colour and step.deed["do"] in _FOR_COLOURS:
            continue
        if n not in places:
            i = next((places[m] for m in range(n + 1, len(steps)) if m in places), len(done))
            yield Edit(None, step.deed, step.why, _lesson(step), before={i: (step.deed,)})
    for i in sorted(set(range(len(done))) - set(places.values()) - stopped):
        if done[i]["do"] == "weigh" and _thing(str(done[i].get("what"))) in weighed(
            [step.deed for step in steps]
        ):
            continue  # in two lots: the sum is what counts
        if done[i]["do"] in _HARMLESS:
            continue
        do = str(done[i]["do"])
        why = _EXTRA.get(do, "The method does without it.")
        yield Edit(done[i], None, why, ACTIONS[do].lesson, {i: None})
        if done[i].get("lifted"):
            under = {**done[i], "lifted": 0.0}
            yield Edit(done[i], under, _WHY[do, "lifted"], ACTIONS[do].lesson, {i: under})


_FOR_COLOURS = ("split", "colour", "one bath", "layer")  # nobody misses them in one colour

# Nobody would leave these out.
_HARMLESS = (
    "check thermometer", "check pan", "cold water", "read box", "read", "weigh vessel", "spoon",
    "trial pour", "stir", "sieve", "cover", "wipe", "tap", "trim", "plate",
)  # fmt: skip


# What of an action is held against the method's elsewhere, or doesn't matter.
_SETTLED = {
    "soak": ("grams", "what"),
    "weigh": ("grams", "what"),
    "pour": ("grams", "vessel"),
    "colour": ("shade",),
}


def _why(step: Step, done: Mapping[str, Any]) -> str:
    """Return the reason for a step where it is of what was done otherwise."""
    if step.deed["do"] != "cool" or step.lesson != "gelatin-care":
        return ""
    return step.why if float(done.get("until", 0)) > 80 or not done.get("until") else ""


def _lesson(step: Step) -> str:
    return step.lesson or ACTIONS[str(step.deed["do"])].lesson


# --- at the pour -----------------------------------------------------------------------------


def _at_the_pour(run: Run) -> Iterator[Edit]:
    """Yield what a pastry cook would try at the pour itself."""
    earlier = [beginning(run.conditions), *(one.state for one in run.outcomes)]
    place = next((n for n, one in enumerate(run.outcomes) if one.state.cakes.poured), None)
    if place is None:
        return
    pour, before = dict(run.actions[place]), earlier[place]
    out = next((n for n in range(place) if earlier[n + 1].cakes.out), place)
    wiped = any(a["do"] == "wipe" for a in run.actions[:place])
    if wiped:
        yield Edit(
            None,
            {"do": "wipe"},
            "On frost a glaze slides.",
            "pour",
            before={place: ({"do": "wipe"},)},
            says="Wipe the cakes once more, right before the pour.",
        )
    stood = before.clock - earlier[min(out + 1, place)].clock
    if wiped and stood > _STOOD:
        yield Edit(
            {"do": "take cakes out"},
            {"do": "take cakes out"},
            "Frost gathers by the minute while they stand.",
            "pour",
            {n: None for n in range(out, place) if run.actions[n]["do"] in _CAKES},
            {place: ({"do": "take cakes out"}, {"do": "wipe"})},
            f"Take the cakes out last and wipe them: they stood {stood:.0f} min before the pour.",
        )
    name = str(settings_of(pour)["vessel"])
    held, kitchen = dict(before.vessels)[name], run.conditions.kitchen
    low, high = kitchen.window_low.m_as("degC"), kitchen.window_high.m_as("degC")
    if not low - 0.5 <= held.celsius <= high + 0.5:
        middle = round((low + high) / 2, 1)
        warm = held.celsius < low
        into: Deed = {"do": "rewarm" if warm else "cool", "vessel": name, "until": middle}
        into |= {"bath": middle + 8 if warm else middle - 4, "minutes": 120.0}
        into |= {} if warm else {"where": BATH}
        yield Edit(
            None,
            into,
            "The window of this formula is where it covers and levels.",
            "pour",
            before={out: (into,)},
        )
    cakes = run.outcomes[place].state.cakes
    need = follows.need(cakes.coat, run.conditions)
    poured = min(float(pour.get("grams", held.grams)), held.grams)
    if poured < need:
        yield from _more(run, place, pour, held.grams, need)


_CAKES = ("take cakes out", "wipe")


def _more(run: Run, place: int, pour: Deed, held: float, need: float) -> Iterator[Edit]:
    """Yield a pour of more: of what is there, or of a larger batch."""
    why = "What runs off has to be poured too."
    wanted = float(10 * math.ceil(_MORE * need / 10))
    more = {**pour, "grams": wanted}
    if held >= need:
        more["grams"] = min(wanted, float(math.ceil(held)))
        poured = float(settings_of(pour)["grams"])
        says = f"Pour more: about {more['grams']:.0f} g over all cakes. You poured {poured:.0f} g."
        yield Edit(pour, more, why, "pour", {place: more}, says=says)
        return
    made = sum(weighed(run.actions).values())
    times = wanted / held
    swap: dict[int, Deed | None] = {
        n: scaled(deed, times) for n, deed in enumerate(run.actions[:place]) if deed["do"] in _MADE
    }
    says = (
        f"Make more: about {made * times:.0f} g in place of {made:.0f} g, and pour about "
        f"{wanted:.0f} g over all cakes. There were {held:.0f} g in the jug."
    )
    yield Edit(pour, more, why, "pour", {**swap, place: more}, says=says)
