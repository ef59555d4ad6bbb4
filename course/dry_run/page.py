"""The page *The dry run* as a site has it at first: whole without a script."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from typing import Any

from course.dry_run import TITLE
from exercises.observing.sheet import at_the_hob
from exercises.rehearsal.log import WAYS
from exercises.sheets.sheet import say_date

MY_BENCH = "my-bench.html"  # a page of its own beside it
_WITHOUT = (
    "In a browser of today, where scripts may run, you can rehearse here. "
    "On paper, go through the bench plan aloud with a partner who asks why at each step."
)


_WAITED = (
    '<p class="gb-gaps gb-waited">What if I had waited <input class="gb-write" data-wait-minutes '
    'value="10" inputmode="decimal" aria-label="minutes" style="--letters:3"> min before step '
    '<input class="gb-write" data-wait-step value="1" inputmode="numeric" aria-label="step" '
    'style="--letters:2">? <button type="button" class="gb-button" data-wait>Work it out</button>'
    '</p><p data-waited role="status"></p>'
)


def dry_run_page(*, live: bool, runs: Iterable[Any] = ()) -> str:
    """Return the page as MyST Markdown with its form; ``runs`` are those that were set."""
    runs = list(runs)
    return "\n".join(
        [
            f"# {TITLE}\n",
            "Rehearse the practical before the sugar is hot. You act; the bench answers with what "
            "you would see, read and feel. Time passes only when you do something. "
            "Several ways lead to a good cake, and a mistake costs nothing here.\n",
            "Nothing is marked. At the end you see the cake with its numbers, and which "
            "decisions mattered most. Your local rules and your supervisor come first.\n",
            "```{raw} html",
            f'<p>At a real bench, when no observer watches you: <a href="{MY_BENCH}">My own bench</a> '
            "has the rows of an observer's sheet, with weighing and a log, and without marks. "
            f"{at_the_hob()}</p>",
            "```\n",
            "```{raw} html",
            _form(runs, live=live),
            "```\n",
        ]
    )


def _form(runs: Sequence[Any], *, live: bool) -> str:
    ways = "".join(f"<option value='{way}'>{way}</option>" for way in WAYS)
    data = ' data-live="dry run"' if live else ""
    return (
        f'<form class="gb-panel gb-run"{data} aria-label="{TITLE}" novalidate><fieldset class="gb-boxes" disabled>'
        '<legend class="vh">The dry run</legend>'
        f"{_set_runs(runs)}"
        f'<p class="gb-box"><label for="gb-way">Way</label> <select id="gb-way" class="gb-write">{ways}'
        '</select> <button type="button" class="gb-button" data-new>Begin a new run</button></p>'
        '<p data-sure role="status"></p>'
        "<details open><summary>The formula, the cakes and the window</summary>"
        "<div data-card></div></details><div data-bench></div><p>Time so far: <output data-clock>0 min</output></p>"
        '<div data-said role="log" aria-live="polite" aria-label="What you see, read and feel"></div>'
        "<div data-next hidden></div>"
        '<p class="gb-box"><label for="gb-deed">What do you do?</label> '
        '<select id="gb-deed" class="gb-write"></select></p><div data-boxes></div>'
        '<p><button class="gb-button gb-first">Do it</button></p>'
        "<details><summary>What you did so far, and what if</summary><ol data-done></ol>"
        f"{_WAITED}</details>"
        '<p><button type="button" class="gb-button" data-end>Look at the cake, and why</button></p>'
        f'<div data-ended tabindex="-1"></div>{_keeping()}</fieldset>'
        f'<p class="gb-says" role="status">{_WITHOUT}</p></form>'
    )


def _set_runs(runs: Sequence[Any]) -> str:
    """Return the box in which a run is chosen; nothing where none was set."""
    if not runs:
        return ""
    chosen = "".join(
        f'<option value="{escape(run.name)}">{escape(run.title)}</option>' for run in runs
    )
    by = "; ".join(
        f"{escape(run.title)}{f', by {say_date(run.hand_in_by.isoformat())}' if run.hand_in_by else ''}"
        for run in runs
    )
    return (
        f"<p>Set for your class, to be handed in: {by}.</p>"
        '<p class="gb-box"><label for="gb-which">Which run</label> <select id="gb-which" '
        f'class="gb-write"><option value="">one of my own</option>{chosen}</select></p>'
    )


def _keeping() -> str:
    """Return what saves a run as a file, and loads one."""
    return (
        "<details><summary>Save this run, hand it in, or load one</summary>"
        '<p class="gb-box"><label for="gb-student">Your sheet’s token, or your name</label> '
        '<input id="gb-student" class="gb-write" maxlength="100" autocomplete="off"></p>'
        "<p>It is written in the file, so that your lecturer knows whose run it is. Leave it empty "
        "where nothing is handed in. A run earns no marks: it is recorded and commented on.</p>"
        '<p><button type="button" class="gb-button" data-keep>Save this run as a file</button> '
        "<a data-save hidden>The file</a></p>"
        '<p class="gb-box"><label for="gb-load">Load a saved run</label> '
        '<input id="gb-load" type="file" accept=".json,application/json"></p>'
        "<p>It begins again from the start: go through it step by step, or do something else "
        "at any step and see what comes of it.</p></details>"
    )
