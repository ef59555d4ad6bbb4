"""How much, what is in it, what does it cost, and who can't eat it.

A formula is a name and its lines; every answer follows from the composition of
its ingredients.  No table of glazes is known to hold the whole against: density is
held against syrups of the handbook, the bloom test against its standard, water
activity against measured syrups, composition against the food tables.
"""

from calculators.formula.amounts import (
    density,
    mass,
    scale_to,
    volume,
)
from calculators.formula.comparison import (
    Analysis,
    Compared,
    Comparison,
    analysis,
    compare,
)
from calculators.formula.contents import (
    Composition,
    composition,
    gelatin_in_water,
    share,
    sugar_in_water,
    supersaturation,
    water_activity,
)
from calculators.formula.diet import (
    CERTIFIED,
    DIETS,
    Diet,
    Holds,
    allergens,
    diets,
    who_cannot_eat,
)
from calculators.formula.flow import viscosity
from calculators.formula.model import (
    Formula,
)
from calculators.formula.price import (
    Cost,
    CostLine,
    cost,
)
from calculators.formula.setting import (
    Technique,
    gelling,
    plant_based,
    techniques,
)
from calculators.formula.water import (
    evaporated,
    thin,
    water_to_give_back,
)

__all__ = [
    "CERTIFIED",
    "DIETS",
    "Analysis",
    "Compared",
    "Comparison",
    "Composition",
    "Cost",
    "CostLine",
    "Diet",
    "Formula",
    "Holds",
    "Technique",
    "allergens",
    "analysis",
    "compare",
    "composition",
    "cost",
    "density",
    "diets",
    "evaporated",
    "gelatin_in_water",
    "gelling",
    "mass",
    "plant_based",
    "scale_to",
    "share",
    "sugar_in_water",
    "supersaturation",
    "techniques",
    "thin",
    "viscosity",
    "volume",
    "water_activity",
    "water_to_give_back",
    "who_cannot_eat",
]
