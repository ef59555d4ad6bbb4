"""What the page of the dry run shows after each action, on a desktop and in a browser alike.

The page sends the log and one action; back come what is seen, the bench as a drawing and
in words, and the log with that action in it.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from html import escape
from typing import Any

from course.dry_run.ending import end_html
from course.dry_run.saying import sentence
from exercises.rehearsal import consequences as follows
from exercises.rehearsal import log as logs
from exercises.rehearsal.deeds import ACTIONS, Number, Shelf, Word
from exercises.rehearsal.log import Run
from exercises.rehearsal.method import method
from exercises.rehearsal.state import TRAY, VESSELS, State, Vessel

_HOLDS = {"pan": 3000.0, "bowl": 1200.0}  # ml, for the drawing
_JUG = 1500.0
_FILLS = ("empty", "hardly covered", "a quarter full", "half full", "nearly full", "full")


class Telling:
    """Answers the page for one kitchen.

    Parameters
    ----------
    kitchen : mapping
        The values of the kitchen, all text.
    titles : mapping
        The titles of the lessons that this course has, by their slug.
    photographed : collection of str
        The plates in whose place this kitchen has photographs.
    """

    def __init__(
        self,
        kitchen: Mapping[str, Any],
        titles: Mapping[str, str],
        photographed: Collection[str] = (),
    ) -> None:
        self._kitchen, self._titles, self._photographed = kitchen, titles, photographed
        self._last: Run | None = None

    def answer(
        self, log: Mapping[str, Any] | None, deed: Mapping[str, Any] | None
    ) -> dict[str, Any]:
        """Return what the page shows: after an action, or of the run as it stands.

        Parameters
        ----------
        log : mapping
            ``way``, ``seed`` and ``actions``; a new run where it has no actions.
        deed : mapping or None
            The action; ``{"do": "end"}`` asks for the cake and why it is so.
        """
        run = self._run(log or {})
        said: list[list[str]] = []
        stop = refused = ""
        ended = deed is not None and deed.get("do") == "end"
        if deed is not None and not ended:
            run, outcome = run.then(deed)
            said = [list(one) for one in outcome.seen]
            stop, refused = outcome.stop, outcome.refused
        self._last = run
        step = self.next_step(run) if run.way == logs.GUIDED else None
        return {
            "log": {"way": run.way, "seed": run.seed, "actions": [dict(a) for a in run.actions]},
            "said": said,
            "stop": stop,
            "refused": refused,
            "done": [sentence(a) for a in run.actions],
            "bench": bench_html(run.state),
            "clock": clock(run.state.clock),
            "next": step,
            "forms": forms(run),
            "end": end_html(run, self._titles, self._photographed) if ended else "",
            "file": logs.written_log(run) if ended else "",
        }

    def _run(self, log: Mapping[str, Any]) -> Run:
        way, seed = str(log.get("way", logs.FREE)), str(log.get("seed", ""))
        actions = tuple(dict(a) for a in log.get("actions", ()))
        held = self._last
        if held and (held.way, held.seed, held.actions) == (way, seed, actions):
            return held
        run = logs.begin(self._kitchen, way, seed)
        for deed in actions[: logs.MOST_ACTIONS]:
            run, _ = run.then(deed)
        return run

    def next_step(self, run: Run) -> dict[str, Any] | None:
        """Return what a guided run does next, and why: the first step not done yet."""
        done = [(a["do"], a.get("what"), a.get("vessel")) for a in run.actions]
        for step in method(run.conditions):
            key = (step.deed["do"], step.deed.get("what"), step.deed.get("vessel"))
            if key in done:
                done.remove(key)
                continue
            return {"says": sentence(step.deed), "why": step.why, "deed": step.deed}
        return None


def clock(minutes: float) -> str:
    """Return the time since the beginning, in words."""
    hours, rest = divmod(round(minutes), 60)
    return f"{hours} h {rest:02d} min" if hours else f"{rest} min"


_LABELS = {
    "minutes": "how long, at most",
    "grams": "how much",
    "seconds": "how long",
    "until": "until it shows (at 0 only the time counts)",
    "bath": "water of the bath",
    "second": "share of each small jug",
    "lifted": "guard above the bottom of the jug",
    "vessel": "which vessel",
    "source": "from",
    "shade": "colour",
}


def forms(run: Run) -> list[dict[str, Any]]:
    """Return the boxes of each action."""
    shelf = [line.ingredient for line in run.conditions.kitchen.formula]
    out = []
    for found in ACTIONS.values():
        boxes: list[dict[str, Any]] = []
        for name, takes in found.takes.items():
            if isinstance(takes, Number):
                boxes.append(
                    {
                        "name": name,
                        "label": _LABELS.get(name, name),
                        "unit": takes.unit,
                        "low": takes.low,
                        "high": takes.high,
                        "start": takes.start,
                    }
                )
            else:
                words = shelf if isinstance(takes, Shelf) else takes.words
                assert isinstance(takes, Shelf | Word)
                boxes.append({"name": name, "label": _LABELS.get(name, name), "words": list(words)})
        out.append({"do": found.name, "says": found.says, "boxes": boxes})
    return out


# --- the bench, drawn and told ------------------------------------------------------------


def bench_html(state: State) -> str:
    """Return the bench as a drawing, and the same in words."""
    held = dict(state.vessels)
    shown = [(n, held[n]) for n in VESSELS if n in held and held[n].grams > 0]
    words = [_told(name, vessel) for name, vessel in shown]
    words.append(_cakes(state, TRAY in held and held[TRAY].grams > 1))
    if state.water_beside:
        words.append("A bowl of cold water stands beside the hob.")
    drawn = "".join(_drawn(n, name, vessel) for n, (name, vessel) in enumerate(shown))
    wide = max(1, len(shown)) * 90
    picture = (
        f'<svg viewBox="0 0 {wide} 100" role="img" aria-label="The bench" '
        f'style="max-height:9rem;width:100%">{drawn}'
        f'<path d="M0 90 H{wide}" stroke="currentColor"/></svg>'
        if shown
        else ""
    )
    return picture + "<ul>" + "".join(f"<li>{escape(w)}</li>" for w in words) + "</ul>"


def _share(name: str, vessel: Vessel) -> float:
    return min(1.0, vessel.grams / 1.25 / _HOLDS.get(name, _JUG))


def _told(name: str, vessel: Vessel) -> str:
    full = _FILLS[min(5, 1 + round(4 * _share(name, vessel)))]
    parts = [
        f"The {name} is {full}, in the fridge"
        if vessel.place == "fridge"
        else f"The {name} is {full}"
    ]
    if vessel.covered:
        parts.append("under film")
    if vessel.colour:
        parts.append(vessel.colour)
    if vessel.celsius > 75:
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


def _drawn(n: int, name: str, vessel: Vessel) -> str:
    x, high = 90 * n + 15, 60.0
    level = high * _share(name, vessel)
    film = f'<path d="M{x} {86 - level:.0f} h60" stroke="currentColor" stroke-width="3"/>'
    return (
        f'<rect x="{x}" y="{88 - level:.0f}" width="60" height="{level:.0f}" '
        'fill="var(--glaze)" opacity=".55"/>'
        f'<path d="M{x} 28 V88 H{x + 60} V28" fill="none" stroke="currentColor" stroke-width="2"/>'
        f'<text x="{x + 30}" y="20" text-anchor="middle" font-size="13" fill="currentColor">{name}</text>'
        + (film if vessel.covered else "")
    )
