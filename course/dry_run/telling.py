"""What the page of the dry run shows after each action, on a desktop and in a browser alike.

The page sends the log and one action; back come what is seen, the bench as a drawing and
in words, and the log with that action in it.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from html import escape
from typing import Any

from calculators.units import say
from course.dry_run.ending import end_html, seen_html
from course.dry_run.keeping import Kept, file_name, loaded
from course.kit.results import table_html
from exercises.rehearsal import consequences as follows
from exercises.rehearsal import log as logs
from exercises.rehearsal.deeds import ACTIONS, LABELS, Number, Shelf, Word
from exercises.rehearsal.judgement import had_waited
from exercises.rehearsal.log import Run
from exercises.rehearsal.method import Step, method
from exercises.rehearsal.saying import clock, moves, sentence
from exercises.rehearsal.state import BOWL, PAN, TRAY, VESSELS, Conditions, State, Vessel, the

_HOLDS = {"pan": 3000.0, "bowl": 1200.0}  # ml, for the drawing
_JUG = 1500.0
MOST_WAITED = 1440  # min, a day
STEAMING = 75.0  # °C, from here steam is seen
_FILLS = ("empty", "hardly filled", "a quarter full", "half full", "nearly full", "full")


class Telling:
    """Answers the page for one kitchen.

    Parameters
    ----------
    kitchen : mapping
        The values of the kitchen, all text.
    titles : mapping
        The titles of the lessons that this course has, by their slug.
    runs : sequence of mapping, optional
        Those that were set, as :class:`course.dry_run.keeping.Kept` takes them.
    photographed : collection of str
        The plates in whose place this kitchen has photographs.
    """

    def __init__(
        self,
        kitchen: Mapping[str, Any],
        titles: Mapping[str, str],
        runs: Sequence[Mapping[str, Any]] = (),
        photographed: Collection[str] = (),
    ) -> None:
        self._kitchen, self._titles, self._photographed = kitchen, titles, photographed
        self._kept = Kept(kitchen, runs)
        self._last: Run | None = None
        self._steps: tuple[Conditions, list[Step]] | None = None

    def answer(
        self, log: Mapping[str, Any] | None, deed: Mapping[str, Any] | None
    ) -> dict[str, Any]:
        """Return what the page shows: after an action, or of the run as it stands.

        Parameters
        ----------
        log : mapping
            ``way``, ``seed`` and ``actions``; a new run where it has no actions.  Where it
            has them, ``run`` is the name of one that was set, ``student`` whose it is, and
            ``ahead`` what a run that was loaded does next.
        deed : mapping or None
            The action; ``{"do": "end"}`` asks for the cake and why it is so,
            ``{"do": "save"}`` for the file, ``{"do": "load", "file": text}`` takes one, and
            ``{"do": "wait", "place": 3, "minutes": 10}`` asks what if everything had stood.
        """
        log = log or {}
        run, student = self._run(log), str(log.get("student", ""))
        ahead = [dict(a) for a in log.get("ahead", ())]
        said: list[list[str]] = []
        stop = refused = plate = waited = ""
        asks = str(deed.get("do")) if deed is not None else ""
        ended = asks == "end"
        if asks == "load":
            found, refused = loaded(self._kept, str((deed or {}).get("file", "")))
            if found is not None:
                ahead, student = [dict(a) for a in found.actions], found.student
                run = self._kept.begin({"run": found.name, "way": found.way, "seed": found.seed})
                said = [["Loaded", f"A run of {len(ahead)} steps. Go through it with “Do this”."]]
        elif ended:
            while ahead:
                run, _ = run.then(ahead.pop(0))
        elif asks == "wait":
            waited = waited_words(run, deed or {})
        elif deed is not None and asks != "save":
            run, outcome = run.then(deed)
            said = [list(one) for one in outcome.seen]
            stop, refused = outcome.stop, outcome.refused
            plate = seen_html(outcome.plate, "", self._photographed)
            if not refused:  # another way than the run that was loaded
                ahead = ahead[1:] if ahead[:1] == [dict(deed)] else []
        self._last = run
        step = self.next_step(run) if run.way == logs.GUIDED else None
        if ahead:
            step = {"says": sentence(ahead[0]), "why": "", "deed": ahead[0]}
        return {
            "log": {
                "way": run.way,
                "seed": run.seed,
                "actions": [dict(a) for a in run.actions],
                "run": run.name,
                "student": student,
                "ahead": ahead,
            },
            "said": said,
            "plate": plate,
            "waited": waited,
            "stop": stop,
            "refused": refused,
            "done": [sentence(a) for a in run.actions],
            "bench": bench_html(run.state),
            "clock": clock(run.state.clock),
            "next": step,
            "card": card_html(run) if deed is None or asks == "load" else "",
            "forms": forms(run) if deed is None or asks == "load" else [],
            "end": end_html(run, self._titles, self._photographed) if ended else "",
            "file": logs.written_log(run.of(student)) if asks == "save" else "",
            "file_name": file_name(run.of(student)),
        }

    def _run(self, log: Mapping[str, Any]) -> Run:
        run = self._kept.begin(log)
        actions = tuple(dict(a) for a in log.get("actions", ()))
        held = self._last
        same = (run.way, run.seed, run.name, actions)
        if held and (held.way, held.seed, held.name, held.actions) == same:
            return held
        for deed in actions[: logs.MOST_ACTIONS]:
            run, _ = run.then(deed)
        return run

    def next_step(self, run: Run) -> dict[str, Any] | None:
        """Return what a guided run does next, and why: the first step not done yet."""
        done = [(a["do"], a.get("what"), a.get("vessel")) for a in run.actions]
        if self._steps is None or self._steps[0] is not run.conditions:
            self._steps = run.conditions, method(run.conditions)
        for step in self._steps[1]:
            key = (step.deed["do"], step.deed.get("what"), step.deed.get("vessel"))
            if key in done:
                done.remove(key)
                continue
            return {"says": sentence(step.deed), "why": step.why, "deed": step.deed}
        return None


def waited_words(run: Run, asked: Mapping[str, Any]) -> str:
    """Return what would have moved on the cake had everything stood before a step."""
    if not run.state.cakes.poured:
        return "Nothing is on the cakes yet. Pour first, then ask."
    try:
        place, minutes = int(asked["place"]), float(asked["minutes"])
    except (KeyError, TypeError, ValueError):
        return "Write two numbers: minutes, and a step."
    if not (0 <= place < len(run.actions) and 0 < minutes <= MOST_WAITED):
        return (
            f"Write minutes from 1 to {MOST_WAITED}, and a step from 1 to {len(run.actions)}: "
            "one that you did."
        )
    moved = moves(had_waited(run, place, minutes)[:4])
    began = f"Had all stood {minutes:g} min before step {place + 1}, {sentence(run.actions[place])}"
    return f"{began}: {moved or 'nothing moves that a pastry cook would notice'}."


# The actions as they are offered, under what they are for.
GROUPS = {
    "Make ready": ("check thermometer", "check pan", "cold water", "read box", "weigh", "soak"),
    "On the hob": ("heat", "take off"),
    "Put together": ("add gelatin", "combine", "stir", "blend", "sieve"),
    "Cover, cool and warm": ("cover", "cool", "rewarm", "one bath"),
    "Look and measure": ("read", "weigh vessel", "spoon", "trial pour"),
    "Colours": ("split", "colour", "layer"),
    "The cakes": ("take cakes out", "wipe", "pour", "tap", "trim", "plate"),
    "Waste": ("throw away",),
}


def forms(run: Run, offered: Mapping[str, Mapping[str, Any]] | None = None) -> list[dict[str, Any]]:
    """Return the boxes of each action; of those offered, without what is settled already."""
    offered = offered or {name: {} for names in GROUPS.values() for name in names}
    shelf = [line.ingredient for line in run.conditions.kitchen.formula]
    out = []
    for found in (ACTIONS[name] for name in offered):
        boxes: list[dict[str, Any]] = []
        for name, takes in found.takes.items():
            if name in offered[found.name]:
                continue
            if isinstance(takes, Number):
                boxes.append(
                    {
                        "name": name,
                        "label": _label(
                            "over all cakes" if found.name == "pour" and name == "grams" else name,
                            takes,
                            waits="until" in found.takes,
                        ),
                        "start": takes.start,
                    }
                )
            else:
                words = shelf if isinstance(takes, Shelf) else takes.words
                assert isinstance(takes, Shelf | Word)
                boxes.append({"name": name, "label": LABELS.get(name, name), "words": list(words)})
        group = next(group for group, names in GROUPS.items() if found.name in names)
        out.append({"do": found.name, "says": found.says, "boxes": boxes, "group": group})
    return out


def _label(name: str, takes: Number, *, waits: bool) -> str:
    """Return what stands beside the box of a number, with its unit and range."""
    text = LABELS.get(name, name) + ", at most" * (name == "minutes" and waits)
    clock = "; 0: by the clock" * (name == "until" and not takes.low)
    return f"{text} ({takes.low:g} to {takes.high:g} {takes.unit}{clock})"


# --- what a player starts from -------------------------------------------------------------


def card_html(run: Run) -> str:
    """Return the formula, the box of gelatin, the cakes and the window, as a card on the wall."""
    kitchen = run.conditions.kitchen
    rows = [[line.ingredient, say(line.mass)] for line in kitchen.formula]
    wanted = kitchen.gelatin_wanted_bloom or kitchen.gelatin_bloom
    box = (
        f"The formula’s gelatin is of {say(wanted)}; your box says {say(kitchen.gelatin_bloom)}. "
        if any(follows.kind(line.ingredient) == "gelatin" for line in kitchen.formula)
        else ""
    )
    cake = kitchen.cakes[0]
    sizes = ", ".join(f"{name} {say(size)}" for name, size in cake.sizes.items())
    low, high = say(kitchen.window_low), say(kitchen.window_high)
    text = f"{box}To glaze: {cake.count} × {cake.shape}, {sizes}. The window: {low} to {high}."
    return table_html("The formula", ["what", "how much"], rows) + f"<p>{escape(text)}</p>"


# --- the bench, drawn and told ------------------------------------------------------------


def bench_html(state: State) -> str:
    """Return the bench as a drawing, and the same in words."""
    held = dict(state.vessels)
    shown = [(n, held[n]) for n in VESSELS if n in held and held[n].grams > 0]
    words = [_told(name, vessel) for name, vessel in shown]
    words.append(_cakes(state, TRAY in held and held[TRAY].grams > 1))
    if state.water_beside:
        words.append("A bowl of cold water stands beside the hob.")
    drawn = [_drawn(100 * n, name, vessel) for n, (name, vessel) in enumerate(shown)]
    if state.cakes.out or state.cakes.poured:
        frosty = state.cakes.frost > follows.number("frost slides")
        drawn.append(_cake(100 * len(shown), glazed=state.cakes.poured, frosty=frosty))
    wide = 100 * len(drawn)
    picture = (
        f'<svg class="gb-bench" viewBox="0 0 {wide} 100" role="img" aria-label="The bench" '
        f'style="max-width:{wide / 16:.1f}rem">{"".join(drawn)}'
        f'<path d="M0 91 H{wide}" stroke="currentColor" stroke-width="2"/></svg>'
        if drawn
        else ""
    )
    return picture + "<ul>" + "".join(f"<li>{escape(w)}</li>" for w in words) + "</ul>"


def _share(name: str, vessel: Vessel) -> float:
    return min(1.0, vessel.grams / 1.25 / _HOLDS.get(name, _JUG))


def _told(name: str, vessel: Vessel) -> str:
    full = _FILLS[min(5, 1 + round(4 * _share(name, vessel)))]
    told = f"{the(name)} is {full}"
    if full == _FILLS[1]:
        told = f"There is only a little in {the(name).lower()}"
    parts = [f"{told}, in the fridge" if vessel.place == "fridge" else told]
    if vessel.covered:
        parts.append("under film")
    if vessel.colour:
        parts.append(vessel.colour)
    if vessel.celsius > STEAMING:
        parts.append("steaming")
    return ", ".join(parts) + "."


def _cakes(state: State, tray: bool) -> str:
    cakes = state.cakes
    if cakes.poured:
        where = "on their boards" if cakes.plated else "on the rack"
        return f"The cakes are glazed and stand {where}." + (
            " What ran off is in the tray." if tray else ""
        )
    if not cakes.out:
        return "The cakes are in the freezer."
    return "The cakes stand on the rack" + (
        ", white with frost." if cakes.frost > follows.number("frost slides") else "."
    )


_SHADES = {"pink": "#c9406f", "green": "#2f6a45", "ivory": "#efe3c6", "dark": "#3b2016"}


def _drawn(x: int, name: str, vessel: Vessel) -> str:
    """Return a vessel in its own shape, filled as it is; what is drawn is told beside it."""
    full, line = _share(name, vessel), 'fill="none" stroke="currentColor" stroke-width="2"'
    if name == PAN:
        y = 90 - 40 * full
        shape = f"M{x + 10} 48 V90 H{x + 74} V48 M{x + 74} 55 L{x + 98} 50"
        inside = f"M{x + 10} {y:.0f} V90 H{x + 74} V{y:.0f} Z"
        left, right = x + 10.0, x + 74.0
    elif name == BOWL:
        y = 90 - 40 * full
        half = 36 * math.sqrt(max(0.0, 1 - ((y - 50) / 40) ** 2))
        left, right = x + 50 - half, x + 50 + half
        shape = f"M{x + 14} 50 A36 40 0 0 0 {x + 86} 50"
        inside = f"M{left:.0f} {y:.0f} A36 40 0 0 0 {right:.0f} {y:.0f} Z"
    else:
        y = 90 - 58 * full
        left, right = x + 28 - 6 * full, x + 68 + 6 * full
        shape = (
            f"M{x + 14} 26 L{x + 22} 32 L{x + 28} 90 H{x + 68} L{x + 74} 32 "
            f"M{x + 73} 42 q20 0 16 20 q-2 12 -18 12"
        )
        inside = f"M{left:.0f} {y:.0f} L{x + 28} 90 H{x + 68} L{right:.0f} {y:.0f} Z"
    film = (
        f'<path d="M{left:.0f} {y - 2:.0f} H{right:.0f}" stroke="currentColor" stroke-width="3"/>'
    )
    steam = "".join(
        f'<path d="M{left + 12 + 14 * k:.0f} 40 q5 -5 0 -10 q-5 -5 0 -10" {line} opacity=".5"/>'
        for k in range(3)
    )
    return (
        f'<path d="{inside}" fill="{_SHADES.get(vessel.colour, "var(--glaze)")}" opacity=".6"/>'
        f'<path d="{shape}" {line}/>'
        f'<text x="{x + 48}" y="14" text-anchor="middle" font-size="13" fill="currentColor">{name}</text>'
        + (film if vessel.covered else "")
        + (steam if vessel.celsius > STEAMING else "")
    )


def _cake(x: int, *, glazed: bool, frosty: bool) -> str:
    """Return a cake on its rack: bare, frosty or glazed."""
    coat = 'fill="var(--glaze)" opacity=".6"' if glazed else 'fill="none"'
    dots = ' stroke-dasharray="2 4"' if frosty and not glazed else ""
    return (
        f'<path d="M{x + 16} 78 V58 q0 -8 8 -8 h52 q8 0 8 8 V78 Z" {coat}/>'
        f'<path d="M{x + 16} 78 V58 q0 -8 8 -8 h52 q8 0 8 8 V78 Z" fill="none" '
        f'stroke="currentColor" stroke-width="2"{dots}/>'
        f'<path d="M{x + 6} 79 H{x + 94} M{x + 14} 79 V91 M{x + 86} 79 V91" stroke="currentColor" '
        'stroke-width="2"/>'
        f'<text x="{x + 50}" y="40" text-anchor="middle" font-size="13" fill="currentColor">cakes</text>'
    )
