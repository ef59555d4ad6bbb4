"""Questions on the method that stand on assessed sheets only."""

from __future__ import annotations

from exercises.craft.method import method
from exercises.craft.plates import of_state
from exercises.questions.bank.make import in_order, look, next_step, of_strokes, ribbon
from exercises.questions.draws import Draw
from exercises.questions.parts import Asked, ChoicePart, Exhibit, one_right
from exercises.questions.registry import question

KEPT = ("too_much", "too_little")
WATCHED = ("cylinder", "ring", "log", "slab")  # the note on domes names them


@question("make-order-night", outcome="make-order", level="decide", use="assessed", minutes=4)
def order_night(draw: Draw) -> Asked:
    """Six steps across the night."""
    steps = (*method().day_before[5:], *method().day[1:4])
    return in_order(draw, steps, "both days, across the night", size=6)


@question("make-order-pour", outcome="make-order", level="decide", use="assessed", minutes=4)
def order_pour(draw: Draw) -> Asked:
    """Six steps around the pour."""
    steps = tuple(s for s in method().day[3:] if s.id != "others")
    return in_order(draw, steps, "the day, around the pour", size=6)


@question("make-order-next", outcome="make-order", level="decide", use="assessed", minutes=3)
def order_next(draw: Draw) -> ChoicePart:
    """The step that comes next, on the day of the pour."""
    steps = tuple(s for s in method().day if s.id not in ("others", "begin"))
    return next_step(draw, steps, "On the day of the pour")


@question("make-look-before", outcome="make-look", level="decide", use="assessed", minutes=3)
def look_before(draw: Draw) -> Asked:
    """A look of the day before."""
    return look(draw, method().day_before)


@question("make-look-day", outcome="make-look", level="decide", use="assessed", minutes=3)
def look_day(draw: Draw) -> Asked:
    """A look of the day."""
    return look(draw, method().day)


@question("make-look-fall", outcome="make-look", level="decide", use="assessed", minutes=3)
def look_fall(draw: Draw) -> Asked:
    """A ribbon that practice never shows."""
    return ribbon(draw, "kept", KEPT)


@question("make-look-fall-told", outcome="make-look", level="decide", use="assessed", minutes=3)
def look_fall_told(draw: Draw) -> Asked:
    """The same for a student who can't see the picture."""
    return ribbon(draw, "kept", KEPT, told=True)


WORK = {
    "leaf dry": ("Lay it in cold water", "That is for stiff, clear sheets. Say what you see here."),
    "base creamy": (
        "Blend it, head down",
        "That is for a pan of one even colour. Say what you see.",
    ),
    "layered jug": ("Pour it, in one stroke", "That is for rings of colour in a jug. Look again."),
}


def work(draw: Draw, *, told: bool) -> Asked:
    """Ask what a picture of the work asks for."""
    state = draw.one_of("state", tuple(WORK))
    plate = of_state(state, "kept")[0]
    exhibit = (
        Exhibit("What somebody wrote who saw it", ("seen",), ((plate.plain_alt,),))
        if told
        else Exhibit("At the bench", plate=plate.id)
    )
    return Asked(
        [ChoicePart("What is the next thing to do?", one_right(WORK, state), worked=plate.why)],
        stem="A colleague was called away and has left this to you.",
        exhibit=exhibit,
    )


@question("make-look-work", outcome="make-look", level="decide", use="assessed", minutes=2)
def look_work(draw: Draw) -> Asked:
    """What a picture of the work asks for."""
    return work(draw, told=False)


@question("make-look-work-told", outcome="make-look", level="decide", use="assessed", minutes=2)
def look_work_told(draw: Draw) -> Asked:
    """The same for a student who can't see the picture."""
    return work(draw, told=True)


@question("make-stroke-starts", outcome="make-stroke", level="decide", use="assessed", minutes=2)
def stroke_starts(draw: Draw) -> ChoicePart:
    """Where the stroke begins."""
    return of_strokes(draw, "starts", "The cake is {cake}. Where does the stroke begin?")


@question("make-stroke-stops", outcome="make-stroke", level="decide", use="assessed", minutes=2)
def stroke_stops(draw: Draw) -> ChoicePart:
    """When to stop."""
    return of_strokes(draw, "stops", "The cake is {cake}. When is the stroke over?")


@question("make-stroke-watch", outcome="make-stroke", level="decide", use="assessed", minutes=2)
def stroke_watch(draw: Draw) -> ChoicePart:
    """What goes wrong first on a shape."""
    return of_strokes(draw, "watch", "The cake is {cake}. What do you watch for?", WATCHED)
