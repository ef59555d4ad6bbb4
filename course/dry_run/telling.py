"""What the page of the dry run shows after each action, on a desktop and in a browser alike.

The page sends the log and one action; back come what is seen, the bench as a drawing and
in words, and the log with that action in it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from typing import Any

from course.dry_run.keeping import Kept, file_name, loaded
from exercises.rehearsal import consequences as follows
from exercises.rehearsal import log as logs
from exercises.rehearsal.deeds import ACTIONS, Number, Shelf, Word
from exercises.rehearsal.judgement import Judgement, Reason, judge
from exercises.rehearsal.log import Run
from exercises.rehearsal.method import method
from exercises.rehearsal.saying import clock, number, sentence
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
    runs : sequence of mapping, optional
        Those that were set, as :class:`course.dry_run.keeping.Kept` takes them.
    """

    def __init__(
        self,
        kitchen: Mapping[str, Any],
        titles: Mapping[str, str],
        runs: Sequence[Mapping[str, Any]] = (),
    ) -> None:
        self._kitchen, self._titles = kitchen, titles
        self._kept = Kept(kitchen, runs)
        self._last: Run | None = None

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
            ``{"do": "save"}`` for the file, and ``{"do": "load", "file": text}`` takes one.
        """
        log = log or {}
        run, student = self._run(log), str(log.get("student", ""))
        ahead = [dict(a) for a in log.get("ahead", ())]
        said: list[list[str]] = []
        stop = refused = ""
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
        elif deed is not None and asks != "save":
            run, outcome = run.then(deed)
            said = [list(one) for one in outcome.seen]
            stop, refused = outcome.stop, outcome.refused
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
            "stop": stop,
            "refused": refused,
            "done": [sentence(a) for a in run.actions],
            "bench": bench_html(run.state),
            "clock": clock(run.state.clock),
            "next": step,
            "forms": forms(run),
            "end": self.end_html(judge(run)) + _without_gelatin(run) if ended else "",
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
        for step in method(run.conditions):
            key = (step.deed["do"], step.deed.get("what"), step.deed.get("vessel"))
            if key in done:
                done.remove(key)
                continue
            return {"says": sentence(step.deed), "why": step.why, "deed": step.deed}
        return None

    def end_html(self, judged: Judgement) -> str:
        """Return the cake at the end, with its numbers and the reasons."""
        parts = ["<h3>The cake at the end</h3>"]
        money = f" What went in cost {judged.cost:.2f} {self._currency()}." if judged.cost else ""
        if not judged.glazed:
            parts.append("<p>Nothing is on the cakes.</p>")
        else:
            rows = "".join(
                f"<tr><th scope=row>{escape(r.name)}</th><td>{number(r.value)} {escape(r.unit)}</td>"
                f"<td>{escape(r.words) if r.off >= 1 else 'good'}</td></tr>"
                for r in judged.rows
            )
            parts.append(
                "<table><thead><tr><th scope=col>What</th><th scope=col>Number</th>"
                f"<th scope=col>What you see</th></tr></thead><tbody>{rows}</tbody></table>"
            )
        parts.append(
            f"<p>{judged.water_lost:.0f} g of water left as steam; {judged.wasted:.0f} g of glaze "
            f"is neither on a cake nor in the tray.{money}</p>"
        )
        if judged.reasons:
            parts.append("<h3>What mattered most</h3><ol>")
            parts += [f"<li>{self._reason(r)}</li>" for r in judged.reasons]
            parts.append("</ol>")
        elif judged.glazed:
            parts.append("<p>No single decision would have made it better.</p>")
        if judged.surprises:
            said = " ".join(judged.surprises)
            parts.append(f"<h3>What nobody told you</h3><p>{escape(said)}</p>")
        if judged.stops:
            parts.append(f"<p>The run stopped for safety {len(judged.stops)} ×.</p>")
        parts.append(
            '<p class="gb-from">How far to trust this: the coat, the frost and the air come from '
            "bands with typical values, many from memory. Which way a change goes is surer than "
            "how far. Your own scale and your own cake have the last word.</p>"
        )
        return "".join(parts)

    def _currency(self) -> str:
        prices = [price for _, _, price, _ in self._kitchen["formula"] if price]
        return prices[0].split()[-1]

    def _reason(self, reason: Reason) -> str:
        if reason.instead is None:
            text = f"Leave out: {sentence(reason.done or {})}."
        elif reason.done is None:
            text = f"Missing: {sentence(reason.instead)}."
        else:
            text = f"You did: {sentence(reason.done)}. Try instead: {sentence(reason.instead)}."
        moved = "; ".join(f"{n} {number(a)} → {number(b)}" for n, a, b in reason.moved)
        title = self._titles.get(reason.lesson)
        link = f' <a href="lessons/{reason.lesson}.html">{escape(title)}</a>.' if title else ""
        back = (
            f' <button type="button" class="gb-button" data-back="{reason.place}">'
            f"Go back to before step {reason.place + 1}</button>"
        )
        return f"{escape(text)} {escape(reason.why)} {escape(moved)}.{link}{back}"


def _without_gelatin(run: Run) -> str:
    if any(follows.kind(line.ingredient) == "gelatin" for line in run.conditions.kitchen.formula):
        return ""
    return (
        '<p class="gb-from">How far to trust this: no gelatin is in this formula. The dry run works '
        "out no other set, so how it holds on the cake is not to be believed.</p>"
    )


# How what an action takes is said beside its box.
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
