"""What is SQLite's own: how its file is opened, and what its complaints mean.

Everything else speaks to the database through SQLAlchemy; with another database this
file alone has a companion.
"""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any
from urllib.parse import quote

import sqlalchemy as sa
from sqlalchemy import event

from calculators.faults import FaultsError, fault_error

BUSY_SECONDS = 30


def engine_for(path: Path, *, read_only: bool = False) -> sa.Engine:
    """Return an engine for a file whose writers take their turn from the first read.

    Parameters
    ----------
    path : Path
        The file; made where there is none, unless it is only read.
    read_only : bool
        Whether nothing may be written.
    """

    def connect() -> sqlite3.Connection:
        how = "mode=rwc"
        if read_only:
            # A book in a folder that may not be written has no room for the files
            # SQLite keeps beside it; without them it is read as it is.
            beside = path.with_name(path.name + "-wal").exists()
            alone = not beside and not os.access(path.parent, os.W_OK)
            how = "immutable=1" if alone else "mode=ro"
        made = sqlite3.connect(
            f"file:{quote(str(path.resolve()))}?{how}",
            uri=True,
            timeout=BUSY_SECONDS,
            isolation_level=None,
            check_same_thread=False,
        )
        made.execute("PRAGMA foreign_keys=ON")
        if not read_only:
            made.execute("PRAGMA synchronous=FULL")
            made.execute("PRAGMA secure_delete=ON")  # erased means overwritten
        return made

    engine = sa.create_engine("sqlite://", creator=connect, poolclass=sa.pool.QueuePool)

    @event.listens_for(engine, "begin")
    def begin(connection: sa.Connection) -> None:
        writes = connection.get_execution_options().get("writes")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def keep_a_log(engine: sa.Engine) -> None:
    """Let readers go on while somebody writes; the file remembers it."""
    raw = engine.raw_connection()
    raw.cursor().execute("PRAGMA journal_mode=WAL")
    raw.close()


def copy(engine: sa.Engine, path: Path) -> None:
    """Copy a whole database to a new file, while others may write."""
    with closing(engine.raw_connection()) as raw, closing(sqlite3.connect(path)) as other:
        held: Any = raw.driver_connection
        held.backup(other)


_COMPLAINTS = (
    ("readonly", "can't be written", "Allow writing to it, or copy it elsewhere"),
    ("full", "could not be written: the disk is full", "Make room and run it again"),
    ("not a database", "is not a mark book", "Give the file that Glossbook made"),
    ("malformed", "is damaged", "Put the last copy of the book back in its place"),
    ("locked", "is in use", "Wait for the other program to end, then run it again"),
    ("unable to open", "can't be opened", "Check the folder and who may write to it"),
    ("i/o error", "can't be read or written: the disk reports a fault", "Copy it to another disk"),
)


def fault_of(path: Path, error: BaseException) -> FaultsError:
    """Return what the database or the disk complained of, in plain words."""
    text = str(getattr(error, "orig", None) or error)
    for sign, problem, step in _COMPLAINTS:
        if sign in text.lower():
            return fault_error(
                str(path), problem, "", "", f"{step}; nothing in the book was changed"
            )
    return fault_error(
        str(path),
        f"could not be used: {text}",
        "",
        "",
        "Check the disk; nothing in the book was changed",
    )
