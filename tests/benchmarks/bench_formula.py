"""The whole analysis of one formula, under 2 ms and against bare floats; its mixture, 2 ms.

Processor time, so that what else runs here counts little.

Run: python -m tests.benchmarks.bench_formula
"""

import sys
import time
import timeit

from calculators import formula, mixture
from calculators.ingredients import ingredient
from calculators.kitchen import Line
from calculators.units import q

LIMIT = 2.0  # ms
MIXED = 2.0  # ms, all that is asked of a mixture
ROWS = [
    ("water", 160),
    ("sugar", 260),
    ("glucose syrup, confectioner's", 280),
    ("condensed milk, sweetened", 190),
    ("white chocolate", 310),
    ("gelatin leaf", 19),
]


def bare(tables):
    """Return the same composition from plain lists of floats."""
    return [sum(g * row[i] / 100 for row, g in tables) for i in range(11)]


def ask(glaze):
    """Ask of a mixture what an analysis asks."""
    for answer in (
        mixture.water_activity,
        mixture.boiling_point,
        mixture.freezing_point,
        mixture.sucrose_saturation,
        mixture.lactose_saturation,
        mixture.viscosity,
    ):
        answer(glaze)


def milliseconds(work):
    work()
    return min(timeit.repeat(work, timer=time.process_time, number=50, repeat=7)) / 50 * 1000


def main():
    """Print times and ratios; return 1 if the analysis is too slow."""
    lines = [Line(name, q(g, "g"), q(2, "EUR"), q(1, "kg")) for name, g in ROWS]
    made = formula.Formula("bench", lines)
    tables = [(ingredient(name).typical, g) for name, g in ROWS]
    floats = milliseconds(lambda: bare(tables))
    composed = milliseconds(lambda: formula.composition(made))
    built = milliseconds(lambda: formula.Formula("bench", lines))
    whole = milliseconds(lambda: formula.analysis(made))
    several = milliseconds(lambda: ask(mixture.glaze(made)))
    print(f"composition by bare floats    {floats:8.4f} ms")
    print(f"composition with bands        {composed:8.4f} ms  {composed / floats:7.1f} times")
    print(f"checking and building         {built:8.4f} ms  {built / floats:7.1f} times")
    print(f"whole analysis                {whole:8.4f} ms  {whole / floats:7.1f} times")
    print(f"built and analysed            {built + whole:8.4f} ms, limit {LIMIT} ms")
    print(f"mixture, six answers          {several:8.4f} ms, limit {MIXED} ms")
    return int(built + whole > LIMIT or several > MIXED)


if __name__ == "__main__":
    sys.exit(main())
