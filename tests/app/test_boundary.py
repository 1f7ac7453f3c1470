"""Errors reach a person in one place: sentences for what can be put right, a log for bugs."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from app.boundary import Boundary, log_path
from core.errors import InputError, LogbookError


@pytest.fixture
def said() -> list[tuple[str, bool]]:
    return []


@pytest.fixture
def boundary(said: list[tuple[str, bool]], tmp_path: Path) -> Boundary:
    return Boundary(lambda sentence, is_fault: said.append((sentence, is_fault)), tmp_path / "log" / "bugs.log")


def test_what_can_be_put_right_is_said_and_not_logged(
    boundary: Boundary, said: list[tuple[str, bool]], tmp_path: Path
) -> None:
    boundary.failed(InputError("252 is no ring.", "Check the decimal point."))
    assert said == [("252 is no ring. Check the decimal point.", True)]
    assert not (tmp_path / "log").exists()


def test_the_database_is_told_apart_from_bugs(boundary: Boundary, said: list[tuple[str, bool]], tmp_path: Path) -> None:
    boundary.failed(LogbookError("The disk is full.", "Make room."))
    assert said[0][0].startswith("The logbook answered: The disk is full.")
    assert not (tmp_path / "log").exists()


def test_a_bug_is_written_down_and_the_person_told_where(
    boundary: Boundary, said: list[tuple[str, bool]], tmp_path: Path
) -> None:
    boundary.failed(ZeroDivisionError("by nothing"))
    log = tmp_path / "log" / "bugs.log"
    assert str(log) in said[0][0]
    assert "saved are safe" in said[0][0]
    assert "ZeroDivisionError: by nothing" in log.read_text(encoding="utf-8")


def test_a_log_that_cannot_be_written_does_not_hide_the_bug(
    said: list[tuple[str, bool]], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    blocker = tmp_path / "file"
    blocker.write_text("", encoding="utf-8")
    Boundary(lambda s, f: said.append((s, f)), blocker / "bugs.log").failed(KeyError("x"))
    assert said
    assert "KeyError" in capsys.readouterr().err


def test_the_hook_catches_and_is_given_back(boundary: Boundary, said: list[tuple[str, bool]]) -> None:
    before = sys.excepthook
    boundary.install()
    try:
        error = RuntimeError("in a slot")
        sys.excepthook(RuntimeError, error, None)
    finally:
        boundary.remove()
    assert sys.excepthook is before
    assert len(said) == 1


def test_the_log_lies_in_the_users_own_folder(tmp_path: Path) -> None:
    assert log_path().is_relative_to(tmp_path)
