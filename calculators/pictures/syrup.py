"""Pictures of syrups: how strength is read, and what boiling does."""

from __future__ import annotations

from calculators import syrup
from calculators.figures import QUIET, curve, dot, drawing, picture
from calculators.show import Picture
from calculators.units import Quantity, q, say


def strength_and_density(brix: Quantity, temperature: Quantity) -> Picture:
    """Draw density against Brix, with the reader's own syrup on the line."""
    strengths = [float(b) for b in range(0, 81, 2)]
    weights = [syrup.density(q(b, "percent"), temperature).m_as("g/l") for b in strengths]
    mine = syrup.density(brix, temperature).m_as("g/l")
    with drawing() as (figure, axes):
        curve(axes, strengths, weights, "")
        dot(axes, brix.m_as("percent"), mine, f"{say(brix)}: a litre weighs {say(q(mine, 'g'))}",
            right=False)  # fmt: skip
        axes.set(xlabel="Strength, °Bx", ylabel=f"Mass of a litre at {say(temperature)}, g",
                 xlim=(0, 80))  # fmt: skip
        return picture(
            figure,
            f"A curve that rises from {say(q(weights[0], 'g'), digits=4)} a litre for water to "
            f"{say(q(weights[-1], 'g'), digits=4)} at 80 °Bx, a little steeper as it goes. "
            f"A point marks {say(brix)} at {say(q(mine, 'g'), digits=4)}.",
            "The stronger the syrup, the heavier the litre. Weigh a litre and read the strength.",
        )


def strength_and_heat(brix: Quantity, room: Quantity) -> Picture:
    """Draw how one syrup's density falls as it warms: why a gauge needs a temperature."""
    degrees = [float(t) for t in range(0, 81, 5)]
    weights = [syrup.density(brix, q(t, "degC")).m_as("g/l") for t in degrees]
    here = syrup.density(brix, room).m_as("g/l")
    with drawing(height=3.2) as (figure, axes):
        curve(axes, degrees, weights, "")
        dot(axes, room.m_as("degC"), here, f"this room, {say(room)}")
        axes.axvline(20, color=QUIET, linewidth=0.8, linestyle=":")
        axes.set(xlabel="Temperature of the syrup, °C", ylabel=f"Mass of a litre, g ({say(brix)})")
        return picture(
            figure,
            f"A line that falls from {say(q(weights[0], 'g'), digits=4)} a litre at 0 °C to "
            f"{say(q(weights[-1], 'g'), digits=4)} at 80 °C for a syrup of {say(brix)}. "
            f"A point marks this room at {say(q(here, 'g'), digits=4)}.",
            "The same syrup weighs less when it is warm. A gauge read warm says too little.",
        )


