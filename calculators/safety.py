"""What can hurt at the bench, what the law says here, and who has the last word.

Every caution and every note on the law in lessons, sheets and bench plans comes
from this module and its tables.  None of them is the last word: the local rules
and the supervisor are.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from itertools import pairwise
from types import MappingProxyType
from typing import Protocol

from calculators.faults import refuse
from calculators.sources import DATA, records, source, table
from calculators.units import (
    PUBLISHED,
    Band,
    Measure,
    OneOf,
    Quantity,
    Thing,
    q,
    say,
    takes,
)

LAST_WORD = "Your local rules and your supervisor come first."

REGIONS: Mapping[str, str] = MappingProxyType(
    {
        "EU": "the European Union",
        "NI": "Northern Ireland",
        "GB": "England, Wales and Scotland",
        "US": "the United States",
        "CA": "Canada",
        "AU": "Australia",
        "NZ": "New Zealand",
        "Gulf": "the Gulf states",
    }
)
EVERYWHERE = "any"  # rows of Codex Alimentarius, which every region may look at


# --- cautions -------------------------------------------------------------------


class LocalRules(Protocol):
    """The school's own rules: where they stand and whom to ask."""

    @property
    def link(self) -> str:
        """Where the rules stand; empty where the school gave none."""

    @property
    def contact(self) -> str:
        """Whom to ask; empty where the school gave none."""


@dataclass(frozen=True)
class Caution:
    """A hazard, what it does, and what to do about it.

    Parameters
    ----------
    id : str
        Its name in ``data/cautions.toml``.
    hazard : str
        The hazard in its first word.
    happens : str
        What can happen, one sentence.
    act : tuple of str
        What to do, a few short sentences.
    first_aid : str
        The usual first aid; empty where none is usual.
    provenance : str
        *published* or *common practice*.
    """

    id: str
    hazard: str
    happens: str
    act: tuple[str, ...]
    first_aid: str = ""
    provenance: str = "common practice"

    def text(self, local_rules: LocalRules | None = None) -> str:
        """Return the caution as one paragraph that ends with the last word.

        Parameters
        ----------
        local_rules : object with link and contact, optional
            The school's own, named in the closing line.
        """
        parts = [f"{self.hazard}. {self.happens}", *self.act]
        if self.first_aid:
            parts.append(f"First aid: {self.first_aid}")
        return " ".join([*parts, last_word(local_rules)])


def last_word(local_rules: LocalRules | None = None) -> str:
    """Return the closing line of every caution, with the school's own rules.

    >>> last_word()
    'Your local rules and your supervisor come first.'
    """
    link = local_rules.link if local_rules else ""
    contact = local_rules.contact if local_rules else ""
    where = f" The rules of this school: {link}" if link else ""
    ask = f" Ask: {contact}" if contact else ""
    return LAST_WORD + _full_stop(where) + _full_stop(ask)


def _full_stop(text: str) -> str:
    return text if not text or text.endswith((".", "/")) else text + "."


@cache
def cautions() -> Mapping[str, Caution]:
    """Return every caution by its id, in the order of the table.

    >>> list(cautions())[:3]
    ['hot-sugar', 'steam', 'stick-blender']
    """
    import tomllib  # here, for at the top it would slow every import

    text = (DATA / "cautions.toml").read_text(encoding="utf-8")
    return MappingProxyType(
        {
            name: Caution(name, **{**row, "act": tuple(row["act"])})
            for name, row in tomllib.loads(text).items()
        }
    )


@takes("a caution", id=Thing(str, "the id of a caution"))
def caution(id: str) -> Caution:
    """Return one caution by its id.

    Parameters
    ----------
    id : str
        One of those that :func:`cautions` lists, such as ``"hot-sugar"``.

    Returns
    -------
    Caution
        With its text and the usual first aid.

    Examples
    --------
    >>> caution("reuse").hazard
    'Reuse of glaze'

    Notes
    -----
    *Watch out*: print it where the hazard is met, before the step and not after.

    Source: common practice of teaching kitchens; each row says so.
    """
    known = cautions()
    if id not in known:
        raise refuse(
            "caution, id",
            "is not in the table",
            id,
            "It knows: " + ", ".join(known),
            "Choose one of these",
        )
    return known[id]


# --- law by region ----------------------------------------------------------------


@dataclass(frozen=True)
class LegalNote:
    """What a rule says, where it stands, and when it was last looked at.

    Parameters
    ----------
    region : str
        The region that was asked for.
    subject : str
        What the rule is about.
    status : str
        *permitted*, *forbidden*, *rule*, *minimum*, *unclear* or *ask*.
    text : str
        The rule in plain words.
    limit : quantity or None
        Its figure, where it has one.
    source, where : str
        Key of the bibliography and place in it; empty where memory alone vouches.
    dated : date or None
        When the rule was last looked at; a law may have changed since.
    provenance : str
        *published*, *common practice* or *from memory*.
    """

    region: str
    subject: str
    status: str
    text: str
    limit: Quantity | None
    source: str
    where: str
    dated: date | None
    provenance: str

    def __str__(self) -> str:
        """Return the note with its source, its provenance and its date."""
        cited = source(self.source).short if self.source else ""
        where = ", ".join(part for part in (cited, self.where) if part)
        facts = [
            self.provenance,
            where,
            f"looked at {self.dated}" if self.dated else "",
        ]
        return f"{self.text} ({'; '.join(fact for fact in facts if fact)})"


def regions() -> tuple[str, ...]:
    """Return the regions whose rules we have looked at.

    >>> regions()
    ('EU', 'NI', 'GB', 'US', 'CA', 'AU', 'NZ', 'Gulf')
    """
    return tuple(REGIONS)


@cache
def legal_subjects() -> tuple[str, ...]:
    """Return what there are notes about, in the order of the table."""
    return tuple(dict.fromkeys(row["subject"] for row in records("legal")))


@takes(
    "notes",
    subject=Thing(str, "a subject of the law table"),
    region=OneOf(*REGIONS),
)
def legal_note(subject: str, region: str) -> tuple[LegalNote, ...]:
    """Return what the law of a region says on a subject, with date and source.

    Parameters
    ----------
    subject : str
        One of :func:`legal_subjects`, such as ``"titanium white"`` or ``"cooling"``.
    region : str
        One of :func:`regions`.

    Returns
    -------
    tuple of LegalNote
        At least one.  Where no rule is known, the one note says so and asks.

    Examples
    --------
    >>> legal_note("titanium white", "EU")[0].status
    'forbidden'

    Notes
    -----
    *Watch out*: a note is not advice of a lawyer, and it has a date.  One that is
    from memory is there so that you ask, not so that you rely on it.

    Source: in each row of ``data/legal.csv``.
    """
    found = _subjects_in(subject)
    if not set(found) <= set(legal_subjects()):
        raise refuse(
            "legal_note, subject",
            "is not in the table",
            subject,
            "It knows: " + ", ".join(legal_subjects()),
            "Choose one of these, and ask where none fits",
        )
    return _strictest_first(found, region)


@cache
def _subjects_in(name: str) -> tuple[str, ...]:
    """Return the law table's own names of every colour that a label names."""
    known = _subjects().get(_letters(name))
    if known:
        return (known,)
    if _FREE_OF.search(name.casefold()):
        return (name,)
    found = [one for pattern, one in _patterns() if pattern.search(name.casefold())]
    return tuple(dict.fromkeys(found)) or (name,)


_FREE_OF = re.compile(r"\b(free|without|replace\w*|substitute|alternative|instead)\b")


@cache
def _patterns() -> tuple[tuple[re.Pattern[str], str], ...]:
    """Return the names of a colour as they are looked for within a label's words.

    A name such as Red 3 counts alone only: *red, 3 g* is none.
    """
    names = [
        (name, row["subject"])
        for row in records("colour_names")
        for name in (row["subject"], *row["also"].split(";"))
        if not name.startswith(("Red ", "Yellow "))
    ]
    return tuple(
        (re.compile(rf"(?<![^\W_]){_loose(name)}(?![^\W_])"), subject) for name, subject in names
    )


def _loose(name: str) -> str:
    return r"[\W_]*".join(re.findall(r"[^\W\d_]+|\d+", name.casefold()))


@cache
def _subjects() -> Mapping[str, str]:
    names = {_letters(subject): subject for subject in legal_subjects()}
    for row in records("colour_names"):
        names |= {_letters(also): row["subject"] for also in row["also"].split(";")}
    return names


def _letters(name: str) -> str:
    """Return a name without capitals, spaces, dots and hyphens: E-171 is e171."""
    return "".join(c for c in name.casefold() if c.isalnum())


def _strictest_first(subjects: tuple[str, ...], region: str) -> tuple[LegalNote, ...]:
    notes = [note for subject in subjects for note in _notes(subject, region)]
    return tuple(sorted(notes, key=lambda note: note.status != "forbidden"))


def _notes(subject: str, region: str) -> tuple[LegalNote, ...]:
    found = tuple(
        LegalNote(
            region,
            subject,
            row["status"],
            row["text"],
            q(float(row["limit"]), row["unit"]) if row["limit"] else None,
            row["source"],
            row["where"],
            date.fromisoformat(row["dated"]),
            row["provenance"],
        )
        for row in records("legal")
        if row["subject"] == subject and {region, EVERYWHERE} & set(row["region"].split())
    )
    return found or (_unknown(subject, region),)


def _unknown(subject: str, region: str) -> LegalNote:
    text = f"We know of no rule on {subject} in {REGIONS[region]}. Ask before you use it."
    return LegalNote(region, subject, "ask", text, None, "", "", None, "from memory")


@dataclass(frozen=True)
class Permission:
    """Whether a colourant may be used here: *yes*, *no* or *ask*, and why.

    Parameters
    ----------
    answer : str
        ``"yes"``, ``"no"`` or ``"ask"``.
    notes : tuple of LegalNote
        What it rests on.
    """

    answer: str
    notes: tuple[LegalNote, ...]

    def __str__(self) -> str:
        """Return the answer and its notes in words."""
        return f"{self.answer}: " + " ".join(str(note) for note in self.notes)


@takes(
    "a permission",
    colourant=Thing(str, "the name of a colourant"),
    region=OneOf(*REGIONS),
)
def allowed(colourant: str, region: str) -> Permission:
    """Tell whether a colourant may go into food in a region: yes, no or ask.

    Only a rule that was read makes a *yes*; a *yes* from memory becomes *ask*.
    A *no* stays a *no*, from memory too: that errs on the safe side.

    Parameters
    ----------
    colourant : str
        Such as ``"titanium white"``, ``"E 171"`` or what stands on a label; of several
        colours the strictest counts, and one that is not in the table is *ask*.
    region : str
        One of :func:`regions`.

    Returns
    -------
    Permission
        The answer with its dated notes.

    Examples
    --------
    >>> [allowed("titanium white", region).answer for region in ("EU", "US", "Gulf")]
    ['no', 'yes', 'ask']

    Notes
    -----
    *Watch out*: *yes* means allowed up to a dose; the label of the colour and its
    largest dose for a coating still hold.

    Source: in each row of ``data/legal.csv``.
    """
    notes = _strictest_first(_subjects_in(colourant), region)
    stands = {note.status for note in notes}
    if "forbidden" in stands:
        return Permission("no", notes)
    read = all(n.status == "permitted" and n.provenance == PUBLISHED for n in notes)
    return Permission("yes" if read else "ask", notes)


# --- allergens to declare ------------------------------------------------------------


@dataclass(frozen=True)
class Allergen:
    """An allergen that the law has declared.

    Parameters
    ----------
    name : str
        Its short name, as in the ingredient table.
    words : str
        What it covers.
    regions : tuple of str
        Where it is declared, as far as we know.
    exempt : str
        What is left out of it by law in the EU.
    kitchen : str
        Where a pastry kitchen meets it.
    provenance : str
        Of the EU row; the lists of other regions are from memory.
    """

    name: str
    words: str
    regions: tuple[str, ...]
    exempt: str
    kitchen: str
    provenance: str


@cache
def allergens() -> Mapping[str, Allergen]:
    """Return the fourteen allergens of the EU list by their short name.

    >>> len(allergens()), allergens()["fish"].kitchen
    (14, 'fish gelatin as gelling agent is declared')
    """
    return MappingProxyType(
        {
            row["name"]: Allergen(
                row["name"],
                row["words"],
                tuple(row["regions"].split()),
                row["exempt"],
                row["kitchen"],
                row["provenance"],
            )
            for row in records("allergens")
        }
    )


# --- what a water activity lets grow ---------------------------------------------------


@takes("names, those that need most water first", water_activity=Measure("", 0, 1))
def may_grow(water_activity: Quantity) -> tuple[str, ...]:
    """Return what may still grow at a water activity, given warmth and time.

    All whose lowest water activity is at or below this one.

    Parameters
    ----------
    water_activity : quantity or number
        0 to 1, such as ``formula.water_activity`` gives; take the high end of a band.

    Returns
    -------
    tuple of str
        Kinds of microbe.  None below 0.60, where nothing is known to grow.

    Examples
    --------
    >>> may_grow(0.78)
    ('bacteria that live in salt', 'moulds that like it dry', 'yeasts that live in sugar')

    Notes
    -----
    *Watch out*: what may not grow is not dead, and a wet spot on a dry glaze is wet.
    It says nothing of acid, cold or time, and it never makes a glaze safe.  Your local
    rules and your supervisor come first.

    Source: bands of [beuchat1981]; Staphylococcus from memory; ``data/growth.csv``.
    """
    rows = table("growth").values()
    return tuple(row.name for row in rows if water_activity.m >= row.quantity.m)


# --- how fast hot water burns ----------------------------------------------------------


@dataclass(frozen=True)
class BurnTime:
    """How long skin bears a hot liquid before a deep burn, in words and as a band.

    Parameters
    ----------
    words : str
        What to say at the bench.
    time : Band or None
        From the shortest to the longest figure of the sources, in seconds; None
        where no figure is known.
    """

    words: str
    time: Band | None

    def __str__(self) -> str:
        """Return the words."""
        return self.words


_LONG_CONTACT = 44.0  # °C: six hours, Moritz and Henriques 1947, as restated
_ROUNDED = 0.06  # °C: the table is of whole °F, and its rows are rounded to 0.1 °C
_STICKS = 100.0  # °C: hotter than this it is sugar, which sticks


@cache
def scald_times() -> tuple[tuple[float, float, float, float], ...]:
    """Return temperature (°C), shortest, usual and longest time (s), rising.

    >>> scald_times()[-1]
    (65.6, 1.5, 2.0, 2.0)
    """
    return tuple(
        (float(row.name), row.low or 0.0, row.value or 0.0, row.high or 0.0)
        for row in table("scalds").values()
    )


@takes("words and a band of times in s", temperature=Measure("degC", -30, 250))
def contact_burn(temperature: Quantity) -> BurnTime:
    """Return how long hot water may touch adult skin before it burns deeply.

    Between two rows of the table the answer is a band from one row to the other;
    no curve is drawn through them.

    Parameters
    ----------
    temperature : quantity
        Of the liquid, −30 to 250 °C.

    Returns
    -------
    BurnTime
        Words, and a band in s where the sources have figures.

    Examples
    --------
    >>> print(contact_burn(q(62, "degC")))
    A deep burn in 1.5 s to 6 s. Children and older people burn faster.
    >>> print(contact_burn(q(118, "degC")))
    A deep burn at once, and sugar sticks and goes on burning.

    Notes
    -----
    *Watch out*: the times are for a third-degree burn, which is too late; pain and
    harm come sooner.  The damage integral of Henriques taken alone, at a constant
    skin temperature, gives times that are wrong by factors, so it is not used.

    Source: [cpsc5098] as restated by others; 44 °C from [moritz-henriques1947].
    """
    hot = temperature.m
    rows = scald_times()
    if hot <= _LONG_CONTACT - _ROUNDED:
        return BurnTime("No burn is expected from a short touch.", None)
    if hot > _STICKS:
        return BurnTime(
            "A deep burn at once, and sugar sticks and goes on burning.",
            _seconds(0, rows[-1][1], rows[-1][1]),
        )
    if hot >= rows[-1][0] + _ROUNDED:
        usual = rows[-1][2]
        return BurnTime(
            f"A deep burn in less than {say(q(usual, 's'))}.", _seconds(0, usual, usual)
        )
    long_contact = (_LONG_CONTACT, 6 * 3600.0, 6 * 3600.0, 6 * 3600.0)
    for cooler, hotter in pairwise((long_contact, *rows)):
        at = next((row for row in (cooler, hotter) if abs(hot - row[0]) < _ROUNDED), ())
        if at:
            low, usual, high = at[1:]
            break
        if hot < hotter[0]:
            low, usual, high = hotter[1], hotter[2], cooler[3]
            break
    span = f"about {_time(high)}" if low == high else f"{_time(low)} to {_time(high)}"
    words = f"A deep burn in {span}."
    return BurnTime(f"{words} Children and older people burn faster.", _seconds(low, usual, high))


def _time(seconds: float) -> str:
    if seconds < 120:
        return say(q(seconds, "s"))
    minutes = q(seconds / 60, "minute")
    return say(minutes) if seconds < 7200 else say(minutes, "hour")


def _seconds(low: float, usual: float, high: float) -> Band:
    why = "skin, age and contact differ, and the sources print rounded times"
    return Band(q(low, "s"), q(usual, "s"), q(high, "s"), PUBLISHED, why)
