"""Questions for the eye: a plate is shown, and its fault, cause, check and mend are asked.

Each has an equal for a student who can't see it: the words of somebody who saw the
cake and wrote down what there was, without naming it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from exercises.craft.plates import Plate, of_state, states
from exercises.questions.draws import Draw
from exercises.questions.parts import Asked, ChoicePart, Exhibit, one_right
from exercises.questions.registry import question


@dataclass(frozen=True)
class Cause:
    """A cause of a fault: in words, the row of the log that shows it, and the mend."""

    says: str
    log: tuple[str, str]
    mend: str


@dataclass(frozen=True)
class Seen:
    """What is asked about a state: its two usual causes, and the check between them."""

    causes: tuple[Cause, Cause]
    check: str


# All of it is common practice, as in the lesson "What went wrong?".
FAULTS = {
    "dull": Seen(
        (
            Cause(
                "It was poured too cold",
                ("jug when poured", "27 °C, stirred"),
                "Warm it into the window, stirring",
            ),
            Cause(
                "A skin grew on it",
                ("film on the glaze", "none, for 40 min"),
                "Blend it under the surface, sieve it, keep it covered",
            ),
        ),
        "Read the jug, and ask when the film went on",
    ),
    "pits": Seen(
        (
            Cause(
                "Air was blended in",
                ("blender head", "half out of the glaze"),
                "Keep the head covered, and rest the glaze overnight",
            ),
            Cause(
                "Ice melted under the coat",
                ("cake", "20 min unwrapped, not wiped"),
                "Wipe the face, and pour within a minute",
            ),
        ),
        "Weigh a cup of the glaze, and ask how long the cake lay open",
    ),
    "waves": Seen(
        (
            Cause(
                "It was too cold in the jug",
                ("jug when poured", "27 °C, stirred"),
                "Bring the jug up into the window",
            ),
            Cause(
                "It had lost water",
                ("batch, weighed", "8 % lighter than when new"),
                "Give back what is missing, hot",
            ),
        ),
        "Read the jug, and weigh the batch against its first mass",
    ),
    "thin rim": Seen(
        (
            Cause(
                "It was too warm in the jug",
                ("jug when poured", "40 °C, stirred"),
                "Let the jug come down into the window",
            ),
            Cause(
                "The stream stayed in the middle",
                ("stroke", "three seconds, no lap"),
                "End the stroke with a slow lap inside the edge",
            ),
        ),
        "Read the jug, and ask for the path of the stream",
    ),
    "slid": Seen(
        (
            Cause(
                "Frost lay under it",
                ("cake", "20 min unwrapped, not wiped"),
                "Wipe the face dry, seconds before the pour",
            ),
            Cause(
                "The face was greasy",
                ("face of the cake", "smoothed with an oiled knife"),
                "Smooth the face without fat",
            ),
        ),
        "Ask when it was unwrapped, and rub an open place for grease",
    ),
    "cracks": Seen(
        (
            Cause(
                "It had set too firmly to bend",
                ("gelatin", "platinum, as many grams as of bronze"),
                "Weigh the gelatin for its grade",
            ),
            Cause(
                "It was bent while frozen",
                ("lifted", "with one knife, without its card"),
                "Lift it on its card, with two knives",
            ),
        ),
        "Look up the grade of the gelatin, and ask how it was lifted",
    ),
    "streaks": Seen(
        (
            Cause(
                "It was spread after it had set",
                ("palette knife", "one minute after the pour"),
                "Use no knife, and let it level",
            ),
            Cause(
                "It could not level by itself",
                ("spoon test", "in folds, though in the window; so it was spread"),
                "Try a spoon first, and give back the water that is lost",
            ),
        ),
        "Ask when the knife was used, and what the spoon showed",
    ),
    "muddy": Seen(
        (
            Cause(
                "The layered jug was stirred",
                ("layers", "stirred once, then poured"),
                "Layer from low down, and then leave it alone",
            ),
            Cause(
                "The jugs were too thin to lie apart",
                ("jugs when layered", "42 °C, 41 °C, 42 °C"),
                "Hold every jug in one bath until it thickens",
            ),
        ),
        "Ask what was done to the layers, and how warm the jugs were",
    ),
    "lumps": Seen(
        (
            Cause(
                "The powder went in dry",
                ("colour", "powder, straight from its tin"),
                "Wet the powder first, then sieve",
            ),
            Cause(
                "A crust of gel fell in",
                ("colour", "gel, from a tube with a dry lip"),
                "Clean the lip of the tube, then sieve",
            ),
        ),
        "Rub one between two fingers, and look at how the colour is sold",
    ),
    "drops": Seen(
        (
            Cause(
                "The air of the room left it there",
                ("thawed", "unwrapped, at 25 °C"),
                "Thaw it in its box, in the fridge",
            ),
            Cause(
                "A weak set let it go",
                ("gelatin", "held at 95 °C for 40 min"),
                "Let the base cool before the gelatin",
            ),
        ),
        "Look at the plate beside it, and press the coat",
    ),
    "drips": Seen(
        (
            Cause(
                "It was moved while it still ran",
                ("moved", "one minute after the pour"),
                "Wait on the rack for single drops",
            ),
            Cause(
                "The drips were left to set",
                ("trimmed", "no; moved after a quarter of an hour"),
                "Draw a knife under the edge before it is hard",
            ),
        ),
        "Ask when it was moved, and whether it was trimmed",
    ),
}
# Faults that can be taken for one another: an option is never absurd.
GROUPS = {
    "specks": ("pits", "lumps", "drops", "cracks"),
    "flow": ("waves", "thin rim", "drips", "slid"),
    "face": ("dull", "streaks", "pits", "drops"),
    "colour": ("muddy", "lumps", "streaks", "dull"),
    "edge": ("drips", "waves", "cracks", "thin rim"),
    "open": ("slid", "cracks", "streaks", "thin rim"),
}
SEEN = "What somebody wrote who saw it"


def plate_of(draw: Draw, state: str, use: str) -> Plate:
    """Draw a plate of a state."""
    held = of_state(state, use)
    return held[draw.whole("plate", 0, len(held) - 1)]


def show(plate: Plate, rows: tuple[tuple[str, str], ...], *, told: bool) -> Exhibit:
    """Return the plate, or its words for who can't see it, with the log if there is one."""
    if told:
        return Exhibit(SEEN, ("what", "noted"), (("the glaze", plate.plain_alt), *rows))
    return Exhibit(
        "The glaze, as it is now", ("what", "noted") if rows else (), rows, plate=plate.id
    )


def named(draw: Draw, group: str, use: str, *, told: bool = False) -> Asked:
    """Ask which fault it is, and which check tells its causes apart."""
    faults = GROUPS[group]
    state = draw.one_of("state", faults)
    plate = plate_of(draw, state, use)
    return Asked(
        [
            ChoicePart(
                "Which fault is it?",
                one_right(
                    {name: states()[name].name for name in faults},
                    state,
                    {name: f"There you would see this. {states()[name].why}" for name in faults},
                ),
                worked=plate.why,
            ),
            ChoicePart(
                "It has two usual causes. What tells them apart?",
                one_right(
                    {name: FAULTS[name].check for name in faults},
                    state,
                    {
                        name: f"That is for another fault ({states()[name].name.lower()}). "
                        "Name the two causes first."
                        for name in faults
                    },
                ),
                worked="The causes: "
                + "; or: ".join(cause.says.lower() for cause in FAULTS[state].causes)
                + ".",
            ),
        ],
        exhibit=show(plate, (), told=told),
    )


def logged(draw: Draw, group: str, use: str, *, told: bool = False) -> Asked:
    """Ask for the likeliest cause by plate and log, and for the mend."""
    faults = GROUPS[group]
    state = draw.one_of("state", faults)
    others = tuple(name for name in faults if name != state)
    other = draw.one_of("other", others)
    which = draw.whole("cause", 0, 1)
    plate = plate_of(draw, state, use)
    right = FAULTS[state].causes[which]
    causes = {
        (name, n): one for name in (state, other) for n, one in enumerate(FAULTS[name].causes)
    }
    return Asked(
        [
            ChoicePart(
                "What is the likeliest cause?",
                one_right(
                    {key: one.says for key, one in causes.items()},
                    (state, which),
                    {
                        key: f"Then the log would say of {one.log[0]}: {one.log[1]}. "
                        "Put the glaze and the log side by side."
                        for key, one in causes.items()
                    },
                ),
                worked=f"{plate.why} And the log says of {right.log[0]}: {right.log[1]}.",
            ),
            ChoicePart(
                "What do you change at the next pour?",
                one_right(
                    {key: one.mend for key, one in causes.items()},
                    (state, which),
                    {
                        key: f"That is the mend where this holds: {one.says.lower()}. "
                        "Mend what the log shows."
                        for key, one in causes.items()
                    },
                ),
                worked=f"One thing at a time, the likeliest first: {right.mend}.",
            ),
        ],
        stem="The rest of the log is as it should be.",
        exhibit=show(plate, (right.log,), told=told),
    )


# --- practice: any fault, in mixed order --------------------------------------------------


def any_group(draw: Draw) -> str:
    """Draw one of the groups."""
    return draw.one_of("group", tuple(GROUPS))


@question("eye-fault", outcome="fault-see", level="decide", use="practice", minutes=2)
def fault(draw: Draw) -> Asked:
    """Any fault: its name and the check."""
    return named(draw, any_group(draw), "shown")


@question("eye-fault-told", outcome="fault-see", level="decide", use="practice", minutes=2)
def fault_told(draw: Draw) -> Asked:
    """The same for a student who can't see it."""
    return named(draw, any_group(draw), "shown", told=True)


@question("eye-log", outcome="fault-see", level="decide", use="practice", minutes=3)
def log(draw: Draw) -> Asked:
    """Any fault with a log: its cause and the mend."""
    return logged(draw, any_group(draw), "shown")


@question("eye-log-told", outcome="fault-see", level="decide", use="practice", minutes=3)
def log_told(draw: Draw) -> Asked:
    """The same for a student who can't see it."""
    return logged(draw, any_group(draw), "shown", told=True)


# --- for sheets: a group each, seen and told ------------------------------------------------


def put(prefix: str, plates: str, use: str) -> None:
    """Put twelve picture questions and their twelve equals into the bank."""
    for group in GROUPS:
        for name, ask in (("fault", named), ("log", logged)):
            for told in (False, True):
                ident = f"{prefix}-{group}-{name}" + ("-told" if told else "")
                question(ident, outcome="fault-see", level="decide", use=use, minutes=3)(
                    _asks(ask, group, plates, told)
                )


def _asks(
    ask: Callable[..., Asked], group: str, plates: str, told: bool
) -> Callable[[Draw], Asked]:
    def asked(draw: Draw) -> Asked:
        return ask(draw, group, plates, told=told)

    return asked


put("eye", "shown", "both")
