"""Steps that turn an executed cell into one for the site, the download or the record."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from copy import deepcopy
from dataclasses import dataclass, field, replace
from functools import wraps
from html import escape
from typing import Any, TypeAlias

import nbformat

from calculators import safety
from calculators.faults import FaultsError, fault_error
from calculators.sources import source
from course.kit.results import PHONE, with_phone
from course.making import blocks as made
from course.making.lessons import BLOCK, CITE, LINK, TERM, VALUE, Cell, Lesson, Notebook
from exercises.look import sign
from exercises.questions.outcomes import outcomes

# --- rendering: chains of steps ------------------------------------------------------------


CellStep: TypeAlias = "Callable[[Cell, Setting], Cell | None]"


@dataclass
class Setting:
    """What the steps need to know beside the cell.

    Parameters
    ----------
    lesson : Lesson
        The lesson that is rendered.
    titles : dict
        The titles of the lessons of this course by slug; others are left out.
    all_titles : dict
        The titles of all lessons there are.
    edition : str
        ``student`` or ``lecturer``.
    local_rules : object with link and contact, optional
        The school's own rules, named at the end of a caution.
    glossary : dict
        Term to meaning.
    practice, panel, by_hand, short_run : functions
        Make the block of a practice question, a calculator panel, a sum by hand or a
        short run, as HTML for the site and as Markdown for the download.
    """

    lesson: Lesson
    titles: dict[str, str]
    all_titles: dict[str, str]
    edition: str = "student"
    local_rules: safety.HasLocalRules | None = None
    glossary: dict[str, Any] = field(default_factory=dict)
    practice: Callable[[str, str], str] = lambda question, form: ""
    panel: Callable[[str, str, str], str] = lambda name, body, form: ""
    by_hand: Callable[[str, str, str], str] = lambda question, body, form: ""
    short_run: Callable[[str, str], str] = lambda name, form: ""
    _values: list[str] = field(default_factory=list)
    _told: dict[str, set[str]] = field(default_factory=lambda: {"site": set(), "plain": set()})


def render(notebook: Notebook, steps: Iterable[CellStep], setting: Setting) -> Notebook:
    """Send every cell through a chain of steps; a step that returns None drops it."""
    rendered = deepcopy(notebook)
    cells = []
    chain = tuple(steps)
    for cell in rendered.cells:
        for step in chain:
            cell = step(cell, setting)
            if cell is None:
                break
        else:
            cells.append(cell)
    rendered.cells = cells
    return rendered


def prose(change: Callable[[str, Setting], str]) -> CellStep:
    """Return the step that changes the text of a cell of prose, and no other cell."""

    @wraps(change)
    def step(cell: Cell, setting: Setting) -> Cell:
        if cell.cell_type == "markdown":
            cell.source = change(cell.source, setting)
        return cell

    return step


def tags(cell: Cell) -> list[str]:
    """Return the tags of a cell."""
    return list(cell.metadata.get("tags", ()))


def take_values(cell: Cell, setting: Setting) -> Cell | None:
    """Keep what a values cell printed for the paragraph behind it, and drop the cell."""
    if "values" not in tags(cell):
        return cell
    text = "".join(o.text for o in cell.outputs if o.output_type == "stream")
    setting._values = text.splitlines()
    return None


def as_prose(text: str) -> str:
    r"""Return text that a person wrote so that no sign of it is taken for Markdown.

    >>> print(as_prose("Bakery *No. 1* & Sons"))
    Bakery \*No. 1\* \& Sons
    """
    if re.fullmatch(r"https?://[^\s<>]+", text):
        return f"<{text}>"
    return re.sub(r"([\\`*_{}\[\]<>$&|~#])", r"\\\1", text)


def put_values(cell: Cell, setting: Setting) -> Cell:
    """Put the values into the prose that asked for them."""
    if cell.cell_type == "markdown" and cell.metadata.get("takes_values"):
        held = map(as_prose, setting._values)
        cell.source = VALUE.sub(lambda _: next(held), cell.source)
        del cell.metadata["takes_values"]
    return cell


@prose
def put_head(text: str, setting: Setting) -> str:
    """Put minutes, outcomes and needs under the title; on the site a template does."""
    if not text.startswith("# "):
        return text
    title, _, rest = text.partition("\n")
    lesson, table = setting.lesson, outcomes()
    can = "\n".join(f"- {table[key].wording}" for key in lesson.outcomes)
    need = "\n".join(f"- {thing}" for thing in lesson.needs)
    needs = f"\n\n**You will need**\n\n{need}" if need else ""
    return (
        f"{title}\n\n*About {lesson.minutes} minutes to read and practise.*\n\n"
        f"**By the end you can**\n\n{can}{needs}\n{rest}"
    )


@prose
def put_bench_time(text: str, setting: Setting) -> str:
    """Say under *At the bench* how long that takes, and what it waits for."""
    said = setting.lesson.bench_time
    return _AT_THE_BENCH.sub(lambda title: f"{title[0]}\n\n*{said}*", text) if said else text


def blocks(form: str) -> CellStep:
    """Return the step that expands our own blocks for the site or for plain Jupyter."""
    return prose(lambda text, setting: BLOCK.sub(lambda m: _placed(m, setting, form), text))


def _placed(match: re.Match[str], setting: Setting, form: str) -> str:
    """Return a block; its faults are told with the lesson and the line that asks for it."""
    try:
        return _block(match, setting, form)
    except FaultsError as error:
        begins = match[0].strip().partition("\n")[0]
        lines = setting.lesson.text.splitlines()
        line = next((n for n, text in enumerate(lines, 1) if begins in text), 1)
        where = f"{setting.lesson.path.name}:{line}"
        raise FaultsError(
            replace(fault, where=f"{where}, {fault.where}") for fault in error.faults
        ) from None


def _block(match: re.Match[str], setting: Setting, form: str) -> str:
    name, words, body = match["name"], match["words"].strip(), match["body"].strip()
    if name == "hazard":
        return "\n\n".join(_hazard(key, setting, form) for key in words.split())
    if name == "lecturer":
        if setting.edition != "lecturer":
            return ""
        # Each of its bold names begins a paragraph.
        apart = re.sub(r"\n+(?=\*\*)", "\n\n", body)
        return _admonition("For the lecturer", apart, "gb-lecturer", form)
    if name == "practice":
        return setting.practice(words, form)
    if name == "byhand":
        return setting.by_hand(words, body, form)
    if name == "calculator":
        return setting.panel(words, body, form)
    if name == "short-run":
        return setting.short_run(words, form)
    if name == "plate":
        return "\n\n".join(made.plate(key, form) for key in words.split())
    if name == "word":
        return _word(words, setting, form)
    if name == "caution":  # the limits of a rule: it hurts nobody, and bears no sign
        return _admonition("Mind", body, "mind", form)
    if form == "plain":
        return _plain_block(name, words, body)
    return match[0]


def _hazard(key: str, setting: Setting, form: str) -> str:
    """Return a caution: in full where a page first meets it, and in one line after that.

    The school's own rules stand once a page, in its first caution.
    """
    caution = safety.caution(key)
    first, told = not setting._told[form], key in setting._told[form]
    setting._told[form].add(key)
    if told:
        return _in_short(caution, form)
    last = safety.last_word(setting.local_rules) if first else ""
    if form == "site":
        return _warning(caution, last, setting.local_rules)
    acts = "\n".join(f"- {act}" for act in caution.act)
    aid = f"\n\n**First aid.** {caution.first_aid}" if caution.first_aid else ""
    rules = setting.local_rules
    for own in (rules.contact, rules.link) if rules else ():
        last = last.replace(own, as_prose(own)) if own else last
    return _quoted(caution.hazard, f"{caution.happens}\n\n{acts}{aid}\n\n{last}".strip())


def _in_short(caution: safety.Caution, form: str) -> str:
    if form == "plain":
        return f"> **{caution.hazard}.** {caution.happens} As told in full above."
    return made.raw(
        f'<div class="gb-warn-short">{sign(caution.id)}<p><b>{escape(caution.hazard)}.</b> '
        f'{escape(caution.happens)} <a href="#hazard-{caution.id}">As told in full above.</a>'
        "</p></div>"
    )


def _warning(caution: safety.Caution, last: str, rules: safety.HasLocalRules | None) -> str:
    name = f"hazard-{caution.id}"
    acts = "".join(f"<li>{escape(act)}</li>" for act in caution.act)
    aid = f"<p><b>First aid.</b> {escape(caution.first_aid)}</p>" if caution.first_aid else ""
    last = escape(last).replace("{", "&#123;").replace("`", "&#96;")  # no mark-up of ours
    if rules and rules.link.startswith(("https://", "http://")):
        link = escape(rules.link)
        last = last.replace(link, f'<a href="{link}">{link}</a>')
    closing = f'<p class="rules">{last}</p>' if last else ""
    return made.raw(
        f'<section class="gb-warn" id="{name}" aria-labelledby="{name}-name">{sign(caution.id)}'
        f'<p class="name" id="{name}-name"><span class="vh">Warning: </span>'
        f"{escape(caution.hazard)}</p><p>{escape(caution.happens)}</p><ul>{acts}</ul>"
        f"{aid}{closing}</section>"
    )


def _admonition(title: str, body: str, style: str, form: str) -> str:
    if form == "site":
        return f"::::{{admonition}} {title}\n:class: {style}\n{body}\n::::"
    return _quoted(title, body)


def _quoted(title: str, body: str) -> str:
    quoted = "\n".join(f"> {line}".rstrip() for line in body.splitlines())
    return f"> **{title}**\n>\n{quoted}"


def _word(term: str, setting: Setting, form: str) -> str:
    entry = setting.glossary.get(term)
    if entry is None:
        raise fault_error(
            setting.lesson.path.name,
            "explains a word that is not in the glossary",
            term,
        )
    french, meaning = entry.get("french", ""), entry["meaning"]
    if form == "plain":
        return f"> **{term}**{f' (French: *{french}*)' if french else ''}: {meaning}"
    said = f' <span class="fr">In French <i lang="fr">{escape(french)}</i>.</span>'
    return made.raw(
        f'<aside class="gb-word" aria-label="A word: {escape(term)}"><dl><dt>{escape(term)}</dt>'
        f"<dd>{_emphasis(meaning)}{said if french else ''}</dd></dl></aside>"
    )


def _emphasis(text: str) -> str:
    """Return a sentence of the glossary as HTML: what stands between asterisks is stressed."""
    return re.sub(r"\*([^*]+)\*", r"<em>\1</em>", escape(text))


def _plain_block(name: str, words: str, body: str) -> str:
    body = "\n".join(line for line in body.splitlines() if not re.match(r":\w+:", line))
    title = words or name.capitalize()
    return _admonition(title, body.strip(), "", "plain")


def cite(form: str) -> CellStep:
    """Return the step that turns citations into links or plain words."""

    def one(key: str) -> str:
        short = source(key).short
        return f"[{short}](#source-{key})" if form == "site" else short

    def cited(match: re.Match[str]) -> str:
        return "; ".join(one(key.strip()) for key in match[1].split(","))

    return prose(lambda text, _: CITE.sub(cited, text))


def link(form: str) -> CellStep:
    """Return the step that links lessons; one that is left out keeps its title only."""

    def one(slug: str, setting: Setting) -> str:
        title = setting.titles.get(slug)
        if title is None:
            if slug not in setting.all_titles:
                raise fault_error(
                    setting.lesson.path.name, "links a lesson that is not there", slug
                )
            return f"*{setting.all_titles[slug]}* (a lesson that is not part of this course)"
        return (
            f"{{doc}}`{title} </lessons/{slug}>`" if form == "site" else f"[{title}]({slug}.ipynb)"
        )

    return prose(lambda text, setting: LINK.sub(lambda m: one(m[1], setting), text))


_UNIT_APART = re.compile(
    r"(?<=\d) (?=(?:[µmck]?g|m?l|[cmµk]?m|°C|°Bx|°Bé|min|h|s|bloom|kJ|W|K)\b|%)"
)


@prose
def keep_units(text: str, setting: Setting) -> str:
    """Keep a number and its unit on one line of the page."""
    return _UNIT_APART.sub("\N{NO-BREAK SPACE}", text)


_AT_THE_BENCH = re.compile(r"^## At the bench$", re.MULTILINE)
_FRENCH = re.compile(r"\{french\}`([^`]+)`")


@prose
def plain_terms(text: str, setting: Setting) -> str:
    """Leave a glossary term as plain words, and a French one in italics."""
    return _FRENCH.sub(r"*\1*", TERM.sub(lambda m: m[1] or m[2], text))


def drop_guards(cell: Cell, setting: Setting) -> Cell | None:
    """Leave out cells that only guard a sentence."""
    return None if "guard" in tags(cell) else cell


def drop_plumbing(cell: Cell, setting: Setting) -> Cell | None:
    """Leave out cells that only fetch what the others use."""
    return None if "plumbing" in tags(cell) else cell


def drop_empty(cell: Cell, setting: Setting) -> Cell | None:
    """Leave out cells that hold nothing any more."""
    return cell if cell.source.strip() else None


def unfold(cell: Cell, setting: Setting) -> Cell:
    """Fold no code: one switch shows or hides it on the whole site."""
    cell.metadata["tags"] = [tag for tag in tags(cell) if not tag.startswith("hide-")]
    return cell


def pictures(cell: Cell, setting: Setting) -> Cell:
    """Keep one form of each output: the HTML of what shows itself."""
    for output in cell.get("outputs", ()):
        data = output.get("data", {})
        if "text/html" in data:
            html = data["text/html"]
            if phone := data.get(PHONE):
                html = with_phone(html, phone)
            output["data"] = {"text/html": html}
    return cell


PLATE = re.compile(r"<!--plate ([\w-]+)-->")
WHY = re.compile(r"<!--lesson ([\w-]+)-->")


def steps_of_the_method(form: str) -> CellStep:
    """Return the step that puts plates and links where the method's steps ask for them."""

    def why(slug: str, setting: Setting) -> str:
        title = escape(setting.titles.get(slug) or setting.all_titles[slug])
        linked = form == "site" and slug in setting.titles
        return f'<a href="{slug}.html">{title}</a>' if linked else title

    def step(cell: Cell, setting: Setting) -> Cell:
        for output in cell.get("outputs", ()):
            data = output.get("data", {})
            if "<!--" in (html := data.get("text/html", "")):
                html = PLATE.sub(lambda m: made.small_plate(m[1]) if form == "site" else "", html)
                data["text/html"] = WHY.sub(lambda m: why(m[1], setting), html)
        return cell

    return step


def no_phone(cell: Cell, setting: Setting) -> Cell:
    """Leave out the drawings for phones, which plain Jupyter would not choose between."""
    for output in cell.get("outputs", ()):
        output.get("data", {}).pop(PHONE, None)
    return cell


def no_metadata(cell: Cell, setting: Setting) -> Cell:
    """Leave nothing of the generator's own marks in a file for others."""
    keep = {"tags": tags(cell)} if tags(cell) else {}
    cell.metadata = nbformat.from_dict(keep)
    if cell.cell_type == "code":
        cell.execution_count = None
    return cell


SITE: tuple[CellStep, ...] = (
    take_values,
    put_values,
    keep_units,
    put_bench_time,
    blocks("site"),
    cite("site"),
    link("site"),
    drop_guards,
    drop_plumbing,
    unfold,
    pictures,
    steps_of_the_method("site"),
    drop_empty,
)
DOWNLOAD: tuple[CellStep, ...] = (
    take_values,
    put_values,
    keep_units,
    put_head,
    put_bench_time,
    blocks("plain"),
    cite("plain"),
    link("plain"),
    plain_terms,
    drop_guards,
    no_phone,
    steps_of_the_method("plain"),
    drop_empty,
    no_metadata,
)
