"""A desk over an empty folder, and a browser of its own that has opened it."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from course.desk.app import application
from course.desk.place import Place

HOST = "127.0.0.1:4100"


class Visitor:
    """A browser that has opened the desk: follows its pages and sends their forms."""

    def __init__(self, app: Any) -> None:
        self.app, self.client = app, app.test_client()
        self.key = app.extensions["guard"].key

    def get(self, address: str, **headers: str) -> Any:
        return self.client.get(address, headers={"Host": HOST, **headers}, follow_redirects=True)

    def opened(self) -> Any:
        return self.get(f"/?key={self.key}")

    def word(self) -> str:
        return str(self.app.extensions["guard"].form_word())

    def post(self, address: str, data: Any = None, *, follow: bool = True, **headers: str) -> Any:
        held = {"word": self.word(), **(data or {})}
        return self.client.post(
            address,
            data=held,
            headers={"Host": HOST, "Origin": f"http://{HOST}", **headers},
            follow_redirects=follow,
        )

    def worked(self) -> Any:
        """Wait until the work is done, and return what it said."""
        desk = self.app.extensions["desk"]
        desk.worker.wait(120)
        return desk.worker.piece

    def decide(self, asked: dict[str, Any], **why: str) -> Any:
        """Look at what a decision changes, then confirm what was shown."""
        shown = self.post("/matters/decide", asked)
        seen = re.search(r'name="seen" value="(\w+)"', shown.get_data(as_text=True))
        assert seen, text_of(shown)
        sure = {**asked, "sure": "yes", "seen": seen[1], **why}
        return self.post("/matters/decide", sure)

    def issue(self, paper: str, **typed: str) -> Any:
        """Draft a sitting where nobody did, issue it, and return the work."""
        self.post(f"/papers/{paper}/draft", {"sitting": typed.get("sitting", "1")})
        self.post(f"/papers/{paper}/issue", {"by": "Marit Oswin", **typed})
        return self.worked()


@pytest.fixture
def visitor(tmp_path: Path) -> Visitor:
    made = Visitor(application(Place(tmp_path), (HOST,)))
    made.opened()
    return made


@pytest.fixture
def bramblemoor(visitor: Visitor) -> Visitor:
    """The invented school in the folder."""
    assert visitor.post("/begin").status_code == 200
    return visitor


def text_of(answer: Any) -> str:
    """Return what a page says, without its mark-up."""
    plain = re.sub(r"<[^>]+>", " ", answer.get_data(as_text=True))
    return " ".join(plain.split())


Read = Callable[[Any], str]
