"""What is said when something given to Glossbook is not right.

A fault says where it is, what is wrong, what was given, what the limit is and
what to do next.  Faults are gathered and told all at once; nobody has to mend a
file one message at a time.  Every floor of the house uses this one form.
"""

from __future__ import annotations

from collections.abc import Iterable

from calculators.frozen import frozen

_LONGEST = 160  # letters of what was given that are told back


@frozen
class Fault:
    """One thing that is not right, told so that it can be put right.

    Parameters
    ----------
    where : str
        The place: an argument's name, or a file with its line.
    problem : str
        What is wrong, without blame, for instance ``"is too hot"``.
    given : str
        The value as it was given; empty where nothing was.
    limit : str
        What would have been accepted.
    next_step : str
        What to do now.
    """

    where: str
    problem: str
    given: str = ""
    limit: str = ""
    next_step: str = ""

    def __str__(self) -> str:
        """Return the fault as one sentence a line can hold."""
        given = f" (given: {_short(self.given)})" if self.given else ""
        limit = f" {_sentence(self.limit)}" if self.limit else ""
        step = f" {_sentence(self.next_step)}" if self.next_step else ""
        return visible(f"{self.where}: {self.problem}{given}.{limit}{step}")


def visible(text: str) -> str:
    """Return a text with nothing in it that a terminal acts on.

    >>> visible("a name" + chr(7))
    'a name '
    """
    return text if text.isprintable() else "".join(c if c.isprintable() else " " for c in text)


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]} ..."


def _sentence(text: str) -> str:
    return text if text.endswith((".", "?", "!")) else text + "."


class FaultsError(ValueError):
    """All the faults that were found, together.

    Parameters
    ----------
    faults : iterable of Fault
        At least one.
    """

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


def fault_error(
    where: str, problem: str, given: object = "", limit: str = "", next_step: str = ""
) -> FaultsError:
    """Return an error with a single fault, ready to be raised."""
    return FaultsError([Fault(where, problem, str(given), limit, next_step)])


def refuse(faults: Iterable[Fault]) -> None:
    """Raise all faults at once; where there is none, go on.

    >>> refuse([])
    """
    if found := tuple(faults):
        raise FaultsError(found)
