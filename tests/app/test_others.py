"""Two benches on one logbook: what one writes is shown at the other, and nobody overwrites what he has not seen."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pytestqt.qtbot import QtBot

from app.settings import Settings
from app.window import Window
from core.records import open_logbook
from core.workshop import Workshop


@pytest.fixture
def window(qtbot: QtBot, workshop: Any, job: Any) -> Iterator[Window]:
    made = Window(workshop, Settings(person="Tam Ollerby"))
    qtbot.addWidget(made)
    made.show()
    made.open_job(job.id)
    yield made
    made.close()


@pytest.fixture
def other(workshop: Any, clock: Any) -> Iterator[Workshop]:
    """Yield the same logbook as another bench has it open."""
    with open_logbook(Path(workshop.location), clock=clock) as logbook:
        yield Workshop(logbook, clock)


def test_a_reading_of_another_bench_appears_while_what_is_typed_here_stays(
    qtbot: QtBot, window: Window, other: Workshop, job: Any
) -> None:
    bench = window.bench
    bench.turn_to("teardown")
    fields = {field.key: field for field in bench.column.fields()}
    typed, watched = list(fields.values())[:2]
    typed.put_draft("0.14")
    entry, position, _ = watched.key
    other.record(job.id, "teardown", entry, "0.17", position=position, person="Jory Pell")
    qtbot.waitUntil(lambda: watched.text() == "0.17", timeout=10_000)
    assert typed.text() == "0.14"
    assert "Jory Pell wrote in job 2407 at another bench" in window.message.sentence.text()


def test_the_desk_shows_a_job_another_bench_opened(qtbot: QtBot, window: Window, other: Workshop, job: Any) -> None:
    window.show_desk()
    other.change_job(job.id, "customer", "Aldmoor Quarry", "Jory Pell", "sold on")
    qtbot.waitUntil(lambda: "Aldmoor Quarry" in shown(window), timeout=10_000)


def shown(window: Window) -> str:
    model = window.desk.jobs.model()
    return " ".join(
        str(model.index(row, column).data()) for row in range(model.rowCount()) for column in range(model.columnCount())
    )


def test_what_is_written_here_is_no_news(qtbot: QtBot, window: Window, workshop: Any, job: Any) -> None:
    heard: list[Any] = []
    window.others.wrote.connect(heard.append)
    workshop.record(job.id, "teardown", "runout_found", "0.03", person="Tam Ollerby")
    qtbot.wait(1500)
    assert heard == []
