"""What our pages ask of Sphinx: formulas as MathML, and one style sheet of our own.

A formula is made when the site is built: no script, no font, no fetching.
"""

from __future__ import annotations

import re
from typing import Any
from docutils import nodes
from latex2mathml.converter import convert

def _formula(source: str, display: str = "inline") -> str:
    """Return a formula as MathML, its words as names.

    A browser counts ``mtext`` as a space, and then sets no space around the sign
    between two of them.
    """
    made = convert(source, display=display)
    return made.replace("<mtext>", "<mi>").replace("</mtext>", "</mi>")


def _inline(self: Any, node: Any) -> None:
    self.body.append(_formula(node.astext()))
    raise nodes.SkipNode


def _block(self: Any, node: Any) -> None:
    formula = _formula(node.astext(), "block")
    self.body.append(
        f'<div class="gb-math" tabindex="0" role="region" aria-label="Formula">{formula}</div>\n'
    )
    raise nodes.SkipNode


def _ours(
    app: Any, pagename: str, templatename: str, context: dict[str, Any], doctree: Any
) -> None:
    """Leave out style sheets that are not ours, and labels that hide what is shown."""
    context["css_files"] = [
        sheet for sheet in context["css_files"] if "mystnb" not in str(sheet.filename)
    ]
    if "body" in context:
        body = context["body"].replace(' aria-label="Toggle hidden content"', "")
        context["body"] = re.sub(
            r'<table class="docutils.*?</table>', _framed, body, flags=re.DOTALL
        )


def _framed(found: re.Match[str]) -> str:
    """Return a table in a frame that moves sideways where a screen is too narrow."""
    heads = re.findall(r"<th\b[^>]*>(.*?)</th>", found[0].partition("</thead>")[0], re.DOTALL)
    names = [" ".join(re.sub(r"<[^>]+>", " ", head).split()) for head in heads]
    name = ", ".join(filter(None, names))
    return (
        f'<div class="gb-table" tabindex="0" role="region" '
        f'aria-label="Table: {name}">{found[0]}</div>'
    )


def setup(app: Any) -> dict[str, Any]:
    """Give Sphinx the way to write a formula, and keep the pages ours."""
    app.connect("html-page-context", _ours, priority=900)
    app.add_html_math_renderer("mathml", (_inline, None), (_block, None))
    return {"parallel_read_safe": True, "parallel_write_safe": True}
