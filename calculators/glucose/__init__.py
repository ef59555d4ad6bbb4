"""What is in the glucose tub, and what it does to a syrup, a glaze or a sweet.

Glucose syrup is water and starch cut into pieces.  The *dextrose equivalent* (DE)
says how finely: 100 is all single glucose, 20 is mostly long chains.  A tub brings
solids that keep sugar from graining, and water that belongs in the formula.

Where sources disagree: the measured dextrose equivalent runs above the theoretical
one (see :func:`mean_molar_mass`); a sucrose refractometer reads the syrup too high
(:func:`refractometer_reading`); two constants for the water activity are remembered
(:func:`water_activity` shows the band between them); the trade counts freezing in two
ways (:func:`freezing_factor` knows both).

Held against [iso1743] for refraction, [bender-dictionary] and [gaman-sherrington]
for sweetness, and the standards for what may be called glucose syrup.  Glass
transition, viscosity and water activity are from memory and come as bands.
"""

from calculators.glucose.graining import (
    Graining,
    graining_risk,
)
from calculators.glucose.keeping import (
    BY_EQUIVALENT,
    BY_MOLECULES,
    freezing_factor,
    glass_transition,
    glass_transition_of_syrup,
    viscosity,
    water_activity,
)
from calculators.glucose.molecules import (
    dextrose_equivalent,
    mean_molar_mass,
    relative_sweetness,
    sweetness,
)
from calculators.glucose.refraction import (
    refractive_index,
    refractometer_reading,
)
from calculators.glucose.tub import (
    GLASSY_WATER,
    GLUCOSE,
    SUCROSE,
    TUBS,
    Parts,
    Swap,
    Syrup,
    label,
    lawful_name,
    solids_from_baume,
    split,
    swap,
)

__all__ = [
    "BY_EQUIVALENT",
    "BY_MOLECULES",
    "GLASSY_WATER",
    "GLUCOSE",
    "SUCROSE",
    "TUBS",
    "Graining",
    "Parts",
    "Swap",
    "Syrup",
    "dextrose_equivalent",
    "freezing_factor",
    "glass_transition",
    "glass_transition_of_syrup",
    "graining_risk",
    "label",
    "lawful_name",
    "mean_molar_mass",
    "refractive_index",
    "refractometer_reading",
    "relative_sweetness",
    "solids_from_baume",
    "split",
    "swap",
    "sweetness",
    "viscosity",
    "water_activity",
]
