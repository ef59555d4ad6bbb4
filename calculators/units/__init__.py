"""How much of what: one registry of units, one strict reader, one way to say it.

Every number of the house is a quantity of this registry.  Text that a person
wrote becomes a quantity through :func:`read` and nothing else: it knows numbers
and unit names, and evaluates nothing.  What a student wrote as an answer is read by
``calculators.units.answers``, which no calculator needs.
"""

from calculators.units.declaration import (
    Declaration,
    FloatCalculator,
    InstanceOf,
    Measure,
    OneOf,
    Spec,
    calculator,
    check_in_place,
    declaration,
    float_calculator,
    read_plainly,
)
from calculators.units.numerics import (
    interpolate,
    solve,
)
from calculators.units.reading import (
    ReadNumber,
    read,
    read_loosely,
)
from calculators.units.registry import (
    COMMON_PRACTICE,
    DEFINITIONS,
    FROM_MEMORY,
    PROVENANCES,
    PUBLISHED,
    Function,
    Quantity,
    is_quantity,
    least_sure,
    q,
    registry,
    unit,
)
from calculators.units.saying import (
    Band,
    number,
    say,
    symbol,
)
from calculators.units.unit_names import CURRENCIES, LONGEST_TEXT, written_units

__all__ = [
    "COMMON_PRACTICE",
    "CURRENCIES",
    "DEFINITIONS",
    "FROM_MEMORY",
    "LONGEST_TEXT",
    "PROVENANCES",
    "PUBLISHED",
    "Band",
    "Declaration",
    "FloatCalculator",
    "Function",
    "InstanceOf",
    "Measure",
    "OneOf",
    "Quantity",
    "ReadNumber",
    "Spec",
    "calculator",
    "check_in_place",
    "declaration",
    "float_calculator",
    "interpolate",
    "is_quantity",
    "least_sure",
    "number",
    "q",
    "read",
    "read_loosely",
    "read_plainly",
    "registry",
    "say",
    "solve",
    "symbol",
    "unit",
    "written_units",
]
