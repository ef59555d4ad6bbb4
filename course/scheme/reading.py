"""A scheme of work, read from its file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from calculators.faults import Fault, FaultsError
from calculators.units import Quantity
from course.scheme.checking import Checked
from course.scheme.model import Scheme
from exercises.files.toml_file import TomlFile
from exercises.files.toml_lines import Key

# --- reading the file --------------------------------------------------------------------


@dataclass(frozen=True)
class Reading:
    """What a file was read as: a scheme, or what is wrong; quantities in either case.

    Parameters
    ----------
    scheme : Scheme or None
        None where anything is wrong.
    faults : tuple of Fault
        In the order of the lines.
    quantities : mapping
        Each that could be read, by its way in the file.
    """

    scheme: Scheme | None
    faults: tuple[Fault, ...] = ()
    quantities: Mapping[Key, Quantity] = field(default_factory=dict)


def look_at(
    path: Path, text: str | None = None, beside: Mapping[str, str] | None = None
) -> Reading:
    """Read a scheme of work, as its file has it or as a text would; raise nothing.

    Parameters
    ----------
    path : Path
        Where the file lies: what it names lies beside it.
    text : str, optional
        What the file would hold; without it, it is read.
    beside : mapping, optional
        What a file of labels beside it would hold, by its name.
    """
    quantities: Mapping[Key, Quantity] = {}
    try:
        file = TomlFile(path, text=text, beside=beside)
        quantities = file.quantities
        return Reading(Checked(file).scheme(), (), quantities)
    except FaultsError as error:
        return Reading(None, tuple(error.faults), quantities)


def read_scheme(path: Path | str) -> Scheme:
    """Read a scheme of work and check all of it.

    Parameters
    ----------
    path : path
        A TOML file in UTF-8.

    Returns
    -------
    Scheme
        With every value checked.

    Raises
    ------
    FaultsError
        With every fault that was found, in the order of the lines.
    """
    held = look_at(Path(path))
    if held.scheme is None:
        raise FaultsError(held.faults)
    return held.scheme
