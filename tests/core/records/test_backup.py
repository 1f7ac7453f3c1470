"""A copy that is whole, or none."""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from core.errors import BackupError, DamagedLogbookError
from core.records import Logbook, backup, open_logbook
from core.records.backup import contents, make_snapshot, put_in_place, reading

from .conftest import FACTS, LIMITS, new_job, new_reading


@pytest.fixture
def in_file(made_once: Path, tmp_path: Path) -> Iterator[Logbook]:
    """Yield an empty logbook in a file."""
    with open_logbook(shutil.copyfile(made_once, tmp_path / "logbook.db")) as opened:
        yield opened


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.glob("copy*"))


def test_a_copy_made_while_others_work_opens_with_every_row(logbook: Logbook, tmp_path: Path) -> None:
    with logbook.work() as work:
        job = new_job(work, work.add_card_revision("Orrin B", LIMITS, FACTS, "Tam"))
        written = [new_reading(work, job, 0.01 * count) for count in range(1, 50)]
        head = work.head()
        work.commit()
    target = tmp_path / "copy.db"
    with logbook.work() as work:
        new_reading(work, job, 0.09)
        make_snapshot(logbook.place, target)
    assert names(tmp_path) == ["copy.db"]
    with open_logbook(target) as copied, copied.look() as work:
        assert work.readings(job.id) == written
        assert work.head() == head


def test_a_copy_never_overwrites(logbook: Logbook, tmp_path: Path) -> None:
    target = tmp_path / "copy.db"
    target.write_text("mine")
    with pytest.raises(BackupError, match="already"):
        make_snapshot(logbook.place, target)
    assert target.read_text() == "mine"
    assert names(tmp_path) == ["copy.db"]


def test_a_copy_is_one_file_without_a_wal(logbook: Logbook, tmp_path: Path) -> None:
    make_snapshot(logbook.place, tmp_path / "copy.db")
    with closing(sqlite3.connect(tmp_path / "copy.db")) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)
    assert names(tmp_path) == ["copy.db"]


def test_a_copy_is_of_one_moment_though_somebody_writes_while_it_is_made(
    in_file: Logbook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = backup._make_one_file

    def written_meanwhile(copy: sqlite3.Connection) -> None:
        real(copy)
        with in_file.work() as work:
            work.add_person("Tam")
            work.commit()

    monkeypatch.setattr(backup, "_make_one_file", written_meanwhile)
    make_snapshot(in_file.place, tmp_path / "copy.db")
    with open_logbook(tmp_path / "copy.db") as copied, copied.look() as work:
        assert work.people() == []
    with in_file.look() as work:
        assert [person.name for person in work.people()] == ["Tam"]


@pytest.mark.parametrize("page", [3, 4, 5])
def test_a_damaged_logbook_makes_no_copy_and_says_whose_fault_it_is(
    in_file: Logbook, tmp_path: Path, page: int
) -> None:
    in_file.close()
    path = Path(in_file.location)
    content = bytearray(path.read_bytes())
    content[4096 * page : 4096 * (page + 1)] = b"\xff" * 4096
    path.write_bytes(content)
    with pytest.raises(DamagedLogbookError):
        make_snapshot(path, tmp_path / "copy.db")
    assert names(tmp_path) == []


def test_a_copy_that_is_not_what_was_copied_is_thrown_away(
    in_file: Logbook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with in_file.work() as work:
        work.add_person("Tam")
        work.commit()
    real = backup._make_one_file

    def forgets_a_letter(copy: sqlite3.Connection) -> None:
        copy.execute("UPDATE person SET name = 'Tim'")
        real(copy)

    monkeypatch.setattr(backup, "_make_one_file", forgets_a_letter)
    with pytest.raises(BackupError, match="does not read back"):
        make_snapshot(in_file.place, tmp_path / "copy.db")
    assert names(tmp_path) == []


@pytest.mark.parametrize("page", [0, 3])
def test_a_copy_whose_pages_make_no_sense_is_thrown_away(
    in_file: Logbook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, page: int
) -> None:
    real = backup._compare

    def worn_out(source: sqlite3.Connection, partial: Path, path: Path) -> None:
        with partial.open("r+b") as file:
            file.seek(4096 * page)
            file.write(b"\xff" * 4096)
        real(source, partial, path)

    monkeypatch.setattr(backup, "_compare", worn_out)
    with pytest.raises(BackupError, match="does not read back"):
        make_snapshot(in_file.place, tmp_path / "copy.db")
    assert names(tmp_path) == []


def test_contents_tell_any_two_rows_apart(tmp_path: Path) -> None:
    def held(*statements: str) -> backup.Contents:
        with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
            for statement in ("CREATE TABLE t (a, b)", *statements):
                connection.execute(statement)
            return contents(connection)

    rows = ("(1, 'x')", "(1.5, 'x')", "('1', 'x')", "(NULL, 'x')", "('1x', '')", "(1, x'ff')", "(2, 'x')")
    seen = [held(f"INSERT INTO t VALUES {row}") for row in rows]
    seen += [held(), held("INSERT INTO t VALUES (1, 'x'), (1, 'x')"), held("CREATE TABLE u (a)")]
    assert len({repr(one) for one in seen}) == len(seen)
    assert held("INSERT INTO t VALUES (1, 'x')") == held("INSERT INTO t VALUES (1, 'x')")
    assert held()["t"][0] == 0


def test_a_text_that_is_none_can_be_compared(tmp_path: Path) -> None:
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
        connection.execute("CREATE TABLE t (a TEXT)")
        connection.execute("INSERT INTO t VALUES (CAST(x'ff41' AS TEXT))")
        assert contents(connection)["t"][0] == 1


def test_reading_a_copy_leaves_nothing_behind(in_file: Logbook, tmp_path: Path) -> None:
    make_snapshot(in_file.place, tmp_path / "copy.db")
    with closing(reading(tmp_path / "copy.db")) as connection:
        assert contents(connection)["trail"][0] == 0
        with pytest.raises(sqlite3.OperationalError):
            connection.execute("DELETE FROM trail")
    assert names(tmp_path) == ["copy.db"]


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
