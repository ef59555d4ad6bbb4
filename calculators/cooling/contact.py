"""What happens where warm glaze meets a frozen cake."""

from __future__ import annotations

import math

from calculators.cooling.mixing import TABLE, TEMPERATURE
from calculators.sources import table
from calculators.units import FROM_MEMORY, Band, Measure, Quantity, calculator

# --- the glaze meets the cake ---------------------------------------------------------------


_EFFUSIVITY = Measure("J/m**2/K/s**0.5", high=40_000, above=0)


@calculator(
    returns="a band, degC",
    glaze=TEMPERATURE,
    cake=TEMPERATURE,
    glaze_effusivity=_EFFUSIVITY,
    cake_effusivity=_EFFUSIVITY,
)
def contact_temperature(
    glaze: Quantity,
    cake: Quantity,
    glaze_effusivity: Quantity | None = None,
    cake_effusivity: Quantity | None = None,
) -> Band:
    """Return the temperature at which glaze and cake meet in the first moment.

    ``contact = (e1 * glaze + e2 * cake) / (e1 + e2)`` with the two effusivities.

    Parameters
    ----------
    glaze, cake : quantity
        °C, -60 to 150.
    glaze_effusivity, cake_effusivity : quantity, optional
        J/m²/K/s^½.  Left out, bands from memory.

    Returns
    -------
    Band
        °C.  With both effusivities given, all three values are the same.

    Examples
    --------
    >>> print(contact_temperature(q(33, "degC"), q(-18, "degC")))
    3.77 °C to 19.7 °C, typically 12.6 °C

    Notes
    -----
    *Watch out*: it lies below the setting point of gelatin, so the glaze sets from
    the cake outwards while the rest still runs off.  Frost and ice that melt pull it
    lower.

    Source: two half spaces in contact, [carslaw-jaeger1959]; effusivities from
    memory.
    """
    warm = _of_glaze() if glaze_effusivity is None else (glaze_effusivity.m,) * 3
    cold = TABLE["cake effusivity"].three if cake_effusivity is None else (cake_effusivity.m,) * 3

    def meet(one: float, two: float) -> float:
        return (one * glaze.m + two * cake.m) / (one + two)

    ends = [meet(one, two) for one in warm for two in cold]
    return Band.of(
        (min(ends), meet(warm[1], cold[1]), max(ends)),
        "degC",
        FROM_MEMORY,
        "effusivities are from memory, and melting ice is left out",
    )


def _of_glaze() -> tuple[float, float, float]:
    """Return low, usual and high effusivity of a glaze, from its rows of the tables."""
    density = table("blending")["glaze density"].quantity.m  # kg/m³
    conducts, holds = (TABLE[f"glaze {name}"].three for name in ("conductivity", "specific heat"))
    low, usual, high = (
        math.sqrt(k * density * 1000 * c) for k, c in zip(conducts, holds, strict=True)
    )
    return low, usual, high
