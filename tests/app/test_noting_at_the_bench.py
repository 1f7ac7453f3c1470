"""Typing the first reading of a trial at the bench keeps what was advised for it, and the shop's sheet tells it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app import theme
from app.bench.page import BenchPage
from app.settings import Settings

TAM = "Tam Ollerby"


@pytest.fixture
def bench(qtbot: Any, qapp: QApplication, workshop: Any, job: Any, clock: Any) -> Iterator[BenchPage]:
    theme.apply(qapp, "light")
    workshop.record(job.id, "teardown", "rings_found_ring_gear_side", "2.52", person=TAM)
    workshop.record(job.id, "teardown", "rings_found_opposite_side", "2.50", person=TAM)
    page = BenchPage(workshop, Settings(person=TAM), lambda: clock.now)
    qtbot.addWidget(page)
    with qtbot.waitExposed(page):
        page.show()
    page.activateWindow()
    page.show_job(job.id)
    page.turn_to("preload")
    qtbot.waitUntil(lambda: QApplication.focusWidget() is not None)
    yield page
    theme.apply(qapp, "light")


def noted(workshop: Any, job_id: int) -> list[Any]:
    with workshop._logbook.look() as work:
        return list(work.advised_of_job(job_id))


def type_in(bench: BenchPage, qtbot: Any, entry: str, text: str) -> None:
    bench.column.field(entry, "", 1).setFocus(Qt.FocusReason.OtherFocusReason)
    qtbot.wait(10)
    armed = QApplication.focusWidget()
    assert armed is not None
    QTest.keyClicks(armed, text)
    QTest.keyClick(armed, Qt.Key.Key_Return)


def test_what_was_advised_is_kept_with_the_first_reading(
    bench: BenchPage, qtbot: Any, workshop: Any, job: Any, tmp_path: Path
) -> None:
    said = workshop.advice(job.id, "preload").offer
    type_in(bench, qtbot, "ring_gear_side", "2.40")
    qtbot.waitUntil(lambda: bool(noted(workshop, job.id)))
    (one,) = noted(workshop, job.id)
    assert (one.stage, one.trial, one.person) == ("preload", 1, TAM)
    assert one.chance == pytest.approx(said.chance)
    assert one.ring_gear_side_mm == pytest.approx(said.pair.ring_gear_side_mm)
    type_in(bench, qtbot, "opposite_side", "2.60")
    qtbot.waitUntil(
        lambda: workshop.state(job.id, {"preload": 1}).context.value("preload", "opposite_side", trial=1) == 2.6
    )
    assert noted(workshop, job.id) == [one]
    pages = PdfReader(workshop.write_sheet(job.id, tmp_path / "sheet.pdf")).pages
    words = " ".join(" ".join(page.extract_text().split()) for page in pages)
    assert "Advice followed no" in words
    assert f"Places in the drawer, ring-gear side first {one.places}" in words
