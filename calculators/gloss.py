"""How much light a smooth or a rough glaze throws back, so that *dull* has a number.

A wet surface mirrors a few percent of the light, more at a slant.  Roughness far
finer than the eye can see takes the mirror away; waves that the eye does see bend
the picture and are not gloss.

Held against Fresnel's law with the standard glass of gloss meters, and against the
formula for slightly rough mirrors.
"""

from __future__ import annotations

import math

from calculators.sources import table
from calculators.syrup import refractive_index
from calculators.units import Measure, Quantity, calculator, q

_TABLE = table("gloss")
_SUGARS = q(200 / 3, "percent")  # of a wet pouring glaze, about; fat and milk move little
GLAZE_INDEX = q(round(refractive_index(_SUGARS).m, 2))
_STANDARD = _TABLE["gloss standard index"].quantity.m
_GREEN = _TABLE["green light"].quantity
_METER = q(60, "degree")
_SMOOTH = q(0, "um")

_INDEX = Measure("", 1.0, 3)
_ANGLE = Measure("degree", 0, 89)
_ROUGH = Measure("um", 0, 5)


@calculator(returns="percent", index=_INDEX, angle=_ANGLE)
def reflectance(index: Quantity = GLAZE_INDEX, angle: Quantity = _METER) -> Quantity:
    """Return the share of light that a smooth wet surface mirrors.

    ``(r_s² + r_p²) / 2`` by Fresnel, with ``sin(inside) = sin(angle) / index``.

    Parameters
    ----------
    index : quantity
        Of refraction, a plain number, 1 to 3; 1.46 for two thirds sugars,
        by ``syrup.refractive_index``.
    angle : quantity
        From the upright, in degrees, 0 to 89.

    Returns
    -------
    quantity
        %, exact for a smooth clear surface and unpolarised light.

    Examples
    --------
    >>> from calculators.units import say
    >>> say(reflectance(q(1.46), q(20, "degree")))
    '3.52 %'

    Notes
    -----
    *Watch out*: what comes back from inside a white glaze is colour, not gloss.

    Source: Fresnel's equations.
    """
    return q(100 * _fresnel(index.m, angle.m), "percent")


@calculator(returns="percent", roughness=_ROUGH, angle=_ANGLE, wavelength=Measure("um", 0.38, 0.78))
def mirrored(
    roughness: Quantity, angle: Quantity = _METER, wavelength: Quantity = _GREEN
) -> Quantity:
    """Return how much of its mirror a rough surface keeps.

    ``exp(-(4 * pi * roughness * cos(angle) / wavelength)²)``

    Parameters
    ----------
    roughness : quantity
        Root mean square of the heights, µm, 0 to 5.
    angle : quantity
        From the upright, in degrees, 0 to 89.
    wavelength : quantity
        Of the light, µm; green, 0.55, where the eye sees best.

    Returns
    -------
    quantity
        % of what the smooth surface mirrors.  Good below 0.1 µm; beyond, it says
        nearly nothing is left, and some haze is.

    Examples
    --------
    >>> from calculators.units import say
    >>> say(mirrored(q(0.05, "um")), digits=2)
    '72 %'

    Notes
    -----
    *Watch out*: a twentieth of a micrometre dulls; crystals and fine bubbles are ten
    times that.  Looked at along the surface, dull things shine again.

    Source: [bennett-porteus1961] upright; the cosine after [beckmann-spizzichino1963].
    """
    return q(100 * _kept(roughness.m, angle.m, wavelength.m), "percent")


@calculator(returns="", index=_INDEX, angle=Measure("degree", 20, 85), roughness=_ROUGH)
def gloss(
    index: Quantity = GLAZE_INDEX,
    angle: Quantity = _METER,
    roughness: Quantity = _SMOOTH,
) -> Quantity:
    """Return the number that a gloss meter shows on a wet glaze.

    ``100 * reflectance(index) / reflectance(1.567) * mirrored(roughness)``

    Parameters
    ----------
    index : quantity
        Of refraction of the glaze, a plain number.
    angle : quantity
        Of the meter, 20 to 85 degrees; 20, 60 and 85 are sold.
    roughness : quantity
        Root mean square of the heights, µm, 0 to 5; zero is a smooth surface.

    Returns
    -------
    quantity
        Gloss units, a plain number; black glass of index 1.567 has 100.

    Examples
    --------
    >>> from calculators.units import say
    >>> say(gloss(), digits=2)
    '82'
    >>> say(gloss(roughness=q(0.1, "um")), digits=2)
    '22'

    Notes
    -----
    *Watch out*: a wet glaze of index 1.45 to 1.47 can't exceed 85 at 60°: more is a
    wet glass of the meter, or a metal pigment.

    Sources: [iso2813] for the scale; Fresnel; :func:`mirrored`.
    """
    share = _fresnel(index.m, angle.m) / _fresnel(_STANDARD, angle.m)
    return q(100 * share * _kept(roughness.m, angle.m, _GREEN.m), "")


def _fresnel(index: float, degrees: float) -> float:
    cos1 = math.cos(math.radians(degrees))
    sin2 = math.sin(math.radians(degrees)) / index
    cos2 = math.sqrt(1 - sin2 * sin2)
    across = (cos1 - index * cos2) / (cos1 + index * cos2)
    along = (index * cos1 - cos2) / (index * cos1 + cos2)
    return (across * across + along * along) / 2


def _kept(roughness: float, degrees: float, wavelength: float) -> float:
    phase = 4 * math.pi * roughness * math.cos(math.radians(degrees)) / wavelength
    return math.exp(-phase * phase)
