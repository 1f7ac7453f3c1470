"""A copy of a logbook that is whole and was compared with what it was made of, or none.

By SQLite's own backup, since the file alone misses what is still in its WAL; a logbook on a server is copied row by
row into a file of its own, so that every backup is one file that opens like any logbook.
"""

from __future__ import annotations

import hashlib
import marshal
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from sqlalchemy import URL

from core.errors import BackupError
from core.language import tr
from core.records.engine import make_engine
from core.records.faults import damaged, faults_told
from core.records.location import Place, in_words

Contents = dict[str, tuple[int, str]]
"""How many rows each table holds, and a digest over them."""

_OF_SOURCE = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
"""What the copy cannot be to blame for."""
_NOT_WRITABLE = (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM, sqlite3.SQLITE_READONLY)


def make_snapshot(place: Place, target: Path) -> None:
    """Copy a logbook, wherever it is kept, into a file; others may go on working in it.

    Parameters
    ----------
    place : Path or URL
        The logbook.
    target : Path
        Where the copy goes; nothing may be there yet.

    Raises
    ------
    DamagedLogbookError
        The logbook itself does not read back whole.
    LogbookError
        It cannot be read.
    BackupError
        The copy cannot be written, or is not what was copied.
    """
    with faults_told(in_words(place)), writing_told(target):
        if isinstance(place, URL):
            _copy_server(place, target)
        else:
            copy_logbook(place, target)


def copy_logbook(path: Path, target: Path) -> None:
    """Copy a logbook in a file; the target appears complete and compared, or not at all.

    Parameters
    ----------
    path : Path
        The logbook; others may go on working in it.
    target : Path
        Where the copy goes; nothing may be there yet.

    Raises
    ------
    DamagedLogbookError
        The logbook itself does not read back whole.
    BackupError
        The copy cannot be written, or is not what was copied.
    FileExistsError
        The target is there already.
    """
    with closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)) as source:
        copy_compared(source, path, target)


def copy_compared(source: sqlite3.Connection, path: Path, target: Path) -> None:
    """Copy what a connection reads, as `copy_logbook` does; `path` is what the sentences call it."""
    partial = partial_of(target)
    try:
        # All that follows sees one moment, whatever others write meanwhile.
        source.execute("BEGIN")
        source.execute("SELECT count(*) FROM sqlite_master").fetchone()
        with _written(target), closing(sqlite3.connect(partial, isolation_level=None)) as copy:
            source.backup(copy)
            _make_one_file(copy)
        _compare(source, partial, path)
        put_in_place(partial, target)
    finally:
        drop_partial(partial)


def _copy_server(url: URL, target: Path) -> None:
    from core.records.move import copy_to_file

    partial = partial_of(target)
    engine = make_engine(url)
    try:
        partial.unlink(missing_ok=True)
        with engine.connect() as connection, connection.begin():
            copy_to_file(connection, partial)
        with _written(target), closing(sqlite3.connect(partial, isolation_level=None)) as copy:
            _make_one_file(copy)
        put_in_place(partial, target)
    finally:
        engine.dispose()
        drop_partial(partial)


def _make_one_file(copy: sqlite3.Connection) -> None:
    # Without its WAL a copy is one file that can be carried about, and read where nothing can be written.
    copy.execute("PRAGMA journal_mode = DELETE")


def _compare(source: sqlite3.Connection, partial: Path, path: Path) -> None:
    if _holds(partial, contents(source)):
        return
    if not is_whole(source):
        raise damaged(path)
    raise BackupError(
        tr("The backup of {path} does not read back whole.", path=path), tr("Check the disk; nothing was changed.")
    )


def _holds(partial: Path, wanted: Contents) -> bool:
    try:
        with closing(reading(partial)) as copy:
            return is_whole(copy) and contents(copy) == wanted
    except sqlite3.Error as error:
        kind = _kind(error)
        if kind in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
            return False
        raise _not_written(partial.parent, kind) from error


def is_whole(connection: sqlite3.Connection) -> bool:
    """Tell whether a file makes sense from its first page to its last."""
    (answer,) = connection.execute("PRAGMA integrity_check(1)").fetchone()
    return bool(answer == "ok")


def contents(connection: sqlite3.Connection) -> Contents:
    """Return what a file holds, table by table, in a form that two of them can be compared by."""
    # Virtual tables keep what they know in ordinary ones.
    named = "SELECT name FROM sqlite_master WHERE type = 'table' AND sql NOT LIKE 'CREATE VIRTUAL%' ORDER BY name"
    names = [name for (name,) in connection.execute(named).fetchall()]
    # A text that is none in UTF-8 is compared like any other.
    as_usual, connection.text_factory = connection.text_factory, bytes
    try:
        return {name: _digest(connection, name) for name in names}
    finally:
        connection.text_factory = as_usual


def _digest(connection: sqlite3.Connection, table: str) -> tuple[int, str]:
    seal, count = hashlib.sha256(), 0
    for row in connection.execute('SELECT * FROM "{}"'.format(table.replace('"', '""'))):  # noqa: S608
        # Version 2: the later ones write the same row differently from one time to the next.
        seal.update(marshal.dumps(row, 2))
        count += 1
    return count, seal.hexdigest()


def reading(path: Path) -> sqlite3.Connection:
    """Return a connection that only reads a copy; it leaves no trace, and needs no folder that can be written."""
    with_wal = path.with_name(f"{path.name}-wal").exists()
    return sqlite3.connect(f"{path.as_uri()}?mode=ro{'' if with_wal else '&immutable=1'}", uri=True)


def partial_of(target: Path) -> Path:
    """Return what a copy is called until it is whole."""
    return target.with_name(f"{target.name}.partial")


def drop_partial(partial: Path) -> None:
    """Take away what is left of a copy that did not become whole."""
    for rest in ("", "-journal", "-wal", "-shm"):
        # A drive that was pulled out meanwhile has nothing left to take away.
        with suppress(OSError):
            partial.with_name(partial.name + rest).unlink(missing_ok=True)


@contextmanager
def _written(target: Path) -> Iterator[None]:
    """Tell what SQLite has against the copy from what it has against the logbook, which passes."""
    try:
        yield
    except sqlite3.Error as error:
        kind = _kind(error)
        if kind in _OF_SOURCE:
            raise
        raise _not_written(target.parent, kind) from error


def _kind(error: sqlite3.Error) -> int:
    # The low byte is the kind of fault, the rest its variety.
    return getattr(error, "sqlite_errorcode", 0) & 0xFF


def _not_written(folder: Path, kind: int) -> BackupError:
    if kind == sqlite3.SQLITE_FULL:
        return BackupError(
            tr("There is no room in {folder}.", folder=folder),
            tr("Make room there, or choose another folder; nothing was changed."),
        )
    if kind in _NOT_WRITABLE:
        return BackupError(
            tr("The folder {folder} may not be written.", folder=folder),
            tr("Ask for permission to write it, or choose another folder; nothing was changed."),
        )
    return BackupError(
        tr("The drive with {folder} did not answer.", folder=folder),
        tr("Check the drive and its cable, or choose another folder; nothing was changed."),
    )


@contextmanager
def writing_told(target: Path) -> Iterator[None]:
    """Turn what the system has against a copy into a sentence."""
    try:
        yield
    except FileExistsError as error:
        raise BackupError(
            tr("There is something at {path} already.", path=target), tr("Give a name that is free yet.")
        ) from error
    except PermissionError as error:
        raise _not_written(target.parent, sqlite3.SQLITE_PERM) from error
    except OSError as error:
        raise BackupError(
            tr("{path} cannot be written: {reason}.", path=target, reason=error.strerror or error),
            tr("Check the drive, or choose another folder; nothing was changed."),
        ) from error


def put_in_place(made: Path, target: Path) -> None:
    """Give a finished file its name, for good; what has that name already stays, and FileExistsError is raised."""
    settle(made)
    try:
        # A link never overwrites, a renaming would.
        os.link(made, target)
    except FileExistsError:
        raise
    except OSError:
        # Drives for carrying about know no links.
        if target.exists():
            raise FileExistsError(target) from None
        made.rename(target)
    settle_folder(target.parent)


def settle_folder(folder: Path) -> None:
    """Wait until the names in a folder are on the disk."""
    # Not every system lets a folder be opened.
    with suppress(PermissionError):
        settle(folder)


def settle(path: Path) -> None:
    """Wait until a file, or the names in a folder, are on the disk."""
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
