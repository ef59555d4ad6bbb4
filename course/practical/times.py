"""How long the baths, the pour and the bubbles take."""

from __future__ import annotations

import math

from calculators import blending, cooling, jug
from calculators.units import Band, Quantity, q, say
from course.practical.model import FULL, STEP
from course.scheme.model import Scheme
from exercises.craft.method import INTO_COLD_BATH, SPARE_WARMTH

THICK = q(20, "degC")  # below it a glaze of gelatin begins to thicken; common practice
THICKENS = (
    f"Below about {say(THICK)} it thickens: scrape the wall and stir as long as it lets you, and "
    "read it in the middle."
)

# --- times ---------------------------------------------------------------------------------------


def jugful(scheme: Scheme, glaze: Quantity) -> tuple[int, Quantity]:
    """Return in how many jugs a mass stands, none too full, and what is in each."""
    deep = blending.depth_in_jug(glaze, scheme.kitchen.jug).m_as("cm")
    count = math.ceil(deep / (FULL * scheme.kitchen.jug.m_as("cm")))
    return count, glaze / count


def bath_time(
    scheme: Scheme,
    glaze: Quantity,
    start: Quantity,
    target: Quantity,
    bath: Quantity,
    bath_mass: Quantity | None = None,
) -> Band:
    """Return how long a jug in a water bath takes, as a band: as the clock of both days has it."""
    width = scheme.kitchen.jug.m_as("cm")
    deep = blending.depth_in_jug(glaze, scheme.kitchen.jug).m_as("cm")
    wet = q(math.pi * width * (deep + width / 4), "cm**2")
    pace = cooling.coefficient("stirred water bath")
    slow, usual, fast = (
        cooling.water_bath(glaze, start, target, bath, wet, h, bath_mass).time
        for h in (pace.low, pace.typical, pace.high)
    )
    return Band(fast, usual, slow, pace.provenance, "how well jug and bath are stirred")


def in_steps(minutes: Quantity) -> Quantity:
    """Return minutes in whole steps of the plan, rounded up."""
    return q(max(1, math.ceil(minutes.m_as("min") / STEP)) * STEP, "min")


def about_so_long(time: Band) -> str:
    """Return a band of minutes in words."""
    low, usual, high = (say(t, "min", digits=2) for t in (time.low, time.typical, time.high))
    return f"about {usual} ({low} to {high}, from memory: your own readings are better)"


def by_itself(scheme: Scheme, glaze: Quantity) -> str:
    """Return how long the glaze would take to the window on the bench."""
    room, high = scheme.kitchen.room, scheme.window.high
    if room.m >= high.m - 1 or high.m >= INTO_COLD_BATH.m:
        return ""
    kitchen, one = scheme.kitchen, jugful(scheme, glaze)[1]
    alone = jug.time_on_the_bench(
        one, kitchen.jug, INTO_COLD_BATH, high, room, kitchen.humidity, cover="filmed"
    )
    low, usual, slow = (say(t, "h", digits=2) for t in (alone.low, alone.typical, alone.high))
    return (
        f"By itself, under film on the bench, it would take about {usual} to the window "
        f"({low} to {slow})."
    )


def one_bath(scheme: Scheme, batch: Quantity) -> str:
    """Return whether the jugs would ever be ready at once without a bath."""
    room, window = scheme.kitchen.room, scheme.window
    start = warm_to(scheme)
    if len(scheme.colours) < 2 or room.m >= window.high.m:
        return ""
    shares = [one.share for one in scheme.colours]
    bench = jug.bench(room, scheme.kitchen.humidity)
    poured = [jug.jug(batch * share.m_as(""), scheme.kitchen.jug) for share in shares]
    told = str(jug.meeting(poured, start, bench, window.low, window.high))
    return f"Left on the bench: {told[0].lower()}{told[1:]}."


def warm_to(scheme: Scheme) -> Quantity:
    """Return how warm the glaze is made before it is blended and coloured."""
    return q(scheme.window.high.m + SPARE_WARMTH, "degC")


def window_said(scheme: Scheme) -> str:
    """Return the pouring window in words."""
    return f"{say(scheme.window.low)} to {say(scheme.window.high)}"
