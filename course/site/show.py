"""Show a site on this machine, with right types, compression and cache headers.

What it sends is what any static host should: see the README for the list.
"""

from __future__ import annotations

import gzip
import mimetypes
import sys
from functools import lru_cache, partial
from http import HTTPStatus
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from io import BytesIO
from pathlib import Path
from typing import Any, BinaryIO

from calculators.faults import fault_error

TYPES = {
    ".mjs": "text/javascript",
    ".js": "text/javascript",
    ".wasm": "application/wasm",
    ".zip": "application/zip",
    ".ipynb": "application/x-ipynb+json",
    ".svg": "image/svg+xml",
    ".json": "application/json",
}
WORTH_PACKING = {
    ".html",
    ".css",
    ".js",
    ".mjs",
    ".wasm",
    ".json",
    ".svg",
    ".ipynb",
    ".txt",
}
SMALLEST_PACKED = 600
LOOPBACK = ("127.0.0.1", "localhost", "::1")
FOR_EVER = "public, max-age=31536000, immutable"
ASK_AGAIN = "no-cache"


@lru_cache(maxsize=64)
def _packed(path: str, _changed: int) -> bytes:
    return gzip.compress(Path(path).read_bytes(), 6, mtime=0)


class _Handler(SimpleHTTPRequestHandler):
    """A file handler that packs text and lets browsers keep what never changes."""

    protocol_version = "HTTP/1.1"
    _found = False

    def _may_ask(self) -> bool:
        """Refuse another host's name and a path that leads out of the site, in a line."""
        named = self.headers.get("Host", "").rpartition(":")[0] or self.headers.get("Host", "")
        hosts = getattr(self.server, "names", None)
        if hosts and named.strip("[]").lower() not in hosts:
            self.send_error(HTTPStatus.MISDIRECTED_REQUEST, "This is not that host")
            return False
        try:
            asked = Path(self.translate_path(self.path))
            asked.exists()  # refuses what no file can be called
            inside = asked.resolve().is_relative_to(Path(self.directory).resolve())
        except (OSError, ValueError):  # too long a name, or one with a zero in it
            inside = False
        if not inside:
            self.send_error(HTTPStatus.NOT_FOUND)
        return inside

    def guess_type(self, path: Any) -> str:
        suffix = Path(str(path)).suffix.lower()
        kind = TYPES.get(suffix) or mimetypes.guess_type(str(path))[0]
        kind = kind or "application/octet-stream"
        return f"{kind}; charset=utf-8" if kind.startswith("text/") else kind

    def send_response(self, code: int, message: str | None = None) -> None:
        self._found = code in (200, 304)
        super().send_response(code, message)

    def end_headers(self) -> None:
        path = self.path.partition("?")[0]
        kept = self._found and "/live/" in path and "." in path.rpartition("/")[2]
        self.send_header("Cache-Control", FOR_EVER if kept else ASK_AGAIN)
        self.send_header("X-Content-Type-Options", "nosniff")
        super().end_headers()

    def send_head(self) -> BytesIO | BinaryIO | None:
        if not self._may_ask():
            return None
        path = Path(self.translate_path(self.path))
        if path.is_dir() and self.path.partition("?")[0].endswith("/"):
            path = path / "index.html"
        takes = "gzip" in self.headers.get("Accept-Encoding", "")
        packs = takes and path.suffix.lower() in WORTH_PACKING and path.is_file()
        if (
            not packs
            or path.stat().st_size < SMALLEST_PACKED
            or "If-Modified-Since" in self.headers
        ):
            return super().send_head()
        body = _packed(str(path), path.stat().st_mtime_ns)
        self.send_response(200)
        self.send_header("Content-Type", self.guess_type(path))
        self.send_header("Content-Encoding", "gzip")
        self.send_header("Content-Length", str(len(body)))
        self.send_header("Vary", "Accept-Encoding")
        self.send_header("Last-Modified", self.date_time_string(path.stat().st_mtime))
        self.end_headers()
        return BytesIO(body)

    def log_message(self, format: str, *args: Any) -> None:
        """Say nothing for each file."""


class _Server(ThreadingHTTPServer):
    """A server that takes no notice of a reader who has gone away.

    On the loopback it answers to this machine's own names and to no other, so that no
    page of another host can read it; shown to a network it answers to every name.
    """

    names: frozenset[str] = frozenset()

    def handle_error(self, request: Any, client_address: Any) -> None:
        if not isinstance(sys.exception(), ConnectionError):
            super().handle_error(request, client_address)


def server(site: Path, port: int = 8765, host: str = "127.0.0.1") -> ThreadingHTTPServer:
    """Return a server for a site, bound and ready; the caller runs it.

    Parameters
    ----------
    site : Path
        A folder that ``glossbook course`` made.
    port : int
        0 takes any free one.
    host : str
        By default this machine alone can see it.

    Raises
    ------
    FaultsError
        If the folder is no site, or the port is taken.
    """
    if not (site / "index.html").is_file():
        raise fault_error(
            str(site),
            "is not a course site",
            "",
            "A site has an index.html",
            "Build one with: glossbook course SCHEME --out SITE",
        )
    try:
        made = _Server((host, port), partial(_Handler, directory=str(site)))
    except OSError as error:
        raise fault_error(
            f"port {port}",
            "can't be used",
            error.strerror or "",
            "",
            "Choose another with --port",
        ) from None
    if host in LOOPBACK:
        made.names = frozenset(LOOPBACK)
    return made
