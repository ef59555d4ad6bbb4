"""How a glaze is shared out into colours, and layered in a jug."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, TypeAlias

from calculators import colour as _colour
from calculators.faults import Fault, FaultsError, fault_error, refuse
from calculators.frozen import frozen
from calculators.sources import table
from calculators.units import InstanceOf, Measure, Quantity, calculator, is_quantity, q, say

Shares: TypeAlias = Mapping[str, Any]

SHARES = InstanceOf(Mapping, "a table of shares by colour")
_MASS = Measure("g", above=0, high=1_000_000)
_CLOSE = 1e-6  # the shares must sum to one this closely
_ONCE, TWICE = q(1), q(2)


# --- sharing out --------------------------------------------------------------------


@calculator(returns="a mass for each colour", total=_MASS, shares=SHARES)
def split(total: Quantity, shares: Shares) -> dict[str, Quantity]:
    """Return what each colour gets of a mass of glaze.

    The mass of a colour is total x its share.

    Parameters
    ----------
    total : quantity
        Above 0 and at most 1000 kg.
    shares : mapping
        A share for each colour, above 0; together they make one.

    Returns
    -------
    dict
        A mass in g for each colour; they sum to the total.

    Examples
    --------
    >>> shares = {"white": q(50, "percent"), "red": 0.25, "blue": 0.25}
    >>> [say(mass) for mass in split(q(1.2, "kg"), shares).values()]
    ['600 g', '300 g', '300 g']

    Notes
    -----
    *Watch out*: a quarter may be too little to cover the blade: see
    ``blending.smallest_batch``.

    Source: a balance of masses; nothing to look up.
    """
    parts = _fractions("split", shares)
    return {name: q(total.m * part, "g") for name, part in parts.items()}


@calculator(
    returns="a mass for each colour",
    total_needed=_MASS,
    shares=SHARES,
    cling_per_jug=Measure("g", low=0, high=10_000),
)
def split_with_cling(
    total_needed: Quantity, shares: Shares, cling_per_jug: Quantity
) -> dict[str, Quantity]:
    """Return what to weigh into each jug, so that enough of it can be poured.

    The mass in a jug is total x share + what clings to that jug.

    Parameters
    ----------
    total_needed : quantity
        What must leave the jugs; above 0 and at most 1000 kg.
    shares : mapping
        A share for each colour, above 0; together they make one.
    cling_per_jug : quantity
        What stays on the wall of each jug, from 0 to 10 kg.

    Returns
    -------
    dict
        A mass in g for each jug.

    Examples
    --------
    >>> shares = {"white": 0.5, "red": 0.25, "blue": 0.25}
    >>> jugs = split_with_cling(q(1.2, "kg"), shares, q(12, "g"))
    >>> [say(mass) for mass in jugs.values()]
    ['612 g', '312 g', '312 g']

    Notes
    -----
    *Watch out*: adding the cling to the total and sharing that out leaves the small
    jugs short: each jug keeps the same, however little is in it.  The jug in which
    the layers are poured keeps some as well; count it into the total.

    Source: a balance of masses; the cling itself is from memory, see
    ``data/marbling.csv``.
    """
    masses = split(total_needed, _fractions("split_with_cling", shares))
    return {name: mass + cling_per_jug for name, mass in masses.items()}


@frozen
class Dominance:
    """The colour that there is most of, and whether there is enough of it.

    Parameters
    ----------
    colour : str
        Its name; the first one where two are equal.
    share : quantity
        Its share in percent.
    enough : bool
        Whether it has at least half.
    """

    colour: str
    share: Quantity
    enough: bool

    def __str__(self) -> str:
        """Return it as a sentence."""
        least = say(dominant_share())
        verdict = (
            f"at least the {least} that keep the other colours apart"
            if self.enough
            else f"less than {least}, so the colours will run together"
        )
        return f"{self.colour} has {say(self.share)}: {verdict}."


@calculator(returns="a share in percent")
def dominant_share() -> Quantity:
    """Return the least share of the colour that there is most of.

    Returns
    -------
    quantity
        In percent, a rule of the trade.

    Examples
    --------
    >>> dominant_share().m
    50.0

    Notes
    -----
    *Watch out*: it is a rule for three colours with white as the main colour, not a law.

    Source: common practice, see ``data/marbling.csv``.
    """
    return table("marbling")["dominant share"].quantity


@calculator(returns="a verdict", shares=SHARES)
def dominance(shares: Shares) -> Dominance:
    """Tell which colour there is most of, and whether it has at least half.

    Parameters
    ----------
    shares : mapping
        A share for each colour, above 0; together they make one.

    Returns
    -------
    Dominance
        The colour, its share and the verdict.

    Examples
    --------
    >>> dominance({"white": 0.5, "red": 0.25, "blue": 0.25}).enough
    True
    >>> dominance({"white": 0.4, "red": 0.3, "blue": 0.3}).enough
    False

    Notes
    -----
    *Watch out*: thirds look fair in the jugs and muddy on the cake.

    Source: common practice, see ``data/marbling.csv``.
    """
    parts = _fractions("dominance", shares)
    name = max(parts, key=lambda colour: parts[colour])
    share = q(100 * parts[name], "percent")
    return Dominance(name, share, share >= dominant_share() - q(1e-4, "percent"))


@calculator(
    returns="a list of layers",
    main=InstanceOf(str, "the name of the main colour"),
    colours=InstanceOf((tuple, list), "a list of the other colours"),
)
def pour_order(main: str, colours: Sequence[str]) -> tuple[str, ...]:
    """Return the order in which the colours go into the pouring jug.

    The main colour comes first, between any two colours, and last.

    Parameters
    ----------
    main : str
        The colour that there is most of.
    colours : sequence of str
        The others, in the order wanted; a colour may come more than once.

    Returns
    -------
    tuple of str
        The layers, the first at the bottom of the jug.

    Examples
    --------
    >>> pour_order("white", ["red", "blue"])
    ('white', 'red', 'white', 'blue', 'white')

    Notes
    -----
    *Watch out*: two colours that touch make a third.  Hold all jugs in one bath to
    one temperature first, and do not stir.

    Source: common practice, no source.
    """
    faults = [
        Fault(
            f"pour_order, colours, row {place}",
            "is not a colour beside the main one",
            str(name),
            f"The main colour is {main}",
            "Name another colour, or leave it out",
        )
        for place, name in enumerate(colours, 1)
        if name == main or not isinstance(name, str)
    ]
    if not colours:
        faults.append(Fault("pour_order, colours", "is empty", "", "", "Name at least one colour"))
    refuse(faults)
    order = [main]
    for name in colours:
        order += [name, main]
    return tuple(order)


@calculator(
    returns="a list of layers with masses",
    total=_MASS,
    shares=SHARES,
    main=InstanceOf(str, "the name of the main colour"),
    rounds=Measure("", 1, 6),
)
def layers(
    total: Quantity, shares: Shares, main: str, rounds: Quantity = _ONCE
) -> tuple[tuple[str, Quantity], ...]:
    """Return the layers of the pouring jug with the mass of each.

    Every layer of a colour is equally heavy; see :func:`pour_order` for the order.

    Parameters
    ----------
    total : quantity
        What goes into the pouring jug; above 0 and at most 1000 kg.
    shares : mapping
        A share for each colour, above 0; together they make one.
    main : str
        The colour that goes between the others.
    rounds : quantity or number
        How many times the colours are gone through, from 1 to 6.

    Returns
    -------
    tuple
        Pairs of a colour and a mass in g; they sum to the total.

    Examples
    --------
    >>> shares = {"white": 0.5, "red": 0.25, "blue": 0.25}
    >>> for name, mass in layers(q(1.2, "kg"), shares, "white"):
    ...     print(name, say(mass))
    white 200 g
    red 300 g
    white 200 g
    blue 300 g
    white 200 g

    Notes
    -----
    *Watch out*: pour each layer gently onto the last, from close by, or the layers
    mix in the jug.

    Source: common practice for the order; the rest is a balance of masses.
    """
    parts = _fractions("layers", shares)
    if main not in parts:
        raise fault_error(
            "layers, main",
            "has no share",
            main,
            "It must be one of: " + ", ".join(parts),
            "Choose the main colour among them",
        )
    if rounds.m != round(rounds.m):
        raise fault_error(
            "layers, rounds",
            "is not a whole number",
            f"{rounds.m:g}",
            "It must be from 1 to 6",
            "Count how many times the colours are gone through",
        )
    order = pour_order(main, [n for n in parts if n != main] * round(rounds.m))
    return tuple((n, q(total.m * parts[n] / order.count(n), "g")) for n in order)


@calculator(
    returns="a colour",
    left=InstanceOf(Mapping, "a table of masses by colour"),
    colours=InstanceOf(Mapping, "a table of colours by name"),
)
def left_over_colour(left: Mapping[str, Quantity], colours: Mapping[str, Any]) -> str:
    """Return roughly the colour of all left-overs mixed: an illustration.

    Parameters
    ----------
    left : mapping
        What is left of each colour: masses, or shares.
    colours : mapping
        The colour of each on a screen, ``"#rrggbb"``.

    Returns
    -------
    str
        ``"#rrggbb"``.  Bright colours together go grey, which is why left-overs are
        recoloured dark; the shade itself is not to be trusted.

    Examples
    --------
    >>> left = {"yellow": q(150, "g"), "blue": q(150, "g"), "red": q(150, "g")}
    >>> jugs = {"yellow": "#f2c230", "blue": "#2757a5", "red": "#c1272d"}
    >>> grey = _colour.lab(left_over_colour(left, jugs)).chroma
    >>> grey < min(_colour.lab(jug).chroma for jug in jugs.values()) / 2
    True

    Notes
    -----
    *Watch out*: a dark colour hides the grey and no crumbs.  Sieve, cool fast, label
    and date, and never across allergens.  Your local rules and your supervisor come
    first.

    Source: common practice for the grey, see ``coating.reuse``; [kubelka-munk1931]
    through ``colour.mix``.
    """
    refuse(
        Fault(
            "left_over_colour, colours",
            "has no colour for one of the left-overs",
            str(name),
            "",
            'Add it, like "#b5651d"',
        )
        for name in left
        if name not in colours
    )
    try:
        return _colour.mix([(colours[name], amount) for name, amount in left.items()])
    except FaultsError as met:
        rows = {f"parts, row {n}": str(name) for n, name in enumerate(left, 1)}
        raise FaultsError(_named(fault, rows) for fault in met.faults) from None


def _named(fault: Fault, rows: Mapping[str, str]) -> Fault:
    """Return a fault of a row of the mixture under the name of its left-over."""
    row, comma, rest = fault.where.partition(", colour")
    name = rows.get(row)
    if name is None:
        return replace(fault, where=f"left_over_colour, {fault.where}")
    table_of = "colours" if comma else "left"
    return replace(fault, where=f"left_over_colour, {table_of}, {name}{rest}")


def _fractions(where: str, shares: Shares) -> dict[str, float]:
    """Return the shares as fractions of one; tell everything that is not right."""
    faults, parts = [], {}
    for name, share in shares.items():
        size = share.to("").m if is_quantity(share) and share.dimensionless else share
        plain = isinstance(size, int | float) and not isinstance(size, bool)
        if not plain or not 0 < size <= 1:
            faults.append(
                Fault(
                    f"{where}, shares, {name}",
                    "is not a share",
                    say(share) if is_quantity(share) else str(share),
                    "It must be above 0 and at most 1",
                    'Write a quarter as 0.25 or q(25, "percent")',
                )
            )
        else:
            parts[name] = float(size)
    if not shares:
        faults.append(Fault(f"{where}, shares", "is empty", "", "", "Name at least one colour"))
    total = sum(parts.values())
    if not faults and abs(total - 1) > _CLOSE:
        faults.append(
            Fault(
                f"{where}, shares",
                "do not make a whole",
                f"{100 * total:.6g} % together",
                "They must sum to 100 %",
                "Give what is missing to the main colour"
                if total < 1
                else "Take the surplus from the largest",
            )
        )
    refuse(faults)
    return parts
