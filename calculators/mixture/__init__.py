"""What several sugars do together: boiling, keeping, freezing, graining and flowing.

A glaze is a mixture, and its glucose syrup and milk count.  Every answer is a band: it
covers the models that agree with themselves, the scatter of the data they rest on, and
what the labels of the tubs leave open.  As the other sugars vanish, each answer becomes
that of ``syrup`` for sucrose alone.  The module was held against handbook tables of
freezing and viscosity, and measured water activities and boiling points.
"""

from calculators.mixture.boiling import (
    Left,
    Stop,
    boil_to,
    boiling_point,
    boiling_point_of_pan,
    left_at_boiling,
)
from calculators.mixture.composition import (
    Mixture,
    Tub,
    at_mass,
    at_strength,
    mass,
    strength,
)
from calculators.mixture.flow import viscosity
from calculators.mixture.keeping import freezing_point, water_activity
from calculators.mixture.lines import Weighed, glaze, pan
from calculators.mixture.saturation import (
    lactose_saturation,
    sucrose_saturation,
    sucrose_saturation_of_pan,
    water_to_spare,
)

__all__ = [
    "Left",
    "Mixture",
    "Stop",
    "Tub",
    "Weighed",
    "at_mass",
    "at_strength",
    "boil_to",
    "boiling_point",
    "boiling_point_of_pan",
    "freezing_point",
    "glaze",
    "lactose_saturation",
    "left_at_boiling",
    "mass",
    "pan",
    "strength",
    "sucrose_saturation",
    "sucrose_saturation_of_pan",
    "viscosity",
    "water_activity",
    "water_to_spare",
]
