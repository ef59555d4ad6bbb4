"""What is in the glucose tub, and what it does to a syrup, a glaze or a sweet.

Glucose syrup is water and starch cut into pieces.  The *dextrose equivalent* (DE)
says how finely: 100 is all single glucose, 20 is mostly long chains.  A tub brings
solids that keep sugar from graining, and water that belongs in the formula.

Where sources disagree: the measured dextrose equivalent runs above the theoretical
one (see :func:`mean_molar_mass`); a sucrose refractometer reads the syrup too high
(:func:`refractometer_reading`).  How it boils, keeps and freezes: ``mixture``.

Held against [iso1743] for refraction, [bender-dictionary] and [gaman-sherrington]
for sweetness, and the standards for what may be called glucose syrup.  Viscosity is
from memory and comes as a band.
"""

from calculators.glucose.graining import (
    Graining,
    graining_risk,
)
from calculators.glucose.keeping import (
    viscosity,
)
from calculators.glucose.molecules import (
    dextrose_equivalent,
    mean_molar_mass,
    sweetness,
)
from calculators.glucose.refraction import (
    refractive_index,
    refractometer_reading,
)
from calculators.glucose.tub import (
    GLUCOSE,
    SUCROSE,
    TUBS,
    Parts,
    Swap,
    Syrup,
    label,
    lawful_name,
    split,
    swap,
)

__all__ = [
    "GLUCOSE",
    "SUCROSE",
    "TUBS",
    "Graining",
    "Parts",
    "Swap",
    "Syrup",
    "dextrose_equivalent",
    "graining_risk",
    "label",
    "lawful_name",
    "mean_molar_mass",
    "refractive_index",
    "refractometer_reading",
    "split",
    "swap",
    "sweetness",
    "viscosity",
]
