"""A scheme of work, read from its file."""

from __future__ import annotations

from pathlib import Path

from course.scheme.checking import Checked
from course.scheme.model import Scheme
from exercises.files.toml_file import TomlFile

# --- reading the file --------------------------------------------------------------------


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
    return Checked(TomlFile(Path(path))).scheme()
