"""More about gelatin grades: your own box, a powder without a label, whose rule it is."""

from __future__ import annotations

from math import sqrt

from calculators import gelatin
from calculators.units import number, q, say
from exercises.questions.draws import Draw
from exercises.questions.parts import Asked, ChoicePart, Exhibit, QuantityPart, WrongTurn, one_right
from exercises.questions.registry import question

FINE_SCALE = "the fine scale shows 0.1 g"


@question("gelatin-own-box", outcome="gelatin-leaf", level="carry out", use="assessed")
def own_box(draw: Draw) -> QuantityPart:
    """The leaves of your own box, weighed, for another number of cakes."""
    grade = draw.one_of("grade", ("silver", "gold", "platinum"))
    usual = gelatin.GRADES[grade].leaf_mass.typical.m
    counted = draw.whole("counted", 16, 24)
    heavier = draw.one_of("heavier", (0.9, 0.92, 1.08, 1.1))
    pile = q(round(counted * usual * heavier, 1), "g")
    leaves = draw.whole("leaves", 5, 9)
    theirs, mine = draw.one_of("cakes", ((4, 7), (4, 9), (6, 10), (6, 14), (8, 13), (8, 20)))
    answer = pile * leaves * mine / (counted * theirs)
    return QuantityPart(
        f"A formula for {theirs} cakes asks for {leaves} leaves of {grade}, and you have {grade}. "
        f"{counted} leaves from your box weigh {say(pile)} in total. You glaze {mine} cakes. "
        "What do the leaves for them weigh, dry? Use your own box.",
        answer=answer,
        tolerance="0.3 g",
        because=FINE_SCALE + ", and the mass of one leaf may be rounded",
        wrong_turns=[
            WrongTurn(
                "the usual leaf",
                q(usual * leaves * mine / theirs, "g"),
                "This is the number you get with the leaf of the table. "
                "Packs differ: ask yourself what a leaf of this box weighs.",
            ),
            WrongTurn(
                "one batch",
                pile * leaves / counted,
                "This is the number you get for the formula's own cakes. "
                "Look again at how many you glaze.",
            ),
            WrongTurn(
                "cakes upside down",
                pile * leaves * theirs / (counted * mine),
                "This is the number you get with the two numbers of cakes exchanged. "
                "Ask yourself whether you need more or less than the formula.",
            ),
        ],
        working="mass = leaves × cakes / cakes of the formula × mass of one leaf",
        worked=f"{leaves} × {mine} / {theirs} × {say(pile)} / {counted} = {say(answer, digits=4)}",
    )


@question("gelatin-which-bloom", outcome="gelatin-powder", level="carry out", use="assessed")
def which_bloom(draw: Draw) -> QuantityPart:
    """A trial shows the bloom of a powder that has lost its label."""
    known = draw.one_of("known", (160, 180, 200, 220))
    ratio = draw.one_of("ratio", (0.86, 0.9, 0.93, 1.07, 1.1, 1.15))
    theirs = draw.mass("theirs", 4, 6, step=0.5)
    mine = q(round(theirs.m * ratio, 1), "g")
    answer = q(known * (theirs.m / mine.m) ** 2, "bloom")
    return QuantityPart(
        f"A jar of powdered gelatin has lost its label. In the same water, {say(mine)} of it sets "
        f"as firm as {say(theirs)} of a powder of {known} bloom. What is its bloom, by the rule "
        "for powder?",
        answer=answer,
        tolerance="2 % of the answer",
        because="the ratio of the masses may be rounded before it is squared",
        wrong_turns=[
            WrongTurn(
                "straight ratio",
                q(known * theirs.m / mine.m, "bloom"),
                "This is the number you get with mass times bloom kept. "
                "Ask yourself which rule is for powder, and turn that one round.",
            ),
            WrongTurn(
                "upside down",
                q(known * (mine.m / theirs.m) ** 2, "bloom"),
                "This is the number you get with the two masses exchanged. "
                "Ask yourself first: is the jar stronger or weaker than the other powder?",
            ),
            WrongTurn(
                "root for square",
                q(known * sqrt(theirs.m / mine.m), "bloom"),
                "This is the number you get by taking the root once more. "
                "The rule has the root of the bloom: ask yourself how to get rid of a root.",
            ),
        ],
        working="bloom of the jar = bloom known × (mass known / mass of the jar)²",
        worked=f"{known} × ({number(theirs.m)} / {number(mine.m)})² = {say(answer, digits=4)}",
    )


@question("gelatin-what-the-jar-sets", outcome="gelatin-powder", level="carry out", use="assessed")
def what_the_jar_sets(draw: Draw) -> Asked:
    """A short jar: how much glaze can be made of it?"""
    asked = draw.mass("asked", 14, 20, step=0.5)
    wanted, held = draw.two_of("blooms", (140, 160, 200, 220, 250))
    batch = draw.mass("batch", 1200, 1800, step=100)
    jar = draw.mass("jar", 31, 49, step=2)
    one = gelatin.swap(asked, q(wanted, "bloom"), q(held, "bloom"), "square root")
    answer = batch * jar / one
    return Asked(
        [
            QuantityPart(
                "How much of this glaze can you make with what is in the jar?",
                answer=answer,
                tolerance="1 % of the answer",
                because="the mass for one batch may be rounded to 0.1 g",
                unit="g",
                marks={"value": 3, "unit": 1},
                wrong_turns=[
                    WrongTurn(
                        "not swapped",
                        batch * jar / asked,
                        "This is the number you get if your powder were the same as theirs. "
                        "Swap first, then see how many times it goes into the jar.",
                    ),
                    WrongTurn(
                        "straight ratio",
                        batch * jar / (asked * wanted / held),
                        "This is the number you get with mass times bloom kept. "
                        "Ask yourself which rule is for powder.",
                    ),
                    WrongTurn(
                        "blooms exchanged",
                        batch * jar / (asked * sqrt(held / wanted)),
                        "This is the number you get with the two blooms exchanged. "
                        "Ask yourself whether a weaker powder makes more glaze or less.",
                    ),
                ],
                working="one batch = what they weigh × sqrt(their bloom / your bloom); "
                "glaze = batch × jar / one batch",
                worked=f"one batch: {say(asked)} × sqrt({wanted} / {held}) = "
                f"{say(one, digits=4)}\n{say(batch, digits=4)} × {say(jar)} / "
                f"{say(one, digits=4)} = {say(answer, digits=4)}",
            )
        ],
        stem=f"A formula makes {say(batch, digits=4)} of glaze with {say(asked)} of powdered "
        f"gelatin, {wanted} bloom. All that is left in stores is {say(jar)} of powder of "
        f"{held} bloom. The set must stay the same; you use the square-root rule.",
    )


# --- whose rule it is -----------------------------------------------------------------


@question("gelatin-author-rule", outcome="gelatin-rule", level="decide", use="assessed", minutes=6)
def author_rule(draw: Draw) -> Asked:
    """Three versions of one glaze, in three sizes: which rule did their author follow?"""
    rule = draw.one_of("rule", ("product", "root", "same", "upward"))
    power = {"product": -1.0, "root": -0.5, "same": 0.0, "upward": 0.5}[rule]
    weak, strong = draw.one_of("blooms", ((140, 220), (150, 240), (160, 250)))
    each = draw.mass("each", 11, 14, step=0.5)  # for a kilogram, at 200 bloom
    sizes = draw.shuffled("sizes", (0.8, 1.5, 2.4))
    rows = []
    for name, bloom, size in zip("ABC", (200, weak, strong), sizes, strict=True):
        grams = each.m * (bloom / 200) ** power * size
        rows.append((name, f"{number(size * 1000, 4)} g", f"{bloom} bloom", f"{grams:.1f} g"))
    texts = {
        "product": (
            "Mass times bloom is kept, as leaves are sold",
            "Bring the batches to one size first, then multiply mass and bloom of each.",
        ),
        "root": (
            "Mass times the root of bloom is kept, as powder is swapped",
            "Bring the batches to one size first, then work out mass times root for each.",
        ),
        "same": (
            "A kilogram of glaze has the same grams, whatever the bloom",
            "Work out the gelatin in a kilogram of each version, and compare the three.",
        ),
        "upward": (
            "A kilogram of glaze has more grams of the stronger gelatin",
            "Order the versions by bloom, and see which way the gelatin in a kilogram goes.",
        ),
    }
    per = ", ".join(
        f"{row[0]} {float(row[3].split()[0]) / size:.1f} g"
        for row, size in zip(rows, sizes, strict=True)
    )
    return Asked(
        [
            ChoicePart(
                "You have yet another gelatin and want to go on in the author's way. "
                "How did the author get from one version to the next?",
                one_right(texts, rule),
                marks=3,
                worked=f"In a kilogram of glaze: {per}. {texts[rule][0]}.",
            )
        ],
        stem="An old book has one glaze in three versions, for three gelatins and three sizes "
        f"of batch. Its author made it first with {say(each)} of gelatin, 200 bloom, in a "
        "kilogram, and rounded to 0.1 g. The book names no rule.",
        exhibit=Exhibit(
            "The three versions",
            ("Version", "Glaze", "Gelatin", "Mass of gelatin"),
            rows,
        ),
    )


_CARDS = {
    "count": (
        ("12 leaves, silver", "leaves of silver, by the author", "leaf, platinum"),
        ("24 g of gelatin, which is 12 leaves", "leaves of gold, by the author", "leaf, silver"),
        ("9 leaves, platinum", "leaves of platinum, in this school", "leaf, gold"),
    ),
    "root": (
        ("18 g of gelatin", "powder of 220 bloom, by the author", "powder, 160 bloom"),
        ("16 g of powder, 200 bloom", "that powder, in this school", "powder, 250 bloom"),
        ("21 g, powdered", "powder of 160 bloom, in this school", "powder, 200 bloom"),
    ),
    "weigh": (
        ("10 leaves, silver", "leaves of silver, by the author", "powder, 220 bloom"),
        ("8 leaves", "leaves of gold, in this school", "powder, 180 bloom"),
        ("14 leaves, gold", "leaves of gold, by the author", "leaf, bronze"),
    ),
    "ask": (
        ("15 g of gelatin", "not noted", "leaf, gold"),
        ("90 g of gelatin mass", "not noted", "powder, 200 bloom"),
        ("7 leaves", "not noted", "powder, 220 bloom"),
    ),
}


@question("gelatin-card-and-shelf", outcome="gelatin-rule", level="decide", use="assessed")
def card_and_shelf(draw: Draw) -> Asked:
    """A card, and what the shelf has: how is this one swapped?"""
    best = draw.one_of("best", tuple(_CARDS))
    line, tried, shelf = draw.one_of("card", _CARDS[best])
    cakes = draw.whole("cakes", 4, 12)
    texts = {
        "count": (
            "Keep the number, and let its mass follow",
            "This rests on how leaves are made. Ask whether it holds for both gelatins.",
        ),
        "root": (
            "Weigh by the square root, from the grams of the card",
            "For this you need grams and two blooms. Look whether the card itself gives grams.",
        ),
        "weigh": (
            "Turn it into grams first, then the square root",
            "This is for a count that can't be kept. Look whether there is one, and why not.",
        ),
        "ask": (
            "Nothing yet: ask, or set a trial batch",
            "This is for a card that leaves kind or strength open. Read what it was tried with.",
        ),
    }
    why = {
        "count": "It was tried with leaves, and from silver to platinum one replaces one.",
        "root": "It was tried with a powder of known bloom, and the shelf has another.",
        "weigh": "It counts leaves, but those on the shelf are no leaves that replace each other "
        "one for one.",
        "ask": "Nobody knows which gelatin was meant, so no rule has anything to start from.",
    }
    return Asked(
        [
            ChoicePart(
                "How do you get from the card to the shelf?",
                one_right(texts, best),
                marks=2,
                worked=f"{why[best]} {texts[best][0]}.",
            )
        ],
        exhibit=Exhibit(
            "The card and the shelf",
            ("Line", "Written down"),
            [
                ("For", f"{cakes} cakes, one colour"),
                ("Gelatin", line),
                ("Tried with", tried),
                ("On the shelf", shelf),
            ],
        ),
    )


@question("gelatin-three-cooks", outcome="gelatin-rule", level="decide", use="assessed", minutes=6)
def three_cooks(draw: Draw) -> Asked:
    """Three cooks weighed three masses for one swap: whose goes into the pan?"""
    case = draw.one_of("case", ("powder", "leaves", "silver leaves", "open"))
    mass = draw.mass("mass", 15, 23, step=0.5)
    wanted, held = draw.one_of("blooms", ((160, 250), (160, 220), (250, 160), (220, 140)))
    if case == "silver leaves":
        wanted, held = 160, 200
    if case == "leaves":
        wanted, held = 200, 250
    ways = {
        "root": mass * sqrt(wanted / held),
        "product": mass * wanted / held,
        "turned": mass * sqrt(held / wanted),
    }
    names = dict(zip(ways, draw.shuffled("names", ("Ada", "Ben", "Rose")), strict=True))
    right = {"powder": "root", "open": "none"}.get(case, "product")
    tried = {
        "powder": f"powder, {wanted} bloom",
        "leaves": "leaves of gold",
        "silver leaves": "leaves of silver",
        "open": "not noted; the three took it for "
        f"{wanted} bloom because most cards here have that",
    }[case]
    shelf = {
        "leaves": "leaves of platinum",
        "silver leaves": "leaves of gold",
    }.get(case, f"powder, {held} bloom")
    says = {
        "root": "Work out by which rule this mass comes about, and whether the card was tried "
        "with that kind of gelatin.",
        "product": "Find out what this cook kept the same, and whether that is how this "
        "gelatin is sold.",
        "turned": "Ask whether the shelf is stronger than the card, and whether this mass went "
        "the right way.",
        "none": "Look whether the card really leaves open what is needed.",
    }
    texts = {way: (f"{name}'s mass", says[way]) for way, name in sorted(names.items())}
    texts = dict(sorted(texts.items(), key=lambda item: item[1][0]))
    texts["none"] = ("None of the three", says["none"])
    told = {
        "root": "The card was tried with powder, so the square root applies.",
        "product": "The card was tried with leaves, and these replace each other one for one, "
        "so mass times bloom is kept.",
        "none": "The bloom of the card is a guess, so all three masses are guesses. Ask, or set "
        "a trial.",
    }[right]
    rows = sorted((names[way], f"{say(weighed, places=1)}") for way, weighed in ways.items())
    return Asked(
        [
            ChoicePart(
                "Which of them goes into the pan?",
                one_right(texts, right),
                marks=3,
                keep_order=True,
                worked=f"By the square root it would be {say(ways['root'], places=1)}, with mass "
                f"times bloom kept {say(ways['product'], places=1)}. {told}",
            )
        ],
        stem=f"A card asks for {say(mass)} of gelatin. Three cooks have worked out what to weigh, "
        "and each is sure.",
        exhibit=Exhibit(
            "Card, shelf and scale",
            ("Line", "Written down"),
            [("Tried with", tried), ("On the shelf", shelf), *rows],
        ),
    )
