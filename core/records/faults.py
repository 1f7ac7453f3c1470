"""Faults of disk, file and server told apart from bugs: the former become a LogbookError, the latter pass."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError

from core.errors import DamagedLogbookError, LogbookError
from core.language import mark, tr

BUSY, READ_ONLY, NO_FILE, FULL, NO_ANSWER, DAMAGED, NO_SERVER, NO_LOGIN, NO_DATABASE = range(9)

_SENTENCES = {
    BUSY: (
        mark("The logbook {path} is in use by another program."),
        mark("Close the other program, or wait a moment and try again."),
    ),
    READ_ONLY: (
        mark("The logbook {path} may not be written."),
        mark("Ask for permission to write the file and its folder, or use another logbook."),
    ),
    NO_FILE: (
        mark("The logbook {path} cannot be opened."),
        mark("Check that the file is still there and that its folder may be written."),
    ),
    FULL: (
        mark("The disk with the logbook {path} is full."),
        mark("Make room on the disk and try again."),
    ),
    NO_ANSWER: (
        mark("The disk with the logbook {path} did not answer."),
        mark("Check the disk or the cable, and try again."),
    ),
    DAMAGED: (
        mark("The logbook {path} is damaged."),
        mark("Keep the file as it is; 'pinionbook restore' lists the backups to go back to."),
    ),
    NO_SERVER: (
        mark("The server with the logbook {path} does not answer."),
        mark("Check the network and whether the server runs, and try again."),
    ),
    NO_LOGIN: (
        mark("The server with the logbook {path} does not let this bench in."),
        mark("Check the name and the password in the logbook's address."),
    ),
    NO_DATABASE: (
        mark("The server has no database for the logbook {path}."),
        mark("Check its name, or let whoever looks after the server make an empty one."),
    ),
}

_WHILE_ENTERING = {
    FULL: (
        mark("The disk with the logbook {path} is full; the last entry was not kept."),
        mark("Make room on the disk and enter it again."),
    ),
    NO_ANSWER: (
        mark("The disk with the logbook {path} did not answer; the last entry was not kept."),
        mark("Check the disk or the cable, and enter it again."),
    ),
    NO_SERVER: (
        mark("The server with the logbook {path} does not answer; the last entry was not kept."),
        mark("Check the network and whether the server runs, and enter it again."),
    ),
}
"""What is said instead where somebody has just entered something, and it is lost."""

_OF_FILE = {
    sqlite3.SQLITE_BUSY: BUSY,
    sqlite3.SQLITE_LOCKED: BUSY,
    sqlite3.SQLITE_PROTOCOL: BUSY,
    sqlite3.SQLITE_READONLY: READ_ONLY,
    sqlite3.SQLITE_PERM: READ_ONLY,
    sqlite3.SQLITE_CANTOPEN: NO_FILE,
    sqlite3.SQLITE_FULL: FULL,
    sqlite3.SQLITE_IOERR: NO_ANSWER,
    sqlite3.SQLITE_CORRUPT: DAMAGED,
    sqlite3.SQLITE_NOTADB: DAMAGED,
}

_OF_SERVER = {
    "08": NO_SERVER,
    "57P": NO_SERVER,
    "28": NO_LOGIN,
    "3D": NO_DATABASE,
    "55P03": BUSY,
    "40": BUSY,
    "53100": FULL,
    "53": NO_SERVER,
    "25006": READ_ONLY,
    "42501": READ_ONLY,
    "58": NO_ANSWER,
    "XX001": DAMAGED,
    "XX002": DAMAGED,
}
"""Kinds of fault by the beginning of the SQLSTATE (PostgreSQL 15 documentation, appendix A); the longest counts."""


def fault_of(error: BaseException, path: object, *, is_entering: bool = False) -> LogbookError | None:
    """Return the sentence for a fault of disk, file or server, or None for anything else.

    `is_entering` says that something was being entered, which is lost then.
    """
    cause = error.orig if isinstance(error, DBAPIError) else error
    if isinstance(cause, sqlite3.Error):
        # The low byte is the kind of fault, the rest its variety.
        kind = _OF_FILE.get(getattr(cause, "sqlite_errorcode", 0) & 0xFF)
    elif type(cause).__module__.startswith("psycopg"):
        kind = _of_server(cause)
    else:
        kind = None
    return None if kind is None else _told(kind, path, is_entering=is_entering)


def _of_server(cause: BaseException | None) -> int | None:
    state = getattr(cause, "sqlstate", None)
    if state is None:
        # Without a state it never reached the server, or lost it; everything else about a question has one.
        text = str(cause)
        if any(said in text for said in ("password", "authentication", "no pg_hba.conf entry", 'role "')):
            return NO_LOGIN
        if "does not exist" in text:
            return NO_DATABASE
        return NO_SERVER if type(cause).__name__ in ("OperationalError", "ConnectionTimeout") else None
    return next((_OF_SERVER[state[:n]] for n in (5, 3, 2) if state[:n] in _OF_SERVER), None)


def damaged(path: object) -> LogbookError:
    """Return the sentence for a file that does not make sense."""
    return _told(DAMAGED, path)


def _told(kind: int, path: object, *, is_entering: bool = False) -> LogbookError:
    sentences = _SENTENCES | _WHILE_ENTERING if is_entering else _SENTENCES
    message, remedy = sentences[kind]
    kind_of_error = DamagedLogbookError if kind == DAMAGED else LogbookError
    return kind_of_error(tr(message, path=path), tr(remedy))


@contextmanager
def faults_told(path: object, *, is_entering: bool = False) -> Iterator[None]:
    """Turn faults of disk, file and server into sentences, as `fault_of` does; bugs pass untouched."""
    try:
        yield
    except (DBAPIError, sqlite3.Error) as error:
        fault = fault_of(error, path, is_entering=is_entering)
        if fault is None:
            raise
        raise fault from error
