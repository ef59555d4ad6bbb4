"""Questions on the method: its order, what each step looks like, one stroke for each shape."""

from __future__ import annotations

from exercises.craft.method import Step, method
from exercises.craft.plates import of_state
from exercises.questions.draws import Draw
from exercises.questions.parts import Asked, ChoicePart, Exhibit, OrderPart, one_right
from exercises.questions.registry import question

# What a stroke is drawn for: the shapes whose strokes differ, with a name for the stem.
CAKES = {
    "cylinder": "a cylinder",
    "ring": "a ring",
    "dome": "a dome",
    "log": "a log",
    "slab": "a slab",
}
VERDICTS = {
    "ready": "It is ready",
    "too_much": "It went too far",
    "too_little": "It is not there yet",
}
HINTS = {
    "ready": "What you see is a fault of this step. Ask which way it went.",
    "too_much": "Ask what more heat, time or glaze would do to this look.",
    "too_little": "Ask what less heat, time or glaze would do to this look.",
}
RIBBONS = {"ready": "ribbon right", "too_much": "ribbon warm", "too_little": "ribbon cold"}
RIBBON_SAYS = {
    "ready": "Pour the trial over the offcut",
    "too_much": "Leave it in its bath, stir and wait",
    "too_little": "Warm the bath a little and stir",
}
RIBBON_HINTS = {
    "ready": "Look how long the ribbon stays. Would this glaze level, and still cover a wall?",
    "too_much": "That would thicken it. Look how long the ribbon stays.",
    "too_little": "That would thin it. Look how long the ribbon stays.",
}
_COMES = "Say for each step what it needs from an earlier one. Then read your order again."


def _told_apart(steps: tuple[Step, ...]) -> list[str]:
    """Return the titles of steps; one that both days have says which day it is of."""
    titles = [step.title for step in steps]
    before = {id(step) for step in method().day_before}
    return [
        step.title
        if titles.count(step.title) == 1
        else f"{step.title}, {'the day before' if id(step) in before else 'on the day of the pour'}"
        for step in steps
    ]


def in_order(draw: Draw, steps: tuple[Step, ...], when: str, size: int = 5) -> Asked:
    """Ask for the order of some steps that follow one another."""
    first = draw.whole("first", 0, len(steps) - size)
    asked = steps[first : first + size]
    return Asked(
        [
            OrderPart(
                "Put these steps in order.",
                _told_apart(asked),
                worked="This is the order of the method, with what each step leaves for the next. "
                + " ".join(
                    f"{step.title}: {step.ready[:1].lower()}{step.ready[1:]}" for step in asked
                ),
                says=_COMES,
            )
        ],
        stem=f"The steps are those of {when}, as the method of this course has them.",
    )


@question("make-order-before", outcome="make-order", level="decide", minutes=3)
def order_before(draw: Draw) -> Asked:
    """The order of five steps of the day before."""
    return in_order(draw, method().day_before, "the day before the pour")


@question("make-order-day", outcome="make-order", level="decide", minutes=3)
def order_day(draw: Draw) -> Asked:
    """The order of five steps of the day."""
    steps = tuple(step for step in method().day if step.id not in ("others", "begin"))
    return in_order(draw, steps, "the day of the pour")


def next_step(draw: Draw, steps: tuple[Step, ...], when: str) -> ChoicePart:
    """Ask for the step that comes after one that is done."""
    place = draw.whole("step", 0, len(steps) - 4)
    done, right = steps[place], place + 1
    texts = {n: steps[n].title for n in range(right, place + 4)}
    far = (place + 6) % len(steps)
    if far not in texts and far != place:
        texts[far] = steps[far].title
    hints = {
        n: f"{steps[n].title}: that needs more than this step leaves. Ask what is missing."
        if n > place
        else f"{steps[n].title}: that is done by then. Ask what this step needed before it."
        for n in texts
    }
    return ChoicePart(
        f"{when} you have just done this: {done.title}. It looks as it should. Which step comes "
        "next?",
        one_right(texts, right, hints),
        worked=f"Next comes: {steps[right].title}.",
    )


@question("make-order-after", outcome="make-order", level="decide", minutes=2)
def order_after(draw: Draw) -> ChoicePart:
    """The step that comes next, on the day before."""
    return next_step(draw, method().day_before[1:], "On the day before the pour")


def look(draw: Draw, days: tuple[Step, ...]) -> Asked:
    """Ask what a look says: all three looks of the step can be drawn."""
    steps = [step for step in days if step.ready and step.too_much and step.too_little]
    step = draw.one_of("step", steps)
    seen = draw.one_of("seen", tuple(VERDICTS))
    words = getattr(step, seen).split(":")[0].rstrip(".")
    return Asked(
        [
            ChoicePart(
                "What does this look say?",
                one_right(VERDICTS, seen, HINTS),
                worked=f"Ready: {step.ready} Too much: {step.too_much} "
                f"Too little: {step.too_little}",
            )
        ],
        stem=f"You are at the step: {step.title}. What you see: {words}.",
    )


@question("make-look-words", outcome="make-look", level="decide", minutes=2)
def look_words(draw: Draw) -> Asked:
    """Ready, too much or too little: read from the look of a step."""
    return look(draw, (*method().day_before, *method().day))


def ribbon(draw: Draw, use: str, kinds: tuple[str, ...], *, told: bool = False) -> Asked:
    """Ask what a ribbon says, seen or told, and what comes next."""
    seen = draw.one_of("seen", kinds)
    held = of_state(RIBBONS[seen], use)
    plate = held[draw.whole("plate", 0, len(held) - 1)]
    exhibit = (
        Exhibit("What somebody wrote who saw it", ("seen",), ((plate.plain_alt,),))
        if told
        else Exhibit("The glaze falls from the spatula into its bowl", plate=plate.id)
    )
    return Asked(
        [
            ChoicePart(
                "What does the ribbon say of the glaze?",
                one_right({k: VERDICTS[k] for k in kinds}, seen, HINTS),
                worked=plate.why,
            ),
            ChoicePart(
                "What do you do next?",
                one_right({k: RIBBON_SAYS[k] for k in kinds}, seen, RIBBON_HINTS),
                worked="A ribbon that sinks away slowly is ready. One that stands is too cold, and "
                "where none stays it is too warm.",
            ),
        ],
        stem="The jugs stand in their bath, and you are about to pour.",
        exhibit=exhibit,
    )


@question("make-look-ribbon", outcome="make-look", level="decide", minutes=3)
def look_ribbon(draw: Draw) -> Asked:
    """A ribbon, seen: ready, too warm or too cold."""
    return ribbon(draw, "shown", tuple(RIBBONS))


@question("make-look-ribbon-told", outcome="make-look", level="decide", minutes=3)
def look_ribbon_told(draw: Draw) -> Asked:
    """The same for a student who can't see the picture."""
    return ribbon(draw, "shown", tuple(RIBBONS), told=True)


def of_strokes(
    draw: Draw, field: str, prompt: str, shapes: tuple[str, ...] = tuple(CAKES)
) -> ChoicePart:
    """Ask which of the strokes belongs to a shape, by where it begins, goes or ends."""
    shape = draw.one_of("shape", shapes)
    strokes = method().strokes
    texts = {name: getattr(strokes[name], field) for name in shapes}
    unique = {shape: texts[shape]}
    for name, text in texts.items():
        if text not in unique.values():
            unique[name] = text
    hints = {
        name: f"That is how {CAKES[name]} is poured. Ask where the glaze of the wall comes from here."
        for name in unique
    }
    return ChoicePart(
        prompt.format(cake=CAKES[shape]),
        one_right(unique, shape, hints),
        worked=f"{strokes[shape].stroke} {strokes[shape].watch}",
    )


@question("make-stroke-begins", outcome="make-stroke", level="decide", minutes=2)
def stroke_begins(draw: Draw) -> ChoicePart:
    """What the jug does over a shape."""
    return of_strokes(draw, "stroke", "The cake is {cake}. How is it poured?")


@question("make-stroke-order", outcome="make-stroke", level="decide", minutes=3)
def stroke_order(draw: Draw) -> OrderPart:
    """From the freezer to the trimmed foot, for one shape."""
    shape = draw.one_of("shape", tuple(CAKES))
    stroke = method().strokes[shape]
    return OrderPart(
        f"You pour {CAKES[shape]}. Put this in order.",
        [
            "Wipe the frost off",
            "Hold the lip of the jug 5 to 10 cm above the cake",
            f"Let the stream begin over {stroke.starts}",
            f"Stop: {stroke.stops[0].lower()}{stroke.stops[1:].rstrip('.')}",
            "Tap lightly, two or three times",
            "Trim the foot, when single drops fall",
        ],
        worked=stroke.stroke,
        says="Ask for each step what would happen if it came before the one in front of it.",
    )
