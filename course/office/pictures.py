"""A lecturer's photograph put in the place of a plate: looked at, stripped and given words."""

from __future__ import annotations

import io
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from calculators.faults import Fault, FaultsError
from exercises.craft import plates
from exercises.craft.own_pictures import (
    ENDINGS,
    FEWEST_WORDS,
    WORDS,
    takes_the_place_of,
    words_of,
)
from exercises.files.toml_edit import TomlEdit
from exercises.files.writing import make_folder, write

LARGEST_MB = 30
LARGEST = LARGEST_MB * 1024 * 1024  # bytes of a file
FORMATS = ("JPEG", "PNG", "WEBP")
LEAST = (800, 600)  # pixels: the wider of the two that a site shows
MOST_PIXELS = 80_000_000  # beyond any phone's; a small file can hold a huge picture
KEPT = 2400  # pixels of the longer side
_ORDER = {"": ["alt", "caption"]}


def put_in(folder: Path, name: str, data: bytes, alt: str, caption: str = "") -> None:
    """Put a picture into a folder of one's own, with its words; one of that name is replaced.

    It is turned upright, its colours are those of the web, and nothing that a camera
    wrote into it is kept: no place, no time, no name.

    Parameters
    ----------
    folder : Path
        Made where there is none.
    name : str
        What it takes the place of: ``thin-rim`` or ``p102``.
    data : bytes
        A JPEG, PNG or WebP file, at most 30 MB, 800 by 600 pixels or more.
    alt, caption : str
        For who can't see it, without the name of the fault; and below it.

    Raises
    ------
    FaultsError
        With all that is wrong; then nothing is changed.
    """
    faults = [*faults_of_words(name, alt, caption)]
    clean = b""
    try:
        clean = _clean(data)
    except FaultsError as error:
        faults += error.faults
    if faults:
        raise FaultsError(faults)
    make_folder(folder)
    write(folder / f"{name}.jpg", clean)
    for other in _files(folder, name):
        if other.name != f"{name}.jpg":
            other.unlink()
    say_of(folder, name, alt, caption)


def say_of(folder: Path, name: str, alt: str, caption: str = "") -> None:
    """Write the words of a picture, in the place of those that it had.

    Raises
    ------
    FaultsError
        Where they are too few, or give the fault away.
    """
    faults = [*faults_of_words(name, alt, caption)]
    if faults:
        raise FaultsError(faults)
    edit = _edit(folder)
    edit.put((name, "alt"), alt.strip())
    if caption.strip():
        edit.put((name, "caption"), caption.strip())
    else:
        edit.take_out((name, "caption"))
    write(folder / WORDS, edit.text)


def take_away(folder: Path, name: str) -> None:
    """Take a picture and its words away; the rendered plate comes back."""
    for path in _files(folder, name):
        path.unlink()
    edit = _edit(folder)
    if name in words_of(folder):
        edit.drop((name,))
        write(folder / WORDS, edit.text)


def _files(folder: Path, name: str) -> list[Path]:
    if not takes_the_place_of(name) or not folder.is_dir():
        return []
    return [p for p in folder.iterdir() if p.stem == name and p.suffix.lower() in ENDINGS]


def _edit(folder: Path) -> TomlEdit:
    path = folder / WORDS
    words_of(folder)  # tells where it can't be read
    return TomlEdit(path.read_text(encoding="utf-8") if path.exists() else "", _ORDER)


# --- what is wrong with it ----------------------------------------------------------------


def faults_of_words(name: str, alt: str, caption: str) -> list[Fault]:
    """Return what is wrong with the words of a picture, by *name*, *alt* and *caption*."""
    held = takes_the_place_of(name) if re.fullmatch(r"[a-z0-9-]+", name) else []
    faults = []
    if not held:
        step = "Choose one that is offered"
        faults.append(Fault("picture, name", "is no plate's", name[:40], "", step))
    if len(alt.split()) < FEWEST_WORDS:
        step = "Say what is seen, for somebody who can't see it"
        faults.append(
            Fault("picture, alt", "says too little", alt, f"At least {FEWEST_WORDS} words", step)
        )
    for key, text in (("alt", alt), ("caption", caption)):
        if any(not sign.isprintable() for sign in text) or len(text) > 500:
            step = "Write one line, at most 500 characters"
            faults.append(Fault(f"picture, {key}", "is no line of text", "", "", step))
    gives = _gives_away(held[0].state, alt) if held else ""
    if gives:
        faults.append(
            Fault(
                "picture, alt",
                "gives away what is asked for",
                gives,
                "Questions use these words too",
                "Say what is seen, as colours and edges, and not what it is called",
            )
        )
    return faults


def _gives_away(state: str, alt: str) -> str:
    """Return the word of a text that names a state; empty for none."""
    for word in plates.states()[state].words:
        found = re.search(rf"\b{re.escape(word)}\w*", alt, re.IGNORECASE)
        if found:
            return found[0]
    return ""


def _clean(data: bytes) -> bytes:
    """Return a picture as it is kept: upright, not too large, with nothing but its pixels."""
    from PIL import Image, ImageOps

    if not data:
        raise _refused("was not given", "", "Choose a file, or drop one")
    if len(data) > LARGEST:
        limit = f"At most {LARGEST_MB} MB are taken"
        raise _refused("is too large", limit, "Save it smaller", f"{len(data) / 1e6:.0f} MB")
    kinds = "A JPEG, PNG or WebP file is taken"
    most = f"At most {MOST_PIXELS // 1_000_000} million pixels are taken"
    try:
        with Image.open(io.BytesIO(data), formats=FORMATS) as opened:
            wide, high = sorted(opened.size, reverse=True)
            given = f"{opened.size[0]} by {opened.size[1]} pixels"
            if wide * high > MOST_PIXELS:
                raise _refused("is too large", most, "Save it smaller", given)
            if wide < LEAST[0] or high < LEAST[1]:
                limit = f"It must have {LEAST[0]} by {LEAST[1]} or more"
                raise _refused("is too small to be seen", limit, "Take a larger one", given)
            upright = _web_colours(ImageOps.exif_transpose(opened))
    except FaultsError:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _refused("is too large", most, "Save it smaller") from None
    except (OSError, ValueError, SyntaxError):
        raise _refused("is not a picture that can be read", kinds, "Save it as JPEG") from None
    upright.thumbnail((KEPT, KEPT))
    held = io.BytesIO()
    upright.save(held, "jpeg", quality=90)
    return held.getvalue()


def _web_colours(picture: Any) -> Any:
    """Return a picture in the colours of the web, from whatever its camera wrote."""
    from PIL import ImageCms

    profile = picture.info.get("icc_profile")
    if profile and picture.mode == "RGB":
        try:
            given = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            return ImageCms.profileToProfile(picture, given, ImageCms.createProfile("sRGB"))
        except (ImageCms.PyCMSError, OSError):
            pass  # a broken profile: its numbers are taken as they are
    return picture.convert("RGB")


def _refused(problem: str, limit: str, step: str, given: str = "") -> FaultsError:
    return FaultsError([Fault("picture, picture", problem, given, limit, step)])


def words_said(words: Mapping[str, Any], name: str) -> tuple[str, str]:
    """Return alt text and caption that a folder has for a picture; empty where it has none."""
    held = words.get(name, {})
    found = held if isinstance(held, dict) else {}
    return str(found.get("alt", "")), str(found.get("caption", ""))
