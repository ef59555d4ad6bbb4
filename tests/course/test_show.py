"""What the server tells a browser to keep, and what it leaves unsaid."""

from __future__ import annotations

import socket
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


def answer(running: Any, request: bytes) -> bytes:
    with socket.create_connection(("127.0.0.1", running.server_port), timeout=5) as line:
        line.sendall(request)
        line.shutdown(socket.SHUT_WR)
        said = b""
        while piece := line.recv(65536):
            said += piece
    return said


def test_a_link_out_of_the_site_is_not_followed(running: Any, tmp_path: Path) -> None:
    outside = tmp_path.parent / f"{tmp_path.name}-outside.txt"
    outside.write_text("not for readers")
    (tmp_path / "link.txt").symlink_to(outside)
    said = answer(running, b"GET /link.txt HTTP/1.0\r\nHost: localhost\r\n\r\n")
    assert b" 404 " in said.split(b"\r\n")[0]
    assert b"not for readers" not in said


def test_a_page_of_another_host_reads_nothing(running: Any) -> None:
    for host in (b"elsewhere.example", b"127.0.0.1.elsewhere.example:80"):
        said = answer(running, b"GET / HTTP/1.0\r\nHost: " + host + b"\r\n\r\n")
        assert b" 421 " in said.split(b"\r\n")[0]
    port = str(running.server_port).encode()
    for host in (b"localhost", b"127.0.0.1:" + port, b"[::1]:" + port):
        said = answer(running, b"GET /index.html HTTP/1.0\r\nHost: " + host + b"\r\n\r\n")
        assert b" 200 " in said.split(b"\r\n")[0]


@pytest.mark.parametrize(
    "path",
    [
        b"/%00",
        b"/" + b"a" * 5000,
        b"/../../etc/passwd",
        b"//",
        b"/%ff%fe",
        b"/%2e%2e/%2e%2e/etc/passwd",
        b"/\x1b[31m",
        b"http://[/index.html",
        b"*",
    ],
)
def test_an_odd_path_is_answered_in_a_line(
    running: Any, path: bytes, capsys: pytest.CaptureFixture[str]
) -> None:
    said = answer(running, b"GET " + path + b" HTTP/1.0\r\nHost: localhost\r\n\r\n")
    assert said.startswith((b"HTTP/1.0 4", b"HTTP/1.1 4", b"HTTP/1.0 200", b"HTTP/1.1 200"))
    assert b"root:" not in said
    assert "Traceback" not in capsys.readouterr().err
