"""Lessons run in forked children of one process that has imported what they need.

A kernel of its own costs a lesson a second and a half before its first line.  Here one
server imports IPython, the calculators and the drawing library once; each lesson runs
in a child of it that is used once, so that no lesson sees what another did.  nbval runs
the same cells in real kernels, and a test holds both to the same outputs.

Run as ``python -m course.making.forked WORKERS``: a line of standard input names a
notebook file, which is replaced by what came of it; a line of standard output names it
again when it is done, with the status of the child.
"""

from __future__ import annotations

import io
import json
import os
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from types import FrameType
from typing import Any

import nbformat

from course.making.lessons import SECONDS_A_CELL


def can_fork() -> bool:
    """Tell whether this system can fork children of a warm server."""
    return hasattr(os, "fork")


def execute_all(notebooks: Mapping[str, Any], workers: int) -> Iterator[tuple[str, Any]]:
    """Yield each notebook under its name with its outputs, as they end.

    The first cell of a notebook that stops is the last of it that is run; its output is
    the error.  None stands for a notebook whose child died.
    """
    with tempfile.TemporaryDirectory() as place:
        for name, notebook in notebooks.items():
            (Path(place) / name).write_text(json.dumps(notebook), encoding="utf-8")
        with subprocess.Popen(
            [sys.executable, "-m", __name__, str(workers)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,  # what libraries say of themselves
            cwd=place,
            env={**os.environ, "MPLBACKEND": "agg", "PYTHONPATH": os.pathsep.join(sys.path)},
            text=True,
        ) as server:
            assert server.stdin is not None
            assert server.stdout is not None
            server.stdin.write("".join(f"{name}\n" for name in notebooks))
            server.stdin.close()
            left = set(notebooks)
            for line in server.stdout:
                name, _, status = line.rstrip("\n").rpartition(" ")
                left.discard(name)
                text = (Path(place) / name).read_text(encoding="utf-8") if status == "0" else ""
                yield name, nbformat.from_dict(json.loads(text)) if text else None
            for name in sorted(left):  # the server itself died
                yield name, None


# --- the server -------------------------------------------------------------------------------


def serve(workers: int) -> None:
    """Fork a child for each notebook that a line names, so many at a time."""
    shell = _shell()
    running: dict[int, str] = {}
    for line in sys.stdin:
        while len(running) >= workers:
            _wait(running)
        child = os.fork()
        if child == 0:
            _child(shell, Path(line.rstrip("\n")))
        running[child] = line.rstrip("\n")
    while running:
        _wait(running)


def _shell() -> Any:
    """Return a shell that keeps no history, with everything imported that lessons need."""
    import matplotlib as mpl
    from IPython.core.interactiveshell import InteractiveShell
    from traitlets.config import Config

    import course.kit.figures  # noqa: F401  it imports the drawing library
    from calculators.catalogue import subjects

    mpl.use("agg")
    subjects()
    config = Config()
    config.HistoryManager.enabled = False
    return InteractiveShell.instance(config=config)


def _wait(running: dict[int, str]) -> None:
    child, status = os.wait()
    sys.stdout.write(f"{running.pop(child)} {status}\n")
    sys.stdout.flush()


def _child(shell: Any, path: Path) -> None:
    """Run a notebook, write it back, and end this process whatever comes."""
    try:
        signal.signal(signal.SIGALRM, _stop)
        notebook = nbformat.from_dict(json.loads(path.read_text(encoding="utf-8")))
        for cell in notebook.cells:
            if cell.cell_type == "code" and not _run(shell, cell):
                break
        path.write_text(json.dumps(notebook), encoding="utf-8")
    except BaseException:
        os._exit(1)
    os._exit(0)


def _stop(number: int, frame: FrameType | None) -> None:
    raise TimeoutError(f"A cell may run for {SECONDS_A_CELL} seconds")


def _run(shell: Any, cell: Any) -> bool:
    """Run a cell into its outputs; tell whether it came to its end."""
    outputs: list[Any] = []
    written = io.StringIO()

    def shown(value: Any = None) -> None:
        if value is not None:
            data, metadata = shell.display_formatter.format(value)
            outputs.append(
                nbformat.v4.new_output(
                    "execute_result", data=data, metadata=metadata, execution_count=count
                )
            )

    count = shell.execution_count
    shell.display_trap.hook = shown
    signal.alarm(SECONDS_A_CELL)
    try:
        with redirect_stdout(written), redirect_stderr(io.StringIO()):
            done = shell.run_cell(cell.source, store_history=True)
    finally:
        signal.alarm(0)
    error = done.error_before_exec or done.error_in_exec
    if error is not None:
        lines = shell.InteractiveTB.structured_traceback(type(error), error, error.__traceback__)
        name, value = type(error).__name__, str(error)
        outputs = [nbformat.v4.new_output("error", ename=name, evalue=value, traceback=list(lines))]
    elif text := written.getvalue():
        outputs.insert(0, nbformat.v4.new_output("stream", name="stdout", text=text))
    cell.outputs, cell.execution_count = outputs, count
    return error is None


if __name__ == "__main__":
    serve(int(sys.argv[1]))
