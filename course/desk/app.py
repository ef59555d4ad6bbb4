"""The desk as an application: its pages, what they share, and how it is opened."""

from __future__ import annotations

import functools
import threading
import webbrowser
from collections.abc import Callable
from dataclasses import dataclass, field
from http.server import ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from flask import Flask, Response, current_app, redirect, render_template, request

from calculators.faults import FaultsError, fault_error
from course.desk.guard import REFUSED, Guard
from course.desk.place import OneDesk, Place, refuse_a_share
from course.desk.words import at_the_desk
from course.desk.work import Worker
from course.office.mishaps import disk_said, keep_details
from course.scheme.model import Scheme
from course.scheme.reading import read_scheme
from exercises.book.book import Book, open_book
from exercises.look import TOKENS
from exercises.sheets.sheet import say_date

LARGEST_UPLOAD = 200 * 1024 * 1024  # of all files that are dropped at once
TOO_LARGE = (
    f"That is more than {LARGEST_UPLOAD // 1024 // 1024} MB at once. Nothing was kept. "
    "Send it in smaller lots."
)
MOST_FIELDS = 5000
NOT_TYPED = (
    "word",
    "digest",
    "sure",
    "seen",
    "sitting",
    "back",
    "press",
    "outcome",
    "example",
    "action",
    "matter",
)


@dataclass
class Desk:
    """What the pages of a desk work with.

    Parameters
    ----------
    place : Place
        The folder of the school's work.
    worker : Worker
        Does what takes long.
    saving : Lock
        Held by who reads a file to write it anew: see :func:`one_at_a_time`.
    """

    place: Place
    worker: Worker = field(default_factory=Worker)
    shown: dict[Path, ThreadingHTTPServer] = field(default_factory=dict)
    saving: threading.Lock = field(default_factory=threading.Lock)
    # Whose name stands under decisions; asked once for each start.
    name: str = ""

    def scheme(self) -> Scheme:
        """Return the scheme, read again; its faults are told by the page."""
        return read_scheme(self.place.scheme)

    def book(self, *, read_only: bool = False) -> Book:
        """Open the mark book."""
        return open_book(self.place.book, read_only=read_only)

    def address_of(self, site: Path) -> str:
        """Show a site of ours at an address of its own, and return that."""
        if site not in self.shown:
            from course.site.show import server

            made = server(site, 0)
            threading.Thread(target=made.serve_forever, daemon=True).start()
            self.shown[site] = made
        return f"http://127.0.0.1:{self.shown[site].server_port}/"

    def close(self) -> None:
        """End what runs beside the pages."""
        self.worker.stop()
        for made in self.shown.values():
            made.shutdown()
            made.server_close()


def desk() -> Desk:
    """Return the desk of the request that is being answered."""
    held: Desk = current_app.extensions["desk"]
    return held


def one_line(key: str) -> str:
    """Return what a form has under a key, on one line; empty for nothing."""
    return " ".join(request.form.get(key, "").split())


def one_at_a_time(page: Callable[..., Any]) -> Callable[..., Any]:
    """Let one window at a time into a page that reads a file, looks at it and writes it anew."""

    @functools.wraps(page)
    def answer(**asked: str) -> Any:
        with desk().saving:
            return page(**asked)

    return answer


def application(place: Place, hosts: tuple[str, ...] = ("127.0.0.1:80",)) -> Flask:
    """Return the desk for a folder.

    Parameters
    ----------
    place : Place
        The folder; it is there.
    hosts : tuple of str
        The names, with port, under which it answers.
    """
    from course.desk.pages import BLUEPRINTS

    app = Flask(__name__)
    app.config["MAX_CONTENT_LENGTH"] = LARGEST_UPLOAD
    app.config["MAX_FORM_PARTS"] = MOST_FIELDS
    app.config["MAX_FORM_MEMORY_SIZE"] = 4 * 1024 * 1024
    app.extensions["desk"] = Desk(place)
    app.extensions["guard"] = Guard(app, hosts)
    app.jinja_env.filters["day"] = say_date
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    app.context_processor(lambda: {"desk": desk(), "here": request.path})
    app.before_request(_begin_first)
    for pages in BLUEPRINTS:
        app.register_blueprint(pages)
    app.register_error_handler(FaultsError, _faults)
    app.register_error_handler(OSError, lambda error: _said(disk_said(error), 500))
    app.register_error_handler(404, lambda _: _said("There is no such page at this desk.", 404))
    app.register_error_handler(413, lambda _: _said(TOO_LARGE, 413))
    app.register_error_handler(Exception, _our_own)
    app.add_url_rule("/static/tokens.css", "tokens", _tokens)
    return app


def _begin_first() -> Any:
    """Lead to the first page from those that can show nothing without a scheme."""
    asks = request.path.split("/")[1] in ("course", "papers", "practical")
    return redirect("/") if asks and not desk().place.scheme.exists() else None


def _tokens() -> Response:
    return Response(TOKENS.read_text(encoding="utf-8"), mimetype="text/css")


def _faults(error: FaultsError) -> tuple[str, int]:
    typed = [
        (key.rpartition(":")[2].replace("_", " "), value)
        for key, value in request.form.items(multi=True)
        if key not in NOT_TYPED and value.strip()
    ]
    faults = [at_the_desk(str(one)) for one in error.faults]
    back = urlsplit(request.referrer or "")
    if back.netloc != request.host or back.path in ("", request.path):  # a page that was posted
        back = urlsplit("/" + request.path.split("/")[1])
    return render_template("faults.html", faults=faults, typed=typed, back=back), REFUSED


def _said(what: str, status: int) -> tuple[str, int]:
    return render_template("faults.html", faults=[what]), status


def _our_own(error: Exception) -> Any:
    from werkzeug.exceptions import HTTPException

    if isinstance(error, HTTPException):
        return error
    return _said(
        "Something in Glossbook itself went wrong; what was saved before is kept. "
        f"The details are in {keep_details()}.",
        500,
    )


# --- opening it ------------------------------------------------------------------------


def run(folder: Path, *, port: int = 0, opens: bool = True, tell: Callable[[str], None]) -> None:
    """Open the desk on a folder, in the browser of this machine, until it is ended.

    Parameters
    ----------
    folder : Path
        Where the school's work lies; made where there is none.
    port : int
        0 takes any free one.
    opens : bool
        Whether the browser is opened.
    tell : function
        Gets the lines that are said.

    Raises
    ------
    FaultsError
        Where the folder is a share, another desk works on it, or the port is taken.
    """
    from waitress import create_server

    refuse_a_share(folder)
    folder.mkdir(parents=True, exist_ok=True)
    place = Place(folder.resolve())

    def answer(environ: Any, start: Any) -> Any:  # the guard below has to know the port first
        return app(environ, start)

    try:
        answering = create_server(answer, host="127.0.0.1", port=port, threads=4, ident="")
    except OSError as error:
        raise fault_error(
            f"port {port}", "can't be used", error.strerror or "", "", "Choose another with --port"
        ) from None
    bound = answering.effective_port
    one = OneDesk(place, f"http://127.0.0.1:{bound}/")
    app = application(place, (f"127.0.0.1:{bound}", f"localhost:{bound}"))
    address = f"http://127.0.0.1:{bound}/?key={app.extensions['guard'].key}"
    tell(f"The desk is at {address}")
    tell("It answers to this machine alone. Ctrl-C closes it; nothing is lost.")
    try:
        if opens:
            webbrowser.open(address)
        answering.run()
    except KeyboardInterrupt:
        tell("Closed.")
    finally:
        app.extensions["desk"].close()
        one.let_go()
