"""How much glaze each bench makes, and the law before anything else."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import cycle

from calculators import coating, marbling, safety, sources
from calculators.faults import Fault, FaultsError, fault_error
from calculators.ingredients import ingredient
from calculators.safety import LegalNote
from calculators.units import Quantity, q, say
from course.practical.model import MOST_AT_A_BENCH, MOST_IN_ALL, Amount
from course.scheme.model import Scheme

# --- law, before anything else -----------------------------------------------------------------


def refuse_forbidden(scheme: Scheme) -> None:
    """Refuse the whole plan if anything in it may not be eaten in the region."""
    asked = [
        (f"ingredient {line.ingredient}", ingredient(line.ingredient).colourant)
        for line in scheme.formula.lines
    ] + [(f"colour {jug.name}", jug.colourant) for jug in scheme.colours]
    faults = []
    for where, colourant in asked:
        if not colourant:
            continue
        permission = safety.allowed(colourant, scheme.region)
        if permission.answer == "no":
            faults.append(
                Fault(
                    f"order list, {where}",
                    f"may not go into food in {safety.REGIONS[scheme.region]}",
                    colourant,
                    str(permission.notes[0]),
                    "Take it out of the scheme; nothing was ordered",
                )
            )
    if faults:
        raise FaultsError(faults)


def refuse_too_much(batches: Sequence[Quantity]) -> None:
    """Refuse more glaze than a bench can boil, or a room can cool."""
    for most, mass, whose in (
        (MOST_AT_A_BENCH, max(batches), "a station"),
        (MOST_IN_ALL, sum(batches, q(0, "g")), "all stations"),
    ):
        if mass > most:
            raise fault_error(
                "plan, glaze",
                f"is more than {whose} can make",
                say(mass, "kg"),
                f"It must be at most {say(most)}",
                "Plan fewer cakes, or more stations",
            )


def legal_notes(scheme: Scheme) -> tuple[LegalNote, ...]:
    """Return the notes of law that a practical meets, and those on its colours."""
    always = ("cooling", "chilling", "holding", "time as a control", "allergens", "titanium white")
    colours = (jug.colourant for jug in scheme.colours if jug.colourant)
    return tuple(
        note
        for subject in dict.fromkeys((*always, *colours))
        for note in safety.legal_note(subject, scheme.region)
    )


# --- cakes and glaze --------------------------------------------------------------------------


def share_out(scheme: Scheme) -> list[list[int]]:
    """Return for each bench how many it has of each kind of cake, as even as can be."""
    return dealt([cake.count for cake in scheme.cakes], scheme.group.stations)


def dealt(counts: Sequence[int], places: int) -> list[list[int]]:
    """Return how many of each kind go to each place, dealt out one by one in turn.

    >>> dealt([3, 2], 2)
    [[2, 1], [1, 1]]
    """
    hands = [[0] * len(counts) for _ in range(places)]
    each = (kind for kind, count in enumerate(counts) for _ in range(count))
    for kind, hand in zip(each, cycle(hands), strict=False):
        hand[kind] += 1
    return hands


def poured_over(scheme: Scheme, cakes: Sequence[int]) -> Quantity:
    """Return what is poured over so many of each of the scheme's cakes."""
    rack = [
        (coating.shape(cake.shape, cake.sizes), count)
        for cake, count in zip(scheme.cakes, cakes, strict=True)
        if count
    ]
    if not rack:
        return q(0, "g")
    return coating.glaze_needed(rack, scheme.coat.mass, scheme.coat.run_off).typical


def pour_of(scheme: Scheme, kind: int) -> Quantity:
    """Return what is poured over one cake of a kind, g."""
    return poured_over(scheme, [int(place == kind) for place in range(len(scheme.cakes))])


def batch_for(scheme: Scheme, cakes: Sequence[int]) -> Quantity:
    """Return what a bench makes: poured, clinging to its jugs, and the spare."""
    poured = poured_over(scheme, cakes)
    if not poured.m:
        return poured
    jugs = len(scheme.colours) + 1 if len(scheme.colours) > 1 else 1
    cling = sources.table("marbling")["cling"].quantity
    return (poured + cling * jugs) * (1 + scheme.coat.spare.m_as(""))


def layers_of(scheme: Scheme, glaze: Quantity) -> tuple[tuple[str, Quantity], ...]:
    """Return the layers of a pouring jug, the first at the bottom; none of one colour alone."""
    if len(scheme.colours) < 2:
        return ()
    shares = {jug.name: jug.share for jug in scheme.colours}
    return marbling.layers(glaze, shares, marbling.dominance(shares).colour)


def amounts_of(
    scheme: Scheme, benches: Sequence[Sequence[int]], total: Quantity
) -> tuple[Amount, ...]:
    """Return what is poured, kept and run off, for the whole class."""
    poured = sum((poured_over(scheme, cakes) for cakes in benches), q(0, "g"))
    cakes = sum(cake.count for cake in scheme.cakes)
    times = (total / scheme.formula.mass).m_as("")
    return (
        Amount(
            "Glaze to make",
            mass_said(total),
            f"for {cakes} cake{'s' if cakes > 1 else ''}: what is poured, what clings to the jugs, and "
            f"{say(scheme.coat.spare)} to spare",
        ),
        Amount(
            "Poured over the cakes",
            mass_said(poured),
            f"{kept_said(scheme, poured)} and the rest runs off; weigh your "
            "own and put the numbers into the scheme",
        ),
        Amount(
            "The formula",
            f"{say(q(times, ''))} times",
            f"{scheme.formula.name}, which makes {mass_said(scheme.formula.mass)}",
        ),
    )


def kept_said(scheme: Scheme, poured: Quantity) -> str:
    """Return in words what stays on the cakes of what is poured over them."""
    return f"of which {mass_said(poured * (1 - scheme.coat.run_off.m_as('')))} stays on them"


def mass_said(mass: Quantity) -> str:
    """Return a mass as it is said: grams below two kilograms."""
    return say(mass, "g" if mass.m_as("g") < 2000 else "kg")
