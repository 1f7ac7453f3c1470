"""A copy of the logbook that is whole: by SQLite's own backup, since the file alone misses what is still in the WAL."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing, suppress
from pathlib import Path

from core.errors import LogbookError
from core.language import tr


def copy_logbook(path: Path, target: Path) -> None:
    """Copy a logbook; the target appears complete and checked, or not at all.

    Parameters
    ----------
    path : Path
        The logbook; others may go on working in it.
    target : Path
        Where the copy goes; nothing may be there yet.

    Raises
    ------
    LogbookError
        The copy does not read back whole.
    FileExistsError
        The target is there already.
    """
    partial = target.with_name(f"{target.name}.partial")
    try:
        with (
            closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)) as source,
            closing(sqlite3.connect(partial, isolation_level=None)) as copy,
        ):
            source.backup(copy)
            # Without its WAL a copy is one file that can be carried about.
            copy.execute("PRAGMA journal_mode = DELETE")
            (answer,) = copy.execute("PRAGMA integrity_check").fetchone()
        if answer != "ok":
            raise LogbookError(
                tr("The backup of {path} does not read back whole.", path=path),
                tr("Check the disk; nothing was changed."),
            )
        put_in_place(partial, target)
    finally:
        partial.unlink(missing_ok=True)


def put_in_place(made: Path, target: Path) -> None:
    """Give a finished file its name, for good; what has that name already stays, and FileExistsError is raised."""
    _settle(made)
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
    # Not every system lets a folder be opened.
    with suppress(PermissionError):
        _settle(target.parent)


def _settle(path: Path) -> None:
    """Wait until a file, or the names in a folder, are on the disk."""
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
