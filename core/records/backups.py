"""The backups of a logbook: where they are, what they are called, when the next is due, which are kept."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable, Iterable
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from sqlalchemy import URL

from core.errors import BackupError
from core.language import tr
from core.records.backup import make_snapshot, reading, writing_told
from core.records.location import Place, default_file
from core.records.logbook import Logbook

DAYS, WEEKS, MONTHS = 7, 5, 12
"""How many days, weeks and months back one backup of each is kept."""
FOLDER = "backups"
_STAMP = "%Y%m%dT%H%M%SZ"
_NO_ENTRY = "empty"
_NAME = re.compile(r"(?P<stem>.+)-(?P<mark>[0-9a-f]{8}|empty)-(?P<at>[0-9]{8}T[0-9]{6}Z)\.db(?P<partial>\.partial)?")


@dataclass(frozen=True)
class Head:
    """The last entry of a trail: its number, when it was made, and its chain; `mark` tells one logbook from another."""

    entry: int
    at: datetime
    chain: str
    mark: str


@dataclass(frozen=True)
class Backup:
    """One backup: its file, when it was made, its size [bytes], and where its trail ends if that can be read."""

    path: Path
    made_at: datetime
    size: int
    head: Head | None


@dataclass(frozen=True)
class BackupState:
    """Where backups go, the newest of them, and how many entries were made since; None where that cannot be told."""

    folder: Path
    is_there: bool
    newest: Backup | None
    entries_since: int | None


# -- which are kept ----------------------------------------------------------------------------------------------------


def kept(times: Iterable[datetime], now: datetime) -> set[datetime]:
    """Return which of some backups are kept, by when they were made.

    All of the last day, the last one of each of 7 days, 5 weeks and 12 months, the present ones included; the newest,
    however old; and what claims to come from the future, since then it is the clock that cannot be trusted.

    Parameters
    ----------
    times : iterable of datetime
        When each was made, with its time zone.
    now : datetime
        The present moment.
    """
    moments = sorted(set(times))
    keep = {moment for moment in moments[:-1] if moment > now - timedelta(days=1)} | set(moments[-1:])
    for number_of, most in ((_day, DAYS), (_week, WEEKS), (_month, MONTHS)):
        # In order, so that the last of each remains.
        last = {number_of(moment): moment for moment in moments}
        keep |= {moment for number, moment in last.items() if number > number_of(now) - most}
    return keep


def _day(moment: datetime) -> int:
    return moment.astimezone(UTC).toordinal()


def _week(moment: datetime) -> int:
    # Day 1 was a Monday.
    return (_day(moment) - 1) // 7


def _month(moment: datetime) -> int:
    at = moment.astimezone(UTC)
    return 12 * at.year + at.month


def wall_time(moment: datetime) -> str:
    """Return a moment as the clock on the wall shows it."""
    return moment.astimezone().strftime("%Y-%m-%d %H:%M")


# -- where they are ----------------------------------------------------------------------------------------------------


def usual_folder(place: Place) -> Path:
    """Return the folder backups are kept in where no other was chosen: beside the logbook, or among the user's data."""
    return (default_file() if isinstance(place, URL) else place).parent / FOLDER


def stem_of(place: Place) -> str:
    """Return what the backups of a logbook begin with: its name."""
    return str(place.database) if isinstance(place, URL) else place.stem


def backups_in(folder: Path, place: Place, mark: str = "") -> list[Backup]:
    """Return the backups of a logbook that lie in a folder, the one that goes furthest first.

    Parameters
    ----------
    folder : Path
        Where to look; one that is not there holds none.
    place : Path or URL
        The logbook.
    mark : str
        Its mark where it is known, "" to take any logbook of that name.
    """
    found = [_backup(path, at) for path, at in _named(folder, stem_of(place), mark)]
    return sorted(found, key=how_far, reverse=True)


def backups_of(place: Place, folder: Path | None = None, mark: str = "") -> list[Backup]:
    """Return the backups of a logbook in its usual folder and, if given, in another, as `backups_in` does."""
    folders = {usual_folder(place), folder or usual_folder(place)}
    found = [backup for one in folders for backup in backups_in(one, place, mark)]
    return sorted(found, key=how_far, reverse=True)


def how_far(backup: Backup) -> tuple[datetime, datetime]:
    """Return how far a backup goes, to sort by."""
    # By its last entry rather than by its name: the trail never runs backwards, a clock may.
    return (backup.made_at if backup.head is None else backup.head.at, backup.made_at)


def _named(folder: Path, stem: str, mark: str, *, is_partial: bool = False) -> list[tuple[Path, datetime]]:
    """Return the files that have the name of a backup, and when each says it was made; all others are none of ours."""
    found = []
    for path in _files_in(folder):
        name = _NAME.fullmatch(path.name)
        if name is None or name["stem"] != stem or bool(name["partial"]) != is_partial:
            continue
        if mark and name["mark"] != mark:
            continue
        with suppress(ValueError):
            found.append((path, datetime.strptime(name["at"], _STAMP).replace(tzinfo=UTC)))
    return found


def _files_in(folder: Path) -> list[Path]:
    try:
        return [path for path in folder.iterdir() if path.is_file() and not path.is_symlink()]
    except OSError:
        return []


def _backup(path: Path, at: datetime) -> Backup:
    try:
        size = path.stat().st_size
    except OSError:
        size = 0
    return Backup(path, at, size, head_in(path))


def head_in(path: Path) -> Head | None:
    """Return where the trail in a file ends; None where it has none, or none that can be read."""
    try:
        with closing(reading(path)) as connection:
            last = connection.execute("SELECT id, at, chain FROM trail ORDER BY id DESC LIMIT 1").fetchone()
            first = connection.execute("SELECT chain FROM trail WHERE id = 1").fetchone()
        mark = _mark(first and first[0])
        return None if last is None else Head(last[0], datetime.fromisoformat(last[1]), last[2], mark)
    except (sqlite3.Error, OSError, ValueError, TypeError):
        return None


def _mark(chain: str | None) -> str:
    # Two benches that each call theirs logbook.db may keep their backups on one drive.
    return chain[:8] if chain else _NO_ENTRY


def mark_of(logbook: Logbook) -> str:
    """Return what tells a logbook from every other of its name: the beginning of its trail."""
    with logbook.look() as work:
        return _mark(work.chain_at(1))


# -- making one --------------------------------------------------------------------------------------------------------


def state_of(logbook: Logbook, folder: Path) -> BackupState:
    """Return how the backups of a logbook stand in a folder."""
    mark = mark_of(logbook)
    newest = next(iter(backups_in(folder, logbook.place, mark)), None)
    return BackupState(folder, folder.is_dir(), newest, _entries_since(logbook, newest))


def _entries_since(logbook: Logbook, newest: Backup | None) -> int | None:
    with logbook.look() as work:
        last = work.last_entry()
        if newest is None:
            return last
        if newest.head is None:
            return None
        # After going back to an older backup the numbers run anew: only the chain tells that both are of one line.
        return last - newest.head.entry if work.chain_at(newest.head.entry) == newest.head.chain else None


def make_backup(logbook: Logbook, folder: Path, clock: Callable[[], datetime]) -> Backup:
    """Make a backup in a folder, and then let go of those that need not be kept.

    Parameters
    ----------
    logbook : Logbook
        The logbook; others may go on working in it.
    folder : Path
        Where; only the usual one is made where it is missing, since any other may be a drive that was pulled out.
    clock : callable
        Returns the present moment (aware).

    Raises
    ------
    DamagedLogbookError
        The logbook itself does not read back whole.
    BackupError
        The folder is not there, not writable or full; nothing half-made is left.
    """
    _need_folder(folder, logbook.place)
    mark, now = mark_of(logbook), clock()
    target, at = _free_name(folder, stem_of(logbook.place), mark, now)
    make_snapshot(logbook.place, target)
    _let_go(folder, stem_of(logbook.place), mark, now, just_made=target)
    return _backup(target, at)


def name_in(folder: Path, logbook: Logbook, now: datetime) -> Path:
    """Return a free name for a backup in a folder."""
    return _free_name(folder, stem_of(logbook.place), mark_of(logbook), now)[0]


def _need_folder(folder: Path, place: Place) -> None:
    if folder == usual_folder(place):
        with writing_told(folder / FOLDER):
            folder.mkdir(parents=True, exist_ok=True)
    if not folder.is_dir():
        raise BackupError(
            tr("The folder for backups {folder} is not there.", folder=folder),
            tr("Plug its drive in, or choose another folder for backups."),
        )


def _free_name(folder: Path, stem: str, mark: str, now: datetime) -> tuple[Path, datetime]:
    at = now.astimezone(UTC).replace(microsecond=0)
    while (target := folder / f"{stem}-{mark}-{at.strftime(_STAMP)}.db").exists():
        at += timedelta(seconds=1)
    return target, at


def _let_go(folder: Path, stem: str, mark: str, now: datetime, just_made: Path) -> None:
    """Delete the backups the rule does not keep, and what a power cut left half made."""
    named = _named(folder, stem, mark)
    keep = kept((at for _, at in named), now)
    old = [path for path, at in named if at not in keep and path != just_made]
    # Another program may be at work on one that is younger.
    old += [path for path, at in _named(folder, stem, mark, is_partial=True) if at < now - timedelta(days=1)]
    for path in old:
        # One that cannot be deleted now is asked for again at the next backup.
        with suppress(OSError):
            path.unlink()
