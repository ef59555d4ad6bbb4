"""Print how the calculators cost beside what they stand on; run it by hand.

Import: the package against ``import pint`` alone, each in a new interpreter, best of
several by processor time.  A call: `syrup.density` against the same arithmetic done
in pint by hand and against bare floats.  The whole analysis of a formula: see
``bench_formula.py``, which this runs too.  Targets: 1.3 for the import, 1.5 for the
call, 2 ms for the formula.  It returns 1 where one is missed.
"""

import os
import resource
import shutil
import subprocess
import sys
import tempfile
import timeit

import pint

from calculators import syrup, water
from calculators.syrup import strength
from calculators.units import q, registry
from tests.benchmarks import bench_formula

MODULES = (
    "units",
    "sources",
    "safety",
    "water",
    "syrup",
    "glucose",
    "gelatin",
    "blending",
    "colour",
    "marbling",
    "coating",
    "cooling",
    "formula",
    "mixture",
)

_COMPILED = tempfile.mkdtemp(prefix="bench-")


def _seconds(*codes: str, times: int = 15) -> list[float]:
    """Return the least processor time of each, taken in turns: load hits all alike."""
    # Compiled files are kept, as they are wherever the package is installed.
    env = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    env["PYTHONPYCACHEPREFIX"] = _COMPILED
    best = [float("inf")] * len(codes)
    for turn in range(times + 1):  # the first turn only compiles
        for place, code in enumerate(codes):
            before = resource.getrusage(resource.RUSAGE_CHILDREN)
            subprocess.run([sys.executable, "-c", code], check=True, env=env)
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
            spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
            if turn:
                best[place] = min(best[place], spent)
    return best


def _there(name: str) -> bool:
    import importlib.util

    return importlib.util.find_spec(f"calculators.{name}") is not None


def _microseconds(call, number: int = 2000) -> float:
    return min(timeit.repeat(call, number=number, repeat=7)) / number * 1e6


def by_hand_in_floats(b: float, t: float) -> float:
    """Density of a syrup, written out."""
    w, warmth = b / 100, (t - 20) / 100
    added = 0.0
    for row in reversed(strength._DENSITY):
        inner = 0.0
        for c in reversed(row):
            inner = inner * w + c
        added = added * warmth + inner
    k0, k1, k2, k3, k4, k5 = water._KELL
    top = k0 + t * (k1 + t * (k2 + t * (k3 + t * (k4 + t * k5))))
    return top / (1 + 16.879850e-3 * t) + w * added


def by_hand_converting(brix, temperature):
    """The least a careful person does: convert in, floats, a unit on the answer."""
    b = brix.to(registry.percent).magnitude
    t = temperature.to(registry.degC).magnitude
    if not (0 <= b <= 95 and 0 <= t <= 100):
        raise ValueError("out of range")
    return registry.Quantity(by_hand_in_floats(b, t), "kg/m**3")


def by_hand_in_pint(brix, temperature):
    """The formula on quantities, as one writes it in a notebook."""
    unit = registry.kilogram / registry.metre**3
    w = brix.to("dimensionless")
    warmth = (temperature.to("kelvin").magnitude - 293.15) / 100
    added = 0 * unit
    for k, row in enumerate(strength._DENSITY):
        for i, c in enumerate(row, 1):
            added = added + c * unit * w**i * warmth**k
    return water.density(temperature) + added


def main() -> int:
    """Print the ratios; return 1 if one is past its target."""
    try:
        return max(_report(), bench_formula.main())
    finally:
        shutil.rmtree(_COMPILED, ignore_errors=True)


def _report() -> int:
    names = [name for name in MODULES if _there(name)]
    ours = "".join(f"import calculators.{n}\n" for n in names)
    empty, alone, everything = _seconds("pass", "import pint", ours)
    print(f"pint {pint.__version__}, {len(names)} modules: {', '.join(names)}")
    print(f"import pint {alone * 1e3:.0f} ms, all modules {everything * 1e3:.0f} ms")
    print(f"  ratio, whole interpreter  {everything / alone:.2f}   (target 1.3)")
    net = (everything - empty) / (alone - empty)
    print(f"  ratio, start-up taken off {net:.2f}   (target 1.3)")

    brix, temperature = q(60, "percent"), q(50, "degC")
    ours = syrup.density(brix, temperature).m
    for other in (by_hand_converting, by_hand_in_pint):
        assert abs(other(brix, temperature).m_as("kg/m**3") - ours) < 1e-6
    call = _microseconds(lambda: syrup.density(brix, temperature))
    converting = _microseconds(lambda: by_hand_converting(brix, temperature))
    notebook = _microseconds(lambda: by_hand_in_pint(brix, temperature), 200)
    floats = _microseconds(lambda: by_hand_in_floats(60, 50), 20000)
    slower = call / converting
    print(f"syrup.density {call:.1f} µs")
    print(
        f"  to converting by hand in pint {converting:.1f} µs: {call / converting:.2f}   (target 1.5)"
    )
    print(f"  to the formula on quantities {notebook:.0f} µs: {call / notebook:.3f}")
    print(f"  to bare floats {floats:.2f} µs: {call / floats:.1f}")
    other = q(0.6, ""), q(122, "degF")
    call = _microseconds(lambda: syrup.density(*other))
    converting = _microseconds(lambda: by_hand_converting(*other))
    print(f"  given in other units {call:.1f} µs to {converting:.1f} µs: {call / converting:.2f}")
    solved = _microseconds(lambda: syrup.boiling_point(brix), 200)
    print(f"syrup.boiling_point (finds a root) {solved:.0f} µs")
    late = everything / alone > 1.3 or slower > 1.5
    print(f"syrup.stages (12 ends) {_microseconds(lambda: syrup.stages(q(2000, 'm')), 20):.0f} µs")
    return int(late)


if __name__ == "__main__":
    sys.exit(main())
