"""Long work of the desk: one piece at a time, with what it says, and a way to stop it."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from calculators.faults import FaultsError, fault_error
from course.desk.words import at_the_desk
from course.office.mishaps import disk_said, keep_details


class StoppedError(Exception):
    """Somebody stopped the work; what was done is kept."""


@dataclass
class Piece:
    """One piece of work.

    Parameters
    ----------
    name : str
        What it does, as a sentence begins: *Making the course*.
    said : list of str
        What it said so far.
    state : str
        ``"running"``, ``"done"``, ``"stopped"`` or ``"failed"``.
    back : str
        The page on which its result is.
    """

    name: str
    back: str
    said: list[str] = field(default_factory=list)
    state: str = "running"
    share: float = 0.0


class Worker:
    """Does one piece of work at a time, in a thread of its own."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None
        self._process: subprocess.Popen[str] | None = None
        self.piece: Piece | None = None

    @property
    def busy(self) -> bool:
        """Whether something is being done."""
        return self.piece is not None and self.piece.state == "running"

    def start(self, name: str, back: str, do: Callable[[Worker], Iterable[str]]) -> None:
        """Begin a piece of work; refused while another runs.

        Parameters
        ----------
        name, back : str
            See :class:`Piece`.
        do : function
            Gets this worker, and returns the lines that tell the result.
        """
        with self._lock:
            if self.busy:
                running = self.piece.name if self.piece else ""
                raise fault_error(
                    "The desk",
                    "is at work already",
                    running,
                    "One piece of work at a time",
                    "Wait until it is done, or stop it",
                )
            self._stop.clear()
            self.piece = piece = Piece(name, back)
            self._thread = threading.Thread(target=self._run, args=(piece, do), daemon=True)
            self._thread.start()

    @property
    def stopping(self) -> bool:
        """Whether somebody asked for a stop."""
        return self._stop.is_set()

    def note(self, line: str) -> None:
        """Add a line to what the work said."""
        if self.piece:
            self.piece.said.append(at_the_desk(line))

    def ends(self, process: subprocess.Popen[str]) -> None:
        """Name the process that a stop is to end; one that came before it ends it now."""
        self._process = process
        if self.stopping:
            process.terminate()

    def progress(self, done: int, total: int) -> None:
        """Note how far the work has come; also a place where a stop takes hold."""
        if self._stop.is_set():
            raise StoppedError
        if self.piece:
            self.piece.share = done / total if total else 0.0

    def stop(self) -> None:
        """Ask the work to stop; what was done is kept."""
        self._stop.set()
        if self._process and self._process.poll() is None:
            self._process.terminate()

    def wait(self, seconds: float | None = None) -> None:
        """Wait until the work has ended."""
        if self._thread:
            self._thread.join(seconds)

    def _run(self, piece: Piece, do: Callable[[Worker], Iterable[str]]) -> None:
        state = "failed"
        try:
            piece.said += [at_the_desk(line) for line in do(self)]
            state = "done"
        except StoppedError:
            piece.said.append("Stopped. What was done is kept; begin it again to go on.")
            state = "stopped"
        except FaultsError as error:
            piece.said += [at_the_desk(str(fault)) for fault in error.faults]
        except OSError as error:
            piece.said.append(disk_said(error))
        except Exception:
            piece.said.append(
                "Something in Glossbook itself went wrong. What was done before is kept. "
                f"The details are in {keep_details()}."
            )
        piece.state = state  # the last of all: whoever looks sees everything said


def glossbook(worker: Worker, *arguments: str) -> None:
    """Run a command of Glossbook in a process of its own, and say its lines as they come.

    What forks must not be forked from a program with threads, and a process can be ended.

    Parameters
    ----------
    worker : Worker
        Says the lines; stopping it ends the process.
    arguments : str
        The command and what stands behind it.

    Raises
    ------
    FaultsError
        With what the command said where it did not succeed.
    """
    code = "from course.cli.commands import main; main()"
    with subprocess.Popen(
        [sys.executable, "-c", code, *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        stdin=subprocess.DEVNULL,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
    ) as running:
        worker.ends(running)
        for line in running.stdout or ():
            worker.note(line.rstrip())
    if worker.stopping:
        raise StoppedError
    if running.returncode:
        raise fault_error(
            "The work",
            "could not be finished",
            "",
            "",
            "Put right what is named above, and try again",
        )
