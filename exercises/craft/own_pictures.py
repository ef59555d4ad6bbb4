"""A lecturer's own photographs, which take the place of rendered plates.

A folder holds pictures named for a plate (``p102.jpg``) or for what it shows
(``thin-rim.jpg``, for every plate of that state that a site shows), and ``pictures.toml``
with the words of each.
"""

from __future__ import annotations

import hashlib
import tempfile
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from calculators.faults import Fault, fault_error, refuse
from exercises.craft import plates
from exercises.craft.plates import RATIO, WIDTHS, Plate

WORDS = "pictures.toml"
FEWEST_WORDS = 5  # of an alt text
CAPTION = "Photographed in this kitchen."  # where none is given
ENDINGS = (".jpg", ".jpeg", ".png", ".webp")


@dataclass(frozen=True)
class Photograph(Plate):
    """A photograph in the place of a plate; ``folder`` holds it in both widths."""

    folder: Path = plates.FOLDER

    def file(self, width: int = WIDTHS[-1]) -> Path:
        """Return where the file of a width lies."""
        return self.folder / f"{self.id}-{width}.webp"


def load(folder: Path | None) -> None:
    """Put the photographs of a folder in the place of plates; none where there is no folder.

    Raises
    ------
    FaultsError
        With all that is wrong: no words, no picture, a name that is no plate's.
    """
    plates.replace({})
    if folder is None:
        return
    made, faults = photographs(folder)
    refuse(faults)
    plates.replace(made)


def photographs(folder: Path) -> tuple[dict[str, Photograph], list[Fault]]:
    """Return the photographs of a folder by the plate whose place each takes, and all faults."""
    held, faults = _held(folder)
    store = Path(tempfile.gettempdir()) / "glossbook-pictures" / _digest(held)
    made: dict[str, Photograph] = {}
    # One for a plate alone comes after one for all of its state, and stands.
    ids = {plate.id for plate in plates.plates()}
    for path, words in sorted(held, key=lambda one: one[0].stem in ids):
        for plate in takes_the_place_of(path.stem):
            try:
                _two_widths(path, store, plate.id)
            except OSError:
                where = f"{folder.name}/{path.name}"
                faults.append(
                    Fault(where, "is not a picture that can be read", "", "", "Save it as JPEG")
                )
                break
            known = {f.name: getattr(plate, f.name) for f in fields(Plate)}
            known |= {"alt": words["alt"], "plain_alt": words["alt"]}
            known |= {"caption": words.get("caption", CAPTION)}
            made[plate.id] = Photograph(**known, folder=store)
    return made, faults


def takes_the_place_of(name: str) -> list[Plate]:
    """Return the plates that a picture of this name stands for."""
    state = name.replace("-", " ")
    if state in plates.states():
        return [p for p in plates.plates() if p.state == state and p.use == "shown"]
    return [p for p in plates.plates() if p.id == name]


def _held(folder: Path) -> tuple[list[tuple[Path, Mapping[str, str]]], list[Fault]]:
    """Return the pictures of a folder with their words, and what is wrong with them."""
    said = words_of(folder)
    pictures = {p.stem: p for p in sorted(folder.iterdir()) if p.suffix.lower() in ENDINGS}
    faults, whole = [], []
    for name, path in pictures.items():
        where = f"{folder.name}/{path.name}"
        if not takes_the_place_of(name):
            step = "Name it for a state, like thin-rim.jpg, or for a plate, like p102.jpg"
            faults.append(Fault(where, "is named for no plate", name, "", step))
        words = said.get(name, {})
        alt = words.get("alt") if isinstance(words, dict) else None
        if not isinstance(alt, str) or len(alt.split()) < FEWEST_WORDS:
            step = f"Add it to {WORDS}: [{name}] and alt = what is seen, without naming the fault"
            faults.append(
                Fault(where, "has no words for who can't see it", str(alt or ""), "", step)
            )
        else:
            whole.append((path, words))
    faults += [
        Fault(
            f"{folder.name}/{WORDS}",
            "has words for a picture that is not there",
            name,
            "",
            "Put the picture beside it, or take the words out",
        )
        for name in said.keys() - pictures.keys()
    ]
    return [one for one in whole if takes_the_place_of(one[0].stem)], faults


def words_of(folder: Path) -> dict[str, Any]:
    """Return what the file of words says of each picture of a folder."""
    path = folder / WORDS
    if not path.exists():
        return {}
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise fault_error(
            f"{folder.name}/{WORDS}", "can't be read", str(error), "", "Mend that line"
        ) from None


def _digest(held: list[tuple[Path, Mapping[str, str]]]) -> str:
    total = hashlib.sha256()
    for path, _ in held:
        total.update(path.name.encode() + path.read_bytes())
    return total.hexdigest()[:16]


def _two_widths(path: Path, store: Path, plate: str) -> None:
    """Save a picture in both widths, upright, in the shape of a plate, without where it was taken."""
    from PIL import Image, ImageOps

    store.mkdir(parents=True, exist_ok=True)
    with Image.open(path) as opened:
        upright = ImageOps.exif_transpose(opened).convert("RGB")
    for width in WIDTHS:
        file = store / f"{plate}-{width}.webp"
        if not file.exists():
            size = (width, width * RATIO[1] // RATIO[0])
            ImageOps.fit(upright, size).save(file, "webp", quality=82)
