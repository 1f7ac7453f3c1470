"""Faults of the disk and the file told apart from bugs: the former become a LogbookError, the latter pass."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError

from core.errors import LogbookError
from core.language import mark, tr

_SENTENCES = {
    sqlite3.SQLITE_BUSY: (
        mark("The logbook {path} is in use by another program."),
        mark("Close the other program, or wait a moment and try again."),
    ),
    sqlite3.SQLITE_READONLY: (
        mark("The logbook {path} may not be written."),
        mark("Ask for permission to write the file and its folder, or use another logbook."),
    ),
    sqlite3.SQLITE_CANTOPEN: (
        mark("The logbook {path} cannot be opened."),
        mark("Check that the file is still there and that its folder may be written."),
    ),
    sqlite3.SQLITE_FULL: (
        mark("The disk with the logbook {path} is full; the last entry was not kept."),
        mark("Make room on the disk and enter it again."),
    ),
    sqlite3.SQLITE_IOERR: (
        mark("The disk with the logbook {path} did not answer; the last entry was not kept."),
        mark("Check the disk or the cable, and enter it again."),
    ),
    sqlite3.SQLITE_CORRUPT: (
        mark("The logbook {path} is damaged."),
        mark("Keep the file as it is and go back to the last backup."),
    ),
}
_ALIKE = {
    sqlite3.SQLITE_LOCKED: sqlite3.SQLITE_BUSY,
    sqlite3.SQLITE_PROTOCOL: sqlite3.SQLITE_BUSY,
    sqlite3.SQLITE_PERM: sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_NOTADB: sqlite3.SQLITE_CORRUPT,
}


def fault_of(error: BaseException, path: object) -> LogbookError | None:
    """Return the sentence for a fault of the disk or the file, or None for anything else."""
    cause = error.orig if isinstance(error, DBAPIError) else error
    if not isinstance(cause, sqlite3.Error):
        return None
    # The low byte is the kind of fault, the rest its variety.
    code = getattr(cause, "sqlite_errorcode", 0) & 0xFF
    code = _ALIKE.get(code, code)
    return _told(code, path) if code in _SENTENCES else None


def damaged(path: object) -> LogbookError:
    """Return the sentence for a file that does not make sense."""
    return _told(sqlite3.SQLITE_CORRUPT, path)


def _told(code: int, path: object) -> LogbookError:
    message, remedy = _SENTENCES[code]
    return LogbookError(tr(message, path=path), tr(remedy))


@contextmanager
def faults_told(path: object) -> Iterator[None]:
    """Turn faults of the disk and the file into sentences; bugs pass untouched."""
    try:
        yield
    except (DBAPIError, sqlite3.Error) as error:
        fault = fault_of(error, path)
        if fault is None:
            raise
        raise fault from error
