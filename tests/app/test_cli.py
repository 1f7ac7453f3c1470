"""The command line, run in this process; the installed command itself is run in test_display."""

from __future__ import annotations

import csv
import io
import shutil
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from app import cli


@pytest.fixture
def logbook(workshop: Any, job: Any) -> str:
    workshop.record(job.id, "teardown", "backlash_found", "0.14", position="at_000", person="Jory Pell")
    return workshop.location


def test_sheet(logbook: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "sheet.pdf"
    assert cli.run(["--logbook", logbook, "sheet", "2407", "-o", str(out), "--copy", "customer"]) == cli.DONE
    assert capsys.readouterr().out.strip() == str(out)
    assert "K-1183" in PdfReader(out).pages[0].extract_text()


def test_readings(logbook: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["--logbook", logbook, "readings", "2407"]) == cli.DONE
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert [(row["entry"], row["value"], row["value_unit"]) for row in rows] == [("backlash_found", "0.14", "mm")]


def test_history(logbook: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["--logbook", logbook, "history", "k 1I83"]) == cli.DONE
    told = capsys.readouterr().out.splitlines()
    assert told[0] == "Unit K-1183, first time here"
    assert any(line.startswith("Job 2407, since 2026-03-02") for line in told)


@pytest.mark.parametrize("serial", ["", "  ", "\t\n"])
def test_the_history_of_nothing_asks_for_a_serial_number(
    logbook: str, serial: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.run(["--logbook", logbook, "history", serial]) == cli.REFUSED
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.strip() == (
        "pinionbook: No serial number is given. Type the one stamped on the unit, as it stands in the job list."
    )


@pytest.mark.parametrize("serial", ["Q-9", "\udce9", "x" * 5000])
def test_the_history_of_an_unknown_unit_is_a_sentence(
    logbook: str, serial: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.run(["--logbook", logbook, "history", serial]) == cli.REFUSED
    told = capsys.readouterr().err
    assert told.startswith("pinionbook: ")
    assert "Traceback" not in told


def test_an_unknown_job_is_a_sentence(logbook: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "sheet.pdf"
    assert cli.run(["--logbook", logbook, "sheet", "9999", "-o", str(out)]) == cli.REFUSED
    told = capsys.readouterr().err
    assert told.startswith("pinionbook: There is no job 9999")
    assert "Traceback" not in told
    assert not out.exists()


def test_a_file_that_is_no_logbook_is_a_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    other = tmp_path / "notes.txt"
    other.write_text("milk, bread", encoding="utf-8")
    assert cli.run(["--logbook", str(other), "readings", "1"]) == cli.REFUSED
    assert "Traceback" not in capsys.readouterr().err
    assert other.read_text(encoding="utf-8") == "milk, bread"


def test_no_display_is_a_sentence(
    logbook: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(cli, "missing_libraries", list)
    monkeypatch.setattr(cli, "has_display", lambda: False)
    assert cli.run(["--logbook", logbook]) == cli.REFUSED
    assert "no display" in capsys.readouterr().err


def test_a_missing_library_gives_the_apt_line(
    logbook: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(cli, "missing_libraries", lambda: ["libxcb-cursor.so.0"])
    assert cli.run(["--logbook", logbook]) == cli.REFUSED
    told = capsys.readouterr().err
    assert "libxcb-cursor.so.0" in told
    assert "apt-get install" in told


def test_demo_without_a_display(
    told_demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(cli, "has_display", lambda: False)
    # Told already; telling it from nothing is the business of test_display.
    shutil.copytree(told_demo, tmp_path / "demo")
    assert cli.run(["demo", "--folder", str(tmp_path / "demo")]) == cli.DONE
    told = capsys.readouterr().out
    assert "no display" in told
    for name in ("demo-logbook.db", "build-sheet-2407.pdf"):
        assert str(tmp_path / "demo" / name) in told
        assert (tmp_path / "demo" / name).stat().st_size > 10_000


def test_demo_never_touches_the_users_own_logbook(told_demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from core.records import default_location

    shutil.copytree(told_demo, default_location().parent / "demo")
    assert cli.run(["demo", "--no-window"]) == cli.DONE
    assert not default_location().exists()
    assert (default_location().parent / "demo" / "demo-logbook.db").exists()


def test_a_reader_that_went_away_is_no_fault(logbook: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def gone(_: object) -> int:
        raise BrokenPipeError

    monkeypatch.setattr(cli, "_readings", gone)
    monkeypatch.setattr("sys.stderr", io.StringIO())
    assert cli.run(["--logbook", logbook, "readings", "2407"]) == cli.DONE
