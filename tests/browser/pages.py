"""What browser tests share: a site built once, and a Chromium with the network cut."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from fcntl import LOCK_EX, flock
from functools import cache
from pathlib import Path
from threading import Thread
from typing import Any

import pytest

from course.demo import FOLDER
from course.scheme.reading import read_scheme
from course.site import building
from course.site.show import server
from tests.conftest import SITES

DEMO = FOLDER / "scheme.toml"
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]

WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]

needs_chromium = pytest.mark.skipif(
    CHROMIUM is None and not os.environ.get("GLOSSBOOK_CI"),
    reason="no Chromium on this machine; install it (Debian: apt-get install chromium)",
)


@cache
def site_of(edition: str = "student") -> Path:
    """Return the demo's site, built once for a run of the tests, whatever workers it has."""
    place = Path(os.environ[SITES])
    with (place / "building").open("w") as lock:
        flock(lock, LOCK_EX)  # until it is closed; the others wait for who builds
        if not (place / edition).exists():
            building.build(read_scheme(DEMO), place / edition, edition=edition)
    return place / edition


def faults_of(page: Any, *, every_rule: bool = False) -> str:
    """Return a report of what axe finds on a page against WCAG 2.2 AA; empty, if nothing.

    With ``every_rule`` axe's advice beyond WCAG counts too.  Only faults are asked for: to
    describe each element that passes takes axe as long as to look at it.
    """
    from axe_playwright_python.sync_playwright import Axe

    rules = {} if every_rule else {"runOnly": {"type": "tag", "values": WCAG}}
    found = Axe().run(page, options={**rules, "resultTypes": ["violations"]})
    return str(found.generate_report()) if found.violations_count else ""


@contextmanager
def served(site: Path) -> Iterator[str]:
    """Serve a site on this machine as `glossbook show` does; return its address."""
    running = server(site, 0)
    Thread(target=running.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{running.server_port}/"
    finally:
        running.shutdown()
        running.server_close()


_running: list[Any] = []  # the browser of this process, and what drives it


def browser() -> Any:
    """Return the Chromium of this process, started when the first test of a module wants it.

    Tests share it and no more: each opens contexts of its own, with storage of their own.
    """
    if _running and not _running[0].is_connected():
        end_browser()  # it broke down under the test before
    if not _running:
        from playwright.sync_api import sync_playwright

        driver = sync_playwright().start()
        try:
            opened = driver.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        except BaseException:
            driver.stop()
            raise
        _running.extend((opened, driver))
    return _running[0]


def end_browser() -> None:
    """End the Chromium of this process, if it runs."""
    if _running:
        opened, driver = _running
        _running.clear()
        opened.close()
        driver.stop()


@contextmanager
def chromium(width: int = 1280, *, evening: bool = False, **options: Any) -> Iterator[Any]:
    """Open a page in Chromium; what it asks of other hosts and says is kept on it.

    ``page.asked`` lists addresses outside this machine (each of them refused) and
    ``page.said`` errors of the console and of the page.
    """
    context = browser().new_context(
        viewport={"width": width, "height": 900},
        color_scheme="dark" if evening else "light",
        **options,
    )
    page = context.new_page()
    page.asked, page.said = [], []

    def route(route: Any) -> None:
        url = route.request.url
        if url.startswith(("file:", "data:", "blob:", "http://127.0.0.1", "http://localhost")):
            route.continue_()
        else:
            page.asked.append(url)
            route.abort()

    context.route("**/*", route)
    page.on("console", lambda m: m.type == "error" and page.said.append(m.text))
    page.on("pageerror", lambda error: page.said.append(str(error)))
    try:
        yield page
    finally:
        context.close()
