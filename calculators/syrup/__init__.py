"""How strong a syrup is, and what its strength makes it do.

Strength is degrees Brix: grams of sugar in 100 grams of syrup, here in percent.
All of it is for table sugar (sucrose) in water, except
:func:`water_activity_of_mixture`.  Milk, gelatin, glucose syrup or a white
colourant in the pan make a real glaze differ.
"""

from calculators.syrup.boiling import (
    Stage,
    boiling_point,
    brix_at_boiling,
    sea_level_equivalent,
    stage,
    stages,
)
from calculators.syrup.dilution import (
    Blend,
    blend,
    water_to_add,
    water_to_remove,
)
from calculators.syrup.keeping import (
    freezing_point,
    specific_heat,
    viscosity,
    water_activity,
    water_activity_of_mixture,
)
from calculators.syrup.saturation import (
    full_at,
    solubility,
    supersaturation,
)
from calculators.syrup.strength import (
    BROWNE,
    CHARLES,
    GROVER,
    HERZFELD,
    MODERN,
    MONEY_BORN,
    NORRISH,
    VAVRINECZ,
    baume,
    brix,
    brix_from_baume,
    brix_from_density,
    brix_from_refractive_index,
    density,
    refractive_index,
    refractometer_correction,
    specific_gravity,
    sugar_per_water,
)

__all__ = [
    "BROWNE",
    "CHARLES",
    "GROVER",
    "HERZFELD",
    "MODERN",
    "MONEY_BORN",
    "NORRISH",
    "VAVRINECZ",
    "Blend",
    "Stage",
    "baume",
    "blend",
    "boiling_point",
    "brix",
    "brix_at_boiling",
    "brix_from_baume",
    "brix_from_density",
    "brix_from_refractive_index",
    "density",
    "freezing_point",
    "full_at",
    "refractive_index",
    "refractometer_correction",
    "sea_level_equivalent",
    "solubility",
    "specific_gravity",
    "specific_heat",
    "stage",
    "stages",
    "sugar_per_water",
    "supersaturation",
    "viscosity",
    "water_activity",
    "water_activity_of_mixture",
    "water_to_add",
    "water_to_remove",
]
