"""Questions about gelatin: grades, and one gelatin for another."""

from __future__ import annotations

from math import sqrt

from calculators import gelatin
from calculators.units import number, q, say
from exercises.questions.draws import Draw
from exercises.questions.parts import (
    Asked,
    ChoicePart,
    Exhibit,
    Option,
    OrderPart,
    QuantityPart,
    TablePart,
    WrongTurn,
    one_right,
)
from exercises.questions.registry import question

FINE_SCALE = "the fine scale shows 0.1 g"
BLOOMS = (140, 160, 180, 200, 220, 250)
SOLD = ("bronze", "silver", "gold", "platinum")


def _leaf_table() -> Exhibit:
    return Exhibit(
        "Leaf gelatin in this store",
        ("Grade", "Bloom", "One leaf weighs"),
        [
            (
                grade,
                say(gelatin.GRADES[grade].bloom.typical),
                say(q(gelatin.GRADES[grade].leaf_mass.typical.m, "g"), places=1),
            )
            for grade in SOLD
        ],
    )


@question("gelatin-swap-powder", outcome="gelatin-powder", level="carry out")
def swap_powder(draw: Draw) -> Asked:
    """Powder of one bloom for powder of another, then for several batches."""
    mass = draw.mass("mass", 10.5, 23.5, step=0.5)
    wanted, held = draw.two_of("blooms", BLOOMS)
    batches = draw.whole("batches", 3, 6)
    root = sqrt(wanted / held)
    one = gelatin.swap(mass, q(wanted, "bloom"), q(held, "bloom"), "square root")
    return Asked(
        [
            QuantityPart(
                f"A formula asks for {say(mass)} of {wanted} bloom powder. Your stores hold "
                f"{held} bloom. Keep the set the same by the square-root rule. "
                "What do you weigh out?",
                answer=one,
                tolerance="0.1 g",
                because=FINE_SCALE,
                wrong_turns=[
                    WrongTurn(
                        "straight ratio",
                        mass * wanted / held,
                        "This is the number you get by scaling with bloom itself. Look again at "
                        "how strength grows when you double the gelatin.",
                    ),
                    WrongTurn(
                        "ratio upside down",
                        mass / root,
                        "This is the number you get with the two blooms exchanged. Ask yourself "
                        "first: is yours stronger or weaker than theirs?",
                    ),
                    WrongTurn(
                        "not swapped",
                        mass,
                        "This is the number you get by weighing what the formula says. "
                        "Ask yourself whether your powder is as strong as theirs.",
                    ),
                ],
                working="yours = what they weigh × sqrt(their bloom / your bloom)",
                worked=f"{say(mass)} × sqrt({wanted} / {held}) = {say(one, digits=4)}",
            ),
            QuantityPart(
                f"You make {batches} batches. How much of your powder do you need in all?",
                answer=lambda given: given["a"] * batches,
                tolerance="0.6 g",
                because=FINE_SCALE + ", and the single batch may be rounded",
                wrong_turns=[
                    WrongTurn(
                        "the formula's powder",
                        mass * batches,
                        "This is the number you get with the formula's powder. "
                        "Ask yourself which powder you weigh.",
                    ),
                    WrongTurn(
                        "one batch short",
                        one * (batches - 1),
                        "This is the number you get for one batch less. Count the batches again.",
                    ),
                ],
                working="in all = one batch × number of batches",
                worked=f"{say(one, digits=4)} × {batches} = {say(one * batches, digits=4)}",
            ),
        ]
    )


@question("gelatin-leaf-for-leaf", outcome="gelatin-leaf", level="carry out")
def leaf_for_leaf(draw: Draw) -> Asked:
    """A formula counts leaves of one grade, the store holds another."""
    count = draw.whole("count", 6, 14)
    wanted, held = draw.two_of("grades", ("silver", "gold", "platinum"))
    swapped = gelatin.leaf_swap(q(count, "leaf"), wanted, held)
    theirs, mine = gelatin.GRADES[wanted], gelatin.GRADES[held]
    bloom = theirs.bloom.typical.m / mine.bloom.typical.m
    return Asked(
        [
            QuantityPart(
                f"A formula asks for {count} leaves of {wanted}. Your stores hold {held}. "
                "You swap leaf for leaf. How many leaves do you take?",
                answer=q(count, "leaf"),
                tolerance="0.25 leaf",
                because="leaves are counted, and the last one may be cut",
                marks={"value": 1, "unit": 1},
                wrong_turns=[
                    WrongTurn(
                        "counted by mass",
                        q(
                            count * theirs.leaf_mass.typical.m / mine.leaf_mass.typical.m,
                            "leaf",
                        ),
                        "This is the number you get by keeping the grams. "
                        "Ask yourself why makers give each grade a leaf of another mass.",
                    ),
                    WrongTurn(
                        "counted by bloom",
                        q(count * bloom, "leaf"),
                        "This is the number you get by scaling the count with bloom. "
                        "Ask yourself what the mass of the leaf already does.",
                    ),
                ],
                working="leaves held = leaves wanted",
                worked=f"one leaf replaces one leaf: {say(q(count, 'leaf'))}",
            ),
            QuantityPart(
                "What do your leaves weigh in all, dry?",
                answer=lambda given: gelatin.leaves_weigh(given["a"], held),
                tolerance="0.3 g",
                because=FINE_SCALE + ", and leaves differ a little",
                wrong_turns=[
                    WrongTurn(
                        "the formula's leaves",
                        gelatin.leaves_weigh(q(count, "leaf"), wanted),
                        f"This is the number you get for leaves of {wanted}. "
                        "Ask yourself which leaves are on your scale.",
                    ),
                    WrongTurn(
                        "square root of bloom",
                        gelatin.leaves_weigh(q(count, "leaf"), wanted) * sqrt(bloom),
                        "This is the number you get by the rule for powder. "
                        "Look again at which rule this question uses.",
                    ),
                ],
                working="mass = number of leaves × mass of one leaf",
                worked=f"{count} × {say(q(mine.leaf_mass.typical.m, 'g'), places=1)} = "
                f"{say(swapped.mass, digits=4)}",
            ),
        ],
        exhibit=_leaf_table(),
    )


@question("gelatin-count-leaves", outcome="gelatin-leaf", level="carry out", minutes=3)
def count_leaves(draw: Draw) -> Asked:
    """A formula gives grams, the packet holds leaves."""
    grade = draw.one_of("grade", SOLD)
    mass = draw.mass("mass", 17.5, 32.5, step=0.5)
    needed = gelatin.leaves(mass, grade)
    one = gelatin.GRADES[grade].leaf_mass.typical
    other = "gold" if grade != "gold" else "silver"
    return Asked(
        [
            QuantityPart(
                f"A formula asks for {say(mass)} of {grade} leaf. How many leaves is that? "
                "Give it to a tenth of a leaf.",
                answer=needed,
                tolerance="0.15 leaf",
                because="a tenth of a leaf, rounded either way",
                wrong_turns=[
                    WrongTurn(
                        "multiplied",
                        q(mass.m * one.m, "leaf"),
                        "This is the number you get by multiplying. Ask yourself: does one leaf "
                        "weigh more than a gram, and do you then need more or fewer?",
                    ),
                    WrongTurn(
                        "another row",
                        gelatin.leaves(mass, other),
                        f"This is the number you get with the leaf of {other}. "
                        "Look again at the row of the table.",
                    ),
                ],
                working="leaves = mass / mass of one leaf",
                worked=f"{say(mass)} / {say(q(one.m, 'g'), places=1)} = {say(needed, digits=4)}",
            )
        ],
        exhibit=_leaf_table(),
    )


@question("gelatin-both-rules", outcome="gelatin-powder", level="decide", minutes=6)
def both_rules(draw: Draw) -> TablePart:
    """The same swap by both rules, side by side."""
    mass = draw.mass("mass", 16.5, 29.5, step=0.5)
    wanted, held = draw.one_of(
        "blooms",
        ((200, 140), (220, 140), (250, 160), (140, 200), (160, 220), (160, 250)),
    )
    by_root = gelatin.swap(mass, q(wanted, "bloom"), q(held, "bloom"), "square root")
    by_leaf = gelatin.swap(mass, q(wanted, "bloom"), q(held, "bloom"), "leaf for leaf")
    root, ratio = sqrt(wanted / held), wanted / held
    marks = {"value": 2, "unit": 1}
    return TablePart(
        f"A formula asks for {say(mass)} of {wanted} bloom gelatin and names no rule. "
        f"Yours is {held} bloom. Work out what you would weigh out by each of the two rules.",
        {
            "Powder, by the square root of bloom": QuantityPart(
                "",
                answer=by_root,
                tolerance="0.1 g",
                because=FINE_SCALE,
                marks=marks,
                wrong_turns=[
                    WrongTurn(
                        "the other rule",
                        mass * ratio,
                        "This is the number you get by the rule for leaves. "
                        "Look again at what happens to strength when gelatin is doubled.",
                    ),
                    WrongTurn(
                        "upside down",
                        mass / root,
                        "This is the number you get with the blooms exchanged. "
                        "Ask yourself whether yours is stronger or weaker.",
                    ),
                ],
                working="yours = what they weigh × sqrt(their bloom / your bloom)",
                worked=f"{say(mass)} × sqrt({wanted} / {held}) = {say(by_root, digits=4)}",
            ),
            "Leaves, mass times bloom kept": QuantityPart(
                "",
                answer=by_leaf,
                tolerance="0.1 g",
                because=FINE_SCALE,
                marks=marks,
                wrong_turns=[
                    WrongTurn(
                        "the other rule",
                        mass * root,
                        "This is the number you get by the rule for powder. "
                        "Look again at how leaves are sold.",
                    ),
                    WrongTurn(
                        "upside down",
                        mass / ratio,
                        "This is the number you get with the blooms exchanged. "
                        "Ask yourself whether yours is stronger or weaker.",
                    ),
                ],
                working="yours = what they weigh × their bloom / your bloom",
                worked=f"{say(mass)} × {wanted} / {held} = {say(by_leaf, digits=4)}",
            ),
        },
    )


_FORMULAS = (
    (
        '"Gelatin, 12 leaves, gold." In stores: leaves of silver.',
        "leaf",
        "The formula counts leaves, and leaves are sold to replace each other.",
    ),
    (
        '"Powdered gelatin, 220 bloom, 18 g." In stores: powder of 160 bloom.',
        "powder",
        "Powder is weighed, and its strength grows with the square of its concentration.",
    ),
    (
        '"Gelatin, 14 g." No grade, no kind, no source.',
        "ask",
        "Without bloom or kind no rule can be applied.",
    ),
)


@question("gelatin-which-rule", outcome="gelatin-rule", level="decide", minutes=2)
def which_rule(draw: Draw) -> ChoicePart:
    """Three formulas: which rule does this one follow?"""
    line, best, why = draw.one_of("formula", _FORMULAS)
    options = {
        "leaf": (
            "Take one leaf for each leaf",
            "That is for what is sold by the piece. Is it, in this line?",
        ),
        "powder": (
            "Weigh by the square root of the two strengths",
            "Ask yourself whether both strengths are known, and how this kind is measured out.",
        ),
        "ask": (
            "Wait until somebody can say what was meant",
            "Read the line again: does it leave kind or strength open?",
        ),
        "grams": (
            "Weigh the same number of grams, whatever the label in the store room says",
            "The same mass of another strength sets differently. Ask yourself what bloom measures.",
        ),
    }
    return ChoicePart(
        f"You find this: {line} How do you work out what to take?",
        one_right(options, best),
        marks=2,
        worked=f"{why} {options[best][0]}.",
    )


@question("gelatin-what-slipped", outcome="gelatin-rule", level="decide", minutes=5)
def what_slipped(draw: Draw) -> Asked:
    """A mass in the bench book shows which slip was made."""
    mass = draw.mass("mass", 15.5, 24.5, step=0.5)
    wanted, held = draw.one_of(
        "blooms",
        ((200, 140), (220, 160), (250, 180), (140, 200), (160, 220), (180, 250)),
    )
    slip = draw.one_of("slip", ("upside down", "straight", "kept"))
    root = sqrt(wanted / held)
    weighed = {
        "upside down": mass / root,
        "straight": mass * wanted / held,
        "kept": mass,
    }[slip]
    softer = weighed.m < mass.m * root
    options = {
        "upside down": "The two blooms were exchanged in the sum",
        "straight": "The mass was scaled with bloom itself, as for leaves",
        "kept": "The formula's mass was weighed without any swap",
        "none": "The swap is right; something else went wrong",
    }
    result = "set softer than last week" if softer else "set tougher than last week"
    return Asked(
        [
            ChoicePart(
                "Powder is swapped by the square root of bloom here. "
                "What explains the mass that was weighed?",
                one_right(
                    options,
                    slip,
                    {
                        "upside down": "Multiply by the root of the two blooms the wrong way "
                        "round: does that give the mass in the book?",
                        "straight": "Multiply by the two blooms without a root: does that give "
                        "the mass in the book?",
                        "kept": "Compare the mass in the book with the mass in the formula.",
                        "none": "Work out the swap by the square root, and compare it with the "
                        "mass in the book.",
                    },
                ),
                marks=3,
                worked=f"By the square root it would be {say(mass * root, places=1)}; "
                f"{say(weighed, places=1)} was weighed. {options[slip]}.",
            )
        ],
        exhibit=Exhibit(
            "From the bench book",
            ("Line", "Written down"),
            [
                ("Formula asks for", f"{say(mass)} powder, {wanted} bloom"),
                ("In stores", f"powder, {held} bloom"),
                ("Weighed out", say(weighed, places=1)),
                ("Next morning", result),
            ],
        ),
    )


@question("gelatin-doubling", outcome="gelatin-rule", level="recall", minutes=1)
def doubling(draw: Draw) -> ChoicePart:
    """What the square-root rule rests on."""
    times, word = draw.one_of("times", ((2, "twice"), (3, "three times")))
    return ChoicePart(
        f"You put {word} as much of the same gelatin into the same water. By the rule behind "
        "the square root, how much stronger is the gel?",
        [
            Option(f"About {times**2} times as strong", right=True),
            Option(
                f"About {times} times as strong",
                says="This would make the swap a straight ratio. "
                "Look again at where the square root comes from.",
            ),
            Option(
                f"About {number(sqrt(times), 2)} times as strong",
                says="This turns the rule round. Ask yourself which of the two grows faster, "
                "gelatin or strength.",
            ),
            Option(
                "Just as strong: bloom belongs to the powder",
                says="Bloom is measured at one fixed concentration. "
                "Ask yourself what happens at another.",
            ),
        ],
        worked=f"Strength grows with the square: about {times} × {times} times as strong.",
    )


@question("gelatin-grades-order", outcome="gelatin-leaf", level="recall", minutes=2)
def grades_order(draw: Draw) -> OrderPart:
    """The grades of leaf by strength."""
    return OrderPart(
        "Put the grades of leaf gelatin in order, the weakest bloom first.",
        ["Bronze", "Silver", "Gold", "Platinum"],
        says="Ask yourself how the metals are ranked when medals are given, "
        "and what stands above gold.",
        worked="Bronze, silver, gold, platinum, from the weakest bloom to the strongest.",
    )


@question("gelatin-no-label", outcome="gelatin-leaf", level="decide", minutes=3)
def no_label(draw: Draw) -> Asked:
    """The label is gone: the scale shows which grade is likely, and what a slip would do."""
    grade = draw.one_of("grade", SOLD)
    count = draw.whole("count", 11, 19)
    asked = draw.mass("asked", 20, 30, 1)
    more = draw.one_of("off", (-0.02, -0.01, 0.01, 0.02))
    weighed = gelatin.leaves_weigh(q(count, "leaf"), grade) * (1 + more)
    return Asked(
        [
            ChoicePart(
                f"A box of leaf gelatin has lost its label. {count} leaves weigh "
                f"{say(weighed, places=1)}. Which grade is most likely in it?",
                one_right(
                    {
                        name: (
                            name.capitalize(),
                            f"Work out what one of your leaves weighs. Is it a leaf of {name}?",
                        )
                        for name in SOLD
                    },
                    grade,
                ),
                marks=2,
                worked=f"{say(weighed, places=1)} / {count} = "
                f"{say(weighed / count, places=2)} a leaf: {grade}.",
                keep_order=True,
            ),
            ChoicePart(
                f"A formula asks for {say(asked)} of gold leaf. Somebody weighs off {say(asked)} "
                "from this box. How does the glaze set?",
                one_right(
                    {
                        "softer": (
                            "Softer than the formula means",
                            "Find both grades in the table. Which has the higher bloom?",
                        ),
                        "firmer": (
                            "Firmer than the formula means",
                            "Find both grades in the table. Which bloom is gold's, and which yours?",
                        ),
                        "alike": (
                            "As firm as the formula means",
                            "Grams replace grams only within one grade. Compare the two blooms.",
                        ),
                    },
                    {"bronze": "softer", "silver": "softer", "gold": "alike"}.get(grade, "firmer"),
                ),
                worked=f"Most likely the box holds {grade}, of "
                f"{say(gelatin.GRADES[grade].bloom.typical)}; gold is of "
                f"{say(gelatin.GRADES['gold'].bloom.typical)}. Gram for gram the higher bloom sets "
                "firmer. The mass of a leaf makes a grade likely; only a trial shows the set.",
            ),
        ],
        exhibit=_leaf_table(),
    )
