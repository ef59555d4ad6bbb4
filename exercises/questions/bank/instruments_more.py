"""More questions about thermometer and scale, kept from practice."""

from __future__ import annotations

from calculators import instruments
from calculators.units import Quantity, q, say
from exercises.questions.bank.instruments import after_minus
from exercises.questions.draws import Draw
from exercises.questions.parts import (
    Asked,
    ChoicePart,
    Exhibit,
    QuantityPart,
    TablePart,
    WrongTurn,
    one_right,
)
from exercises.questions.registry import question

# --- can I trust this thermometer? -----------------------------------------------------------


@question(
    "kitchen-window-card",
    outcome="check-thermometer",
    level="carry out",
    use="assessed",
    minutes=6,
)
def window_card(draw: Draw) -> Asked:
    """The pouring window on a thermometer that is out: what must it show at both ends?"""
    height = draw.quantity("height", 100, 900, 100, "m")
    boils = q(round(instruments.boiling_here(height).typical.m, 1), "degC")
    ice, boil = draw.one_of("out", ((1.0, -1.5), (-1.0, 1.0), (1.5, -1.0), (-1.5, 1.0)))
    in_ice, in_boiling = q(ice, "degC"), q(round(boils.m + boil, 1), "degC")
    low = draw.temperature("low", 29, 32)
    high = q(low.m + draw.one_of("wide", (3, 4)), "degC")

    def row(end: str, wanted: Quantity) -> QuantityPart:
        shows = instruments.reading_for(wanted, in_ice, in_boiling, boils)
        return QuantityPart(
            f"what it shows at the {end} end",
            answer=shows,
            tolerance="0.2 °C",
            because="the thermometer is read to 0.1 °C",
            marks={"value": 1, "unit": 1},
            wrong_turns=[
                WrongTurn(
                    "only the ice",
                    q(wanted.m + ice, "degC"),
                    "This is the number you get by adding the ice reading alone. "
                    "Ask how far above the ice this end is.",
                ),
                WrongTurn(
                    "only the boiling water",
                    q(wanted.m + boil, "degC"),
                    "This is the number you get by adding the error in boiling water alone. "
                    "Ask how far below boiling this end is.",
                ),
            ],
            working="shown = in ice + true × (in boiling − in ice) / boils at",
            worked=f"{say(in_ice, places=1)} + {say(wanted)} × ({say(in_boiling, places=1)} − "
            f"{after_minus(in_ice.m)}) / {say(boils, places=1)} = {say(shows, digits=4)}",
        )

    return Asked(
        [
            TablePart(
                f"A glaze is poured at a true temperature of {say(low)} to {say(high)}. "
                "What does this thermometer show at each end?",
                {"at the cool end": row("cool", low), "at the warm end": row("warm", high)},
                worked="The same line for both ends.",
            )
        ],
        exhibit=Exhibit(
            "One thermometer",
            ("where", "it shows"),
            [
                ("in ice and water, stirred", say(in_ice, places=1)),
                ("in boiling water", say(in_boiling, places=1)),
                (f"water boils here, at {say(height)}", say(boils, places=1)),
            ],
        ),
    )


# --- where does water boil here? ------------------------------------------------------------


@question(
    "kitchen-two-kitchens",
    outcome="check-boiling-here",
    level="carry out",
    use="assessed",
    minutes=4,
)
def two_kitchens(draw: Draw) -> QuantityPart:
    """The same day in a lower kitchen and in a higher one."""
    low = draw.quantity("lower", 200, 800, 100, "m")
    climb = draw.one_of("climb", (600, 750, 900, 1050, 1200))
    high = q(low.m + climb, "m")
    weather = draw.one_of("weather", (-0.5, -0.4, 0.4, 0.5))
    usual, above = (instruments.boiling_here(h).typical.m for h in (low, high))
    shown = q(round(usual + weather, 1), "degC")
    answer = q(shown.m - (usual - above), "degC")
    return QuantityPart(
        f"A school has two kitchens. In the one at {say(low)} a checked thermometer shows "
        f"{say(shown, places=1)} in boiling water this morning. At what temperature does water boil in the one "
        f"at {say(high, digits=4)}, at the same hour?",
        answer=answer,
        tolerance="0.4 °C",
        because="the rule of 1 °C for 300 m is good to half a degree",
        wrong_turns=[
            WrongTurn(
                "the whole height",
                q(shown.m - high.m / 300, "degC"),
                "This is the number you get by taking off the whole height of the upper kitchen. "
                "Ask where you start counting from.",
            ),
            WrongTurn(
                "the wrong way",
                q(shown.m + (usual - above), "degC"),
                "This is the number you get by going up with the height. "
                "Ask what thin air does to boiling water.",
            ),
            WrongTurn(
                "the same",
                shown,
                "This is the number you get if both kitchens were at one height. "
                "Ask what the climb between them does.",
            ),
        ],
        working="up there = down here − climb / 300 m × 1 °C",
        worked=f"The climb is {climb} m, so {climb} / 300 = {climb / 300:.2g} degrees less than "
        f"{say(shown, places=1)}; worked out exactly it is {say(answer, digits=4)}",
    )


@question(
    "kitchen-how-high",
    outcome="check-boiling-here",
    level="carry out",
    use="assessed",
    minutes=4,
)
def how_high(draw: Draw) -> Asked:
    """A boiling pan of water shows how high a kitchen is."""
    row = draw.one_of("row", (0, 500, 1000, 1500))
    height = q(row + draw.one_of("above", (150, 180, 210, 240, 270, 300, 330)), "m")
    at = {h: instruments.boiling_here(q(h, "m")).typical.m for h in range(0, 2001, 500)}
    shown = q(round(instruments.boiling_here(height).typical.m, 1), "degC")
    above, below = round(at[row], 1), round(at[row + 500], 1)  # as the table has them
    part = round((above - shown.m) / (above - below), 3)
    return Asked(
        [
            QuantityPart(
                f"In a mountain hut a checked thermometer shows {say(shown, places=1)} in boiling "
                "water, on a usual day. About how high up is the hut?",
                answer=height,
                tolerance="60 m",
                because="a tenth of a degree is 30 m, and so the reading is good to two tenths",
                wrong_turns=[
                    WrongTurn(
                        "row below",
                        q(row, "m"),
                        "This is the number you get from the lower of the two rows. Work out how "
                        "far the reading is on the way to the next.",
                    ),
                    WrongTurn(
                        "row above",
                        q(row + 500, "m"),
                        "This is the number you get from the higher of the two rows. Work out how "
                        "far the reading is on the way to it.",
                    ),
                    WrongTurn(
                        "from the wrong end",
                        q(2 * row + 500 - height.m, "m"),
                        "This is the number you get by counting from the wrong row. Ask which of "
                        "the two rows is the hotter one.",
                    ),
                ],
                working="interpolate: go the same fraction of the way in both columns",
                worked=f"the part of the way = ({above:.1f} − {shown.m:.1f}) / ({above:.1f} − "
                f"{below:.1f}) = {part:g}; {row} m + {part:g} × 500 m = "
                f"{say(q(row + 500 * part, 'm'), digits=4)}; the curve itself gives "
                f"{say(height, digits=4)}",
            )
        ],
        exhibit=Exhibit(
            "Where water boils",
            ("height", "boils at"),
            [(say(q(h, "m"), digits=4), f"{t:.1f} °C") for h, t in at.items()],
        ),
    )


# --- can I trust this scale? -----------------------------------------------------------------

_SCALES = {
    "fine": ("step 0.01 g, takes up to 200 g", "Ask what it would have to carry, bowl and all."),
    "small": (
        "step 0.1 g, takes up to 1 kg",
        "Ask what share of this mass its step is, and how much is on it in all.",
    ),
    "bench": (
        "step 1 g, takes up to 5 kg",
        "Compare its step with the mass that matters here, and its limit with all that it carries.",
    ),
    "store": (
        "step 5 g, takes up to 30 kg",
        "Ask what share of the mass that matters 5 g would be.",
    ),
}


@question(
    "kitchen-scale-for-it",
    outcome="check-scale",
    level="decide",
    use="assessed",
    minutes=3,
)
def scale_for_it(draw: Draw) -> Asked:
    """Four scales and one job: step and load both count."""
    case = draw.one_of("case", tuple(_SCALES))
    range_of = {
        "fine": (0.5, 0.9, 0.1, "g"),
        "small": (9, 14, 1, "g"),
        "bench": (60, 90, 5, "g"),
        "store": (6, 9, 0.5, "kg"),
    }[case]
    mass = say(draw.quantity("mass", *range_of))
    job = {
        "fine": f"Onto a slip of paper: {mass} of a colour.",
        "small": f"{mass} of gelatin powder, into a bowl that weighs 300 g with its water.",
        "bench": "A pan with its syrup weighs about 2 kg. You must notice when "
        f"{mass} of it has left as steam.",
        "store": f"{mass} of sugar into a tub, for all the groups of the day.",
    }[case]
    return Asked(
        [
            ChoicePart(
                f"{job} On which scale?",
                one_right({k: (v[0].capitalize(), v[1]) for k, v in _SCALES.items()}, case),
                marks=2,
                worked={
                    "fine": "A tenth of a gram would be more than a tenth of the colour. ",
                    "small": "With the bowl it is too heavy for the finest, and a gram would be "
                    "nearly a tenth of the gelatin. ",
                    "bench": "The pan is too heavy for the small scales, and 5 g is too large a share of "
                    "what has gone. ",
                    "store": "No other scale carries it, and 5 g is next to nothing of that much sugar. ",
                }[case]
                + f"So: {_SCALES[case][0]}.",
                keep_order=True,
            )
        ],
        stem="There are four scales in the store room, and all four are in order.",
    )


_HOW = {
    "as it is": ("Weigh it here as it is", "Ask what share of this mass one gram is."),
    "count": (
        "Don't weigh: take it by the piece",
        "Ask whether a maker has portioned this one for you.",
    ),
    "ten": (
        "Weigh ten times as much, dissolve it, take a tenth",
        "Ask whether it dissolves, whether it is too little, and whether ten times as much may be "
        "made at once.",
    ),
    "finer": (
        "Leave it until a finer scale is there",
        "Ask whether nothing else gives the mass well enough today.",
    ),
}


@question(
    "kitchen-one-gram-step",
    outcome="check-scale",
    level="decide",
    use="assessed",
    minutes=3,
)
def one_gram_step(draw: Draw) -> ChoicePart:
    """One coarse scale and something to weigh: how?"""
    case = draw.one_of("case", tuple(_HOW))
    range_of = {
        "as it is": (180, 420, 20),
        "count": (4, 8, 2),
        "ten": (2, 4, 1),
        "finer": (1, 3, 1),
    }[case]
    mass = say(draw.mass("mass", *range_of))
    what = {
        "as it is": f"{mass} of condensed milk",
        "count": f"{mass} of leaf gelatin; the box says 2 g a leaf",
        "ten": f"{mass} of citric acid, which goes into the base in water anyway; the bag is full",
        "finer": f"{mass} of a white powder that only floats in water, and the law sets a largest "
        "dose for it",
    }[case]
    bowl = draw.mass("bowl", 650, 950, 50)
    return ChoicePart(
        f"The only scale here has a step of 1 g. On it is a bowl of {say(bowl)}, and it is set to zero. "
        f"Next comes {what}. How do you go about it?",
        one_right(_HOW, case),
        marks=2,
        worked={
            "as it is": "One gram is a small part of it. ",
            "count": "Each leaf was weighed by its maker. ",
            "ten": "It is too little for this scale, and a solution can be shared. ",
            "finer": "It is too little for this scale, what floats can't be shared evenly, and a "
            "dose with a limit is not guessed. ",
        }[case]
        + f"{_HOW[case][0]}. The bowl below makes no weighing finer.",
    )


_WHICH_OUT = {
    "one": (
        "Scale 1 is out",
        "Then it would disagree with the litre of water and with scale 2 alike. Compare.",
    ),
    "two": (
        "Scale 2 is out",
        "Then it alone would miss what is known. Ask what in the table is known from outside.",
    ),
    "neither": (
        "Neither: they differ by what their steps allow",
        "Add up what the two steps allow, and see whether the two differ by more in any row.",
    ),
    "bench": (
        "Neither: the reading changes with the place, not with the scale",
        "Then the same scale would show two numbers for one thing. Look for such rows.",
    ),
}


@question(
    "kitchen-which-is-out",
    outcome="check-scale",
    level="decide",
    use="assessed",
    minutes=4,
)
def which_is_out(draw: Draw) -> Asked:
    """Two scales, three things, two places: which one is out?"""
    case = draw.one_of("case", tuple(_WHICH_OUT))
    jar = draw.mass("jar", 480, 720, 20)
    tin = draw.mass("tin", 900, 1200, 50)
    noise = draw.one_of("noise", (-1, 1))
    water = 998  # a litre at 20 °C
    off = draw.one_of("off", (-1, 1)) * 0.012

    def pair(mass: float, by: int) -> tuple[str, str]:
        first, second = mass, mass + by
        if case == "one":
            first = round(mass * (1 + off))
        if case == "two":
            second = round((mass + by) * (1 + off))
        return f"{first:g} g", f"{second:g} g"

    fan = 9 * (case == "bench")
    rows = [
        (
            "a flask of exactly one litre of water, scale at zero with the flask empty",
            *pair(water, noise),
        ),
        ("a closed jar, at the window", *pair(jar.m, 0)),
        ("the same jar, below the fan", *(pair(jar.m + fan, noise))),
        ("a sealed tin", *pair(tin.m, noise)),
    ]
    return Asked(
        [
            ChoicePart(
                "Each scale has a step of 1 g. What do you conclude?",
                one_right(_WHICH_OUT, case),
                marks=2,
                worked={
                    "one": "A litre of water at 20 °C weighs 998 g. Scale 1 misses it, and the "
                    "further the more there is on it. ",
                    "two": "A litre of water at 20 °C weighs 998 g. Scale 2 misses it, and the "
                    "further the more there is on it. ",
                    "neither": "In no row do the two differ by more than their steps allow. ",
                    "bench": "One jar shows two masses on both scales: it is the draught. ",
                }[case]
                + f"{_WHICH_OUT[case][0]}.",
                keep_order=True,
            )
        ],
        stem=f"The jar was filled to weigh about {say(jar)} and the tin about "
        f"{say(tin, digits=4)}; neither was checked.",
        exhibit=Exhibit("At 20 °C", ("on the plate", "scale 1", "scale 2"), rows),
    )
