"""A short run in a lesson: its form on the page, and what it answers.

The form is whole without a script: how things stand, and where the whole dry run is.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import lru_cache
from html import escape
from typing import Any

from calculators.faults import FaultsError
from course.dry_run.ending import seen_html, short_end_html
from course.dry_run.telling import bench_html, forms
from exercises.rehearsal.saying import clock, sentence
from exercises.rehearsal.short import SHORTS, ShortRun

WITHOUT = "In a browser of today, where scripts may run, you can do this here."
_NOT_HERE = "This short run is not for this kitchen’s glaze."


class ShortTelling:
    """Answers the short runs of the lessons for one kitchen.

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

    @lru_cache(maxsize=8)  # noqa: B019 - there is one of these for each page
    def _short(self, name: str) -> ShortRun:
        return ShortRun(name, self._kitchen)

    def answer(
        self, name: str, log: Mapping[str, Any] | None, deed: Mapping[str, Any] | None
    ) -> dict[str, Any]:
        """Return what the page shows: after an action, or of the run as it stands.

        Parameters
        ----------
        name : str
            Of the short run.
        log : mapping
            Its ``actions``.
        deed : mapping or None
            The action.
        """
        short = self._short(name)
        run = short.run((log or {}).get("actions", ()))
        said: list[list[str]] = []
        stop = refused = plate = ""
        if deed is not None and not short.over(run):
            run, outcome = short.then(run, deed)
            said = [list(one) for one in outcome.seen]
            stop, refused = outcome.stop, outcome.refused
            plate = seen_html(outcome.plate, "../", self._photographed)
        done, over = short.done(run), short.over(run)
        return {
            "log": {"actions": [dict(a) for a in done]},
            "said": said,
            "plate": plate,
            "stop": stop,
            "refused": refused,
            "done": [sentence(a) for a in done],
            "bench": bench_html(run.state),
            "clock": clock(run.state.clock - short.opening.state.clock),
            "forms": forms(run, short.takes) if deed is None else [],
            "over": over,
            "end": short_end_html(short, run, self._titles, self._photographed) if over else "",
        }

    def form_html(self, name: str, *, live: bool) -> str:
        """Return the form as a page has it at first; one sentence where this kitchen has none."""
        try:
            opening = self._short(name).opening
        except FaultsError:
            if name not in SHORTS:
                raise
            return f'<p class="gb-says">{_NOT_HERE}</p>'
        short = SHORTS[name]
        data = f' data-live="short run" data-short="{name}"' if live else ""
        return (
            f'<form class="gb-panel gb-run"{data} aria-label="Short run: {escape(short.title)}" '
            'novalidate><fieldset class="gb-boxes" disabled>'
            f'<legend class="vh">Short run</legend><p class="gb-live-title">{escape(short.title)}</p>'
            f"<p>{escape(short.asks)}</p><div data-bench>{bench_html(opening.state)}</div>"
            "<div data-acting hidden><p>Time so far: <output data-clock>0 min</output></p>"
            '<div data-said role="log" aria-live="polite" aria-label="What you see, read and feel">'
            f'</div><div data-next hidden></div><div data-choosing><p class="gb-box">'
            f'<label for="gb-deed-{name}">What do you do?</label> '
            f'<select id="gb-deed-{name}" data-deed class="gb-write"></select></p>'
            '<div data-boxes></div><p><button class="gb-button gb-first">Do it</button></p></div>'
            "<details><summary>What you did so far</summary><ol data-done></ol></details></div>"
            '<div data-ended tabindex="-1"></div>'
            '<p><button type="button" class="gb-button" data-new>Begin</button></p></fieldset>'
            f'<p class="gb-says" role="status">{WITHOUT}</p></form>'
        )

    def text(self, name: str) -> str:
        """Return it in words, for paper and plain Jupyter."""
        short = SHORTS[name]
        return (
            f"**To rehearse: {short.title}.** {short.asks} On the page of the course you can do it."
        )
