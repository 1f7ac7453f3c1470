"""Backups on the command line: made, listed, gone back to, and refused with a sentence."""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from app import cli
from app.settings import Settings, settings_path
from core.records import open_logbook

Told = pytest.CaptureFixture[str]


@pytest.fixture
def logbook(workshop: Any) -> str:
    workshop.close()
    return workshop.location


def damage(logbook: str) -> None:
    with open(logbook, "r+b") as file:
        file.seek(100)
        file.write(b"\xff" * 3000)


def families(logbook: str) -> list[str]:
    with open_logbook(logbook) as opened, opened.look() as work:
        return [card.family for card in work.cards()]


def test_a_backup_goes_where_backups_are_kept(logbook: str, capsys: Told) -> None:
    assert cli.run(["--logbook", logbook, "backup"]) == cli.DONE
    made = Path(capsys.readouterr().out.strip())
    assert made.parent == Path(logbook).parent / "backups"
    assert families(str(made)) == families(logbook)


def test_a_backup_goes_into_a_folder_or_under_a_name(logbook: str, tmp_path: Path, capsys: Told) -> None:
    folder = tmp_path / "stick"
    folder.mkdir()
    assert cli.run(["--logbook", logbook, "backup", str(folder)]) == cli.DONE
    assert Path(capsys.readouterr().out.strip()).parent == folder
    assert cli.run(["--logbook", logbook, "backup", str(folder / "mine.db")]) == cli.DONE
    assert (folder / "mine.db").exists()
    assert cli.run(["--logbook", logbook, "backup", str(folder / "mine.db")]) == cli.REFUSED
    assert "already" in capsys.readouterr().err
    assert cli.run(["--logbook", logbook, "backup", str(folder / "gone" / "mine.db")]) == cli.REFUSED
    assert capsys.readouterr().err.startswith("pinionbook: ")
    assert sorted(path.name for path in folder.iterdir())[-1] == "mine.db"
    assert len(list(folder.iterdir())) == 2


def test_the_folder_of_the_settings_is_used_and_missed(logbook: str, tmp_path: Path, capsys: Told) -> None:
    stick = tmp_path / "stick"
    Settings(backup_folder=str(stick), path=settings_path()).save()
    assert cli.run(["--logbook", logbook, "backup"]) == cli.REFUSED
    assert f"{stick} is not there" in capsys.readouterr().err
    stick.mkdir()
    assert cli.run(["--logbook", logbook, "backup"]) == cli.DONE
    assert Path(capsys.readouterr().out.strip()).parent == stick


def test_the_command_a_damaged_logbook_tells_goes_back(logbook: str, capsys: Told) -> None:
    before = families(logbook)
    assert cli.run(["--logbook", logbook, "backup"]) == cli.DONE
    capsys.readouterr()
    damage(logbook)
    damaged = Path(logbook).read_bytes()
    assert cli.run(["--logbook", logbook, "readings", "2407"]) == cli.REFUSED
    told = capsys.readouterr().err
    assert "is damaged" in told
    assert "Everything entered after" in told
    command = told.split("with: ")[1].split(" – ")[0]
    assert shlex.split(command)[0] == "pinionbook"
    assert cli.run(shlex.split(command)[1:]) == cli.DONE
    told = capsys.readouterr().out
    (kept,) = Path(logbook).parent.glob("*before-restore*.db")
    assert str(kept) in told
    assert kept.read_bytes() == damaged
    assert families(logbook) == before


def test_backups_are_listed(logbook: str, capsys: Told) -> None:
    assert cli.run(["--logbook", logbook, "restore"]) == cli.DONE
    assert "There is no backup" in capsys.readouterr().out
    cli.run(["--logbook", logbook, "backup"])
    made = capsys.readouterr().out.strip()
    damage(logbook)
    assert cli.run(["restore", "--logbook", logbook]) == cli.DONE
    line, hint = capsys.readouterr().out.splitlines()
    assert line.endswith(made)
    assert "entries, the last from 2026-03-01" in line
    assert hint.endswith(shlex.join(["pinionbook", "--logbook", logbook, "restore", made]))
    os.truncate(made, 3000)
    assert cli.run(["restore", "--logbook", logbook]) == cli.DONE
    assert "cannot be read" in capsys.readouterr().out


def test_going_back_to_a_place_of_its_own(logbook: str, tmp_path: Path, capsys: Told) -> None:
    cli.run(["--logbook", logbook, "backup"])
    made = capsys.readouterr().out.strip()
    assert cli.run(["restore", made, "--logbook", str(tmp_path / "other.db")]) == cli.DONE
    assert "kept as" not in capsys.readouterr().out
    assert families(str(tmp_path / "other.db")) == families(logbook)


@pytest.mark.parametrize("backup", ["gone.db", "notes.txt", "."])
def test_what_is_no_backup_is_a_sentence(logbook: str, tmp_path: Path, capsys: Told, backup: str) -> None:
    (tmp_path / "notes.txt").write_text("milk, bread", encoding="utf-8")
    before = Path(logbook).read_bytes()
    assert cli.run(["restore", str(tmp_path / backup), "--logbook", logbook]) == cli.REFUSED
    told = capsys.readouterr().err
    assert told.startswith("pinionbook: ")
    assert "Traceback" not in told
    assert Path(logbook).read_bytes() == before


def test_rows_somebody_wrote_behind_its_back_are_told(logbook: str, tmp_path: Path, capsys: Told) -> None:
    import sqlite3
    from contextlib import closing

    cli.run(["--logbook", logbook, "backup"])
    made = capsys.readouterr().out.strip()
    with closing(sqlite3.connect(made)) as connection:
        connection.execute("UPDATE person SET role = 'owner'")
        connection.commit()
    assert cli.run(["restore", made, "--logbook", str(tmp_path / "other.db")]) == cli.DONE
    assert "do not agree with the trail" in capsys.readouterr().err


def test_the_logbook_of_a_window_that_is_open_is_not_taken_away(logbook: str, capsys: Told) -> None:
    cli.run(["--logbook", logbook, "backup"])
    made = capsys.readouterr().out.strip()
    # What another process holds, ours cannot see through its own connections.
    window = subprocess.Popen(
        [
            sys.executable,
            "-c",
            "import sys\nfrom core.records import open_logbook\nwith open_logbook(sys.argv[1]) as logbook:\n"
            "    with logbook.look() as work: work.people()\n    print('open', flush=True)\n    sys.stdin.read()\n",
            logbook,
        ],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    try:
        assert window.stdout is not None and window.stdout.readline() == b"open\n"
        assert cli.run(["restore", made, "--logbook", logbook]) == cli.REFUSED
        assert "open in another program" in capsys.readouterr().err
    finally:
        window.communicate(b"")
    assert cli.run(["restore", made, "--logbook", logbook]) == cli.DONE
