"""`pinionbook verify` and `pinionbook move`, as typed."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from app import cli
from app.verify_cli import NOT_GENUINE


@pytest.fixture
def sheet(workshop: Any, job: Any, tmp_path: Path) -> Path:
    return workshop.write_sheet(job.id, tmp_path / "sheet.pdf", person="Tam Ollerby")


def run(workshop: Any, *typed: str) -> int:
    return cli.run(["--logbook", workshop.location, *typed])


def test_a_logbook_that_agrees(workshop: Any, job: Any, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(workshop, "verify") == cli.DONE
    told = capsys.readouterr().out.splitlines()
    assert ": 0 do not agree." in told[0]
    assert told[1].startswith("The trail ends with entry ")


def test_an_altered_row_is_named(workshop: Any, job: Any, capsys: pytest.CaptureFixture[str]) -> None:
    with closing(sqlite3.connect(workshop.location)) as connection:
        connection.execute("UPDATE unit SET serial = 'K-1188'")
        connection.commit()
    assert run(workshop, "verify") == NOT_GENUINE
    told = capsys.readouterr().out
    assert "unit 1 was altered: serial says “K-1188”, the trail “K-1183”." in told
    assert ": 1 do not agree." in told


def test_a_sheet(workshop: Any, sheet: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(workshop, "verify", str(sheet)) == cli.DONE
    assert "nothing in it was changed" in capsys.readouterr().out
    other = tmp_path / "other.pdf"
    other.write_bytes(sheet.read_bytes()[:-1])
    assert run(workshop, "verify", str(other)) == NOT_GENUINE
    assert "was changed after that" in capsys.readouterr().out
    assert run(workshop, "verify", "--fingerprint", "ab" * 32) == NOT_GENUINE
    assert run(workshop, "verify", "--fingerprint", "ab") == cli.REFUSED
    assert run(workshop, "verify", str(tmp_path / "none.pdf")) == cli.REFUSED
    assert "Traceback" not in capsys.readouterr().err


def test_a_logbook_carried_over(workshop: Any, job: Any, server: Any, capsys: pytest.CaptureFixture[str]) -> None:
    address = server.empty()
    assert cli.run(["move", workshop.location, address]) == cli.DONE
    told = capsys.readouterr()
    assert "Both logbooks hold the same: " in told.out
    assert workshop.location in told.err
    assert cli.run(["--logbook", address, "verify"]) == cli.DONE
    assert cli.run(["--logbook", address, "readings", "2407"]) == cli.DONE
    assert cli.run(["move", workshop.location, address]) == cli.REFUSED
    assert "not empty" in capsys.readouterr().err
    server.drop(address)
