"""The page *The dry run* as a site has it at first: whole without a script."""

from __future__ import annotations

from course.dry_run.saying import TITLE
from exercises.observing.sheet import at_the_hob

MY_BENCH = "my-bench.html"  # a page of its own beside it
_WITHOUT = (
    "In a browser of today, where scripts may run, you can rehearse here. "
    "On paper, go through the bench plan aloud with a partner who asks why at each step."
)


def dry_run_page(*, live: bool) -> str:
    """Return the page as MyST Markdown with its form."""
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
            _form(live=live),
            "```\n",
        ]
    )


def _form(*, live: bool) -> str:
    ways = "".join(
        f"<option value='{way}'>{says}</option>"
        for way, says in (
            ("guided", "guided"),
            ("free", "free"),
            ("with surprises", "with surprises"),
        )
    )
    data = ' data-live="dry run"' if live else ""
    return (
        f'<form class="gb-panel gb-run"{data} aria-label="{TITLE}" novalidate><fieldset class="gb-boxes" disabled>'
        '<legend class="gb-hidden">The dry run</legend>'
        f'<p class="gb-box"><label for="gb-way">Way</label> <select id="gb-way" class="gb-write">{ways}'
        '</select> <button type="button" class="gb-button" data-new>Begin a new run</button></p>'
        "<div data-bench></div><p>Time so far: <output data-clock>0 min</output></p>"
        '<div data-said role="log" aria-live="polite" aria-label="What you see, read and feel"></div>'
        "<div data-next hidden></div>"
        '<p class="gb-box"><label for="gb-deed">What do you do?</label> '
        '<select id="gb-deed" class="gb-write"></select></p><div data-boxes></div>'
        '<p><button class="gb-button">Do it</button></p>'
        "<details><summary>What you did so far</summary><ol data-done></ol></details>"
        '<p><button type="button" class="gb-button" data-end>Look at the cake, and why</button> '
        '<a class="gb-button" data-save hidden download="run.run.json">Save this run as a file</a></p>'
        '<div data-ended tabindex="-1"></div></fieldset>'
        f'<p class="gb-says" role="status">{_WITHOUT}</p></form>'
    )
