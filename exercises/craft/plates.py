"""The plates: which pictures of glazes there are, and what each of them shows.

The index is ``plates.toml``; the files beside it were rendered by ``course.kit.plates``
from the shapes, lengths and lights that the index names.  None of them is a photograph.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cache
from pathlib import Path
from typing import Any

from calculators.faults import Fault, fault_error, refuse

FOLDER = Path(__file__).parent / "plates"
INDEX = Path(__file__).parent / "plates.toml"
WIDTHS = (400, 800)  # pixels of the two files
RATIO = (4, 3)
USES = ("shown", "kept")
DISCLAIMER = "Rendered, not photographed."


@dataclass(frozen=True)
class State:
    """What a plate can show: a fault, a step of the work, or a glaze as it should be.

    Parameters
    ----------
    id : str
        Short name, as in ``thin rim``.
    kind : str
        ``right``, ``fault``, ``work`` or ``title``.
    name : str
        As it is said to a student.
    why : str
        How the picture shows it: what to look for.
    words : tuple of str
        Parts of words that give the diagnosis away.
    step : str
        The step of the work that ``course.kit.plates`` draws; empty for a cake.
    """

    id: str
    kind: str
    name: str
    why: str
    words: tuple[str, ...] = ()
    step: str = ""


@dataclass(frozen=True)
class Glaze:
    """A set of colours: the share and the shade of each, the main colour first.

    Parameters
    ----------
    shares : mapping
        Fractions; they sum to one.
    shades : mapping
        ``"#rrggbb"`` for each colour.
    cake : str
        The shade of the cake beneath.
    said : str
        As an alt text says it.
    """

    shares: Mapping[str, float]
    shades: Mapping[str, str]
    cake: str
    said: str


@dataclass(frozen=True)
class Plate:
    """One picture, and all that it was rendered from.

    Parameters
    ----------
    id : str
        Also the beginning of its file names; it tells nothing about the state.
    state : str
        What it shows: a key of :func:`states`.
    shape : str
        cylinder, ring, dome, or a tool of the work.
    glaze : str
        A key of :func:`glazes`.
    seed : int
        Of the marble and of all that is random.
    light, view : str
        As ``course.kit.plates.studio`` names them.
    degree : str
        slight, clear or severe; empty where there is none.
    use : str
        ``shown`` may stand on a site; ``kept`` is for assessed questions only.
    like : str
        Plates of one likeness group can be taken for one another.
    numbers : mapping
        The lengths and angles behind it, each named with its unit.
    caption, alt, plain_alt : str
        The caption says that it is rendered; ``plain_alt`` does not give the state away.
    """

    id: str
    state: str
    shape: str
    glaze: str
    seed: int
    light: str
    view: str
    degree: str
    use: str
    like: str
    numbers: Mapping[str, float]
    caption: str
    alt: str
    plain_alt: str

    def file(self, width: int = WIDTHS[-1]) -> Path:
        """Return where the file of a width lies."""
        return FOLDER / f"{self.id}-{width}.webp"

    @staticmethod
    def size(width: int = WIDTHS[-1]) -> tuple[int, int]:
        """Return width and height in pixels, so that a page keeps the place free.

        >>> Plate.size(400)
        (400, 300)
        """
        return width, width * RATIO[1] // RATIO[0]

    @property
    def kind(self) -> str:
        """Return right, fault, work or title."""
        return states()[self.state].kind

    @property
    def why(self) -> str:
        """Return what to look for."""
        return states()[self.state].why


@cache
def _index() -> dict[str, Any]:
    return tomllib.loads(INDEX.read_text(encoding="utf-8"))


@cache
def states() -> Mapping[str, State]:
    """Return all states by their id."""
    return {
        name: State(
            name,
            row["kind"],
            row["name"],
            row["why"],
            tuple(row.get("words", ())),
            row.get("step", ""),
        )
        for name, row in _index()["states"].items()
    }


@cache
def glazes() -> Mapping[str, Glaze]:
    """Return all sets of colours by name."""
    return {name: Glaze(**row) for name, row in _index()["glazes"].items()}


@cache
def plates() -> tuple[Plate, ...]:
    """Return all plates, in the order of the index.

    Examples
    --------
    >>> all(plate.caption.endswith(DISCLAIMER) for plate in plates())
    True
    """
    rows = [{"degree": "", **row} for row in _index()["plates"]]
    refuse(fault for place, row in enumerate(rows, 1) for fault in _faults(place, row))
    return tuple(Plate(**row) for row in rows)


def plate(name: str) -> Plate:
    """Return the plate of an id.

    >>> plate("title").state
    'title'
    """
    found = _own.get(name) or next((p for p in plates() if p.id == name), None)
    if found is None:
        raise fault_error(
            "plates.plate, name",
            "is not the id of a plate",
            name,
            f"{INDEX.name} lists {len(plates())} of them",
            "Look the id up there",
        )
    return found


def of_state(state: str, use: str = "shown") -> tuple[Plate, ...]:
    """Return the plates of a state that a lesson shows, or that are kept for sheets.

    >>> all(p.use == "kept" for p in of_state("dull", "kept"))
    True
    """
    return tuple(plate(p.id) for p in plates() if p.state == state and p.use == use)


_own: dict[str, Plate] = {}


def replace(own: Mapping[str, Plate]) -> None:
    """Put other pictures in the place of plates, by id; an empty mapping takes them away."""
    _own.clear()
    _own.update(own)


def _faults(place: int, row: Mapping[str, Any]) -> list[Fault]:
    """Return what is wrong with a row of the index."""
    where = f"{INDEX.name}, plate {place} ({row.get('id', 'no id')})"
    wanted = {f.name for f in fields(Plate)}
    limits = {"use": USES, "state": tuple(states()), "glaze": tuple(glazes())}
    out = [
        Fault(f"{where}, {key}", "is missing", "", "", "Add it")
        for key in sorted(wanted - row.keys())
    ]
    out += [
        Fault(f"{where}, {key}", "is not known", str(row[key]), "", "Leave it out")
        for key in sorted(row.keys() - wanted)
    ]
    out += [
        Fault(
            f"{where}, {key}",
            "is not one of its list",
            str(row[key]),
            "It must be one of: " + ", ".join(allowed),
            "Choose one of them",
        )
        for key, allowed in limits.items()
        if key in row and row[key] not in allowed
    ]
    return out
