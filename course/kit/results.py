"""What a lesson shows: a result, a table, a picture, a comparison with published values.

Each of these says itself in plain text, which is what the recorded outputs hold
and what a screen reader hears, and in HTML for a page.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

from calculators.faults import fault_error
from calculators.sources import Row, provenance_note, source
from calculators.units import Band, Quantity, is_quantity, number, say
from exercises.craft.plates import WIDTHS, Plate

Bundle = dict[str, str]
PHONE = "text/x-picture-for-a-phone"  # a form of its own, which only a site shows
SHORT = 30  # a result of more characters is a sentence, and is said less loud
_plain = False


def plain_text_only() -> None:
    """Make everything say itself in plain text only, as the recorded outputs do."""
    global _plain
    _plain = True


def is_plain() -> bool:
    """Tell whether everything says itself in plain text only."""
    return _plain


def words(thing: Any) -> str:
    r"""Return anything a lesson may want to say, as it stands in a sentence.

    >>> from calculators.units import q
    >>> words(q(0.4, "percent")), words(3), words("gold")
    ('0.4\xa0%', '3', 'gold')
    """
    if is_quantity(thing):
        return say(thing)
    if isinstance(thing, Band):
        return str(thing)
    if isinstance(thing, bool):
        return "yes" if thing else "no"
    if isinstance(thing, int | float):
        return number(thing)
    return str(thing)


def between(band: Band, digits: int = 2, places: int | None = None) -> str:
    """Return the two ends of a band, with no more digits than a band deserves.

    >>> from calculators.units import q
    >>> between(Band(q(53.1, "g"), q(60, "g"), q(96.4, "g")))
    '53 to 96 g'
    """
    unit = band.high.units
    low, high = (say(end.to(unit), digits=digits, places=places) for end in (band.low, band.high))
    return high if low == high else f"{low.split()[0]} to {high}"


def values(*things: Any) -> None:
    """Print the values that a paragraph of prose needs, one a line."""
    for thing in things:
        print(words(thing).replace("\n", " "))  # noqa: T201 - the notebook reads it


class _Shown:
    """Something with a plain and an HTML form; notebooks choose by themselves."""

    def _repr_mimebundle_(self, **_: Any) -> Bundle:
        bundle = {"text/plain": self.text()}
        if not _plain:
            bundle["text/html"] = self.html()
        return bundle

    def text(self) -> str:
        """Return the plain form."""
        raise NotImplementedError

    def html(self) -> str:
        """Return the form for a page."""
        raise NotImplementedError

    def __repr__(self) -> str:
        return self.text()


@dataclass(frozen=True, repr=False)
class LessonResult(_Shown):
    """The answer of a calculation and what it means at the bench.

    Parameters
    ----------
    value : quantity, Band or str
        What came out.
    meaning : str
        Half a sentence: what it means for the bench.
    """

    value: Any
    meaning: str = ""

    def text(self) -> str:
        """Return ``value: meaning`` on one line."""
        return f"{words(self.value)}: {self.meaning}" if self.meaning else words(self.value)

    def html(self) -> str:
        """Return the loudest thing of the page."""
        meaning = f'<span class="gb-meaning">{escape(self.meaning)}</span>'
        said = words(self.value)
        loud = "<strong>" if len(said) < SHORT else '<strong class="gb-sentence">'
        return (
            f'<p class="gb-result">{loud}{escape(said)}</strong> '
            f"{meaning if self.meaning else ''}</p>"
        )


def result(value: Any, meaning: str = "") -> LessonResult:
    """Show the answer of a calculation, loud, with what it means at the bench."""
    return LessonResult(value, meaning)


@dataclass(frozen=True, repr=False)
class Rows(_Shown):
    """A table to look things up in.

    Parameters
    ----------
    caption : str
        What the table shows.
    head : sequence of str
        The columns, with their units.
    lines : sequence of sequences
        Cells; quantities and numbers are said as at the bench.
    marked : int, optional
        The line that is the reader's own kitchen.
    """

    caption: str
    head: Sequence[str]
    lines: Sequence[Sequence[Any]]
    marked: int | None = None

    def text(self) -> str:
        """Return the table with columns in line."""
        cells = [list(self.head), *([words(c) for c in line] for line in self.lines)]
        widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
        lines = [
            "  ".join(c.ljust(w) for c, w in zip(row, widths, strict=True)).rstrip()
            for row in cells
        ]
        if self.marked is not None:
            lines[self.marked + 1] += "  <- this kitchen"
        return "\n".join([self.caption, *lines])

    def html(self) -> str:
        """Return a table with a caption and column headers."""
        lines = [[_whole(words(cell)) for cell in line] for line in self.lines]
        return table_html(self.caption, self.head, lines, self.marked)


PHONE_LETTERS = 34  # in a line of a table on the narrowest phone, 320 px wide


def is_too_wide(lines: Sequence[Sequence[str]]) -> bool:
    """Tell whether a table is too wide for a phone: by its longest words, and by all of them.

    >>> is_too_wide([["grade", "bloom"], ["silver", "155 to 165"]])
    False
    """
    columns = list(zip(*lines, strict=False))
    least = sum(
        max(len(word) for cell in one for word in [*cell.split(" "), ""]) for one in columns
    )
    whole = sum(max(len(cell) for cell in one) for one in columns)
    return least + len(columns) > PHONE_LETTERS or whole > 3 * PHONE_LETTERS


def table_html(
    caption: str,
    head: Sequence[str],
    lines: Sequence[Sequence[str]],
    marked: int | None = None,
    *,
    named: bool = True,
) -> str:
    """Return a table; one that is too wide for a phone becomes a block a line there.

    Parameters
    ----------
    caption, head, lines
        What is in it, as text.
    marked : int, optional
        The line that is the reader's own kitchen.
    named : bool
        Whether the first cell of a line names it.
    """
    head = [name.replace("\N{NO-BREAK SPACE}", " ") for name in head]  # a head may break
    stack = is_too_wide([head, *lines])

    def role(name: str) -> str:
        return f' role="{name}"' if stack else ""

    top = "".join(f'<th scope="col"{role("columnheader")}>{escape(h)}</th>' for h in head)
    body = []
    for n, line in enumerate(lines):
        mine = ' class="gb-mine"' if n == marked else ""
        cells = []
        for place, (name, cell) in enumerate(zip(head, line, strict=True)):
            note = '<span class="gb-mine-word">this kitchen</span>' if mine and not place else ""
            if named and not place:
                cells.append(f'<th scope="row"{role("rowheader")}>{escape(cell)}{note}</th>')
            else:
                told = f' data-h="{escape(name)}"' if stack and name else ""
                cells.append(f"<td{role('cell')}{told}>{escape(cell)}{note}</td>")
        body.append(f"<tr{role('row')}{mine}>{''.join(cells)}</tr>")
    kind = "gb-table gb-stack" if stack else "gb-table"
    return (
        f'<table class="{kind}"{role("table")}><caption>{escape(caption)}</caption>'
        f"<thead{role('rowgroup')}><tr{role('row')}>{top}</tr></thead>"
        f"<tbody{role('rowgroup')}>{''.join(body)}</tbody></table>"
    )


def plate_html(plate: str, alt: str, caption: str, *, root: str = "../") -> str:
    """Return a plate as a figure that keeps its place free until the picture is there.

    ``root`` leads from the page to the top of the site.
    """
    (narrow, _), (width, height) = Plate.size(WIDTHS[0]), Plate.size()
    file = f"{root}_static/plates/{escape(plate)}"
    return (
        f'<figure class="gb-picture gb-plate"><img src="{file}-{width}.webp" '
        f'srcset="{file}-{narrow}.webp {narrow}w, {file}-{width}.webp {width}w" '
        f'sizes="(min-width: 44rem) 41rem, 94vw" width="{width}" height="{height}" '
        f'loading="lazy" decoding="async" alt="{escape(alt)}">'
        f"<figcaption>{escape(caption)}</figcaption></figure>"
    )


def _whole(cell: str) -> str:
    """Return a cell that is a number and its unit so that no line breaks in it."""
    parts = cell.split()
    short = len(parts) == 2 and len(parts[1]) <= 3 and parts[0][-1].isdigit()
    return "\N{NO-BREAK SPACE}".join(parts) if short else cell


def rows(
    caption: str,
    head: Sequence[str],
    lines: Iterable[Sequence[Any]],
    marked: int | None = None,
) -> Rows:
    """Show a table; refuse lines that are longer or shorter than its head."""
    lines = [list(line) for line in lines]
    for line in lines:
        if len(line) != len(head):
            raise fault_error(
                "rows", f"has a line of {len(line)} cells", line, f"{len(head)} columns"
            )
    return Rows(caption, tuple(head), lines, marked)


class Picture(_Shown):
    """A drawing with a caption that says what to see and words for what is seen.

    Parameters
    ----------
    svg : str
        The drawing.
    alt : str
        What is seen, with the numbers that matter; this is what is recorded.
    caption : str
        What to see in it.
    phone : str
        The same drawing for a narrow column; a site shows it on phones.
    """

    def __init__(self, svg: str, alt: str, caption: str, phone: str = "") -> None:
        self.svg, self.alt, self.caption, self.phone = svg, alt, caption, phone

    def _repr_mimebundle_(self, **_: Any) -> Bundle:
        bundle = super()._repr_mimebundle_()
        if self.phone and not _plain:
            bundle[PHONE] = self._spoken(self.phone, ' class="gb-phone"')
        return bundle

    def text(self) -> str:
        """Return the words for the picture."""
        return f"[Picture: {self.alt}] {self.caption}"

    def html(self) -> str:
        """Return the drawing as a figure with caption and text alternative."""
        return (
            f'<figure class="gb-picture">{self._spoken(self.svg)}'
            f"<figcaption>{escape(self.caption)}</figcaption></figure>"
        )

    def _spoken(self, svg: str, more: str = "") -> str:
        head, tail = svg[svg.index("<svg") :].split(">", 1)
        return f'{head}{more} role="img" aria-label="{escape(self.alt)}">{tail}'


def with_phone(html: str, phone: str) -> str:
    """Put the drawing for phones into a picture's figure; a style shows one of them."""
    html = html.replace('class="gb-picture"', 'class="gb-picture gb-twice"', 1)
    return html.replace("<figcaption>", f"{phone}<figcaption>", 1)


@dataclass(frozen=True, repr=False)
class Against(_Shown):
    """A number of ours beside the number of others."""

    what: str
    ours: Quantity
    theirs: Quantity
    within: Quantity
    whose: str

    def text(self) -> str:
        """Return both numbers and how near they must be."""
        return (
            f"Held against {self.whose}. {self.what}: {say(self.ours, digits=5)} here, "
            f"{say(self.theirs, digits=5)} there; they may differ by {say(self.within)}."
        )

    def html(self) -> str:
        """Return the comparison as a quiet line."""
        return f'<p class="gb-against">{escape(self.text())}</p>'


def against(
    what: str, ours: Quantity, theirs: Quantity | Row, within: Quantity, whose: str = ""
) -> Against:
    """Hold a number of the lesson against one that others published.

    Parameters
    ----------
    what : str
        What is compared.
    ours : quantity
        What the lesson computed.
    theirs : quantity or Row
        The published value; a row brings its own source.
    within : quantity
        How far they may differ; for temperatures a difference.
    whose : str
        A key of the bibliography, where ``theirs`` is a plain quantity.

    Raises
    ------
    FaultsError
        If they differ by more: the lesson then claims something that is not so.
    """
    if isinstance(theirs, Row):
        whose, theirs = provenance_note(theirs), theirs.quantity
    else:
        whose = source(whose).short
    theirs = theirs.to(ours.units)
    gap = abs(ours - theirs)
    if not gap <= within:
        raise fault_error(
            f"against, {what}",
            f"differs from {whose} by {say(gap)}",
            say(ours, digits=5),
            f"{say(theirs, digits=5)} within {say(within)}",
            "Mend the calculator or the claim",
        )
    return Against(what, ours, theirs, within, whose)


def claim(what: str, holds: bool | Callable[[], bool]) -> LessonResult:
    """Guard a sentence of the prose: fail the lesson if it is not so."""
    if not (holds() if callable(holds) else holds):
        raise fault_error("claim", "does not hold in this kitchen", what, "", "Mend the sentence")
    return LessonResult("Checked", what)
