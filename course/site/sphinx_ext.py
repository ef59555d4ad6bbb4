"""What our pages ask of Sphinx: formulas as MathML, words in the margin, folds, tables that stack.

A formula is made when the site is built: no script, no font, no fetching.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from html import escape
from itertools import chain, repeat
from typing import Any

from docutils import nodes
from latex2mathml.converter import convert
from sphinx.transforms.post_transforms import SphinxPostTransform

from course.kit.results import is_too_wide


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
    self.body.append(f'<div class="gb-math">{_formula(node.astext(), "block")}</div>\n')
    raise nodes.SkipNode


def french(
    name: str, rawtext: str, text: str, lineno: int, inliner: Any, *_: Any
) -> tuple[list[Any], list[Any]]:
    """Return a French term so that a screen reader pronounces it as French."""
    return [nodes.raw("", f'<i lang="fr">{escape(text)}</i>', format="html")], []


class Margin(SphinxPostTransform):
    """Put words beside what they stand before: into the margin, where there is one."""

    default_priority = 500

    def run(self, **kwargs: Any) -> None:
        """Wrap each run of words together with what follows, which then comes first."""
        for parent in {id(one.parent): one.parent for one in self._words()}.values():
            done: list[Any] = []
            waiting: list[Any] = []
            for child in parent.children:
                if _is_word(child):
                    waiting.append(child)
                elif waiting and not isinstance(child, nodes.section | nodes.title):
                    beside = nodes.container("", *waiting, classes=["gb-words"])
                    done.append(nodes.container("", child, beside, classes=["pair"]))
                    waiting = []
                else:
                    done += [*waiting, child]
                    waiting = []
            parent.children = []
            parent.extend([*done, *waiting])

    def _words(self) -> list[Any]:
        return [one for one in self.document.findall(nodes.raw) if _is_word(one)]


def _is_word(node: Any) -> bool:
    return isinstance(node, nodes.raw) and node.astext().startswith('<aside class="gb-word"')


FURTHER = "Further: "  # how a heading begins whose part folds away


class Further(SphinxPostTransform):
    """Fold each part whose heading begins with *Further:*, up to a rule or to its end."""

    default_priority = 600  # after the words have found what they stand beside

    def run(self, **kwargs: Any) -> None:
        """Put a fold in the place of each such part; what stands behind a rule stays out of it."""
        for part in list(self.document.findall(nodes.section)):
            title = part[0].astext()
            if not title.startswith(FURTHER):
                continue
            inside = part.children[1:]
            rules = (n for n, one in enumerate(inside) if isinstance(one, nodes.transition))
            rule = next(rules, len(inside))
            head = f"<summary><h3>{escape(title)}</h3></summary><div>"
            opens = f'<details class="further" id="{part["ids"][0]}">{head}'
            part.replace_self(
                [
                    nodes.raw("", opens, format="html"),
                    *inside[:rule],
                    nodes.raw("", "</div></details>", format="html"),
                    *inside[rule + 1 :],
                ]
            )


def _ours(
    app: Any, pagename: str, templatename: str, context: dict[str, Any], doctree: Any
) -> None:
    """Leave out style sheets that are not ours; take a lesson's head apart for its template."""
    context["css_files"] = [
        sheet
        for sheet in context["css_files"]
        if not re.search("mystnb|pygments", str(sheet.filename))
    ]
    if "body" in context:
        body = context["body"].replace('class="headerlink"', 'class="headerlink" tabindex="-1"')
        body = re.sub(r'<table class="docutils.*?</table>', _stacking, body, flags=re.DOTALL)
        context["body"], context["parts"] = body, _parts(body)


def _parts(body: str) -> dict[str, str]:
    """Return a lesson's page in pieces: title, first paragraphs, and what follows."""
    found = re.match(r"(.*?)(<h1>.*?</h1>)\s*((?:<p>.*?</p>\s*)*)(.*)", body, re.DOTALL)
    pieces = found.groups(default="") if found else ("", "", "", body)
    return dict(zip(("open", "title", "lede", "rest"), pieces, strict=True))


def _stacking(found: re.Match[str]) -> str:
    """Return a table; one too wide for a phone names the column in each cell and stacks there."""
    head, _, tail = found[0].partition("</thead>")
    names = [_words(one) for one in re.findall(r"<th\b[^>]*>(.*?)</th>", head, re.DOTALL)]
    lines = [
        [_words(one) for one in re.findall(r"<td>(.*?)</td>", row, re.DOTALL)]
        for row in tail.split("</tr>")
    ]
    if not is_too_wide([names, *filter(None, lines)]):
        return found[0]
    rows = [_named(row, names) for row in tail.split("</tr>")]
    table = head.replace('class="docutils', 'role="table" class="gb-stack docutils', 1)
    return (
        (f"{table}</thead>" + "</tr>".join(rows))
        .replace("<tr", '<tr role="row"')
        .replace("<th ", '<th role="columnheader" ')
    )


def _named(row: str, names: Sequence[str]) -> str:
    """Return a line of a table whose cells name their columns."""
    first, *cells = row.split("<td>")
    heads = chain(names, repeat(""))
    return first + "".join(
        f'<td role="cell" data-h="{name}">{cell}' if name else f'<td role="cell">{cell}'
        for name, cell in zip(heads, cells, strict=False)
    )


def _words(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def setup(app: Any) -> dict[str, Any]:
    """Give Sphinx the way to write a formula, and keep the pages ours."""
    app.connect("html-page-context", _ours, priority=900)
    app.add_role("french", french)
    app.add_post_transform(Margin)
    app.add_post_transform(Further)
    app.add_html_math_renderer("mathml", (_inline, None), (_block, None))
    return {"parallel_read_safe": True, "parallel_write_safe": True}
