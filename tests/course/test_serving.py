"""What the server tells a browser to keep, and what it leaves unsaid."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from threading import Thread
from typing import Any
from urllib.error import HTTPError
from urllib.request import urlopen

import pytest

from course.site.show import server


@pytest.fixture
def running(tmp_path: Path) -> Iterator[Any]:
    folder = tmp_path / "_static" / "live" / "abc"
    folder.mkdir(parents=True)
    (tmp_path / "index.html").write_text("<h1>A course</h1>")
    (folder / "there.wasm").write_bytes(b"\0asm")
    started = server(tmp_path, 0)
    Thread(target=started.serve_forever, daemon=True).start()
    yield started
    started.shutdown()
    started.server_close()


def kept(running: Any, path: str) -> str:
    try:
        with urlopen(f"http://127.0.0.1:{running.server_port}{path}") as got:
            return str(got.headers["Cache-Control"])
    except HTTPError as error:
        with error:
            return str(error.headers["Cache-Control"])


def test_a_file_that_is_not_there_is_not_kept_for_ever(running: Any) -> None:
    assert "immutable" in kept(running, "/_static/live/abc/there.wasm")
    assert kept(running, "/_static/live/abc/not-there.wasm") == "no-cache"


def test_what_is_asked_after_a_question_mark_keeps_nothing(running: Any) -> None:
    assert kept(running, "/index.html?q=/live/a.b") == "no-cache"


def test_a_reader_who_goes_away_is_not_told_of_at_length(
    running: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    try:
        raise BrokenPipeError
    except BrokenPipeError:
        running.handle_error(None, ("127.0.0.1", 1))
    assert capsys.readouterr().err == ""
    try:
        raise KeyError("a fault of ours")
    except KeyError:
        running.handle_error(None, ("127.0.0.1", 1))
    assert "a fault of ours" in capsys.readouterr().err
