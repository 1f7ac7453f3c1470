"""A copy that is whole, or none."""

from __future__ import annotations

import errno
import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from core.errors import LogbookError
from core.records import Logbook, backup, open_logbook
from core.records.backup import copy_logbook, put_in_place

from .conftest import FACTS, LIMITS, new_job, new_reading


def test_a_copy_made_while_others_work_opens_with_every_row(logbook: Logbook, tmp_path: Path) -> None:
    with logbook.work() as work:
        job = new_job(work, work.add_card_revision("Orrin B", LIMITS, FACTS, "Tam"))
        written = [new_reading(work, job, 0.01 * count) for count in range(1, 50)]
        work.commit()
    target = tmp_path / "copy.db"
    with logbook.work() as work:
        new_reading(work, job, 0.09)
        copy_logbook(Path(logbook.location), target)
    assert [entry.name for entry in tmp_path.glob("copy*")] == ["copy.db"]
    with open_logbook(target) as copied, copied.look() as work:
        assert work.readings(job.id) == written


def test_a_copy_never_overwrites(logbook: Logbook, tmp_path: Path) -> None:
    target = tmp_path / "copy.db"
    target.write_text("mine")
    with pytest.raises(FileExistsError):
        copy_logbook(Path(logbook.location), target)
    assert target.read_text() == "mine"
    assert not list(tmp_path.glob("*.partial"))


def test_a_damaged_logbook_makes_no_copy(logbook: Logbook, tmp_path: Path) -> None:
    logbook.close()
    path = Path(logbook.location)
    content = bytearray(path.read_bytes())
    content[4096 * 3 : 4096 * 4] = b"\xff" * 4096
    path.write_bytes(content)
    with pytest.raises((LogbookError, sqlite3.DatabaseError)):
        copy_logbook(path, tmp_path / "copy.db")
    assert not list(tmp_path.glob("copy*"))


@pytest.fixture
def no_links(monkeypatch: pytest.MonkeyPatch) -> None:
    """Behave like a drive that knows no hard links."""

    def refuse(*_: object) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", refuse)


@pytest.mark.usefixtures("no_links")
def test_a_drive_without_links_will_do(tmp_path: Path) -> None:
    open_logbook(tmp_path / "shop.db").close()
    assert [entry.name for entry in tmp_path.glob("*.db")] == ["shop.db"]


@pytest.mark.usefixtures("no_links")
def test_a_drive_without_links_overwrites_nothing_either(tmp_path: Path) -> None:
    made, target = tmp_path / "made", tmp_path / "target"
    made.write_text("new")
    target.write_text("mine")
    with pytest.raises(FileExistsError):
        put_in_place(made, target)
    assert target.read_text() == "mine"


def test_a_copy_that_does_not_read_back_is_thrown_away(
    logbook: Logbook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Liar(sqlite3.Connection):
        def execute(self, sql: str, *rest: object) -> sqlite3.Cursor:
            return super().execute("SELECT 'row 7 missing from index'" if "integrity" in sql else sql, *rest)

    real = sqlite3.connect
    monkeypatch.setattr(backup.sqlite3, "connect", lambda *args, **kwargs: real(*args, factory=Liar, **kwargs))
    with pytest.raises(LogbookError, match="does not read back"):
        copy_logbook(Path(logbook.location), tmp_path / "copy.db")
    assert not list(tmp_path.glob("copy*"))


def test_a_copy_is_one_file_without_a_wal(logbook: Logbook, tmp_path: Path) -> None:
    copy_logbook(Path(logbook.location), tmp_path / "copy.db")
    with closing(sqlite3.connect(tmp_path / "copy.db")) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)
