"""Connections: one place for what a logbook asks of its file, or of its server.

On either engine one unit of work writes at a time: SQLite by its own lock, a server by one advisory lock. What such a
unit has read therefore stays so until it ends; no update is lost, and the trail has one order.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, QueuePool, create_engine, event

from core.errors import LogbookError
from core.language import tr
from core.records.location import Place

BUSY_MS = 5000
"""How long a writer waits for another one before it gives up [ms]."""
CONNECT_S = 5
"""How long a server may take to answer [s]."""
WRITERS_LOCK = 0x50494E42
"""The advisory lock whoever writes on a server holds."""
CHANNEL = "pinionbook"
"""Where a server tells the benches that something was written."""


def make_engine(place: Place, *, is_new: bool = False, has_foreign_keys: bool = True) -> Engine:
    """Return an engine for one logbook.

    Parameters
    ----------
    place : Path or URL
        The file, absolute; or the database on a server.
    is_new : bool
        Whether the file may be created. Otherwise a file that has gone is an error, not an empty logbook.
    has_foreign_keys : bool
        False only for upgrades of a file, which rebuild tables: inside a transaction the switch does nothing.
    """
    if isinstance(place, URL):
        return _server_engine(place)
    return _file_engine(place, is_new=is_new, has_foreign_keys=has_foreign_keys)


# -- a file ------------------------------------------------------------------------------------------------------------


def _file_engine(path: Path, *, is_new: bool, has_foreign_keys: bool) -> Engine:
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
    event.listen(engine, "begin", _begin_on_file)
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
            tr("Keep the logbook on a drive of this machine, or on a PostgreSQL server where benches are to share it."),
        )


def _begin_on_file(connection: Connection) -> None:
    # A reader that turns into a writer is turned away at once, so whoever may write says so at the beginning.
    connection.exec_driver_sql("BEGIN IMMEDIATE" if _is_writing(connection) else "BEGIN")


# -- a server ----------------------------------------------------------------------------------------------------------


def _server_engine(url: URL) -> Engine:
    # Asked before use whether it still lives: a server may have been restarted overnight.
    engine = create_engine(url, pool_pre_ping=True, connect_args={"connect_timeout": CONNECT_S})
    event.listen(engine, "connect", _set_up_session)
    event.listen(engine, "begin", _begin_on_server)
    return engine


def _set_up_session(connection: Any, _record: object) -> None:
    with connection.cursor() as cursor:
        cursor.execute(f"SET lock_timeout = {BUSY_MS}")
        cursor.execute("SET timezone = 'UTC'")
        # A signature must survive a power cut here too, whatever the server's own setting.
        cursor.execute("SET synchronous_commit = on")
    connection.commit()


def _begin_on_server(connection: Connection) -> None:
    if _is_writing(connection):
        if connection.get_execution_options().get("is_patient", False):
            # An upgrade by another bench may take minutes; what comes after it needs it done.
            connection.exec_driver_sql("SET LOCAL lock_timeout = 0")
        # Read committed, so that the first question after the lock sees what the writer before has left.
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({WRITERS_LOCK})")
    else:
        connection.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")


def _is_writing(connection: Connection) -> bool:
    return bool(connection.get_execution_options().get("is_writing", False))
