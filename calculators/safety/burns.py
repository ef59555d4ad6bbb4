"""How fast hot water burns."""

from __future__ import annotations

from functools import cache
from itertools import pairwise

from calculators.frozen import frozen
from calculators.sources import table
from calculators.units import PUBLISHED, Band, Measure, Quantity, calculator, q, say

# --- how fast hot water burns ----------------------------------------------------------


@frozen
class BurnTime:
    """How long skin bears a hot liquid before a deep burn, in words and as a band.

    Parameters
    ----------
    words : str
        What to say at the bench.
    time : Band or None
        From the shortest to the longest figure of the sources, in seconds; None
        where no figure is known.
    """

    words: str
    time: Band | None

    def __str__(self) -> str:
        """Return the words."""
        return self.words


_LONG_CONTACT = 44.0  # °C: six hours, Moritz and Henriques 1947, as restated
_ROUNDED = 0.06  # °C: the table is of whole °F, and its rows are rounded to 0.1 °C
_STICKS = 100.0  # °C: hotter than this it is sugar, which sticks


@cache
def scald_times() -> tuple[tuple[float, float, float, float], ...]:
    """Return temperature (°C), shortest, usual and longest time (s), rising.

    >>> scald_times()[-1]
    (65.6, 1.5, 2.0, 2.0)
    """
    return tuple(
        (float(row.name), row.low or 0.0, row.value or 0.0, row.high or 0.0)
        for row in table("scalds").values()
    )


@calculator(returns="words and a band of times in s", temperature=Measure("degC", -30, 250))
def contact_burn(temperature: Quantity) -> BurnTime:
    """Return how long hot water may touch adult skin before it burns deeply.

    Between two rows of the table the answer is a band from one row to the other;
    no curve is drawn through them.

    Parameters
    ----------
    temperature : quantity
        Of the liquid, −30 to 250 °C.

    Returns
    -------
    BurnTime
        Words, and a band in s where the sources have figures.

    Examples
    --------
    >>> print(contact_burn(q(62, "degC")))
    A deep burn in 1.5 s to 6 s. Children and older people burn faster.
    >>> print(contact_burn(q(118, "degC")))
    A deep burn at once, and sugar sticks and goes on burning.

    Notes
    -----
    *Watch out*: the times are for a third-degree burn, which is too late; pain and
    harm come sooner.  The damage integral of Henriques taken alone, at a constant
    skin temperature, gives times that are wrong by factors, so it is not used.

    Source: [cpsc5098] as restated by others; 44 °C from [moritz-henriques1947].
    """
    hot = temperature.m
    rows = scald_times()
    if hot <= _LONG_CONTACT - _ROUNDED:
        return BurnTime("No burn is expected from a short touch.", None)
    if hot > _STICKS:
        return BurnTime(
            "A deep burn at once, and sugar sticks and goes on burning.",
            _seconds(0, rows[-1][1], rows[-1][1]),
        )
    if hot >= rows[-1][0] + _ROUNDED:
        usual = rows[-1][2]
        return BurnTime(
            f"A deep burn in less than {say(q(usual, 's'))}.", _seconds(0, usual, usual)
        )
    long_contact = (_LONG_CONTACT, 6 * 3600.0, 6 * 3600.0, 6 * 3600.0)
    for cooler, hotter in pairwise((long_contact, *rows)):
        at = next((row for row in (cooler, hotter) if abs(hot - row[0]) < _ROUNDED), ())
        if at:
            low, usual, high = at[1:]
            break
        if hot < hotter[0]:
            low, usual, high = hotter[1], hotter[2], cooler[3]
            break
    span = f"about {_time(high)}" if low == high else f"{_time(low)} to {_time(high)}"
    words = f"A deep burn in {span}."
    return BurnTime(f"{words} Children and older people burn faster.", _seconds(low, usual, high))


def _time(seconds: float) -> str:
    if seconds < 120:
        return say(q(seconds, "s"))
    minutes = q(seconds / 60, "minute")
    return say(minutes) if seconds < 7200 else say(minutes, "hour")


def _seconds(low: float, usual: float, high: float) -> Band:
    why = "skin, age and contact differ, and the sources print rounded times"
    return Band.of((low, usual, high), "s", PUBLISHED, why)
