"""How soon a panel answers, from the first touch on, and what it weighs.

Run it with: python -m tests.benchmarks.bench_live
It builds the demo's site and prints the median of a few visits in Chromium and Firefox,
from a server on this machine and from a file; cold (a new browser) and warm (the next page
of it), with the Python of the site started beforehand and as it comes.  Then how long an
answer takes beyond the 150 ms that the page waits for the next key.  ``--phone`` does
another thing: Chromium with its processor slowed six times, on a line of 1.5 Mbit/s.
"""

from __future__ import annotations

import os
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from course.live import runtime
from course.scheme.reading import read_scheme
from course.site import building
from tests.browser.firefox import firefox
from tests.browser.pages import ARGUMENTS, CHROMIUM, DEMO, served

VISITS = 5
DEBOUNCE = 150
LIMITS = {"chromium": 1.0, "firefox": 1.2}  # seconds, cold, on an idle machine of two cores
AGAIN_LIMIT = 20.0  # ms
LESSON, NEXT = "lessons/crystals.html", "lessons/boiling.html"

FIRST = """(async () => {
  const form = document.querySelector("form.gb-panel:not(.gb-run)"), box = form.querySelector("input");
  const answer = form.querySelector(".gb-answer"), before = answer.innerHTML;
  const from = performance.now();
  box.focus();
  box.value = box.value.replace(/[0-9.]+/, (n) => String(Number(n) + 1));
  form.requestSubmit();
  while (answer.innerHTML === before) await new Promise((go) => setTimeout(go, 2));
  return performance.now() - from;
})()"""
AGAIN = """(async () => {
  const form = document.querySelector("form.gb-panel:not(.gb-run)"), box = form.querySelector("input");
  const answer = form.querySelector(".gb-answer"), times = [];
  for (let n = 0; n < 20; n += 1) {
    const stands = new Promise((done) => new MutationObserver((_, mine) => {
      mine.disconnect();
      done(performance.now());
    }).observe(answer, { childList: true, subtree: true, characterData: true }));
    const start = performance.now();
    box.value = box.value.replace(/[0-9.]+/, (was) => String(Number(was) + (n % 2 ? -2 : 2)));
    box.dispatchEvent(new Event("input", { bubbles: true }));
    times.push(await stands - start);
  }
  return times;
})()"""
Run = Callable[[str], Any]


@contextmanager
def in_chromium(place: Path) -> Iterator[tuple[Callable[[str], None], Run]]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        context = playwright.chromium.launch_persistent_context(
            place, executable_path=CHROMIUM, args=ARGUMENTS
        )
        page = context.new_page()
        yield lambda url: page.goto(url) and None, page.evaluate
        context.close()


@contextmanager
def in_firefox(place: Path) -> Iterator[tuple[Callable[[str], None], Run]]:
    with firefox(place, place) as browser, browser.tab() as tab:
        yield tab.goto, tab.run


BROWSERS = {"chromium": in_chromium, "firefox": in_firefox}


def measure(browser: str, base: str) -> dict[str, float]:
    """Return medians: seconds of the first answer, cold and warm, and ms of a later one."""
    cold, warm, again = [], [], []
    for _ in range(VISITS):
        with tempfile.TemporaryDirectory() as place, BROWSERS[browser](Path(place)) as (go, run):
            go(base + LESSON)
            cold.append(run(FIRST) / 1000)
            time.sleep(0.5)  # the browser writes its cache
            go(base + NEXT)
            warm.append(run(FIRST) / 1000)
            again += run(AGAIN)
    return {
        "cold": statistics.median(cold),
        "warm": statistics.median(warm),
        "again": statistics.median(again) - DEBOUNCE,
    }


def site(folder: Path, *, quick: bool) -> Path:
    which = shutil.which
    if not quick:  # as on a machine without Node
        shutil.which = lambda name, *rest: None if name == "node" else which(name, *rest)  # type: ignore[assignment]
    try:
        return building.build(read_scheme(DEMO), folder, tell=print).site
    finally:
        shutil.which = which


def weight(built: Path, *, quick: bool) -> float:
    (folder,) = (built / "_static" / "live").iterdir()
    names = runtime.first_files(quick=quick)
    return runtime.download({name: (folder / name).read_bytes() for name in names}) / 1e6


def load() -> str:
    return f"load {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else "load unknown"


def phone(base: str) -> None:
    """Print when the text of a page stands and when a first answer does, on a slow phone."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        page = browser.new_page(viewport={"width": 390, "height": 844})
        tools = page.context.new_cdp_session(page)
        tools.send("Emulation.setCPUThrottlingRate", {"rate": 6})
        line = {"offline": False, "latency": 150, "downloadThroughput": 1.5e6 / 8}
        tools.send("Network.enable")
        tools.send("Network.emulateNetworkConditions", {**line, "uploadThroughput": 0.75e6 / 8})
        page.goto(base + LESSON, wait_until="commit")
        page.wait_for_function("performance.getEntriesByName('first-contentful-paint').length")
        paint = page.evaluate("performance.getEntriesByName('first-contentful-paint')[0].startTime")
        page.wait_for_load_state("domcontentloaded")
        first = page.evaluate(FIRST)
        page.goto(base + NEXT, wait_until="domcontentloaded")
        then = page.evaluate(FIRST)
        print(
            f"slow phone: text {paint / 1000:.1f} s after it was asked for; first answer "
            f"{first / 1000:.1f} s after the touch, on the next page {then / 1000:.1f} s; {load()}"
        )
        browser.close()


def main() -> None:
    print(f"{os.cpu_count()} cores, {load()}; medians of {VISITS} visits")
    with tempfile.TemporaryDirectory() as place:
        for quick in (True, False):
            built = site(Path(place, str(quick)), quick=quick)
            print(
                f"{'started' if quick else 'plain'}: {weight(built, quick=quick):.2f} MB at first"
            )
            with served(built) as address:
                if "--phone" in sys.argv:
                    phone(address)
                    continue
                for browser, limit in LIMITS.items():
                    for way, base in (("http", address), ("file", f"{built.as_uri()}/")):
                        found = measure(browser, base)
                        over = quick and (found["cold"] > limit or found["again"] > AGAIN_LIMIT)
                        print(
                            f"  {browser:8} {way}: first answer {found['cold']:.2f} s cold, "
                            f"{found['warm']:.2f} s warm; again {found['again']:.1f} ms beyond "
                            f"{DEBOUNCE} ms; {load()}{'  OVER THE LIMIT' if over else ''}"
                        )


if __name__ == "__main__":
    main()
