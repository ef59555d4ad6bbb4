"""How much glaze each bench makes, and the law before anything else."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from calculators import coating, safety, sources
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
    subjects = [
        "cooling",
        "chilling",
        "holding",
        "time as a control",
        "allergens",
        "titanium white",
    ]
    subjects += [jug.colourant for jug in scheme.colours if jug.colourant]
    return tuple(
        note
        for subject in _in_order(subjects)
        for note in safety.legal_note(subject, scheme.region)
    )


# --- cakes and glaze --------------------------------------------------------------------------


def share_out(scheme: Scheme) -> list[list[int]]:
    """Return for each bench how many it has of each kind of cake, as even as can be."""
    benches = [[0] * len(scheme.cakes) for _ in range(scheme.group.stations)]
    turn = 0
    for kind, cake in enumerate(scheme.cakes):
        for _ in range(cake.count):
            benches[turn % len(benches)][kind] += 1
            turn += 1
    return benches


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


def batch_for(scheme: Scheme, cakes: Sequence[int]) -> Quantity:
    """Return what a bench makes: poured, clinging to its jugs, and the spare."""
    poured = poured_over(scheme, cakes)
    if not poured.m:
        return poured
    jugs = len(scheme.colours) + 1 if len(scheme.colours) > 1 else 1
    return (poured + _cling() * jugs) * (1 + scheme.coat.spare.m_as(""))


def _cling() -> Quantity:
    return sources.table("marbling")["cling"].quantity


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


def _in_order(names: Iterable[str]) -> tuple[str, ...]:
    """Return the names once each, in the order in which they came."""
    return tuple(dict.fromkeys(names))
