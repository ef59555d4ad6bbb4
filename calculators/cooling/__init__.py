"""How long a glaze takes to the pouring window, and when the cake sweats.

A stirred glaze loses a fixed part of its distance to the room in each minute: a
large jug a small part, a small jug a large one.  What stands still cools from the
outside in.  On a frozen cake there is always frost; the dew point decides when it
thaws and stands in the display.
*Warm milk and gelatin are food for bacteria: log the time out of temperature.
Your local rules and your supervisor come first.*

Held against ``ht`` and CoolProp for the heat, PsychroLib for the dew point.
"""

from calculators.cooling.clock import (
    ICE,
    USUAL,
    Broken,
    Clock,
    Day,
    Mend,
    Method,
    Phase,
    Place,
    Work,
    both_days,
    stirred_model,
)
from calculators.cooling.contact import (
    contact_temperature,
)
from calculators.cooling.cooling_log import judge, limits, steps, time_between
from calculators.cooling.jugs import (
    Bath,
    CoolingJug,
    jugs,
    water_bath,
)
from calculators.cooling.mixing import (
    AIR_HEAT,
    DRY_AIR,
    GLAZE_CONDUCTIVITY,
    GLAZE_HEAT,
    PURE_WATER,
    SEA_LEVEL,
    STEAM,
    STEFAN_BOLTZMANN,
    STILL_AIR,
    STIRRED_BATH,
    WATER_HEAT,
    WINDOW_HIGH,
    WINDOW_LOW,
)
from calculators.cooling.moisture import (
    Dew,
    dew_point,
    frost,
    thaws_wet,
)
from calculators.cooling.pouring_window import (
    WindowVerdict,
    time_out_of_temperature,
    window,
)
from calculators.cooling.stirred import (
    rate_from_readings,
    temperature_after,
    time_constant,
    time_to,
)
from calculators.cooling.surroundings import (
    coefficient,
    natural_convection,
)
from calculators.cooling.time_limits import (
    Held,
    TimeRule,
    judge_time,
    time_rule,
    warm_between,
)

__all__ = [
    "AIR_HEAT",
    "DRY_AIR",
    "GLAZE_CONDUCTIVITY",
    "GLAZE_HEAT",
    "ICE",
    "PURE_WATER",
    "SEA_LEVEL",
    "STEAM",
    "STEFAN_BOLTZMANN",
    "STILL_AIR",
    "STIRRED_BATH",
    "USUAL",
    "WATER_HEAT",
    "WINDOW_HIGH",
    "WINDOW_LOW",
    "Bath",
    "Broken",
    "Clock",
    "CoolingJug",
    "Day",
    "Dew",
    "Held",
    "Mend",
    "Method",
    "Phase",
    "Place",
    "TimeRule",
    "WindowVerdict",
    "Work",
    "both_days",
    "coefficient",
    "contact_temperature",
    "dew_point",
    "frost",
    "judge",
    "judge_time",
    "jugs",
    "limits",
    "natural_convection",
    "rate_from_readings",
    "steps",
    "stirred_model",
    "temperature_after",
    "thaws_wet",
    "time_between",
    "time_constant",
    "time_out_of_temperature",
    "time_rule",
    "time_to",
    "warm_between",
    "water_bath",
    "window",
]
