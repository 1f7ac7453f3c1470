"""The way back: whether a backup is good, what going back to it would lose, and going back."""

from __future__ import annotations

import os
import shlex
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import URL, Engine, NullPool, create_engine

from core.errors import BackupError, DamagedLogbookError, LogbookError, NewerLogbookError, WayBack
from core.language import tr
from core.records import tables
from core.records.backup import (
    copy_compared,
    drop_partial,
    is_whole,
    partial_of,
    put_in_place,
    reading,
    settle,
    settle_folder,
    writing_told,
)
from core.records.backups import Backup, Head, backups_of, head_in, wall_time
from core.records.location import Place, in_words
from core.records.opening import recognise
from core.records.upgrade import known_revisions
from core.records.verify import Finding, check

_SHARED_AT, _SHARED_LONG = 0x40000002, 510
"""The bytes of a file whoever has it open holds a lock on (file format documentation of SQLite, os_unix)."""


@dataclass(frozen=True)
class Examined:
    """A backup that reads back whole: where its trail ends, and what does not agree with it."""

    head: Head | None
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class Restored:
    """A logbook that was brought back, and where what lay there before is kept now."""

    path: Path
    kept_as: Path | None
    examined: Examined


def examine(path: Path) -> Examined:
    """Read a backup from its first page to its last; it is not changed.

    Raises
    ------
    BackupError
        It is no logbook, or it was only half copied.
    NewerLogbookError
        It was written by a newer program.
    """
    try:
        if not path.exists():
            raise BackupError(
                tr("There is no backup {path}.", path=path),
                tr("Check how it is written; 'pinionbook restore' lists the backups there are."),
            )
        recognise(path, is_written=False)
        with closing(reading(path)) as connection:
            (page_bytes,) = connection.execute("PRAGMA page_size").fetchone()
            # What the last page lacks is read as zeros, so an empty one would pass for whole.
            if path.stat().st_size % page_bytes or not is_whole(connection):
                raise _half(path)
            (revision,) = connection.execute("SELECT version_num FROM alembic_version").fetchone()
        if revision not in known_revisions():
            raise NewerLogbookError(
                tr("The backup {path} was written by a newer version of this program.", path=path),
                tr("Install the newer version, or choose an older backup."),
            )
        # What was written before there was a trail has nothing to agree with.
        return Examined(head_in(path), _findings(path) if revision == tables.REVISION else ())
    except NewerLogbookError:
        raise
    except LogbookError as error:
        raise BackupError(error.message, tr("Choose another backup.")) from error
    except OSError as error:
        raise BackupError(
            tr("The backup {path} cannot be read: {reason}.", path=path, reason=error.strerror or error),
            tr("Check its drive, or choose another backup."),
        ) from error
    except (sqlite3.Error, TypeError, ValueError) as error:
        raise _half(path) from error


def _half(path: Path) -> BackupError:
    return BackupError(
        tr("The backup {path} does not read back whole: it is damaged, or was only half copied.", path=path),
        tr("Copy it anew, or choose another backup."),
    )


def _findings(path: Path) -> tuple[Finding, ...]:
    engine = _reading_engine(path)
    try:
        with engine.connect() as connection:
            return check(connection).findings
    finally:
        engine.dispose()


def _reading_engine(path: Path) -> Engine:
    return create_engine("sqlite+pysqlite://", creator=lambda: reading(path), poolclass=NullPool)


# -- the offer ---------------------------------------------------------------------------------------------------------


def find_way_back(place: Place, folder: Path | None = None) -> WayBack | None:
    """Return the newest good backup of a damaged logbook; None where there is none, or it is on a server.

    Parameters
    ----------
    place : Path or URL
        The logbook.
    folder : Path, optional
        Where backups are kept besides the usual folder.
    """
    if isinstance(place, URL):
        return None
    last = head_in(place)
    second_best = None
    for backup in backups_of(place, folder, "" if last is None else last.mark):
        try:
            examined = examine(backup.path)
        except (BackupError, LogbookError):
            continue
        way = _way(backup, last, is_sound=not examined.findings)
        if way.is_sound:
            return way
        second_best = second_best or way
    return second_best


def _way(backup: Backup, last: Head | None, *, is_sound: bool) -> WayBack:
    up_to = None if backup.head is None else backup.head.at
    reached = 0 if backup.head is None else backup.head.entry
    # A tail that ends before the backup does is not the end of what was entered.
    if last is None or last.entry < reached:
        return WayBack(backup.path, backup.made_at, up_to, is_sound=is_sound)
    return WayBack(backup.path, backup.made_at, up_to, last.entry - reached, last.at, is_sound)


def loss_in_words(way: WayBack) -> str:
    """Return a sentence that says what going back would lose."""
    if way.lost is None:
        return tr("Everything entered after {time} would be lost.", time=wall_time(way.made_at))
    if way.lost == 0 or way.last_at is None:
        return tr("Nothing that was entered would be lost.")
    return tr(
        "Entries of the trail that would be lost: {count}, the last from {time}.",
        count=way.lost,
        time=wall_time(way.last_at),
    )


def with_way_back(error: DamagedLogbookError, place: Place, folder: Path | None) -> DamagedLogbookError:
    """Return the error with the newest good backup, what would be lost, and the command that goes back to it."""
    way = find_way_back(place, folder)
    if way is None:
        return error
    told = DamagedLogbookError(
        error.message,
        tr(
            "Go back to the newest good backup, made {time}, with: {command} – {loss} The damaged file is kept.",
            time=wall_time(way.made_at),
            command=shlex.join(["pinionbook", "--logbook", in_words(place), "restore", str(way.backup)]),
            loss=loss_in_words(way),
        ),
    )
    told.way_back = way
    return told


# -- going back --------------------------------------------------------------------------------------------------------


def restore(backup: Path, place: Place, now: datetime) -> Restored:
    """Bring a logbook back from a backup; what lies at its place is kept under another name.

    Parameters
    ----------
    backup : Path
        The backup, or any file of a logbook.
    place : Path or URL
        Where the logbook goes.
    now : datetime
        The present moment, for the name of what lay there.

    Raises
    ------
    BackupError
        The backup is no good or of another logbook, something other than a file lies at the place, another program
        has the logbook open, or there is no room; nothing was changed.
    NewerLogbookError
        The backup was written by a newer program.
    """
    if isinstance(place, URL):
        raise BackupError(
            tr("A logbook on a server is not brought back like this."),
            tr("Make an empty database and use: pinionbook move {path} ADDRESS", path=backup),
        )
    examined = examine(backup)
    partial = partial_of(place)
    try:
        with writing_told(place):
            _need_place(backup, place, examined)
            place.parent.mkdir(parents=True, exist_ok=True)
            drop_partial(partial)
            with closing(reading(backup)) as source:
                copy_compared(source, backup, partial)
            if os.path.lexists(place):
                return Restored(place, _swap(partial, place, now), examined)
            put_in_place(partial, place)
            return Restored(place, None, examined)
    except (sqlite3.Error, DamagedLogbookError) as error:
        raise _half(backup) from error
    finally:
        drop_partial(partial)


def _need_place(backup: Path, place: Path, examined: Examined) -> None:
    """Refuse a place where a logbook cannot be brought back to."""
    if not os.path.lexists(place):
        return
    if not place.is_file():
        raise BackupError(tr("{path} is not an ordinary file.", path=place), tr("Give the path of a file."))
    if place.samefile(backup):
        raise BackupError(tr("{path} is the logbook itself, not a backup.", path=backup), tr("Choose a backup."))
    now = head_in(place)
    if now is not None and examined.head is not None and now.mark != examined.head.mark:
        raise BackupError(
            tr("{backup} is a backup of another logbook than {path}.", backup=backup, path=place),
            tr("Bring it back to a place of its own with --logbook, or choose another backup."),
        )


def _swap(partial: Path, place: Path, now: datetime) -> Path:
    """Put a copy where a logbook lies, which is kept under another name with what belongs to it."""
    aside = _free_aside(place, now)
    moved: list[tuple[Path, Path]] = []
    with _alone(place):
        try:
            _also_called(place, aside)
            # Left where they are, they would be taken for the restored logbook's own.
            for rest in ("-wal", "-shm"):
                here, there = (path.with_name(path.name + rest) for path in (place, aside))
                if here.exists():
                    here.rename(there)
                    moved.append((here, there))
            settle(partial)
            os.replace(partial, place)
        except BaseException:
            for here, there in reversed(moved):
                there.rename(here)
            if place.exists():
                aside.unlink(missing_ok=True)
            else:
                aside.rename(place)
            raise
    settle_folder(place.parent)
    return aside


def _also_called(path: Path, name: Path) -> None:
    """Give a file a second name, so that at no moment there is none; where drives know no links, another one."""
    try:
        os.link(path, name)
    except OSError:
        path.rename(name)


def _free_aside(place: Path, now: datetime) -> Path:
    stamp, count = now.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ"), 1
    aside = place.with_name(f"{place.stem}-before-restore-{stamp}{place.suffix}")
    while aside.exists():
        count += 1
        aside = place.with_name(f"{place.stem}-before-restore-{stamp}-{count}{place.suffix}")
    return aside


@contextmanager
def _alone(path: Path) -> Iterator[None]:
    """Keep every other program out of a logbook; one that is in it already is a refusal.

    Without opening it as a database, which would write into a damaged file.
    """
    try:
        import fcntl
    except ImportError:
        # Where locks work otherwise, a file that is open cannot be renamed either.
        yield
        return
    handle = os.open(path, os.O_RDWR)
    try:
        try:
            fcntl.lockf(handle, fcntl.LOCK_EX | fcntl.LOCK_NB, _SHARED_LONG, _SHARED_AT)
        except OSError as error:
            raise BackupError(
                tr("The logbook {path} is open in another program.", path=path),
                tr("Close it there, then go back to the backup; nothing was changed."),
            ) from error
        yield
    finally:
        os.close(handle)
