"""A sheet as a web page and on paper."""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

import jinja2
from markupsafe import Markup

from calculators.units import symbol, written_units
from exercises.look import sign_of
from exercises.sheets.sheet import Sheet, public

FLOOR = Path(__file__).parents[1]


# --- web page and paper ------------------------------------------------------------------


@cache
def _templates() -> jinja2.Environment:
    house = jinja2.Environment(
        loader=jinja2.FileSystemLoader(FLOOR / "templates"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
        auto_reload=False,
    )
    house.globals["sign_of"] = lambda name: Markup(sign_of(name))
    return house


@cache
def page_template(name: str) -> jinja2.Template:
    """Return a template of exercises/templates; whatever it is given is escaped."""
    return _templates().get_template(name)


@cache
def static_text(*names: str) -> Markup:
    """Return files of exercises/static, to stand in a page."""
    return Markup("".join((FLOOR / "static" / n).read_text("utf-8") for n in names))


@cache
def _script(handlers: tuple[Path, ...]) -> tuple[Markup, str]:
    """Return the page's script with a handler for each type of part, and its hash."""
    texts = [path.read_text("utf-8") for path in handlers]
    script = Markup("".join([_BEGIN, *texts, static_text("worksheet.js")]))
    return script, script_hash(script)


def script_hash(script: str) -> str:
    """Return what a page's policy names a script by.

    >>> script_hash("")
    'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='
    """
    return "sha256-" + base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()


_BEGIN = '"use strict";\nconst kinds = {}; // what the page does with each type of part\n'


@cache
def _units_shown() -> Markup:
    shown = {written: symbol(name) for written, name in written_units().items()}
    return for_script(shown)


def for_script(thing: Any) -> Markup:
    """Return plain data as JSON that can stand in a script of a page."""
    text = json.dumps(thing, ensure_ascii=False, separators=(",", ":"))
    return Markup(text.replace("<", "\\u003c").replace("&", "\\u0026"))


def web_page(sheet: Sheet) -> str:
    """Return the sheet as one web page that needs nothing but a browser."""
    shown = public(sheet)
    parts = [part for question in shown["questions"] for part in question["parts"]]
    data = {
        "token": sheet.token,
        "file": sheet.file or sheet.token,
        "parts": [{"key": box.key, "kind": part.handler} for part in parts for box in part.boxes],
        "working": [part.key for part in parts],
    }
    script, hashed = _script(tuple(sorted({part.script() for part in parts})))
    return page_template("web.html").render(
        s=shown,
        css=static_text("tokens.css", "worksheet.css"),
        script=script,
        script_hash=hashed,
        data=for_script(data),
        units=_units_shown(),
    )


def paper(sheet: Sheet) -> str:
    """Return the sheet to be printed on A4, with answer lines and working space."""
    return page_template("paper.html").render(
        s=public(sheet), css=static_text("tokens.css", "worksheet.css", "paper.css")
    )


def print_run(sheets: Sequence[Sheet]) -> str:
    """Return sheets that look alike as one page to be printed, each from a fresh page on.

    Parameters
    ----------
    sheets : sequence of Sheet
        All in large print, or all plain, or neither.
    """
    shown = [public(sheet) for sheet in sheets]
    return page_template("print_run.html").render(
        title=sheets[0].title,
        look=shown[0]["look"],
        sheets=shown,
        css=static_text("tokens.css", "worksheet.css", "paper.css"),
    )
