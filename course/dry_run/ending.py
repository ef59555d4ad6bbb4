"""The cake at the end of a dry run: its numbers, the plate that is nearest, and why."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from html import escape
from typing import Any

from course.dry_run import DOC, TITLE
from course.kit.results import plate_html, table_html
from exercises.craft.plates import Plate, of_state, states
from exercises.rehearsal import consequences as follows
from exercises.rehearsal.judgement import Judgement, Reason, Row, judge
from exercises.rehearsal.likeness import (
    DRIPS,
    GLOSS,
    NEAR,
    NEAR_TO_RIGHT,
    OTHER_SHAPE,
    Likeness,
    nearest,
)
from exercises.rehearsal.log import Run
from exercises.rehearsal.saying import moves, number, other_way, sentence
from exercises.rehearsal.short import ShortRun
from exercises.rehearsal.state import the

_ALWAYS = ("coat", GLOSS)  # told beside every plate


def end_html(run: Run, titles: Mapping[str, str], photographed: Collection[str] = ()) -> str:
    """Return the cake at the end, with its numbers, the nearest plate and the reasons.

    Parameters
    ----------
    run : Run
        As far as it went.
    titles : mapping
        The titles of the lessons that this course has, by their slug.
    photographed : collection of str
        The plates in whose place this kitchen has photographs.
    """
    judged = judge(run)
    like = nearest(run.state, run.conditions, photographed)
    return "".join(
        [
            _cake(judged),
            _like(like, judged) if like else "",
            _spent(judged, _currency(run)),
            _reasons(judged, titles, "lessons/"),
            _trust(run),
        ]
    )


def short_end_html(
    short: ShortRun, run: Run, titles: Mapping[str, str], photographed: Collection[str] = ()
) -> str:
    """Return what came of a short run, on the page of a lesson: what its decisions moved."""
    judged, whole = short.judge(run), short.finished(run)
    elsewhere = {slug: told for slug, told in titles.items() if slug != short.short.lesson}
    like = nearest(whole.state, whole.conditions, photographed)
    return "".join(
        [
            "<p>The rest was done as the method does it.</p>",
            _cake(short.told(judged)),
            _picture(like.plate, "../") if like and like.near else "",
            _reasons(judged, elsewhere, "", len(short.opening.actions)),
            _trust(run),
            f'<p class="gb-on">Do it again in another way, or go on to the whole of it: '
            f'<a href="../{DOC}.html">{TITLE}</a>.</p>',
        ]
    )


def _cake(judged: Judgement) -> str:
    if not judged.glazed:
        return "<p>Nothing is on the cakes.</p>"
    rows = [[_NAMES.get(r.name, r.name), _value(r), _verdict(r)] for r in judged.rows]
    return table_html("The cake at the end", ["What", "Number", "What you see"], rows)


# What a number is of, where its name alone does not say it.
_NAMES = {
    "gloss": "gloss (of a gloss meter)",
    "clock": "clock: time in the warm, from boil to pour",
    "gelatin": "gelatin: strength left",
    "set": "set: how firm it is",
    "slide": "slide: share of the coat",
    "bare": "bare: share of the cakes",
}


def _verdict(row: Row) -> str:
    band = row.good.replace(" %", "\N{NO-BREAK SPACE}%")
    if row.off < 1:
        return f"good: {band}"
    hidden = number(row.value) in row.good.replace(";", "").split()  # by rounding
    return f"{row.words} ({'just outside what is ' * hidden}good: {band})"


def _picture(plate: Plate, root: str) -> str:
    return plate_html(plate.id, plate.alt, f"{plate.caption} {plate.why}", root=root)


def _like(like: Likeness, judged: Judgement) -> str:
    """Return the plate that is nearest, and how far the cake is from it."""
    plate, far = like.plate, f"{like.distance:.1f}"
    head = "<h3>The plate that is nearest</h3>"
    counts = (
        "The distance adds up what an eye can see: 0 where nobody could tell the two apart, "
        f"about 1 for a plain fault that only one of them has, {OTHER_SHAPE:g} for another shape. "
        f"Above {NEAR:g}, or {NEAR_TO_RIGHT:g} for a plate as it should be, no plate looks like "
        "the cake."
    )
    if not like.near:
        most = sorted(like.numbers, key=lambda one: -one.apart)[:2]
        by = " and ".join(one.cake.name for one in most if one.apart > 0.1)
        return (
            f"{head}<p>No plate of this course looks like this cake. The nearest, "
            f"<em>{escape(states()[plate.state].name)}</em>, is {far} away, most of all by {by}. "
            f"{counts}</p>"
        )
    rows = [
        [
            one.cake.name,
            _value(one.cake),
            _value(one.plate) if one.plate.off or one.cake.name in _ALWAYS else "good",
        ]
        for one in like.numbers
        if one.cake.name in _ALWAYS or max(one.cake.off, one.plate.off) >= 1
    ]
    return (
        head
        + _picture(plate, "")
        + table_html("Your cake beside the plate", ["What", "Your cake", "The plate"], rows)
        + _not_seen(like, judged)
        + f"<p>Your cake is {far} away from this plate. {counts} The plate’s coat is told as it "
        "would weigh beside the coat of this kitchen.</p>"
    )


def _not_seen(like: Likeness, judged: Judgement) -> str:
    """Return what is wrong with a cake though it looks like a plate as it should be."""
    wrong = [_NAMES.get(row.name, row.name) for row in judged.rows if row.off >= 1]
    if like.plate.kind != "right" or not wrong:
        return ""
    return (
        "<p>It looks like this plate and still is not as it should be. A picture hardly shows "
        f"what is not good here ({escape('; '.join(wrong))}).</p>"
    )


def seen_html(state: str, root: str, photographed: Collection[str] = ()) -> str:
    """Return a plate that looks like what is seen on the bench; none where there is none."""
    found = [one for one in of_state(state) if one.id not in photographed] if state else []
    return _picture(found[0], root) if found else ""


def _spent(judged: Judgement, currency: str) -> str:
    money = f" What went in cost {judged.cost:.2f} {currency}." if judged.cost else ""
    return (
        f"<p>{judged.water_lost:.0f} g of water left as steam; {judged.wasted:.0f} g of glaze "
        f"is neither on a cake nor in the tray{_where(judged)}.{money}</p>"
    )


def _where(judged: Judgement) -> str:
    """Return where glaze is that is neither on a cake nor in the tray."""
    places = {"waste": "thrown away, in the sieve, on the offcut or off the foot"}
    told = [
        f"{grams:.0f} g {places.get(name, f'in {the(name).lower()}')}"
        for name, grams in judged.left
    ]
    return f": {', '.join(told)}" if told else ""


def _currency(run: Run) -> str:
    prices = [price for _, _, price, _ in run.kitchen["formula"] if price]
    return str(prices[0]).split()[-1] if prices else ""


def _reasons(judged: Judgement, titles: Mapping[str, str], lessons: str, first: int = 0) -> str:
    """Return why; ``lessons`` leads to the lessons, and step 1 is the action ``first``."""
    parts = []
    if judged.reasons:
        told = "".join(f"<li>{_reason(r, titles, lessons, first)}</li>" for r in judged.reasons)
        parts.append(f"<h3>What mattered most</h3><ol>{told}</ol>")
    elif judged.glazed:
        good = all(row.off < 1 for row in judged.rows)
        parts.append(
            "<p>All its numbers are good. There is nothing to mend.</p>"
            if good
            else "<p>No single decision would have made it better.</p>"
        )
    if judged.beside:
        parts.append(f"<p>Whether it shows here or not: {escape(' '.join(judged.beside))}</p>")
    if not judged.whole:
        parts.append("<p>The search was stopped before every other way had been tried.</p>")
    if judged.surprises:
        said = " ".join(judged.surprises)
        parts.append(f"<h3>What nobody told you</h3><p>{escape(said)}</p>")
    if judged.stops:
        times = {1: "once", 2: "twice"}.get(len(judged.stops), f"{len(judged.stops)} times")
        parts.append(f"<p>The run stopped {times} for safety.</p>")
    return "".join(parts)


def _reason(reason: Reason, titles: Mapping[str, str], lessons: str, first: int) -> str:
    if reason.says:
        text = reason.says
    elif reason.instead is None:
        text = f"Leave out: {_named(reason.done or {})}."
    elif reason.done is None:
        text = f"Missing: {_named(reason.instead)}."
    else:
        text = other_way(reason.done, reason.instead)
    moved = moves(reason.moved)
    title = titles.get(reason.lesson)
    link = f' <a href="{lessons}{reason.lesson}.html">{escape(title)}</a>' if title else ""
    place = reason.place - first
    unsafe = (reason.instead or {}).get("do") == "throw away"
    then = "Then nothing unsafe is served." if unsafe else "Then the cakes are glazed."
    after = "With that mended, this comes next. " if reason.after else ""
    back = (
        f' <button type="button" class="gb-button" data-back="{place}">'
        f"Go back to before step {place + 1}</button>"
    )
    return (
        f"{after}<strong>{escape(text)}</strong> {escape(reason.why)}{link}<br>"
        f"{f'What that moves: {escape(moved)}.' if moved else then}<br>{back}"
    )


def _named(deed: Mapping[str, Any]) -> str:
    return sentence(deed).replace(": ", ", ", 1)  # a colon stands before it


def _trust(run: Run) -> str:
    text = (
        "How far to trust this: the coat, the frost and the air come from "
        "bands with typical values, many from memory. Which way a change goes is surer than "
        "how far. Your own scale and your own cake have the last word."
    )
    if not any(
        follows.kind(line.ingredient) == "gelatin" for line in run.conditions.kitchen.formula
    ):
        text += (
            " And no gelatin is in this formula. The dry run knows no other gel, so don’t rely on "
            "what it says of how the coat holds on the cake."
        )
    return f'<p class="gb-from">{text}</p>'


def _value(row: Row) -> str:
    if row.name == DRIPS:
        return "hang" if row.value else "none"
    return f"{number(row.value)} {row.unit}".strip()
