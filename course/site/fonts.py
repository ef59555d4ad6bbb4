"""The two typefaces of the site: fetched once from npm, pinned, and never committed.

Both are under the SIL Open Font License 1.1, and its text goes into the site beside
them.  Where they can't be had, the system's own faces stand in.
"""

from __future__ import annotations

import hashlib
import shutil
import subprocess
import tarfile
import tempfile
from pathlib import Path

from course.live.runtime import from_npm

SECONDS_TO_FETCH = 60
# package and version -> file in it -> (name in the site, SHA-256)
PACKAGES = {
    "@fontsource/young-serif@5.3.0": {
        "files/young-serif-latin-400-normal.woff2": (
            "young-serif.woff2",
            "6ba68b9927ad2a640d32cbea050ffc2b5d0ae6cbaa785afe470da9d6bf0ef39f",
        ),
        "LICENSE": (
            "young-serif-licence.txt",
            "ea3081eef60700a513afba76c1b7130facee06be5d221b19a20b75aa52665e06",
        ),
    },
    "@fontsource-variable/atkinson-hyperlegible-next@5.3.0": {
        "files/atkinson-hyperlegible-next-latin-wght-normal.woff2": (
            "hyperlegible.woff2",
            "18b2a1a39a2fa298b0ba5390aca68462669826c90925656f1c1f6796e0e1bbaf",
        ),
        "files/atkinson-hyperlegible-next-latin-wght-italic.woff2": (
            "hyperlegible-italic.woff2",
            "4a5037bfaf6680f40147407407ec09fa42925774bde809a579283d27f9f08106",
        ),
        "LICENSE": (
            "hyperlegible-licence.txt",
            "474a034e99845062f661855caaa505880d0e9009deddc2727a92795eab374955",
        ),
    },
}
FACES = (
    ("Young Serif", "young-serif.woff2", "normal", "400"),
    ("Hyperlegible", "hyperlegible.woff2", "normal", "200 800"),
    ("Hyperlegible", "hyperlegible-italic.woff2", "italic", "200 800"),
)


def fonts(store: Path) -> Path | None:
    """Return a folder with ``fonts.css`` and ``fonts/``; None where npm does not give them."""
    pins = dict(pin for files in PACKAGES.values() for pin in files.values())
    name = hashlib.sha256(repr((pins, FACES)).encode()).hexdigest()[:16]
    folder = store / name
    if folder.is_dir() and all(_is(folder / "fonts" / n, pin) for n, pin in pins.items()):
        return folder
    store.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=store) as place:
        draft = Path(place, "draft")
        (draft / "fonts").mkdir(parents=True)
        try:
            for package, files in PACKAGES.items():
                aside = Path(tempfile.mkdtemp(dir=place))
                held = from_npm(package, files, aside, SECONDS_TO_FETCH)
                for inside, (name, _) in files.items():
                    (draft / "fonts" / name).write_bytes(held[inside])
        except (OSError, subprocess.SubprocessError, tarfile.TarError, KeyError):
            return None
        if not all(_is(draft / "fonts" / n, pin) for n, pin in pins.items()):
            return None
        (draft / "fonts.css").write_text(_faces(), encoding="utf-8")
        shutil.rmtree(folder, ignore_errors=True)
        try:
            draft.replace(folder)
        except OSError:  # another build was quicker
            return folder if folder.is_dir() else None
    return folder


def _is(path: Path, pin: str) -> bool:
    return path.is_file() and hashlib.sha256(path.read_bytes()).hexdigest() == pin


def _faces() -> str:
    return "".join(
        f'@font-face {{ font-family: "{family}"; src: url("fonts/{file}") format("woff2"); '
        f"font-style: {style}; font-weight: {weight}; font-display: swap; }}\n"
        for family, file, style, weight in FACES
    )
