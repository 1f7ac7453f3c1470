"""Tells when another bench has written: by the server's own message, or by looking at the file every second."""

from __future__ import annotations

import contextlib
import sqlite3
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import URL

from core.records.engine import CHANNEL, CONNECT_S

if TYPE_CHECKING:
    from core.records.logbook import Logbook

LOOK_EVERY_S = 1.0
"""How soon what another program wrote into the file is seen [s]."""
RETRY_S = 5.0
"""How long after a server was lost it is asked again [s]."""


@dataclass(frozen=True)
class Changes:
    """What other benches wrote since: up to which entry of the trail, in which jobs, in which tables, and who."""

    up_to: int
    jobs: frozenset[int]
    tables: frozenset[str]
    people: tuple[str, ...] = ()


class Watch:
    """Looks out for what other benches write, on a thread of its own, until it is closed.

    Parameters
    ----------
    logbook : Logbook
        The logbook, as this bench has it open.
    told : callable
        Gets each `Changes`, on the watching thread.
    """

    def __init__(self, logbook: Logbook, told: Callable[[Changes], None]) -> None:
        self._logbook = logbook
        self._told = told
        self._stop = threading.Event()
        with logbook.look() as work:
            self._seen = work.last_entry()
        listen = self._listen if isinstance(logbook.place, URL) else self._poll
        self._thread = threading.Thread(target=self._until_closed, args=(listen,), name="pinionbook-watch", daemon=True)
        self._thread.start()

    def close(self) -> None:
        """Stop looking; nothing is told after this."""
        self._stop.set()
        self._thread.join()

    def _until_closed(self, listen: Callable[[], None]) -> None:
        while not self._stop.is_set():
            # A file that is locked for a moment or a server that restarts is no reason to stop looking.
            with contextlib.suppress(Exception):
                listen()
            self._stop.wait(RETRY_S)

    def _poll(self) -> None:
        path = self._logbook.place
        if not isinstance(path, Path):
            return
        with contextlib.closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)) as connection:
            before = None
            while not self._stop.is_set():
                # Changes whenever another connection wrote, at the price of reading one number.
                (now,) = connection.execute("PRAGMA data_version").fetchone()
                if now != before:
                    before = now
                    self._look()
                self._stop.wait(LOOK_EVERY_S)

    def _listen(self) -> None:
        import psycopg

        place = self._logbook.place
        if not isinstance(place, URL):
            return
        address = place.set(drivername="postgresql").render_as_string(hide_password=False)
        with psycopg.connect(address, autocommit=True, connect_timeout=CONNECT_S) as connection:
            connection.execute(f"LISTEN {CHANNEL}")
            # What was written before it listened, or while the server was away.
            self._look()
            while not self._stop.is_set():
                for _ in connection.notifies(timeout=LOOK_EVERY_S, stop_after=1):
                    self._look()

    def _look(self) -> None:
        with self._logbook.look() as work:
            changes = work.changes_since(self._seen, not_by=self._logbook.bench)
        self._seen = changes.up_to
        if changes.tables and not self._stop.is_set():
            self._told(changes)
