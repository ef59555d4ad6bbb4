"""How soon a step of the dry run answers in Chromium, once its Python has started.

Run it with: python -m tests.benchmarks.bench_dry_run [FOLDER_OF_A_SITE]
It builds the demo's site unless it is given one, plays the guided run twice on its page, from
one page load, and prints each run's steps and how long the reasons at the end take.  A step
counts from the press of *Do this* until the page shows what came of it; the target is 50 ms.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path
from typing import Any

from course.scheme.reading import read_scheme
from course.site import building
from tests.benchmarks.measuring import Targets
from tests.browser.pages import DEMO, chromium, served

STEP, REASONS = 50.0, 3.0  # ms, s
START = 90_000
PLAY = """async () => {
  const steps = [], done = () => document.querySelectorAll("[data-done] li").length;
  const next = document.querySelector("[data-next]"), wait = () => new Promise((go) => setTimeout(go, 0));
  while (!next.hidden) {
    const before = done(), says = next.querySelector("p").textContent, from = performance.now();
    next.querySelector("button").click();
    while (done() === before) await wait();
    steps.push([performance.now() - from, says]);
  }
  return steps;
}"""
END = """async () => {
  const from = performance.now(), ended = document.querySelector("[data-ended]");
  document.querySelector("[data-end]").click();
  while (!ended.querySelector("table")) await new Promise((go) => setTimeout(go, 5));
  return performance.now() - from;
}"""
# A run with much to say about it: nothing is checked, blended, sieved, covered or wiped.
SPOILT = """async () => {
  const key = Object.keys(localStorage).find((one) => one.startsWith("glossbook-run"));
  const log = JSON.parse(localStorage.getItem(key));
  const left = ["blend", "sieve", "cover", "wipe", "check thermometer", "read box"];
  log.way = "free";
  log.actions = log.actions.filter((one) => !left.includes(one.do));
  localStorage.setItem(key, JSON.stringify(log));
}"""


def measure(page: Any, address: str) -> tuple[list[list[tuple[float, str]]], float]:
    """Return the steps of two guided runs, ms each, and how long a spoilt run's reasons take, s."""
    page.goto(address)
    page.wait_for_selector("[data-next] button", timeout=START)
    runs = []
    for _ in range(2):
        runs.append(page.evaluate(PLAY))
        page.evaluate(END)
        kept = page.evaluate("JSON.stringify({...localStorage})")
        page.click("[data-new]")
        page.wait_for_function("document.querySelectorAll('[data-done] li').length === 0")
        page.wait_for_selector("[data-next] button")
    page.evaluate(f"Object.assign(localStorage, JSON.parse({kept!r}))")
    page.evaluate(SPOILT)
    page.reload()
    page.wait_for_function("document.querySelectorAll('[data-done] li').length > 20", timeout=START)
    return runs, page.evaluate(END) / 1000


def main() -> None:
    """Print the figures."""
    target = Targets()
    with tempfile.TemporaryDirectory() as place:
        folder = (
            Path(sys.argv[1])
            if sys.argv[1:]
            else building.build(read_scheme(DEMO), Path(place, "site")).site
        )
        with served(folder) as where, chromium(390) as page:
            runs, reasons = measure(page, f"{where}dry-run.html")
    for name, steps in zip(("first", "second"), runs, strict=True):
        times = sorted(ms for ms, _ in steps)
        slow = [says for ms, says in steps if ms > STEP]
        target(f"{name} run, median of {len(times)} steps, ms", statistics.median(times), STEP)
        print(
            f"  nine in ten within {times[int(0.9 * len(times))]:.0f} ms, all in {times[-1]:.0f} ms"
        )
        for says in slow:
            print(f"  over {STEP:.0f} ms: {says}")
    target("reasons at the end of a spoilt run, s", reasons, REASONS)


if __name__ == "__main__":
    main()
