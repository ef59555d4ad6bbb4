"""What lies in a folder of hand-ins."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

from exercises.marking import archives

BATCH = 100  # files a worker takes at a time, and a transaction records
MOST_HELD = 4_000_000  # bytes that a worker keeps in memory before it reads them


# --- what there is to do ---------------------------------------------------------------


class Task(NamedTuple):
    """A file, or a run of the members of an archive."""

    path: str
    shown: str
    start: int = 0
    stop: int = 0  # 0: a plain file


def find(folder: Path, leave: Iterable[Path] = ()) -> Iterator[Task]:
    """Yield every file below a folder in the order of its names.

    Links are listed and not followed, and so are folders that can't be opened.
    ``leave`` names files that are no hand-ins, such as the mark book itself.
    """
    left = {str(path.resolve()) for path in leave}
    inside = [(str(folder), "", str(folder.resolve()), names_in(str(folder)) or iter(()))]
    while inside:
        here, before, real, names = inside[-1]
        name = next(names, None)
        if name is None:
            inside.pop()
            continue
        path = f"{here}{os.sep}{name}"
        if name.endswith("/"):
            path = path[:-1]
            further = names_in(path)
            if further is not None:
                real = f"{real}{os.sep}{name[:-1]}"
                inside.append((path, before + name, real, further))
                continue
            name = name[:-1]
        if f"{real}{os.sep}{name}" not in left:
            yield Task(path, before + name)


def names_in(folder: str) -> Iterator[str] | None:
    """Return what is in a folder, in the order of whole paths; None where it is shut.

    A folder has a slash behind its name, and so sorts as the files in it do.
    """
    try:
        with os.scandir(folder) as found:
            return iter(
                sorted(
                    f"{one.name}/" if one.is_dir(follow_symlinks=False) else one.name
                    for one in found
                )
            )
    except OSError:
        return None


def spread_out(tasks: Iterable[Task]) -> Iterator[Task]:
    """Replace each archive by runs of its members, so that no run is long."""
    for task in tasks:
        count = _members(task.path)
        if count:
            for start in range(0, count, BATCH):
                yield task._replace(start=start, stop=min(count, start + BATCH))
        else:
            yield task


_NO_ARCHIVE = (".json", ".ipynb", ".txt")


def _members(path: str) -> int:
    """Return how many files an archive holds; 0 for a plain or a damaged one."""
    if path.endswith(_NO_ARCHIVE):
        return 0
    try:
        if not stat.S_ISREG(os.lstat(path).st_mode):
            return 0
        with Path(path).open("rb") as file:
            if not archives.is_archive(file.read(4)):
                return 0
            archive = archives.Archive(file)
            with_faults = 0 if archive.fault else len(archive)
            archive.close()
            return with_faults
    except OSError:
        return 0


def batches_of(tasks: Iterable[Task]) -> Iterator[list[Task]]:
    """Yield tasks in batches of one size."""
    batch: list[Task] = []
    size = 0
    for task in tasks:
        batch.append(task)
        size += max(1, task.stop - task.start)
        if size >= BATCH:
            yield batch
            batch, size = [], 0
    if batch:
        yield batch
