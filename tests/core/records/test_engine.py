"""The pragmas a logbook depends on, and how its transactions begin."""

from __future__ import annotations

import shutil
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from core.errors import LogbookError
from core.records import Logbook, engine, open_logbook
from core.records.engine import BUSY_MS, make_engine


@pytest.fixture
def logbook(made_once: Path, tmp_path: Path) -> Iterator[Logbook]:
    """Yield an empty logbook in a file; how a server is spoken to is in `test_server`."""
    with open_logbook(shutil.copyfile(made_once, tmp_path / "logbook.db")) as opened:
        yield opened


@pytest.mark.parametrize("verb", ["work", "look"])
def test_every_pragma_holds_inside_a_unit_of_work(logbook: Logbook, verb: str) -> None:
    with getattr(logbook, verb)() as work:
        found = {
            name: work._connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("foreign_keys", "journal_mode", "synchronous", "busy_timeout", "recursive_triggers")
        }
    assert found == {
        "foreign_keys": 1,
        "journal_mode": "wal",
        "synchronous": 2,
        "busy_timeout": BUSY_MS,
        "recursive_triggers": 1,
    }


def test_pragmas_hold_on_every_connection_of_the_pool(logbook: Logbook) -> None:
    with logbook.look() as first, logbook.look() as second:
        for work in (first, second):
            assert work._connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1


def test_upgrades_run_without_foreign_keys(tmp_path: Path) -> None:
    made = make_engine(tmp_path / "new.db", is_new=True, has_foreign_keys=False)
    with made.connect() as connection, connection.begin():
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 0
    made.dispose()


def test_a_table_made_in_a_transaction_goes_with_it(tmp_path: Path) -> None:
    made = make_engine(tmp_path / "new.db", is_new=True)
    with made.connect() as connection:
        connection.begin()
        connection.execute(text("CREATE TABLE half (id INTEGER) STRICT"))
    with made.connect() as connection:
        assert connection.execute(text("SELECT name FROM sqlite_master")).all() == []
    made.dispose()


def test_a_file_that_has_gone_is_not_made_anew(logbook: Logbook) -> None:
    logbook.close()
    Path(logbook.location).unlink()
    with pytest.raises((DBAPIError, sqlite3.OperationalError)):
        make_engine(Path(logbook.location)).connect()
    assert not Path(logbook.location).exists()


def test_a_drive_that_cannot_keep_a_wal_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    class NoWal(sqlite3.Connection):
        def execute(self, sql: str, *rest: object) -> sqlite3.Cursor:
            return super().execute(sql.replace("WAL", "DELETE"), *rest)

    real = sqlite3.connect
    monkeypatch.setattr(engine.sqlite3, "connect", lambda *args, **kwargs: real(*args, factory=NoWal, **kwargs))
    with pytest.raises(LogbookError, match="cannot keep a logbook safely"):
        open_logbook(tmp_path / "shop" / "logbook.db")
    assert list((tmp_path / "shop").iterdir()) == []


def test_every_connection_is_given_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[sqlite3.Connection] = []
    real = sqlite3.connect

    def connect(*args: Any, **kwargs: Any) -> sqlite3.Connection:
        made.append(real(*args, **kwargs))
        return made[-1]

    monkeypatch.setattr(engine.sqlite3, "connect", connect)
    with open_logbook(tmp_path / "logbook.db") as logbook:
        with logbook.look(), logbook.work() as work:
            work.add_person("Tam")
        with pytest.raises(ZeroDivisionError), logbook.work():
            _ = 1 / 0
    assert len(made) > 2
    for connection in made:
        with pytest.raises(sqlite3.ProgrammingError, match="closed"):
            connection.execute("SELECT 1")


def test_a_writer_takes_the_lock_at_once(logbook: Logbook) -> None:
    with (
        logbook.work(),
        closing(sqlite3.connect(logbook.location, timeout=0, isolation_level=None)) as other,
        pytest.raises(sqlite3.OperationalError, match="locked"),
    ):
        other.execute("BEGIN IMMEDIATE")


def test_a_reader_neither_waits_for_a_writer_nor_stops_one(logbook: Logbook) -> None:
    started = time.monotonic()
    with logbook.look() as looking, logbook.work() as writing:
        writing.add_person("Tam")
        assert looking.people() == []
        writing.commit()
        # All of a look is from one moment.
        assert looking.people() == []
    assert time.monotonic() - started < BUSY_MS / 1000
    with logbook.look() as looking:
        assert [person.name for person in looking.people()] == ["Tam"]
