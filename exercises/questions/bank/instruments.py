"""Questions about instruments: thermometer, boiling water and scale."""

from __future__ import annotations

from calculators import instruments
from calculators.units import Quantity, q, say
from exercises.questions.draws import Draw
from exercises.questions.parts import (
    Asked,
    ChoicePart,
    ChoicesPart,
    Exhibit,
    Option,
    QuantityPart,
    WrongTurn,
    one_right,
)
from exercises.questions.registry import question


def _signed(degrees: float) -> str:
    return say(q(degrees, "degC"), places=1)


def after_minus(degrees: float) -> str:
    """Return degrees as they stand after a minus: below zero in brackets."""
    return f"({_signed(degrees)})" if degrees < 0 else _signed(degrees)


# --- can I trust this thermometer? -----------------------------------------------------------

_OUT = ((1.0, -1.5), (-1.0, 1.0), (0.5, -1.5), (1.5, -1.0), (-1.5, 1.0), (-0.5, 1.5))


def _thermometer(draw: Draw) -> tuple[Quantity, Quantity, Quantity, Exhibit]:
    """Draw a kitchen and a thermometer that is out at both ends."""
    height = draw.quantity("height", 150, 1050, 150, "m")
    ice, boil = draw.one_of("out", _OUT)
    boils = q(round(instruments.boiling_here(height).typical.m, 1), "degC")
    in_ice, in_boiling = q(ice, "degC"), q(round(boils.m + boil, 1), "degC")
    card = Exhibit(
        "One thermometer",
        ("where", "it shows"),
        [
            ("in ice and water, stirred", _signed(ice)),
            ("in boiling water", say(in_boiling, places=1)),
            (f"water boils here, at {say(height, digits=4)}", say(boils, places=1)),
        ],
    )
    return in_ice, in_boiling, boils, card


@question("kitchen-two-point", outcome="check-thermometer", level="carry out", minutes=5)
def two_point(draw: Draw) -> Asked:
    """A thermometer that is out at both ends: how hot is the pan?"""
    in_ice, in_boiling, boils, card = _thermometer(draw)
    shown = draw.temperature("shown", 106, 118)
    true = instruments.true_temperature(shown, in_ice, in_boiling, boils)
    return Asked(
        [
            QuantityPart(
                f"It shows {say(shown)} in a pan of syrup. How hot is the syrup?",
                answer=true,
                tolerance="0.3 °C",
                because="the thermometer is read to 0.1 °C three times",
                wrong_turns=[
                    WrongTurn(
                        "only the ice",
                        q(shown.m - in_ice.m, "degC"),
                        "This is the number you get by taking off the ice reading alone. "
                        "Look at the reading in boiling water as well.",
                    ),
                    WrongTurn(
                        "as shown",
                        shown,
                        "This is the number you get without any correction. "
                        "Look at what the thermometer showed in ice and in boiling water.",
                    ),
                    WrongTurn(
                        "the wrong way",
                        q(2 * shown.m - true.m, "degC"),
                        "This is the number you get with the correction put on the wrong way. "
                        "Decide first whether it reads too high or too low there.",
                    ),
                ],
                working="true = (shown − in ice) × boils at / (in boiling − in ice)",
                worked=f"({say(shown)} − {after_minus(in_ice.m)}) × {say(boils, places=1)} / "
                f"({say(in_boiling, places=1)} − {after_minus(in_ice.m)}) = {say(true, digits=4)}",
            )
        ],
        exhibit=card,
    )


@question("kitchen-card", outcome="check-thermometer", level="carry out", minutes=5)
def card(draw: Draw) -> Asked:
    """The recipe wants so much: what must this thermometer show?"""
    in_ice, in_boiling, boils, exhibit = _thermometer(draw)
    wanted = draw.temperature("wanted", 106, 118)
    shows = instruments.reading_for(wanted, in_ice, in_boiling, boils)
    other = instruments.true_temperature(wanted, in_ice, in_boiling, boils)
    return Asked(
        [
            QuantityPart(
                f"A syrup must reach a true temperature of {say(wanted)}. What must the thermometer "
                "show when you take the pan off?",
                answer=shows,
                tolerance="0.3 °C",
                because="the thermometer is read to 0.1 °C three times",
                wrong_turns=[
                    WrongTurn(
                        "the wrong way",
                        other,
                        "This is the number you get with the wanted temperature taken for "
                        "the reading. Ask yourself which of the two you are looking for.",
                    ),
                    WrongTurn(
                        "only the ice",
                        q(wanted.m + in_ice.m, "degC"),
                        "This is the number you get by adding the ice reading alone. "
                        "Look at the reading in boiling water as well.",
                    ),
                    WrongTurn(
                        "as it is wanted",
                        wanted,
                        "This is the number you get without any correction. "
                        "Look at what the thermometer showed in ice and in boiling water.",
                    ),
                ],
                working="shown = in ice + true × (in boiling − in ice) / boils at",
                worked=f"{_signed(in_ice.m)} + {say(wanted)} × ({say(in_boiling, places=1)} − "
                f"{after_minus(in_ice.m)}) / {say(boils, places=1)} = {say(shows, digits=4)}",
            )
        ],
        exhibit=exhibit,
    )


@question("kitchen-ice-bath", outcome="check-thermometer", level="recall", minutes=1)
def ice_bath(draw: Draw) -> ChoicePart:
    """Which cup is at the ice point?"""
    cup = draw.one_of("cup", ("a tall cup", "a jug", "a beaker"))
    return ChoicePart(
        f"You fill {cup} to check a thermometer at the ice point. What do you put in?",
        [
            Option("Much crushed ice with some cold water, stirred", right=True),
            Option(
                "Cold water with three or four ice cubes, stirred",
                says="At the bottom it can be several degrees warmer. Ask where the tip will be.",
            ),
            Option(
                "Ice straight from the freezer, drained",
                says="Ice just out of a freezer is colder than melting ice. Ask what else has to be "
                "in the cup.",
            ),
            Option(
                "Crushed ice with salted water, stirred",
                says="Salt makes melting ice colder. Ask which two things alone stay at 0 °C.",
            ),
        ],
        worked="Much crushed ice, little water, and stir: together they stay at 0 °C.",
    )


@question(
    "kitchen-three-thermometers",
    outcome="check-thermometer",
    level="decide",
    minutes=3,
)
def three_thermometers(draw: Draw) -> Asked:
    """Three thermometers, two cups: which one is right as it is?"""
    height = draw.quantity("height", 900, 2100, 100, "m")
    boils = instruments.boiling_here(height).typical.m
    names = draw.shuffled("names", ("red", "blue", "black"))
    readings = {
        "right": (0.1, boils),
        "hundred": (0.0, 100.0),
        "both": (1.6, boils + 1.6),
    }
    kinds = dict(zip(readings, names, strict=True))
    says = {
        "hundred": "It shows what boiling water would at sea level. Work out where it boils at this height.",
        "both": "It is wrong in ice already, where height makes no difference. Look at that column first.",
    }
    options = [
        Option(f"The {name} one", kind == "right", says.get(kind, ""))
        for kind, name in kinds.items()
    ]
    options.append(
        Option(
            "None of them, as they are",
            says="One of them is within half a degree at both ends. Compare each with the "
            "two true values.",
        )
    )
    return Asked(
        [
            ChoicePart(
                "Which of them can be used without a correction?",
                options,
                marks=2,
                worked=f"Water boils here at {_signed(boils)}, and ice melts at 0 °C. Only "
                f"the {kinds['right']} one agrees with both.",
            )
        ],
        stem=f"Your kitchen is at {say(height, digits=4)}. Without a table, take off 1 °C for each "
        "300 m.",
        exhibit=Exhibit(
            "Three thermometers",
            ("thermometer", "in ice and water", "in boiling water"),
            sorted(
                (name, _signed(readings[kind][0]), _signed(readings[kind][1]))
                for kind, name in kinds.items()
            ),
        ),
    )


# --- where does water boil here? ------------------------------------------------------------


def _boiling_table(*heights: int) -> Exhibit:
    rows = [
        (
            say(q(h, "m"), digits=4),
            _signed(instruments.boiling_here(q(h, "m")).typical.m),
        )
        for h in heights
    ]
    return Exhibit("Where water boils", ("height", "boils at"), rows)


@question("kitchen-boils-here", outcome="check-boiling-here", level="carry out", minutes=4)
def boils_here(draw: Draw) -> Asked:
    """Read the boiling point of water between two rows of a table."""
    row = draw.one_of("row", (500, 1000, 1500))
    above = draw.one_of("above", (150, 200, 250, 300, 350))
    height = q(row + above, "m")

    def at(h: float) -> Quantity:
        return instruments.boiling_here(q(h, "m")).typical

    lower, upper = round(at(row).m, 1), round(at(row + 500).m, 1)
    by_table = lower - above / 500 * (lower - upper)
    return Asked(
        [
            QuantityPart(
                f"At what temperature does water boil in a kitchen at {say(height, digits=4)}, on a "
                "usual day? Interpolate between two rows.",
                answer=at(height.m),
                tolerance="0.2 °C",
                because="reading between two rows of the table",
                wrong_turns=[
                    WrongTurn(
                        "row below",
                        at(row),
                        "This is the number you get from the lower kitchen's row. Work out how "
                        "far yours is on the way to the next row.",
                    ),
                    WrongTurn(
                        "row above",
                        at(row + 500),
                        "This is the number you get from the higher kitchen's row. Work out how "
                        "far yours is on the way to it.",
                    ),
                    WrongTurn(
                        "the sea",
                        at(0),
                        "This is the number you get at sea level. Ask what a high kitchen does "
                        "to boiling water.",
                    ),
                ],
                working="interpolate: go the same fraction of the way in both columns",
                worked=f"the part of the way = ({say(height, digits=4)} − {row} m) / 500 m = "
                f"{above / 500:g}; {_signed(at(row).m)} − {above / 500:g} × "
                f"({_signed(at(row).m)} − {_signed(at(row + 500).m)}) = "
                f"{say(q(by_table, 'degC'), digits=4)}; the curve itself gives "
                f"{say(at(height.m), digits=4)}",
            )
        ],
        exhibit=_boiling_table(0, 500, 1000, 1500, 2000),
    )


@question("kitchen-weather", outcome="check-boiling-here", level="decide", minutes=3)
def weather(draw: Draw) -> Asked:
    """Boiling water is not where the table has it: weather, thermometer or height?"""
    height = draw.quantity("height", 200, 800, 100, "m")
    case = draw.one_of("case", ("weather", "one", "height"))
    usual = instruments.boiling_here(height).typical.m
    shown = {
        "weather": (usual - 0.5, usual - 0.4, usual - 0.5),
        "one": (usual, usual - 2.6, usual + 0.1),
        "height": (usual - 2.5, usual - 2.4, usual - 2.5),
    }[case]
    options = {
        "weather": "A day of low air pressure: all three are right",
        "one": "One thermometer is out: give it a card or hand it in",
        "height": "The height is wrong: this kitchen is higher up than noted",
        "flame": "The flame was too small: more gas makes boiling water hotter",
    }
    says = {
        "weather": "The weather moves the boiling point by about half a degree either way. "
        "Look at how far off these are.",
        "one": "Then the others would show what the table says. Compare the three.",
        "height": "Then all three would be too low alike, by more than weather can make. "
        "Compare them.",
        "flame": "A flame makes water boil faster and not hotter. Look at the three numbers.",
    }
    return Asked(
        [
            ChoicePart(
                "What explains these readings best?",
                one_right(options, case, says),
                marks=2,
                worked=f"The table gives {_signed(usual)}. {options[case]}.",
            )
        ],
        stem=f"Three thermometers show 0 °C in ice. By the scheme the kitchen is at {say(height)}, "
        f"where the table gives {_signed(usual)} for boiling water.",
        exhibit=Exhibit(
            "In one pan of boiling water",
            ("thermometer", "shows"),
            [(str(n), _signed(x)) for n, x in enumerate(shown, 1)],
        ),
    )


# --- can I trust this scale? -----------------------------------------------------------------


@question("kitchen-scale-error", outcome="check-scale", level="carry out", minutes=4)
def scale_error(draw: Draw) -> Asked:
    """How far off is a small mass, and how little may be weighed?"""
    step = draw.quantity("step", 0.5, 2, 0.5, "g")
    mass = draw.mass("mass", 7, 19, 2)
    allowed = draw.percent("allowed", 3, 5)
    error = instruments.scale_error(mass, step)
    least = instruments.smallest_mass(step, allowed)
    return Asked(
        [
            QuantityPart(
                f"A scale has a step of {say(step)}. You weigh {say(mass)} of gelatin on it. By what "
                "percentage may that be wrong?",
                answer=error,
                tolerance="3 % of the answer",
                because="rounding to two figures",
                wrong_turns=[
                    WrongTurn(
                        "upside down",
                        q(100 * mass.m / step.m, "percent"),
                        "This is the number you get with the mass over the step. Ask first: is "
                        "the error smaller or larger than what is weighed?",
                    ),
                    WrongTurn(
                        "not in per cent",
                        q(step.m / mass.m, "percent"),
                        "This is the number you get without changing to per cent. "
                        "Ask how many parts in a hundred it is.",
                    ),
                    WrongTurn(
                        "half a step",
                        error / 2,
                        "This is the number you get with half a step. The scale rounds twice: "
                        "ask when.",
                    ),
                ],
                working="error = step / mass × 100 %",
                worked=f"{say(step)} / {say(mass)} × 100 % = {say(error, digits=4)}",
            ),
            QuantityPart(
                f"You allow {say(allowed)}. What is the smallest mass that you may weigh on this scale?",
                answer=least,
                tolerance="3 % of the answer",
                because="rounding to two figures",
                wrong_turns=[
                    WrongTurn(
                        "step times error",
                        step * allowed.m / 100,
                        "This is the number you get by multiplying the step by the error. Ask "
                        "first: is the least mass larger or smaller than a step?",
                    ),
                    WrongTurn(
                        "the mass in hand",
                        mass,
                        "This is the number you get from the mass of the part before. "
                        "Ask yourself for which mass one step is exactly that share.",
                    ),
                ],
                working="smallest mass = step / error",
                worked=f"{say(step)} / {say(allowed)} = {say(least, digits=4)}",
            ),
        ]
    )


_BIG_ENOUGH = {
    "water": "Work out what one step is as a share of this water.",
    "sugar": "Work out what one step is as a share of this sugar.",
    "cocoa powder": "Work out what one step is as a share of this cocoa.",
    "lemon juice": "Work out what one step is as a share of this juice.",
    "gelatin": "Work out what one step is as a share of this gelatin.",
    "a colour": "Work out what one step is as a share of this colour.",
}


@question("kitchen-fine-or-bench", outcome="check-scale", level="decide", minutes=3)
def fine_or_bench(draw: Draw) -> Asked:
    """A glaze, two scales: what goes on which?"""
    things = {
        "water": draw.mass("water", 180, 260, 10),
        "sugar": draw.mass("sugar", 240, 320, 10),
        "cocoa powder": draw.mass("cocoa", 62, 92, 10),
        "lemon juice": draw.mass("lemon", 18, 38, 5),
        "gelatin": draw.mass("gelatin", 9, 16),
        "a colour": draw.mass("colour", 2, 5),
    }
    coarse, allowed = q(1, "g"), draw.one_of("allowed", (1, 2, 5))
    least = instruments.smallest_mass(coarse, q(allowed, "percent"))
    fine = [name for name, mass in things.items() if mass < least]
    return Asked(
        [
            ChoicesPart(
                "Which of these go on the fine scale? Choose all that apply.",
                [
                    Option(name, name in fine, "" if name in fine else _BIG_ENOUGH[name])
                    for name in things
                ],
                marks=3,
                worked=f"{say(coarse)} / {allowed} % = {say(least)}. Anything lighter goes on "
                f"the fine scale: {', '.join(fine)}.",
            )
        ],
        stem=f"The bench scale has a step of {say(coarse)}, the fine one of 0.1 g. For each "
        f"ingredient you allow an error of {allowed} %.",
        exhibit=Exhibit(
            "To be weighed", ("what", "mass"), [(n, say(m)) for n, m in things.items()]
        ),
    )


@question("kitchen-scale-log", outcome="check-scale", level="decide", minutes=3)
def scale_log(draw: Draw) -> Asked:
    """One jar, five weighings: is the scale in order?"""
    jar = draw.mass("jar", 640, 940, 20)
    case = draw.one_of("case", ("corner", "drift", "step"))
    off = {
        "corner": (0, 0, -6, 0, 0),
        "drift": (0, -2, -4, -6, -8),
        "step": (0, 1, 0, 0, 1),
    }[case]
    where = ("middle", "left front", "right front", "left back", "right back")
    options = {
        "corner": "One corner touches something: look under the plate, and report it",
        "drift": "It drifts with time: look at the battery, and report it",
        "step": "It is in order: the numbers differ by no more than its step",
        "jar": "The jar loses mass each time it is moved",
    }
    says = {
        "corner": "Then only one place would stand out. Compare place by place.",
        "drift": "Then the numbers would go one way with the clock. Compare from row to row.",
        "step": "Then no two would differ by more than a gram. Compare the numbers.",
        "jar": "A closed jar keeps its mass. Ask what changed between the rows.",
    }
    return Asked(
        [
            ChoicePart(
                "What do you conclude about the scale?",
                one_right(options, case, says),
                marks=2,
                worked=f"{options[case]}.",
            )
        ],
        stem="A closed jar is weighed five times within ten minutes, on a scale with a step "
        "of 1 g.",
        exhibit=Exhibit(
            "The same jar",
            ("at", "where on the plate", "it shows"),
            [
                (f"10:0{2 * n}", place, say(jar + q(d, "g")))
                for n, (place, d) in enumerate(zip(where, off, strict=True))
            ],
        ),
    )
