"""How soon a panel answers in Chromium, from page load on, and what it weighs.

Run it with: python -m tests.benchmarks.bench_live
It builds the demo's site, serves it on this machine, and prints the median of a few
visits, cold (an empty browser) and warm (the files in the browser's cache), with the
Python of the site compiled and as it comes; then how long an answer takes beyond the
150 ms that the page waits for the next key.
"""

from __future__ import annotations

import os
import shutil
import statistics
import tempfile
from pathlib import Path
from threading import Thread
from time import perf_counter
from typing import Any

from course.live import runtime
from course.scheme.reading import read_scheme
from course.site import building
from course.site.show import server
from tests.browser.pages import ARGUMENTS, CHROMIUM, DEMO

VISITS = 5
DEBOUNCE = 150
LIMITS = {"cold": 3.0, "warm": 1.5, "recompute": 30.0, "bytes": 7.5e6}

FIRST = """async () => {
  const form = document.querySelector("form.gb-panel"), box = form.querySelector("input");
  const answer = form.querySelector(".gb-answer"), before = answer.innerHTML;
  box.focus();
  box.value = box.value.replace(/[0-9.]+/, (n) => String(Number(n) + 1));
  form.requestSubmit();
  while (answer.innerHTML === before) await new Promise((go) => setTimeout(go, 2));
  return performance.now();
}"""
AGAIN = """async () => {
  const form = document.querySelector("form.gb-panel"), box = form.querySelector("input");
  const answer = form.querySelector(".gb-answer"), times = [];
  for (let n = 0; n < 20; n += 1) {
    const before = answer.innerHTML, start = performance.now();
    box.value = box.value.replace(/[0-9.]+/, (was) => String(Number(was) + (n % 2 ? -2 : 2)));
    box.dispatchEvent(new Event("input", { bubbles: true }));
    while (answer.innerHTML === before) await new Promise((go) => setTimeout(go, 0));
    times.push(performance.now() - start);
  }
  return times;
}"""


def visit(context: Any, url: str) -> tuple[Any, float]:
    """Open a page, change a number at once; return seconds from navigation on."""
    page = context.new_page()
    page.goto(url, wait_until="domcontentloaded")
    return page, page.evaluate(FIRST) / 1000


def measure(url: str) -> dict[str, float]:
    from playwright.sync_api import sync_playwright

    cold, warm, again = [], [], []
    with sync_playwright() as playwright:
        for _ in range(VISITS):
            with tempfile.TemporaryDirectory() as profile:
                context = playwright.chromium.launch_persistent_context(
                    profile, executable_path=CHROMIUM, args=ARGUMENTS
                )
                page, seconds = visit(context, url)
                cold.append(seconds)
                page.wait_for_timeout(500)  # the browser writes its cache
                page.close()
                page, seconds = visit(context, url)
                warm.append(seconds)
                again += page.evaluate(AGAIN)
                context.close()
    return {
        "cold": statistics.median(cold),
        "warm": statistics.median(warm),
        "recompute": statistics.median(again) - DEBOUNCE,
    }


def site(folder: Path, *, compiled: bool) -> Path:
    which = shutil.which
    if not compiled:  # as on a machine without Node
        shutil.which = lambda name, *rest: None if name == "node" else which(name, *rest)  # type: ignore[assignment]
    try:
        return building.build(read_scheme(DEMO), folder).site
    finally:
        shutil.which = which


def main() -> None:
    load = f"{os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else "unknown"
    print(
        f"{os.cpu_count()} cores, load {load}; medians of {VISITS} visits to the lesson on crystals"
    )
    with tempfile.TemporaryDirectory() as place:
        for compiled in (True, False):
            start = perf_counter()
            built = site(Path(place, str(compiled)), compiled=compiled)
            took = perf_counter() - start
            (folder,) = (built / "_static" / "live").iterdir()
            weight = runtime._download({p.name: p.read_bytes() for p in folder.iterdir()})
            running = server(built, 0)
            Thread(target=running.serve_forever, daemon=True).start()
            found = measure(f"http://127.0.0.1:{running.server_port}/lessons/crystals.html")
            running.shutdown()
            found["bytes"] = weight
            name = "compiled" if compiled else "as it comes"
            print(
                f"{name:12} first answer cold {found['cold']:.2f} s, warm {found['warm']:.2f} s; "
                f"again {found['recompute']:.1f} ms beyond {DEBOUNCE} ms; "
                f"{weight / 1e6:.2f} MB compressed; built in {took:.1f} s"
            )
            if compiled:
                over = [key for key, limit in LIMITS.items() if found[key] > limit]
                print("within all limits" if not over else f"OVER THE LIMIT: {', '.join(over)}")


if __name__ == "__main__":
    main()
