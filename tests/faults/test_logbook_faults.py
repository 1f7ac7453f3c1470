"""Foreign files, locked, full, read-only and damaged ones: one sentence, what to do, and nothing changed."""

from __future__ import annotations

import os
import shutil
import sqlite3
import struct
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import event, text
from sqlalchemy.exc import DBAPIError

from core.errors import LogbookError
from core.records import Logbook, engine, open_logbook
from core.records.faults import fault_of
from core.records.tables import APPLICATION_ID

Fill = Callable[[Path], object]


@pytest.fixture
def logbook(made_once: Path, tmp_path: Path) -> Iterator[Logbook]:
    """Yield an empty logbook."""
    (tmp_path / "shop").mkdir()
    with open_logbook(shutil.copyfile(made_once, tmp_path / "shop" / "logbook.db")) as opened:
        yield opened


@pytest.fixture
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    """Give up on a locked logbook soon."""
    monkeypatch.setattr(engine, "BUSY_MS", 50)


def refused(location: Path) -> LogbookError:
    """Open what cannot be opened, and return the refusal: a sentence that names the place, and what to do."""
    with pytest.raises(LogbookError) as caught:
        open_logbook(location)
    assert caught.value.message.endswith(".")
    assert caught.value.remedy.endswith(".")
    return caught.value


def all_files(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


# -- files of others -----------------------------------------------------------------------------------------------


def _sqlite(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for statement in statements:
            connection.execute(statement)


FOREIGN: dict[str, Fill] = {
    "empty": lambda path: path.touch(),
    "text": lambda path: path.write_text("2407;K-1183;0.08 mm\n" * 20),
    "noise": lambda path: path.write_bytes(bytes(range(256)) * 40),
    "a truncated header": lambda path: path.write_bytes(b"SQLite format 3\0" + b"\x10\0\x01\x01"),
    "an empty database": lambda path: _sqlite(path, "VACUUM"),
    "another program's database": lambda path: _sqlite(path, "CREATE TABLE job (id)", "INSERT INTO job VALUES (1)"),
    "another program's mark": lambda path: _sqlite(path, "CREATE TABLE job (id)", "PRAGMA application_id = 7"),
    "another program's WAL": lambda path: _sqlite(path, "PRAGMA journal_mode = WAL", "CREATE TABLE job (id)"),
    "a table of versions": lambda path: _sqlite(path, "CREATE TABLE alembic_version (version_num)"),
    "a PDF": lambda path: path.write_bytes(b"%PDF-1.4\n" + b"x" * 500),
}


@pytest.mark.parametrize("fill", FOREIGN.values(), ids=FOREIGN)
def test_a_file_that_is_no_logbook_is_refused_and_left_alone(tmp_path: Path, fill: Fill) -> None:
    path = tmp_path / "shop" / "logbook.db"
    path.parent.mkdir()
    fill(path)
    before, times = all_files(path.parent), path.stat()
    assert "is not a logbook" in refused(path).message
    assert all_files(path.parent) == before
    assert path.stat().st_mtime_ns == times.st_mtime_ns


def test_a_folder_is_refused(tmp_path: Path) -> None:
    assert "is a folder" in refused(tmp_path).message


@pytest.mark.parametrize("device", ["/dev/null", "/dev/zero"])
def test_a_device_is_refused(device: str) -> None:
    assert "not an ordinary file" in refused(Path(device)).message


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_refused_and_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert "not an ordinary file" in refused(tmp_path / "pipe").message


def test_a_link_that_leads_nowhere_is_refused(tmp_path: Path) -> None:
    (tmp_path / "logbook.db").symlink_to(tmp_path / "gone" / "logbook.db")
    assert "not an ordinary file" in refused(tmp_path / "logbook.db").message
    assert [entry.name for entry in tmp_path.iterdir()] == ["logbook.db"]


def test_a_link_to_a_logbook_is_followed(logbook: Logbook, tmp_path: Path) -> None:
    (tmp_path / "link.db").symlink_to(logbook.location)
    with open_logbook(tmp_path / "link.db") as linked, linked.work() as work:
        work.add_person("Tam")
        work.commit()
    with logbook.look() as work:
        assert [person.name for person in work.people()] == ["Tam"]


# -- places where nothing can be kept ------------------------------------------------------------------------------


def test_a_path_through_a_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    refused(tmp_path / "notes.txt" / "logbook.db")
    assert (tmp_path / "notes.txt").read_text() == "mine"


def test_a_name_too_long_for_the_disk_is_refused(tmp_path: Path) -> None:
    refused(tmp_path / ("x" * 300) / "logbook.db")
    refused(tmp_path / ("x" * 300))
    assert list(tmp_path.iterdir()) == []


@contextmanager
def as_nobody() -> Iterator[None]:
    """Lose the privileges of root for a while: nothing is unwritable to root."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """Yield a folder anybody may reach; pytest's own belong to whoever runs it."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    yield folder
    for path in (folder, *folder.rglob("*")):
        path.chmod(0o700)
    shutil.rmtree(folder)


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="this system has no file modes")
def test_a_folder_that_may_not_be_written_is_refused(open_folder: Path) -> None:
    open_folder.chmod(0o555)
    with as_nobody():
        assert "may not be written" in refused(open_folder / "logbook.db").message
        assert "may not be written" in refused(open_folder / "new" / "logbook.db").message
    assert list(open_folder.iterdir()) == []


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="this system has no file modes")
def test_a_file_that_may_not_be_written_is_refused(open_folder: Path) -> None:
    path = open_folder / "logbook.db"
    open_logbook(path).close()
    path.chmod(0o444)
    open_folder.chmod(0o777)
    before = all_files(open_folder)
    with as_nobody():
        assert "may not be written" in refused(path).message
    assert all_files(open_folder) == before


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="this system has no file modes")
def test_a_logbook_in_a_folder_that_may_not_be_written_is_refused(open_folder: Path) -> None:
    path = open_folder / "logbook.db"
    open_logbook(path).close()
    path.chmod(0o666)
    open_folder.chmod(0o555)
    before = all_files(open_folder)
    with as_nobody():
        assert "folder" in refused(path).remedy
    assert all_files(open_folder) == before


# -- locked, full, gone, damaged -----------------------------------------------------------------------------------


@contextmanager
def held(location: str, how: str) -> Iterator[None]:
    with closing(sqlite3.connect(location, isolation_level=None)) as other:
        other.execute("PRAGMA locking_mode = EXCLUSIVE" if how == "EXCLUSIVE" else "SELECT 1")
        other.execute(f"BEGIN {how}")
        yield


@pytest.mark.usefixtures("impatient")
def test_a_logbook_another_program_writes_in_says_so_and_keeps_what_was_there(tmp_path: Path) -> None:
    with open_logbook(tmp_path / "logbook.db") as logbook:
        with held(logbook.location, "IMMEDIATE"):
            with pytest.raises(LogbookError, match="in use by another program"), logbook.work() as work:
                work.add_person("Tam")
            with logbook.look() as work:
                assert work.people() == []
        with logbook.work() as work:
            work.add_person("Tam")
            work.commit()


@pytest.mark.usefixtures("impatient")
def test_a_logbook_another_program_has_for_itself_cannot_be_opened(tmp_path: Path) -> None:
    path = tmp_path / "logbook.db"
    open_logbook(path).close()
    with held(str(path), "EXCLUSIVE"):
        assert "in use by another program" in refused(path).message
    open_logbook(path).close()


def limit_pages(logbook: Logbook, pages: int) -> None:
    """Let the file grow to so many pages and no further, as a full disk would."""

    def limit(connection: Any, _: object) -> None:
        connection.execute(f"PRAGMA max_page_count = {pages}")

    event.listen(logbook._engine, "connect", limit)


def test_a_full_disk_says_so_and_nothing_is_half_written(logbook: Logbook) -> None:
    limit_pages(logbook, 1)  # SQLite takes the present size where that is more
    written = 0
    with pytest.raises(LogbookError, match="is full"):
        for count in range(10_000):
            with logbook.work() as work:
                work.add_part("ring", "", f"{count} " + "x" * 150, 2.5)
                work.add_part("ring", "", f"{count} again", 2.5)
                work.commit()
                written += 2
    with logbook.look() as work:
        assert len(work.parts()) == written


def test_a_full_disk_makes_no_new_logbook(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = engine._set_pragmas

    def cramped(connection: sqlite3.Connection, *rest: Any) -> None:
        real(connection, *rest)
        connection.execute("PRAGMA max_page_count = 8")

    monkeypatch.setattr(engine, "_set_pragmas", cramped)
    assert "is full" in refused(tmp_path / "shop" / "logbook.db").message
    assert list((tmp_path / "shop").iterdir()) == []


def test_a_logbook_that_was_taken_away_says_so_and_is_not_made_anew(logbook: Logbook) -> None:
    logbook.close()
    Path(logbook.location).unlink()
    with pytest.raises(LogbookError, match="cannot be opened"), logbook.work() as work:
        work.people()
    assert not Path(logbook.location).exists()


def _overwrite(path: Path, start: int, content: bytes) -> None:
    with path.open("r+b") as file:
        file.seek(start)
        file.write(content)


def _garble_a_table(path: Path) -> None:
    _overwrite(path, path.read_bytes().index(b"CREATE TABLE reading") + 7, b"\xff\xfe")


DAMAGE: dict[str, Fill] = {
    "its end torn off": lambda path: os.truncate(path, 4096 * 2 + 100),
    "only its header left": lambda path: os.truncate(path, 100),
    "its page size": lambda path: _overwrite(path, 16, b"\xff\xff"),
    "its list of tables": lambda path: _overwrite(path, 100, b"\xff" * 3000),
    "the words of its tables": _garble_a_table,
    "the format of its writer": lambda path: _overwrite(path, 44, b"\xff\xff\xff\xff"),
}


@pytest.mark.parametrize("damage", DAMAGE.values(), ids=DAMAGE)
def test_a_damaged_logbook_is_refused_and_left_alone(tmp_path: Path, damage: Fill) -> None:
    path = tmp_path / "logbook.db"
    open_logbook(path).close()
    damage(path)
    before = path.read_bytes()
    assert "backup" in refused(path).remedy
    assert path.read_bytes() == before


@given(where=st.integers(0, 4096 * 2), content=st.binary(min_size=1, max_size=64))
def test_whatever_happened_to_its_first_pages_opening_it_ends_in_a_sentence(
    damaged_copy: Callable[[], Path], where: int, content: bytes
) -> None:
    path = damaged_copy()
    _overwrite(path, where, content)
    try:
        open_logbook(path).close()
    except LogbookError as error:
        assert error.remedy


@pytest.fixture(scope="module")
def damaged_copy(tmp_path_factory: pytest.TempPathFactory) -> Callable[[], Path]:
    """Return a function that makes a fresh logbook to be damaged."""
    folder = tmp_path_factory.mktemp("damaged")
    open_logbook(folder / "whole.db").close()

    def make() -> Path:
        for leftover in folder.glob("damaged.db*"):
            leftover.unlink()
        return Path(shutil.copyfile(folder / "whole.db", folder / "damaged.db"))

    return make


def test_damage_met_while_working_says_so(logbook: Logbook) -> None:
    with logbook.work() as work:
        for count in range(400):
            work.add_part("ring", "", f"{count} " + "x" * 150, 2.5)
        work.commit()
    logbook.close()
    path = Path(logbook.location)
    pages = path.stat().st_size // 4096
    _overwrite(path, (pages - 8) * 4096, b"\xff" * 4096 * 8)
    with pytest.raises(LogbookError, match="is damaged"), logbook.look() as work:
        work.parts()


def test_a_header_with_our_mark_and_nothing_else_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "logbook.db"
    _sqlite(path, "CREATE TABLE job (id)", f"PRAGMA application_id = {APPLICATION_ID}")
    assert struct.unpack_from(">I", path.read_bytes(), 68) == (APPLICATION_ID,)
    assert "which version" in refused(path).message


def test_a_bug_is_not_taken_for_a_fault_of_the_disk(logbook: Logbook) -> None:
    with pytest.raises(DBAPIError), logbook.look() as work:
        work._connection.execute(text("SELECT nothing FROM nowhere"))
    with pytest.raises(ZeroDivisionError), logbook.look():
        _ = 1 / 0
    assert fault_of(ValueError("a bug"), logbook.location) is None
