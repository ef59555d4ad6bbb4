"""How the benchmarks measure, and how they tell it: number, target, met or not.

Beside the clock on the wall, which other programs on the machine slow down, stands
the processor time of all processes, shared by the cores: what an idle machine takes.
"""

import os
import resource
import sys
import tempfile
import time
from pathlib import Path

CORES = os.cpu_count() or 1
_COMPILED = tempfile.mkdtemp(prefix="bench-")


def processor_time():
    """Return the seconds that this process and its ended children worked."""
    used = map(resource.getrusage, (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(each.ru_utime + each.ru_stime for each in used)


def measured(work):
    """Do something; return its result, the seconds on the clock, and those worked."""
    start, before = time.perf_counter(), processor_time()
    result = work()
    return result, time.perf_counter() - start, processor_time() - before


def peak():
    """Return this program's peak of memory in MB; what started it does not count."""
    status = Path("/proc/self/status")
    if status.exists():
        return int(status.read_text().split("VmHWM:")[1].split()[0]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def own_process(benchmark, *arguments):
    """Return the command that runs a benchmark again, where it runs, and its environment.

    Compiled files are kept, as they are wherever the package is installed.  The module
    is named and started from the top of the tree: libraries bring a ``tests`` as well.
    """
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    return {
        "args": [sys.executable, "-m", f"{__package__}.{benchmark}", *map(str, arguments)],
        "cwd": Path(__file__).parents[2],
        "env": {**kept, "PYTHONPYCACHEPREFIX": _COMPILED},
    }


class Targets:
    """Prints each number beside its target, and keeps which were missed."""

    def __init__(self):
        self.missed = []

    def __call__(self, what, number, target, *, least=False, counts=True):
        """Print one line; a number that ``counts`` can be missed.

        Parameters
        ----------
        what : str
            What the number is.
        number, target : float
            What was measured and what it should be: at most, or with ``least`` at
            least.
        """
        met = number >= target if least else number <= target
        side = "least" if least else "most"
        said = f"{number:,.2f}" if number < 100 else f"{number:,.0f}"
        print(f"{what}: {said}   (target: at {side} {target:,g}; {'met' if met else 'missed'})")
        if not met and counts:
            self.missed.append(what)

    def end(self):
        """Return the exit status: 1 where a target was missed."""
        return int(bool(self.missed))
