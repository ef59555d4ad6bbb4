"""The usual cautions, each from one place."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Any, Protocol

from calculators.faults import fault_error
from calculators.frozen import frozen
from calculators.sources import DATA
from calculators.units import InstanceOf, calculator

LAST_WORD = "Your local rules and your supervisor come first."


# --- cautions -------------------------------------------------------------------


class HasLocalRules(Protocol):
    """The school's own rules: where they stand and whom to ask."""

    @property
    def link(self) -> str:
        """Where the rules stand; empty where the school gave none."""

    @property
    def contact(self) -> str:
        """Whom to ask; empty where the school gave none."""


@frozen
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

    def text(self, local_rules: HasLocalRules | None = None) -> str:
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


def last_word(local_rules: HasLocalRules | None = None) -> str:
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


@frozen
class FirstAid:
    """What to do until help is there, in the order in which it is done.

    Parameters
    ----------
    text : tuple of str
        Short sentences.
    source, where : str
        Key of the bibliography and place in it; empty where it is common practice.
    provenance : str
        *published* or *common practice*.
    """

    text: tuple[str, ...]
    source: str
    where: str
    provenance: str

    def __str__(self) -> str:
        """Return it as one paragraph."""
        return " ".join(self.text)


@cache
def first_aid() -> Mapping[str, FirstAid]:
    """Return the first aid for each kind of harm, from the table of cautions.

    >>> list(first_aid())
    ['burn', 'cut', 'allergy', 'shock']
    """
    return MappingProxyType(
        {
            name: FirstAid(**{**row, "text": tuple(row["text"])})
            for name, row in _tables()["aid"].items()
        }
    )


@cache
def cautions() -> Mapping[str, Caution]:
    """Return every caution by its id, in the order of the table.

    >>> list(cautions())[:3]
    ['hot-sugar', 'steam', 'stick-blender']
    """
    return MappingProxyType(
        {name: _caution(name, row) for name, row in _tables().items() if name != "aid"}
    )


def _caution(name: str, row: dict[str, Any]) -> Caution:
    """Return a caution with its first aid: that for its kind of harm, then its own."""
    told = [*first_aid()[row["aid"]].text] if "aid" in row else []
    own = [row["first_aid"]] if "first_aid" in row else []
    return Caution(
        name,
        row["hazard"],
        row["happens"],
        tuple(row["act"]),
        " ".join([*told, *own]),
        row["provenance"],
    )


@cache
def _tables() -> dict[str, Any]:
    import tomllib  # here, for at the top it would slow every import

    return tomllib.loads((DATA / "cautions.toml").read_text(encoding="utf-8"))


@calculator(returns="a caution", id=InstanceOf(str, "the id of a caution"))
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
        raise fault_error(
            "caution, id",
            "is not in the table",
            id,
            "It knows: " + ", ".join(known),
            "Choose one of these",
        )
    return known[id]
