"""The way back: good backups told from bad ones, what would be lost, and nothing overwritten."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import Table, func, select

from core.errors import BackupError, DamagedLogbookError, NewerLogbookError
from core.records import Logbook, open_logbook, recovery, tables
from core.records.backup import contents, make_snapshot, reading
from core.records.backups import Backup, make_backup, usual_folder
from core.records.engine import make_engine
from core.records.move import digest_of
from core.records.recovery import examine, find_way_back, loss_in_words, restore

from .conftest import NOW
from .lived_in import live_in

HOUR = timedelta(hours=1)
OLD_STEP = Path(__file__).parent / "old" / "0001.sql"


class Shop:
    """A shop with a logbook, whose clock goes on an hour at each backup."""

    def __init__(self, folder: Path) -> None:
        self.now = NOW
        self.path = folder / "logbook.db"
        self.folder = usual_folder(self.path)

    def open(self) -> Logbook:
        return open_logbook(self.path, clock=lambda: self.now)

    def add(self, *names: str) -> None:
        with self.open() as logbook, logbook.work() as work:
            for name in names:
                work.add_person(name)
            work.commit()

    def back_up(self) -> Backup:
        with self.open() as logbook:
            made = make_backup(logbook, self.folder, lambda: self.now)
        self.now += HOUR
        return made

    def people(self) -> list[str]:
        with self.open() as logbook, logbook.look() as work:
            return [person.name for person in work.people()]

    def damage(self) -> bytes:
        """Tear the list of tables out of the logbook, and return what is left of the file."""
        with self.path.open("r+b") as file:
            file.seek(100)
            file.write(b"\xff" * 3000)
        return self.path.read_bytes()

    def files(self) -> dict[str, bytes]:
        # What SQLite keeps for itself while it reads (-shm) says nothing.
        found = (path for path in sorted(self.path.parent.iterdir()) if path.is_file())
        return {path.name: path.read_bytes() for path in found if not path.name.endswith("-shm")}


@pytest.fixture
def shop(made_once: Path, tmp_path: Path) -> Iterator[Shop]:
    """Yield a shop with Tam in its logbook and in its one backup, and Jory in the logbook alone."""
    (tmp_path / "shop").mkdir()
    made = Shop(tmp_path / "shop")
    shutil.copyfile(made_once, made.path)
    made.add("Tam")
    yield made


def every() -> list[Table]:
    return list(tables.metadata.sorted_tables)


def garble(path: Path, page: int = 3) -> None:
    with path.open("r+b") as file:
        file.seek(4096 * page)
        file.write(b"\xff" * 4096)


# -- examining ---------------------------------------------------------------------------------------------------------


def test_a_good_backup(shop: Shop) -> None:
    examined = examine(shop.back_up().path)
    assert examined.findings == ()
    assert examined.head is not None and examined.head.entry == 1


@pytest.mark.parametrize("share", [0.0, 0.01, 0.3, 0.9, 0.999])
def test_a_half_copied_backup_is_refused(shop: Shop, share: float) -> None:
    path = shop.back_up().path
    os.truncate(path, int(path.stat().st_size * share))
    with pytest.raises(BackupError, match=r"is not a logbook|does not read back whole"):
        examine(path)


def test_a_backup_whose_last_page_is_empty_and_lacks_a_byte_is_refused(shop: Shop) -> None:
    path = shop.back_up().path
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("CREATE TABLE spare (id)")
    os.truncate(path, path.stat().st_size - 1)
    with pytest.raises(BackupError, match="does not read back whole"):
        examine(path)


def test_other_files_are_refused(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("milk, bread")
    with closing(sqlite3.connect(tmp_path / "other.db")) as connection:
        connection.execute("CREATE TABLE job (id)")
    for name in ("notes.txt", "other.db"):
        with pytest.raises(BackupError, match="not a logbook") as caught:
            examine(tmp_path / name)
        assert caught.value.remedy == "Choose another backup."
    with pytest.raises(BackupError, match="There is no backup"):
        examine(tmp_path / "gone.db")
    with pytest.raises(BackupError, match="is a folder"):
        examine(tmp_path)


def test_a_backup_of_a_newer_program_is_refused(shop: Shop) -> None:
    path = shop.back_up().path
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
        connection.commit()
    with pytest.raises(NewerLogbookError, match="newer version"):
        examine(path)


def test_a_backup_somebody_wrote_in_is_told(shop: Shop) -> None:
    path = shop.back_up().path
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("UPDATE person SET name = 'Tim'")
        connection.commit()
    (finding,) = examine(path).findings
    assert "Tim" in str(finding)


# -- the offer ---------------------------------------------------------------------------------------------------------


def test_a_damaged_logbook_offers_its_newest_backup_and_says_what_would_be_lost(shop: Shop) -> None:
    shop.back_up()
    newest = shop.back_up()
    shop.now += HOUR
    shop.add("Jory", "Wren")
    before = shop.damage()
    with pytest.raises(DamagedLogbookError) as caught:
        shop.open()
    way = caught.value.way_back
    assert way is not None
    assert (way.backup, way.made_at, way.up_to, way.is_sound) == (newest.path, newest.made_at, NOW, True)
    # The list of tables is gone, so the file cannot tell what it held.
    assert way.lost is None
    assert "Everything entered after 2026-03-02" in loss_in_words(way)
    assert f"pinionbook --logbook {shop.path} restore {newest.path}" in str(caught.value)
    assert shop.path.read_bytes() == before


def test_where_the_trail_can_still_be_read_the_entries_are_counted(shop: Shop) -> None:
    shop.back_up()
    shop.now += HOUR
    shop.add("Jory", "Wren")
    way = find_way_back(shop.path)
    assert way is not None
    assert (way.lost, way.last_at) == (2, shop.now)
    assert "lost: 2, the last from" in loss_in_words(way)


def test_where_nothing_was_entered_since_nothing_would_be_lost(shop: Shop) -> None:
    shop.back_up()
    way = find_way_back(shop.path)
    assert way is not None and way.lost == 0
    assert loss_in_words(way) == "Nothing that was entered would be lost."


def test_bad_backups_are_passed_over(shop: Shop) -> None:
    good = shop.back_up()
    for spoil in (garble, lambda path: os.truncate(path, 9000), lambda path: path.write_bytes(b"")):
        shop.add(f"after {spoil}")
        spoil(shop.back_up().path)
    shop.damage()
    way = find_way_back(shop.path)
    assert way is not None and way.backup == good.path


def test_one_that_does_not_agree_with_its_trail_is_the_second_best(shop: Shop) -> None:
    backups = [shop.back_up()]
    shop.add("Jory")
    backups.append(shop.back_up())
    for backup, offered in zip(reversed(backups), (backups[0], backups[1]), strict=True):
        with closing(sqlite3.connect(backup.path)) as connection:
            connection.execute("UPDATE person SET name = 'Tim' WHERE id = 1")
            connection.commit()
        way = find_way_back(shop.path)
        assert way is not None
        assert (way.backup, way.is_sound) == (offered.path, offered is backups[0])


def test_a_backup_on_a_stick_is_found_too(shop: Shop, tmp_path: Path) -> None:
    shop.back_up()
    shop.add("Jory")
    stick = tmp_path / "stick"
    stick.mkdir()
    with shop.open() as logbook:
        newer = make_backup(logbook, stick, lambda: shop.now)
    shop.damage()
    with pytest.raises(DamagedLogbookError) as caught:
        open_logbook(shop.path, backups=stick)
    assert caught.value.way_back is not None
    assert caught.value.way_back.backup == newer.path


def test_backups_of_another_logbook_of_that_name_are_not_offered(shop: Shop, tmp_path: Path) -> None:
    other = Shop(tmp_path / "other")
    other.folder = shop.folder
    other.path.parent.mkdir()
    other.add("Ferrin")
    shop.folder.mkdir()
    other.back_up()
    assert find_way_back(shop.path) is None


@pytest.mark.parametrize("left", [b"", b"SQLite format 3\0", b"milk and bread" * 100])
def test_a_file_that_is_no_logbook_any_more_is_offered_a_way_back(shop: Shop, left: bytes) -> None:
    backup = shop.back_up()
    shop.path.write_bytes(left)
    with pytest.raises(DamagedLogbookError, match="not a logbook") as caught:
        shop.open()
    assert caught.value.way_back is not None
    assert caught.value.way_back.backup == backup.path


def test_without_a_backup_there_is_no_offer(shop: Shop) -> None:
    shop.damage()
    with pytest.raises(DamagedLogbookError) as caught:
        shop.open()
    assert caught.value.way_back is None
    assert "pinionbook restore" in caught.value.remedy


def test_a_server_is_no_file() -> None:
    from core.records.location import place_of

    place = place_of("postgresql://bench@nowhere/pinionbook")
    assert find_way_back(place) is None
    with pytest.raises(BackupError, match="server"):
        restore(Path("x.db"), place, NOW)


# -- going back --------------------------------------------------------------------------------------------------------


def test_going_back_keeps_what_lay_there(shop: Shop) -> None:
    backup = shop.back_up()
    shop.add("Jory")
    damaged = shop.damage()
    with closing(reading(backup.path)) as connection:
        wanted = contents(connection)
    done = restore(backup.path, shop.path, shop.now)
    assert done.path == shop.path
    assert done.kept_as == shop.path.with_name("logbook-before-restore-20260302T090000Z.db")
    assert done.kept_as.read_bytes() == damaged
    with closing(reading(shop.path)) as connection:
        assert contents(connection) == wanted
    assert shop.people() == ["Tam"]
    assert backup.path.exists()


def test_the_copy_that_was_kept_can_be_gone_back_to(shop: Shop) -> None:
    backup = shop.back_up()
    shop.add("Jory")
    done = restore(backup.path, shop.path, shop.now)
    assert done.kept_as is not None
    again = restore(done.kept_as, shop.path, shop.now)
    assert again.kept_as is not None and again.kept_as.name.endswith("Z-2.db")
    assert shop.people() == ["Tam", "Jory"]


def test_a_logbook_that_is_gone_comes_back_and_so_does_its_folder(shop: Shop, tmp_path: Path) -> None:
    backup = shop.back_up()
    shop.path.unlink()
    assert restore(backup.path, shop.path, shop.now).kept_as is None
    assert shop.people() == ["Tam"]
    restore(backup.path, tmp_path / "new" / "place" / "logbook.db", shop.now)
    with open_logbook(tmp_path / "new" / "place" / "logbook.db") as logbook, logbook.look() as work:
        assert [person.name for person in work.people()] == ["Tam"]


def test_what_is_in_the_wal_goes_aside_with_its_file(shop: Shop) -> None:
    backup = shop.back_up()
    # A program that was killed leaves its last entries in the WAL.
    subprocess.run(
        [
            sys.executable,
            "-c",
            "import os, sys\n"
            "from core.records import open_logbook\n"
            "with open_logbook(sys.argv[1]).work() as work:\n"
            "    work.add_person('Jory'); work.commit(); os._exit(0)\n",
            str(shop.path),
        ],
        check=True,
    )
    assert (shop.path.parent / "logbook.db-wal").stat().st_size > 0
    done = restore(backup.path, shop.path, shop.now)
    assert shop.people() == ["Tam"]
    assert done.kept_as is not None
    with open_logbook(done.kept_as) as logbook, logbook.look() as work:
        assert [person.name for person in work.people()] == ["Tam", "Jory"]


def test_a_backup_that_still_has_a_wal_comes_back_whole(shop: Shop, tmp_path: Path) -> None:
    shop.add("Jory")
    other = tmp_path / "carried.db"
    with shop.open() as logbook, logbook.look() as work:
        work.people()
        for rest in ("", "-wal"):
            shutil.copyfile(f"{shop.path}{rest}", f"{other}{rest}")
    restore(other, tmp_path / "back.db", shop.now)
    with open_logbook(tmp_path / "back.db") as logbook, logbook.look() as work:
        assert [person.name for person in work.people()] == ["Tam", "Jory"]


REFUSED: dict[str, tuple[Callable[[Path], object], str]] = {
    "half copied": (lambda path: os.truncate(path, 20_000), "does not read back whole"),
    "foreign": (lambda path: path.write_bytes(b"x" * 5000), "not a logbook"),
    "a page lost": (garble, "does not read back whole"),
    "gone": (lambda path: path.unlink(), "There is no backup"),
}


@pytest.mark.parametrize(("spoil", "sentence"), REFUSED.values(), ids=REFUSED)
def test_a_backup_that_is_no_good_changes_nothing(shop: Shop, spoil: Callable[[Path], object], sentence: str) -> None:
    backup = shop.back_up()
    spoil(backup.path)
    before = shop.files()
    with pytest.raises(BackupError, match=sentence):
        restore(backup.path, shop.path, shop.now)
    assert shop.files() == before
    assert shop.people() == ["Tam"]


def test_a_backup_of_another_logbook_is_refused(shop: Shop, tmp_path: Path) -> None:
    other = Shop(tmp_path / "other")
    other.path.parent.mkdir()
    other.add("Ferrin")
    backup = other.back_up()
    before = shop.files()
    with pytest.raises(BackupError, match="another logbook"):
        restore(backup.path, shop.path, shop.now)
    assert shop.files() == before


def test_an_empty_logbook_gives_way_to_any(shop: Shop, tmp_path: Path) -> None:
    backup = shop.back_up()
    with open_logbook(tmp_path / "fresh.db"):
        pass
    assert restore(backup.path, tmp_path / "fresh.db", shop.now).kept_as is not None


def test_the_logbook_itself_is_no_backup(shop: Shop) -> None:
    before = shop.files()
    with pytest.raises(BackupError, match="the logbook itself"):
        restore(shop.path, shop.path, shop.now)
    assert shop.files() == before


def test_a_folder_is_no_place_for_a_logbook(shop: Shop, tmp_path: Path) -> None:
    backup = shop.back_up()
    with pytest.raises(BackupError, match="not an ordinary file"):
        restore(backup.path, tmp_path, shop.now)


@pytest.mark.parametrize("is_damaged", [False, True])
def test_a_logbook_another_program_has_open_is_left_alone(shop: Shop, is_damaged: bool) -> None:
    backup = shop.back_up()
    other = subprocess.Popen(
        [
            sys.executable,
            "-c",
            "import sqlite3, sys\n"
            "c = sqlite3.connect(sys.argv[1]); c.execute('SELECT count(*) FROM person').fetchone()\n"
            "print('open', flush=True); sys.stdin.read()",
            str(shop.path),
        ],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    try:
        assert other.stdout is not None and other.stdout.readline() == b"open\n"
        if is_damaged:
            shop.damage()
        before = shop.path.read_bytes()
        with pytest.raises(BackupError, match="open in another program"):
            restore(backup.path, shop.path, shop.now)
        assert shop.path.read_bytes() == before
        assert [path.name for path in shop.path.parent.glob("*before*")] == []
    finally:
        other.communicate(b"")
    restore(backup.path, shop.path, shop.now)
    assert shop.people() == ["Tam"]


@pytest.mark.parametrize("has_links", [True, False])
def test_what_fails_at_the_last_moment_leaves_everything_as_it_was(
    shop: Shop, monkeypatch: pytest.MonkeyPatch, has_links: bool
) -> None:
    backup = shop.back_up()
    shop.add("Jory")
    (shop.path.parent / "logbook.db-wal").write_bytes(b"")
    before = shop.files()

    def refuse(*_: object) -> None:
        raise OSError(5, "Input/output error")

    if not has_links:
        monkeypatch.setattr(recovery.os, "link", refuse)
    monkeypatch.setattr(recovery.os, "replace", refuse)
    with pytest.raises(BackupError, match="cannot be written"):
        restore(backup.path, shop.path, shop.now)
    assert shop.files() == before
    monkeypatch.undo()
    assert shop.people() == ["Tam", "Jory"]


def test_a_drive_without_links_will_do(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    backup = shop.back_up()
    shop.add("Jory")

    def refuse(*_: object) -> None:
        raise OSError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", refuse)
    done = restore(backup.path, shop.path, shop.now)
    assert shop.people() == ["Tam"]
    assert done.kept_as is not None and done.kept_as.exists()


def test_a_backup_of_the_first_step_comes_back_and_is_brought_up_to_date(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / "old.db")) as connection:
        connection.executescript(OLD_STEP.read_text(encoding="utf-8"))
    assert examine(tmp_path / "old.db").head is None
    restore(tmp_path / "old.db", tmp_path / "logbook.db", NOW)
    open_logbook(tmp_path / "logbook.db").close()


def test_a_row_of_every_table_comes_back_from_either_engine(logbook: Logbook, tmp_path: Path) -> None:
    with logbook.work(by="Tam", doing="live in") as work:
        live_in(work)
        work.commit()
    make_snapshot(logbook.place, tmp_path / "copy.db")
    assert examine(tmp_path / "copy.db").findings == ()
    restore(tmp_path / "copy.db", tmp_path / "back.db", NOW)
    with open_logbook(tmp_path / "back.db", clock=lambda: NOW) as back:
        assert back.verify().findings == ()
        ours, theirs = make_engine(logbook.place), make_engine(back.place)
        with ours.connect() as here, theirs.connect() as there:
            assert digest_of(here) == digest_of(there)
            held = {table.name: there.execute(select(func.count()).select_from(table)).scalar() for table in every()}
        assert min(held.values()) > 0
        ours.dispose()
        theirs.dispose()
