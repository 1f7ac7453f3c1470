"""Connections to the file: one place for the pragmas a logbook depends on."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from sqlalchemy import Connection, Engine, QueuePool, create_engine, event

from core.errors import LogbookError
from core.language import tr

BUSY_MS = 5000
"""How long a writer waits for another one before it gives up [ms]."""


def make_engine(path: Path, *, is_new: bool = False, has_foreign_keys: bool = True) -> Engine:
    """Return an engine for one SQLite file.

    Parameters
    ----------
    path : Path
        The file; absolute.
    is_new : bool
        Whether the file may be created. Otherwise a file that has gone is an error, not an empty logbook.
    has_foreign_keys : bool
        False only for upgrades, which rebuild tables: inside a transaction the switch does nothing.
    """

    def connect() -> sqlite3.Connection:
        # isolation_level=None, since the driver's own transactions would leave DDL outside of them.
        connection = sqlite3.connect(
            f"{path.as_uri()}?mode={'rwc' if is_new else 'rw'}",
            uri=True,
            timeout=BUSY_MS / 1000,
            isolation_level=None,
            check_same_thread=False,
        )
        try:
            _set_pragmas(connection, path, has_foreign_keys)
        except BaseException:
            connection.close()
            raise
        return connection

    engine = create_engine("sqlite+pysqlite://", creator=connect, poolclass=QueuePool)
    event.listen(engine, "begin", _begin)
    return engine


def _set_pragmas(connection: sqlite3.Connection, path: Path, has_foreign_keys: bool) -> None:
    connection.execute(f"PRAGMA busy_timeout = {BUSY_MS}")
    # FULL, not NORMAL: a signature must survive a power cut, at a fifth of a millisecond each.
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute(f"PRAGMA foreign_keys = {int(has_foreign_keys)}")
    connection.execute("PRAGMA recursive_triggers = ON")
    (mode,) = connection.execute("PRAGMA journal_mode = WAL").fetchone()
    if mode != "wal":
        raise LogbookError(
            tr("{folder} is on a drive that cannot keep a logbook safely.", folder=path.parent),
            tr("Keep the logbook on a drive of this machine."),
        )


def _begin(connection: Connection) -> None:
    # A reader that turns into a writer is turned away at once, so whoever may write says so at the beginning.
    is_writing = connection.get_execution_options().get("is_writing", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if is_writing else "BEGIN")
