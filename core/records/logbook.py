"""The logbook as the rest of the program knows it: open it, work in it, look into it, close it."""

from __future__ import annotations

import platform
import secrets
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from core.errors import DamagedLogbookError
from core.records.engine import make_engine
from core.records.faults import faults_told
from core.records.location import Place, default_location, in_words, place_of
from core.records.opening import make_ready
from core.records.unit_of_work import Hand
from core.records.verify import Checked, verify
from core.records.watch import Changes, Watch
from core.records.work import Work


def utc_now() -> datetime:
    """Return the present moment, in UTC."""
    return datetime.now(UTC)


class Logbook:
    """An open logbook; safe to use from several threads, since each unit of work has its own connection.

    Parameters
    ----------
    place : Path or URL
        A logbook that is up to date (`open_logbook` sees to that).
    clock : callable
        Returns the present moment (aware); what lies after it is refused.
    """

    def __init__(self, place: Place, clock: Callable[[], datetime] = utc_now) -> None:
        self.place = place
        self.location = in_words(place)
        self._clock = clock
        self.bench = f"{platform.node()}/{secrets.token_hex(4)}"
        self._engine = make_engine(place)
        self._watches: list[Watch] = []

    def work(self, *, by: str = "", doing: str = "") -> AbstractContextManager[Work]:
        """Return a unit of work that may write; it rolls back unless `Work.commit` was called.

        Parameters
        ----------
        by : str
            The name of who writes, for the trail.
        doing : str
            What is being done, for the trail: the verb's name.

        Raises
        ------
        LogbookError
            The file is locked, full, gone, read-only or damaged.
        """
        return self._unit(Hand(self.bench, by, doing))

    def look(self) -> AbstractContextManager[Work]:
        """Return a unit of work that only reads, all of it from one moment, and keeps no writer waiting."""
        return self._unit(None)

    @contextmanager
    def _unit(self, hand: Hand | None) -> Iterator[Work]:
        is_writing = hand is not None
        with faults_told(self.location, is_entering=is_writing), self._engine.connect() as connection:
            connection.execution_options(is_writing=is_writing)
            connection.begin()
            # Closing the connection rolls back whatever was not committed.
            yield Work(connection, self._clock, may_write=is_writing, hand=hand)

    def watch(self, told: Callable[[Changes], None]) -> Watch:
        """Look out for what other benches write, until the watch or the logbook is closed."""
        watch = Watch(self, told)
        self._watches.append(watch)
        return watch

    def verify(self) -> Checked:
        """Compare every row with the trail, and the trail with itself."""
        return verify(self.place)

    def close(self) -> None:
        """Give the file back; whatever was committed is in it."""
        # A watch closed by whoever asked for it may be closed again.
        for watch in self._watches:
            watch.close()
        self._engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def open_logbook(
    location: str | Place | None = None, *, clock: Callable[[], datetime] = utc_now, backups: Path | None = None
) -> Logbook:
    """Open a logbook; a new one is made where there is none, an older one is brought up to date after a backup.

    Parameters
    ----------
    location : str, Path or URL, optional
        A path, a ``sqlite:///`` or a ``postgresql://`` URL; default: `default_location`.
    clock : callable
        Returns the present moment (aware).
    backups : Path, optional
        The folder backups are kept in, where it is not the usual one beside the logbook.

    Raises
    ------
    NewerLogbookError
        It was written by a newer program.
    DamagedLogbookError
        It makes no sense any more; the error names the newest good backup, and what going back to it would lose.
    LogbookError
        It is no logbook, or it cannot be opened, written or upgraded; the file is as it was.
    """
    place = default_location() if location is None else place_of(location)
    try:
        make_ready(place)
    except DamagedLogbookError as error:
        # Loads everything a check of backups needs, which is seldom.
        from core.records.recovery import with_way_back

        raise with_way_back(error, place, backups) from error
    return Logbook(place, clock)
