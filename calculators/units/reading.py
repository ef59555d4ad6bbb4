"""What a person wrote, read strictly: one number and one unit name, and nothing is evaluated."""

from __future__ import annotations

import re
import unicodedata
from typing import Any, NamedTuple

from calculators.faults import fault_error
from calculators.units.registry import Quantity, q, unit
from calculators.units.saying import dimension_of, symbol
from calculators.units.unit_names import LONGEST_TEXT, WRITTEN, nearest

# --- strictly: one number and one unit ---------------------------------------------------

# Patterns stand as text and are compiled when first met: each would slow every import.
# Thousands may stand apart in threes, as in "12 500"; a point may begin a number, as
# in ".5", or end it.
NUMBER = (
    r"(?P<sign>[+-]?)\s?"
    r"(?P<whole>[0-9]{1,3}(?: [0-9]{3})+(?![0-9])|[0-9]+|(?=[.,][0-9]))"
    r"(?:(?P<mark>[.,])(?P<part>[0-9]+)|\.(?= |\Z))?"
    r"(?:[eE](?P<power>[+-]?[0-9]{1,2})(?![0-9]))?"
)
# Where both marks stand in a number, the first ones part thousands: "1.250,5".
BOTH_MARKS = r"([+-]?\s?[0-9]{1,3})((?:\.[0-9]{3})+(?=,[0-9])|(?:,[0-9]{3})+(?=\.[0-9]))"
# The sign of money stands before its number, as in "£9.50".
_MONEY_FIRST = r"([€£$])\s*([0-9](?:[0-9 .,]*[0-9])?)(.*)"
_PLAIN_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
# What some keyboards give for a space, and the wide signs of others.
ODD_SIGNS: dict[int, str | int] = {
    **dict.fromkeys(map(ord, "\u00a0\u2009\u202f\u2007\u3000\t"), " "),
    **{wide: wide - 0xFEE0 for wide in range(0xFF01, 0xFF5F)},
}


class ReadNumber(NamedTuple):
    """What was read from a person's text: a number, and a unit or none.

    Parameters
    ----------
    value : float
        Finite.
    unit_name : str or None
        The registry's name of the unit; None where no unit was written.
    text : str
        The text as it was given.
    """

    value: float
    unit_name: str | None
    text: str

    @property
    def quantity(self) -> Any:
        """The quantity; a plain number where no unit was written."""
        return q(self.value, self.unit_name or "")


def read_loosely(text: str, where: str = "answer") -> ReadNumber:
    """Read a number and, if there is one, a unit; evaluate nothing.

    Parameters
    ----------
    text : str
        At most 64 characters: a number with decimal point or decimal comma, then
        a unit of the list, or no unit.
    where : str
        What to call the place in an error.

    Returns
    -------
    Reading
        A finite number and the unit's name, or None for no unit.

    >>> read_loosely("12,5 g").value
    12.5
    """
    if not isinstance(text, str):
        raise fault_error(where, "is not text", type(text).__name__, 'Write it like "12.5 g"')
    if len(text) > LONGEST_TEXT:
        raise fault_error(
            where,
            f"is {len(text)} characters long",
            text[:24] + " ...",
            f"The reader takes {LONGEST_TEXT} characters at the most",
            'Write one number and its unit, like "12.5 g"',
        )
    number, _, rest = text.partition(" ")
    if rest in WRITTEN and re.fullmatch(_PLAIN_NUMBER, number):  # as nearly all are
        return ReadNumber(float(number), WRITTEN[rest], text)
    plain = text if text.isascii() else text.translate(ODD_SIGNS)
    if not plain.isprintable():
        plain = plain.replace("\t", " ")
        strange = [c for c in plain if unicodedata.category(c)[0] == "C"]
        if strange:
            raise fault_error(
                where,
                f"holds an invisible character (U+{ord(strange[0]):04X})",
                text.encode("ascii", "backslashreplace").decode(),
                "",
                "Type the number and the unit again instead of pasting them",
            )
    plain = plain.strip().replace("−", "-").replace("–", "-")
    if not plain:
        raise fault_error(where, "is empty", "", "", 'Write a number and its unit, like "12.5 g"')
    if money := re.fullmatch(_MONEY_FIRST, plain):
        plain = "{1} {0}{2}".format(*money.groups())
    if "," in plain and (both := re.match(BOTH_MARKS, plain)):
        whole = re.sub(r"[.,]", "", both[0])
        plain = whole + plain[both.end() :]
    found = re.match(NUMBER, plain)
    if not found:
        raise fault_error(
            where,
            "does not begin with a number",
            text,
            "A number is written with the digits 0 to 9 and a decimal point or comma",
            'Write it like "12.5 g"',
        )
    sign, whole, mark, part, power = found.groups()
    grouped = " " in whole
    if mark == "," and len(part) == 3 and whole.lstrip("0") and not (power or grouped):
        raise fault_error(
            where,
            "can be read in two ways",
            text,
            f"{whole},{part} may be {whole}.{part} or {whole}{part}",
            "Write it with a decimal point, or without the comma",
        )
    whole = whole.replace(" ", "") if grouped else whole
    value = float(f"{sign}{whole}.{part or 0}e{power or 0}")
    rest = plain[found.end() :].strip()
    if rest and (rest[0] in "0123456789.,eE+-" and rest not in WRITTEN):
        raise fault_error(
            where,
            "holds more than one number",
            text,
            "",
            'Write a single number without spaces in it, like "1200 g"',
        )
    if not rest:
        return ReadNumber(value, None, text)
    name = WRITTEN.get(rest) or WRITTEN.get(" ".join(rest.split()))
    if name is None:
        near = nearest(rest)
        raise fault_error(
            where,
            f"has a unit that is not known: {rest}",
            text,
            "",
            f"Did you mean {near}?" if near else "Write the unit like g, kg, ml, °C, %, cm or min",
        )
    return ReadNumber(value, name, text)


def read(text: str, like: str | None = None, where: str = "value") -> Quantity:
    """Read a quantity as a person writes it: ``"16 cm"``, ``"21 °C"``, ``"2,5 kg"``.

    Parameters
    ----------
    text : str
        A number and a unit; see :func:`read_loosely` for what is accepted.
    like : str, optional
        A unit of the dimension that is wanted, for instance ``"g"``.
    where : str
        What to call the place in an error.

    Returns
    -------
    quantity
        In the unit that was written.

    >>> say(read("16 cm", "m"))
    '16 cm'
    """
    reading = read_loosely(text, where)
    if reading.unit_name is None and like not in (None, ""):
        raise fault_error(
            where,
            "has no unit",
            text,
            "",
            f'Write the unit too, like "{text.strip()} {symbol(like or "")}"',
        )
    if reading.unit_name == "degree" and like not in (None, "", "degree"):
        raise fault_error(
            where,
            "does not say which degrees",
            text,
            "",
            "Write °C, °F, °Bx or °Bé",
        )
    value = reading.quantity
    if like is not None and not value.is_compatible_with(unit(like)):
        raise fault_error(
            where,
            f"is {dimension_of(value)}, and {dimension_of(q(1, like))} is wanted",
            text,
            "",
            f"Give it in {symbol(like) or 'plain numbers'}",
        )
    return value
