"""Long work runs off the window's thread, its result comes back on it, and a cancelled result is dropped."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest
from pytestqt.qtbot import QtBot

from app.tasks import Tasks


@pytest.fixture
def failures() -> list[BaseException]:
    return []


@pytest.fixture
def tasks(qtbot: QtBot, failures: list[BaseException]) -> Iterator[Tasks]:
    made = Tasks(failures.append)
    yield made
    made.close()


def test_work_elsewhere_result_here(tasks: Tasks, qtbot: QtBot) -> None:
    seen: list[tuple[str, int]] = []
    here = threading.get_ident()

    def work() -> int:
        return threading.get_ident()

    tasks.run(work, lambda there: seen.append(("done", there)))
    qtbot.waitUntil(lambda: bool(seen))
    assert seen[0][1] != here


def test_a_failure_reaches_the_boundary(tasks: Tasks, qtbot: QtBot, failures: list[BaseException]) -> None:
    def work() -> None:
        raise ValueError("bent")

    tasks.run(work, lambda _: None, "bending")
    qtbot.waitUntil(lambda: bool(failures))
    assert str(failures[0]) == "bent"


def test_a_cancelled_result_is_dropped(tasks: Tasks, qtbot: QtBot) -> None:
    gate, delivered = threading.Event(), []
    with qtbot.waitSignal(tasks.started) as started:
        tasks.run(gate.wait, delivered.append, "waiting")
    assert started.args == ["waiting"]
    with qtbot.waitSignal(tasks.finished):
        tasks.cancel()
    gate.set()
    after: list[int] = []
    tasks.run(lambda: 5, after.append)
    qtbot.waitUntil(lambda: after == [5])
    assert delivered == []


def test_finished_is_told_once_the_last_labelled_task_is_done(tasks: Tasks, qtbot: QtBot) -> None:
    with qtbot.waitSignal(tasks.finished):
        tasks.run(lambda: None, lambda _: None, "one")


def test_nothing_runs_once_it_was_closed(tasks: Tasks, failures: list[BaseException]) -> None:
    done: list[int] = []
    tasks.close()
    assert tasks.run(lambda: done.append(1) or 1, done.append, "late").cancelled()
    assert (done, failures) == ([], [])
