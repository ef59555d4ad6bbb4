"""Render the plates that are missing: python -m course.kit.plates [id or state ...].

``--anew`` renders those named even where files exist; ``--draft FOLDER`` writes small
quick pictures there instead.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Sequence
from pathlib import Path

from PIL.Image import Image

from course.kit.plates import shoot
from course.kit.plates.scenes import scene_of
from exercises.craft import plates

SAMPLES = 6  # rays for each pixel; the denoiser does the rest


def chosen(names: Sequence[str]) -> list[plates.Plate]:
    """Return the plates of these ids and states; all of them if none is named."""
    known = {p.id for p in plates.plates()} | set(plates.states())
    for name in names:
        if name not in known:
            plates.plate(name)  # refuses
    return [p for p in plates.plates() if not names or p.id in names or p.state in names]


def make(plate: plates.Plate, *, width: int = plates.WIDTHS[-1], samples: int = SAMPLES) -> Image:
    """Return a plate, rendered."""
    wide, high = plates.Plate.size(width)
    light = shoot.render(scene_of(plate), plate.view, plate.light, wide, high, samples, plate.seed)
    return shoot.printed(light)


def main(words: Sequence[str] | None = None) -> None:
    """Parse, render, say."""
    parser = argparse.ArgumentParser(prog="python -m course.kit.plates", description=__doc__)
    parser.add_argument("names", nargs="*", help="ids or states; all plates if left out")
    parser.add_argument("--again", action="store_true", help="render even what is there")
    parser.add_argument("--draft", type=Path, help="folder for small quick pictures")
    asked = parser.parse_args(words)
    for plate in chosen(asked.names):
        files = [plate.file(width) for width in plates.WIDTHS]
        if not asked.draft and not asked.again and all(f.exists() for f in files):
            continue
        start = time.process_time()
        if asked.draft:
            asked.draft.mkdir(parents=True, exist_ok=True)
            make(plate, width=320, samples=5).save(asked.draft / f"{plate.id}.png")
            sizes = [0]
        else:
            picture = make(plate)
            sizes = [
                shoot.save(picture, file, width)
                for file, width in zip(files, plates.WIDTHS, strict=True)
            ]
        took = time.process_time() - start
        print(f"{plate.id} {plate.state}: {took:.0f} CPU s, {sum(sizes) / 1000:.0f} kB", flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
