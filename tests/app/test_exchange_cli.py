"""``pinionbook export`` and ``pinionbook import``, run in this process."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any

import pytest
from exchanging import FACTS, LIMITS, files_of, new_job

from app import cli, exchange_cli
from core.records import open_logbook
from core.workshop import Workshop


@pytest.fixture(autouse=True)
def _no_typesetting(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Workshop, "_sheet", lambda *_: b"%PDF-1.4")


@pytest.fixture
def logbook(workshop: Any, job: Any) -> str:
    workshop.record(job.id, "teardown", "backlash_found", "0.14", position="at_000", person="Jory Pell")
    return workshop.location


@pytest.fixture
def other(tmp_path: Path) -> str:
    return str(tmp_path / "other.db")


def run(logbook: str, *arguments: str) -> int:
    return cli.run(["--logbook", logbook, *arguments])


def test_a_job_goes_from_one_logbook_to_another(
    logbook: str, other: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    archive = str(tmp_path / "job.zip")
    assert run(logbook, "export", "--job", "2407", "-o", archive) == cli.DONE
    assert capsys.readouterr().out.strip() == archive
    assert "sheets/2407.pdf" in files_of(Path(archive))
    assert run(other, "import", archive, "--check") == cli.DONE
    assert "Would come in. Jobs: 1 new," in capsys.readouterr().out
    assert run(other, "readings", "2407") == cli.REFUSED
    capsys.readouterr()
    assert run(other, "import", archive) == cli.DONE
    told = capsys.readouterr().out
    assert "job 2407, unit K-1183: new; readings: 1, photos: 0" in told
    assert "Taken in. Jobs: 1 new," in told
    assert run(other, "import", archive) == cli.DONE
    assert "holds all of it already" in capsys.readouterr().out
    assert run(other, "export", "--table", "readings") == cli.DONE
    (row,) = csv.DictReader(io.StringIO(capsys.readouterr().out, newline=""))
    assert (row["job"], row["value"], row["person"]) == ("2407", "0.14", "Jory Pell")


def test_everything_and_a_unit(logbook: str, tmp_path: Path) -> None:
    for name, which in (("all", []), ("unit", ["--unit", "k 1183"])):
        assert run(logbook, "export", *which, "-o", str(tmp_path / f"{name}.zip"), "--page", "Letter") == cli.DONE
        assert (tmp_path / f"{name}.zip").exists()


def test_a_table_into_a_file(logbook: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "gauges.csv"
    assert run(logbook, "export", "--table", "gauges", "-o", str(path)) == cli.DONE
    assert path.read_text(encoding="utf-8").startswith("gauge,name,use,")
    assert run(logbook, "export", "--table", "gauges", "-o", str(path)) == cli.REFUSED
    assert "already" in capsys.readouterr().err


def test_an_archive_needs_a_file(logbook: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(logbook, "export") == cli.REFUSED
    assert "Name a new one with -o" in capsys.readouterr().err


def test_a_job_that_is_not_there(logbook: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(logbook, "export", "--job", "9", "-o", str(tmp_path / "x.zip")) == cli.REFUSED
    assert capsys.readouterr().err.startswith("pinionbook: There is no job 9")
    assert not (tmp_path / "x.zip").exists()


def test_conflicts_keep_everything_out_unless_told_otherwise(
    logbook: str, other: str, tmp_path: Path, workshop: Any, job: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    archive, later = str(tmp_path / "before.zip"), str(tmp_path / "later.zip")
    run(logbook, "export", "-o", archive)
    run(other, "import", archive)
    workshop.record(job.id, "teardown", "backlash_found", "0.15", position="at_045", person="Jory Pell")
    run(logbook, "export", "-o", later)
    with open_logbook(other) as opened:
        there = Workshop(opened)
        there.record(there.job("2407").id, "teardown", "backlash_found", "0.2", position="at_045", person="Tam Ollerby")
    capsys.readouterr()
    by = ("--by", "Wren Hask")
    assert run(other, "import", later, *by) == exchange_cli.HELD_UP
    told = capsys.readouterr()
    assert "Nothing comes in. Conflicts with this logbook: 1" in told.out
    assert "Job 2407" in told.err
    assert "0.15" in told.err
    assert "--skip-conflicts" in told.err
    assert run(other, "import", later, "--skip-conflicts", *by) == cli.DONE
    told = capsys.readouterr().out
    assert "conflict, stays as it is" in told
    assert "what does not contradict this logbook is here already" in told


def test_a_number_that_is_taken(
    logbook: str, tmp_path: Path, workshop: Any, capsys: pytest.CaptureFixture[str], empty_workshop_job: str
) -> None:
    archive = str(tmp_path / "job.zip")
    run(empty_workshop_job, "export", "--job", "2407", "-o", archive)
    capsys.readouterr()
    by = ("--by", "Wren Hask")
    assert run(logbook, "import", archive, *by) == exchange_cli.HELD_UP
    assert "2408" in capsys.readouterr().err
    assert run(logbook, "import", archive, "--renumber", *by) == cli.DONE
    assert workshop.job("2408").serial == "X-7"


@pytest.fixture
def empty_workshop_job(tmp_path: Path) -> str:
    """Return another shop's logbook with a job of the same number."""
    path = tmp_path / "theirs.db"
    with open_logbook(path) as opened, opened.work() as work:
        new_job(work, work.add_card_revision("Kelda 9", LIMITS, FACTS, "").id, "2407", "X-7")
        work.commit()
    return str(path)


def test_only_an_owner_imports(logbook: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    archive = str(tmp_path / "all.zip")
    run(logbook, "export", "-o", archive)
    for by in ("", "Jory Pell"):
        assert run(logbook, "import", archive, "--by", by) == cli.REFUSED
        assert "Only the owner" in capsys.readouterr().err


@pytest.mark.parametrize("content", [b"", b"milk, bread"])
def test_what_is_no_archive_is_a_sentence(
    logbook: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes
) -> None:
    path = tmp_path / "notes.zip"
    path.write_bytes(content)
    assert run(logbook, "import", str(path), "--by", "Wren Hask") == cli.REFUSED
    told = capsys.readouterr().err
    assert told.startswith("pinionbook: It is not an archive")
    assert "Traceback" not in told
