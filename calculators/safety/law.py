"""What the law of a region says, dated and with its source."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from functools import cache
from types import MappingProxyType

from calculators.faults import fault_error
from calculators.frozen import frozen
from calculators.sources import records, source
from calculators.units import PUBLISHED, InstanceOf, OneOf, Quantity, calculator, q

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
        "FR": "France, catering for groups",
        "DE": "Germany",
        "CH": "Switzerland",
        "JP": "Japan",
        "elsewhere": "a country not listed",
    }
)
EVERYWHERE = "any"  # Codex Alimentarius, and advice that holds whatever the law says
ELSEWHERE = "elsewhere"  # a country whose law nobody here has read: all is to be asked
_RULES = ("cooling", "chilling", "holding", "time as a control", "allergens")  # of work, not stuff
_UNDER = MappingProxyType({"FR": "EU", "DE": "EU"})  # whose law holds beside its own


# --- law by region ----------------------------------------------------------------


@frozen
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

    @property
    def known(self) -> str:
        """How the rule is known and when it was looked at; *not read* where it never was."""
        return f"{self.provenance}, {self.dated}" if self.dated else "not read"

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
    ('EU', 'NI', 'GB', 'US', 'CA', 'AU', 'NZ', 'Gulf', 'FR', 'DE', 'CH', 'JP', 'elsewhere')
    """
    return tuple(REGIONS)


def laws_of(region: str) -> tuple[str, ...]:
    """Return whose rows hold in a region, its own before those it is under.

    >>> laws_of("FR"), laws_of("US")
    (('FR', 'EU'), ('US',))
    """
    return (region, _UNDER[region]) if region in _UNDER else (region,)


@cache
def legal_subjects() -> tuple[str, ...]:
    """Return what there are notes about, in the order of the table."""
    return tuple(dict.fromkeys(row["subject"] for row in records("legal")))


@calculator(
    returns="notes",
    subject=InstanceOf(str, "a subject of the law table"),
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
        raise fault_error(
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
    if re.search(_FREE_OF, name.casefold()):
        return (name,)
    found = [one for pattern, one in _patterns() if pattern.search(name.casefold())]
    return tuple(dict.fromkeys(found)) or (name,)


_FREE_OF = r"\b(free|without|replace\w*|substitute|alternative|instead)\b"


@cache
def _patterns() -> tuple[tuple[re.Pattern[str], str], ...]:
    """Return the names of a colour as they are looked for within a label's words.

    A name such as Red 3 counts alone only: *red, 3 g* is none, and *gold* may be a shade.
    """
    names = [
        (name, row["subject"])
        for row in records("colour_names")
        for name in (row["subject"], *row["also"].split(";"))
        if not name.startswith(("Red ", "Yellow ")) and name not in ("gold", "silver")
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
    laws = (region, EVERYWHERE, *laws_of(region)[1:])
    found = [
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
        for theirs in (laws[:2], laws[2:])
        for row in records("legal")
        if row["subject"] == subject and {*theirs} & {*row["region"].split()}
    ]
    if not found or region == ELSEWHERE:
        found.insert(0, _unknown(subject, region))
    return tuple(found)


def _unknown(subject: str, region: str) -> LegalNote:
    ask = "Ask your authority." if subject in _RULES else "Ask before you use it."
    text = f"We have not read the rule on {subject} in {REGIONS[region]}. {ask}"
    if region == ELSEWHERE:
        text = f"We have not read the law of your country on {subject}. Ask your authority."
    return LegalNote(region, subject, "ask", text, None, "", "", None, "from memory")


@frozen
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


@calculator(
    returns="a permission",
    colourant=InstanceOf(str, "the name of a colourant"),
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
    >>> [allowed("titanium white", region).answer for region in ("EU", "US", "AU")]
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
