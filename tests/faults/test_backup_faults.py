"""Backups where nothing can be kept: a full disk, a folder that may not be written, a drive that is pulled out."""

from __future__ import annotations

import json
import os
import shlex
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from core.errors import BackupError, DamagedLogbookError
from core.records import Logbook, backup, open_logbook
from core.records.backups import make_backup, state_of
from core.records.recovery import restore

NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


@pytest.fixture
def logbook(made_once: Path, tmp_path: Path) -> Iterator[Logbook]:
    """Yield a logbook with somebody in it."""
    (tmp_path / "shop").mkdir()
    with open_logbook(shutil.copyfile(made_once, tmp_path / "shop" / "logbook.db")) as opened:
        add(opened, "Tam")
        yield opened


def add(logbook: Logbook, *names: str) -> None:
    with logbook.work() as work:
        for name in names:
            work.add_person(name)
        work.commit()


def refused(act: Callable[[], object]) -> BackupError:
    """Do what must be refused, and return the sentence."""
    with pytest.raises(BackupError) as caught:
        act()
    assert caught.value.message.endswith(".")
    assert caught.value.remedy.endswith(".")
    return caught.value


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
def everybodys(made_once: Path) -> Iterator[Logbook]:
    """Yield a logbook anybody may read and write, in a folder anybody may reach; pytest's own are not."""
    folder = Path(tempfile.mkdtemp())
    place = folder / "shop"
    place.mkdir()
    with open_logbook(shutil.copyfile(made_once, place / "logbook.db")) as opened:
        add(opened, "Tam")
        for path in (folder, place, *place.iterdir()):
            path.chmod(0o777)
        yield opened
    for path in (folder, *folder.rglob("*")):
        path.chmod(0o700)
    shutil.rmtree(folder)


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="this system has no file modes")
def test_a_folder_that_may_not_be_written_is_told_and_left_empty(everybodys: Logbook) -> None:
    folder = Path(everybodys.location).parent.with_name("stick")
    folder.mkdir()
    folder.chmod(0o555)
    with as_nobody():
        error = refused(lambda: make_backup(everybodys, folder, lambda: NOW))
    assert str(folder) in error.message
    assert "may not be written" in error.message
    assert list(folder.iterdir()) == []


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="this system has no file modes")
def test_a_usual_folder_that_cannot_be_made_is_told(everybodys: Logbook) -> None:
    place = Path(everybodys.location).parent
    place.chmod(0o555)
    with as_nobody():
        error = refused(lambda: make_backup(everybodys, place / "backups", lambda: NOW))
    assert "may not be written" in error.message


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="this system has no file modes")
def test_going_back_where_nothing_may_be_written_changes_nothing(everybodys: Logbook) -> None:
    made = make_backup(everybodys, Path(everybodys.location).parent.parent, lambda: NOW)
    made.path.chmod(0o444)
    everybodys.close()
    place = Path(everybodys.location)
    before = place.read_bytes()
    place.parent.chmod(0o555)
    with as_nobody():
        assert "may not be written" in refused(lambda: restore(made.path, place, NOW)).message
    place.parent.chmod(0o777)
    assert [path.name for path in place.parent.iterdir()] == ["logbook.db"]
    assert place.read_bytes() == before


def test_a_file_where_the_folder_should_be_is_told(logbook: Logbook) -> None:
    folder = Path(logbook.location).parent / "backups"
    folder.write_text("mine")
    refused(lambda: make_backup(logbook, folder, lambda: NOW))
    assert folder.read_text() == "mine"


def test_a_drive_pulled_out_before_is_told(logbook: Logbook, tmp_path: Path) -> None:
    error = refused(lambda: make_backup(logbook, tmp_path / "stick", lambda: NOW))
    assert "is not there" in error.message
    assert "Plug" in error.remedy
    state = state_of(logbook, tmp_path / "stick")
    assert (state.is_there, state.newest, state.entries_since) == (False, None, 1)


@pytest.mark.parametrize("moment", ["_make_one_file", "_compare", "put_in_place"])
def test_a_drive_pulled_out_meanwhile_is_told(
    logbook: Logbook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, moment: str
) -> None:
    stick = tmp_path / "stick"
    stick.mkdir()
    real = getattr(backup, moment)

    def pulled(*arguments: Any) -> None:
        shutil.rmtree(stick)
        real(*arguments)

    monkeypatch.setattr(backup, moment, pulled)
    refused(lambda: make_backup(logbook, stick, lambda: NOW))
    assert not stick.exists()
    monkeypatch.undo()
    stick.mkdir()
    make_backup(logbook, stick, lambda: NOW)


def test_a_damaged_logbook_gets_no_backup_and_loses_none(logbook: Logbook) -> None:
    folder = Path(logbook.location).parent / "backups"
    good = make_backup(logbook, folder, lambda: NOW)
    add(logbook, *(f"{count} " + "x" * 150 for count in range(200)))
    logbook.close()
    with Path(logbook.location).open("r+b") as file:
        file.seek(-4096 * 4, os.SEEK_END)
        file.write(b"\xff" * 4096 * 4)
    with open_logbook(logbook.location) as opened, pytest.raises(DamagedLogbookError):
        make_backup(opened, folder, lambda: datetime(2026, 3, 9, tzinfo=UTC))
    assert [path.name for path in folder.iterdir()] == [good.path.name]


# -- a disk that is full -----------------------------------------------------------------------------------------------

FULL = """
import json, sys
from datetime import UTC, datetime
from pathlib import Path
from core.errors import UserError
from core.records import open_logbook
from core.records.backups import make_backup
from core.records.recovery import restore

logbook_path, small = Path(sys.argv[1]), Path(sys.argv[2])
now = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
told = {}

def tried(name, act):
    try:
        act()
        told[name] = "done"
    except UserError as error:
        told[name] = str(error)
    told[name + ", left"] = sorted(path.name for path in small.rglob("*"))

with open_logbook(logbook_path) as logbook:
    good = make_backup(logbook, logbook_path.parent, lambda: now)
    limit = sys.argv[3:]
    if limit:
        import resource, signal
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (int(limit[0]), int(limit[0])))
    tried("backup", lambda: make_backup(logbook, small, lambda: now))
there = small / "logbook.db"
there.write_bytes(b"what lay there")
tried("restore", lambda: restore(good.path, there, now))
told["there"] = there.read_bytes().decode()
with open_logbook(logbook_path) as logbook, logbook.look() as work:
    told["people"] = len(work.people())
print(json.dumps(told))
"""


def run(*command: str) -> dict[str, Any]:
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr
    told: dict[str, Any] = json.loads(done.stdout)
    return told


@pytest.fixture
def large(logbook: Logbook) -> Path:
    """Return a logbook of more than a megabyte."""
    add(logbook, *(f"{count} " + "x" * 190 for count in range(1500)))
    logbook.close()
    path = Path(logbook.location)
    assert path.stat().st_size > 1_000_000
    return path


def assert_nothing_half_written(told: dict[str, Any], sentence: str) -> None:
    for act in ("backup", "restore"):
        assert sentence in told[act]
    assert told["backup, left"] == []
    assert told["restore, left"] == ["logbook.db"]
    assert told["there"] == "what lay there"
    assert told["people"] == 1501


def test_a_full_drive_is_told_and_nothing_half_written_is_left(large: Path, tmp_path: Path) -> None:
    small = tmp_path / "small"
    small.mkdir()
    script = tmp_path / "full.py"
    script.write_text(FULL, encoding="utf-8")
    # A drive of half a megabyte, in a name space of its own so that it goes with the process.
    program = shlex.join([sys.executable, str(script), str(large), str(small)])
    mount = f"mount -t tmpfs -o size=512k tmpfs {shlex.quote(str(small))} && PYTHONPATH=. exec {program}"
    can_mount = (
        shutil.which("unshare")
        and not subprocess.run(
            ["unshare", "-rm", "mount", "-t", "tmpfs", "tmpfs", str(small)], capture_output=True, check=False
        ).returncode
    )
    if not can_mount:
        pytest.skip("this system lets nobody but root mount a small drive")
    assert_nothing_half_written(run("unshare", "-rm", "sh", "-c", mount), "There is no room")


@pytest.mark.skipif(sys.platform == "win32", reason="this system limits no files")
def test_a_file_that_may_not_grow_is_told_and_nothing_half_written_is_left(large: Path, tmp_path: Path) -> None:
    small = tmp_path / "small"
    small.mkdir()
    told = run(sys.executable, "-c", FULL, str(large), str(small), "500000")
    assert_nothing_half_written(told, "did not answer")
