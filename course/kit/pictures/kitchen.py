"""Pictures of Kitchen first: what burns, what a log says, what instruments can do."""

from __future__ import annotations

from collections.abc import Sequence

from calculators import instruments, safety
from calculators.cooling import cooling_log
from calculators.units import Quantity, q, say
from course.kit.figures import (
    BERRY,
    FOURTH,
    GLAZE,
    INK,
    QUIET,
    THIRD,
    band,
    curve,
    dot,
    drawing,
    either,
    label,
    page_and_phone,
    picture,
    wrapped,
)
from course.kit.results import Picture

Log = Sequence[tuple[Quantity, Quantity]]

_CLOCK = {1: "1 s", 10: "10 s", 60: "1 min", 600: "10 min", 3600: "1 h", 21600: "6 h"}


# --- what can hurt -----------------------------------------------------------------


@page_and_phone
def burn_times(pan: Quantity, pours_at: Quantity) -> Picture:
    """Draw how long skin bears hot water, with the pan and the pour marked."""
    rows = safety.scald_times()
    hottest, _, last, _ = rows[-1]
    with drawing(height=4.0) as (figure, axes):
        axes.set_yscale("log")
        axes.plot([44], [21600], "s", color=GLAZE, markersize=6)
        axes.annotate(
            "44 °C: about 6 h",
            (44, 21600),
            xytext=(9, 0),
            color=GLAZE,
            textcoords="offset points",
            va="center",
        )
        for hot, low, usual, high in rows:
            axes.plot([hot, hot], [low, high], color=GLAZE, linewidth=5, alpha=0.4)
            axes.plot([hot], [usual], "s", color=GLAZE, markersize=6)
            axes.annotate(
                f"{say(q(hot, 'degC'))}: {_time(usual)}",
                (hot, usual),
                color=GLAZE,
                xytext=(9, 3),
                textcoords="offset points",
                va="bottom",
            )
        axes.axvspan(hottest, 130, ymax=0.14, color=BERRY, alpha=0.18, linewidth=0)
        axes.annotate(
            either("no time to take the hand away", "no time to take\nthe hand away"),
            (129, last),
            color=INK,
            xytext=(0, 5),
            textcoords="offset points",
            va="bottom",
            ha="right",
        )
        dot(axes, pan.m_as("degC"), 0.75, f"the pan, {say(pan)}", right=False)
        pour = pours_at.m_as("degC")
        axes.axvline(pour, color=QUIET, linewidth=0.8, linestyle=":")
        axes.annotate(
            f"this glaze\npours below\n{say(pours_at)}",
            (pour, 3),
            color=QUIET,
            xytext=(-5 if pour > 38 else 5, 0),
            textcoords="offset points",
            ha="right" if pour > 38 else "left",
            va="center",
        )
        axes.set(
            xlabel="Temperature of the hot water, °C",
            ylabel="Time to a deep burn",
            xlim=(min(30.0, pour - 5), 130),
            ylim=(0.5, 60000),
        )
        axes.set_yticks(list(_CLOCK), list(_CLOCK.values()))
        axes.minorticks_off()
        told = ", ".join(f"{_time(u)} at {say(q(h, 'degC'))}" for h, _, u, _ in rows)
        return picture(
            figure,
            "Times to a deep burn by hot water, on an axis where each step is several times "
            f"the one below: about 6 h at 44 °C, then {told}. Bars show how far the sources "
            f"differ. The pan at {say(pan)} lies far to the right, below one second.",
            "Each few degrees cost most of the time. Past 65 °C nobody is quick enough.",
        )


def _time(seconds: float) -> str:
    return say(q(seconds, "s")) if seconds < 60 else say(q(seconds / 60, "min"))


@page_and_phone
def two_logs(logs: dict[str, Log], region: str) -> Picture:
    """Draw cooling logs, with the temperatures between which a rule runs its clock."""
    steps = cooling_log.steps(region)
    hot = max(step.start.m for step in steps)
    cold = min(step.end.m for step in steps)
    between = steps[0].end.m
    with drawing(height=4.0) as (figure, axes):
        band(axes, cold, hot, "")
        said = []
        for (name, log), colour in zip(logs.items(), (THIRD, GLAZE), strict=False):
            hours = [t.m_as("hour") for t, _ in log]
            degrees = [x.m_as("degC") for _, x in log]
            axes.plot(hours, degrees, "o-", color=colour, markersize=4)
            at = len(log) // 2
            label(axes, (hours[at], degrees[at]), name, color=colour, weight="bold")
            took = cooling_log.time_between(log, q(hot, "degC"), q(between, "degC"))
            said.append(f"{name} takes {say(took, 'hour')}")
        for level in (hot, between, cold):
            axes.axhline(level, color=QUIET, linewidth=0.8, linestyle=":")
            axes.annotate(
                say(q(level, "degC")),
                (1, level),
                xycoords=("axes fraction", "data"),
                xytext=(4, 0),
                textcoords="offset points",
                color=QUIET,
                va="center",
                annotation_clip=False,
            )
        axes.set(
            xlabel="Time since the base came off the hob, h",
            ylabel="Temperature, °C",
            ylim=(0, 92),
            xlim=(0, None),
        )
        return picture(
            figure,
            f"Two cooling curves from one temperature. From {say(q(hot, 'degC'))} to "
            f"{say(q(between, 'degC'))} {' and '.join(said)}. A band from "
            f"{say(q(cold, 'degC'))} to {say(q(hot, 'degC'))} marks where the clock runs.",
            "The bath is through the band while the pot on the bench is still in the middle of it.",
        )


# --- can I trust this thermometer, this scale? ---------------------------------------------


@page_and_phone
def boiling_by_altitude(altitude: Quantity) -> Picture:
    """Draw where water boils by height above the sea, with this kitchen and the weather."""
    top = max(3000.0, altitude.m_as("m") * 1.25)
    start = min(0.0, altitude.m_as("m"))
    heights = [start + (top - start) * n / 40 for n in range(41)]
    boils = [instruments.boiling_here(q(h, "m")) for h in heights]
    here = instruments.boiling_here(altitude)
    typical = [b.typical.m for b in boils]
    with drawing(height=3.8) as (figure, axes):
        axes.fill_between(
            heights,
            [b.low.m for b in boils],
            [b.high.m for b in boils],
            color=GLAZE,
            alpha=0.18,
            linewidth=0,
        )
        curve(axes, heights, typical, "")
        at = either(32, 21)
        label(
            axes, (heights[at], boils[at].high.m), "the weather's band", color=GLAZE, offset=(4, 6)
        )
        mine = altitude.m_as("m")
        has_room = mine < 0.6 * top
        words = f"this kitchen, {say(altitude)}: {say(here.typical, places=1)}"
        dot(axes, mine, here.typical.m, words, right=has_room, above=has_room)
        axes.set(xlabel="Height above the sea, m", ylabel="Water boils at, °C", xlim=(start, top))
        return picture(
            figure,
            f"A nearly straight line that falls from {say(q(typical[0], 'degC'))} at "
            f"{say(q(heights[0], 'm'))} to {say(q(typical[-1], 'degC'))} at {say(q(top, 'm'))}. "
            f"A narrow band about it is the weather. A point marks this kitchen at "
            f"{say(here.typical, places=1)}.",
            "The higher the kitchen, the cooler its boiling water. The band is a day's weather.",
        )


@page_and_phone
def thermometer_line(
    in_ice: Quantity,
    in_boiling: Quantity,
    boils_at: Quantity,
    marks: Sequence[Quantity],
) -> Picture:
    """Draw how far a thermometer is out along its scale, from its two readings."""
    readings = (in_ice, in_boiling, boils_at)

    def out(true: float) -> float:
        return instruments.reading_for(q(true, "degC"), *readings).m - true

    boils, end = boils_at.m_as("degC"), 140.0
    with drawing(height=3.4) as (figure, axes):
        axes.axhline(0, color=QUIET, linewidth=0.8)
        axes.plot([0, boils], [out(0), out(boils)], color=GLAZE)
        axes.plot([boils, end], [out(boils), out(end)], "--", color=GLAZE)
        axes.plot([0, boils], [out(0), out(boils)], "s", color=GLAZE, markersize=7)
        rises = out(boils) > out(0)
        for x, words in ((0.0, "in ice"), (boils, "in boiling water")):
            label(axes, (x, out(x)), words, offset=(9, -14 if rises else 5), color=GLAZE)
        said = []
        for mark in marks:
            x = mark.m_as("degC")
            left = x > boils
            dot(
                axes,
                x,
                out(x),
                f"at {say(mark)}: {_signed(out(x))}",
                right=not left,
                above=rises if left else not rises,
            )
            said.append(f"{_signed(out(x))} at {say(mark)}")
        spread = max(abs(out(0)), abs(out(end)), 1.0) * 1.5
        axes.set(
            xlabel="True temperature, °C",
            ylabel="Shows too much by, °C",
            xlim=(-4, end),
            ylim=(-spread, spread),
        )
        return picture(
            figure,
            f"A straight line through two readings: out by {_signed(out(0))} in ice and "
            f"{_signed(out(boils))} in boiling water. It gives {' and '.join(said)}. Past "
            "boiling the line is dashed.",
            "Two readings turn the line. Past boiling it is a guess drawn with a ruler.",
        )


def _signed(degrees: float) -> str:
    text = say(q(abs(degrees), "delta_degC"), places=1)
    return ("−" if degrees < -0.05 else "+") + text


@page_and_phone
def scale_error(step: Quantity, masses: Sequence[Quantity]) -> Picture:
    """Draw the error of a weighing against its mass, for this scale and a finer one."""
    fine = step / 10
    low = min(m.m_as("g") for m in masses) / 3
    high = max(m.m_as("g") for m in masses) * either(8, 24)
    with drawing(height=3.8) as (figure, axes):
        axes.set_xscale("log")
        axes.set_yscale("log")
        for one, colour, words, at, side in (
            (step, BERRY, "this kitchen's scale", 10, "left"),
            (fine, GLAZE, "one ten times finer", 30, "right"),
        ):
            ends = [max(low, one.m_as("g")), high]
            errors = [instruments.scale_error(q(m, "g"), one).m for m in ends]
            axes.plot(ends, errors, color=colour)
            middle = max(at, 3 * one.m_as("g"))
            up = 1 if side == "left" else -1
            words = f"{words}, step {say(one)}"
            label(
                axes,
                (middle, instruments.scale_error(q(middle, "g"), one).m),
                either(words, wrapped(words, 20)),
                offset=(8 * up, 8 * up),
                color=colour,
                ha=side,
                va="center",
            )
        said = []
        for mass in masses:
            if mass < step:
                continue
            error = instruments.scale_error(mass, step)
            dot(axes, mass.m_as("g"), error.m, f"{say(mass)}: {say(error, digits=2)}")
            said.append(f"{say(error, digits=2)} of {say(mass)}")
        allowed = instruments.error_allowed()
        axes.axhspan(allowed.low.m, allowed.high.m, color=FOURTH, alpha=0.1, linewidth=0)
        axes.annotate(
            "what a glaze bears, about",
            (1, allowed.high.m),
            xycoords=("axes fraction", "data"),
            xytext=(-6, -2),
            color=FOURTH,
            textcoords="offset points",
            ha="right",
            va="top",
        )
        axes.set(
            xlabel="Mass on the scale, g",
            ylabel="Error by the step alone, %",
            xlim=(low, high),
            ylim=(None, 100),
        )
        axes.xaxis.set_major_formatter(lambda x, _: f"{x:g}")
        axes.yaxis.set_major_formatter(lambda y, _: f"{y:g}")
        return picture(
            figure,
            "Two straight lines that fall as the mass grows, ten times the mass for a tenth "
            f"of the error. This kitchen's scale with its step of {say(step)} is out by up "
            f"to {' and '.join(said)}.",
            "The step stays the same. How much it spoils depends on what is weighed.",
        )
