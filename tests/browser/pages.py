"""What browser tests share: a site built once, and a Chromium with the network cut."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from threading import Thread
from typing import Any

import pytest

from course.demo import FOLDER
from course.scheme.reading import read_scheme
from course.site import building
from course.site.show import server

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
    """Return the demo's site, built once for this process."""
    folder = Path(tempfile.mkdtemp(prefix="glossbook-site-")) / edition
    return building.build(read_scheme(DEMO), folder, edition=edition).site


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


@contextmanager
def chromium(width: int = 1280, *, evening: bool = False, **options: Any) -> Iterator[Any]:
    """Open a page in Chromium; what it asks of other hosts and says is kept on it.

    ``page.asked`` lists addresses outside this machine (each of them refused) and
    ``page.said`` errors of the console and of the page.
    """
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        context = browser.new_context(
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
            browser.close()
