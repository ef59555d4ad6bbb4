"""Who may ask the desk: this machine's own browser, with the key of this start.

The key stands in the address that the desk opens, and then in a cookie that no page
of another site can send.  Beside it each request must name this host; a form must come
from a page of the desk, carry the desk's word for this browser, and is taken once.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections import OrderedDict
from typing import Any

from flask import Flask, Response, abort, g, redirect, request

ASKS_ONLY = (
    "scheme.try_it",
    "labels.try_it",
    "pictures.try_it",
)  # what pages ask while one types; it changes nothing
REFUSED = 400  # with this a page answers where it says what is wrong and has done nothing
MOST_FORMS = 5000  # that are remembered as used
POLICY = (
    "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; "
    "font-src 'self'; connect-src 'self'; frame-src 'self'; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'"
)
KEPT_POLICY = (  # what was written for students and offices: no script, and alone
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'self'; sandbox"
)


class Guard:
    """Checks each request of a desk.

    Parameters
    ----------
    app : Flask
        The desk's application.
    hosts : tuple of str
        Under which names it answers, each with its port.
    """

    def __init__(self, app: Flask, hosts: tuple[str, ...]) -> None:
        self.key, self.hosts = secrets.token_urlsafe(32), hosts
        self._secret = secrets.token_bytes(32)
        self._used: OrderedDict[str, None] = OrderedDict()
        self.cookie = f"glossbook-desk-{hosts[0].rpartition(':')[2]}"
        app.before_request(self._may_ask)
        app.after_request(self._seal)
        app.jinja_env.globals["form_word"] = self.form_word

    def form_word(self) -> str:
        """Return what a form of this desk carries: good once."""
        number = secrets.token_hex(12)
        return f"{number}.{self._signed(number)}"

    def _signed(self, number: str) -> str:
        return hmac.new(self._secret, number.encode(), hashlib.sha256).hexdigest()

    def _may_ask(self) -> Any:
        if request.host not in self.hosts:
            abort(Response("This is not that host.", 421, mimetype="text/plain"))
        origin = request.headers.get("Origin")
        if origin and origin not in [f"http://{host}" for host in self.hosts]:
            abort(Response("This page is not of the desk.", 403, mimetype="text/plain"))
        given = request.args.get("key", "")
        if request.path == "/" and given and hmac.compare_digest(given, self.key):
            answer = redirect("/")
            answer.set_cookie(self.cookie, self.key, httponly=True, samesite="Strict", path="/")
            return answer
        if request.path.startswith("/static/"):
            return None
        held = request.cookies.get(self.cookie, "")
        if not hmac.compare_digest(held.encode(), self.key.encode()):
            said = (
                "This desk answers only to the browser that it opened. Start it again "
                "(glossbook desk), or use the address that it printed."
            )
            abort(Response(said, 403, mimetype="text/plain"))
        if request.method == "POST":
            self._once(request.form.get("word", "") or request.headers.get("X-Word", ""))
        return None

    def _once(self, word: str) -> None:
        number, _, signed = word.partition(".")
        if not hmac.compare_digest(signed.encode(), self._signed(number).encode()):
            abort(Response("This form is not of this desk. Load the page again.", 403))
        if request.endpoint in ASKS_ONLY:
            return
        if number in self._used:
            said = "This was sent before, and was done then. Go back and load the page again."
            abort(Response(said, 409, mimetype="text/plain"))
        self._used[number] = None
        g.taken = number
        if len(self._used) > MOST_FORMS:
            self._used.popitem(last=False)

    def _seal(self, answer: Response) -> Response:
        if g.get("taken") and answer.status_code == REFUSED:
            self._used.pop(g.taken, None)  # nothing was done: put right, it may be sent again
        answer.headers.setdefault("Content-Security-Policy", g.get("policy", POLICY))
        answer.headers["X-Content-Type-Options"] = "nosniff"
        answer.headers["Referrer-Policy"] = "same-origin"
        answer.headers["Cross-Origin-Opener-Policy"] = "same-origin"
        answer.headers["Cross-Origin-Resource-Policy"] = "same-origin"
        if not request.path.startswith("/static/"):
            answer.headers["Cache-Control"] = "no-store"
        return answer
