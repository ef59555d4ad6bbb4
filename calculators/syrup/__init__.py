"""How strong a syrup is, and what its strength makes it do.

Strength is degrees Brix: grams of sugar in 100 grams of syrup, here in percent.
All of it is for table sugar (sucrose) in water.  Milk, gelatin, glucose syrup or a
white colourant in the pan make a real glaze differ: see ``mixture``.
"""

from calculators.syrup.boiling import (
    Stage,
    boiling_point,
    brix_at_boiling,
    sea_level_equivalent,
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
)
from calculators.syrup.saturation import (
    full_at,
    solubility,
    supersaturation,
)
from calculators.syrup.strength import (
    BROWNE,
    CHARLES,
    HERZFELD,
    MODERN,
    VAVRINECZ,
    baume,
    brix,
    brix_from_baume,
    brix_from_density,
    brix_from_refractive_index,
    density,
    refractive_index,
    sugar_per_water,
)

__all__ = [
    "BROWNE",
    "CHARLES",
    "HERZFELD",
    "MODERN",
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
    "sea_level_equivalent",
    "solubility",
    "specific_heat",
    "stages",
    "sugar_per_water",
    "supersaturation",
    "viscosity",
    "water_activity",
    "water_to_add",
    "water_to_remove",
]
