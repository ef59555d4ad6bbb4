"""Films that drain and dip: an aside that shows why a thin hot glaze leaves a thin coat."""

from __future__ import annotations

import math

from calculators.blending import GRAVITY
from calculators.faults import fault_error
from calculators.units import Measure, Quantity, calculator, q

_DIP_LIMIT = 0.2  # capillary number; Landau and Levich hold well below 1


# --- an aside: films that drain -----------------------------------------------------

_VISCOSITY = Measure("Pa*s", above=0, high=1000)
_DENSITY = Measure("kg/m**3", 900, 1600)
_DISTANCE = Measure("cm", above=0, high=100)


@calculator(
    returns="mm",
    viscosity=_VISCOSITY,
    time=Measure("s", above=0, high=36_000),
    distance=_DISTANCE,
    density=_DENSITY,
)
def film(viscosity: Quantity, time: Quantity, distance: Quantity, density: Quantity) -> Quantity:
    """Return how thick a draining film still is, at a distance below the top edge.

    h = sqrt(viscosity x distance / (density x g x time)).

    Parameters
    ----------
    viscosity : quantity
        Above 0 and at most 1000 Pa s, and the same all the time.
    time : quantity
        Since the pour; above 0 and at most 10 h.
    distance : quantity
        Below the top edge of an upright wall; above 0 and at most 1 m.
    density : quantity
        From 900 to 1600 kg/m³.

    Returns
    -------
    quantity
        In mm.  The formula is exact for a film that does not set; a glaze does.

    Examples
    --------
    >>> from calculators.units import q, say
    >>> say(film(q(2, "Pa*s"), q(30, "s"), q(5, "cm"), q(1250, "kg/m**3")), digits=2)
    '0.52 mm'

    Notes
    -----
    *Watch out*: a glaze on a frozen cake gels within seconds, so real coats are
    thicker.  It holds only well after :func:`film_settles`.

    Source: [jeffreys1930]; the formula is from memory.
    """
    z = distance.m / 100
    return q(1000 * math.sqrt(viscosity.m * z / (density.m * GRAVITY * time.m)), "mm")


@calculator(
    returns="mm",
    viscosity=_VISCOSITY,
    time=Measure("s", above=0, high=36_000),
    height=_DISTANCE,
    density=_DENSITY,
)
def mean_film(viscosity: Quantity, time: Quantity, height: Quantity, density: Quantity) -> Quantity:
    """Return the mean thickness of a draining film over a wall of some height.

    It is two thirds of the thickness at the foot.

    Parameters
    ----------
    viscosity : quantity
        Above 0 and at most 1000 Pa s, and the same all the time.
    time : quantity
        Since the pour; above 0 and at most 10 h.
    height : quantity
        Of the wall; above 0 and at most 1 m.
    density : quantity
        From 900 to 1600 kg/m³.

    Returns
    -------
    quantity
        In mm, with the same limits as :func:`film`.

    Examples
    --------
    >>> from calculators.units import q, say
    >>> say(mean_film(q(2, "Pa*s"), q(30, "s"), q(5, "cm"), q(1250, "kg/m**3")))
    '0.348 mm'

    Notes
    -----
    *Watch out*: the mean hides that the top edge is nearly bare.

    Source: the integral of the film of [jeffreys1930].
    """
    return film(viscosity, time, height, density) * (2 / 3)


@calculator(
    returns="s",
    viscosity=_VISCOSITY,
    distance=_DISTANCE,
    density=_DENSITY,
    first=Measure("mm", above=0, high=50),
)
def film_settles(
    viscosity: Quantity, distance: Quantity, density: Quantity, first: Quantity
) -> Quantity:
    """Return the time before which :func:`film` must not be used.

    t = viscosity x distance / (density x g x first²): until then the wall still
    remembers how thickly it was poured.

    Parameters
    ----------
    viscosity : quantity
        Above 0 and at most 1000 Pa s.
    distance : quantity
        Below the top edge; above 0 and at most 1 m.
    density : quantity
        From 900 to 1600 kg/m³.
    first : quantity
        Thickness of the pour at the start; above 0 and at most 50 mm.

    Returns
    -------
    quantity
        In s.  Wait several times as long before the draining film means anything.

    Examples
    --------
    >>> from calculators.units import q, say
    >>> say(film_settles(q(2, "Pa*s"), q(5, "cm"), q(1250, "kg/m**3"), q(3, "mm")))
    '0.906 s'

    Notes
    -----
    *Watch out*: a glaze that thickens as it cools takes far longer.

    Source: follows from [jeffreys1930].
    """
    z, h = distance.m / 100, first.m / 1000
    return q(viscosity.m * z / (density.m * GRAVITY * h * h), "s")


@calculator(
    returns="mm",
    viscosity=_VISCOSITY,
    speed=Measure("mm/s", above=0, high=1000),
    density=_DENSITY,
    surface_tension=Measure("mN/m", 5, 100),
)
def dipped_film(
    viscosity: Quantity,
    speed: Quantity,
    density: Quantity,
    surface_tension: Quantity,
) -> Quantity:
    """Return the film that a slowly lifted cake takes with it out of a bath.

    h = 0.944 x sqrt(tension / (density x g)) x Ca^(2/3), with
    Ca = viscosity x speed / tension.

    Parameters
    ----------
    viscosity : quantity
        Above 0 and at most 1000 Pa s.
    speed : quantity
        Of the lift; above 0, and so slow that Ca is at most 0.2.
    density : quantity
        From 900 to 1600 kg/m³.
    surface_tension : quantity
        From 5 to 100 mN/m; for a glaze see ``blending.SURFACE_TENSION``.

    Returns
    -------
    quantity
        In mm, before any draining.  The law is of slow lifts: near Ca 0.2 it is too
        thick, by a fifth or so (from memory).

    Examples
    --------
    >>> from calculators.units import q, say
    >>> slow = q(1, "mm/s")
    >>> say(dipped_film(q(1, "Pa*s"), slow, q(1250, "kg/m**3"), q(60, "mN/m")))
    '0.136 mm'

    Notes
    -----
    *Watch out*: thick glazes and quick hands leave its range; then use
    :func:`drawn_film`.

    Source: [landau-levich1942]; the formula is from memory.
    """
    tension = surface_tension.m / 1000
    capillary_number = viscosity.m * speed.m / 1000 / tension
    if capillary_number > _DIP_LIMIT:
        raise fault_error(
            "dipped_film, speed",
            "is too quick for this formula",
            f"{speed.m:g} mm/s, Ca {capillary_number:.2g}",
            f"Ca must be at most {_DIP_LIMIT:g}, here "
            f"{_DIP_LIMIT * tension / viscosity.m * 1000:.3g} mm/s",
            "Lift more slowly, or use drawn_film",
        )
    length = math.sqrt(tension / (density.m * GRAVITY))
    return q(1000 * 0.944 * length * capillary_number ** (2 / 3), "mm")


@calculator(
    returns="mm",
    viscosity=_VISCOSITY,
    speed=Measure("mm/s", above=0, high=1000),
    density=_DENSITY,
)
def drawn_film(viscosity: Quantity, speed: Quantity, density: Quantity) -> Quantity:
    """Return the film on a cake that is lifted quickly, when only weight holds it back.

    h = sqrt(viscosity x speed / (density x g)).

    Parameters
    ----------
    viscosity : quantity
        Above 0 and at most 1000 Pa s.
    speed : quantity
        Of the lift; above 0 and at most 1 m/s.
    density : quantity
        From 900 to 1600 kg/m³.

    Returns
    -------
    quantity
        In mm, the most that the lift can carry.

    Examples
    --------
    >>> from calculators.units import q, say
    >>> say(drawn_film(q(1, "Pa*s"), q(10, "mm/s"), q(1250, "kg/m**3")))
    '0.903 mm'

    Notes
    -----
    *Watch out*: it is a limit for thick liquids; slow lifts of thin ones carry less.

    Source: Derjaguin (1943), as quoted in the abstract of [benilov-zubkov2008].
    """
    return q(1000 * math.sqrt(viscosity.m * speed.m / 1000 / (density.m * GRAVITY)), "mm")
