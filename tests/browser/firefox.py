"""A Firefox of the system, driven by WebDriver BiDi: the open standard it speaks by itself.

No driver is downloaded: a websocket to the browser is all that it takes.
"""

from __future__ import annotations

import asyncio
import json
import os
import shutil
import subprocess
import time
from collections.abc import Coroutine, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from threading import Thread
from typing import Any

import pytest
from tornado.websocket import (
    WebSocketClientConnection,
    WebSocketClosedError,
    websocket_connect,
)

FIREFOX = shutil.which("firefox-esr") or shutil.which("firefox")
SECONDS = 30.0  # for anything to happen, on a busy machine
ANNOUNCED = "WebDriver BiDi listening on "

needs_firefox = pytest.mark.skipif(
    FIREFOX is None,
    reason="no Firefox on this machine; install it (Debian: apt-get install firefox-esr)",
)

# Nothing of the browser's own goes out: no update, no list, no telemetry.
SETTINGS: dict[str, Any] = {
    "app.normandy.enabled": False,
    "app.update.disabledForTesting": True,
    "browser.download.folderList": 2,
    "browser.safebrowsing.downloads.remote.enabled": False,
    "browser.safebrowsing.malware.enabled": False,
    "browser.safebrowsing.phishing.enabled": False,
    "browser.safebrowsing.update.enabled": False,
    "browser.shell.checkDefaultBrowser": False,
    "datareporting.policy.dataSubmissionEnabled": False,
    "extensions.update.enabled": False,
    "network.captive-portal-service.enabled": False,
    "network.connectivity-service.enabled": False,
    "services.settings.server": "data:,#not-in-a-test",
    "toolkit.telemetry.reportingpolicy.firstRun": False,
    "ui.systemUsesDarkTheme": 0,
}
KEYS = {"Tab": "\ue004", "Enter": "\ue007", "Escape": "\ue00c", "ArrowDown": "\ue015"}

# A pointer meets what was painted last, so a thing is scrolled to until it is there.
_IN_SIGHT = """async (selector) => {
  for (let tries = 0; tries < 50; tries += 1) {
    const one = document.querySelector(selector);
    one?.scrollIntoView({ block: "center", behavior: "instant" });
    for (const _ of [1, 2, 3]) await new Promise(requestAnimationFrame);
    if (!one) continue;
    const box = one.getBoundingClientRect();
    const met = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
    if (met && one.contains(met)) return one;
  }
  throw new Error(`${selector} can't be reached by a pointer`);
}"""


class Tab:
    """One tab: what is done in it, what it asks of the network and complains of."""

    def __init__(self, browser: Firefox, context: str) -> None:
        self._browser, self._context = browser, context
        self.asked: list[str] = []
        self.said: list[str] = []

    def do(self, method: str, **given: Any) -> Any:
        return self._browser.do(method, context=self._context, **given)

    def goto(self, address: str) -> None:
        self.do("browsingContext.navigate", url=address, wait="complete")

    def reload(self) -> None:
        self.do("browsingContext.reload", wait="complete")

    def back(self) -> None:
        self.do("browsingContext.traverseHistory", delta=-1)

    def narrow(self, width: int) -> None:
        self.do("browsingContext.setViewport", viewport={"width": width, "height": 844})

    def run(self, expression: str) -> Any:
        """Return the value of an expression; a promise is waited for."""
        got = self._browser.do(
            "script.evaluate",
            target={"context": self._context},
            awaitPromise=True,
            expression=f"(async () => JSON.stringify(await ({expression})))()",
        )
        if got["type"] != "success":
            raise AssertionError(got["exceptionDetails"]["text"])
        return json.loads(got["result"].get("value", "null"))

    def before(self, function: str) -> str:
        """Have a function run before the scripts of each page to come; return its name."""
        added = self._browser.do(
            "script.addPreloadScript", functionDeclaration=function, contexts=[self._context]
        )
        return str(added["script"])

    def no_more(self, function: str) -> None:
        """Run a function of :meth:`before` no more."""
        self._browser.do("script.removePreloadScript", script=function)

    def text(self, selector: str) -> str:
        return str(self.run(f"document.querySelector({selector!r}).textContent"))

    def until(self, expression: str, seconds: float = SECONDS) -> None:
        """Wait until an expression holds; fail with it, and with what the page says.

        An error is *not yet*, as while a page comes and what is looked for is not there;
        the last one is told.
        """
        end = time.monotonic() + seconds
        while (met := self._tried(f"!!({expression})")) is not True:
            if time.monotonic() > end:
                says = self._tried(
                    "[...document.querySelectorAll('[role=status]')]"
                    ".map((place) => place.textContent)"
                )
                raise AssertionError(f"not so in {seconds} s: {expression}; {met}; {says}")
            time.sleep(0.05)

    def _tried(self, expression: str) -> Any:
        """Return the value of an expression, or the error that it met."""
        try:
            return self.run(expression)
        except AssertionError as error:
            return str(error)

    def says(self, selector: str, wanted: str) -> None:
        """Wait until a place says what is wanted."""
        self.until(f"document.querySelector({selector!r})?.textContent === {json.dumps(wanted)}")

    def click(self, selector: str) -> None:
        """Press a thing with the pointer, in its middle, where a reader would."""
        found = self._browser.do(
            "script.evaluate",
            target={"context": self._context},
            awaitPromise=True,
            expression=f"({_IN_SIGHT})({json.dumps(selector)})",
        )
        assert found["type"] == "success", found["exceptionDetails"]["text"]
        origin = {
            "type": "element",
            "element": {"sharedId": found["result"]["sharedId"]},
        }
        move = {"type": "pointerMove", "x": 0, "y": 0, "origin": origin}
        press = [
            {"type": "pointerDown", "button": 0},
            {"type": "pointerUp", "button": 0},
        ]
        self.do(
            "input.performActions",
            actions=[{"type": "pointer", "id": "mouse", "actions": [move, *press]}],
        )

    def files(self, selector: str, paths: list[str]) -> None:
        """Choose files for a box, as the window of the system does."""
        found = self._browser.do(
            "script.evaluate",
            target={"context": self._context},
            awaitPromise=False,
            expression=f"document.querySelector({json.dumps(selector)})",
        )
        self.do("input.setFiles", element={"sharedId": found["result"]["sharedId"]}, files=paths)

    def keys(self, text: str) -> None:
        """Type; a key with a name is one of ``KEYS``."""
        strokes = [
            {"type": kind, "value": each}
            for each in ([KEYS[text]] if text in KEYS else text)
            for kind in ("keyDown", "keyUp")
        ]
        self.do("input.performActions", actions=[{"type": "key", "id": "keys", "actions": strokes}])

    def write(self, selector: str, text: str) -> None:
        """Put the pointer into a box, and type over what stands there."""
        self.click(selector)
        self.run(f"document.querySelector({selector!r}).select()")
        self.keys(text)


class Firefox:
    """A browser that answers commands, one at a time.

    Its loop runs aside: Chromium's driver has one going in the thread of the tests.
    """

    def __init__(self, port_address: str) -> None:
        self._loop = asyncio.new_event_loop()
        self._aside = Thread(target=self._loop.run_forever, daemon=True)
        self._aside.start()
        self._tabs: dict[str, Tab] = {}
        self._number = 0
        self._socket: WebSocketClientConnection = self._wait(_connected(f"{port_address}/session"))
        self.do("session.new", capabilities={})
        self.do("session.subscribe", events=["log.entryAdded", "network.beforeRequestSent"])

    def do(self, method: str, **given: Any) -> Any:
        """Send a command and return what comes back; note what happens meanwhile."""
        return self._wait(self._do(method, given))

    def _wait(self, doing: Coroutine[Any, Any, Any]) -> Any:
        limited = asyncio.wait_for(doing, SECONDS)
        return asyncio.run_coroutine_threadsafe(limited, self._loop).result()

    async def _do(self, method: str, given: dict[str, Any]) -> Any:
        self._number += 1
        await self._socket.write_message(
            json.dumps({"id": self._number, "method": method, "params": given})
        )
        while True:
            message = await self._socket.read_message()
            assert message is not None, "Firefox closed the connection"
            got = json.loads(message)
            if got.get("id") == self._number:
                assert got["type"] == "success", got.get("message")
                return got["result"]
            self._note(got)

    def _note(self, event: dict[str, Any]) -> None:
        told = event.get("params", {})
        context = told.get("context") or told.get("source", {}).get("context")
        tab = self._tabs.get(context)
        if tab is None:
            return
        if event["method"] == "log.entryAdded" and told["level"] == "error":
            tab.said.append(told["text"])
        if event["method"] == "network.beforeRequestSent":
            tab.asked.append(told["request"]["url"])

    @contextmanager
    def tab(self) -> Iterator[Tab]:
        """Open a tab with storage of its own; close it after."""
        user = self.do("browser.createUserContext")["userContext"]
        context = self.do("browsingContext.create", type="tab", userContext=user)["context"]
        self._tabs[context] = tab = Tab(self, context)
        try:
            yield tab
        finally:
            self.do("browser.removeUserContext", userContext=user)

    def close(self) -> None:
        """Ask the browser to end; it may hang up before it has answered."""
        with suppress(AssertionError, TimeoutError, WebSocketClosedError):
            self.do("browser.close")
        self._loop.call_soon_threadsafe(self._socket.close)
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._aside.join()
        self._loop.close()


async def _connected(address: str) -> WebSocketClientConnection:
    return await websocket_connect(address, max_message_size=1 << 26)


@contextmanager
def firefox(profile: Path, downloads: Path) -> Iterator[Firefox]:
    """Start Firefox without a window; end it after."""
    settings = {**SETTINGS, "browser.download.dir": str(downloads)}
    (profile / "user.js").write_text(
        "".join(f"user_pref({json.dumps(k)}, {json.dumps(v)});\n" for k, v in settings.items()),
        encoding="utf-8",
    )
    log = profile / "says.txt"
    with log.open("w") as out:
        running = subprocess.Popen(
            [
                str(FIREFOX),
                "--headless",
                "--no-remote",
                "--remote-debugging-port=0",
                "--profile",
                str(profile),
                "about:blank",
            ],
            stdout=out,
            stderr=out,
            env={**os.environ, "HOME": str(profile)},
        )
    try:
        browser = Firefox(_announced(log, running))
        try:
            yield browser
        finally:
            browser.close()
    finally:
        try:
            running.wait(SECONDS)
        except subprocess.TimeoutExpired:
            running.kill()
            running.wait()


def _announced(log: Path, running: subprocess.Popen[bytes]) -> str:
    """Return the address that the browser says it listens on."""
    end = time.monotonic() + SECONDS
    while time.monotonic() < end and running.poll() is None:
        said = log.read_text(encoding="utf-8", errors="replace")
        if ANNOUNCED in said and "\n" in said.partition(ANNOUNCED)[2]:
            return said.partition(ANNOUNCED)[2].splitlines()[0].strip()
        time.sleep(0.05)
    running.kill()
    said = log.read_text(encoding="utf-8", errors="replace").strip().splitlines()
    pytest.skip(f"Firefox does not start on this machine: {' / '.join(said[-2:])}")
