"""Every benchmark runs, on a handful, and tells each number beside its target."""

import importlib
import re
import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).parents[1]
LINE = re.compile(r"^.*: [0-9.,]+   \(target: at (?:most|least) [0-9.,]+; (?:met|missed)\)$")


@pytest.fixture
def bench(capsys):
    """Give a function that runs a benchmark and returns its lines with a target."""

    def run(name, *arguments, **more):
        status = importlib.import_module(f"tests.benchmarks.{name}").main(*arguments, **more)
        assert status in (0, 1)
        return [line for line in capsys.readouterr().out.splitlines() if LINE.match(line)]

    return run


def test_marking_is_told_as_ratios_to_parsing_and_to_running(bench):
    lines = bench("bench_marking", 20, "notebook", runs=1)
    assert [line.partition(":")[0] for line in lines] == [
        "ratio of marking to reading and parsing, on the clock",
        "ratio of marking to reading and parsing, on idle cores",
        "ratio of running to marking, on the clock",
        "ratio of running to marking, on idle cores",
    ]


def test_small_files_are_told_by_the_second_and_memory_as_a_ratio(bench):
    lines = bench("bench_marking", 20, "file", "memory", runs=1, few=5, many=20)
    assert [line.partition(":")[0] for line in lines] == [
        "answer files a second, on the clock",
        "answer files a second, on idle cores",
        "peak of memory in MB",
        "ratio of memory, 20 to 5",
        "ratio of work a hand-in, 20 to 5",
    ]


def test_issuing_is_told_by_the_second_and_memory_as_a_ratio(bench):
    lines = bench("bench_issuing", 3, 5)
    assert len(lines) == 5
    assert lines[-1].startswith("ratio of memory, 5 to 3: ")


def test_reports_are_told_beside_the_time_they_may_take(bench):
    lines = bench("bench_reports", 8)
    assert len(lines) == 3
    assert lines[-1].startswith("ratio of that to the time allowed: ")


def test_a_missed_target_is_said_and_is_the_exit_status():
    code = (
        "import sys; from tests.benchmarks.measuring import Targets;"
        "tell = Targets(); tell('ratio', 5, 4); tell('on the clock', 5, 4, counts=False);"
        "tell('a second', 5, 4, least=True); print(tell.missed); sys.exit(tell.end())"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=TOP,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1
    assert done.stdout.splitlines() == [
        "ratio: 5.00   (target: at most 4; missed)",
        "on the clock: 5.00   (target: at most 4; missed)",
        "a second: 5.00   (target: at least 4; met)",
        "['ratio']",
    ]
